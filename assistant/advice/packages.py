"""Two or three levers moved together, in whole legal steps, for the believed cars.

All pairs of all sizes are tried with single steps added up, on cars picked by weight; the best pairs are tried with
every third lever. What comes out best is judged by all cars, and what is shown is driven as one move.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.prices import list_costs, share_each
from assistant.advice.ranking import family_of, is_in_time
from assistant.advice.remedies import removes_at_once
from assistant.advice.results import Package, PackageMove
from assistant.advice.sizing import NOT_FOR_BALANCE, Fitted, Job, fit_lever, is_guessed, phases_asked, when_of
from assistant.advice.trade import cautions_of
from assistant.belief.check_drive import pick_cars
from assistant.belief.cures import Verdict, Wanted, judge, mean_effect, value_moves
from assistant.belief.effects import drive_moves
from assistant.belief.outcome import read_run
from assistant.physics.formulas import Array

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

SEARCHED = 24
"""Believed cars the search is made on."""
BEST_PAIRS, BEST = 20, 5
"""Pairs that a third lever is added to; combinations of each size that all cars judge."""

Combination = tuple[int, ...]
"""Moves that are made together, each by its row in the table."""


@dataclass(frozen=True, eq=False)
class Moveable:
    """All moves of all levers that may be in a package, a row each. lever, pick: which lever, and which of its moves.

    family: a number, alike for levers that are one thing to the mechanic. moved: change of each place on each picked
    car [%], (moves, places, cars). price: of the steps and of the run, as a share of the complaint.
    """

    fitted: tuple[Fitted, ...]
    lever: NDArray[np.intp]
    pick: NDArray[np.intp]
    family: NDArray[np.intp]
    moved: Array
    price: Array

    def named(self, one: Combination) -> list[tuple[Fitted, int]]:
        """The levers of a combination, each with the place of its move."""
        return [(self.fitted[self.lever[row]], int(self.pick[row])) for row in one]

    def apart(self, one: Combination) -> NDArray[np.bool_]:
        """Which moves may be added: of later levers, and of no family that is in it already."""
        same = np.isin(self.family, self.family[list(one)])
        return np.asarray((self.lever > self.lever[list(one)].max()) & ~same)


@dataclass(frozen=True, eq=False)
class Tried:
    """A combination with what all cars say of it. moved: (places, cars)."""

    rows: Combination
    verdict: Verdict
    moved: Array


def offer_packages(levers: Iterable[str], job: Job, single: float) -> tuple[Package, ...]:
    """Offer the one that clearly beats the best single lever (gain `single`); none where none does.

    Three levers only where they clearly beat the best two, and where the first visit to the car alone mends something:
    a driver may never get to the others. One package at most, so that nobody has to choose between two handfuls.
    """
    if not job.wanted.asks:
        return ()
    table = lay_out_moves(search_among(levers, job), job)
    pairs, triples = search_moves(table, job)
    for best in choose(pairs, triples, single, job):
        package = make_package(best, table, job)
        enough = package.removes - package.spoils >= single + job.weights.package_must_beat
        if enough and (len(best.rows) < 3 or _first_visit(package) > 0):
            return (package,)
    return ()


def choose(pairs: Sequence[Tried], triples: Sequence[Tried], single: float, job: Job) -> list[Tried]:
    """Keep the best pair and the best triple that earn their place, the better one first.

    A pair must gain so much more than the best single lever; a third lever so much more than the best pair.
    """
    beat, weights = single + job.weights.package_must_beat, job.weights
    found = [one for one in pairs[:1] if one.verdict.gain >= beat]
    if pairs:
        beat = max(beat, pairs[0].verdict.gain + weights.lever_must_add)
    return [*(one for one in triples[:1] if one.verdict.gain >= beat), *found]


def search_among(levers: Iterable[str], job: Job) -> tuple[Fitted, ...]:
    """List the levers that may be in a package: computed, sure, movable in the time at hand; the most useful first."""
    known = [found for lever in levers if (found := fit_lever(lever, job)) is not None]
    usable = [one for one in known if _is_usable(one, job)]
    usable.sort(key=lambda one: (-one.sized.verdict.gain, one.lever.lever))
    return tuple(usable[: job.weights.package_levers])


def _is_usable(fitted: Fitted, job: Job) -> bool:
    in_time = is_in_time(when_of(fitted.lever, job.case), job.case.at_hand)
    barred = job.weights.not_in_packages.get(fitted.lever.lever, ())
    if fitted.lever.lever in NOT_FOR_BALANCE or set(barred) & set(phases_asked(job.wanted)):
        return False
    return in_time and fitted.computed and len(fitted.moves.steps) > 1 and _is_sure(fitted, job)


def _is_sure(fitted: Fitted, job: Job) -> bool:
    """Whether enough cars agree on what one step of a lever does to the complaint."""
    on_cars = fitted.step.on_cars
    chance = 0.5 if on_cars is None else judge(job.wanted, job.wanted.read(on_cars)).direction
    return max(chance, 1.0 - chance) >= job.weights.package_least_confidence


def lay_out_moves(fitted: tuple[Fitted, ...], job: Job) -> Moveable:
    """Lay out every move of every lever on picked cars."""
    chosen = picked_cars(job)
    rows = [(at, pick) for at, one in enumerate(fitted) for pick, step in enumerate(one.moves.steps) if step]
    steps = [job.wanted.read(one.step.on_cars)[:, chosen] for one in fitted if one.step.on_cars is not None]
    names = [family_of(one.lever.lever, job.weights.families) for one in fitted]
    families = {name: number for number, name in enumerate(dict.fromkeys(names))}
    lever, pick = np.array(rows, dtype=np.intp).reshape(-1, 2).T
    moved = [fitted[at].moves.multiple[way] * steps[at] for at, way in rows]
    return Moveable(
        fitted,
        lever,
        pick,
        np.array([families[names[at]] for at, _ in rows], dtype=np.intp),
        np.array(moved),
        job.weights.step_price * np.array([abs(fitted[at].moves.steps[way]) for at, way in rows]),
    )


def picked_cars(job: Job) -> NDArray[np.intp]:
    """Pick cars by their weight: each stands for as many as the others."""
    return pick_cars(job.belief.fit.weights, SEARCHED)


def search_moves(table: Moveable, job: Job) -> tuple[list[Tried], list[Tried]]:
    """Find the best pairs and the best triples, best first, as all cars judge them."""
    wanted = job.wanted.first(picked_cars(job))
    singles: list[Combination] = [(row,) for row in range(len(table.lever))]
    pairs = add_best(singles, table, wanted, BEST_PAIRS)
    triples = add_best(pairs, table, wanted, BEST)
    return try_all(pairs[:BEST], table, job), try_all(triples, table, job)


def add_best(found: Sequence[Combination], table: Moveable, wanted: Wanted, most: int) -> list[Combination]:
    """Add one more move to each combination in every allowed way; the best of all, best first."""
    values: list[tuple[float, Combination]] = []
    even = np.full(wanted.before.shape[1], 1.0 / wanted.before.shape[1])
    for one in found:
        others = np.flatnonzero(table.apart(one))
        if not len(others):
            continue
        moved = table.moved[list(one)].sum(axis=0) + table.moved[others]
        worth = value_moves(wanted, moved, even) - table.price[others] - table.price[list(one)].sum()
        values += [(float(worth[at]), (*one, int(others[at]))) for at in np.argsort(-worth)[:most]]
    return [one for _, one in sorted(values, key=lambda pair: (-round(pair[0], 12), pair[1]))[:most]]


def try_all(found: Sequence[Combination], table: Moveable, job: Job) -> list[Tried]:
    """Let all cars judge combinations, with single steps added up; best first."""
    tried = []
    for one in found:
        moved = np.sum([moved_by(fitted, pick, job) for fitted, pick in table.named(one)], axis=0)
        tried.append(Tried(one, judge(job.wanted, moved), moved))
    return sorted(tried, key=lambda one: -round(one.verdict.gain, 12))


def moved_by(fitted: Fitted, pick: int, job: Job) -> Array:
    """Change of every place by one move of a lever, (places, cars)."""
    on_cars = fitted.step.on_cars
    if on_cars is None:
        raise ValueError("only computed levers are in packages")
    return fitted.moves.multiple[pick] * job.wanted.read(on_cars)


def _first_visit(package: Package) -> float:
    """What the first move of a package takes away before the others are made, less what it spoils."""
    return next(move.contributes - move.spoils for move in package.moves if move.lever == package.order[0])


def make_package(found: Tried, table: Moveable, job: Job) -> Package:
    """Drive a combination as one move, and put it together."""
    parts = table.named(found.rows)
    moves = tuple(_make_move(fitted, pick, job) for fitted, pick in parts)
    effect = drive_moves(job.case, job.belief, [(move.lever, move.steps) for move in moves])
    moved = job.wanted.read(effect)
    verdict = judge(job.wanted, moved)
    run = None if job.in_place else read_run(job.belief, effect)
    return Package(
        moves,
        verdict.removes,
        mean_effect(job.belief, effect, at_once=job.in_place),
        list_costs(moved, run, job.wanted, job.weights, job.case.run_laps),
        tuple(moves[place].lever for place in order_moves(parts, job)),
        check_again=tuple(dict.fromkeys(what for one, _ in parts for what in one.lever.recheck)),
        spoils=verdict.spoils,
        each=share_each(job.wanted, moved),
        at_once=removes_at_once(effect, job),
        cures=verdict.cures,
        confidence=verdict.direction,
    )


def order_moves(parts: Sequence[tuple[Fitted, int]], job: Job) -> tuple[int, ...]:
    """Say in which order to make the moves so that the car is as good as it can be after every one of them."""
    effects = np.stack([moved_by(fitted, pick, job) for fitted, pick in parts])
    ways = permutations(range(len(parts)))

    def worth(way: tuple[int, ...]) -> float:
        return round(float(value_moves(job.wanted, np.cumsum(effects[list(way)], axis=0)).sum()), 12)

    return max(ways, key=worth)


def _make_move(fitted: Fitted, pick: int, job: Job) -> PackageMove:
    start = fitted.moves.start or 0.0
    verdict = judge(job.wanted, moved_by(fitted, pick, job))
    return PackageMove(
        fitted.lever.lever,
        fitted.lever.title,
        fitted.moves.steps[pick],
        start,
        start + fitted.moves.shift[pick],
        verdict.removes,
        cautions_of(fitted.lever.cautions, job.knowledge),
        verdict.spoils,
        is_guessed(fitted.lever.lever, job.case),
    )
