"""Why a remedy stands where it stands, line by line, and the smallest change that would put another before it."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor
from typing import TYPE_CHECKING

from assistant.advice.ranking import LESS_IS_BETTER, SHARES, TIMES, factor_value, score_of
from assistant.advice.results import Advice, Factor, Package, Remedy
from assistant.car.setup import LEVER_KIND
from assistant.ground.results import Grid
from assistant.ground.units import System, show
from assistant.ground.words import PHASE_WORDS, STAGE_WORDS
from assistant.pages.amounts import FROM_ANYWHERE, trade_words

if TYPE_CHECKING:
    from assistant.belief.model import Model
    from assistant.car.case import Case


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


def why(
    advice: Advice, number: int, *, system: System = "trade", case: Case | None = None, model: Model | None = None
) -> tuple[str, ...]:
    """Explain remedy `number` (from 1): factors, numbers of the table, travel or physics, trade and model, sources.

    case, model: the car, for the facts of a lever's change on it. IndexError when there is no such remedy.
    """
    remedy = _find(advice, number)
    lines = [_headline(remedy, system), remedy.reason]
    lines += [text for text in (remedy.note, remedy.physics) if text and text not in lines]
    if remedy.effect is not None:
        lines += ["What it does to the balance, in percent of grip (+ tighter):", *_rows(remedy.effect)]
        lines += _say_spread(remedy)
    lines += () if case is None else facts_of(remedy, case, model, system)
    lines += [remedy.asked, *_say_trade(remedy)]
    lines += ["Its place in the list:", *(f"  {_name(factor)}: {factor.text}" for factor in remedy.factors)]
    lines.append(_say_against(remedy))
    lines += [f"Sources: {'; '.join(remedy.sources)}."] if remedy.sources else []
    return tuple(line for line in lines if line)


def facts_of(remedy: Remedy, case: Case, model: Model | None, system: System) -> tuple[str, ...]:
    """Say what the change of a lever is on this car in pounds, turns and inches; nothing for what is no lever."""
    from assistant.pages.lever_facts import facts  # noqa: PLC0415 - imports numpy, which the explanations do not need

    if remedy.kind != "lever" or remedy.change is None:
        return ()
    return facts(case, remedy.id, remedy.change, model=model, system=system)


def facts_of_moves(package: Package, case: Case, model: Model | None, system: System) -> tuple[tuple[str, ...], ...]:
    """Say what each move of a package is on this car, in the order of its moves, each by itself on the car as it is."""
    from assistant.pages.lever_facts import facts  # noqa: PLC0415 - imports numpy, which the explanations do not need

    return tuple(
        facts(case, move.lever, move.finish - move.start, model=model, system=system) for move in package.moves
    )


def facts_of_offer(
    offer: Remedy | Package, case: Case, model: Model | None, system: System
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Give the title and the facts of everything an offer moves; nothing for a move without any.

    A remedy moves one thing, whose title need not be said: "".
    """
    if isinstance(offer, Remedy):
        told = facts_of(offer, case, model, system)
        return (("", told),) if told else ()
    moves = zip(offer.moves, facts_of_moves(offer, case, model, system), strict=True)
    return tuple((move.title, told) for move, told in moves if told)


def why_not(advice: Advice, number: int, other: int) -> tuple[str, ...]:
    """Explain why remedy `number` stands where it does and not `other`, and what would turn them round.

    IndexError when there is no such remedy.
    """
    first, second = sorted((_find(advice, number), _find(advice, other)), key=lambda remedy: remedy.rank)
    if first is second:
        return ("These are one and the same.",)
    lines = [f"Score of {_named(first)}: {_score(first):.3f}; of {_named(second)}: {_score(second):.3f}."]
    lines += [f"  Number {first.rank} {text}" for text in _differences(first, second)]
    if _score(second) > _score(first):
        reason = first.note or second.note or "A rule of the list put them so."
        return (*lines, f"By score they would stand the other way round. {reason}")
    flip = find_flip(first, second)
    if flip is None:
        return (*lines, f"No single factor could put {_named(second)} first.")
    would = f"{_named(second)} would stand before {_named(first)} if it {WOULD[flip.factor]}"
    return (*lines, f"{would[:1].upper()}{would[1:]}: {flip.factor} {flip.to:.3f} instead of {flip.value:.3f}.")


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
    return [text for size, text in sorted(pairs, key=lambda pair: -pair[0]) if size >= 0.005]


def _is(name: str, here: float, there: float) -> str:
    """Say in words what the first of two does, by one factor."""
    better, worse = _IS[name]
    return better if (here > there) is (name not in LESS_IS_BETTER) else worse


def _value_in_score(remedy: Remedy, name: str) -> float:
    """Give a factor as the score has it: one that is not there multiplies by 1 or takes off 0."""
    value = factor_value(remedy, name)
    return value if value is not None else float(name not in SHARES)


def _headline(remedy: Remedy, system: System) -> str:
    if remedy.kind != "lever" or remedy.change is None:
        return f"{remedy.rank}. {remedy.title}"
    kind, fraction = remedy.quantity or LEVER_KIND[remedy.id], system == "trade"
    change = show(remedy.change, kind, system=system, fraction=fraction, signed=True)
    way = f", {remedy.direction}" if remedy.direction else ""
    if remedy.guessed:
        return f"{remedy.rank}. {remedy.title}: {change}, {FROM_ANYWHERE}{way}"
    if remedy.start is None or remedy.finish is None:
        return f"{remedy.rank}. {remedy.title}: {change}{way}"
    start = show(remedy.start, kind, system=system, fraction=fraction, unit=False)
    finish = show(remedy.finish, kind, system=system, fraction=fraction)
    return f"{remedy.rank}. {remedy.title}: {change}, from {start} to {finish}{way}"


def _rows(grid: Grid) -> list[str]:
    return [
        f"  {phase}: {', '.join(f'{stage} {_signed(value)}' for stage, value in row.items())}"
        for phase, row in grid.items()
    ]


def _say_spread(remedy: Remedy) -> list[str]:
    """Give the widest band of the grid, with the level in the sentence."""
    band = widest_band(remedy)
    return [] if band is None else [f"Least sure is {band[0]}: {band[1]}."]


def widest_band(remedy: Remedy) -> tuple[str, str] | None:
    """Say where plausible cars differ most about a change, and how far; None when it was not spread over them."""
    if not remedy.spread or remedy.basis != "computed":
        return None
    cells = [(phase, stage, *band) for phase, row in remedy.spread.items() for stage, band in row.items()]
    phase, stage, low, high = max(cells, key=lambda cell: cell[3] - cell[2])
    where = f"{PHASE_WORDS.get(phase, phase)} {STAGE_WORDS.get(stage, stage)}"
    return where, f"on 8 of 10 plausible cars, all on these tires, between {_signed(low)} and {_signed(high)}"


def _say_trade(remedy: Remedy) -> list[str]:
    if not remedy.trade:
        return []
    return [f"The trade says of such a move: {trade_words(remedy.trade, remedy.verdicts)}."]


def _say_against(remedy: Remedy) -> str:
    """Say the strongest thing against: the worst cost, else the weakest factor."""
    if remedy.costs:
        return f"Against it: {remedy.costs[0].text}."
    weak = [factor for factor in remedy.factors if factor.name in TIMES]
    if not weak:
        return "Against it: nobody can say what it takes away before it is tried."
    return f"Against it: {min(weak, key=lambda factor: factor.value).text}."


def _name(factor: Factor) -> str:
    return f"{factor.name} {factor.value:.2f}"


def _named(remedy: Remedy) -> str:
    return f"number {remedy.rank} ({remedy.title})"


def _score(remedy: Remedy) -> float:
    return factor_value(remedy, "score") or 0.0


def _signed(value: float) -> str:
    return f"{value:+.2f}"


def _find(advice: Advice, number: int) -> Remedy:
    """Find a remedy by its number; a number from 1, never from the end."""
    if not 1 <= number <= len(advice.remedies):
        raise IndexError(f"there is no remedy {number}")
    return advice.remedies[number - 1]
