"""How much likelier one cause would have to be to put an offer before another."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.advice.results import Treats, Worth

SURE = 0.99
"""Chance beyond which no cause is asked to be likelier."""


@dataclass(frozen=True)
class Flip:
    """The cause whose chance would turn two offers round; to is the chance it would need."""

    title: str
    chance: float
    to: float


def find_flip(first: Worth, second: Worth) -> Flip | None:
    """Find the cause that would need the smallest change of its chance for `second` to gain more; None when none can.

    The chances of all others shrink or grow together.
    """
    causes = {line.title: line.chance for line in (*first.lines, *second.lines)}
    flips = [
        Flip(title, chance, to)
        for title, chance in causes.items()
        if (to := _needed(title, chance, first, second)) is not None
    ]
    return min(flips, key=lambda flip: abs(flip.to - flip.chance), default=None)


def _needed(title: str, chance: float, first: Worth, second: Worth) -> float | None:
    """Return the chance of one cause at which both gain the same; None where there is none.

    A gain is t c + (1 - t) r - cost, where r is what the offer cures on average under all other causes.
    """
    cured, rest = (
        (_cures(worth, title) for worth in (first, second)),
        (_others(worth, title, chance) for worth in (first, second)),
    )
    (one, other), (one_rest, other_rest) = cured, rest
    slope = (one - one_rest) - (other - other_rest)
    if slope == 0 or chance >= 1:
        return None
    to = (other_rest - second.cost - one_rest + first.cost) / slope
    return to if 0 <= to <= SURE else None


def _cures(worth: Worth, title: str) -> float:
    return next((line.cures for line in worth.lines if line.title == title), 0.0)


def _others(worth: Worth, title: str, chance: float) -> float:
    """Return what an offer cures on average when it is not this cause."""
    others: list[Treats] = [line for line in worth.lines if line.title != title]
    return sum(line.chance * line.cures for line in others) / (1 - chance) if chance < 1 else 0.0
