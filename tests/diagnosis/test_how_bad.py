"""How bad it is, asked of each complaint where there are several."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.diagnosis.session import Session, start
from assistant.pages.hearing_words import say_back, say_question
from tests.diagnosis.interview_pack import PACK, demo_case
from tests.diagnosis.test_session import asked

TWO = "tight in the middle, loose off"


def begin(text: str, **answers: str) -> Session:
    return start(replace(demo_case(), answers=answers, complaint=""), PACK, text).answer("safety", "none")


def severities(session: Session) -> dict[tuple[str, str], tuple[float, bool]]:
    cells = session.complaint.cells
    return {(cell.balance, cell.phase): (cell.severity, cell.severity_given) for cell in cells}


def test_each_of_two_complaints_is_asked_for_by_name():
    session = begin(TWO)
    first = session.next_question()
    assert (first.id, say_question(first)) == ("how_bad_first", "Tight in the middle: how bad is it?")
    second = session.answer(first.id, "2").next_question()
    assert (second.id, say_question(second)) == ("how_bad_second", "Loose coming off: how bad is it?")
    assert [choice.id for choice in second.choices] == ["1", "2", "3", "4", "5", "not-sure"]
    session = session.answer("how_bad_first", "2").answer("how_bad_second", "4")
    assert severities(session) == {("tight", "middle"): (2.0, True), ("loose", "exit"): (4.0, True)}
    assert "how_bad" not in asked(session)


def test_the_time_in_the_run_is_named_where_it_was_said():
    session = begin("tight in the middle early, loose off late")
    assert say_question(session.next_question()) == "Tight in the middle on fresh tires: how bad is it?"


def test_not_sure_of_the_first_still_asks_for_the_second_and_leaves_the_first_unsaid():
    session = begin(TWO).answer("how_bad_first", "not-sure")
    assert say_question(session.next_question()) == "Loose coming off: how bad is it?"
    session = session.answer("how_bad_second", "5")
    assert severities(session) == {("tight", "middle"): (3.0, False), ("loose", "exit"): (5.0, True)}


def test_of_three_complaints_only_two_are_asked_for_and_the_third_stays_unsaid():
    ids = asked(start(replace(demo_case(), answers={}, complaint=""), PACK, "loose in, tight middle, loose off"))
    assert [one for one in ids if one.startswith("how_bad")] == ["how_bad_first", "how_bad_second"]
    session = begin("loose in, tight middle, loose off").answer("how_bad_first", "4").answer("how_bad_second", "2")
    assert severities(session)["loose", "exit"] == (3.0, False)
    assert say_back(session.complaint).endswith("how bad was not said for loose coming off, so I take 3 of 5 there.")


def test_one_complaint_of_two_that_lacks_it_is_named_in_the_single_question():
    question = begin("a little tight in the middle, loose off").next_question()
    assert (question.id, say_question(question)) == ("how_bad", "Loose coming off: how bad is it?")


@pytest.mark.parametrize(
    "text", ["loose off", "loose off early, loose off late", "loose in and off", "loose, mostly off"]
)
def test_one_complaint_is_asked_for_plainly_and_once(text):
    question = next(one for one in begin(text).open_questions() if one.id.startswith("how_bad"))
    assert (question.id, say_question(question)) == ("how_bad", "How bad is it?")


def test_one_answer_for_all_still_works_and_nothing_more_is_asked():
    session = begin(TWO).answer("how-bad", "4")
    assert severities(session) == {("tight", "middle"): (4.0, True), ("loose", "exit"): (4.0, True)}
    assert not [one for one in asked(session) if one.startswith("how_bad")]
    assert not [one for one in asked(begin(TWO, **{"how-bad": "4"})) if one.startswith("how_bad")]


def test_an_answer_for_one_wins_over_the_answer_for_all_in_either_order():
    for order in (("how-bad", "how-bad-second"), ("how-bad-second", "how-bad")):
        session = begin(TWO)
        for qid in order:
            session = session.answer(qid, {"how-bad": "4", "how-bad-second": "2"}[qid])
        assert severities(session) == {("tight", "middle"): (4.0, True), ("loose", "exit"): (2.0, True)}


def test_the_answers_are_listed_by_the_complaint_they_are_about_and_can_be_changed():
    session = begin(TWO).answer("how_bad_first", "2").answer("how_bad_second", "4")
    assert [(say_question(one.question), one.says) for one in session.answered()[1:]] == [
        ("Tight in the middle: how bad is it?", "I drive around it"),
        ("Loose coming off: how bad is it?", "it costs much time"),
    ]
    assert say_question(session.change(3).next_question()) == "Loose coming off: how bad is it?"
    assert session.back().next_question().id == "how_bad_second"


def test_an_answer_in_words_is_taken_for_the_complaint_asked_about():
    session = begin(TWO).reply("very bad")
    assert session.answers["how_bad_first"] == "4"


def test_open_questions_name_the_complaint_with_the_id_that_answers_it():
    named = {one.id: say_question(one) for one in begin(TWO).open_questions()}
    assert named["how_bad_second"] == "Loose coming off: how bad is it?"


def test_an_answer_for_a_complaint_that_is_no_longer_there_is_dropped():
    assert "how_bad_second" not in begin("loose off").answer("how_bad_second", "4").answers


def test_a_case_file_may_answer_for_each():
    session = begin(TWO, **{"how-bad-first": "2", "how-bad-second": "5"})
    assert severities(session) == {("tight", "middle"): (2.0, True), ("loose", "exit"): (5.0, True)}
    assert not [one for one in asked(session) if one.startswith("how_bad")]
