"""Words for chances, in one table for the whole program. A word never stands without its number.

Of 924 readers 66 per cent took a word with its number right, 32 per cent a bare word (Wintle and others 2019).
"""

from __future__ import annotations

WORDS: tuple[tuple[float, str], ...] = (
    (0.95, "sure"),
    (0.75, "likely"),
    (0.55, "more likely than not"),
    (0.0, "depends"),
)
"""The least chance at which each word is used."""


def chance_word(chance: float) -> str:
    """Return the word for a chance between 0 and 1."""
    return next(word for least, word in WORDS if chance >= least or least == 0.0)


def sayable(share: float, cars: int) -> float:
    """Cut a share of plausible cars to what so many of them can carry: all of 64 says no more than 63 of 64."""
    return min(share, 1.0 - 1.0 / cars)


def stands_out(chance: float) -> bool:
    """Say whether something is more likely than not, the weakest word that takes a side."""
    return chance >= WORDS[-2][0]


def say_chance(chance: float) -> str:
    """Say a chance with its number: "likely (about 8 in 10)"."""
    return f"{chance_word(chance)} ({say_number(chance)})"


def say_number(chance: float) -> str:
    """Say a chance as a plain frequency. Near the ends tenths say too little, so hundredths are used."""
    if chance >= 0.995:
        return "more than 99 in 100"
    if chance < 0.005:
        return "less than 1 in 100"
    if chance >= 0.945 or chance < 0.055:
        return f"about {round(100 * chance)} in 100"
    return f"about {round(10 * chance)} in 10"
