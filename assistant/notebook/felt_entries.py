"""What a change did, as the notebook keeps it: two setups, and how far each cell moved; and read back as evidence."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from assistant.ground.names import PHASES, STAGES
from assistant.notebook.book import FELT, Notebook, is_number, numbers_in

if TYPE_CHECKING:
    from assistant.belief.felt import Felt, Place
    from assistant.car.case import Case, Setup


def felt_data(felt: Felt) -> dict[str, Any]:
    """Write down what a change did."""
    moved = [[*place, by, off] for place, (by, off) in felt.moved.items()]
    return {"before": dict(felt.before.values), "after": dict(felt.after.values), "moved": moved}


def felt_in(data: Mapping[str, Any], case: Case) -> Felt | None:
    """Read what a change did on the car of a case; None where that cannot be read, or nothing moved."""
    from assistant.belief.felt import Felt  # noqa: PLC0415 - numpy

    before, after = (with_known(case.setup, data.get(name)) for name in ("before", "after"))
    rows, ends = data.get("moved"), {None, *(end.id for end in case.track.ends)}
    moved = dict(read_row(row) for row in rows if is_row(row, ends)) if isinstance(rows, list) else {}
    return Felt(before, after, moved) if moved and before.values != after.values else None


def is_row(row: object, ends: Collection[object]) -> bool:
    """Whether a row says of a cell of this track by how much it moved, give or take."""
    if not isinstance(row, list) or len(row) != 5 or not all(isinstance(one, str | None) for one in row[:3]):
        return False
    is_cell = row[0] in PHASES and row[1] in STAGES and row[2] in ends
    return is_cell and is_number(row[3]) and is_number(row[4]) and row[4] > 0


def read_row(row: Sequence[Any]) -> tuple[Place, tuple[float, float]]:
    """Read a row: the cell, how far it moved, and how far that may be off [%]."""
    phase, stage, end, by, off = row
    return (phase, stage, end), (float(by), float(off))


def with_known(like: Setup, values: object) -> Setup:
    """Put the values that were kept into a setup; levers the car has not any more are left out."""
    kept = {lever: value for lever, value in numbers_in(values).items() if lever in like.values}
    return replace(like, values={**like.values, **kept})


def felt_before(book: Notebook | None, car: str, besides: int | None = None) -> tuple[Mapping[str, Any], ...]:
    """List what changes did on a car, the oldest first. besides: a talk that tells its own again."""
    if book is None or not car:
        return ()
    entries = book.entries(car, (FELT,))
    return tuple(one.data for one in entries if one.data.get("counts") and one.talk != besides)
