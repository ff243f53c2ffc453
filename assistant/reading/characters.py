"""Characters that have no business in a file of ours: invisible ones that control a screen or turn text round.

They are named by their code point. Ordinary letters of any script, signs and emoji are all fine.
"""

from __future__ import annotations

import re
import unicodedata

_UNWANTED = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"  # controls, all but tab and line ends
    "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"  # marks that change the direction of text (Unicode annex 9)
    "\u200b\u2060\ufeff\u2028\u2029"  # no width, or a line end that no editor counts
    "\ud800-\udfff\ufffe\uffff\U000e0000-\U000e007f]"  # halves of characters, non-characters, invisible tags
)
_DIRECTION = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def find_unwanted(text: str) -> re.Match[str] | None:
    """Find the first unwanted character of a text."""
    return _UNWANTED.search(text)


def name_character(character: str) -> str:
    """Say which character it is and what it does: "U+202E, which turns the direction of text"."""
    point = f"U+{ord(character):04X}"
    if _DIRECTION.match(character):
        return f"{point}, an invisible mark that turns the direction of text"
    if unicodedata.category(character) == "Cc":
        return f"{point}, a control character"
    return f"{point}, an invisible character"


def make_visible(text: str) -> str:
    """Replace every unwanted character, and every tab, by one that can be seen and takes one column."""
    return _UNWANTED.sub("?", text).replace("\t", " ")
