"""Three hundred setups the rules allow, on a half mile, a flat and a steep track: numbers, never nonsense."""

import random
from dataclasses import replace

import numpy as np
import pytest

from assistant.belief.look_ahead import look_ahead
from assistant.belief.model import NO_STEADY_STATE, read_model, refuse_runaway
from assistant.belief.whole_run import drive_setups, read_forecasts
from assistant.car.files import read_case, read_track
from assistant.car.moves import setup_faults, with_value
from assistant.ground.folders import demo_folder
from assistant.ground.problems import BadInput
from tests.demo_table import believe_case

TRACKS = ("track", "track-flat", "track-steep")
MOST_BALANCE = 50.0
"""Percent of grip: twice the worst that was found would be no car any more."""


@pytest.fixture(scope="module", params=TRACKS)
def driven(request):
    case = replace(read_case("demo"), track=read_track(demo_folder() / f"{request.param}.yaml"))
    model = read_model(case)
    setups = legal_setups(case, 100, seed=TRACKS.index(request.param))
    own = read_forecasts(model, drive_setups(model, [case.setup]))[0]
    return own, read_forecasts(model, drive_setups(model, setups))


def test_balance_is_a_number_no_car_would_laugh_at(driven):
    cells = np.array([[cell for row in one.balance.values() for cell in row.values()] for one in driven[1]])
    assert np.isfinite(cells).all()
    assert np.abs(cells).max() < MOST_BALANCE


def test_tires_wear_and_fuel_is_burned(driven):
    wear = np.array([list(one.wear_end.values()) for one in driven[1]])
    assert np.isfinite(wear).all()
    assert (wear > 0.0).all()
    assert all(0.0 < one.fuel_per_lap < 5.0 for one in driven[1])
    assert all(np.isfinite(one.run_ends_at) and one.run_ends_at > 0.0 for one in driven[1])


def test_no_setup_makes_the_lap_half_as_long_or_twice(driven):
    own, others = driven
    assert all(0.7 * own.pace.average < one.pace.average < 1.5 * own.pace.average for one in others)


def test_pressures_and_temperatures_are_those_of_tires(driven):
    pressures = [p for one in driven[1] for stages in one.hot_pressure.values() for p in stages.values()]
    treads = [t for one in driven[1] for stages in one.tread.values() for t in stages.values()]
    assert min(pressures) > 0.0
    assert max(pressures) < 700e3
    assert min(treads) > 250.0
    assert max(treads) < 500.0


def test_a_run_four_times_as_long_as_a_tire_lasts_ends_where_the_tire_does():
    """Wear past the end of the tread once took more grip than there was, and the forecast ended in a traceback."""
    case = replace(read_case("demo"), track=read_track(demo_folder() / "track-steep.yaml"))
    tire = replace(case.tire, tread=case.tire.tread / 4.0)
    ahead = look_ahead(replace(case, tire=tire), 300)
    assert ahead.driven < 80
    assert np.isfinite(ahead.forecast.run_ends_at)


def test_a_track_without_straights_has_a_forecast_without_a_hole():
    case = read_case("demo")
    ends = tuple(replace(end, straight=0.0) for end in case.track.ends)
    ahead = look_ahead(replace(case, track=replace(case.track, ends=ends)), 20)
    assert np.isfinite([part for strips in ahead.forecast.strips["RF"].values() for part in strips]).all()


def test_advice_for_a_track_without_grip_is_that_there_is_no_steady_state():
    """Braking and driving ask for more than a tenth of the grip gives: the car at hand is solved nowhere."""
    case = read_case("demo")
    with pytest.raises(BadInput) as refused:
        believe_case(replace(case, track=replace(case.track, grip=0.1)))
    assert refused.value.problems[0].says == NO_STEADY_STATE


def test_advice_for_a_run_far_longer_than_its_tires_last_blames_the_length_of_the_run():
    with pytest.raises(BadInput) as refused:
        believe_case(replace(read_case("demo"), run_laps=2000))
    assert refused.value.problems[0].says == NO_STEADY_STATE
    assert refused.value.problems[0].hint == (
        "a run of 2000 laps uses up more than the tires have: state a shorter run"
    )


def test_a_run_with_a_hole_in_it_is_said_to_have_no_steady_state():
    case = read_case("demo")
    run = read_model(case).run
    refuse_runaway(case, run)
    with pytest.raises(BadInput) as refused:
        refuse_runaway(case, replace(run, balance=np.where(run.balance > run.balance.min(), run.balance, np.nan)))
    assert refused.value.problems[0].says == NO_STEADY_STATE


# Random setups that the demo's rulebook allows, for tests that ask whether any of them makes nonsense.


def legal_setups(case, wanted, seed):
    """Draw setups: each lever at either end of its range as often as somewhere between; those that lift a wheel go."""
    chance = random.Random(seed)  # noqa: S311 - no secret
    found = []
    while len(found) < wanted:
        setup = case.setup
        for lever, limit in case.rulebook.limits.items():
            if lever in setup.values:
                setup = with_value(setup, lever, draw_value(limit, chance))
        if not list(setup_faults(replace(case, setup=setup), "trade")):
            found.append(setup)
    return found


def draw_value(limit, chance):
    if limit.parts:
        return chance.choice(limit.parts)
    steps = round((limit.high - limit.low) / limit.step)
    return limit.low + limit.step * chance.choice((0, steps, chance.randint(0, steps)))
