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
from assistant.belief.felt import Turned, below, lead_to, lift_of, mix_answers, name_answers, reach
from assistant.belief.known import FACTOR_OFF, SOME_TIME, WORDS, Row, Term
from assistant.belief.model import COLD, At
from assistant.belief.plausible import CARS
from assistant.ground.names import CORNERS, PHASES, STAGES
from assistant.ground.quantities import PSI
from assistant.physics.car_and_driver import by_car
from assistant.physics.formulas import Array

CELLS = tuple((phase, stage) for phase in PHASES for stage in STAGES)
GAUGES = tuple(f"{what} {corner}" for what in ("tread", "pressure", "wear") for corner in CORNERS)
CELL_OFF, GAUGE_OFF = 0.3, (8.0, PSI, 0.05)
"""What the model may be off, on every setup alike: in each cell [%], in each corner's tread [K], hot pressure [Pa] and
wear at the end of the run [share of tread]; assumptions."""
FUEL_OFF = 0.2
"""The same for fuel used, as a share: what the engine burns is not drawn."""
ERRORS = (*(CELL_OFF for _ in CELLS), *(off for off in GAUGE_OFF for _ in CORNERS), FUEL_OFF)
CHANGE_OFF = 0.15
"""What it may be off in what a change does to a cell [%]; assumption."""
ROUNDS = 4
"""Gauss-Newton steps of the fit: only the driver's factor is not straight."""
ENOUGH, FEW, GATE = (share * CARS for share in (0.3, 0.16, 0.08))
"""Effective cars: fewer than enough, and more are drawn; too few for an honest band, and weights are tempered until
so many count; under the gate no plausible car does what is known."""
FARTHEST = 2.0
"""Doubts beyond which a car does not do what is known."""
LEAST_LEFT = 0.02
"""Chance of standing on the right side of neutral everywhere below which words contradict what else is known."""
SHORTEST = 1e-9
"""Slopes and what is used up are taken to be no less."""
COUNTED = 64
"""Cars that count at most: what they do is driven for every change."""
GOLDEN = 0.618034
"""Multiples of it fill a band evenly, however many there are."""
TEMPERS = (1.0, 0.7, 0.5, 0.35, 0.25, 0.18, 0.125)
"""Powers of the weights that are tried, one after the other, until not too few cars count."""


@dataclass(frozen=True, eq=False)
class Weighed:
    """What each car comes to.

    free: its free numbers [standard deviations], (free, cars). errors: what the model is off in each cell [%] and
    gauge, (cells and gauges, cars). factors: of each driver, logarithm, (drivers, cars). answers: how cars answer what
    was moved (see `felt`), by name [standard deviations].
    log_chance: logarithm of the chance of the evidence with such cars. weights: of the cars, sum 1, tempered where too
    few of them count. effective: cars that count with these; plain: with untempered ones. misses: of each row at the
    best fit [its doubt], (rows, cars). gap: how far the best car is off all of it, with what its free numbers take to
    come so near [doubts].
    """

    free: Array
    errors: Array
    factors: Array
    answers: Mapping[str, Array]
    drivers: tuple[str, ...]
    log_chance: float
    weights: Array
    effective: float
    plain: float
    misses: Array
    gap: float
    usable: NDArray[np.bool_]

    @property
    def fits_no_car(self) -> bool:
        """Whether no plausible car does what is known: too few can be driven, or even the best one misses it.

        Where few cars count although some do all of it, weights are tempered, and bands are wide instead.
        """
        return self.effective < GATE or (self.plain < GATE and self.gap > FARTHEST)

    @property
    def surest(self) -> float:
        """The chance beyond which so many cars can say nothing."""
        return 1.0 - 1.0 / max(self.effective, 1.0)

    def of(self, cars: NDArray[np.intp], weights: Array) -> Weighed:
        """Keep some cars, with weights of their own; how many the weights are worth stays as it is."""
        parts = {name: getattr(self, name)[..., cars] for name in ("free", "errors", "factors", "misses", "usable")}
        answers = {name: one[cars] for name, one in self.answers.items()}
        return replace(self, **parts, answers=answers, weights=weights)

    def read(self, driven: Driven, name: str, at: At) -> Array:
        """Believed value of a quantity of every car as fitted, (cars,)."""
        computed = driven.read(name, at)
        value = computed + (driven.read_slopes(name, at) * self.free).sum(axis=0)
        error, share = error_of(name, at, driven)
        value = np.asarray(value if error is None else value + share * self.errors[error])
        return keep_used(value, computed) if name.split(maxsplit=1)[0] in {"wear", "fuel"} else value


def keep_used(value: Array, computed: Array) -> Array:
    """Keep what is used up above nothing: what lies under half of the computed value shrinks toward nothing instead."""
    half = 0.5 * np.maximum(computed, SHORTEST)
    return np.where(value < half, half * np.exp(np.minimum(value / half - 1.0, 0.0)), value)


@dataclass(frozen=True, eq=False)
class Equations:
    """Rows as equations of the free numbers, straight but for how a driver measures and a car answers.

    base (cars, rows), slopes (cars, rows, free) per standard deviation; values, doubts (rows,); whose: whose measure
    each value is in, (rows, drivers). open: rows that say "so much or more". turned: what each turn is computed to do,
    (cars, rows, turns); mix: see `mix_answers`.
    """

    base: Array
    slopes: Array
    values: Array
    doubts: Array
    whose: Array
    open: NDArray[np.bool_]
    turned: Array
    mix: Array

    @property
    def free(self) -> int:
        """How many numbers are free."""
        return int(self.slopes.shape[2] + self.whose.shape[1] + self.mix.shape[1])

    def look(self, at: Array) -> tuple[Array, Array]:
        """Misses [doubts] of every row, (cars, rows), and their slopes, (cars, rows, all free)."""
        free, factors, answers = np.split(at, np.cumsum([self.slopes.shape[2], self.whose.shape[1]]), axis=1)
        value, by_answer = self.stand(free, answers)
        meant = self.values * np.exp(FACTOR_OFF * factors @ self.whose.T)
        miss = (value - meant) / self.doubts
        slopes = (self.slopes, -FACTOR_OFF * meant[..., None] * self.whose, by_answer)
        kept = ~(self.open & (miss * np.sign(self.values) > 0.0))
        return miss * kept, np.concatenate(slopes, axis=2) / self.doubts[:, None] * kept[..., None]

    def stand(self, free: Array, answers: Array) -> tuple[Array, Array]:
        """Values of the rows, (cars, rows), and their slopes by the answers, (cars, rows, answers)."""
        answered = self.turned * np.exp(answers @ self.mix.T - lift_of(self.mix))[:, None]
        value = self.base + (self.slopes @ free[..., None])[..., 0] + (answered - self.turned).sum(axis=2)
        return value, answered @ self.mix


def error_of(name: str, at: At, driven: Driven) -> tuple[int | None, float]:
    """Place of the model's error in a quantity, and the share of it that counts there; None for what has none.

    An error of wear grows with the laps, one of fuel with what is used.
    """
    if name == "fuel":
        return len(ERRORS) - 1, float(np.nanmean(driven.read(name, at))) * driven.left.get("fuel_use", 1.0)
    words = name.split()
    if words[0] == "balance" and at in {*STAGES, COLD}:
        return CELLS.index((words[1], STAGES[0] if at == COLD else str(at))), 1.0
    if name not in GAUGES:
        return None, 0.0
    done = float(driven.weights(name, at)[1] @ driven.knots / driven.knots[-1]) if words[0] == "wear" else 1.0
    return len(CELLS) + GAUGES.index(name), done * driven.left.get(name, 1.0)


def drivers_of(rows: Sequence[Row]) -> tuple[str, ...]:
    """List whose measures the rows are in."""
    return tuple(dict.fromkeys(row.who for row in rows if row.sized))


def fit_cars(
    rows: Sequence[Row],
    driven: Mapping[str, Driven],
    scatter: Array,
    lean: Array | float = 0.0,
    turns: Sequence[Turned] = (),
) -> Weighed:
    """Fit and weigh all cars. driven: by setup key; scatter: where each stands within what is left open.

    lean: logarithm of how plausible each car is over how often it was drawn (see `aim`). turns: how the setups came
    about.
    """
    drivers, answers, best = drivers_of(rows), name_answers(turns), find_best(rows, driven, lean, turns)
    inside, right = keep_directions(rows, driven, best, scatter, turns)
    stand = (best.at + inside).T
    free, errors, factors, answered = np.split(stand, np.cumsum([len(FREE), len(ERRORS), len(drivers)]))
    plain, weights = weigh(best.logs + right)
    return Weighed(
        free=free,
        errors=np.array(ERRORS)[:, None] * errors,
        factors=FACTOR_OFF * factors,
        answers=dict(zip(answers, answered, strict=True)),
        drivers=drivers,
        log_chance=best.log_chance,
        weights=weights,
        effective=count_effective(weights),
        plain=count_effective(plain) if best.usable.any() else 0.0,
        misses=best.misses.T,
        gap=float(np.where(best.usable, best.squares, np.inf).min() ** 0.5),
        usable=best.usable,
    )


def keep_directions(
    rows: Sequence[Row],
    driven: Mapping[str, Driven],
    best: BestFit,
    scatter: Array,
    turns: Sequence[Turned] = (),
) -> tuple[Array, Array]:
    """Stand each car inside what its fit leaves open, on the side of neutral of every word.

    A size is coarse, a direction is sure. Returns how far off the best fit each stands, (cars, all free), and the
    logarithm of the chance that it stands on that side.
    Where next to no car can stand there, what is known contradicts itself: then the words of the last run alone say a
    side, and where none can stand there either, all words are taken for their size only.
    """
    standard = np.take(scatter, np.arange(best.at.shape[1]), axis=0, mode="wrap").T
    words = [row for row in rows if row.sized and row.kind in WORDS]
    sides = [row if row.kind == SOME_TIME else replace(row, terms=row.terms[:1]) for row in words]
    last = [row for row in sides if row.when == max(row.when for row in sides)]
    for some in (sides, last, []):
        equations = write_equations(some, driven, (), turns)
        with np.errstate(all="ignore"):  # a car that is not to be used may be past all numbers
            moved, right = map(np.nan_to_num, stand_right(equations, best.at, best.lower, standard))
        if not np.isfinite(best.logs).any() or add_logs(best.logs + right) - best.log_chance >= np.log(LEAST_LEFT):
            break
    return np.asarray(np.linalg.solve(best.lower.swapaxes(1, 2), moved[..., None])[..., 0]), right


def stand_right(sides: Equations, at: Array, lower: Array, standard: Array) -> tuple[Array, Array]:
    """Move standard normal numbers of every car, (cars, all free), so that each word is on its side of neutral.

    One word after the other is met along what is its own beside those before, by a normal number cut off at neutral;
    the chances of the cuts multiply to that of all sides together (the simulator of Geweke, Hajivassiliou and Keane).
    Returns the moved numbers and the logarithm of that chance.
    """
    signs, known = np.sign(sides.values), sides.slopes.shape[2]
    drivers = at.shape[1] - known - sides.mix.shape[1]
    value, by_answer = sides.stand(at[:, :known], at[:, known + drivers :])
    level, between = signs * value, np.zeros((*value.shape, drivers))
    padded = np.concatenate([sides.slopes, between, by_answer], axis=2)
    across = np.linalg.solve(lower, (signs[:, None] * padded).swapaxes(1, 2)).swapaxes(1, 2)
    moved, chance, basis = standard, np.zeros(len(at)), np.zeros((len(at), 0, at.shape[1]))
    for place in range(len(signs)):
        slope = across[:, place]
        own = slope - np.einsum("cbf,cb->cf", basis, np.einsum("cbf,cf->cb", basis, slope))
        length = np.maximum(np.linalg.norm(own, axis=1), SHORTEST)
        unit = own / length[:, None]
        now = (unit * moved).sum(axis=1)
        apart = level[:, place] + (slope * moved).sum(axis=1) - length * now
        share = below(apart / length)
        cut = -reach(share * below(-now))
        moved = moved + unit * (cut - now)[:, None]
        chance += np.log(share)
        basis = np.concatenate([basis, unit[:, None]], axis=1)
    return moved, chance


def write_equations(
    rows: Sequence[Row], driven: Mapping[str, Driven], drivers: Sequence[str], turns: Sequence[Turned] = ()
) -> Equations:
    """Write the rows as equations of the free numbers of every car."""
    cars, free = next(iter(driven.values())).values.shape[2], len(FREE)
    base, slopes = np.zeros((cars, len(rows))), np.zeros((cars, len(rows), free + len(ERRORS)))
    turned = np.zeros((cars, len(rows), len(turns)))
    for place, row in enumerate(rows):
        for term in row.terms:
            one = driven[term.setup]
            base[:, place] += term.factor * np.nan_to_num(one.read(term.quantity, term.at))
            slopes[:, place, :free] += term.factor * np.nan_to_num(one.read_slopes(term.quantity, term.at)).T
            error, share = error_of(term.quantity, term.at, one)
            if error is not None:
                slopes[:, place, free + error] += term.factor * share * ERRORS[error]
            turned[:, place] += term.factor * turned_by(term, driven, turns)
    doubts = np.array([np.hypot(row.off, CHANGE_OFF if row.kind == "change" else 0.0) for row in rows])
    whose = np.array([[float(row.sized and row.who == one) for one in drivers] for row in rows])
    values = np.array([row.value for row in rows])
    is_open = np.array([row.open for row in rows], dtype=bool)
    whose = whose.reshape(len(rows), len(drivers))
    return Equations(base, slopes, values, doubts, whose, is_open, turned, mix_answers(turns))


def turned_by(term: Term, driven: Mapping[str, Driven], turns: Sequence[Turned]) -> Array:
    """What each turn is computed to do to a term on every car, (cars, turns); only the balance is answered."""
    by = np.zeros((driven[term.setup].values.shape[2], len(turns)))
    for place in lead_to(term.setup, turns) if term.quantity.startswith("balance") else ():
        before, after = (driven[key].read(term.quantity, term.at) for key in (turns[place].before, turns[place].after))
        by[:, place] = np.nan_to_num(after - before)
    return by


@dataclass(frozen=True, eq=False)
class BestFit:
    """Where every car fits best. at: its free numbers, (cars, all free); misses, (cars, rows).

    lower: lower root of the inverse of what the fit leaves open. usable: cars that can be driven and solved.
    squares: misfit and penalty. logs: logarithm of the chance of the evidence with each car.
    """

    at: Array
    misses: Array
    lower: Array
    usable: NDArray[np.bool_]
    squares: Array
    logs: Array

    @property
    def log_chance(self) -> float:
        """Logarithm of the chance of the evidence with such cars."""
        return add_logs(self.logs)


def find_best(
    rows: Sequence[Row], driven: Mapping[str, Driven], lean: Array | float = 0.0, turns: Sequence[Turned] = ()
) -> BestFit:
    """Fit every car to the rows; see `fit_cars`."""
    at, misses, lower, solved = solve_cars(write_equations(rows, driven, drivers_of(rows), turns))
    usable = np.all([solved, *(one.usable for one in driven.values())], axis=0)
    squares = (misses**2).sum(axis=1) + (at**2).sum(axis=1)
    half_log = np.log(np.diagonal(lower, axis1=1, axis2=2)).sum(axis=1)
    return BestFit(at, misses, lower, usable, squares, np.where(usable, lean - 0.5 * squares - half_log, -np.inf))


def solve_cars(equations: Equations) -> tuple[Array, Array, Array, NDArray[np.bool_]]:
    """Solve every car: place, (cars, all free); misses, (cars, rows); root of the normal matrix there; if solved.

    Each step is solved by rows, of which there are fewer than free numbers; the place it leads to is the same. Numbers
    that no row speaks of stay where they are. A car whose matrix cannot be solved stands in the middle, misses nothing,
    and is not to be used.
    """
    spoken = np.flatnonzero(equations.slopes.any(axis=(0, 1)))
    places = np.r_[spoken, equations.slopes.shape[2] : equations.free]
    cars, free, rows = len(equations.base), equations.free, len(equations.values)
    equations = replace(equations, slopes=equations.slopes[..., spoken])
    at: Array = np.zeros((cars, len(places)))
    with np.errstate(all="ignore"):
        for _ in range(ROUNDS):
            miss, jacobian = equations.look(at)
            across, goal = jacobian.swapaxes(1, 2), jacobian @ at[..., None] - miss[..., None]
            at = (across @ by_car(np.linalg.solve, np.eye(rows) + jacobian @ across, goal))[..., 0]
        miss, jacobian = equations.look(at)
        root = by_car(np.linalg.cholesky, np.eye(len(places)) + jacobian.swapaxes(1, 2) @ jacobian)
        numbers = np.concatenate([at, miss, root.reshape(cars, -1)], axis=1)
    solved = np.isfinite(numbers).all(axis=1)
    everywhere, lower = np.zeros((cars, free)), np.array(np.broadcast_to(np.eye(free), (cars, free, free)))
    everywhere[:, places] = np.where(solved[:, None], at, 0.0)
    lower[:, places[:, None], places] = np.where(solved[:, None, None], root, np.eye(len(places)))
    return everywhere, np.where(solved[:, None], miss, 0.0), lower, solved


def weigh(logs: Array) -> tuple[Array, Array]:
    """Turn log weights into plain weights and into ones tempered until not too few cars count; sums are 1."""
    shifted = logs - logs.max() if np.isfinite(logs).any() else np.zeros_like(logs)
    each = [normalize(np.exp(power * shifted)) for power in TEMPERS]
    good = [one for one in each if count_effective(one) >= FEW]
    return each[0], good[0] if good else each[-1]


def thin_out(weights: Array, most: int = COUNTED) -> Array:
    """Let no more than so many cars count, each new one of which has to be driven: the likely ones as they do.

    Of the others some stand for all, by priorities that keep every mean right on average and hardly change when the
    weights do (the sampling of Duffield, Lund and Thorup).
    """
    if np.count_nonzero(weights) <= most:
        return weights
    priority = weights / ((np.arange(len(weights)) + 0.5) * GOLDEN % 1.0)
    order = np.argsort(-priority)
    kept = np.zeros_like(weights)
    kept[order[:most]] = np.maximum(weights, priority[order[most]])[order[:most]]
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
