"""Fits one lever to the complaint: what it may do from today's setup, how far it should go, how sure that is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.costs import change_tyre_life, price_short_run
from assistant.advice.ranking import slower_of
from assistant.advice.sizing import Moves, Sized, Wanted, lay_moves, size_lever, spread_over
from assistant.advice.trade import by_the_book, likely_side, read_change
from assistant.car.changes import TRACK_BAR_ENDS, limit_of, value_of, with_step
from assistant.car.setup import GROUPS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from assistant.advice.effects import EffectTable, LeverEffect
    from assistant.advice.weights import Weights
    from assistant.car.case import Case
    from assistant.rules.models_lever import Lever
    from assistant.rules.pack import Knowledge


NOT_FOR_BALANCE = frozenset((*GROUPS["drive"], *GROUPS["fuel"]))
"""Gears and fuel are chosen for the straight and the run; what they do to the balance is a cost, never the purpose."""


@dataclass(frozen=True)
class Job:
    """Everything one piece of advice is made from."""

    case: Case
    knowledge: Knowledge
    effects: EffectTable
    weights: Weights
    wanted: Wanted


@dataclass(frozen=True)
class Fitted:
    """A lever with its size and what was known of it. sure: chance that it goes the wanted way.

    tyre_life: corner to (laps after, change) for the chosen size; empty when it was not computed.
    """

    lever: Lever
    effect: LeverEffect
    slope: NDArray[np.float64]
    moves: Moves
    sized: Sized
    sure: float
    tyre_life: Mapping[str, tuple[float, float]]


def fit_lever(name: str, job: Job) -> Fitted | None:
    """Size one lever for the complaint; None when the pack or the table does not know it."""
    lever, effect = job.knowledge.levers.get(name), job.effects.levers.get(name)
    if lever is None or effect is None:
        return None
    effect = by_the_book(effect, lever, job.effects)
    slope = spread_over(job.wanted, effect.effect, effect.ends)
    moves = moves_of(job.case, effect, read_change(lever.largest_change, lever))
    sized = size_lever(
        moves, slope, job.wanted, step_price=job.weights.step_price, extra=_tyre_penalty(effect, moves, job)
    )
    sure = _chance(effect, slope, job)
    return Fitted(lever, effect, slope, moves, sized, sure, tyre_life_of(effect, sized.multiple, job.effects))


def tyre_life_of(effect: LeverEffect, multiple: float, effects: EffectTable) -> dict[str, tuple[float, float]]:
    """Laps of tread after so many steps, and their change, by corner; empty when the run was not computed."""
    if effects.forecast is None or effect.run is None:
        return {}
    return change_tyre_life(effects.forecast.tyre_laps, effect.run.tyre_laps, multiple)


def moves_of(case: Case, effect: LeverEffect, largest: float | None) -> Moves:
    """List what a lever may do from today's setup; a lever the rules fix has no moves."""
    start = value_of(case.setup, effect.id)

    def shift_after(steps: int) -> float:
        moved, _ = with_step(case.setup, case.rulebook, case.car, effect.id, steps)
        return value_of(moved, effect.id) - start

    return lay_moves(effect.id, start, effect.step or 1.0, (effect.steps_down, effect.steps_up), shift_after, largest)


def when_of(lever: Lever, case: Case) -> str:
    """When a lever can be changed: the slower of what the job takes and what the rules allow."""
    ends = TRACK_BAR_ENDS if lever.lever == "track_bar" else (lever.lever,)
    slowest: str = lever.when
    for end in ends:
        limit = limit_of(case.rulebook, case.car, end)
        slowest = slowest if limit is None else slower_of(slowest, limit.when)
    return slowest


def is_fixed(lever: str, case: Case) -> bool:
    """Whether the rules leave a lever no freedom at all."""
    ends = TRACK_BAR_ENDS if lever == "track_bar" else (lever,)
    return any(limit_of(case.rulebook, case.car, end) is None for end in ends)


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
    return likely_side(job.wanted, slope, share)


def _tyre_penalty(effect: LeverEffect, moves: Moves, job: Job) -> Callable[[int], float] | None:
    """Price a size by how far it makes the tyres fall short of the run; None when the run was not computed."""
    if job.effects.forecast is None or effect.run is None:
        return None

    def penalty(steps: int) -> float:
        life = tyre_life_of(effect, moves.multiple[moves.steps.index(steps)], job.effects)
        return job.weights.tyre_price * price_short_run(life, job.case.run_laps)

    return penalty
