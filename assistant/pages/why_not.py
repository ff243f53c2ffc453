"""`why 1 not 2`: what one offer has before another, and the smallest change that would turn the two round."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor

from assistant.advice.ranking import LESS_IS_BETTER, SHARES, TIMES, factor_value, score_of
from assistant.advice.results import Factor, Remedy
from assistant.ground.units import System
from assistant.pages.advice import Offer, headline
from assistant.pages.advice_words import say_notes
from assistant.pages.amounts import LeverWords, sentence
from assistant.pages.blocks import Block, Line

LEAST_DIFFERENCE = 0.005
"""Difference of a factor that would be written as 0.00."""
PACKAGES = "A package is more work and harder to judge: try one change first where one does enough."
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
WOULD = {
    "relief": "took away more of the complaint",
    "harm": "spoiled less elsewhere",
    "tire life": "cost less tire life",
    "pace": "cost less lap time",
    "confidence": "were surer",
    "practicality": "were quicker to do",
    "trade": "stood higher in the trade's list",
    "preference": "were better liked by the trade",
}

_IS = {
    "relief": ("takes away more of the complaint", "takes away less of the complaint"),
    "harm": ("spoils less elsewhere", "spoils more elsewhere"),
    "tire life": ("costs less tire life", "costs more tire life"),
    "pace": ("costs less lap time", "costs more lap time"),
    "confidence": ("is surer", "is less sure"),
    "practicality": ("is quicker to do", "is slower to do"),
    "trade": ("stands higher in the trade's list", "stands lower in the trade's list"),
    "preference": ("is better liked by the trade", "is less liked by the trade"),
}
"""What the better and the worse of two remedies does, by factor."""


@dataclass(frozen=True)
class Flip:
    """The smallest change of one factor that turns two remedies round; to is the value it would need."""

    factor: str
    value: float
    to: float


def why_not_screen(pair: Sequence[tuple[int, Offer]], levers: Mapping[str, LeverWords], system: System) -> list[Block]:
    """Compare two offers by their scores; a package has none, so both are only said again."""
    remedies = [offer for _, offer in pair if isinstance(offer, Remedy)]
    if len(remedies) == 2:
        return compare_remedies(*sorted(remedies, key=lambda remedy: remedy.rank))
    said = [Line(sentence(headline(offer, levers, system)), lead=str(number)) for number, offer in pair]
    return [*said, Line(PACKAGES)]


def compare_remedies(first: Remedy, second: Remedy) -> list[Block]:
    """Say why `first` stands before `second`, and what would turn them round."""
    if first is second:
        return [Line("These are one and the same.")]
    scores = f"Score of {_named(first)}: {_score(first):.3f}; of {_named(second)}: {_score(second):.3f}."
    blocks: list[Block] = [Line(scores)]
    blocks += [Line(f"Number {first.rank} {text}", indent=2) for text in _differences(first, second)]
    return [*blocks, Line(_turn_round(first, second))]


def _turn_round(first: Remedy, second: Remedy) -> str:
    if _score(second) > _score(first):
        reason = say_notes(first) or say_notes(second) or "A rule of the list put them so."
        return f"By score they would stand the other way round. {reason}"
    flip = find_flip(first, second)
    if flip is None:
        return f"No single factor could put {_named(second)} first."
    return (
        f"{flip_words(_named(second), _named(first), flip)}: {flip.factor} {flip.to:.3f} instead of {flip.value:.3f}."
    )


def flip_words(second: str, first: str, flip: Flip) -> str:
    """Say what would put the second of two before the first."""
    return f"{second[:1].upper()}{second[1:]} would stand before {first} if it {WOULD[flip.factor]}"


def find_flip(first: Remedy, second: Remedy) -> Flip | None:
    """Find the smallest change of one factor of `second` that gives it the higher score; None when none can.

    The needed value is rounded to the next thousandth that really turns them round.
    """
    flips = [flip for factor in second.factors if (flip := _flip_by(factor, second, _score(first))) is not None]
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


def _differences(first: Remedy, second: Remedy) -> list[str]:
    """Name the factors in which two remedies differ, the largest difference first."""
    names = dict.fromkeys(factor.name for factor in (*first.factors, *second.factors) if factor.name != "score")
    pairs = [
        (abs(here - there), f"{_is(name, here, there)} ({name} {here:.2f} against {there:.2f}).")
        for name in names
        for here, there in [(_value_in_score(first, name), _value_in_score(second, name))]
    ]
    return [text for size, text in sorted(pairs, key=lambda pair: -pair[0]) if size >= LEAST_DIFFERENCE]


def _is(name: str, here: float, there: float) -> str:
    """Say in words what the first of two does, by one factor."""
    better, worse = _IS[name]
    return better if (here > there) is (name not in LESS_IS_BETTER) else worse


def _value_in_score(remedy: Remedy, name: str) -> float:
    """Give a factor as the score has it: one that is not there multiplies by 1 or takes off 0."""
    value = factor_value(remedy, name)
    return value if value is not None else float(name not in SHARES)


def _named(remedy: Remedy) -> str:
    return f"number {remedy.rank} ({remedy.title})"


def _score(remedy: Remedy) -> float:
    return factor_value(remedy, "score") or 0.0
