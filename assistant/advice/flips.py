"""The smallest change of one factor that would put a remedy before another."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor

from assistant.advice.ranking import LESS_IS_BETTER, SHARES, TIMES, score_of
from assistant.advice.results import Factor, Remedy

TOP = {
    "relief": 1.0,
    "harm": 0.0,
    "tire life": 0.0,
    "pace": 0.0,
    "confidence": 1.0,
    "practicality": 1.0,
    "trade": 1.0,
    "preference": 2.0,
}
"""The best each factor can be: shares and chances end at 1, a lever file may state a preference of up to 2."""


@dataclass(frozen=True)
class Flip:
    """The smallest change of one factor that turns two remedies round; to is the value it would need."""

    factor: str
    value: float
    to: float


def find_flip(first: Remedy, second: Remedy) -> Flip | None:
    """Find the smallest change of one factor of `second` that gives it the higher score; None when none can.

    The needed value is rounded to the next thousandth that really turns them round.
    """
    flips = [
        flip for factor in second.factors if (flip := _flip_by(factor, second, score_of(first.factors))) is not None
    ]
    return min(flips, key=lambda flip: abs(flip.to - flip.value), default=None)


def _flip_by(factor: Factor, remedy: Remedy, target: float) -> Flip | None:
    if factor.name not in TOP:
        return None
    share = sum(one.value * (-1 if one.name in LESS_IS_BETTER else 1) for one in remedy.factors if one.name in SHARES)
    score = score_of(remedy.factors)
    if score <= 0 or share <= 0:
        return None
    if factor.name in TIMES:
        needed = _above(factor.value * target / score)
        return Flip(factor.name, factor.value, needed) if needed <= TOP[factor.name] else None
    more = share * (target / score - 1)
    if factor.name in LESS_IS_BETTER:
        needed = _below(factor.value - more)
        return Flip(factor.name, factor.value, needed) if needed >= 0 else None
    needed = _above(factor.value + more)
    return Flip(factor.name, factor.value, needed) if needed <= 1 else None


def _above(value: float) -> float:
    """Round to the next thousandth that is really more."""
    return floor(value * 1000 + 1 + 1e-9) / 1000


def _below(value: float) -> float:
    """Round to the next thousandth that is really less."""
    return ceil(value * 1000 - 1 - 1e-9) / 1000
