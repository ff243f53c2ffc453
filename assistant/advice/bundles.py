"""Packages as results: which levers are searched, what each member contributes, in which order to make them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.costs import list_balance_costs, list_work
from assistant.advice.fitting import Fitted, Job, fit_lever, when_of
from assistant.advice.packages import (
    Combination,
    Member,
    Recheck,
    choose_packages,
    measure_gap,
    order_moves,
    search_packages,
)
from assistant.advice.ranking import HOW_SOON, family_of
from assistant.advice.results import Grid, Package, PackageMove
from assistant.advice.sizing import measure_relief, spread_over
from assistant.advice.trade import say_cautions, scale_grid

if TYPE_CHECKING:
    from numpy.typing import NDArray

FullModel = Callable[[Sequence[Mapping[str, int]]], Sequence[tuple[Grid, Mapping[str, Grid]]]]
"""Setups through the whole model: lever -> steps to the change of balance [%], of both ends and of each."""


def offer_packages(job: Job, single: float, full_model: FullModel | None = None) -> tuple[Package, ...]:
    """Search packages of two and three levers and keep what clearly beats the best single lever (share `single`)."""
    if job.wanted.total == 0:
        return ()
    fitted = _searched(job)
    members = [_member(one, job) for one in fitted]
    pairs, triples = (
        search_packages(
            members, job.wanted, size=size, step_price=job.weights.step_price, recheck=_recheck(job, full_model)
        )
        for size in (2, 3)
    )
    weights = job.weights
    chosen = choose_packages(
        pairs, triples, single, must_beat=weights.package_must_beat, must_add=weights.lever_must_add
    )
    return tuple(_make_package(one, members, fitted, job) for one in chosen)


def _searched(job: Job) -> list[Fitted]:
    """List the levers that may be in a package: computed, sure, movable in the time at hand; the most useful first."""
    known = [found for lever in job.effects.levers if (found := fit_lever(lever, job)) is not None]
    usable = [one for one in known if _is_usable(one, job)]
    usable.sort(key=lambda one: (-one.sized.removes, -_reach(one), one.lever.lever))
    return usable[: job.weights.package_levers]


def _is_usable(fitted: Fitted, job: Job) -> bool:
    in_time = HOW_SOON.index(when_of(fitted.lever, job.case)) <= HOW_SOON.index(job.case.at_hand)
    sure = fitted.sure >= job.weights.package_least_confidence
    return in_time and sure and fitted.effect.basis == "computed" and len(fitted.moves.steps) > 1


def _reach(fitted: Fitted) -> float:
    """The most a lever can move the car anywhere [%]."""
    return float(np.abs(fitted.slope).max() * np.abs(fitted.moves.multiple).max())


def _member(fitted: Fitted, job: Job) -> Member:
    return Member(fitted.moves, fitted.slope, family_of(fitted.lever.lever, job.weights.families))


def _recheck(job: Job, full_model: FullModel | None) -> Recheck | None:
    if full_model is None:
        return None

    def recheck(packages: Sequence[dict[str, int]]) -> NDArray[np.float64]:
        return np.array([spread_over(job.wanted, both, ends) for both, ends in full_model(packages)])

    return recheck


def _make_package(found: Combination, members: Sequence[Member], fitted: Sequence[Fitted], job: Job) -> Package:
    parts = [(fitted[index], pick) for index, pick in zip(found.members, found.picks, strict=True)]
    effects = np.array([one.moves.multiple[pick] * one.slope for one, pick in parts])
    order = order_moves(effects, job.wanted)
    moves = [_make_move(one, pick, effect, job) for (one, pick), effect in zip(parts, effects, strict=True)]
    work = dict.fromkeys(what for one, _ in parts for what in one.lever.recheck)
    return Package(
        tuple(moves),
        found.removes,
        _add_grids([scale_grid(one.effect.effect, one.moves.multiple[pick]) for one, pick in parts]),
        (*list_balance_costs(found.effect, job.wanted), *list_work(tuple(work))),
        tuple(moves[index].lever for index in order),
        measure_gap(found, members, job.wanted),
    )


def _make_move(fitted: Fitted, pick: int, effect: NDArray[np.float64], job: Job) -> PackageMove:
    start = fitted.moves.start or 0.0
    return PackageMove(
        fitted.lever.lever,
        fitted.lever.title,
        fitted.moves.steps[pick],
        start,
        start + fitted.moves.shift[pick],
        measure_relief(job.wanted, effect)[1],
        say_cautions(fitted.lever.cautions, job.knowledge),
    )


def _add_grids(grids: Sequence[Grid]) -> Grid:
    first = grids[0]
    return {phase: {stage: sum(grid[phase][stage] for grid in grids) for stage in row} for phase, row in first.items()}
