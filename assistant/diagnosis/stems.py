"""Words as people type them: stems, numbers and slips, and patterns of stems to hold them against. No meanings."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from functools import cached_property, lru_cache


def word_set(text: str) -> frozenset[str]:
    """Return the words of a text as a set."""
    return frozenset(text.split())


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
    "seventeen",
    "eighteen",
    "nineteen",
]
_TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90}
_ORDINALS = {"fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8, "tenth": 10, "twelfth": 12, "fifteenth": 15}
"""Those that no part of a corner is called by."""
_NUMBERS = {word: value for value, word in enumerate(_UNITS)} | _TENS | _ORDINALS | {"hundred": 100}
_KEPT = word_set(
    """
    tired this does his its lens always was has is as us bed red balance quite rolling sets notes
    pedaling pedalling wrecking
    """
)
"""Words whose ending is no ending, or would run into another word ("tired" tires, "pedaling" off, "wrecking" loose)."""

_SAME = {"couldnt": "cant", "cannot": "cant", "wouldnt": "wont", "didnt": "doesnt", "dont": "doesnt"}
_SAME |= {"bit": "little"}
_SAME |= dict.fromkeys(("isnt", "aint", "arent", "wasnt", "werent"), "not")
"""What the car would not do yesterday it will not do today; what it is not doing, it is not doing; a bit is no bite."""


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

    Words under five letters get no slack but two letters swapped in four, those under eight one slip, longer ones two.

    The first letter must be right (or swapped with the second), so "light" is never read as "tight". An ending too many
    or too few is no slip.
    """
    cut = stem(word)
    best: tuple[int, str] | None = None
    for candidate in known:
        if len(candidate) == 4 and sorted(candidate) == sorted(word) and distance(word, candidate, 1) == 1:
            return candidate
        if len(candidate) < 5 or candidate[0] not in word[:2]:
            continue
        if candidate[0] != word[0] and candidate[:2] != word[1::-1]:
            continue
        most = 1 if len(candidate) < 8 else 2
        slips = distance(word, candidate, most)
        candidate_cut = stem(candidate)
        most_of_cut = 1 if len(candidate_cut) < 8 else 2
        if len(candidate_cut) >= 6 and (in_cut := distance(cut, candidate_cut, most_of_cut)) <= most_of_cut:
            slips = min(slips, in_cut)
        if slips <= most and (best is None or slips < best[0]):
            best = (slips, candidate)
    return best[1] if best else None


MOST_AIR, RATE = 12, 100
"""Pounds a tire is let down or blown up by at most; from this number on it is a spring's rate. Own judgment."""
Steps = tuple[tuple[frozenset[str], bool], ...]
"""For each word of a pattern the stems that fit, "#" and more for numbers, and whether it may be missing."""
BREAKS = frozenset({"and", "but", "then", "while", "yet", "though", "although", "plus", "however", "whereas"})
_BETWEEN_WORDS = re.compile(r"-(?=\w)|[,.;:!?\"]")


@dataclass(frozen=True)
class Worded:
    """Words in their order."""

    steps: Steps

    @cached_property
    def _needed(self) -> tuple[frozenset[str], ...]:
        """What it cannot do without, the last word first."""
        return tuple(stems for stems, optional in reversed(self.steps) if not optional)

    def may_fit(self, behind: AbstractSet[str]) -> bool:
        """Whether all that it cannot do without is among these stems."""
        return not any(map(behind.isdisjoint, self._needed))


@dataclass(frozen=True)
class Token:
    """raw: as typed. word: lower case, respelled. number: its value when it is one. mark: punctuation."""

    raw: str
    word: str
    stem: str
    number: int | None = None
    mark: bool = False

    @property
    def stems(self) -> tuple[str, ...]:
        """What of a pattern it fits: its stem, "#" for a number, "##" for one of a spring, "###" for its rate."""
        if self.number is None:
            return (self.stem,)
        larger = [mark for mark, least in (("##", MOST_AIR + 1), ("###", RATE)) if self.number >= least]
        return (self.stem, "#", *larger)


def bare_word(word: str) -> str:
    """Return a word in lower case and without apostrophes, as both sides of a match are written."""
    return str(word).lower().replace("'", "").replace("’", "")


def steps_of(text: str) -> Steps:
    """Cut a phrase into steps: "(word)" may be missing, "one/other" is either."""
    return tuple(map(_step_of, _BETWEEN_WORDS.sub(" ", text.lower()).split()))


@lru_cache(maxsize=8192)
def _step_of(part: str) -> tuple[frozenset[str], bool]:
    """Return the stems one word of a pattern stands for, and whether it may be missing."""
    words = part.strip("()").split("/")
    return frozenset(
        word if word in {"#", "##", "###"} else _pattern_stem(word) for word in words if word
    ), part.startswith("(")


def _pattern_stem(word: str) -> str:
    bare = bare_word(word)
    number = plain_number(bare)
    return stem(bare) if number is None else str(number)


def match_steps(steps: Steps, tokens: Sequence[Token], at: int, skipped: frozenset[str], step: int = 0) -> int | None:
    """Return the place after the longest fit of steps[step:] at this token, None when it does not fit."""
    if step == len(steps):
        return at
    stems, optional = steps[step]
    best: int | None = None
    for gap in range(4 if step else 1):
        here = at + gap
        if here >= len(tokens) or tokens[here].mark:
            break
        token = tokens[here]
        if not stems.isdisjoint(token.stems):
            end = match_steps(steps, tokens, here + 1, skipped, step + 1)
            if end is not None and (best is None or end > best):
                best = end
        if token.word not in skipped and token.stem not in skipped:
            break
    if optional:
        end = match_steps(steps, tokens, at, skipped, step + 1)
        if end is not None and (best is None or end > best):
            best = end
    return best
