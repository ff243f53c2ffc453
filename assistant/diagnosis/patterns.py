"""Patterns of word stems, and the words they are held against. Knows no meanings."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from assistant.diagnosis.spelling import plain_number, stem

Steps = tuple[tuple[frozenset[str], bool], ...]
"""For each word of a pattern the stems that fit ("#" is a number), and whether it may be missing."""
BREAKS = frozenset({"and", "but", "then", "while", "yet", "though", "although", "plus", "however", "whereas"})
_BETWEEN_WORDS = re.compile(r"-(?=\w)|[,.;:!?\"]")


@dataclass(frozen=True)
class Token:
    """raw: as typed. word: lower case, respelled. number: its value when it is one. mark: punctuation."""

    raw: str
    word: str
    stem: str
    number: int | None = None
    mark: bool = False


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
    return frozenset(word if word == "#" else _pattern_stem(word) for word in words if word), part.startswith("(")


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
        if ("#" in stems and token.number is not None) or token.stem in stems:
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
