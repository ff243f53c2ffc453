"""Two or three levers moved together, in whole legal steps, for the believed cars.

All pairs of all sizes are tried with single steps added up, on a few cars; the best pairs are tried with every third
lever. What comes out best is judged by all cars, and what is shown is driven as one move.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.ranking import family_of, gain_of, is_in_time
from assistant.advice.remedies import with_numbers
from assistant.advice.results import PackageMove, Remedy
from assistant.advice.sizing import Fitted, Job, fit_lever, is_guessed, phases_asked, when_of
from assistant.belief.cures import Verdict, Wanted, judge, value_moves
from assistant.belief.effects import drive_moves, drive_steps
from assistant.car.keys import NOT_FOR_BALANCE
from assistant.physics.formulas import Array

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST_MOVES = 3
"""Levers in the largest package."""
FEW_OFF = 0.05
"""How far what a few cars say a package gains beyond the best single lever may be off (see the tests)."""
BEST_PAIRS, BEST = 20, 12
"""Pairs that a third lever is added to; combinations of each size that all cars judge."""

Combination = tuple[int, ...]
"""Moves that are made together, each by its row in the table."""


@dataclass(frozen=True, eq=False)
class Moveable:
    """All moves of all levers that may be in a package, a row each. lever, pick: which lever, and which of its moves.

    family: a number, alike for levers that are one thing to the mechanic. moved: change of each place on each of a few
    cars [%], (moves, places, cars). price: of the steps, as a share of the complaint.
    """

    members: tuple[Fitted, ...]
    lever: NDArray[np.intp]
    pick: NDArray[np.intp]
    family: NDArray[np.intp]
    moved: Array
    price: Array

    def named(self, one: Combination) -> list[tuple[str, int]]:
        """The levers of a combination, each with the place of its move."""
        return [(self.members[self.lever[row]].lever.lever, int(self.pick[row])) for row in one]

    def apart(self, one: Combination) -> NDArray[np.bool_]:
        """Which moves may be added: of later levers, and of no family that is in it already."""
        same = np.isin(self.family, self.family[list(one)])
        return np.asarray((self.lever > self.lever[list(one)].max()) & ~same)


Part = tuple[Fitted, int]
"""A lever of a package with the place of its move."""


@dataclass(frozen=True, eq=False)
class Tried:
    """A combination with what all cars say of it."""

    parts: tuple[Part, ...]
    verdict: Verdict


def offer_packages(rough: Job, job: Job, shown: Mapping[str, float]) -> tuple[Remedy, ...]:
    """Offer the one that clearly beats the best single lever; none where none does.

    rough: the same on a few cars, with the levers fitted that may be in it. shown: what single levers on the list gain.
    Three levers only where they clearly beat the best two, and where the first visit to the car alone mends something:
    a driver may never get to the others. One package at most, so that nobody has to choose between two handfuls.
    """
    table, single = lay_out_moves(search_among(rough), rough), max(shown.values(), default=0.0)
    best_lever = fit_lever(max(shown, key=lambda lever: shown[lever]), rough) if shown else None
    near = 0.0 if best_lever is None else best_lever.sized.verdict.gain
    for best in choose(*search_moves(table, rough, job, near), single, job):
        package = make_package(best, job)
        is_enough = gain_of(package) >= single + job.weights.package_must_beat
        if is_enough and (len(best.parts) < MOST_MOVES or _first_visit(package) > 0):
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


def search_among(rough: Job) -> tuple[Fitted, ...]:
    """List the levers that may be in a package: sure of their sign, movable in the time at hand."""
    fitted = [one for one in rough.fits.values() if one is not None and one.computed and len(one.moves.steps) > 1]
    return tuple(one for one in fitted if _is_usable(one, rough) and _is_sure(one, rough))


def _is_usable(fitted: Fitted, job: Job) -> bool:
    lever = fitted.lever
    barred = set(job.weights.not_in_packages.get(lever.lever, ())) & set(phases_asked(job.wanted))
    return lever.lever not in NOT_FOR_BALANCE and not barred and is_in_time(when_of(lever, job.case), job.case.at_hand)


def _is_sure(fitted: Fitted, rough: Job) -> bool:
    """Whether enough cars agree on what one step of a lever does to the complaint."""
    toward = -(rough.wanted.signs[:, None] * moved_by_step(fitted, rough)).sum(axis=0)
    chance = rough.belief.mean((toward > 0.0).astype(float))
    return max(chance, 1.0 - chance) >= rough.weights.package_least_confidence


def lay_out_moves(members: tuple[Fitted, ...], job: Job) -> Moveable:
    """Lay out every move of every lever on a few cars."""
    rows = [(at, pick) for at, one in enumerate(members) for pick, step in enumerate(one.moves.steps) if step]
    names = [family_of(one.lever.lever, job.weights.families) for one in members]
    families = {name: number for number, name in enumerate(dict.fromkeys(names))}
    lever, pick = np.array(rows, dtype=np.intp).reshape(-1, 2).T
    return Moveable(
        members,
        lever,
        pick,
        np.array([families[names[at]] for at, _ in rows], dtype=np.intp),
        np.array([moved_by((members[at], way), job) for at, way in rows]),
        job.weights.step_price * np.array([abs(members[at].moves.steps[way]) for at, way in rows]),
    )


def search_moves(table: Moveable, rough: Job, job: Job, single: float) -> tuple[list[Tried], list[Tried]]:
    """Find the best pairs and the best triples, best first, as all cars judge them.

    single: what the best single lever gains on a few cars; all cars are asked only of what may beat it by enough.
    """
    pairs = add_best({(row,): 0.0 for row in range(len(table.lever))}, table, rough.wanted, BEST_PAIRS)
    triples = add_best(pairs, table, rough.wanted, BEST)
    both = [dict(list(found.items())[:BEST]) for found in (pairs, triples)]
    least = single + job.weights.package_must_beat - FEW_OFF
    near = [[one for one, worth in found.items() if worth >= least] for found in both]
    return try_all(near[0], table, job), try_all(near[1], table, job)


def add_best(
    found: Mapping[Combination, float], table: Moveable, wanted: Wanted, most: int
) -> dict[Combination, float]:
    """Add one more move to each combination in every allowed way; the best of all with what they are worth."""
    values: list[tuple[float, Combination]] = []
    for one in found:
        others = np.flatnonzero(table.apart(one))
        if not len(others):
            continue
        moved = table.moved[list(one)].sum(axis=0) + table.moved[others]
        worth = value_moves(wanted, moved) - table.price[others] - table.price[list(one)].sum()
        values += [(float(worth[at]), (*one, int(others[at]))) for at in np.argsort(-worth)[:most]]
    best = sorted(values, key=lambda pair: (-round(pair[0], 12), pair[1]))[:most]
    return {one: worth for worth, one in best}


def try_all(found: Sequence[Combination], table: Moveable, job: Job) -> list[Tried]:
    """Let all cars judge combinations, with single steps added up; best first."""
    levers = dict.fromkeys(name for one in found for name, _ in table.named(one))
    drive_steps(job.case, job.belief, levers, job.sizes)
    tried = []
    for one in found:
        fits = [(fit_lever(name, job), pick) for name, pick in table.named(one)]
        parts = [(fitted, pick) for fitted, pick in fits if fitted is not None]
        moved = np.sum([moved_by(part, job) for part in parts], axis=0)
        tried.append(Tried(tuple(parts), judge(job.wanted, moved)))
    return sorted(tried, key=lambda one: -round(one.verdict.gain, 12))


def moved_by(part: Part, job: Job) -> Array:
    """Change of every place by one move of a lever, (places, cars)."""
    fitted, pick = part
    return fitted.moves.multiple[pick] * moved_by_step(fitted, job)


def moved_by_step(fitted: Fitted, job: Job) -> Array:
    """Change of every place by one + step of a lever, (places, cars)."""
    if fitted.step.on_cars is None:
        raise ValueError("only computed levers are in packages")
    return job.wanted.read(fitted.step.on_cars)


def _first_visit(package: Remedy) -> float:
    """What the first move of a package takes away before the others are made, less what it spoils."""
    return next(move.contributes - move.spoils for move in package.moves if move.lever == package.order[0])


def make_package(found: Tried, job: Job) -> Remedy:
    """Drive a combination as one move, and put it together."""
    parts = found.parts
    moves = tuple(_make_move(part, job) for part in parts)
    effect = drive_moves(job.case, job.belief, [(move.lever, move.steps) for move in moves])
    together = Remedy(
        "package",
        "",
        "",
        basis="computed",
        moves=moves,
        order=tuple(moves[place].lever for place in order_moves(parts, job)),
        cautions=tuple(dict.fromkeys(text for move in moves for text in move.cautions)),
        check_again=tuple(dict.fromkeys(what for one, _ in parts for what in one.lever.recheck)),
    )
    return with_numbers(together, effect, job)


def order_moves(parts: Sequence[Part], job: Job) -> tuple[int, ...]:
    """Say in which order to make the moves so that the car is as good as it can be after every one of them."""
    effects = np.stack([moved_by(part, job) for part in parts])
    ways = permutations(range(len(parts)))

    def worth(way: tuple[int, ...]) -> float:
        return round(float(value_moves(job.wanted, np.cumsum(effects[list(way)], axis=0)).sum()), 12)

    return max(ways, key=worth)


def _make_move(part: Part, job: Job) -> PackageMove:
    fitted, pick = part
    start = fitted.moves.start or 0.0
    verdict = judge(job.wanted, moved_by(part, job))
    return PackageMove(
        fitted.lever.lever,
        fitted.lever.title,
        fitted.moves.steps[pick],
        start,
        start + fitted.moves.shift[pick],
        verdict.removes,
        job.knowledge.cautions_for(fitted.lever.cautions),
        verdict.spoils,
        is_guessed(fitted.lever.lever, job.case),
    )
