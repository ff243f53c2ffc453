"""Stories of the trade as runs with numbers of their own: the model must tell them by itself, nothing is tuned to them.

Every number here is invented. Where a story needs a car, it is the demo's with the changes stated in the test.
"""

from dataclasses import replace

import numpy as np
import pytest

from assistant.belief.gears_and_brakes import judge_gear
from assistant.belief.look_ahead import look_ahead
from assistant.belief.model import read_model
from assistant.belief.whole_run import drive_setups
from assistant.car.case import LeverLimit
from assistant.car.files import read_case
from assistant.car.moves import with_value
from assistant.ground.names import CORNERS, PHASES
from assistant.ground.units import from_unit
from assistant.physics.car_and_driver import usual_phases
from assistant.physics.driven_run import drive_run
from tests.demo_table import forecast_setups

RF, RR = CORNERS.index("RF"), CORNERS.index("RR")


def moved(setup, **values):
    for lever, value in values.items():
        setup = with_value(setup, lever, value)
    return setup


@pytest.fixture(scope="module")
def demo():
    return read_case("demo")


@pytest.fixture(scope="module")
def late_loose(demo):
    """The demo made free late, with a rate of RR spring and 2 psi of RR air; then the same with nose and cross up."""
    free = moved(demo.setup, spring_rr=from_unit(250, "lb/in"), pressure_rr=from_unit(24, "psi"))
    cured = moved(free, nose_weight=free.values["nose_weight"] + 0.01, cross_weight=free.values["cross_weight"] + 0.01)
    model = read_model(demo)
    return drive_setups(model, [free, cured]), forecast_setups(model, [free, cured])


# gears (common practice, no source)


def gear_case(demo, gears, finals):
    """Give the demo's car another box and other rear gears."""
    limits = {
        **demo.rulebook.limits,
        "gear": LeverLimit(min(gears), max(gears), 0.1, "pit stop", tuple(gears)),
        "final_drive": LeverLimit(min(finals), max(finals), 0.1, "shop", tuple(finals)),
    }
    engine = replace(demo.car.engine, gears=(2.40, *sorted(gears, reverse=True)))
    return replace(
        demo,
        car=replace(demo.car, engine=engine),
        rulebook=replace(demo.rulebook, limits=limits),
        setup=moved(demo.setup, gear=gears[0], final_drive=finals[0]),
    )


def test_a_lower_box_gear_with_a_taller_rear_gear_wins_between_too_tall_and_the_limiter(demo):
    """In direct drive one rear gear bogs and one screams; the ratio between is made from the other pair."""
    case = gear_case(demo, gears=(1.00, 1.22), finals=(4.40, 6.20))
    ahead = look_ahead(case)
    best = ahead.gears[0]
    why = {(one.gear, one.final_drive): judge_gear(one, best, case.car.engine) for one in ahead.gears}
    assert (best.gear, best.final_drive) == (1.22, 4.40)
    assert 4.40 < best.overall < 6.20
    assert best.overall == pytest.approx(1.22 * 4.40)
    assert why == {
        (1.22, 4.40): "quickest",
        (1.00, 4.40): "too tall",
        (1.00, 6.20): "on the limiter",
        (1.22, 6.20): "on the limiter",
    }
    screams = next(one for one in ahead.gears if one.overall == 6.20)
    assert screams.limiter_s > 1.0  # well before the line
    assert best.limiter_s == 0.0


# right front early, right rear late


def test_the_right_front_and_right_rear_are_used_alike_early_and_the_right_rear_is_ahead_at_the_end(late_loose):
    wear = late_loose[0].moments.wear[..., 0]
    ahead = wear[RF] - wear[RR]
    early = late_loose[0].laps <= 12.0
    assert np.abs(ahead[early]).max() < 0.003
    assert -0.05 < ahead[-1] < -0.01


def test_with_more_nose_and_cross_the_right_front_is_ahead_all_the_run(late_loose):
    wear = late_loose[0].moments.wear[..., 1]
    assert (wear[RF] > wear[RR])[1:].all()
    assert wear[RF, -1] - wear[RR, -1] > 0.005


def test_more_nose_and_cross_take_late_looseness_away_and_cost_right_front_early(late_loose):
    run, (free, cured) = late_loose
    assert free.balance["exit"]["worn"] < -1.0
    assert cured.balance["exit"]["worn"] > free.balance["exit"]["worn"] + 1.0
    early = np.searchsorted(run.laps, 12.0)
    wear = run.moments.wear
    assert wear[RF, early, 1] > 1.05 * wear[RF, early, 0]
    assert wear[RR, -1, 1] < wear[RR, -1, 0]
    assert cured.tire_laps["RF"] < free.tire_laps["RF"]


# not circular: the drift comes from the setup


def test_with_one_car_tire_and_track_the_quick_setup_drifts_looser_and_turns_loose_coming_off():
    """The demo files as they are: the careful setup anchored neutral, then the quick one on the very same car."""
    careful, quick = read_case("demo-tight"), read_case("demo")
    assert (careful.car, careful.tire, careful.track) == (quick.car, quick.tire, quick.track)
    tight, loose = forecast_setups(read_model(careful), [careful.setup, quick.setup])
    drifts = [
        {phase: one.balance[phase]["worn"] - one.balance[phase]["settled"] for phase in PHASES}
        for one in (tight, loose)
    ]
    assert all(drifts[0][phase] > 0.1 for phase in PHASES)
    assert all(drifts[1][phase] < drifts[0][phase] - 0.25 for phase in PHASES)
    assert drifts[1]["exit"] < -0.1


@pytest.mark.parametrize("name", ["demo", "demo-tight"])
def test_the_way_in_goes_tighter_late(name):
    case = read_case(name)
    (ahead,) = forecast_setups(read_model(case), [case.setup])
    assert ahead.balance["entry"]["worn"] - ahead.balance["entry"]["settled"] > 0.2


# the knots against every lap


@pytest.mark.parametrize(("name", "laps"), [("demo", 100), ("demo-tight", 80), ("demo-snap", 60)])
def test_a_run_through_knots_agrees_with_the_run_lap_by_lap(name, laps):
    case = replace(read_case(name), run_laps=laps)
    model = read_model(case)
    knots = drive_run(model.numbers, usual_phases(), model.circuit, laps)
    every = drive_run(model.numbers, usual_phases(), model.circuit, laps, every_lap=True)
    wanted = np.arange(1, laps + 1)
    for phase in range(3):
        for end in range(2):
            between = np.interp(wanted, knots.laps, knots.balance[:, phase, end, 0])
            assert np.abs(between - every.balance[1:, phase, end, 0]).max() < 0.1
    for corner in range(4):
        between = np.interp(wanted, knots.laps, knots.moments.wear[corner, :, 0])
        assert between[-1] == pytest.approx(every.moments.wear[corner, -1, 0], rel=0.01)
        assert between == pytest.approx(every.moments.wear[corner, 1:, 0], rel=0.03, abs=1e-4)
