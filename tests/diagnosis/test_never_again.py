"""A question that was answered or skipped is asked no second time, whatever is typed."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.diagnosis.questions import is_unsure
from assistant.diagnosis.session import Session, start
from tests.diagnosis.heard import knowledge, openings, replies
from tests.diagnosis.interview_pack import demo_case

OPENINGS = [row.words for name in ("phrases_second", "phrases_fourth") for row in openings(name)]
TYPED = [*OPENINGS, *(row.typed for row in replies("answers_blind"))]
MOST_ASKED = 40


def answer_in_words(session: Session, qid: str, typed: str, place: int) -> Session:
    """Answer with the line; where it does not answer what is asked, with a choice, so that nothing is left open."""
    heard = session.reply(typed) or session
    question = heard.next_question()
    if question is None or question.id != qid:
        return heard
    return heard.answer(qid, question.choices[place % len(question.choices)].id)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.sampled_from(OPENINGS), st.lists(st.tuples(st.sampled_from(TYPED), st.integers(0, 8)), min_size=MOST_ASKED))
def test_what_was_answered_is_never_asked_again(opening, lines):
    session, done = start(demo_case(), knowledge(), opening), []
    for typed, place in lines:
        question = session.next_question()
        if question is None:
            break
        new_danger = question.id in {"safety", "safety_kind", "contact"}
        assert new_danger or question.id not in done
        session = answer_in_words(session, question.id, typed, place)
        done += [question.id] if question.id in session.answers else []
    assert session.next_question() is None or len(done) < MOST_ASKED


def test_who_does_not_know_is_asked_everything_once():
    session, asked = start(demo_case(), knowledge(), "loose in and tight in").ask_on(), []
    while (question := session.next_question()) is not None:
        assert question.id not in asked
        asked.append(question.id)
        session = session.answer(question.id, next((one.id for one in question.choices if is_unsure(one.id)), "1"))


def test_an_answer_to_a_question_that_was_worth_asking_stays_whatever_is_answered_next():
    session = start(demo_case(), knowledge(), "nothing since we unloaded").answer("safety", "not-checked")
    told = {
        "complaint": "not-sure",
        "which_slides": "not-sure",
        "what_changed": "brakes",
        "was_right": "new",
        "which_brakes": "not-sure",
        "last_change": "nothing",
        "pressures_hot": "rr-high",
        "came_on": "gradually",
    }
    for question, choice in told.items():
        session = session.answer(question, choice)
    asked, then = {}, ("not-sure", "free", "1")
    while (question := session.next_question()) is not None and len(asked) < len(then):
        ids = [one.id for one in question.choices]
        asked[question.id] = next((one for one in then if one in ids), ids[-1])
        session = session.answer(question.id, asked[question.id])
    assert len(asked) == len(then)
    assert asked.items() <= session.answers.items()
