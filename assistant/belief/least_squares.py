"""Least squares with bounds: a damped Gauss-Newton search (Levenberg 1944, Marquardt 1963) on a function of batches.

The function takes many points at once, (points, parameters), and gives their residuals, (points, residuals): the
slopes of a round are one batch, and so are the trial steps with four dampings. A parameter at a bound that the
slope pushes outward is held there for the round (projected search). Local: the start decides among several minima.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.physics.formulas import Array

Residuals = Callable[[Array], Array]

ROUNDS = 25
STEP = 0.01
"""Width of the differences slopes are taken from, in parameter units (here: logarithms, so 1 %)."""
DAMPINGS = np.array([0.1, 1.0, 10.0, 100.0])
ENOUGH = 3e-5
"""Share of the cost under which another round is not worth it."""


@dataclass(frozen=True)
class Solution:
    """point (parameters,), residuals there, slopes (residuals, parameters), cost = half the sum of squares.

    held: which parameters lie at a bound. settled: the last round gained next to nothing.
    """

    point: Array
    residuals: Array
    slopes: Array
    cost: float
    held: NDArray[np.bool_]
    rounds: int
    settled: bool


def fit_bounded(
    residuals: Residuals,
    start: Array,
    low: Array,
    high: Array,
    step: float = STEP,
    rounds: int = ROUNDS,
    enough: float = ENOUGH,
) -> Solution:
    """Find the point between low and high with the smallest sum of squares, from `start`.

    enough: stop when a round gains a smaller share of the cost than this.
    """
    point = np.clip(start, low, high)
    now = residuals(point[None])[0]
    damping, settled, turn = 1.0, False, 0
    while turn < rounds and not settled:
        turn += 1
        slopes = find_slopes(residuals, point, now, low, high, step)
        trials = try_steps(point, now, slopes, damping * DAMPINGS, low, high)
        found = residuals(trials)
        costs = np.where(np.isfinite(found).all(axis=1), 0.5 * (found**2).sum(axis=1), np.inf)
        best = int(np.argmin(costs))
        before = 0.5 * float(now @ now)
        if not costs[best] < before:
            damping *= 1e3
            settled = damping > 1e9
        else:
            settled = before - costs[best] < enough * before
            point, now = trials[best], found[best]
            damping = max(damping * float(DAMPINGS[best]), 1e-9)
    slopes = find_slopes(residuals, point, now, low, high, step)
    held = (point <= low + 1e-9) | (point >= high - 1e-9)
    return Solution(point, now, slopes, 0.5 * float(now @ now), held, turn, settled)


def find_slopes(residuals: Residuals, point: Array, now: Array, low: Array, high: Array, step: float) -> Array:
    """Slopes by differences away from the point, backward at the upper bound; (residuals, parameters).

    now: residuals at the point. A parameter without room, low = high, has slope zero.
    """
    aside = np.where(point + step <= high, point + step, np.maximum(point - step, low))
    free = np.flatnonzero(aside != point)
    slopes = np.zeros((len(now), len(point)))
    if len(free):
        found = residuals(np.where(np.eye(len(point), dtype=bool), aside, point)[free])
        slopes[:, free] = ((found - now) / (aside - point)[free, None]).T
    return slopes


def try_steps(point: Array, now: Array, slopes: Array, dampings: Array, low: Array, high: Array) -> Array:
    """Points to try, one per damping: (J'J + damping diag J'J) step = -J'r over free parameters, cut at the bounds."""
    gradient = slopes.T @ now
    held = ((point <= low) & (gradient > 0.0)) | ((point >= high) & (gradient < 0.0))
    free = np.flatnonzero(~held)
    trials = np.repeat(point[None], len(dampings), axis=0)
    if not len(free):
        return trials
    normal = slopes[:, free].T @ slopes[:, free]
    scale = np.diag(np.maximum(np.diag(normal), 1e-12))
    for trial, damping in zip(trials, dampings, strict=True):
        trial[free] -= np.linalg.solve(normal + damping * scale, gradient[free])
    return np.asarray(np.clip(trials, low, high))
