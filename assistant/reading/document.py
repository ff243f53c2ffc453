"""A file that was read: its data and the place of every name and value, so that each message can point at a line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from assistant.problems import Problem
from assistant.reading.characters import make_visible

Path = tuple[str | int, ...]
"""Way from the top of a file to one value: names of blocks and positions in lists (from 0)."""
Place = tuple[int, int]
"""Line and column, counted from 1."""
Data = dict[str, "Data"] | list["Data"] | str | int | float | bool | None

LONGEST_ROW = 160
"""A longer row is cut in messages; a caret beyond it would point nowhere."""


@dataclass(frozen=True)
class Document:
    """One file.

    file: its path as the user gave it. data: dicts, lists, texts, numbers.
    places: path to the place of the value. keys: path to the place of its name.
    written: path to the digits as they were written, for numbers only (2026.10 is not 2026.1).
    rows: the lines of the file. empty: paths of names and list entries without a value.
    """

    file: str
    data: Data
    places: Mapping[Path, Place] = field(default_factory=dict)
    keys: Mapping[Path, Place] = field(default_factory=dict)
    written: Mapping[Path, str] = field(default_factory=dict)
    rows: tuple[str, ...] = ()
    empty: tuple[Path, ...] = ()

    def place(self, path: Path, *, key: bool = False) -> Place:
        """Find the place of a value (of its name with `key`), or of the nearest block around it."""
        if key and path in self.keys:
            return self.keys[path]
        for length in range(len(path), -1, -1):
            if path[:length] in self.places:
                return self.places[path[:length]]
        return (1, 1)

    def problem(self, path: Path, says: str, hint: str = "", *, key: bool = False) -> Problem:
        """Make the problem of a value, or of its name with `key`."""
        line, column = self.place(path, key=key)
        return problem_at(self.file, self.rows, line, column, says, hint)


def problem_at(file: str, rows: tuple[str, ...], line: int, column: int, says: str, hint: str = "") -> Problem:
    """Make a problem with the row it stands in; the row is cut when long and shows no invisible character."""
    row = rows[line - 1] if 0 < line <= len(rows) else ""
    row = make_visible(row[:LONGEST_ROW]) if column <= LONGEST_ROW else ""
    return Problem(file, line, column, says, hint, row)
