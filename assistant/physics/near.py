"""Neighbors of a solved batch: the same cars with a lever moved a step, by Newton's method from where they were.

The Jacobian is taken once, exactly, at the solved batch, for either axle giving up first; a step of a lever is then so
small that one correction leaves less than a driver could ever feel (a test holds it against full solves).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.physics.corner import NEARLY, Limit, Peaks, Point, evaluate, followed, is_steady, next_step
from assistant.physics.problem import Problem
from assistant.physics.values import Array

NUDGE = 1e-6
"""Change of an unknown for a derivative; unknowns are of size one, so rounding leaves ten good digits of the two."""


@dataclass(frozen=True, eq=False)
class Near:
    """A solved batch, its unknowns and the slips at its peaks, and its derivatives; cars on the last axis of all.

    front, rear: inverse Jacobians (3, 3, ...) that hold while that axle gives up first. balance: slope of balance [%]
    by each unknown (3, ...).
    """

    unknowns: Array
    peaks: Peaks
    front: Array
    rear: Array
    balance: Array


def look_near(problem: Problem, limit: Limit) -> Near:
    """Take the derivatives of the four residuals at a solved batch."""
    peaks = limit.point.peaks
    residual = evaluate(problem, limit.unknowns, peaks).residual  # as far toward the peaks as the nudged ones
    columns = []
    for unknown in range(3):
        nudged = limit.unknowns.copy()
        nudged[unknown] += NUDGE
        columns.append((evaluate(problem, nudged, peaks).residual - residual) / NUDGE)
    slopes = np.stack(columns, axis=1)
    last = np.moveaxis(slopes, (0, 1), (-2, -1))
    front, rear = (invert(last[..., rows, :]) for rows in ([0, 2, 3], [1, 2, 3]))
    return Near(limit.unknowns, peaks, front, rear, 100.0 * (slopes[1] - slopes[0]))


def repeat_cars(near: Near, times: int) -> Near:
    """Lay the same cars side by side so many times, for as many changes solved in one batch."""
    if times == 1:
        return near
    front, rear = (np.tile(slip, times) for slip in near.peaks)
    parts = (np.tile(part, times) for part in (near.front, near.rear, near.balance))
    return Near(np.tile(near.unknowns, times), (front, rear), *parts)


def solve_near(problem: Problem, near: Near, rounds: int = 1) -> Limit:
    """Solve a batch that differs little from the one that was looked at.

    rounds: corrections with the whole car worked out anew; one more is made on the balance alone, along its slope.
    """
    unknowns, peaks = near.unknowns, near.peaks
    for _ in range(rounds):
        point = evaluate(problem, unknowns, peaks)
        unknowns, peaks = unknowns + correct(point, near), point.peaks
    point = evaluate(problem, unknowns, peaks)
    balance = 100.0 * (point.margins[1] - point.margins[0]) + (near.balance * correct(point, near)).sum(axis=0)
    steady = is_steady(point, NEARLY)
    return Limit(point, balance, steady, unknowns, near.front)


def correct(point: Point, near: Near) -> Array:
    """Newton's step of the unknowns (3, ...), held to a size that keeps its sense."""
    rear_first = point.margins[1] < point.margins[0]
    miss = followed(point, rear_first)
    inverse = np.where(rear_first, near.rear, near.front)
    return next_step(inverse, miss)


def invert(matrices: Array) -> Array:
    """Inverses of (..., 3, 3) as (3, 3, ...); no numbers for a matrix that has none, and so none for that car."""
    try:
        inverses = np.linalg.inv(matrices)
    except np.linalg.LinAlgError:
        with np.errstate(invalid="ignore"):
            none = ~(np.abs(np.linalg.det(matrices)) > 0.0)[..., None, None]
        inverses = np.where(none, np.nan, np.linalg.inv(np.where(none, np.eye(3), matrices)))
    return np.asarray(np.moveaxis(inverses, (-2, -1), (0, 1)), dtype=np.float64)
