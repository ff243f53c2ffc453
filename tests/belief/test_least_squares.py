"""The bounded least-squares search against an independent one (scipy.optimize.least_squares) and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import least_squares

from assistant.belief.least_squares import fit_bounded


def batch(one):
    """Turn a function of one point into one of many."""
    return lambda points: np.array([one(point) for point in points])


def test_a_straight_line_is_fitted_as_the_normal_equations_do():
    x = np.linspace(0, 1, 20)
    y = 2.0 - 3.0 * x + 0.1 * np.sin(40 * x)
    found = fit_bounded(
        batch(lambda p: p[0] + p[1] * x - y), np.zeros(2), np.full(2, -9.0), np.full(2, 9.0), enough=1e-14
    )
    wanted = np.linalg.lstsq(np.stack([np.ones(20), x], axis=1), y, rcond=None)[0]
    assert found.point == pytest.approx(wanted, abs=1e-6)
    assert found.settled


@pytest.mark.parametrize("seed", range(6))
def test_curved_problems_end_where_scipy_ends(seed):
    noise = np.random.default_rng(seed)
    t = np.linspace(0.1, 4, 30)
    truth = np.array([noise.uniform(0.5, 2), noise.uniform(0.3, 2), noise.uniform(-0.5, 0.5)])
    data = truth[0] * np.exp(-truth[1] * t) + truth[2] + 0.02 * noise.standard_normal(30)

    def one(p):
        return p[0] * np.exp(-p[1] * t) + p[2] - data

    low, high = np.array([0.0, 0.0, -0.2]), np.array([5.0, 5.0, 0.2])
    start = np.array([1.0, 1.0, 0.0])
    found = fit_bounded(batch(one), start, low, high, step=1e-6, rounds=200, enough=1e-13)
    wanted = least_squares(one, start, bounds=(low, high), xtol=1e-14, ftol=1e-14, gtol=1e-14)
    assert found.cost == pytest.approx(wanted.cost, rel=1e-6)
    assert found.point == pytest.approx(wanted.x, abs=2e-4)


def test_a_parameter_that_would_leave_its_bounds_is_held_there():
    found = fit_bounded(
        batch(lambda p: np.array([p[0] - 3.0, p[1] - 1.0])),
        np.zeros(2),
        np.full(2, -2.0),
        np.full(2, 2.0),
        enough=1e-14,
    )
    assert found.point == pytest.approx([2.0, 1.0], abs=1e-5)
    assert found.held.tolist() == [True, False]


def test_a_parameter_without_room_stays_and_has_no_slope():
    found = fit_bounded(
        batch(lambda p: np.array([p[0] + p[1] - 1.0])), np.zeros(2), np.array([0.0, -2.0]), np.array([0.0, 2.0])
    )
    assert found.point == pytest.approx([0.0, 1.0], abs=1e-4)
    assert found.slopes[:, 0].tolist() == [0.0]


def test_a_point_where_the_function_fails_is_not_taken():
    def one(p):
        return np.array([p[0] - 1.0 if p[0] < 1.5 else np.nan])

    found = fit_bounded(batch(one), np.array([-1.9]), np.array([-2.0]), np.array([2.0]))
    assert found.point[0] == pytest.approx(1.0, abs=1e-3)
