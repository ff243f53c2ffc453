"""One believed run behind every screen: the same car has the same number wherever it is told."""

import json
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from assistant.belief.corners import read_corners
from assistant.belief.driven import moved_from
from assistant.belief.garage import open_garage
from assistant.belief.look_ahead import MOVE, Reach, compare_ahead, find_longest, look_ahead, reach, weigh_air
from assistant.belief.outcome import MeanRun, read_run
from assistant.belief.picture import Told, believe_told
from assistant.belief.whole_run import lap_of_reaching, whole_laps
from assistant.car.files import read_case
from assistant.car.moves import with_value
from assistant.cli import main
from assistant.ground.names import CORNERS, PHASES, STAGES
from assistant.ground.understood import Cell, Complaint
from assistant.pages.run_words import say_end
from assistant.physics.heat_and_wear import Stop

LATE = Complaint("loose off late", (Cell("exit", "worn", "loose", 3.0, severity_given=False),))


def believe(case):
    return believe_told(case, [Told(case.setup, LATE)], open_garage(case))


@pytest.fixture(scope="module")
def demo():
    return read_case("demo")


@pytest.fixture(scope="module")
def ahead(demo):
    return look_ahead(demo, believe=believe)


def test_tires_fuel_and_pace_are_the_mean_of_the_believed_cars(ahead):
    run, belief, laps = ahead.forecast, ahead.belief, float(ahead.driven)
    for corner in CORNERS:
        assert run.wear_end[corner] == pytest.approx(belief.mean(belief.read(f"wear {corner}", laps)))
        for stage in STAGES:
            for told, name in ((run.tread, "tread"), (run.hot_pressure, "pressure")):
                assert told[corner][stage] == pytest.approx(belief.mean(belief.read(f"{name} {corner}", stage)))
    assert run.fuel_per_lap * laps == pytest.approx(belief.mean(belief.read("fuel", laps)), rel=0.01)
    assert run.pace.last == pytest.approx(MeanRun(belief).pace()[2])


def test_the_three_temperatures_of_a_tread_have_the_believed_mean(ahead):
    for corner in CORNERS:
        assert np.mean(ahead.forecast.strips[corner]["worn"]) == pytest.approx(ahead.forecast.tread[corner]["worn"])


def test_each_end_stands_alike_in_the_forecast_and_in_the_corner(ahead, demo):
    reached = reach(demo, [demo.setup], demo.run_laps, (), lambda _: ahead.belief)
    for stage in STAGES:
        for one in read_corners(reached, stage):
            there = ahead.ends[one.end]
            assert there.value[one.phase][stage] == pytest.approx(one.balance.value, abs=1e-5)
            assert there.low[one.phase][stage] == pytest.approx(one.balance.low, abs=1e-5)
            assert there.high[one.phase][stage] == pytest.approx(one.balance.high, abs=1e-5)
            assert dict(ahead.forecast.ends)[one.end][one.phase][stage] == pytest.approx(one.balance.value, abs=1e-5)


def test_both_ends_together_are_the_picture(ahead):
    """By time over the plain car's corners in one, over each car's own in the other: a hundredth apart at most."""
    for phase in PHASES:
        for stage in STAGES:
            assert ahead.forecast.balance[phase][stage] == pytest.approx(ahead.picture.value[phase][stage], abs=0.02)


def test_what_an_offer_says_a_change_costs_is_what_trying_it_shows(demo, ahead):
    tighter = with_value(demo.setup, "cross_weight", demo.setup.values["cross_weight"] + 0.01)
    before, after = compare_ahead(demo, tighter, believe=lambda _: ahead.belief)
    run = read_run(ahead.belief, ahead.belief.move(moved_from(demo.setup, tighter)))
    for corner in CORNERS:
        told, change = run.tire_laps[corner]
        assert after.forecast.tire_laps[corner] == pytest.approx(told, rel=1e-3)
        assert before.forecast.tire_laps[corner] == pytest.approx(told - change, rel=1e-3)
        assert after.forecast.hot_pressure[corner]["worn"] == pytest.approx(run.hot_pressure[corner][0], rel=1e-3)
    for part, lost in run.pace.items():
        tried = getattr(after.forecast.pace, part) - getattr(before.forecast.pace, part)
        assert tried == pytest.approx(lost, abs=1e-4)


def test_a_price_in_tires_is_the_difference_of_the_same_car_with_and_without_the_change(demo, ahead):
    """Car by car: which tire goes first may differ from car to car, and with the change."""
    belief, laps = ahead.belief, ahead.belief.knots
    effect = belief.move({"cross_weight": 0.01})
    run, wears = read_run(belief, effect), [f"wear {corner}" for corner in CORNERS]
    before = np.stack([belief.along(name) for name in wears])
    after = before + np.stack([effect.along(name) for name in wears])
    lives = [np.stack([lap_of_reaching(laps, one, 1.0) for one in cars]).min(axis=0) for cars in (before, after)]
    assert run.first_tire == belief.show(np.minimum(lives[1], 1e4) - np.minimum(lives[0], 1e4))
    assert run.first_tire.low <= run.first_tire.value <= run.first_tire.high
    assert run.first_to_go[0] in ("RF", "RR")


def test_tread_never_grows(ahead):
    """What the model may be off is no reason to believe that a tire gains rubber or a tank fuel."""
    for name in (*(f"wear {corner}" for corner in CORNERS), "fuel"):
        assert (ahead.belief.along(name)[1:] > 0.0).all()
    assert all(low >= 0.0 for low, _ in ahead.bands.wear_end.values())


def test_todays_gears_have_the_lap_time_of_the_forecast(ahead):
    now = next(gear for gear in ahead.gears if gear.now)
    assert now.lap_s == pytest.approx(ahead.forecast.pace.average)
    assert now.fuel_laps == pytest.approx(ahead.forecast.fuel_laps)


def test_bands_of_the_tires_hold_what_is_shown(ahead):
    for corner in CORNERS:
        for name in ("wear_end", "tire_laps"):
            low, high = getattr(ahead.bands, name)[corner]
            assert low <= getattr(ahead.forecast, name)[corner] <= high
        low, high = ahead.bands.hot_pressure[corner]
        assert low < ahead.forecast.hot_pressure[corner]["worn"] < high


def test_what_a_stop_renews_comes_on_top_of_what_is_believed(demo, ahead):
    stopped = look_ahead(demo, stops=[Stop(40, new_tires=(False, True, False, True))], believe=lambda _: ahead.belief)
    assert stopped.forecast.wear_end["RF"] < 0.7 * ahead.forecast.wear_end["RF"]
    assert stopped.forecast.wear_end["LF"] == pytest.approx(ahead.forecast.wear_end["LF"], rel=0.1)
    assert stopped.picture.value["exit"]["worn"] == pytest.approx(stopped.forecast.balance["exit"]["worn"])
    assert stopped.bands is None


def test_where_no_car_fits_the_plain_one_is_driven(demo, ahead):
    shut = replace(ahead.belief, fit=replace(ahead.belief.fit, effective=1.0))
    found = look_ahead(demo, believe=lambda _: shut)
    assert found.picture.shut
    assert found.bands is None
    assert found.forecast.wear_end == look_ahead(demo).forecast.wear_end


def test_the_commands_say_one_number(capsys):
    def asked(*words):
        assert main([*words, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    forecast, corner = asked("forecast", "demo"), asked("corner", "demo", "--stage", "worn")
    tried, advice = asked("try", "demo", "cross up 1"), asked("advise", "demo")
    ends = {end["id"]: end["balance"] for end in forecast["ends"]}
    for one in corner["corners"]:
        assert one["balance"] == pytest.approx(ends[one["end"]][one["phase"]]["worn"], abs=1e-5)
    assert tried["before"]["tires"] == forecast["tires"]
    assert advice["balance"] == forecast["balance"]
    for remedy in advice["remedies"]:
        for tire, life in (remedy["tire_life_laps"] or {}).items():
            assert life["after"] - life["change"] == pytest.approx(forecast["tires"][tire]["laps"], rel=1e-3)


def test_the_longest_run_is_found_from_either_side():
    """Each length of run ends after so many laps; a run is as long as it lasts, and not as long as a longer one did."""

    def lasts(ends, planned):
        return find_longest(lambda laps: (Reach(None, laps, None), min(planned, ends(laps))), planned, planned).laps

    assert lasts(lambda _: 500, 80) == 80
    assert lasts(lambda _: 64, 300) == 64
    assert 74 <= lasts(lambda laps: int(87 - laps / 9), 300) <= 78
    assert lasts(lambda laps: 0 * laps + 1, 300) == 1


def test_what_ends_a_run_is_what_is_used_up_when_it_ends(demo):
    """Tires of a rate of wear twice as high give out before the tank on the plain car; the believed ones decide."""
    hungry = replace(demo, tire=replace(demo.tire, wear_rate=2.0 * demo.tire.wear_rate), run_laps=300)
    ahead = look_ahead(hungry, believe=believe)
    assert ahead.cut_short
    first = say_end(ahead)[0]
    if whole_laps(ahead.forecast.run_ends_at) - ahead.driven <= 3:
        assert first.startswith(f"The run ends after lap {ahead.driven} of 300: the ")
    else:  # of so few cars none may be left that lasts longer
        assert first.startswith(f"Of the 300 laps {ahead.driven} can be told of: hardly a car like this one lasts")
    few = next(text for text in say_end(ahead) if text.startswith("Only "))
    assert few.endswith("cars like this one last so long on their tires: the numbers are of those.")


@pytest.mark.parametrize(("lasting", "gone"), [(0.6, "4 of 10"), (0.01, "most")])
def test_where_tires_of_many_cars_are_gone_before_the_end_that_is_said_first(lasting, gone):
    forecast = SimpleNamespace(run_ends_by="fuel", run_ends_at=141.3)
    ahead = SimpleNamespace(forecast=forecast, planned=80, driven=80, cut_short=False, lasting=lasting)
    first, then = say_end(ahead)
    assert first == f"On {gone} cars like this one a tire is gone before lap 80; the numbers are of the others."
    assert then == "There all 80 laps can be driven, and first to be used up is the fuel, after lap 141."
    (only,) = say_end(SimpleNamespace(**{**vars(ahead), "lasting": 0.99}))
    assert only == "All 80 laps can be driven; first to be used up: the fuel, after lap 141."


def test_right_rear_air_is_weighed_on_the_believed_cars(demo, ahead):
    """As trying it shows: more air loosens the car off; whether it saves the tire hangs on numbers nobody knows."""
    air = weigh_air(ahead)
    now = demo.setup.values["pressure_rr"]
    less, more = (
        compare_ahead(demo, with_value(demo.setup, "pressure_rr", now + by), believe=lambda _: ahead.belief)[1].forecast
        for by in (-MOVE, MOVE)
    )
    assert air.tread.value == pytest.approx((less.wear_end["RR"] - more.wear_end["RR"]) / 2, abs=1e-3)
    off = (more.balance["exit"]["settled"] - less.balance["exit"]["settled"]) / 2
    assert air.balance["settled"].value == pytest.approx(off, abs=0.02)
    assert air.balance["settled"].value < 0.0
    assert 0.0 < min(air.conflict.values()) <= max(air.conflict.values()) < 1.0
    assert weigh_air(look_ahead(demo)) is None


def test_gears_are_no_lever_of_the_balance(capsys):
    """The next ratio puts the car on the limiter; what that does to the balance is told with the gears."""

    def asked(*words):
        assert main(["levers", "demo-snap", *words]) == 0
        return [line.split("  ")[0] for line in capsys.readouterr().out.splitlines()]

    assert not {"gear", "final drive"} & set(asked())
    assert {"gear", "final drive"} <= set(asked("all"))
