"""The pressure with most grip: what the tire file knows, or near the pressures at hand, each corner for itself."""

from dataclasses import replace

import numpy as np
import pytest

from assistant.belief.model import read_model, setup_numbers
from assistant.car.moves import with_value
from assistant.physics.car_and_driver import usual_phases
from assistant.physics.driven_run import drive_run
from assistant.physics.heat_and_wear import corner_load, slip_round, wear_rate
from assistant.physics.suspension import fill_air
from assistant.physics.tire_grip import Air, find_best_pressure, find_grip
from tests.physics.rig import CORNERS, car

PSI = 6894.757
SETTLED = 7


@pytest.fixture(scope="module")
def known(case):
    """The demo with a tire file that knows 30 psi at its load."""
    return read_model(replace(case, tire=replace(case.tire, best_pressure=30.0 * PSI)))


def best_of(numbers):
    return np.array([numbers[f"best_pressure_{corner}"] for corner in CORNERS])


def test_each_tire_nobody_knows_is_best_at_the_pressure_and_load_it_settles_at(model):
    run = model.run
    load = corner_load(run.attitude, run.lap)
    best = find_best_pressure(model.numbers, fill_air(model.numbers, run.tires.pressure), load)
    assert run.laps[SETTLED] == pytest.approx(80.0 / 3.0)
    assert run.tires.pressure[:, SETTLED] == pytest.approx(best[:, SETTLED], abs=0.1 * PSI)
    assert np.ptp(best_of(model.numbers)) > 5.0 * PSI  # left and right tires are run apart, and best apart


def test_a_tire_file_that_knows_the_best_pressure_is_believed_at_every_corner(known, case):
    assert best_of(known.numbers) == pytest.approx(30.0 * PSI, rel=1e-12)
    assert np.array([known.numbers[f"best_load_{corner}"] for corner in CORNERS]) == pytest.approx(case.tire.load_ref)


def test_moving_air_in_the_model_leaves_the_best_pressure_where_it_was(model):
    more = with_value(model.case.setup, "pressure_rr", model.case.setup.values["pressure_rr"] + 2.0 * PSI)
    numbers = setup_numbers(model, more)
    assert best_of(numbers) == pytest.approx(best_of(model.numbers), rel=1e-15)
    run = drive_run(numbers, usual_phases(), model.circuit, 80)
    assert best_of(run.problem.numbers) == pytest.approx(best_of(model.numbers), rel=1e-15)
    assert (run.tires.pressure[3, SETTLED] - model.run.tires.pressure[3, SETTLED]).item() > 1.8 * PSI


@pytest.mark.parametrize("psi", [1.0, 3.0, 6.0])
def test_grip_falls_by_the_law_of_the_share_off_on_both_sides_and_is_whole_at_the_best(psi):
    numbers = car(camber_grip=0.0)
    load = np.full((4, 1), 5000.0)

    def peak(off):
        air = Air(np.full((4, 1), (25.0 + off) * PSI), np.full((4, 1), 25.0 * PSI), load)
        return find_grip(numbers, load, air, np.zeros((4, 1)), np.ones((4, 1))).peak

    lost = 1.0 + numbers["pressure_grip"] * (psi / 25.0) ** 2
    assert peak(psi) == pytest.approx(peak(0.0) / lost, rel=1e-12)
    assert peak(-psi) == pytest.approx(peak(psi), rel=1e-12)


def test_more_load_wants_more_air_by_the_files_number():
    numbers = car()
    air = Air(np.zeros((4, 1)), np.full((4, 1), 2.0e5), np.full((4, 1), 4000.0))
    more = find_best_pressure(numbers, air, np.full((4, 1), 5000.0))
    assert more == pytest.approx(2.0e5 + 1000.0 * numbers["best_pressure_load"][0], rel=1e-12)


def test_wear_is_least_so_much_above_the_best_pressure_of_that_corner(model):
    run, numbers = model.run, model.numbers
    load = corner_load(run.attitude, run.lap)
    best = find_best_pressure(numbers, fill_air(numbers, run.tires.pressure), load)
    slip, surface = slip_round(run.attitude, run.lap), run.moments.surface
    rates = [
        wear_rate(numbers, replace(run.tires, pressure=best + off * PSI), slip, surface, load)
        for off in (2.0, 3.0, 4.0)
    ]
    assert (rates[1] < rates[0]).all()
    assert (rates[1] < rates[2]).all()
