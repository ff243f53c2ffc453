"""Wrap text to a number of terminal columns, counting wide letters as two and joining marks as none."""

from __future__ import annotations

import unicodedata


def width_of(text: str) -> int:
    """Columns the text takes on a terminal."""
    if text.isascii():
        return len(text)
    return sum(_columns(letter) for letter in text)


def wrap(text: str, width: int) -> list[str]:
    """Break at spaces into rows no wider than `width`; only a longer word is cut. An empty text is one row.

    A path is never cut, so that it can be copied; the terminal goes on in the next row by itself.
    """
    rows: list[str] = []
    row = ""
    for word in text.split():
        for piece in _cut(word, width):
            if row and width_of(row) + 1 + width_of(piece) > width:
                rows.append(row)
                row = piece
            else:
                row = f"{row} {piece}" if row else piece
    return [*rows, row]


def _cut(word: str, width: int) -> list[str]:
    if "/" in word or "\\" in word:
        return [word]
    pieces = [""]
    for letter in word:
        if pieces[-1] and width_of(pieces[-1]) + _columns(letter) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def _columns(letter: str) -> int:
    if unicodedata.combining(letter):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in "WF" else 1
