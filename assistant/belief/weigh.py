"""Fit, then weigh: every plausible car is fitted to what is known by its free numbers, and weighed by what remains.

Free are a car's own trims (see `driven.FREE`), what the model may be off in each cell, and each driver's factor.
The fit is least squares on driven slopes, so a new row of evidence needs no drive. A car's weight is the chance of the
evidence with all that left open: misfit plus penalty at the best fit, with the determinant (Laplace's approximation;
exact where all is straight). Within what the fit leaves open each car stands at a place of its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.belief.driven import FREE, Driven
from assistant.belief.known import FACTOR_OFF, Row
from assistant.belief.plausible import CARS
from assistant.belief.stages_of import At
from assistant.car.car import CORNERS
from assistant.ground.grid import PHASES, STAGES
from assistant.physics.formulas import Array

CELLS = tuple((phase, stage) for phase in PHASES for stage in STAGES)
GAUGES = tuple(f"{what} {corner}" for what in ("tread", "pressure", "wear") for corner in CORNERS)
CELL_OFF, GAUGE_OFF = 0.3, (8.0, 6894.757, 0.05)
"""What the model may be off, on every setup alike: in each cell [%], in each corner's tread [K], hot pressure [Pa] and
wear at the end of the run [share of tread]; assumptions."""
FUEL_OFF = 0.2
"""The same for fuel used, as a share: what the engine burns is not drawn."""
ERRORS = (*(CELL_OFF for _ in CELLS), *(off for off in GAUGE_OFF for _ in CORNERS), FUEL_OFF)
CHANGE_OFF = 0.15
"""What it may be off in what a change does to a cell [%]; assumption."""
ROUNDS = 4
"""Gauss-Newton steps of the fit: only the driver's factor is not straight."""
ENOUGH, FEW, GATE = (share * CARS for share in (0.4, 0.16, 0.08))
"""Effective cars: fewer than enough, and more are drawn; too few for an honest band, and weights are tempered until
so many count; under the gate no plausible car does what is known."""
LEAST_LEFT = 0.2
"""Share of the weight that must stand on the right side of neutral for the others to be left out."""
LEAST_COUNT = 1e-3
"""Weight of the least likely cars together that count nothing; a tenth of what so few cars can say anyway."""
TEMPERS = (1.0, 0.7, 0.5, 0.35, 0.25, 0.18, 0.125)
"""Powers of the weights that are tried, one after the other, until not too few cars count."""


@dataclass(frozen=True, eq=False)
class Weighed:
    """What each car comes to.

    free: its free numbers [standard deviations], (free, cars). errors: what the model is off in each cell [%] and
    gauge, (cells and gauges, cars). factors: of each driver, logarithm, (drivers, cars).
    log_chance: logarithm of the chance of the evidence with such cars. weights: of the cars, sum 1, tempered where too
    few of them count. effective: cars that count with these; plain: with untempered ones. misses: of each row at the
    best fit [its doubt], (rows, cars).
    """

    free: Array
    errors: Array
    factors: Array
    drivers: tuple[str, ...]
    log_chance: float
    weights: Array
    effective: float
    plain: float
    misses: Array
    usable: NDArray[np.bool_]

    @property
    def surest(self) -> float:
        """The chance beyond which so many cars can say nothing."""
        return 1.0 - 1.0 / max(self.effective, 1.0)

    def read(self, driven: Driven, name: str, at: At) -> Array:
        """Believed value of a quantity of every car as fitted, (cars,)."""
        value = driven.read(name, at) + (driven.read_slopes(name, at) * self.free).sum(axis=0)
        error, share = error_of(name, at, driven)
        return np.asarray(value if error is None else value + share * self.errors[error])


@dataclass(frozen=True, eq=False)
class Equations:
    """Rows as straight equations of the free numbers.

    base (cars, rows), slopes (cars, rows, free) per standard deviation; values, doubts (rows,); whose: whose measure
    each value is in, (rows, drivers).
    """

    base: Array
    slopes: Array
    values: Array
    doubts: Array
    whose: Array

    def look(self, at: Array) -> tuple[Array, Array]:
        """Misses [doubts] of every row, (cars, rows), and their slopes, (cars, rows, free and factors)."""
        free = self.slopes.shape[2]
        meant = self.values * np.exp(FACTOR_OFF * at[:, free:] @ self.whose.T)
        miss = (self.base + (self.slopes @ at[:, :free, None])[..., 0] - meant) / self.doubts
        by_factor = -FACTOR_OFF * (meant / self.doubts)[..., None] * self.whose
        return miss, np.concatenate([self.slopes / self.doubts[:, None], by_factor], axis=2)


def error_of(name: str, at: At, driven: Driven) -> tuple[int | None, float]:
    """Place of the model's error in a quantity, and the share of it that counts there; None for what has none.

    An error of wear grows with the laps, one of fuel with what is used.
    """
    if name == "fuel":
        return len(ERRORS) - 1, float(np.nanmean(driven.read(name, at)))
    words = name.split()
    if words[0] == "balance" and at in STAGES:
        return CELLS.index((words[1], str(at))), 1.0
    if name not in GAUGES:
        return None, 0.0
    done = float(driven.weights(name, at)[1] @ driven.knots / driven.knots[-1])
    return len(CELLS) + GAUGES.index(name), done if words[0] == "wear" else 1.0


def drivers_of(rows: Sequence[Row]) -> tuple[str, ...]:
    """List whose measures the rows are in."""
    return tuple(dict.fromkeys(row.who for row in rows if row.sized))


def fit_cars(rows: Sequence[Row], driven: Mapping[str, Driven], scatter: Array, lean: Array | float = 0.0) -> Weighed:
    """Fit and weigh all cars. driven: by setup key; scatter: where each stands within what is left open.

    lean: logarithm of how plausible each car is over how often it was drawn (see `aim`).
    """
    drivers = drivers_of(rows)
    usable = np.all([one.usable for one in driven.values()], axis=0)
    at, miss, normal = find_best(write_equations(rows, driven, drivers))
    half_log = 0.5 * np.linalg.slogdet(normal)[1]
    cost = 0.5 * (miss**2).sum(axis=1) + 0.5 * (at**2).sum(axis=1) + half_log
    logs = np.where(usable, lean - cost, -np.inf)
    stand = (at + stand_inside(normal, scatter)).T
    free, errors = len(FREE), len(ERRORS)
    plain, weights = weigh(logs)
    fit = Weighed(
        free=stand[:free],
        errors=np.array(ERRORS)[:, None] * stand[free : free + errors],
        factors=FACTOR_OFF * stand[free + errors :],
        drivers=drivers,
        log_chance=add_logs(logs),
        weights=weights,
        effective=count_effective(weights),
        plain=count_effective(plain) if usable.any() else 0.0,
        misses=miss.T,
        usable=usable,
    )
    return keep_directions(fit, rows, driven, logs)


def keep_directions(fit: Weighed, rows: Sequence[Row], driven: Mapping[str, Driven], logs: Array) -> Weighed:
    """Leave out the cars that stand on the other side of neutral than a word: sizes are coarse, a direction is sure.

    Where too few cars would be left, all stay: by their share, or by their count where enough do what was said in size.
    """
    right = np.ones(len(logs), dtype=bool)
    for row in rows:
        if row.sized and row.kind in {"cell", "contrast"}:
            term = row.terms[0]
            right &= np.nan_to_num(fit.read(driven[term.setup], term.quantity, term.at)) * row.value > 0.0
    if fit.weights @ right < LEAST_LEFT:
        return fit
    plain, weights = weigh(np.where(right, logs, -np.inf))
    effective, count = count_effective(weights), count_effective(plain)
    if count < GATE <= fit.plain:
        return fit
    return replace(fit, weights=weights, effective=effective, plain=count)


def write_equations(rows: Sequence[Row], driven: Mapping[str, Driven], drivers: Sequence[str]) -> Equations:
    """Write the rows as equations of the free numbers of every car."""
    cars, free = next(iter(driven.values())).values.shape[2], len(FREE)
    base, slopes = np.zeros((cars, len(rows))), np.zeros((cars, len(rows), free + len(ERRORS)))
    for place, row in enumerate(rows):
        for term in row.terms:
            one = driven[term.setup]
            base[:, place] += term.factor * np.nan_to_num(one.read(term.quantity, term.at))
            slopes[:, place, :free] += term.factor * np.nan_to_num(one.read_slopes(term.quantity, term.at)).T
            error, share = error_of(term.quantity, term.at, one)
            if error is not None:
                slopes[:, place, free + error] += term.factor * share * ERRORS[error]
    doubts = np.array([np.hypot(row.off, CHANGE_OFF if row.kind == "change" else 0.0) for row in rows])
    whose = np.array([[float(row.sized and row.who == one) for one in drivers] for row in rows])
    values = np.array([row.value for row in rows])
    return Equations(base, slopes, values, doubts, whose.reshape(len(rows), len(drivers)))


def find_best(equations: Equations) -> tuple[Array, Array, Array]:
    """Find the best fit of every car: place, (cars, all free); misses, (cars, rows); normal matrix there."""
    cars, free, factors = len(equations.base), equations.slopes.shape[2], equations.whose.shape[1]
    at = np.zeros((cars, free + factors))
    for _ in range(ROUNDS):
        miss, jacobian = equations.look(at)
        across = jacobian.swapaxes(1, 2)
        goal = across @ (jacobian @ at[..., None] - miss[..., None])
        at = np.linalg.solve(np.eye(free + factors) + across @ jacobian, goal)[..., 0]
    miss, jacobian = equations.look(at)
    return at, miss, np.eye(free + factors) + jacobian.swapaxes(1, 2) @ jacobian


def stand_inside(normal: Array, scatter: Array) -> Array:
    """Scatter each car by what its fit leaves open, (cars, all free); the covariance is the inverse of `normal`."""
    standard = np.take(scatter, np.arange(normal.shape[1]), axis=0, mode="wrap").T
    lower = np.linalg.cholesky(normal)
    return np.asarray(np.linalg.solve(lower.swapaxes(1, 2), standard[..., None])[..., 0])


def weigh(logs: Array) -> tuple[Array, Array]:
    """Turn log weights into plain weights and into ones tempered until not too few cars count; sums are 1."""
    shifted = logs - logs.max() if np.isfinite(logs).any() else np.zeros_like(logs)
    each = [normalize(np.exp(power * shifted)) for power in TEMPERS]
    good = [one for one in each if count_effective(one) >= FEW]
    return each[0], good[0] if good else each[-1]


def leave_least(weights: Array) -> Array:
    """Take the weight of the least likely cars away, which together say next to nothing: they need no drive."""
    order = np.argsort(weights)
    kept = weights.copy()
    kept[order[np.cumsum(weights[order]) < LEAST_COUNT]] = 0.0
    return normalize(kept)


def add_logs(logs: Array) -> float:
    """Logarithm of the sum of what the logarithms stand for."""
    most = float(logs.max())
    return most + float(np.log(np.exp(logs - most).sum())) if np.isfinite(most) else -np.inf


def normalize(weights: Array) -> Array:
    """Scale weights to a sum of 1."""
    return np.asarray(weights / weights.sum())


def count_effective(weights: Array) -> float:
    """How many cars the weights are worth: 1 over the sum of squares."""
    return float(1.0 / (weights**2).sum())
