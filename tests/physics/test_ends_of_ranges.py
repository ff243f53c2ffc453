"""Numbers at the ends of what a file may hold: the formulas keep their sense, and what has no answer says so."""

import dataclasses

import numpy as np
import pytest

from assistant.car.car import Engine
from assistant.physics.cornering import evaluate, invert, look_near, solve_limit, solve_near
from assistant.physics.formulas import crank_power, full_power
from assistant.physics.suspension import fill_air
from assistant.physics.tire_grip import find_grip
from tests.physics.rig import car, solve, turn

ENGINE = Engine((4000.0, 7000.0), (2.5e5, 3.2e5), 7500.0, 0.86, (1.0,), 8.4e-8)


def test_below_its_curve_an_engine_keeps_its_torque_and_not_its_power():
    rpm = np.array([1000.0, 2000.0, 4000.0])
    assert crank_power(ENGINE, rpm) / rpm == pytest.approx(2.5e5 / 4000.0, rel=1e-12)
    assert crank_power(ENGINE, 5500.0) == pytest.approx(2.85e5, rel=1e-12)
    assert crank_power(ENGINE, 7400.0) == pytest.approx(3.2e5, rel=1e-12)
    assert full_power(ENGINE, rpm) == pytest.approx(0.86 * crank_power(ENGINE, rpm), rel=1e-12)


@pytest.mark.parametrize(
    "numbers",
    [
        {"best_pressure": 3.5e4},  # five times the best pressure in the tire
        {"stiffness_pressure": 2.0, "best_pressure": 1.0e5},
        {"peak_slip_growth": -0.5, "load_ref": 450.0},  # fifteen times the load its numbers were stated at
        {"best_pressure_load": 93.0},
    ],
)
def test_a_tire_far_from_where_it_was_measured_still_has_a_peak_at_some_slip(numbers):
    tire = car(**numbers)
    load = np.geomspace(10.0, 2e4, 40).reshape(1, -1)
    air = fill_air(tire, np.full((4, 1), 2.0e5))
    grip = find_grip(tire, load, air, np.array([[0.05]]), np.ones((1, 1)))
    assert (grip.slip > 0).all()
    assert np.isfinite(grip.peak).all()
    assert (grip.peak > 0).all()


def test_a_matrix_without_an_inverse_gives_no_numbers_for_that_car_alone():
    three = np.stack([np.diag([2.0, 4.0, 8.0]), np.ones((3, 3)), np.full((3, 3), np.nan)])
    inverses = invert(three)
    assert inverses[..., 0] == pytest.approx(np.diag([0.5, 0.25, 0.125]), rel=1e-12)
    assert np.isnan(inverses[..., 1:]).all()


def test_an_axle_whose_tires_fight_each_other_has_no_steady_state_and_says_nothing_aloud():
    """Toed by many times the slip at the peak, the pair pushes the wrong way at the slip that is tried."""
    problem, limit = solve(car())
    toed = dataclasses.replace(problem, toe=problem.toe * 0.0 + np.array([-9.0, -9.0]).reshape(2, 1, 1, 1, 1))
    assert np.isnan(evaluate(toed, limit.unknowns, limit.point.peaks).margins[0]).all()
    assert not solve_limit(toed, limit, rounds=1).steady.any()


def test_a_few_corrections_that_lead_nowhere_are_no_steady_state():
    numbers = car()
    problem, limit = solve(numbers)
    assert solve_limit(problem, limit, rounds=1).steady.all()
    elsewhere, _ = solve(numbers, turn(radius=20.0, bank=0.6, grip=1.6))  # far from what is known of the first corner
    assert not solve_limit(elsewhere, limit, rounds=1).steady.any()
    far = dataclasses.replace(limit, unknowns=limit.unknowns + 0.2)
    assert not solve_near(elsewhere, look_near(problem, far), 1).steady.any()
