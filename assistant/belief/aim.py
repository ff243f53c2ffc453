"""Where more plausible cars are worth drawing: near the numbers that do what is known.

What the cars drawn so far do is taken as straight in their drawn numbers; with normal doubts, what is known then gives
a middle and a spread of those numbers, from which more cars are drawn. How much more often a car is drawn there than it
is plausible goes into its weight, so the aim decides only how many cars count, never what they say.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.belief.known import FACTOR_OFF
from assistant.belief.weigh import Equations
from assistant.physics.formulas import Array

STEADIED = 8.0
"""How many cars' worth of "no slope at all" steadies the slopes found from the cars."""
NARROWED = 0.8
"""Share of the narrowing found that the aim follows, so that no car it leaves out could weigh much. Numbers that the
evidence says nothing of keep the spread of plausible cars exactly."""


@dataclass(frozen=True, eq=False)
class Aim:
    """A normal spread of drawn numbers: middle (drawn,) and lower root of the covariance (drawn, drawn)."""

    middle: Array
    root: Array

    def draw(self, standard: Array) -> Array:
        """Turn standard normal numbers (drawn, cars) into ones of this spread."""
        return np.asarray(self.middle[:, None] + self.root @ standard)

    def log_chance(self, off: Array) -> Array:
        """Logarithm of the density at each car, (cars,), up to a constant that all aims share."""
        standard = np.linalg.solve(self.root, off - self.middle[:, None])
        return np.asarray(-0.5 * (standard**2).sum(axis=0) - np.linalg.slogdet(self.root)[1])


def plain_aim(drawn: int) -> Aim:
    """How plausible cars are drawn before anything is known."""
    return Aim(np.zeros(drawn), np.eye(drawn))


@dataclass(frozen=True, eq=False)
class Learnt:
    """What normal doubts make of what is known. middle, covariance: of the drawn numbers [bands], then the free ones.

    drawn: how many of them were drawn. misses: of each row there [its doubt].
    """

    middle: Array
    covariance: Array
    drawn: int
    misses: Array

    @property
    def off(self) -> Array:
        """Share of each doubt that is left, of drawn numbers and free ones."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))

    @property
    def aim(self) -> Aim:
        """Where more cars are worth drawing."""
        plain, drawn = np.eye(self.drawn), slice(self.drawn)
        spread = plain - NARROWED * (plain - self.covariance[drawn, drawn])
        return Aim(self.middle[drawn], np.asarray(np.linalg.cholesky(spread), dtype=np.float64))


def find_aim(equations: Equations, off: Array, usable: NDArray[np.bool_]) -> Aim:
    """Aim at what is known; equations as in `weigh`, off: drawn numbers of the cars so far."""
    return learn(equations, off, usable).aim


def learn(
    equations: Equations,
    off: Array,
    usable: NDArray[np.bool_],
    drawn_by: Aim | None = None,
    kept: NDArray[np.bool_] | None = None,
) -> Learnt:
    """Learn what is known. off: drawn numbers of the cars, (drawn, cars). drawn_by: the aim they were all drawn by.

    kept: the drawn numbers that may move, all when left out.
    """
    aim = plain_aim(len(off)) if drawn_by is None else drawn_by
    standard = np.asarray(np.linalg.solve(aim.root, off[:, usable] - aim.middle[:, None]), dtype=np.float64)
    by_standard, level, left = find_slopes(standard, equations.base[usable].T)
    slopes = by_standard @ np.linalg.inv(aim.root)
    factors = -equations.values[:, None] * equations.whose
    moves = slopes if kept is None else slopes * kept
    answers = equations.turned[usable].mean(axis=0) @ equations.mix
    free = equations.slopes[usable].mean(axis=0)
    each = np.concatenate([moves, free, FACTOR_OFF * factors, answers], axis=1)
    told = each.T / (equations.doubts**2 + left)
    covariance = np.linalg.inv(np.eye(each.shape[1]) + told @ each)
    goal = equations.values - level + slopes @ aim.middle
    middle = np.asarray(covariance @ told @ goal)
    return Learnt(middle, np.asarray(covariance), len(off), np.asarray((each @ middle - goal) / equations.doubts))


def find_slopes(off: Array, base: Array) -> tuple[Array, Array, Array]:
    """Find the straight law from drawn numbers (drawn, cars) to rows (rows, cars): slopes, level, variance left."""
    mean_off, level = off.mean(axis=1), base.mean(axis=1)
    apart, rise = off - mean_off[:, None], base - level[:, None]
    slopes = np.linalg.solve(apart @ apart.T + STEADIED * np.eye(len(off)), apart @ rise.T).T
    left = (rise - slopes @ apart).var(axis=1)
    return slopes, level - slopes @ mean_off, left


def find_lean(off: Array, aims: Sequence[tuple[Aim, int]]) -> Array:
    """Logarithm of how plausible each car is over how often it was drawn, (cars,). aims: each with its cars."""
    each = np.stack([aim.log_chance(off) + np.log(cars) for aim, cars in aims])
    most = each.max(axis=0)
    drawn = most + np.log(np.exp(each - most).sum(axis=0))
    return np.asarray(plain_aim(len(off)).log_chance(off) - drawn)
