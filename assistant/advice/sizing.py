"""How far to move one lever: the whole number of legal steps that misses the wanted change least.

A move is what a lever can do from today's setup; fitted is a lever with its size, how sure it is and what it costs.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.prices import RunPrice, price_run
from assistant.advice.results import slowest
from assistant.advice.trade import by_the_book, likely_side, read_change, scale_spread, shift_spread
from assistant.advice.wanted import Wanted, is_felt, measure_relief, miss, spread_over
from assistant.belief.outcome import Outcome, scale_effect, scale_run
from assistant.car.lever_rows import LEVERS_BY_WORK
from assistant.car.moves import TRACK_BAR_ENDS, limit_of, value_of, with_step

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from assistant.advice.results import AskedFor
    from assistant.belief.effects import EffectTable, LeverEffect, Spread
    from assistant.car.case import Case
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models import Weights
    from assistant.rules.models_lever import Lever, When


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
    """One lever's best move. relief: share of the complaint it takes away; harm: what it spoils, as such a share.

    effect: change of balance at each place [%]. side: the wanted way in the lever's own direction, -1, 0 or 1. stop:
    set when it cannot go that way. felt: whether the driver would notice. too_dear: a helpful step costs too much.
    """

    moves: Moves
    steps: int
    shift: float
    multiple: float
    effect: NDArray[np.float64]
    side: int
    relief: float
    harm: float
    limited_by: str | None
    stop: str | None
    felt: bool
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
    slope: NDArray[np.float64],
    wanted: Wanted,
    *,
    step_price: float,
    extra: Callable[[int], float] | None = None,
) -> Sized:
    """Choose the whole number of steps with the least weighted miss plus penalties.

    slope: effect of one known step at each place [%]. step_price: share of the complaint one step must earn.
    extra: price of so many steps over the run (tire life, pace) as a share, None when nothing is known.
    """
    effects = np.array(moves.multiple)[:, None] * slope
    best, too_dear = _choose(moves, effects, wanted, step_price, extra)
    effect = effects[best]
    relief, harm = measure_relief(wanted, effect)
    side = int(np.sign(float((wanted.weight * slope) @ wanted.change)))
    return Sized(
        moves,
        moves.steps[best],
        moves.shift[best],
        moves.multiple[best],
        effect,
        side,
        relief,
        harm,
        _limit(moves, best, slope, wanted, step_price),
        None if moves.steps[best] else _stop(moves, side),
        is_felt(wanted, effect),
        too_dear,
    )


def _choose(
    moves: Moves,
    effects: NDArray[np.float64],
    wanted: Wanted,
    step_price: float,
    extra: Callable[[int], float] | None,
) -> tuple[int, bool]:
    """Choose the move of the least price; also whether only its price over the run keeps the lever where it is."""
    if wanted.total == 0:
        return moves.steps.index(0), False
    price = miss(wanted, effects) + step_price * np.abs(moves.steps)
    cheap = _least(price, moves.steps)
    if extra is None:
        return cheap, False
    best = _least(price + np.array([extra(steps) for steps in moves.steps]), moves.steps)
    return best, moves.steps[best] == 0 and moves.steps[cheap] != 0


def _least(price: NDArray[np.float64], steps: tuple[int, ...]) -> int:
    """Index of the least price; of equals the smallest move."""
    order = sorted(range(len(steps)), key=lambda index: (round(float(price[index]), 12), abs(steps[index])))
    return order[0]


def _stop(moves: Moves, side: int) -> str | None:
    """Find what keeps the lever from moving to the wanted side at all, None when it can move."""
    if side < 0 and moves.steps[0] == 0:
        return moves.low_stop
    if side > 0 and moves.steps[-1] == 0:
        return moves.high_stop
    return None


def _limit(moves: Moves, best: int, slope: NDArray[np.float64], wanted: Wanted, step_price: float) -> str | None:
    """Name what ended the move, when one more step of the usual size would still have paid."""
    if moves.steps[best] == 0 or best not in (0, len(moves.steps) - 1):
        return None
    here = moves.multiple[best]
    further = here + (1.0 if here > 0 else -1.0)
    gain = miss(wanted, here * slope) - miss(wanted, further * slope)
    if float(gain) <= step_price:
        return None
    return moves.high_stop if here > 0 else moves.low_stop


NOT_FOR_BALANCE = frozenset((*LEVERS_BY_WORK["drive"], *LEVERS_BY_WORK["fuel"]))
"""Gears and fuel are chosen for the straight and the run; what they do to the balance is a cost, never the purpose."""


@dataclass(frozen=True)
class Job:
    """Everything one piece of advice is made from.

    felt: what the driver's own words ask for, also where a cause is treated instead. asked: how much the complaint asks
    for, by phase. fits: levers fitted so far, so that none is fitted twice.
    """

    case: Case
    knowledge: Knowledge
    effects: EffectTable
    weights: Weights
    wanted: Wanted
    felt: Wanted
    asked: tuple[AskedFor, ...] = ()
    fits: dict[str, Fitted | None] = field(default_factory=dict, compare=False)


@dataclass(frozen=True)
class Fitted:
    """A lever with its size and what was known of it. sure: chance that it goes the wanted way.

    outcome: what the chosen size does, with its spread and its price over the run (None when not computed).
    """

    lever: Lever
    effect: LeverEffect
    slope: NDArray[np.float64]
    moves: Moves
    sized: Sized
    sure: float
    outcome: Outcome
    spread: Spread
    price: RunPrice | None


def fit_lever(name: str, job: Job) -> Fitted | None:
    """Size one lever for the complaint; None when the pack or the table does not know it."""
    if name not in job.fits:
        job.fits[name] = _fit(name, job)
    return job.fits[name]


def _fit(name: str, job: Job) -> Fitted | None:
    lever, effect = job.knowledge.levers.get(name), job.effects.levers.get(name)
    if lever is None or effect is None:
        return None
    effect = by_the_book(effect, lever, job.effects)
    slope = spread_over(job.wanted, effect.effect, effect.ends)
    moves = moves_of(job.case, effect, read_change(lever.largest_change, lever))
    sized = size_lever(
        moves, slope, job.wanted, step_price=job.weights.step_price, extra=_run_penalty(effect, moves, job)
    )
    outcome = scale_effect(effect, sized.multiple, job.effects.forecast)
    price = price_run(outcome.run, job.weights, job.case.run_laps)
    spread = scale_spread(effect.spread, sized.multiple)
    return Fitted(lever, effect, slope, moves, sized, _chance(effect, slope, job), outcome, spread, price)


def steps_near(fitted: Fitted) -> tuple[int, ...]:
    """List the sizes the full model is asked for: the chosen one, one step less and one step more."""
    here = fitted.moves.steps.index(fitted.sized.steps)
    near = fitted.moves.steps[max(0, here - 1) : here + 2]
    return tuple(steps for steps in near if steps)


def refit(fitted: Fitted, outcomes: Mapping[int, Outcome], job: Job) -> Fitted:
    """Choose among the sizes the full model was asked for; no move at all when none is better than the car as it is.

    outcomes: steps to what they do.
    """
    prices, too_dear = {0: 1.0}, False
    for steps, outcome in outcomes.items():
        row = spread_over(job.wanted, outcome.balance, outcome.ends)
        value = float(miss(job.wanted, row)) + job.weights.step_price * abs(steps)
        if outcome.steady and np.isfinite(value):
            price = price_run(outcome.run, job.weights, job.case.run_laps)
            prices[steps] = value + (0.0 if price is None else price.total)
            too_dear = too_dear or value < 1.0
    best = min(prices, key=lambda steps: (round(prices[steps], 12), abs(steps)))
    if best == 0:
        return replace(fitted, sized=replace(fitted.sized, steps=0, too_dear=too_dear))
    return _with_outcome(fitted, best, outcomes[best], job)


def _with_outcome(fitted: Fitted, steps: int, outcome: Outcome, job: Job) -> Fitted:
    """Put the exact numbers of a size in place of those added up from single steps; the spread moves with them."""
    pick = fitted.moves.steps.index(steps)
    multiple = fitted.moves.multiple[pick]
    row = spread_over(job.wanted, outcome.balance, outcome.ends)
    relief, harm = measure_relief(job.wanted, row)
    at_stop = pick in (0, len(fitted.moves.steps) - 1)
    sized = replace(
        fitted.sized,
        steps=steps,
        shift=fitted.moves.shift[pick],
        multiple=multiple,
        effect=row,
        relief=relief,
        harm=harm,
        limited_by=fitted.sized.limited_by if at_stop else None,
        felt=is_felt(job.wanted, row),
    )
    spread = shift_spread(scale_spread(fitted.effect.spread, multiple), fitted.effect.effect, multiple, outcome.balance)
    price = price_run(outcome.run, job.weights, job.case.run_laps)
    return replace(fitted, sized=sized, outcome=outcome, spread=spread, price=price)


def moves_of(case: Case, effect: LeverEffect, largest: float | None) -> Moves:
    """List what a lever may do from today's setup; a lever the rules fix has no moves."""
    start = value_of(case.setup, effect.id)

    def shift_after(steps: int) -> float:
        moved, _ = with_step(case.setup, case.rulebook, case.car, effect.id, steps)
        return value_of(moved, effect.id) - start

    return lay_moves(effect.id, start, effect.step or 1.0, (effect.steps_down, effect.steps_up), shift_after, largest)


def when_of(lever: Lever, case: Case) -> When:
    """When a lever can be changed: the slower of what the job takes and what the rules allow."""
    ends = TRACK_BAR_ENDS if lever.lever == "track_bar" else (lever.lever,)
    limits = [limit_of(case.rulebook, case.car, end) for end in ends]
    return slowest([lever.when, *(limit.when for limit in limits if limit is not None)])


def is_fixed(lever: str, case: Case) -> bool:
    """Whether the rules leave a lever no freedom at all."""
    ends = TRACK_BAR_ENDS if lever == "track_bar" else (lever,)
    return any(limit_of(case.rulebook, case.car, end) is None for end in ends)


def is_guessed(lever: str, case: Case) -> bool:
    """Whether nobody said where a lever stands."""
    return not case.setup.guessed.isdisjoint(TRACK_BAR_ENDS if lever == "track_bar" else (lever,))


def direction_of(wanted: Wanted, effect: NDArray[np.float64] | None) -> str | None:
    """Say which way the car goes where it was complained of: tighter or looser, None when it cannot be said."""
    if effect is None:
        return None
    there = effect[wanted.reported]
    if not len(there) or (there > 0).all() == (there < 0).all():
        total = float((wanted.weight * np.abs(wanted.change)) @ effect)
        return None if total == 0 else "tighter" if total > 0 else "looser"
    return "tighter" if (there > 0).all() else "looser"


def phases_asked(wanted: Wanted) -> tuple[str, ...]:
    """Name the phases complained of, each once."""
    asked = [phase for (_, phase, _), reported in zip(wanted.places, wanted.reported, strict=True) if reported]
    return tuple(dict.fromkeys(asked))


def _chance(effect: LeverEffect, slope: NDArray[np.float64], job: Job) -> float:
    """Chance that a lever goes the wanted way where it was complained of, cells weighed by what it does there."""
    if effect.basis != "computed":
        return job.weights.by_the_book_confidence
    share = spread_over(job.wanted, effect.sign_share, {})
    return likely_side(job.wanted, slope, share, job.effects.cars)


def _run_penalty(effect: LeverEffect, moves: Moves, job: Job) -> Callable[[int], float] | None:
    """Price a size by what it costs over the run; None when the run was not computed."""
    if effect.run is None:
        return None

    def penalty(steps: int) -> float:
        run = scale_run(effect.run, moves.multiple[moves.steps.index(steps)], job.effects.forecast)
        price = price_run(run, job.weights, job.case.run_laps)
        return 0.0 if price is None else price.total

    return penalty
