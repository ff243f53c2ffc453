"""Packages as results: which levers are searched, what each member contributes, in which order to make them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.costs import list_balance_costs, list_work
from assistant.advice.fitting import NOT_FOR_BALANCE, Fitted, Job, fit_lever, when_of
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
from assistant.car.changes import with_step

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from assistant.car.setup import Setup

FullModel = Callable[[Sequence[Mapping[str, int]]], Sequence[tuple[Grid, Mapping[str, Grid]]]]
"""Setups through the whole model: lever -> steps to the change of balance [%], of both ends and of each."""


RECHECKED = {1: 5, 2: 50, 3: 50}
"""How many combinations of each size the full model has the last word over."""


def model_of(job: Job) -> FullModel | None:
    """Make the full model from what the effects were computed with; None for a table without it."""
    model, now = job.effects.model, job.effects.forecast
    if model is None or now is None:
        return None
    from assistant.advice.forecast import forecast_setups  # noqa: PLC0415 - the physics, only when it is needed

    def full_model(packages: Sequence[Mapping[str, int]]) -> list[tuple[Grid, Mapping[str, Grid]]]:
        runs = forecast_setups(model, [_move_all(job, package) for package in packages])
        return [
            (_subtract(run.balance, now.balance), {end: _subtract(grid, dict(now.ends)[end]) for end, grid in run.ends})
            for run in runs
        ]

    return full_model


def offer_packages(job: Job, single: float, full_model: FullModel | None = None) -> tuple[Package, ...]:
    """Search packages of two and three levers and keep what clearly beats the best single lever (share `single`)."""
    if job.wanted.total == 0:
        return ()
    fitted = _searched(job)
    members = [_member(one, job) for one in fitted]
    recheck = _recheck(job, full_model or model_of(job))
    found = [
        search_packages(members, job.wanted, size=size, step_price=job.weights.step_price, best=best, recheck=recheck)
        for size, best in RECHECKED.items()
    ]
    weights = job.weights
    chosen = choose_packages(found, single, must_beat=weights.package_must_beat, must_add=weights.lever_must_add)
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
    if fitted.lever.lever in NOT_FOR_BALANCE:
        return False
    return in_time and sure and fitted.effect.basis == "computed" and len(fitted.moves.steps) > 1


def _reach(fitted: Fitted) -> float:
    """The most a lever can move the car anywhere [%]."""
    return float(np.abs(fitted.slope).max() * np.abs(fitted.moves.multiple).max())


def _member(fitted: Fitted, job: Job) -> Member:
    """Offer a lever to the search, with the price of its uncertainty.

    Errors of different levers are taken as independent (assumption), so the expected squared miss grows by the variance
    of each effect; the band from the 10th to the 90th percentile is 2.563 standard deviations wide (normal law).
    """
    band = [fitted.effect.spread[phase][stage] for _, phase, stage in job.wanted.places]
    deviation = np.array([high - low for low, high in band]) / 2.563
    risk = float(job.wanted.weight @ deviation**2) / job.wanted.total
    prices = tuple(risk * multiple**2 for multiple in fitted.moves.multiple)
    return Member(fitted.moves, fitted.slope, family_of(fitted.lever.lever, job.weights.families), prices)


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


def _move_all(job: Job, package: Mapping[str, int]) -> Setup:
    setup = job.case.setup
    for lever, steps in package.items():
        setup, _ = with_step(setup, job.case.rulebook, job.case.car, lever, steps)
    return setup


def _subtract(grid: Grid, from_it: Grid) -> Grid:
    return {
        phase: {stage: value - from_it[phase][stage] for stage, value in row.items()} for phase, row in grid.items()
    }
