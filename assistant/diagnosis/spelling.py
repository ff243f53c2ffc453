"""Words as people type them: endings cut, number words read, spelling slips forgiven. Knows no meanings."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

_UNITS = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
]
_UNITS += ["seventeen", "eighteen", "nineteen"]
_TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90}
_NUMBERS = {word: value for value, word in enumerate(_UNITS)} | _TENS | {"hundred": 100}
_KEPT = frozenset(
    {"tired", "this", "does", "his", "its", "lens", "always", "was", "has", "is", "as", "us", "bed", "red"}
)
"""Words whose ending is no ending, or would run into another word ("tired" tires are not "tires")."""

_SAME = {"couldnt": "cant", "cannot": "cant", "wouldnt": "wont", "didnt": "doesnt", "dont": "doesnt"}
_SAME |= dict.fromkeys(("isnt", "aint", "arent", "wasnt", "werent"), "not")
"""What the car would not do yesterday it will not do today; what it is not doing, it is not doing."""


def plain_number(word: str) -> int | None:
    """Return the whole number a word says ("20", "twenty"), or None."""
    if word.isascii() and word.isdigit() and len(word) <= 4:
        return int(word)
    return _NUMBERS.get(word)


@lru_cache(maxsize=8192)
def stem(word: str) -> str:
    """Cut the ending, so that "pushes", "pushing" and "pushed" are one word.

    Crude on purpose: both sides are cut alike.
    """
    word = _SAME.get(word, word)
    if word in _KEPT or len(word) < 4:
        return word
    if word.endswith(("shes", "ches", "xes", "sses")):
        word = word[:-2]
    elif word.endswith("s") and not word.endswith(("ss", "us", "is")):
        word = word[:-1]
    if len(word) >= 6 and word.endswith("ing"):
        word = _undouble(word[:-3])
    elif len(word) >= 5 and word.endswith("ed") and not word.endswith("eed"):
        word = _undouble(word[:-2])
    return word[:-1] if len(word) >= 4 and word.endswith("e") else word


def _undouble(word: str) -> str:
    double = len(word) > 3 and word[-1] == word[-2] and word[-1] not in "aeiouslz"
    return word[:-1] if double else word


def distance(one: str, other: str, most: int) -> int:
    """Count the slips between two words: a letter missing, extra or wrong, or two swapped; `most` + 1 when more."""
    if abs(len(one) - len(other)) > most:
        return most + 1
    before: list[int] = []
    row = list(range(len(other) + 1))
    for i, letter in enumerate(one, 1):
        now = [i]
        for j, facing in enumerate(other, 1):
            cost = min(row[j] + 1, now[j - 1] + 1, row[j - 1] + (letter != facing))
            if i > 1 and j > 1 and letter == other[j - 2] and one[i - 2] == facing:
                cost = min(cost, before[j - 2] + 1)
            now.append(cost)
        if min(now) > most:
            return most + 1
        before, row = row, now
    return row[-1]


def nearest_word(word: str, known: Iterable[str]) -> str | None:
    """Return the known word that a misspelled one most likely meant, or None.

    Words under five letters get no slack, those under eight one slip, longer ones two.

    The first letter must be right (or swapped with the second), so "light" is never read as "tight". An ending too many
    or too few is no slip.
    """
    cut = stem(word)
    best: tuple[int, str] | None = None
    for candidate in known:
        if len(candidate) < 5 or candidate[0] not in word[:2]:
            continue
        if candidate[0] != word[0] and candidate[:2] != word[1::-1]:
            continue
        most = 1 if len(candidate) < 8 else 2
        slips = distance(word, candidate, most)
        candidate_cut = stem(candidate)
        if len(candidate_cut) >= 6:
            slips = min(slips, distance(cut, candidate_cut, most))
        if slips <= most and (best is None or slips < best[0]):
            best = (slips, candidate)
    return best[1] if best else None
