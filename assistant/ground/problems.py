"""A user's mistake as a value: where it is, what is wrong, what to do; and the one gate all output passes.

Nothing here prints. `BadInput` carries problems up to the command line, which shows them and ends with 2. What a pack,
a case, a file name or a note holds is shown, never sent: control characters and marks that turn the reading direction
become visible text. Our color is added afterward.
"""

from __future__ import annotations

import unicodedata
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


_SPACES = "\t\n\r\v\f"
_HIDDEN = frozenset(
    (
        *(*range(0x20), *range(0x7F, 0xA0)),  # C0, DEL and C1
        *(0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)),  # turn the reading direction
        *(0x200B, 0xFEFF, 0x2028, 0x2029, *range(0xFFF9, 0xFFFC)),  # no width, or break a line where we did not
        *range(0xD800, 0xE000),  # half characters, as in file names of another encoding
        *range(0xE0000, 0xE0080),  # invisible tags
    )
)
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
        hidden = code in _BLANK or unicodedata.category(letter) == _FORMAT
        self[code] = f"<U+{code:04X}>" if hidden else letter
        return self[code]


_SEEN = _Seen({code: f"<U+{code:04X}>" for code in _HIDDEN} | {ord(space): " " for space in _SPACES} | {0x1B: "^["})
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
