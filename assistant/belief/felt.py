"""Changes that were made: what they did, as the driver felt it, and how far a car answers otherwise than computed.

A word of what a change did stands for a share of the complaint that is gone, which is a move in the driver's own
measure: evidence on the same cars. What is left is the complaint from then on, until something else is said of the same
setup.

What moving levers does is computed on every plausible car; a real car need be none of them. So whatever a change does
to the balance is taken times a factor that is learned from changes that were felt: part of it is common to all levers,
so one change teaches something of the others too. On the mean a car that nobody changed answers as computed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import erfc, hypot
from statistics import NormalDist
from typing import TYPE_CHECKING
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from assistant.belief.driven import Driven, moved_from
from assistant.belief.known import (
    FELT_OFF,
    SIZE,
    SIZE_OFF,
    WORDS,
    Row,
    cell_id,
    change_row,
    count_alike,
    size_of,
)
from assistant.car.case import Setup
from assistant.physics.formulas import Array

if TYPE_CHECKING:
    from assistant.ground.understood import Cell

Place = tuple[str, str, str | None]
"""Phase, stage and end of a cell."""
NO_SIZE = 5.0
"""How far [%] what only follows from a change may be off: the change says it already, so it says a side alone."""
UNFELT = 0.1
"""Balance [%] of what is left below which a cell is fine."""


@dataclass(frozen=True)
class Felt:
    """A change that was felt: the setups before and after it, and how far each cell moved [%], give or take.

    left: what is left of the complaint then, where that is known.
    """

    before: Setup
    after: Setup
    moved: Mapping[Place, tuple[float, float]]
    left: tuple[Cell, ...] = ()

    def rows(self, before: str, after: str, when: int) -> tuple[Row, ...]:
        """Make the rows of evidence, of setups by their keys."""
        return tuple(
            change_row(phase, stage, moved, before, after, when=when, off=off, end=end)
            for (phase, stage, end), (moved, off) in self.moved.items()
        )


def felt_of(cells: Iterable[Cell], before: Setup, after: Setup, share: float, off: float) -> Felt:
    """Read what a word says: so large a share of the complaint before is gone, give or take `off` of it."""
    cells = [cell for cell in cells if cell.balance != "fine"]
    moved = {place_of(cell): moved_by(cell, cells, share, off) for cell in cells}
    return Felt(before, after, moved, left_of(cells, share))


def moved_by(cell: Cell, cells: Sequence[Cell], share: float, off: float) -> tuple[float, float]:
    """How far a cell moved [%], and how far that may be off; cells that one word fills count as one.

    It is off by what was felt, by what the word says, and by the size that the share is of.
    """
    size = size_of(cell)
    return -share * size, hypot(FELT_OFF, off * size, share * SIZE_OFF) * count_alike(cell, cells) ** 0.5


def place_of(cell: Cell) -> Place:
    """Say where a cell is."""
    return cell.phase, cell.stage, cell.end


def rows_left(rows: Iterable[Row], left: Collection[Cell], *, all_left: bool) -> list[Row]:
    """Let what only follows from a change that was felt say its side alone, and imply nothing.

    left: what follows. all_left: nothing was spoken of anew, so silence says nothing either.
    """
    names, phases = {cell_id(cell) for cell in left}, {cell.phase for cell in left}
    kept: list[Row] = []
    for row in rows:
        is_implied = row.kind == "implied" and row.id.split()[0] in phases
        if not is_implied and not (all_left and row.kind == "unsaid"):
            follows = row.kind in WORDS and row.id in names
            kept.append(replace(row, off=NO_SIZE) if follows else row)
    return kept


def left_of(cells: Sequence[Cell], share: float) -> tuple[Cell, ...]:
    """Say what is left of a complaint of which such a share is gone; more than all of it is the other complaint."""
    return tuple(cell if cell.balance == "fine" else resized(cell, (1.0 - share) * size_of(cell)) for cell in cells)


def resized(cell: Cell, size: float) -> Cell:
    """Give a cell another size of balance [%, + tight]."""
    if abs(size) < UNFELT:
        return replace(cell, balance="fine")
    severity = float(np.interp(abs(size), list(SIZE.values()), list(SIZE)))
    return replace(cell, balance="tight" if size > 0.0 else "loose", severity=severity)


CAR_OFF, LEVER_OFF = 0.2, 0.3
"""Standard deviations of the logarithm of how a car answers all its levers, and each of them besides; assumptions."""
CAR = ""
"""Name of what is common to all levers of a car."""
SURE = 1e-3
"""Share of the weight beyond which no car is spread: a normal number has no end."""
LEAST_SHARE = 1e-300
"""Chances are taken to be no less."""
ERFC, INVERSE = (np.vectorize(one, otypes=[float]) for one in (erfc, NormalDist().inv_cdf))


@dataclass(frozen=True)
class Turned:
    """Numbers that were moved from one setup to another, both by their keys."""

    before: str
    after: str
    numbers: tuple[str, ...]


def trace_turns(setups: Mapping[str, Setup]) -> tuple[Turned, ...]:
    """Say how each setup came about: from the earlier one that it differs least from, of equals the last."""
    keys, turns = list(setups), list[Turned]()
    for place, key in enumerate(keys[1:], 1):
        moved = {old: tuple(moved_from(setups[old], setups[key])) for old in reversed(keys[:place])}
        before = min(moved, key=lambda old: len(moved[old]))
        turns.append(Turned(before, key, moved[before]))
    return tuple(turns)


def lead_to(key: str, turns: Sequence[Turned]) -> list[int]:
    """List the places of the turns that lead to a setup."""
    for place, turn in enumerate(turns):
        if turn.after == key:
            return [*lead_to(turn.before, turns), place]
    return []


def name_answers(turns: Sequence[Turned]) -> tuple[str, ...]:
    """Name what the turns can teach: what is common to all, and each number that was moved."""
    numbers = dict.fromkeys(number for turn in turns for number in turn.numbers)
    return (CAR, *numbers) if turns else ()


def mix_answers(turns: Sequence[Turned]) -> Array:
    """How each answer enters the logarithm of each turn, per standard deviation, (turns, answers)."""
    names = name_answers(turns)
    return np.array([[share_in(name, turn.numbers) for name in names] for turn in turns]).reshape(
        len(turns), len(names)
    )


def share_in(name: str, numbers: Collection[str]) -> float:
    """How one answer enters that of numbers that are moved together: theirs count alike."""
    return CAR_OFF if name == CAR else LEVER_OFF / len(numbers) if name in numbers else 0.0


def lift_of(mix: Array) -> Array:
    """What to take off the logarithm of answers, so that on the mean they are as computed before anything is known."""
    return np.asarray(0.5 * (mix**2).sum(axis=-1))


def answer_turns(
    driven: Mapping[str, Driven], turns: Sequence[Turned], answers: Mapping[str, Array]
) -> dict[str, Driven]:
    """Let every car answer what was turned in its own way: what it does on every setup."""
    found = dict(driven)
    for turn in turns:
        before, after = driven[turn.before], driven[turn.after]
        more = answer_of(turn.numbers, answers, after.values.shape[-1]) - 1.0
        is_balance = np.array([name.startswith("balance") for name in after.names])[:, None, None]
        moved = found[turn.before].values - before.values + more * is_balance * (after.values - before.values)
        found[turn.after] = replace(after, values=after.values + moved)
    return found


def answer_of(numbers: Collection[str], answers: Mapping[str, Array], cars: int) -> Array:
    """By how much more or less than computed every car answers when some numbers are moved, (cars,).

    answers: standard deviations of each on every car; one that is missing is none.
    """
    names = (CAR, *numbers)
    mix = np.array([share_in(name, numbers) for name in names])
    return np.asarray(np.exp(mix @ np.stack([answers.get(name, np.zeros(cars)) for name in names]) - lift_of(mix)))


def spread_answer(name: str, weights: Array) -> Array:
    """Spread an answer nobody knows anything of evenly over the cars by weight, in an order of its own, (cars,)."""
    order = np.argsort(np.random.default_rng(crc32(name.encode())).random(len(weights)))
    return reach(np.clip(share_evenly(weights, order), SURE, 1.0 - SURE))


def share_evenly(weights: Array, order: NDArray[np.intp]) -> Array:
    """Share of the weight that lies before each car in an order, half of its own included, (cars,)."""
    shares = np.empty(len(weights))
    shares[order] = np.cumsum(weights[order]) - 0.5 * weights[order]
    return shares


def below(standard: Array) -> Array:
    """Chance that a standard normal number lies below each; never quite nothing."""
    return np.asarray(np.maximum(0.5 * ERFC(-standard / np.sqrt(2.0)), LEAST_SHARE))


def reach(chance: Array) -> Array:
    """The number below which a standard normal one lies with each chance."""
    return np.asarray(INVERSE(np.clip(chance, LEAST_SHARE, 1.0 - 1e-16)))
