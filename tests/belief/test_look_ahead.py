"""The run ahead: what ends it, stops and cautions, steering, gears and brakes, and how all of it is said."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.belief import gears_and_brakes as gears_module
from assistant.belief.believe import Shown
from assistant.belief.gears_and_brakes import (
    Gear,
    allowed_ratios,
    brake_neighbors,
    gear_setups,
    judge_gear,
    pair_of,
    rank_gears,
)
from assistant.belief.look_ahead import AirEffect, compare_ahead, look_ahead, reach
from assistant.belief.model import read_model, weigh_knots
from assistant.belief.picture import Picture
from assistant.belief.whole_run import first_to_end, lap_of_reaching, whole_laps
from assistant.car.case import LeverLimit
from assistant.car.files import read_case, read_track
from assistant.car.moves import with_value
from assistant.ground.folders import demo_folder
from assistant.ground.names import CORNERS, PHASES, STAGES, Grid
from assistant.pages.data import Way, plain
from assistant.pages.forecast import charts_of
from assistant.pages.run_words import (
    NO_AIR,
    gear_words,
    gone_by,
    lap_table,
    say_air,
    say_brakes,
    say_drift,
    say_end,
    say_fuel,
    say_gear,
    say_heat,
    say_leader,
    say_reach,
)
from assistant.pages.setups import change_between, try_data
from assistant.physics.formulas import ideal_front_share, locking_decelerations
from assistant.physics.heat_and_wear import Stop
from tests.demo_table import forecast_setups

ALL_NEW = (True, True, True, True)
GALLON = 3.785411784e-3


@pytest.fixture(scope="module")
def demo():
    return read_case("demo")


@pytest.fixture(scope="module")
def ahead(demo):
    return look_ahead(demo)


def with_fuel(case, gallons):
    return replace(case, setup=with_value(case.setup, "fuel_at_green", gallons * GALLON))


def thirsty(demo, laps):
    """Give a tank that is dry half a lap after so many whole laps."""
    volume = demo.setup.values["fuel_at_green"]
    for _ in range(3):
        case = replace(demo, setup=with_value(demo.setup, "fuel_at_green", volume))
        volume *= (laps + 0.5) / forecast_setups(read_model(case), [case.setup])[0].fuel_laps
    return replace(demo, setup=with_value(demo.setup, "fuel_at_green", volume))


# what ends a run


def test_laps_until_something_is_used_up_are_read_off_the_run_or_drawn_on():
    laps, used = np.array([0.0, 10.0, 20.0]), np.array([0.0, 0.5, 1.5])
    assert lap_of_reaching(laps, used, 1.0) == pytest.approx(15.0)
    assert lap_of_reaching(laps, used, 3.0) == pytest.approx(35.0)


def test_a_stop_that_renews_is_no_end():
    laps, used = np.array([0.0, 10.0, 10.0, 20.0]), np.array([0.0, 0.8, 0.0, 0.8])
    assert lap_of_reaching(laps, used, 1.0) == pytest.approx(22.5)
    assert lap_of_reaching(laps, used, 0.4) == pytest.approx(5.0)


@given(st.floats(0.0, 300.0))
def test_a_lap_that_is_not_finished_does_not_count(laps):
    assert laps - 1 < whole_laps(laps) <= laps + 1e-5


def test_a_tread_that_outlives_every_run_is_not_given_a_lap():
    assert gone_by(43.2) == "lap 43"
    assert gone_by(143.2) == "lap 140"
    assert gone_by(1e12) == "beyond lap 1000"


def test_the_first_to_end_is_named():
    assert first_to_end({"LF": 90.0, "RF": 70.0}, 80.0) == ("RF", 70.0)
    assert first_to_end({"LF": 90.0, "RF": 85.0}, 80.0) == ("fuel", 80.0)


def test_a_tank_one_lap_short_is_said_in_plain_words(demo):
    ahead = look_ahead(thirsty(demo, 79))
    assert ahead.driven == 79
    assert ahead.forecast.run_ends_by == "fuel"
    assert say_end(ahead)[0] == "One lap short: the fuel is used up after lap 79 of 80."
    assert say_fuel(ahead, "trade").endswith("last 79 laps: one lap short of the 80.")


def test_a_run_longer_than_the_tank_is_forecast_as_far_as_it_goes(demo):
    ahead = look_ahead(demo, 300)
    assert ahead.cut_short
    assert ahead.driven == whole_laps(ahead.forecast.fuel_laps) < 200
    assert ahead.forecast.laps[-1] == ahead.driven
    end, then = say_end(ahead)
    assert end == f"The run ends after lap {ahead.driven} of 300: the fuel is used up, {300 - ahead.driven} laps short."
    assert then == f"What follows is about the {ahead.driven} laps that can be driven."


def test_with_fuel_enough_a_tire_ends_the_run(demo):
    refuel = [Stop(lap, fuel=True) for lap in (100, 200)]
    ahead = look_ahead(demo, 300, refuel)
    assert ahead.forecast.run_ends_by in CORNERS
    worn = ahead.forecast.run_ends_by
    assert 0 <= whole_laps(min(ahead.forecast.tire_laps.values())) - ahead.driven <= 2
    assert 0.98 < ahead.forecast.wear_end[worn] <= 1.0
    assert f"the {worn} tire is used up" in say_end(ahead)[0]


def test_new_tires_carry_the_run_on_to_its_planned_end(demo):
    stops = [Stop(100, new_tires=ALL_NEW, fuel=True), Stop(200, new_tires=ALL_NEW, fuel=True)]
    ahead = look_ahead(demo, 300, stops)
    assert ahead.driven == ahead.planned == 300
    assert max(ahead.forecast.wear_end.values()) < 0.7
    assert say_end(ahead)[0].startswith("All 300 laps can be driven;")


def test_equal_stints_of_an_ordinary_run_of_300_laps_are_alike(demo):
    """New tires and a full tank every hundred laps: what a stint begins with is what it goes through."""
    stops = [Stop(lap, new_tires=ALL_NEW, fuel=True) for lap in (100, 200)]
    run = look_ahead(demo, 300, stops).run
    lines = {
        "balance": (run.mean_balance[:, 2, 0], 0.02),
        "tread": (run.moments.tread[1, :, 0], 0.2),
        "wear": (run.moments.wear[3, :, 0], 0.002),
        "fuel": (run.moments.fuel_used[:, 0], 0.02),
        "lap time": (run.lap.time[:, 0], 0.01),
    }
    for lap in (20.0, 50.0, 99.0):
        for name, (line, apart) in lines.items():
            first, second, third = np.interp([lap, 100.0 + lap, 200.0 + lap], run.laps, line)
            assert third == pytest.approx(second, abs=apart), (name, lap)
            assert second == pytest.approx(first, abs=5.0 * apart), (name, lap)
    assert run.moments.wear[3, :, 0].max() < 0.7 < 3.0 * run.moments.wear[3, -1, 0]


def test_laps_to_spare_are_counted(ahead):
    laps = whole_laps(ahead.forecast.fuel_laps)
    (said,) = say_end(ahead)
    assert said == f"All 80 laps can be driven; first to be used up: the fuel, after lap {laps}."
    assert (
        say_fuel(ahead, "trade")
        == f"Fuel: 0.088 gal a lap; 12.0 gal at the start last {laps} laps, {laps - 80} laps over."
    )


# stops


def test_new_right_tires_put_the_right_side_back_and_leave_the_left(demo, ahead):
    stopped = look_ahead(demo, stops=[Stop(40, new_tires=(False, True, False, True))]).forecast
    plain = ahead.forecast
    assert stopped.wear_end["RF"] < 0.7 * plain.wear_end["RF"]
    assert stopped.wear_end["LF"] == pytest.approx(plain.wear_end["LF"], rel=0.1)


def test_a_caution_cools_the_tires_and_fuel_puts_the_weight_back(demo, ahead):
    caution = look_ahead(demo, stops=[Stop(79, slow_laps=6)])
    assert caution.forecast.tread["RF"]["worn"] < ahead.forecast.tread["RF"]["worn"]
    fuelled = look_ahead(demo, stops=[Stop(60, fuel=True)])
    assert fuelled.run.moments.fuel_used[-1, 0] < 0.3 * ahead.run.moments.fuel_used[-1, 0]
    assert fuelled.forecast.fuel_laps > ahead.forecast.fuel_laps + 50


# balance, steering


def test_balance_is_the_mean_of_the_ends_weighted_by_time_and_of_the_laps_of_a_stage(ahead):
    forecast, run = ahead.forecast, ahead.run
    for place, phase in enumerate(PHASES):
        time = run.lap.corner_time[:, :, :, 0].sum(axis=1)
        line = np.average(run.balance[:, place, :, 0], weights=time, axis=1)
        assert forecast.balance_line[phase] == pytest.approx(tuple(line), abs=1e-9)
        assert forecast.balance[phase]["worn"] == pytest.approx(weigh_knots(run.laps, "worn") @ line, abs=1e-9)
        assert forecast.balance[phase]["settled"] == pytest.approx(0.0, abs=0.1)


def test_lock_shares_are_given_only_when_the_case_knows_the_lock(demo, ahead):
    known = plain(ahead, Way())["steering"]
    assert 0.02 < known["middle"]["settled"]["lock_share"] < 0.5
    blind = look_ahead(replace(demo, car=replace(demo.car, steering_lock=None)))
    unknown = plain(blind, Way())["steering"]
    assert unknown["middle"]["settled"]["lock_share"] is None
    assert unknown["middle"]["settled"]["useful_share"] == pytest.approx(known["middle"]["settled"]["useful_share"])


def test_no_steering_is_useful_beyond_the_fronts_peak(ahead):
    shares = [ahead.forecast.useful_share[phase][stage] for phase in PHASES for stage in STAGES]
    assert 0 < min(shares) <= max(shares) <= 1 + 1e-6


# gears


def test_every_legal_pair_is_ranked_by_lap_time(demo, ahead):
    finals = demo.rulebook.limits["final_drive"].parts
    assert {(one.gear, one.final_drive) for one in ahead.gears} == {
        (gear, final) for gear in (1.0, 1.3) for final in finals
    }
    assert len(ahead.gears) == 18
    laps = [one.lap_s for one in ahead.gears]
    slower = [later - one for one, later in pairwise(laps)]
    assert min(slower) > -gears_module.SAME_TIME  # pairs nobody can tell apart stand in the order of the limiter
    for one in ahead.gears:
        assert one.overall == pytest.approx(one.gear * one.final_drive, rel=1e-12)
        assert (
            one.rpm_max < demo.car.engine.rev_limit * 1.05
        )  # out of a corner quicker than the limiter, it coasts down
        assert (one.limiter_s > 0) == (one.rpm_max > 0.995 * demo.car.engine.rev_limit)
    assert [one.now for one in ahead.gears].count(True) == 1


def test_a_fixed_ratio_leaves_only_todays(demo):
    limits = {lever: limit for lever, limit in demo.rulebook.limits.items() if lever != "gear"}
    fixed = replace(demo, rulebook=replace(demo.rulebook, limits=limits))
    assert allowed_ratios(fixed, "gear") == [1.0]
    assert len(gear_setups(fixed)) == 9


def test_a_range_of_ratios_is_tried_at_even_places(demo):
    limits = {**demo.rulebook.limits, "final_drive": LeverLimit(4.0, 6.0, 0.01, "shop")}
    ratios = allowed_ratios(replace(demo, rulebook=replace(demo.rulebook, limits=limits)), "final_drive")
    assert ratios[0] == 4.0
    assert len(ratios) <= gears_module.MOST_VALUES + 1
    assert np.ptp(np.diff(ratios)) < 1e-9


def test_gears_nobody_allows_are_kept_when_they_are_fitted(demo):
    odd = replace(demo, setup=with_value(demo.setup, "final_drive", 5.2))
    assert len(gear_setups(odd)) == 19


BEST = Gear(1.0, 6.0, 6.0, 7100.0, 5100.0, 280e3, 0.0, 23.20, 140.0, now=False)


@pytest.mark.parametrize(
    ("changes", "short", "full"),
    [
        ({}, "quickest", "quickest: 5,100 rpm and 375 hp at the slowest point, and clear of the limiter"),
        ({"overall": 5.9, "lap_s": 23.204}, "as quick", "no slower than the best that anybody could tell"),
        ({"overall": 5.7, "lap_s": 23.22}, "a little tall", "a little tall: 5,100 rpm and 375 hp at the slowest point"),
        (
            {"overall": 5.0, "lap_s": 23.4, "rpm_min": 4200.0, "power_low": 224e3},
            "too tall",
            "too tall to pull off the corner: 4,200 rpm and 300 hp at the slowest point, where the best has 375 hp",
        ),
        (
            {"overall": 7.0, "lap_s": 23.6, "limiter_s": 2.34},
            "on the limiter",
            "too short: on the limiter 2.3 s a lap, well before the line",
        ),
        (
            {"overall": 6.2, "lap_s": 23.3, "rpm_max": 7250.0},
            "too short",
            "too short: 7,250 rpm at the line, past the power peak at 6,500",
        ),
        (
            {"overall": 6.2, "lap_s": 23.3, "rpm_max": 6300.0},
            "shorter",
            "shorter, with nothing to gain from it",
        ),
    ],
)
def test_every_place_in_the_ranking_has_its_reason(demo, changes, short, full):
    one = replace(BEST, **changes) if changes else BEST
    assert say_gear(one, BEST, demo.car.engine, "trade") == full
    assert gear_words(judge_gear(one, BEST, demo.car.engine)) == short


@pytest.mark.parametrize(("lap_s", "first"), [((23.197, 23.2), 1), ((23.19, 23.2), 0), ((23.2, 23.201), 1)])
def test_of_pairs_nobody_can_tell_apart_the_one_clear_of_the_limiter_is_first(ahead, lap_s, first):
    setups = gear_setups(ahead.case)[:2]
    pace = ahead.forecast.pace
    forecasts = [
        replace(ahead.forecast, pace=replace(pace, average=lap), limiter_s=limiter)
        for lap, limiter in zip(lap_s, (1.4, 0.0), strict=True)
    ]
    ranked = rank_gears(ahead.case, setups, forecasts)
    assert (ranked[0].gear, ranked[0].final_drive) == pair_of(setups[first])


# brakes


def test_the_ideal_share_and_the_axle_that_locks_are_the_closed_forms_on_the_settled_car(ahead):
    brakes, run = ahead.brakes, ahead.run
    b, h = (float(weigh_knots(run.laps, "settled") @ run.problem.rest.cg[axis][:, 0]) for axis in (0, 2))
    a = ahead.case.car.wheelbase - b
    assert brakes.share_ideal == pytest.approx((b + 0.38 * h) / (a + b), rel=1e-9)  # moments about the rear contact
    assert brakes.share_ideal == pytest.approx(ideal_front_share(0.38 * 9.80665, a, b, h), rel=1e-9)
    front, rear = locking_decelerations(brakes.share_now, brakes.friction, a, b, h)
    assert [brakes.lock_front, brakes.lock_rear] == pytest.approx([float(front), float(rear)], rel=1e-9)
    assert brakes.lock_first == ("front" if front < rear else "rear")


def test_more_front_brake_turns_the_axle_that_locks_first_from_rear_to_front(demo):
    found = {}
    for share in (0.56, 0.74):
        ahead = look_ahead(replace(demo, setup=with_value(demo.setup, "brake_bias", share)))
        found[share] = (ahead.brakes.lock_first, share < ahead.brakes.share_locking)
    assert found == {0.56: ("rear", True), 0.74: ("front", False)}


@pytest.mark.parametrize(
    ("ideal", "locks", "begins", "goes"),
    [
        (0.5, "rear", "The harder the braking, the less weight stays on the rear: braked", "round"),
        (0.9, "rear", "Braked", "round"),
        (0.5, "front", "Braked", "straight on"),
    ],
)
def test_a_front_that_works_harder_while_the_rear_locks_first_is_explained(ahead, ideal, locks, begins, goes):
    pull = 1.10 * 9.80665
    brakes = replace(ahead.brakes, share_ideal=ideal, lock_first=locks, lock_front=pull, lock_rear=pull)
    says = f"{begins} until something locks, the {locks} goes first, at 1.10 g, and the car goes {goes}."
    assert says in say_brakes(brakes, "trade")


def test_a_step_of_brake_share_moves_the_entry_and_is_what_the_moved_run_says(demo, ahead):
    moved = brake_neighbors(demo)
    front = forecast_setups(ahead.model, [moved["front"]])[0]
    step, change = ahead.brakes.steps["front"]
    assert step == pytest.approx(0.01)
    assert change["entry"]["settled"] == pytest.approx(
        front.balance["entry"]["settled"] - ahead.forecast.balance["entry"]["settled"], abs=1e-3
    )
    assert change["entry"]["settled"] > 0.05
    assert ahead.brakes.steps["rear"][1]["entry"]["settled"] < -0.05


# the words


def test_only_phases_that_are_known_for_most_of_the_run_are_drawn(ahead):
    value = ahead.forecast.balance
    off = Grid.level({"entry": 3.0, "middle": 3.0, "exit": 0.0})
    picture = Picture(value, value - off, value + off, said={("entry", "fresh"): "tight"})
    drawn = charts_of(replace(ahead, picture=picture))
    assert [list(chart.lines) for chart in drawn] == [["coming off"], ["LF", "RF", "LR", "RR"]]
    assert drawn[0].letters == "o"


def test_drift_is_said_per_phase_by_its_band_and_not_where_nobody_knows(ahead):
    made = replace(ahead.forecast, laps=(0.0, 60.0, 90.0))
    drift = {"entry": Shown(0.6, 0.3, 0.9), "middle": Shown(0.0, -0.6, 0.6), "exit": Shown(-1.2, -1.3, -1.1)}
    assert say_drift(made, drift) == (
        "From lap 30 to lap 90 the car goes: getting in 0.3 to 0.9 tighter; coming off 1.1 to 1.3 looser."
    )
    assert say_drift(made, {"middle": drift["middle"]}) == ""


def test_the_tire_used_most_is_named_and_when_another_takes_over():
    flat = (0.0, 0.1, 0.2, 0.3)
    laps = (0.0, 10.0, 20.0, 30.0)
    same = {"LF": flat, "RF": (0.0, 0.2, 0.4, 0.6), "LR": flat, "RR": (0.0, 0.15, 0.38, 0.5)}
    assert say_leader(laps, same) == "The RF is used most all the way."
    level = {**same, "RR": (0.0, 0.15, 0.38, 0.601)}
    assert say_leader(laps, level) == "The RF is used most until the RR is level with it at the end."
    turned = {**same, "RR": (0.0, 0.15, 0.38, 0.65)}
    assert say_leader(laps, turned) == "Used most: the RF until lap 30, then the RR."


def test_the_conflict_of_air_is_said_per_stage():
    felt = {stage: Shown(-0.5, -0.8, -0.2) for stage in STAGES}
    chance = dict(zip(STAGES, (0.2, 0.62, 0.97), strict=True))
    head, does, conflict = say_air(AirEffect(Shown(0.01, -0.004, 0.021), felt, chance), "trade")
    assert head.startswith("Right-rear air, for 2 psi more (half of what 2 psi less to 2 psi more does), on 8 of 10")
    assert does.startswith("between 0.4 points of tread lost and 2.1 saved by the end; coming off 0.2 to 0.8 looser on")
    assert conflict == (
        "Life against balance, more air that saves the tire and loosens the car: on fresh tires in 2 of 10 plausible "
        "cars, once settled in 6 of 10 plausible cars, late in the run in nearly all plausible cars."
    )
    assert say_air(AirEffect(Shown(0.01, 0.004, 0.021), felt, chance), "trade")[1].startswith("0.4 to 2.1 points of")
    assert say_air(None, "trade") == [NO_AIR]


# JSON and the table of laps


def test_the_json_has_the_keys_of_the_contract(ahead):
    found = plain(ahead, Way())
    assert list(found) == ["balance", "ends", "tires", "fuel", "run_ends_by", "steering", "gears", "brakes", "as_said"]
    assert list(found["tires"]) == list(CORNERS)
    assert list(found["tires"]["RF"]) == ["wear_end", "laps", "temps", "hot_pressure", "band"]
    assert list(found["tires"]["RF"]["temps"]) == ["inside", "middle", "outside"]
    assert list(found["fuel"]) == ["per_lap", "laps"]
    assert list(found["steering"]["exit"]["worn"]) == ["useful_share", "lock_share"]
    assert list(found["gears"][0]) == [
        "gear", "final_drive", "overall", "rpm_max", "rpm_min", "limiter_s", "lap_s", "fuel_laps",
    ]  # fmt: skip
    assert list(found["brakes"]) == ["share_ideal", "lock_first"]
    assert [end["id"] for end in found["ends"]] == ["turns 1-2", "turns 3-4"]
    assert found["run_ends_by"] == "fuel"


def test_units_change_the_numbers_and_nothing_else(ahead):
    trade, si = plain(ahead, Way()), plain(ahead, Way("si"))
    assert si["tires"]["RF"]["hot_pressure"] == pytest.approx(trade["tires"]["RF"]["hot_pressure"] * 6.894757, rel=1e-6)
    warm = trade["tires"]["RF"]["temps"]["inside"]
    assert si["tires"]["RF"]["temps"]["inside"] == pytest.approx((warm - 32) / 1.8)
    assert si["fuel"]["per_lap"] == pytest.approx(trade["fuel"]["per_lap"] * 3.785411784)
    assert si["balance"] == trade["balance"]


def test_change_is_after_less_before_number_by_number(demo):
    after = with_value(demo.setup, "stagger", demo.setup.values["stagger"] + 0.00635)
    before, done = compare_ahead(demo, after)
    moved = done.forecast.balance - before.forecast.balance
    found = try_data(before, done, Picture(moved, moved, moved), Way())
    assert list(found) == ["before", "after", "change", "as_said"]
    assert list(found["change"]) == list(found["before"])
    one, other, change = found["before"], found["after"], found["change"]
    assert change["balance"]["exit"]["worn"]["value"] == pytest.approx(
        other["balance"]["exit"]["worn"]["value"] - one["balance"]["exit"]["worn"]["value"], abs=0.011
    )
    assert change["balance"]["exit"]["worn"]["value"] < -0.2
    assert change["tires"]["RR"]["temps"]["inside"] == pytest.approx(
        other["tires"]["RR"]["temps"]["inside"] - one["tires"]["RR"]["temps"]["inside"]
    )
    assert change["run_ends_by"] is None
    assert change["brakes"] == {"share_ideal": pytest.approx(0.0, abs=1e-3), "lock_first": None}
    pair = {(gear["gear"], gear["final_drive"]): gear for gear in change["gears"]}
    assert len(pair) == 18
    laps = [{(g["gear"], g["final_drive"]): g["lap_s"] for g in half["gears"]}[1.0, 6.0] for half in (one, other)]
    assert pair[1.0, 6.0]["lap_s"] == pytest.approx(laps[1] - laps[0])


def test_what_is_not_known_has_no_change():
    assert change_between({"a": None, "b": 1}, {"a": 2.0, "b": 3}) == {"a": None, "b": 2}


def test_both_runs_of_a_comparison_go_as_far_as_the_shorter(demo):
    small = with_value(demo.setup, "fuel_at_green", 5 * GALLON)
    before, after = compare_ahead(demo, small)
    assert before.driven == after.driven < 80


def test_the_table_has_every_lap_and_agrees_with_the_run_at_its_knots(ahead):
    head, rows = lap_table(ahead)
    assert [row[0] for row in rows] == list(range(1, 81))
    assert len(head) == len(set(head)) == len(rows[0])
    last = dict(zip(head, rows[-1], strict=True))
    assert last["balance_exit_percent"] == pytest.approx(ahead.forecast.balance_line["exit"][-1], abs=1e-4)
    assert last["RF_tread_used_share"] == pytest.approx(ahead.forecast.wear_end["RF"], abs=1e-5)
    assert last["fuel_left_gal"] == pytest.approx(12.0 - 80 * plain(ahead, Way())["fuel"]["per_lap"], rel=0.01)
    assert np.mean([row[head.index("lap_time_s")] for row in rows]) == pytest.approx(
        ahead.forecast.pace.average, rel=1e-4
    )


def test_the_row_of_a_lap_with_a_stop_is_before_the_stop(demo):
    head, rows = lap_table(look_ahead(demo, stops=[Stop(40, new_tires=ALL_NEW)]), "si")
    wear = head.index("RF_tread_used_share")
    assert rows[39][wear] > 0.1 > rows[40][wear]
    assert "RF_hot_pressure_kPa" in head


@pytest.mark.parametrize("laps", [20, 47, 130])
def test_a_run_of_any_length_is_settled_in_its_middle_third(demo, laps):
    model, driven, _ = reach(demo, [demo.setup], laps, ())
    assert driven == laps
    (forecast,) = forecast_setups(model, [demo.setup])
    assert abs(forecast.balance["middle"]["settled"]) < 0.1
    assert forecast.laps[-1] == laps


# corners out of reach

OUT_OF_REACH = (
    "In some corner this car cannot be at its tires' limit: engine, limiter or straight bring it there too slow, or "
    "leave no room to brake. It is computed there all the same: laps come out too quick, and the driver never meets "
    "that balance. See forecast gears."
)


def changed_engine(demo, **engine):
    return replace(demo, car=replace(demo.car, engine=replace(demo.car.engine, **engine)))


def changed_ends(demo, **end):
    return replace(demo, track=replace(demo.track, ends=tuple(replace(one, **end) for one in demo.track.ends)))


@pytest.mark.parametrize(
    "change",
    [
        lambda demo: changed_engine(demo, rev_limit=4500.0),
        lambda demo: changed_engine(demo, power=tuple(watts / 40.0 for watts in demo.car.engine.power)),
        lambda demo: changed_ends(demo, radius=300.0, bank=0.45, length=940.0, straight=600.0),
    ],
    ids=["limiter below the corners", "engine too weak", "fast steep track"],
)
def test_a_corner_the_car_cannot_take_at_its_limit_is_said_to_be_out_of_reach(demo, change):
    case = change(demo)
    (forecast,) = forecast_setups(read_model(case), [case.setup])
    assert say_reach(forecast) == [OUT_OF_REACH]


def test_on_the_demo_every_corner_is_in_reach(ahead):
    assert say_reach(ahead.forecast) == []


# tires that run away hot

HOT = (
    "The {corners} away hot: {above} above the best temperature of the tread at the end of the run. "
    "Every size is uncertain here, late in the run most of all."
)


def heated(forecast, best, **over):
    tread = {corner: {**forecast.tread[corner], "worn": best + over.get(corner, 0.0)} for corner in CORNERS}
    return replace(forecast, tread=tread)


@pytest.mark.parametrize(
    ("over", "system", "corners", "above"),
    [
        ({"RR": 30.0}, "trade", "right rear runs", "54 F"),
        ({"RR": 30.0}, "si", "right rear runs", "30 C"),
        ({"RF": 40.0, "RR": 26.0}, "si", "right front and right rear run", "up to 40 C"),
    ],
)
def test_a_tire_far_above_its_best_temperature_is_said_to_run_away(ahead, over, system, corners, above):
    best = ahead.case.tire.best_temperature
    said = say_heat(heated(ahead.forecast, best, **over), best, system)
    assert said == [HOT.format(corners=corners, above=above)]


def test_a_tire_near_its_best_temperature_is_not_said_to_run_away(ahead):
    best = ahead.case.tire.best_temperature
    assert say_heat(heated(ahead.forecast, best, RR=24.9), best, "trade") == []
    assert say_heat(ahead.forecast, best, "trade") == []


def test_without_wear_a_steep_track_on_a_hot_day_makes_the_right_front_run_away(demo):
    """Tread that keeps most of its heat and does not wear away; air at 97 F; found on the demo car, no source."""
    steep = read_track(demo_folder() / "track-steep.yaml")
    day = replace(steep, air_temperature=steep.air_temperature + 12.0)
    case = replace(demo, track=day, tire=replace(demo.tire, wear_rate=0.0, heat_share=0.8))
    (forecast,) = forecast_setups(read_model(case), [case.setup])
    (said,) = say_heat(forecast, case.tire.best_temperature, "trade")
    assert said.startswith("The right front")
