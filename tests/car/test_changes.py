"""Moving levers: legal steps, the list of parts, the stop at the limits, and what is outside the rules."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.car.case import LeverLimit, Rulebook
from assistant.car.files import read_case
from assistant.car.keys import LEVERS
from assistant.car.moves import (
    differences,
    limit_of,
    move_faults,
    neighbors,
    range_left,
    setup_faults,
    value_of,
    with_step,
    with_value,
)
from assistant.ground.units import from_unit
from assistant.pages.readings import stop_words

CASE = read_case("demo")
SETUP, RULES, CAR = CASE.setup, CASE.rulebook, CASE.car
SINGLE = [lever for lever in LEVERS if lever != "track_bar"]


def moved(lever: str, steps: int, setup=SETUP, rules=RULES):
    return with_step(setup, rules, CAR, lever, steps)


def test_one_step_of_a_screw_is_the_smallest_of_the_rulebook():
    setup, stop = moved("track_bar_right", -2)
    assert stop is None
    assert setup.values["track_bar_right"] == pytest.approx(from_unit(10.0, "in"))
    assert differences(SETUP, setup).keys() == {"track_bar_right"}


def test_one_step_of_a_spring_is_the_next_on_the_shelf():
    setup, stop = moved("spring_rr", 1)
    assert stop is None
    assert setup.values["spring_rr"] == pytest.approx(from_unit(250, "lb/in"))


def test_a_lever_stops_at_its_limit_and_says_so():
    setup, stop = moved("spring_rr", 9)
    assert setup.values["spring_rr"] == pytest.approx(from_unit(325, "lb/in"))
    assert stop is not None
    assert (stop.end, stop.made) == ("max", 4)
    assert stop_words(stop) == "RR spring: already at its most, 325 lb/in"
    _, stop = moved("pressure_lf", -40)
    assert stop is not None
    assert stop_words(stop) == "LF pressure: already at its least, 10.0 psi"


def test_a_quicker_steering_is_a_smaller_ratio():
    setup, stop = moved("steering_box", 1)
    assert stop is None
    assert setup.values["steering_box"] == 10
    _, stop = moved("steering_box", 9)
    assert stop is not None
    assert (stop.end, stop.made, stop.value) == ("min", 3, 8.0)
    assert neighbors(SETUP, RULES, CAR, "steering_box") == (2.0, -2.0)
    assert range_left(SETUP, RULES, CAR, "steering_box") == (2, 3)


def test_a_shorter_gear_is_a_step_up():
    setup, stop = moved("gear", 1)
    assert stop is None
    assert setup.values["gear"] == pytest.approx(1.3)


def test_the_track_bar_moves_both_ends_and_stops_when_one_of_them_does():
    setup, stop = moved("track_bar", -2)
    assert stop is None
    for end, inches in (("track_bar_left", 9.5), ("track_bar_right", 10.0)):
        assert setup.values[end] == pytest.approx(from_unit(inches, "in"))
    setup, stop = moved("track_bar", -30)
    assert stop is not None
    assert (stop.lever, stop.made) == ("track_bar_left", -8)
    assert setup.values["track_bar_right"] - setup.values["track_bar_left"] == pytest.approx(from_unit(0.5, "in"))
    assert range_left(SETUP, RULES, CAR, "track_bar") == (8, 10)


def test_setting_the_track_bar_sets_the_mean_height_of_its_ends():
    setup = with_value(SETUP, "track_bar", from_unit(9.0, "in"))
    assert value_of(setup, "track_bar") == pytest.approx(from_unit(9.0, "in"))
    assert setup.values["track_bar_right"] - setup.values["track_bar_left"] == pytest.approx(from_unit(0.5, "in"))


@pytest.mark.parametrize(("start", "steps", "inches"), [(10.1, 1, 10.25), (10.1, -1, 10.0), (10.1, 2, 10.5)])
def test_a_value_between_two_steps_goes_to_the_next_legal_one(start, steps, inches):
    setup, stop = moved("track_bar_right", steps, with_value(SETUP, "track_bar_right", from_unit(start, "in")))
    assert stop is None
    assert setup.values["track_bar_right"] == pytest.approx(from_unit(inches, "in"))


def test_from_outside_the_rules_a_lever_moves_only_towards_them():
    low = with_value(SETUP, "pressure_rr", from_unit(12, "psi"))
    up, stop = moved("pressure_rr", 1, low)
    assert stop is None
    assert up.values["pressure_rr"] == pytest.approx(from_unit(16, "psi"))
    same, stop = moved("pressure_rr", -1, low)
    assert stop is not None
    assert same.values["pressure_rr"] == low.values["pressure_rr"]
    assert range_left(low, RULES, CAR, "pressure_rr")[0] == 0


def test_a_lever_the_rulebook_leaves_out_does_not_move():
    setup, stop = moved("toe", 1, rules=Rulebook("none", {}))
    assert setup == SETUP
    assert stop is not None
    assert stop_words(stop) == "toe: the rulebook does not let it be changed"
    assert range_left(SETUP, Rulebook("none", {}), CAR, "toe") == (0, 0)


def test_no_step_lifts_a_wheel_from_the_scales_whatever_the_rules_say():
    wide = Rulebook("wide", {"cross_weight": LeverLimit(0.0, 1.0, 0.05, "shop")})
    setup, stop = with_step(SETUP, wide, CAR, "cross_weight", 20)
    assert stop is not None
    values = setup.values
    assert values["nose_weight"] + values["left_weight"] - values["cross_weight"] > 0


def test_a_value_somebody_set_is_no_longer_guessed():
    guessed = replace(SETUP, guessed=frozenset({"stagger", "toe"}))
    assert with_value(guessed, "stagger", 0.05).guessed == {"toe"}


def test_the_gears_on_offer_are_those_of_the_rules_that_the_box_has():
    rules = Rulebook("r", {"gear": LeverLimit(1.0, 2.0, 0.2, "shop", (1.0, 1.5, 1.8))})
    limit = limit_of(rules, CAR, "gear")
    assert limit is not None
    assert limit.parts == (1.0, 1.8)
    assert limit_of(Rulebook("r", {"gear": LeverLimit(1.5, 1.5, 0.0, "shop", (1.5,))}), CAR, "gear") is None


def test_no_more_fuel_than_the_tank_holds():
    rules = Rulebook("r", {"fuel_at_green": LeverLimit(0.0, 1.0, from_unit(1, "gal"), "shop")})
    setup, _ = moved("fuel_at_green", 99, rules=rules)
    assert setup.values["fuel_at_green"] == pytest.approx(CAR.tank_volume)


def test_a_lever_nobody_knows_is_our_own_mistake():
    with pytest.raises(ValueError, match="no lever is called 'wing'"):
        moved("wing", 1)


def test_what_is_outside_the_rulebook_is_said_with_the_nearest_legal_value():
    setup = SETUP
    for lever, value in (
        ("spring_lr", from_unit(500, "lb/in")),
        ("spring_rr", from_unit(237, "lb/in")),
        ("stagger", 0.0),
    ):
        setup = with_value(setup, lever, value)
    faults = setup_faults(replace(CASE, setup=setup))
    assert [(fault.says, fault.hint) for fault in faults] == [
        ("LR spring is 500 lb/in, more than 'demo-rules' allows, 250 lb/in", "nearest legal: 250 lb/in"),
        ("RR spring is 237 lb/in, which is not among the parts of 'demo-rules'", "nearest legal: 225 lb/in"),
        ("stagger is 0 in, less than 'demo-rules' allows, 1 in", "nearest legal: 1 in"),
    ]


def test_a_value_between_two_steps_is_within_the_rules():
    setup = with_value(SETUP, "stagger", from_unit(1.9, "in"))
    assert setup_faults(replace(CASE, setup=setup)) == ()


FAULTS = {
    "half a click": ({"compression_lf": 3.5}, "LF compression is 3.5 clicks, between two steps of 1 click"),
    "between two steps": ({"stagger": from_unit(1.9, "in")}, "stagger is 1.9 in, between two steps of 1/8 in"),
    "a fixed lever": ({"camber_lf": from_unit(3, "deg")}, "LF camber is fixed by the rules"),
    "more than the tank holds": ({"fuel_at_green": from_unit(30, "gal")}, "the tank of 'demo-car' holds 18.0 gal"),
    "a gear the box has not": ({"gear": 1.5}, "the gearbox of 'demo-car' has no gear of 1.50"),
    "a wheel in the air": (
        {"cross_weight": 0.8, "left_weight": 0.7, "nose_weight": 0.7},
        "the right rear wheel stands off the ground: 10.0 % of the weight",
    ),
}


@pytest.mark.parametrize("what", FAULTS)
def test_what_a_move_breaks_is_said(what):
    values, says = FAULTS[what]
    limits = {
        lever: limit for lever, limit in RULES.limits.items() if lever not in ("camber_lf", "gear", "fuel_at_green")
    }
    case = replace(CASE, rulebook=replace(RULES, limits=limits))
    setup = SETUP
    for lever, value in values.items():
        setup = with_value(setup, lever, value)
    assert says in [fault.says for fault in move_faults(case, setup)]
    assert move_faults(case, case.setup) == ()


def test_a_bar_no_thicker_than_its_bore_is_a_fault():
    case = replace(CASE, car=replace(CAR, bar_bore=SETUP.values["front_bar"]))
    assert [fault.says for fault in setup_faults(case)] == [
        "the front bar's outside diameter is not more than its bore, 1.00 in"
    ]


@given(st.sampled_from(SINGLE), st.integers(-40, 40))
def test_no_number_of_steps_leaves_the_rules(lever, steps):
    setup, stop = moved(lever, steps)
    limit = limit_of(RULES, CAR, lever)
    assert limit is not None
    value = setup.values[lever]
    assert limit.low - 1e-9 <= value <= limit.high + 1e-9
    assert setup_faults(replace(CASE, setup=setup)) == ()
    made = stop.made if stop is not None else steps
    down, up = range_left(SETUP, RULES, CAR, lever)
    assert made == max(-down, min(up, steps))


@given(st.sampled_from([*SINGLE, "track_bar"]), st.integers(1, 6))
def test_steps_up_and_as_many_down_come_back(lever, steps):
    _, up = range_left(SETUP, RULES, CAR, lever)
    steps = min(steps, up)
    there, stop = moved(lever, steps)
    assert stop is None
    back, stop = moved(lever, -steps, there)
    assert stop is None
    assert value_of(back, lever) == pytest.approx(value_of(SETUP, lever), rel=1e-9, abs=1e-12)


@given(st.sampled_from(SINGLE), st.floats(-3, 3))
def test_what_is_left_is_what_can_be_stepped_from_any_value(lever, share):
    limit = limit_of(RULES, CAR, lever)
    assert limit is not None
    start = with_value(SETUP, lever, limit.low + share * (limit.high - limit.low))
    if lever in ("nose_weight", "left_weight", "cross_weight") and not -0.5 < share < 1.5:
        return
    down, up = range_left(start, RULES, CAR, lever)
    for steps, left in ((-99, down), (99, up)):
        _, stop = moved(lever, steps, start)
        assert stop is not None
        assert abs(stop.made) == left


def test_no_step_leads_to_what_the_car_cannot_take():
    gallon = from_unit(1, "gal", "volume")
    fuel = LeverLimit(12 * gallon, 20 * gallon, 0.0, "pit stop", (12 * gallon, 20 * gallon))
    inch = from_unit(1, "in", "short_length")
    bars = LeverLimit(0.875 * inch, 1.25 * inch, 0.0, "shop", (0.875 * inch, 1.0 * inch, 1.25 * inch))
    rules = replace(RULES, limits={**RULES.limits, "fuel_at_green": fuel, "front_bar": bars})
    car = replace(CAR, tank_volume=18 * gallon, bar_bore=0.9 * inch)
    full = with_value(with_value(SETUP, "fuel_at_green", 18 * gallon), "front_bar", inch)
    for lever in ("fuel_at_green", "front_bar"):
        for steps in (-3, 3):
            moved, _ = with_step(full, rules, car, lever, steps)
            assert moved.values["fuel_at_green"] <= car.tank_volume
            assert moved.values["front_bar"] > car.bar_bore
    ranged = replace(bars, step=0.125 * inch, parts=())
    rules = replace(rules, limits={**rules.limits, "front_bar": ranged})
    moved, _ = with_step(full, rules, car, "front_bar", -3)
    assert moved.values["front_bar"] == pytest.approx(inch)
