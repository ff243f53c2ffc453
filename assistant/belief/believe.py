"""What is believed of a car: the one picture that everything shown is read from."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import isfinite
from typing import TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from assistant.belief.aim import Aim, find_aim
from assistant.belief.driven import UNTIL, Changes, Driven, Effect
from assistant.belief.felt import CAR, Turned, answer_of, answer_turns, spread_answer, trace_turns
from assistant.belief.garage import Garage
from assistant.belief.known import Known, Row, balance_of, usual_rows
from assistant.belief.model import At
from assistant.belief.plausible import MOST_CARS
from assistant.belief.weigh import (
    ENOUGH,
    Weighed,
    count_effective,
    drivers_of,
    fit_cars,
    thin_out,
    write_equations,
)
from assistant.car.case import Case, Setup
from assistant.ground.names import PHASES, STAGES
from assistant.physics.formulas import Array

Made = TypeVar("Made")
LOW, HIGH = 0.1, 0.9
"""Shares of the cars below and above which a shown band ends: eight of ten lie in it."""
FEW = 20
"""Cars that a change is screened on."""
LEAST = 1e-9
"""Weight of the cars that a mean is taken over at least."""
USUAL, AHEAD = "usual", "ahead"
"""Keys of the usual setup of such a car, and of one that nobody has put on it yet."""


@dataclass(frozen=True)
class Shown:
    """A believed value: mean, and the band that holds eight of ten cars."""

    value: float
    low: float
    high: float

    @property
    def sure_of_sign(self) -> bool:
        """Whether the band lies on one side of zero."""
        return self.low > 0.0 or self.high < 0.0


@dataclass(frozen=True, eq=False)
class Belief:
    """One belief: the cars of `garage`, fitted and weighed by `evidence`. now: key of the setup on the car.

    left_out: gauges that are not believed, as no plausible car does what they say beside the rest. whole: the belief
    that it is some cars of, and chosen: which. reads, moves, spreads, suspected, made: what was asked so far.
    """

    garage: Garage
    evidence: Known
    fit: Weighed
    now: str = ""
    left_out: tuple[str, ...] = ()
    whole: Belief | None = None
    chosen: NDArray[np.intp] | None = None
    reads: dict[tuple[str, At, str | None], Array] = field(default_factory=dict, repr=False)
    moves: dict[frozenset[tuple[str, float]], Effect] = field(default_factory=dict, repr=False)
    spreads: dict[str, Array] = field(default_factory=dict, repr=False)
    suspected: dict[frozenset[tuple[str, str]], dict[str, float]] = field(default_factory=dict, repr=False)
    made: dict[Callable[[Belief], object], object] = field(default_factory=dict, repr=False)

    @cached_property
    def grid(self) -> dict[str, dict[str, Shown]]:
        """Balance [%, + tight] by phase and stage with the setup on the car."""
        cells = {phase: {stage: self.read(balance_of(phase), stage) for stage in STAGES} for phase in PHASES}
        return {phase: {stage: self.show(each) for stage, each in row.items()} for phase, row in cells.items()}

    @property
    def cars(self) -> int:
        """How many cars the belief holds."""
        return len(self.fit.weights)

    @property
    def gate_is_shut(self) -> bool:
        """Whether no plausible car does what is known: then no number of it may be shown."""
        return self.fit.fits_no_car

    @property
    def places(self) -> NDArray[np.intp]:
        """Which cars of the garage it holds, the first ones where it is no part of another."""
        return np.arange(self.cars) if self.chosen is None else self.chosen

    @cached_property
    def few(self) -> Belief:
        """The same on a few cars drawn by their weight, evenly along the driver's measure: enough to choose by."""
        return self.of(*draw_evenly(self.fit.weights, FEW, self.fit.factors[:1].sum(axis=0)))

    @cached_property
    def counted(self) -> Belief:
        """The same on the cars that count: what is asked of them is soonest told."""
        cars = np.flatnonzero(self.fit.weights)
        return self if len(cars) == self.cars else self.of(cars, self.fit.weights[cars])

    def of(self, cars: NDArray[np.intp], weights: Array) -> Belief:
        """Keep some cars, with weights of their own."""
        fit, whole, chosen = self.fit.of(cars, weights), self.whole or self, self.places[cars]
        return replace(self, fit=fit, whole=whole, chosen=chosen, reads={}, moves={}, spreads={}, suspected={}, made={})

    def once(self, make: Callable[[Belief], Made]) -> Made:
        """Return what is made of this belief, such as what its run costs; made once and held here."""
        if make not in self.made:
            self.made[make] = make(self)
        return cast("Made", self.made[make])

    def drive(self, setup: str | None = None) -> Driven:
        """Give the cars as driven on a setup, the one on the car when left out."""
        key = self.now if setup is None else setup
        return self.garage.drive(setup_of(self.evidence, key, self.garage)).of(self.places)

    def read(self, name: str, at: At, setup: str | None = None) -> Array:
        """Believed value of a quantity of every car, (cars,)."""
        key = (name, at, setup)
        if key not in self.reads:
            self.reads[key] = self.fit.read(self.answered[self.now if setup is None else setup], name, at)
        return self.reads[key]

    @property
    def knots(self) -> Array:
        """Laps done where the run is read."""
        return self.answered[self.now].knots

    def along(self, name: str) -> Array:
        """Believed value of a quantity all along the run, (knots, cars)."""
        key = (name, "along", None)
        if key not in self.reads:
            self.reads[key] = np.stack([self.read(name, float(lap)) for lap in self.knots])
        return self.reads[key]

    @cached_property
    def answered(self) -> dict[str, Driven]:
        """The cars as driven on every setup, each answering what was changed in its own way."""
        driven = {key: one.of(self.places) for key, one in drive_all(self.garage, self.evidence, self.now).items()}
        return answer_turns(driven, turns_of(self.evidence, driven, self.garage), self.fit.answers)

    def show(self, values: Array) -> Shown:
        """Sum up values of all cars."""
        low, high = quantiles(values, self.fit.weights, (LOW, HIGH))
        return Shown(self.mean(values), low, high)

    def mean(self, values: Array) -> float:
        """Mean over the cars by weight; cars that could not be driven weigh nothing."""
        return float(self.mean_of(values))

    def mean_of(self, values: Array) -> Array:
        """The same for every row of values (..., cars)."""
        return take_mean(values, self.fit.weights)

    def chance(self, so: NDArray[np.bool_]) -> float:
        """Chance of something that is so or not on each car, never surer than so many cars can be."""
        surest = self.fit.surest
        return float(np.clip(self.mean(so.astype(float)), 1.0 - surest, surest))

    def move(self, changes: Changes) -> Effect:
        """What moving numbers of the model by `changes` (SI) does to every car, from the setup on the car."""
        return self.move_all([changes])[0]

    def move_all(self, changes: Sequence[Changes]) -> list[Effect]:
        """The same for several changes, which are driven side by side."""
        by_name = {frozenset(one.items()): one for one in changes}
        new = [one for name, one in by_name.items() if name not in self.moves]
        for one, effect in zip(new, self.compute_all(new), strict=True):
            self.moves[frozenset(one.items())] = effect.answered(self.answer(one))
        return [self.moves[frozenset(one.items())] for one in changes]

    def compute_all(self, changes: Sequence[Changes]) -> list[Effect]:
        """The same as computed, before a car answers in its own way."""
        if not changes:
            return []
        counts = np.zeros(self.garage.count, dtype=bool)
        counts[self.places[self.fit.weights > 0.0]] = True
        found = self.garage.move_all(changes, setup_of(self.evidence, self.now, self.garage), counts)
        return [one.of(self.places) for one in found]

    def answer(self, changes: Changes) -> Array:
        """By how much more or less than computed each car answers when numbers are moved; see `felt`."""
        if self.whole is not None:
            return self.whole.answer(changes)[self.places]
        numbers = [name for name in changes if name != UNTIL]
        known = {name: self.spread_or_learned(name) for name in (CAR, *numbers)}
        return answer_of(numbers, known, self.cars)

    def spread_or_learned(self, name: str) -> Array:
        """What was learned of an answer, or all that it may be."""
        if name not in self.spreads:
            learned = self.fit.answers.get(name)
            self.spreads[name] = spread_answer(name, self.fit.weights) if learned is None else learned
        return self.spreads[name]

    def with_rows(self, rows: Iterable[Row], setups: Mapping[str, Setup] | None = None) -> Belief:
        """Believe what more rows make of it; only a setup nobody drove yet is driven."""
        return self.weigh_again(self.evidence.plus(rows, setups), self.now)

    def with_setup(self, setup: Setup) -> Belief:
        """Believe the same of the car with another setup on it; no more cars are drawn for that."""
        return self.weigh_again(self.evidence.plus((), {AHEAD: setup}), AHEAD)

    def without(self, ids: Iterable[str]) -> Belief:
        """Believe what is left when rows are taken back."""
        return self.weigh_again(self.evidence.minus(frozenset(ids)), self.now)

    def weigh_again(self, evidence: Known, now: str) -> Belief:
        """Fit and weigh the cars by other evidence; gauges that were not believed stay so."""
        return replace(weigh_belief(self.garage, evidence, now), left_out=self.left_out)

    def in_the_way(self) -> list[tuple[str, float]]:
        """List the rows without which more cars would count, with how many, the most first."""
        spoken = [row for row in self.evidence.rows if row.kind not in {"unsaid", "usual"}]
        found = [(row.id, self.without([row.id]).fit.plain) for row in spoken]
        return sorted((pair for pair in found if pair[1] > self.fit.plain), key=lambda pair: -pair[1])


def believe(case: Case, evidence: Known, garage: Garage | None = None, now: str = "", most: int = MOST_CARS) -> Belief:
    """Believe what `evidence` says of a case. garage: its cars where some are driven already.

    most: cars beyond which no more are drawn although fewer than enough count.
    """
    garage = Garage(case) if garage is None else garage
    with garage.lock:  # nobody else may draw more cars between a drive and its weighing
        belief = weigh_belief(garage, evidence.plus(usual_rows(USUAL)), now)
        while belief.fit.plain < ENOUGH and garage.count < most:
            garage.grow(aim_at(belief))
            belief = weigh_belief(garage, belief.evidence, now)
    return belief


def weigh_belief(garage: Garage, evidence: Known, now: str) -> Belief:
    """Fit and weigh the cars of a garage by the evidence."""
    with garage.lock:
        driven = drive_all(garage, evidence, now)
        fit = fit_cars(evidence.rows, driven, garage.scatter, garage.lean, turns_of(evidence, driven, garage))
        weights = thin_out(fit.weights)
        return Belief(garage, evidence, replace(fit, weights=weights, effective=count_effective(weights)), now)


def drive_all(garage: Garage, evidence: Known, now: str) -> dict[str, Driven]:
    """Drive the cars on every setup the evidence speaks of, and on the one on the car."""
    keys = sorted({term.setup for row in evidence.rows for term in row.terms} | {now, ""})
    return {key: garage.drive(setup_of(evidence, key, garage)) for key in keys}


def turns_of(evidence: Known, driven: Mapping[str, Driven], garage: Garage) -> tuple[Turned, ...]:
    """Say how the setups that were driven came about, from the case's own."""
    return trace_turns({"": garage.case.setup, **{key: one for key, one in evidence.setups.items() if key in driven}})


def aim_at(belief: Belief) -> Aim:
    """Find where more cars are worth drawing for a belief."""
    rows, garage = belief.evidence.rows, belief.garage
    driven = drive_all(garage, belief.evidence, belief.now)
    turns = turns_of(belief.evidence, driven, garage)
    return find_aim(write_equations(rows, driven, drivers_of(rows), turns), garage.off, belief.fit.usable)


def setup_of(evidence: Known, key: str, garage: Garage) -> Setup | None:
    """Find a setup by its key; None is the case's own."""
    if key == USUAL:
        return garage.usual
    return evidence.setups[key] if key else None


def take_mean(values: Array, weights: Array) -> Array:
    """Mean over the cars on the last axis; those without a number, which could not be driven, are left out."""
    with np.errstate(invalid="ignore"):
        total = np.asarray(np.dot(values, weights))
    if isfinite(total) if total.ndim == 0 else np.isfinite(total).all():  # so is every value
        return total / max(float(weights.sum()), LEAST)
    counted = (weights > 0.0) & np.isfinite(values)
    return np.asarray(np.where(counted, values, 0.0) @ weights / np.maximum(counted @ weights, LEAST))


def draw_evenly(weights: Array, count: int, along: Array | None = None) -> tuple[NDArray[np.intp], Array]:
    """Draw so many cars by weight, evenly spaced along the sum of weights; each once, and what each then weighs.

    along: what the cars are laid in order by; as they come when left out.
    """
    order = np.arange(len(weights)) if along is None else np.argsort(along, kind="stable")
    drawn = order[np.searchsorted(np.cumsum(weights[order]), (np.arange(count) + 0.5) / count)]
    cars, times = np.unique(drawn, return_counts=True)
    return cars, times / count


def quantiles(values: Array, weights: Array, shares: tuple[float, ...]) -> list[float]:
    """Values below which given shares of the weight lie, evenly between the cars that have a number."""
    counted = (weights > 0.0) & np.isfinite(values)
    if not counted.any():
        return [0.0] * len(shares)
    order = np.argsort(values[counted])
    rising, heavy = values[counted][order], weights[counted][order]
    below = (np.cumsum(heavy) - 0.5 * heavy) / heavy.sum()
    return [float(np.interp(share, below, rising)) for share in shares]
