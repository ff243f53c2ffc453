"""A user's mistake as a value: where it is, what is wrong, what to do.

Nothing here prints. `BadInput` carries problems up to the command line, which shows them and ends with 2.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

LONGEST = 600
"""Characters of one part of a message."""


@dataclass(frozen=True, order=True)
class Problem:
    """One mistake in one place.

    file: path as the user gave it, or a word such as "command line".
    line, column: counted from 1; 0 when the mistake has no place.
    says: what is wrong, in words for people.
    hint: what to do, often the nearest right spelling.
    row: the text of the guilty line, when there is one.
    """

    file: str
    line: int
    column: int
    says: str
    hint: str = ""
    row: str = ""

    def text(self) -> str:
        """Show as `file:line:column: what`, then the row, then the hint under a caret."""
        place = f"{self.file}:{self.line}:{self.column}: " if self.line else f"{self.file}: "
        lines = [shorten(place) + shorten(self.says)]
        if self.row.strip():
            lines.append("    " + self.row)
        if self.hint:
            caret = " " * max(self.column - 1, 0) + "^ " if self.row.strip() else ""
            lines.append("    " + caret + shorten(self.hint))
        return "\n".join(lines)


def shorten(text: str) -> str:
    """Cut the middle out of what is longer than anybody reads; a message repeats what was typed, whatever that was."""
    if len(text) <= LONGEST:
        return text
    return f"{text[: LONGEST - 120]} ... ({len(text)} characters) ... {text[-80:]}"


class BadInput(Exception):  # noqa: N818 - it is not our error but the user's
    """Raised with every problem found at once, in file and line order."""

    def __init__(self, problems: Problem | Iterable[Problem]) -> None:
        self.problems = (problems,) if isinstance(problems, Problem) else tuple(sorted(problems))
        super().__init__("\n".join(problem.text() for problem in self.problems))
