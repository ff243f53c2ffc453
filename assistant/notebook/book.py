"""The notebook: everything that was told of every car, entry by entry, in the order it was told.

An entry is never changed; one that is taken back is marked, and stays. `add` returns once it is on the disk.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.ground.names import PHASES, STAGES
from assistant.notebook.store import SetAside, Statement, Store, hold, own_folder, writable_folder

if TYPE_CHECKING:
    from assistant.belief.felt import Felt, Place
    from assistant.car.case import Case, Setup

TYPED, STANDS = "typed", "stands"
"""Kinds of entries a talk is taken up by: a typed line, and where it stands; of this the last one alone is kept."""
SAID, ANSWER, MEASURED, ADVICE, MADE, FELT, NOTE = "said", "answer", "measured", "advice", "made", "felt", "note"
"""Kinds of entries that tell of the car: the complaint, an answer, readings, what was advised, a change that was made
with what it promised, what it did, and a note of the weather or the track."""
TOLD = (SAID, ANSWER, MEASURED, ADVICE, MADE, FELT, NOTE)
KINDS = (*TOLD, TYPED, STANDS)
TAKEN_UP = (TYPED, STANDS, SAID, MADE, FELT)
"""Kinds of entries a talk that was cut off is taken up by."""
LAST_TALKS = 9
"""Talks that are looked through for the last one in which anything was said."""
TURNED_DOWN = 2
"""Stands for a talk that nobody wants to go on with."""
STAMP = "%Y-%m-%d %H:%M:%S"
_COLUMNS = "id, car, talk, at, kind, text, data, gone"
Data = Mapping[str, Any]


@dataclass(frozen=True)
class Entry:
    """One thing that was told. car: its id. at: local time. gone: taken back."""

    id: int
    car: str
    talk: int
    at: str
    kind: str
    text: str
    data: Data = field(default_factory=dict)
    gone: bool = False


@dataclass(frozen=True)
class KnownCar:
    """A car of the notebook: its id, name and case file."""

    id: str
    name: str
    file: str


@dataclass(frozen=True)
class CutOff:
    """A talk that did not end: its number and name, car and beginning, and what was typed.

    said: the last complaint. made: the change that was made since, in words; "" where the driver said what it did.
    stands: where it stood after the last line that was answered, empty where that is not kept. unanswered: what was
    typed since. waiting: the changes that were made since the driver last spoke. is_over: it ended, and only what a
    change did is still asked.
    """

    id: int
    name: str
    car: str
    began: str
    typed: tuple[str, ...]
    said: str = ""
    made: str = ""
    stands: Mapping[str, Any] = field(default_factory=dict)
    unanswered: str = ""
    waiting: tuple[Entry, ...] = ()
    is_over: bool = False


class Notebook:
    """The notebook of a folder, the user's own when left out; it goes on silently where nothing can be written."""

    def __init__(self, folder: Path | None = None) -> None:
        self.store = Store(own_folder() if folder is None else writable_folder(folder))

    @property
    def is_kept(self) -> bool:
        """Whether everything told so far is on the disk."""
        return self.store.is_whole

    @property
    def set_aside(self) -> SetAside | None:
        """The damaged file that was found instead of the notebook, where one was."""
        return self.store.set_aside

    # entries

    def add(self, car: str, talk: int, kind: str, text: str, data: Data | None = None) -> int | None:
        """Put an entry on the disk; its number, None when it is not there."""
        now = f"{datetime.now().astimezone():{STAMP}}"
        return self.store.write(_inserted(car, talk, now, kind, in_utf8(text), json.dumps(data or {})))

    def stand(self, car: str, talk: int, data: Data) -> int | None:
        """Put on the disk where a talk stands, and not any more where it stood; None when it is not there."""
        now = f"{datetime.now().astimezone():{STAMP}}"
        return self.store.write(
            ("DELETE FROM entries WHERE talk = ? AND kind = ?", (talk, STANDS)),
            _inserted(car, talk, now, STANDS, "", json.dumps(data)),
        )

    def take_back(self, entry: int, *, gone: bool = True) -> bool:
        """Mark an entry as taken back, or as told after all; False when that is not on the disk."""
        return self.store.write(("UPDATE entries SET gone = ? WHERE id = ?", (int(gone), entry))) is not None

    def entry(self, number: int) -> Entry | None:
        """Find an entry by its number."""
        return next(iter(self._entries("id = ?", (number,))), None)

    def entries(
        self,
        car: str = "",
        kinds: Sequence[str] = TOLD,
        *,
        talk: int = 0,
        words: str = "",
        gone: bool = False,
        most: int = 0,
    ) -> tuple[Entry, ...]:
        """List what was told, the oldest first.

        car, talk: of one only. words: only entries with all of them. gone: also what was taken back. most: the last so
        many, 0 for all.
        """
        where = [
            f"kind IN ({marks(kinds)})",
            *(["car = ?"] if car else []),
            *(["talk = ?"] if talk else []),
            *([] if gone else ["gone = 0"]),
        ]
        values: list[object] = [*kinds, *([car] if car else []), *([talk] if talk else [])]
        for word in words.split():
            where.append("text LIKE ? ESCAPE '\\'")
            values.append(f"%{plain(word)}%")
        found = self._entries(" AND ".join(where), values, most)
        return tuple(found)

    def _entries(self, where: str, values: Sequence[object], most: int = 0) -> list[Entry]:
        limit = f"ORDER BY id DESC LIMIT {most}" if most else "ORDER BY id DESC"
        rows = self.store.read(f"SELECT {_COLUMNS} FROM entries WHERE {where} {limit}", values)  # noqa: S608 - our own words
        return [entry_of(row) for row in reversed(rows)]

    # cars

    def cars(self) -> tuple[KnownCar, ...]:
        """List the cars, the one used last first."""
        rows = self.store.read("SELECT id, name, file FROM cars ORDER BY used DESC, id")
        return tuple(KnownCar(*map(str, row)) for row in rows)

    def remember(self, car: KnownCar) -> None:
        """Keep that this car was used last, under its name and file of now."""
        used = "(SELECT coalesce(max(used), 0) + 1 FROM cars)"
        self.store.write((f"INSERT OR REPLACE INTO cars VALUES (?, ?, ?, {used})", (car.id, car.name, car.file)))  # noqa: S608 - same

    def rename(self, old: str, new: str) -> None:
        """Give a car another id, with all that was told of it."""
        self.store.write(
            ("UPDATE OR REPLACE cars SET id = ? WHERE id = ?", (new, old)),
            ("UPDATE talks SET car = ? WHERE car = ?", (new, old)),
            ("UPDATE entries SET car = ? WHERE car = ?", (new, old)),
        )

    # talks

    def begin_talk(self, car: str, name: str, began: str) -> int | None:
        """Put a talk on the disk; its number."""
        return self.store.write(("INSERT INTO talks (car, name, began) VALUES (?, ?, ?)", (car, name, began)))

    def end_talk(self, talk: int, *, turned_down: bool = False) -> None:
        """Mark a talk as over, so that nobody offers to go on with it; what was told in it stays.

        turned_down: nor is asked what its last change did.
        """
        self.store.write(("UPDATE talks SET ended = ? WHERE id = ?", (TURNED_DOWN if turned_down else 1, talk)))

    def is_open(self, talk: int) -> bool:
        """Whether a talk may be gone on with."""
        return self.store.read("SELECT ended FROM talks WHERE id = ?", (talk,)) == [(0,)]

    def last_cut_off(self, car: str) -> CutOff | None:
        """Find the latest talk about a car in which anything was said, if it was cut off and nobody is still in it."""
        query = "SELECT id, name, began, ended FROM talks WHERE car = ? ORDER BY id DESC LIMIT ?"
        found = None
        for row in self.store.read(query, (car, LAST_TALKS)):
            left = self._cut_off(car, *row)
            if left is None or left.said:
                return left or found
            found = found or left
        return found

    def _cut_off(self, car: str, number: int, name: str, began: str, is_over: int) -> CutOff | None:
        """Read a talk as one to go on with; None where nothing of it waits."""
        if is_over == TURNED_DOWN or self.is_held(number):
            return None
        where = f"talk = ? AND gone = 0 AND kind IN ({marks(TAKEN_UP)})"
        entries = self._entries(where, (number, *TAKEN_UP))
        typed, waiting = tuple(one.text for one in entries if one.kind == TYPED), not_felt(entries)
        if not typed or (is_over and not waiting):
            return None
        return CutOff(
            number,
            str(name),
            car,
            str(began),
            typed,
            next((one.text for one in reversed(entries) if one.kind == SAID or one.data.get("now")), ""),
            " ".join(one.text if one.text.endswith(".") else f"{one.text}." for one in waiting),
            next((one.data for one in entries if one.kind == STANDS), {}),
            next((one.text for one in reversed(entries) if one.kind in {TYPED, STANDS}), ""),
            waiting,
            bool(is_over),
        )

    def hold_talk(self, talk: int) -> int | None:
        """Lock a talk while this program lives; what `let_go` takes, None where it cannot be locked."""
        place = self._lock_of(talk)
        if place is None:
            return None
        try:
            descriptor = os.open(place, os.O_CREAT | os.O_RDWR, 0o644)
        except OSError:
            return None
        hold(descriptor)
        return descriptor

    def let_go(self, talk: int, held: int) -> None:
        """Unlock a talk."""
        place = self._lock_of(talk)
        with suppress(OSError):
            if place is not None:
                place.unlink()
            os.close(held)

    def is_held(self, talk: int) -> bool:
        """Whether a living program is in this talk."""
        place = self._lock_of(talk)
        try:
            if place is None or not place.exists():
                return False
            with place.open("a", encoding="utf-8") as stream:
                return not hold(stream.fileno())
        except OSError:
            return True

    def _lock_of(self, talk: int) -> Path | None:
        return None if self.store.folder is None else self.store.folder / f".talk-{talk}.lock"


def marks(values: Sequence[object]) -> str:
    """Write a mark for each value of a question to the database."""
    return ", ".join("?" * len(values))


def not_felt(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """List the changes made since the driver last said what the car does."""
    made: list[Entry] = []
    for one in entries:
        if one.kind in {SAID, FELT}:
            made.clear()
        made += [one] if one.kind == MADE else []
    return tuple(made)


def _inserted(*values: object) -> Statement:
    """Say how an entry is put in."""
    return "INSERT INTO entries (car, talk, at, kind, text, data) VALUES (?, ?, ?, ?, ?, ?)", values


def plain(word: str) -> str:
    """Write a word so that LIKE finds it as it stands."""
    return re.sub(r"([%_\\])", r"\\\1", word)


def in_utf8(text: str) -> str:
    """Replace halves of letters, which no file can hold."""
    return text.encode("utf-8", errors="replace").decode("utf-8")


def entry_of(row: Sequence[Any]) -> Entry:
    """Make an entry of a row; data that cannot be read is left out."""
    number, car, talk, at, kind, text, data, gone = row
    found: object = None
    with suppress(ValueError, RecursionError, TypeError):
        found = json.loads(data)
    known = found if isinstance(found, dict) else {}
    return Entry(number, str(car), talk, str(at), str(kind), str(text), known, bool(gone))


def numbers_in(values: object) -> dict[str, float]:
    """Read a setup: no true or false, nothing endless, no number of hundreds of digits."""
    found = values if isinstance(values, dict) else {}
    return {str(key): float(value) for key, value in found.items() if is_number(value)}


LARGEST_VALUE = 1e12
"""SI; a stiff spring is a millionth of it."""


def is_number(value: object) -> bool:
    """Whether a lever may stand there."""
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < LARGEST_VALUE


# what a change did: two setups, and how far each cell moved; read back as evidence


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
    entries = [one for one in book.entries(car, (FELT,)) if one.talk != besides]
    void = {at - back for at, one in enumerate(entries) if one.data.get("void") for back in (0, 1)}
    told = [one for at, one in enumerate(entries) if one.data.get("counts") and at not in void]
    return tuple({**one.data, "said": f"{one.at[5:10]}, {one.text}"} for one in told)


FAILED = frozenset({"same", "worse", "much worse"})
"""Words for what a change did that speak against making it again."""


def ways_failed(felt: Iterable[Mapping[str, Any]], phases: Collection[str]) -> dict[tuple[str, int], str]:
    """Give the ways levers went that did not help in these parts of the corner, +1 or -1, each with what was said."""
    found: dict[tuple[str, int], str] = {}
    for data in felt:
        before, after, rows = numbers_in(data.get("before")), numbers_in(data.get("after")), data.get("moved")
        places = {str(row[0]) for row in rows if isinstance(row, list) and row} if isinstance(rows, list) else set()
        moved = {lever: after[lever] - value for lever, value in before.items() if after.get(lever, value) != value}
        if data.get("word") in FAILED and places & set(phases):
            found |= {(lever, 1 if shift > 0 else -1): str(data.get("said", "")) for lever, shift in moved.items()}
    return found
