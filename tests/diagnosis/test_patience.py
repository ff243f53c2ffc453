"""How long the interview gets: what a question costs the one who is asked, and that the pack says so."""

from dataclasses import replace

import pytest

from assistant.car.files import read_case
from assistant.diagnosis.plan import Evidence, Option, Patience, plan_questions
from assistant.diagnosis.questions import interview_weights, is_unsure, patience_of
from assistant.diagnosis.session import start
from assistant.rules.pack import load_packs
from tests.diagnosis.interview_pack import PACK, demo_case

COMPLAINTS = ("loose in", "tight in the middle", "loose off late", "tight off", "loose on long runs", "pushes")
SHARP = ((1.7, -1.7), (-1.7, 1.7))


def unsure(session, most=30):
    """Answer "not sure" wherever it can be said; returns the ids asked and the session."""
    ids = []
    while (question := session.next_question()) is not None:
        ids.append(question.id)
        assert len(ids) <= most, ids
        choices = [choice.id for choice in question.choices]
        doubtful = next((one for one in choices if is_unsure(one)), choices[-1])
        session = session.answer(question.id, "none" if question.id == "safety" else doubtful)
    return ids, session


def bare(text, knowledge):
    return start(replace(read_case("demo"), answers={}, complaint=""), knowledge, text)


@pytest.mark.parametrize("text", COMPLAINTS)
def test_who_is_never_sure_is_asked_nine_questions_at_most(text, knowledge):
    assert len(unsure(bare(text, knowledge))[0]) <= 9


def test_each_question_is_dearer_than_the_one_before():
    patience = Patience(question=0.02, growth=0.01, asked=2)
    assert patience.price() == pytest.approx(0.04)
    assert replace(patience, asked=5).price() == pytest.approx(0.07)


def test_a_question_worth_asking_first_may_not_be_worth_asking_fifth():
    weak = Evidence("weak", ((0.9, -0.9), (-0.9, 0.9)))
    options = [Option("repair", "a", (1.0, 0.0), 0.2), Option("repair", "b", (0.0, 1.0), 0.2)]
    first = Patience(question=0.02, growth=0.06)
    assert plan_questions([0.5, 0.5], ["a", "b"], [weak], options, first).order == ("weak",)
    assert plan_questions([0.5, 0.5], ["a", "b"], [weak], options, replace(first, asked=4)).order == ()


def test_only_questions_about_causes_count_as_asked(knowledge):
    weights = interview_weights(knowledge)
    given = (
        ("safety", "none"),
        ("how-bad", "2"),
        ("what_changed", "nothing"),
        ("came_on", "suddenly"),
        ("traffic", "always"),
    )
    assert patience_of(weights, given).asked == 2


def test_two_not_sure_in_a_row_make_the_next_one_likelier(knowledge):
    weights = interview_weights(knowledge)
    doubts = (("where", "not-sure"), ("came_on", "not-sure"))
    assert patience_of(weights, doubts[:1]).sure == 1
    assert patience_of(weights, doubts).sure == 1 - weights["unsure_again"]
    assert patience_of(weights, (*doubts, ("traffic", "always"))).sure == 1


def test_a_car_nobody_checked_is_no_sign_of_not_knowing(knowledge):
    given = (("safety", "not-checked"), ("came_on", "not-sure"))
    weights = interview_weights(knowledge)
    assert patience_of(weights, given).sure == 1


def test_whoever_asks_for_more_is_asked_on_as_long_as_a_question_is_expected_to_help(knowledge):
    asked, session = unsure(bare("tight in the middle", knowledge))
    more, eager = unsure(session.ask_on(), most=len(knowledge.questions))
    assert len(more) > 5
    assert not set(asked) & set(more)
    assert eager.plan.order == ()


def test_asking_on_survives_going_back():
    session = start(replace(demo_case(), answers={}), PACK, "loose off, 3").ask_on().answer("safety", "none")
    assert session.back().eager


def test_floating_in_without_brake_is_asked_off_the_corner_only_of_those_still_on_the_brake(knowledge):
    asked, session = unsure(bare("loose off late", knowledge))
    more, _ = unsure(session.ask_on(), most=len(knowledge.questions))
    assert "float_in" not in {*asked, *more}
    known = replace(read_case("demo"), answers={"brakes": "hard"}, complaint="")
    asked, session = unsure(start(known, knowledge, "loose off late"))
    more, _ = unsure(session.ask_on(), most=len(knowledge.questions))
    assert "float_in" in {*asked, *more}


def test_a_weight_no_pack_states_is_named():
    short = replace_interview(PACK, {"question_price": 0.02})
    with pytest.raises(ValueError, match="no pack states these weights of the interview: price_growth, minute_price"):
        interview_weights(short)


def test_a_team_pack_changes_one_weight_and_keeps_the_others(tmp_path):
    (tmp_path / "pack.yaml").write_text("pack: ours\ntitle: Ours\nedition: 2026.1\nrule_format: 1\nbuilds_on: base\n")
    (tmp_path / "ranking.yaml").write_text("ranking: ours\ninterview: {price_growth: 0.5}\n")
    from assistant.rules.pack import base_folder

    base, ours = load_packs(), load_packs([base_folder(), tmp_path])
    before, after = interview_weights(base), interview_weights(ours)
    assert after == {**before, "price_growth": 0.5}
    told = [
        bare("tight in the middle", pack).answer("safety", "none").answer("came_on", "first-lap")
        for pack in (base, ours)
    ]
    assert len(unsure(told[1])[0]) <= len(unsure(told[0])[0])


def replace_interview(pack, weights):
    return replace(pack, ranking=pack.ranking.model_copy(update={"interview": weights}))
