"""Packages as results: which levers are searched, what each member contributes, in which order to make them.

The search adds single effects up; the best few are then driven through the whole run, and only those numbers are shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.package_search import (
    Combination,
    Member,
    choose_packages,
    measure_gap,
    order_moves,
    price_again,
    search_packages,
    steps_of,
)
from assistant.advice.prices import list_costs, price_run, share_each
from assistant.advice.ranking import family_of
from assistant.advice.results import Package, PackageMove, Timing
from assistant.advice.sizing import NOT_FOR_BALANCE, Fitted, Job, fit_lever, is_guessed, phases_asked, when_of
from assistant.advice.trade import cautions_of
from assistant.advice.wanted import measure_relief, spoils_more, spread_over
from assistant.belief.outcome import FullModel, RunAfter, Trial, scale_effect, try_lever

if TYPE_CHECKING:
    from numpy.typing import NDArray


RECHECKED = {1: 2, 2: 7, 3: 7}
"""How many combinations of each size the full model has the last word over."""


MOST_MOVES = 3
"""Levers in the largest package."""


@dataclass(frozen=True)
class Search:
    """Levers searched, and the best combinations of one, two and three of them by adding up, best first."""

    fitted: tuple[Fitted, ...]
    members: tuple[Member, ...]
    found: tuple[tuple[Combination, ...], ...]

    @property
    def trials(self) -> tuple[Trial, ...]:
        """What the full model is to say something of: all of them, and the members of the best two of each size."""
        whole = [self.trial_of(one) for level in self.found for one in level]
        best = [self.trial_of(one) for level in self.found for one in level[:2]]
        return (*whole, *(try_lever(lever, steps) for trial in best for lever, steps in trial.moves))

    def trial_of(self, one: Combination) -> Trial:
        """Name a combination as the full model is asked for it."""
        return Trial(steps_of(one, self.members))


def search_for_packages(job: Job) -> Search:
    """Search packages of two and three levers, and single levers to hold them against."""
    fitted = tuple(_searched(job)) if job.wanted.total > 0 else ()
    members = tuple(_member(one, job) for one in fitted)
    found = (
        search_packages(members, job.wanted, size=size, step_price=job.weights.step_price, best=best)
        for size, best in RECHECKED.items()
    )
    return Search(fitted, members, tuple(found))


def offer_packages(search: Search, job: Job, single: float, full_model: FullModel) -> tuple[Package, ...]:
    """Keep the one that clearly beats the best single lever (gain `single`), by the full model.

    Three levers only where they clearly beat the best two, and where the first visit to the car alone mends something:
    a driver may never get to the others. One package at most, so that nobody has to choose between two handfuls.
    """
    found = [_check(level, search, job, full_model) for level in search.found]
    found = [[one for one in level if not spoils_more(job.wanted, one.effect)] for level in found]
    weights = job.weights
    chosen = choose_packages(found, single, must_beat=weights.package_must_beat, must_add=weights.lever_must_add)
    made = (_make_package(one, search, job, full_model) for one in chosen)
    return next(((one,) for one in made if len(one.moves) < MOST_MOVES or _first_visit(one) > 0), ())


def _first_visit(package: Package) -> float:
    """What the first move of a package takes away before the others are made, less what it spoils."""
    return next(move.contributes - move.spoils for move in package.moves if move.lever == package.order[0])


def _check(level: Sequence[Combination], search: Search, job: Job, full_model: FullModel) -> list[Combination]:
    """Price combinations by the full model, best first; one without a steady state is left out."""
    checked = []
    for one, outcome in zip(level, full_model([search.trial_of(one) for one in level]), strict=True):
        row = spread_over(job.wanted, outcome.balance, outcome.ends)
        price = price_run(outcome.run, job.weights, job.case.run_laps)
        if outcome.steady and np.isfinite(row).all():
            total = 0.0 if price is None else price.total
            checked.append(price_again(one, row, total, search.members, job.wanted, job.weights.step_price))
    return sorted(checked, key=lambda one: (round(one.price, 12), one.members, one.picks))


def _searched(job: Job) -> list[Fitted]:
    """List the levers that may be in a package: computed, sure, movable in the time at hand; the most useful first."""
    known = [found for lever in job.effects.levers if (found := fit_lever(lever, job)) is not None]
    usable = [one for one in known if _is_usable(one, job)]
    usable.sort(key=lambda one: (one.sized.harm - one.sized.relief, -_reach(one), one.lever.lever))
    return usable[: job.weights.package_levers]


def _is_usable(fitted: Fitted, job: Job) -> bool:
    in_time = Timing(when_of(fitted.lever, job.case), job.case.at_hand).enough
    sure = fitted.sure >= job.weights.package_least_confidence
    barred = job.weights.not_in_packages.get(fitted.lever.lever, ())
    if fitted.lever.lever in NOT_FOR_BALANCE or set(barred) & set(phases_asked(job.wanted)):
        return False
    return in_time and sure and fitted.effect.basis == "computed" and len(fitted.moves.steps) > 1


def _reach(fitted: Fitted) -> float:
    """The most a lever can move the car anywhere [%]."""
    return float(np.abs(fitted.slope).max() * np.abs(fitted.moves.multiple).max())


def _member(fitted: Fitted, job: Job) -> Member:
    """Offer a lever to the search, with the price of its uncertainty and of what it does over the run.

    Errors of different levers are taken as independent (assumption), so the expected squared miss grows by the variance
    of each effect; the band from the 10th to the 90th percentile is 2.563 standard deviations wide (normal law).
    """
    band = [fitted.effect.spread[phase][stage] for _, phase, stage in job.wanted.places]
    deviation = np.array([high - low for low, high in band]) / 2.563
    risk = float(job.wanted.weight @ deviation**2) / job.wanted.total
    multiples = fitted.moves.multiple
    runs = [scale_effect(fitted.effect, multiple, job.effects.forecast).run for multiple in multiples]
    family = family_of(fitted.lever.lever, job.weights.families)
    risks = tuple(risk * multiple**2 for multiple in multiples)
    return Member(fitted.moves, fitted.slope, family, risks, tuple(_price_of(run, job) for run in runs))


def _price_of(run: RunAfter | None, job: Job) -> float:
    price = price_run(run, job.weights, job.case.run_laps)
    return 0.0 if price is None else price.total


def _make_package(found: Combination, search: Search, job: Job, full_model: FullModel) -> Package:
    parts = [(search.fitted[index], pick) for index, pick in zip(found.members, found.picks, strict=True)]
    singles = full_model([try_lever(one.lever.lever, one.moves.steps[pick]) for one, pick in parts])
    effects = np.array([spread_over(job.wanted, one.balance, one.ends) for one in singles])
    moves = [_make_move(one, pick, effect, job) for (one, pick), effect in zip(parts, effects, strict=True)]
    (together,) = full_model([search.trial_of(found)])
    work = dict.fromkeys(what for one, _ in parts for what in one.lever.recheck)
    return Package(
        tuple(moves),
        found.relief,
        together.balance,
        list_costs(found.effect, together.run, job.wanted, job.weights, job.case.run_laps),
        tuple(moves[index].lever for index in order_moves(effects, job.wanted)),
        measure_gap(found, search.members, job.wanted),
        check_again=tuple(work),
        spoils=found.harm,
        each=share_each(job.felt, together.balance, together.ends),
    )


def _make_move(fitted: Fitted, pick: int, effect: NDArray[np.float64], job: Job) -> PackageMove:
    start = fitted.moves.start or 0.0
    relief, harm = measure_relief(job.wanted, effect)
    return PackageMove(
        fitted.lever.lever,
        fitted.lever.title,
        fitted.moves.steps[pick],
        start,
        start + fitted.moves.shift[pick],
        relief,
        cautions_of(fitted.lever.cautions, job.knowledge),
        harm,
        is_guessed(fitted.lever.lever, job.case),
    )
