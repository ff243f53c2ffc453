"""Fits one lever to the complaint: what it may do from today's setup, how far it should go, how sure that is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.ranking import slower_of
from assistant.advice.results import Grid
from assistant.advice.sizing import Moves, Sized, Wanted, lay_moves, size_lever, spread_over
from assistant.advice.trade import by_the_book, likely_side, read_change
from assistant.car.changes import TRACK_BAR_ENDS, limit_of, value_of, with_step

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from assistant.advice.effects import EffectTable, LeverEffect
    from assistant.advice.weights import Weights
    from assistant.car.case import Case
    from assistant.rules.models_lever import Lever
    from assistant.rules.pack import Knowledge

DrivingEffect = Callable[[Mapping[str, float]], Grid]
"""Full model of a habit: change of a phase's force demand as a share, such as {"exit_drive": -0.1}, to a grid [%]."""


@dataclass(frozen=True)
class Job:
    """Everything one piece of advice is made from."""

    case: Case
    knowledge: Knowledge
    effects: EffectTable
    weights: Weights
    wanted: Wanted
    driving_effect: DrivingEffect | None = None


@dataclass(frozen=True)
class Fitted:
    """A lever with its size and what was known of it. sure: chance that it goes the wanted way."""

    lever: Lever
    effect: LeverEffect
    slope: NDArray[np.float64]
    moves: Moves
    sized: Sized
    sure: float


def fit_lever(name: str, job: Job) -> Fitted | None:
    """Size one lever for the complaint; None when the pack or the table does not know it."""
    lever, effect = job.knowledge.levers.get(name), job.effects.levers.get(name)
    if lever is None or effect is None:
        return None
    effect = by_the_book(effect, lever, job.effects)
    slope = spread_over(job.wanted, effect.effect, effect.ends)
    moves = moves_of(job.case, effect, read_change(lever.largest_change, lever))
    sized = size_lever(moves, slope, job.wanted, step_price=job.weights.step_price)
    return Fitted(lever, effect, slope, moves, sized, _chance(effect, slope, job))


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
