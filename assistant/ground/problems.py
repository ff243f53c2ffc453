"""A user's mistake as a value: where it is, what is wrong, what to do; and the one gate all output passes.

Nothing here prints. `BadInput` carries problems up to the command line, which shows them and ends with 2. What a pack,
a case, a file name or a note holds is shown, never sent: control characters and marks that turn the reading direction
become visible text. Our color is added afterward.

A file that was read: its data and the place of every name and value, so that each message can point at a line.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

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


_SPACES = "\t\n\r\v\f"
_DIRECTION = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""Marks that turn the reading direction (Unicode annex 9)."""
_HIDDEN = (
    *((0x00, 0x1F), (0x7F, 0x9F)),  # C0, DEL and C1
    *((ord(mark), ord(mark)) for mark in _DIRECTION),
    *((0x200B, 0x200B), (0x2060, 0x2060), (0xFEFF, 0xFEFF)),  # no width
    *((0x2028, 0x2029), (0xFFF9, 0xFFFB), (0xFFFE, 0xFFFF)),  # break a line where we did not, or are no characters
    (0xD800, 0xDFFF),  # half characters, as in file names of another encoding
    (0xE0000, 0xE007F),  # invisible tags
)
"""First and last of each group of characters that have no business in a text of ours."""
UNWANTED = re.compile(f"(?![\t\n\r])[{''.join(f'{chr(first)}-{chr(last)}' for first, last in _HIDDEN)}]")
"""Finds one of them. Ordinary letters of any script, signs and emoji are all fine."""
_BLANK = frozenset(
    (
        *(0x034F, 0x115F, 0x1160, 0x17B4, 0x17B5, 0x2065, 0x3164, 0xFFA0),  # fillers and joiners that draw nothing
        *(*range(0x180B, 0x1810), *range(0xFE00, 0xFE10), *range(0xE0100, 0xE01F0)),  # choose the shape of another
        *range(0xFFF0, 0xFFF9),  # kept free for more of them
    )
)
_FORMAT = "Cf"
"""What Unicode calls signs that steer how text is set, and draw nothing."""


class _Seen(dict[int, str]):
    """What is written for a code point: itself, unless nobody would see it. Looked up once for each."""

    def __missing__(self, code: int) -> str:
        letter = chr(code)
        hidden = code in _BLANK or UNWANTED.match(letter) or unicodedata.category(letter) == _FORMAT
        self[code] = f"<U+{code:04X}>" if hidden else letter
        return self[code]


_SEEN = _Seen({ord(space): " " for space in _SPACES} | {0x1B: "^["})
_PLAIN = {
    "½": " 1/2",
    "¼": " 1/4",
    "¾": " 3/4",
    "°": " deg",
    "±": "+/-",
    "×": "x",
    "÷": "/",
    "−": "-",
    "–": "-",
    "—": "-",
    "‘": "'",
    "’": "'",
    "“": '"',
    "”": '"',
    "…": "...",
    "→": "->",
    "≤": "<=",
    "≥": ">=",
    "≈": "about",
    "µ": "u",
    "ß": "ss",
    "\u00a0": " ",
}


def shown(text: str) -> str:
    """Return the text with every control character and direction mark made visible; white space becomes a space."""
    if text.isascii() and text.isprintable():
        return text
    return text.translate(_SEEN)


def in_encoding(text: str, encoding: str) -> str:
    """Return the text with what the terminal's encoding cannot show written in plain letters."""
    if text.isascii():
        return text
    try:
        text.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return "".join(_plain_letter(letter, encoding) for letter in text)
    return text


def shown_json(text: str) -> str:
    """Return JSON text (already ASCII) with the one control character JSON lets through, DEL, escaped."""
    return text.replace("\x7f", "\\u007f")


def _plain_letter(letter: str, encoding: str) -> str:
    try:
        letter.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        bare = unicodedata.normalize("NFKD", letter).encode("ascii", "ignore").decode("ascii")
        return _PLAIN.get(letter) or bare or f"<U+{ord(letter):04X}>"
    return letter


def name_character(character: str) -> str:
    """Say which character it is and what it does: "U+202E, which turns the direction of text"."""
    point = f"U+{ord(character):04X}"
    if character in _DIRECTION:
        return f"{point}, an invisible mark that turns the direction of text"
    if unicodedata.category(character) == "Cc":
        return f"{point}, a control character"
    return f"{point}, an invisible character"


KeyPath = tuple[str | int, ...]
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
    places: Mapping[KeyPath, Place] = field(default_factory=dict)
    keys: Mapping[KeyPath, Place] = field(default_factory=dict)
    written: Mapping[KeyPath, str] = field(default_factory=dict)
    rows: tuple[str, ...] = ()
    empty: tuple[KeyPath, ...] = ()

    def place(self, path: KeyPath, *, key: bool = False) -> Place:
        """Find the place of a value (of its name with `key`), or of the nearest block around it."""
        if key and path in self.keys:
            return self.keys[path]
        for length in range(len(path), -1, -1):
            if path[:length] in self.places:
                return self.places[path[:length]]
        return (1, 1)

    def problem(self, path: KeyPath, says: str, hint: str = "", *, key: bool = False) -> Problem:
        """Make the problem of a value, or of its name with `key`."""
        line, column = self.place(path, key=key)
        return problem_at(self.file, self.rows, line, column, says, hint)


def problem_at(file: str, rows: tuple[str, ...], line: int, column: int, says: str, hint: str = "") -> Problem:
    """Make a problem with the row it stands in; the row is cut when long and shows no invisible character."""
    row = rows[line - 1] if 0 < line <= len(rows) else ""
    row = UNWANTED.sub("?", row[:LONGEST_ROW]).replace("\t", " ") if column <= LONGEST_ROW else ""
    return Problem(file, line, column, says, hint, row)
