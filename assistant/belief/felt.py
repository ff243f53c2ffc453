"""What a change did, as the driver felt it: evidence on the same cars, held against what was promised.

A word stands for a share of the complaint that is gone, which is a move in the driver's own measure. What is left is
the complaint from then on, until something else is said of the same setup.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot
from typing import TYPE_CHECKING

import numpy as np

from assistant.belief.cures import judge, want
from assistant.belief.driven import moved_from
from assistant.belief.known import FELT_OFF, SIZE, SIZE_OFF, Row, balance_of, change_row, count_alike, size_of

if TYPE_CHECKING:
    from assistant.belief.believe import Belief, Shown
    from assistant.car.case import Setup
    from assistant.ground.understood import Cell, Complaint

Place = tuple[str, str, str | None]
"""Phase, stage and end of a cell."""
NO_SIZE = 5.0
"""How far [%] what only follows from a change may be off: the change says it already, so it says a side alone."""
UNFELT = 0.1
"""Balance [%] of what is left below which a cell is fine."""
FELT_AT_ALL = 0.05
"""Balance [%] a change has to move a complaint by to be called the wrong way (assumption)."""
LEAST_MOVE = 0.2
"""Balance [%] a change has to move a cell by, for its direction to surprise anybody."""
UNLIKELY = 0.05
"""Share of the plausible cars below which what was felt surprises."""


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


@dataclass(frozen=True)
class Promise:
    """What a change was to do: the share of the complaint it removes, and how far it moves each said cell [%].

    removes: None where no share was said.
    """

    removes: float | None
    cells: Mapping[tuple[str, str], Shown]

    def worsens(self, complained: Iterable[Cell]) -> str:
        """Say which balance it is computed to make worse wherever it is complained of; "" where it is not."""
        wrong = {(cell.phase, cell.stage): cell.balance for cell in complained if cell.balance != "fine"}
        moved = {place: shown.value for place, shown in self.cells.items() if place in wrong}
        worse = [value if wrong[place] == "tight" else -value for place, value in moved.items()]
        is_worse = bool(worse) and min(worse) > FELT_AT_ALL and len(set(wrong.values())) == 1
        return min(wrong.values()) if is_worse else ""


def promise_of(belief: Belief, complaint: Complaint, before: Setup, after: Setup) -> Promise | None:
    """Foretell what a change does; None where nothing is known of the car, or nobody complains of anything."""
    wanted = want(belief, complaint)
    if not wanted.asks:
        return None
    moved = wanted.read(belief.move(moved_from(before, after)))
    cells = {
        (phase, stage): belief.show(moved[at])
        for at, (_, phase, stage) in enumerate(wanted.places)
        if wanted.spoken[at]
    }
    return Promise(judge(wanted, moved).removes, cells)


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


def rows_left(rows: Iterable[Row], left: Collection[Place], *, all_left: bool) -> list[Row]:
    """Let what only follows from a change that was felt say its side alone, and imply nothing.

    left: what follows. all_left: nothing was spoken of anew, so silence says nothing either.
    """
    names, phases = {" ".join(filter(None, place)) for place in left}, {place[0] for place in left}
    kept: list[Row] = []
    for row in rows:
        is_implied = row.kind == "implied" and row.id.split()[0] in phases
        if not is_implied and not (all_left and row.kind == "unsaid"):
            follows = row.kind in {"cell", "contrast"} and row.id in names
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


def surprises(belief: Belief, felt: Felt) -> bool:
    """Whether hardly any plausible car does what was felt, in the cell it was felt in most.

    belief: before the change was felt, with words of the setup before it and the changed one on the car.
    """
    if belief.gate_is_shut or not felt.moved:
        return False
    (phase, stage, end), (moved, _) = max(felt.moved.items(), key=lambda one: abs(one[1][0]))
    if abs(moved) < LEAST_MOVE:
        return False
    name = balance_of(phase, end)
    foretold = -belief.move(moved_from(felt.after, felt.before)).read(name, stage)
    return belief.mean((foretold * moved > 0.0).astype(float)) < UNLIKELY
