"""Numbers of a gauge told in a sentence: air that is gone stops, and what was read of treads is kept."""

from dataclasses import replace

import pytest

from assistant.diagnosis.gauges_read import answers_of_measured, answers_of_numbers, is_losing_air
from assistant.diagnosis.questions import question_of
from assistant.diagnosis.replies import answers_meant
from assistant.diagnosis.session import start
from assistant.ground.understood import LOSES_AIR
from assistant.rules.pack import load_packs
from tests.diagnosis.interview_pack import demo_case

LOST = """
rr 12 hot | rr hot 12 | right rear was 12 pounds hot | rr 80 kpa hot | rr 0.08 mpa hot | rr lost 30 kpa
hot lf 18 rf 27 lr 18 rr 12 | hot pressures 18 27 18 12
the right rear came in 4 under cold | rr lost four pounds | right rear is down 3 psi | rf dropped 5 lbs over the run
came in with 12 in the right rear | rr came in lower than it went out | hot pressure rr was below cold
rr cold 20 hot 14 | rr 20 cold 14 hot | rr started at 20 and came in at 14 | set the rr at 20, came off at 15
lr 9. lr started at 15 like always | rf 31, rr 28, lf 17, lr 8. set lr at 12 | rr: 14 hot (22 cold) | went down 4 pounds
"""
"""Ways to say that a tire has less air than it went out with; the demo's right rear goes out with 22 psi."""
KEPT = """
rr 26 hot | rr 22 cold | set the rr at 20 | rr 20 cold 27 hot | rr started at 20 came in at 27 | hot laps it was tight
went down 4 pounds in the rr | took 2 pounds out of the rr | we went down 4 pounds | rr lost 40 pounds
rr spring 200 now 175 | rr 15 degrees hot | rf 210 235 208 hot | started 20th and came in 5th | rr was 4 over hot
we lost 4 pounds of fuel | rr went up 5 pounds hot | put 18 in the lr, hot it came in at 24 | rf 45 hot usually 38
rr came in 5 psi over | rr came off 5 psi over | rr 150 kpa hot
it pushes once the rf gets hot, about lap 20 | rf gets hot by lap 15 to 18
came in 12 laps later with the rr fine | loose off, dropped 4 pounds
"""


def each(lines):
    return [one.strip() for line in lines.strip().splitlines() for one in line.split("|")]


@pytest.mark.parametrize("said", each(LOST))
def test_a_tire_with_less_air_than_it_went_out_with_stops(said, knowledge):
    assert is_losing_air(said, demo_case().setup)
    assert LOSES_AIR in start(demo_case(), knowledge, f"loose off, {said}").stop.signs


@pytest.mark.parametrize("said", each(KEPT))
def test_air_that_was_let_out_or_is_more_than_cold_stops_nobody(said):
    assert not is_losing_air(said, demo_case().setup)


@pytest.mark.parametrize("asked", ["when_in_run", "lap_times", "pressures_hot", "what_changed", "safety"])
def test_a_tire_losing_air_is_heard_at_any_question(asked, knowledge):
    told = answers_meant("rr 12 hot", question_of(asked, knowledge.questions), knowledge, demo_case())
    assert told.items() >= {"safety": "yes", "safety_kind": "air"}.items()


def test_pounds_that_went_down_are_a_change_where_a_change_is_asked_of(knowledge):
    told = answers_meant("went down 4 pounds", question_of("how_far", knowledge.questions), knowledge, demo_case())
    assert "safety" not in told


def test_told_in_the_middle_of_an_interview_it_stops(knowledge):
    session = start(demo_case(), knowledge, "loose off late").answer("safety", "none")
    assert session.reply("rr 12 hot").stop is not None


def test_a_hot_pressure_below_the_cold_one_stops_when_it_is_chosen(knowledge):
    session = start(demo_case(), knowledge, "loose off late").answer("safety", "none").answer("pressures_hot", "low")
    assert session.stop.question == "pressures_hot"


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("rf goes away, 210 235 208 across it", {"rf_edge": "middle"}),
        ("right front came off 180 in 205 mid 228 outside", {"rf_edge": "outside"}),
        ("rf 180 205 228", {}),  # from which edge, nobody said
        ("rf inside to outside 180 205 228", {"rf_edge": "outside"}),
        ("rf was 45 hot, usually 38", {"pressures_hot": "rf-high"}),
    ],
)
def test_what_is_read_beside_a_tires_name_is_kept(said, told):
    assert answers_of_numbers(said, "") == told


def test_numbers_that_were_read_are_no_words_nobody_understood(knowledge):
    said = start(demo_case(), knowledge, "rf goes away, 210 235 208 across it").complaint
    assert said.not_understood == ()


@pytest.mark.parametrize(
    "told",
    ["rr came in hot", "RF came in 4 over", "rr came in 5 psi over", "right rear tire came off 5 over", "came in hot"],
)
def test_a_tire_that_came_in_hot_or_over_is_a_reading_and_never_a_car_that_came_good(told, knowledge):
    session = start(demo_case(), knowledge, f"loose off late, {told}")
    assert {(one.balance, one.phase, one.stage) for one in session.complaint.cells} == {("loose", "exit", "worn")}
    assert "how_bad" not in session.known
    assert session.stop is None


@pytest.mark.parametrize("told", ["the tires came in", "it came in after 10 laps", "it came in 10 laps later"])
def test_tires_and_a_car_that_came_in_are_better_from_then_on(told, knowledge):
    cells = start(demo_case(), knowledge, f"loose early, {told}").complaint.cells
    assert {one.balance for one in cells if one.stage == "worn"} == {"fine"}


@pytest.mark.parametrize("told", ["rr 30 kpa over", "rr came off 5 over", "rr 5 psig over", "rr 0.04 mpa over"])
def test_so_much_over_is_read_in_any_unit_of_air(told, knowledge):
    session = start(demo_case(), knowledge, f"loose off, {told}")
    assert session.known["pressures_hot"] == "rr-high"
    assert session.complaint.not_understood == ()


@pytest.mark.parametrize(
    "typed",
    [
        "rf 240 outside 200 in the middle 195 inside",
        "rf inside 195 middle 200 outside 240",
        "rf came in 195 in 200 mid 240 out",
    ],
)
def test_three_temperatures_with_their_places_are_a_tread_in_any_order_and_no_place_in_a_corner(typed):
    asked = question_of("where", load_packs().questions)
    assert answers_meant(typed, asked, load_packs()) == {"rf_edge": "outside"}


def test_who_told_a_hot_pressure_is_not_asked_for_it(case):
    measured = replace(case.measured, hot_pressure={"RF": 262000.0})
    assert "pressures_hot" in answers_of_measured(replace(case, measured=measured))
    assert "pressures_hot" not in answers_of_measured(replace(case, measured=replace(measured, hot_pressure={})))
