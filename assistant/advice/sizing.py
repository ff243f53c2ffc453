"""How far to move one lever: the whole number of legal steps that is best on the mean of the believed cars.

A move is what a lever can do from today's setup; fitted is a lever with its size, how sure it is and what it costs.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.prices import RunPrice, price_run
from assistant.advice.results import slowest
from assistant.advice.trade import book_row
from assistant.belief.believe import take_mean
from assistant.belief.cures import Verdict, Wanted, judge, value_moves
from assistant.belief.effects import LeverEffect, LeverStep, drive_moves, effect_by_the_book, lever_effect
from assistant.belief.outcome import read_costs
from assistant.car.case import Case, When, levers_of
from assistant.car.keys import NOT_FOR_BALANCE, ends_of
from assistant.car.moves import limit_of, value_of, with_step
from assistant.physics.formulas import Array

if TYPE_CHECKING:
    from assistant.belief.believe import Belief
    from assistant.belief.driven import Effect
    from assistant.ground.names import Grid
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models import Lever, Weights


@dataclass(frozen=True)
class Moves:
    """What one lever may do from today's setup, in whole legal steps, no move (0) included.

    steps: rising whole numbers. shift: change of the lever at each [SI]. multiple: the same in units of the step
    for which the effect is known (parts on the shelf are not evenly spaced).
    low_stop, high_stop: what ends the row on either side, "min", "max" (of the number) or "largest_change".
    """

    lever: str
    start: float | None
    steps: tuple[int, ...]
    shift: tuple[float, ...]
    multiple: tuple[float, ...]
    low_stop: str
    high_stop: str


@dataclass(frozen=True)
class Sized:
    """One lever's best move. verdict: what it is worth to the believed cars.

    side: the wanted way in the lever's own direction, -1, 0 or 1. stop: set when it cannot go that way. too_dear: a
    helpful step costs too much over the run.
    """

    moves: Moves
    steps: int
    shift: float
    multiple: float
    verdict: Verdict
    side: int
    limited_by: str | None
    stop: str | None
    too_dear: bool = False

    @property
    def helps(self) -> bool:
        """Whether a step was found that is better than leaving the car alone."""
        return self.steps != 0


def lay_moves(
    lever: str,
    start: float | None,
    step: float,
    reach: tuple[int, int],
    shift_after: Callable[[int], float],
    largest: float | None = None,
) -> Moves:
    """List the legal steps of one lever.

    step: SI change of the number by one + step, for which the effect is known; negative where + makes it smaller.
    reach: legal steps (down, up). shift_after: change after so many steps [SI]. largest: sensible single change [SI].
    """
    stops = {-1: "min", 1: "max"} if step > 0 else {-1: "max", 1: "min"}
    rows = [(0, 0.0)]
    for sign, count in zip((-1, 1), reach, strict=True):
        for number in range(1, count + 1):
            shift = shift_after(sign * number)
            if largest is not None and abs(shift) > largest * (1 + 1e-9):
                stops[sign] = "largest_change"
                break
            rows.append((sign * number, shift))
    steps, shifts = zip(*sorted(rows), strict=True)
    return Moves(lever, start, steps, shifts, tuple(shift / step for shift in shifts), stops[-1], stops[1])


def size_lever(
    moves: Moves,
    step: Array,
    wanted: Wanted,
    *,
    step_price: float,
    extra: Callable[[int], float] | None = None,
) -> Sized:
    """Choose the whole number of steps that takes away most for what it spoils and costs.

    step: effect of one known step at each place on each car [%], (places, cars). step_price: share of the complaint one
    step must earn. extra: price of so many steps over the run (tire life, pace) as a share, None when nothing is known.
    """
    values = (value_steps(moves.multiple, step, wanted) - step_price * np.abs(moves.steps)).tolist()
    cheap = pick_best(values, moves.steps)
    best = cheap if extra is None else pick_priced(values, moves.steps, cheap, extra)
    side = -int(np.sign((wanted.signs * take_mean(step, wanted.belief.fit.weights)).sum()))
    return Sized(
        moves,
        moves.steps[best],
        moves.shift[best],
        moves.multiple[best],
        judge(wanted, moves.multiple[best] * step),
        side,
        _limit(moves, best, step, wanted, step_price),
        None if moves.steps[best] else _stop(moves, side),
        too_dear=moves.steps[best] == 0 and moves.steps[cheap] != 0,
    )


def value_steps(multiples: Sequence[float], step: Array, wanted: Wanted) -> Array:
    """What so many times one step are worth, each."""
    return value_moves(wanted, np.array(multiples)[:, None, None] * step)


def pick_best(values: Sequence[float], steps: tuple[int, ...]) -> int:
    """Index of the most value; of equals the smallest move."""
    return min(range(len(steps)), key=lambda index: (-round(values[index], 12), abs(steps[index])))


def pick_priced(values: Sequence[float], steps: tuple[int, ...], cheap: int, price: Callable[[int], float]) -> int:
    """The same the way the best goes, less a price of each that is never below zero.

    What is worth less before its price than another after it is not priced.
    """
    left = {at: values[at] for at in range(len(steps)) if steps[at] * steps[cheap] > 0 or not steps[at]}
    known = [-np.inf] * len(steps)
    while max(left.values(), default=-np.inf) >= max(known):
        at = max(left, key=lambda one: left[one])
        known[at] = left.pop(at) - (price(steps[at]) if steps[at] else 0.0)
    return pick_best(known, steps)


def _stop(moves: Moves, side: int) -> str | None:
    """Find what keeps the lever from moving to the wanted side at all, None when it can move."""
    if side < 0 and moves.steps[0] == 0:
        return moves.low_stop
    if side > 0 and moves.steps[-1] == 0:
        return moves.high_stop
    return None


def _limit(moves: Moves, best: int, step: Array, wanted: Wanted, step_price: float) -> str | None:
    """Name what ended the move, when one more step of the usual size would still have paid."""
    if moves.steps[best] == 0 or best not in (0, len(moves.steps) - 1):
        return None
    here = moves.multiple[best]
    now, further = value_steps((here, here + (1.0 if here > 0 else -1.0)), step, wanted)
    if further - now <= step_price:
        return None
    return moves.high_stop if here > 0 else moves.low_stop


ONLY_WHERE_LISTED = frozenset({*NOT_FOR_BALANCE, "brake_bias"})
"""Levers that are no remedy unless a list names them: brakes are for stopping."""


@dataclass(frozen=True)
class Job:
    """Everything one piece of advice is made from. belief: the car, as far as anything is known of it.

    wanted: what is treated. read: how far a reading of the tires says to move a lever [SI]. sizes: steps by which a
    lever is driven to learn what one of them does, 1 where nothing is stated. fits: levers fitted so far, so that none
    is fitted twice.
    """

    case: Case
    knowledge: Knowledge
    belief: Belief
    weights: Weights
    wanted: Wanted
    read: Mapping[str, float] = field(default_factory=dict)
    sizes: Mapping[str, int] = field(default_factory=dict)
    fits: dict[str, Fitted | None] = field(default_factory=dict, compare=False)

    def on_few(self) -> Job:
        """The same on a few of the believed cars, with nothing fitted yet."""
        return replace(self, belief=self.belief.few, wanted=self.wanted.on(self.belief.few), fits={})

    def with_sizes(self, rough: Job) -> Job:
        """Drive levers by the sizes that were found on a few cars: one that is chosen again is driven once."""
        found = {lever: one.sized.steps for lever, one in rough.fits.items() if one is not None and one.sized.helps}
        return replace(self, sizes=found, fits={})

    @property
    def in_place(self) -> bool:
        """Whether a change is made on the tires in place: there is time for no more than a pit stop."""
        return self.wanted.at_once


@dataclass(frozen=True)
class Fitted:
    """A lever with its size. step: what one step does on every car; effect: what the chosen size does.

    sure: chance that it goes the wanted way. price: over the run, None when not computed or not driven on.
    """

    lever: Lever
    step: LeverEffect
    sized: Sized
    effect: Effect
    sure: float
    price: RunPrice | None

    @property
    def moves(self) -> Moves:
        """What the lever may do."""
        return self.sized.moves

    @property
    def computed(self) -> bool:
        """Whether the model computes it."""
        return self.step.on_cars is not None


def fit_lever(name: str, job: Job) -> Fitted | None:
    """Size one lever for the complaint; None when the pack or the setup does not know it."""
    if name not in job.fits:
        job.fits[name] = _fit(name, job)
    return job.fits[name]


def _fit(name: str, job: Job) -> Fitted | None:
    lever = job.knowledge.levers.get(name)
    if lever is None or name not in levers_of(job.case.setup):
        return None
    step = lever_effect(job.case, job.belief, name, job.sizes.get(name, 1))
    one = step.on_cars or effect_by_the_book(job.belief, book_row(lever, step.step))
    moves = moves_of(job.case, step, lever.in_si(lever.largest_change))
    sized = size_lever(
        moves, job.wanted.read(one), job.wanted, step_price=job.weights.step_price, extra=_run_penalty(step, moves, job)
    )
    return with_effect(Fitted(lever, step, sized, one.times(sized.multiple), 0.0, None), job)


def with_effect(fitted: Fitted, job: Job) -> Fitted:
    """Work out what the effect of a size is worth and costs."""
    verdict = judge(job.wanted, job.wanted.read(fitted.effect))
    computed = fitted.computed
    run = read_costs(job.belief, fitted.effect) if computed and not job.in_place else None
    return replace(
        fitted,
        sized=replace(fitted.sized, verdict=verdict),
        sure=verdict.direction if computed else job.weights.by_the_book_confidence,
        price=price_run(run, job.weights, job.case.run_laps),
    )


def drive_fitted(fitted: Fitted, job: Job) -> Fitted:
    """Drive the chosen size as it is on every car, in place of so many times one step."""
    if not fitted.computed or not fitted.sized.helps:
        return fitted
    effect = drive_moves(job.case, job.belief, [(fitted.lever.lever, fitted.sized.steps)])
    return with_effect(replace(fitted, effect=effect), job)


def moves_of(case: Case, lever: LeverStep, largest: float | None) -> Moves:
    """List what a lever may do from today's setup; a lever the rules fix has no moves."""
    start = value_of(case.setup, lever.id)

    def shift_after(steps: int) -> float:
        moved, _ = with_step(case.setup, case.rulebook, case.car, lever.id, steps)
        return value_of(moved, lever.id) - start

    return lay_moves(lever.id, start, lever.step or 1.0, (lever.steps_down, lever.steps_up), shift_after, largest)


def when_of(lever: Lever, case: Case) -> When:
    """When a lever can be changed: the slower of what the job takes and what the rules allow."""
    ends = ends_of(lever.lever)
    limits = [limit_of(case.rulebook, case.car, end) for end in ends]
    return slowest([lever.when, *(limit.when for limit in limits if limit is not None)])


def is_fixed(lever: str, case: Case) -> bool:
    """Whether the rules leave a lever no freedom at all."""
    ends = ends_of(lever)
    return any(limit_of(case.rulebook, case.car, end) is None for end in ends)


def is_guessed(lever: str, case: Case) -> bool:
    """Whether nobody said where a lever stands."""
    return not case.setup.guessed.isdisjoint(ends_of(lever))


def direction_of(wanted: Wanted, effect: Grid | None) -> str | None:
    """Say which way the car goes where it was complained of: tighter or looser, None when it cannot be said."""
    if effect is None or not wanted.wrong.any():
        return None
    there = [
        effect[phase][stage] for (_, phase, stage), wrong in zip(wanted.places, wanted.wrong, strict=True) if wrong
    ]
    total = sum(there)
    return None if total == 0 else "tighter" if total > 0 else "looser"


def phases_asked(wanted: Wanted) -> tuple[str, ...]:
    """Name the phases complained of, each once."""
    asked = [phase for (_, phase, _), wrong in zip(wanted.places, wanted.wrong, strict=True) if wrong]
    return tuple(dict.fromkeys(asked))


def _run_penalty(step: LeverEffect, moves: Moves, job: Job) -> Callable[[int], float] | None:
    """Price a size by what it costs over the run; None when the run was not computed, or the tires stay in place."""
    one = step.on_cars
    if one is None or job.in_place:
        return None

    def penalty(steps: int) -> float:
        run = read_costs(job.belief, one.times(moves.multiple[moves.steps.index(steps)]))
        price = price_run(run, job.weights, job.case.run_laps)
        return 0.0 if price is None else price.total

    return penalty
