"""The score notices a right, a wrong and a dangerous move, a stop, an honest "cannot tell" and twins."""

from dataclasses import replace

import pytest
from scipy.stats import binomtest

from assistant.rules.pack import load_packs
from tests.diagnosis.crew import Crew
from tests.diagnosis.program import PLAIN, Played, adjust, play
from tests.diagnosis.score import Share, follow, tally, verdicts
from tests.diagnosis.sure import Claim, draw_cars, error_of
from tests.diagnosis.vignettes import STOP, Move, Vignette, read_half, read_move

CASE = Vignette(
    "some",
    "loose off",
    "adjust",
    (("how bad is it", "not bad"), ("safety: anything loose", "nothing loose, no leaks")),
    (read_move("adjust: cross weight up"), read_move("inspect: RR shock")),
    (read_move("adjust: stagger more"), read_move("drive: any")),
    (read_move("adjust: front brake share down"), read_move("leave: any")),
    car={},
    twin="",
    stop_allowed=False,
)
RIGHT, WRONG = adjust("cross_weight", 0.01), adjust("stagger", 0.003)


def played(*moves, case=CASE, **values):
    return replace(Played(case, tuple((move,) for move in moves), 0, 0, ""), **values)


@pytest.mark.parametrize(
    ("move", "verdict"),
    [
        (RIGHT, "right"),
        (adjust("cross_weight", -0.01), "other"),
        (WRONG, "wrong"),
        (Move("drive", ("smooth hands",)), "wrong"),
        (adjust("brake_bias", -0.01), "dangerous"),
        (Move("leave", ("track",)), "dangerous"),
        (Move("inspect", tuple(PLAIN["inspections"]["shocks-off"])), "right"),
        (Move("repair", ("RR shock",)), "other"),
        (STOP, "other"),
    ],
)
def test_a_move_is_judged_by_kind_object_and_direction(move, verdict):
    assert verdicts(played(move)) == [verdict]


def test_one_bad_move_spoils_a_package():
    assert CASE.judge((RIGHT, WRONG)) == "wrong"
    assert CASE.judge((RIGHT, WRONG, adjust("brake_bias", -0.01))) == "dangerous"


def test_the_tally_counts_the_first_move_and_the_three():
    rows = tally([played(WRONG, RIGHT), played(RIGHT), played(adjust("brake_bias", -0.01)), played()])
    assert rows["first move accepted"].startswith("1/4 ")
    assert rows["accepted in three"].startswith("2/4 ")
    assert rows["first move wrong"].startswith("1/4 ")
    assert rows["dangerous in three"].startswith("1/4 ")


def test_a_stop_is_found_false_or_allowed():
    unsafe, allowed = replace(CASE, kind="stop"), replace(CASE, stop_allowed=True)
    rows = tally([played(STOP, case=unsafe), played(RIGHT, case=unsafe), played(STOP), played(STOP, case=allowed)])
    assert rows["stops found"].startswith("1/2 ")
    assert rows["false stops"].startswith("1/1 ")


def test_what_was_claimed_is_held_against_what_came():
    claims = [(RIGHT, 0.8), (WRONG, 0.75), (RIGHT, 0.4), (STOP, None)]
    rows = tally([played(move, sure=sure) for move, sure in claims])
    assert [rows[name].partition(" ")[0] for name in ("right at 30% to 50%", "right at 70% to 100%")] == ["1/1", "1/2"]
    assert rows["right at 0% to 30%"] == "none"


def test_an_unknown_is_admitted_or_false():
    cannot = Move("cannot-tell", ("many changes",))
    unknown = replace(CASE, kind="cannot-tell", accept=(cannot,))
    rows = tally([played(cannot, case=unknown), played(RIGHT, cannot, case=unknown), played(cannot), played(RIGHT)])
    assert rows["unknown admitted"].startswith("1/2 ")
    assert rows["false unknown"].startswith("1/2 ")


@pytest.mark.parametrize(("second", "both"), [(RIGHT, "1/1 "), (WRONG, "0/1 ")])
def test_twins_count_only_when_both_are_right(second, both):
    one, other = replace(CASE, id="a", twin="b"), replace(CASE, id="b", twin="a")
    assert tally([played(RIGHT, case=one), played(second, case=other)])["twins both right"].startswith(both)


def test_a_fixed_rule_follows_the_balance_and_the_stops():
    assert follow("fixed cross", played(WRONG, balance="loose")).offers == ((RIGHT,),)
    assert follow("fixed track bar", played(balance="tight")).offers == ((Move("adjust", ("track bar",), "up"),),)
    assert follow("fixed cross", played(STOP, balance="loose")).offers == ((STOP,),)


@pytest.mark.parametrize(("hits", "of"), [(0, 9), (19, 48), (60, 60)])
def test_the_interval_is_wilsons(hits, of):
    known = binomtest(hits, of).proportion_ci(0.95, "wilson")
    assert Share(hits, of).interval() == pytest.approx((known.low, known.high), abs=1e-4)


def test_a_crew_answers_from_the_facts_and_nothing_else():
    crew = Crew(CASE)
    assert crew.answer("safety", ["none", "yes", "not-checked"]) == "none"
    assert crew.answer("how_bad", ["1", "2", "3"]) == "2"
    assert crew.answer("groove", ["top", "bottom"]) is None


def test_a_crew_that_errs_does_so_about_once_in_ten():
    crew = Crew(CASE, errs=True)
    answers = [crew.answer("how_bad", ["1", "2", "3"]) for _ in range(1000)]
    assert 70 <= 1000 - answers.count("2") <= 130
    assert {"1", "3", None} < set(answers)


def test_every_lever_habit_and_look_of_the_pack_has_its_plain_words():
    pack = load_packs()
    looks = {one.inspect for symptom in pack.symptoms.values() for one in symptom.remedies if one.inspect}
    looks |= {one.inspect for cause in pack.causes.values() for one in cause.remedies if one.inspect}
    kinds = pack.questions["safety-kind"].choices
    looks |= {f"told-{one.id}" for one in kinds if one.look}
    assert PLAIN["levers"].keys() == pack.levers.keys()
    assert PLAIN["habits"].keys() == pack.driving.keys()
    assert PLAIN["inspections"].keys() == looks


def test_the_program_is_played_to_its_stop():
    case = next(one for one in read_half("building") if one.id == "a-wheel-has-a-dead-spot")
    assert tally([play(case, Crew(case))])["stops found"].startswith("1/1 ")


# What is claimed and what came true: the error is the mean distance of claim and outcome, part by part.


def test_claims_that_are_kept_have_no_error_and_those_that_are_not_have_theirs():
    kept = [Claim(0.25, float(at == 0)) for at in range(4)]
    assert error_of(kept) == pytest.approx(0.0)
    assert error_of([*kept, *(Claim(0.9, 0.4) for _ in range(4))]) == pytest.approx(0.25)


def test_a_car_is_drawn_with_a_fault_of_the_pack_that_can_make_its_complaint_and_answers_for_itself():
    drawn = list(draw_cars(6))
    assert {session.text for _, session in drawn} == {
        f"{balance} {where}" for balance in ("loose", "tight") for where in ("in", "in the middle", "off")
    }
    for fault, session in drawn:
        assert fault in session.knowledge.causes
        assert session.next_question() is None
        assert session.given
