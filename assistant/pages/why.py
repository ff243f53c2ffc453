"""`why`: what stands behind one offer, and what it has before another.

`why 1 not 2` says the smallest change that would turn the two round.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.advice.flips import Flip, find_flip
from assistant.advice.ranking import LESS_IS_BETTER, SHARES, factor_value
from assistant.advice.results import Package, Remedy
from assistant.ground.grid import Grid
from assistant.ground.understood import CauseFound, Sign
from assistant.ground.units import System
from assistant.ground.words import stands_out
from assistant.pages.advice import ALONE, Offer, costs_words, headline, how_sure
from assistant.pages.advice_words import each_words, say_factor, say_notes, say_reason
from assistant.pages.amounts import LeverWords, capital, chance_words, change_table, sentence, trade_words
from assistant.pages.blocks import BLANK, Block, Line
from assistant.pages.hearing_words import say_sign

if TYPE_CHECKING:
    from assistant.belief.model import Model
    from assistant.car.case import Case


@dataclass(frozen=True)
class MoveFacts:
    """What a move is on this car, in sentences. title: "" for the only one. needed: how many a mechanic needs."""

    title: str
    facts: tuple[str, ...]
    needed: int = 1


Told = Sequence[MoveFacts]
"""Facts of every move of an offer that has any."""
MORE = "why {number} all adds how it works, its place in the list, and the sources."
MORE_OF_PACKAGE = "why {number} all adds every cost, what each change is on this car, and what to check."


def why_screen(
    number: int,
    offer: Offer,
    levers: Mapping[str, LeverWords],
    system: System,
    facts: Told = (),
    *,
    whole: bool = True,
) -> list[Block]:
    """Explain one offer. facts: what each of its moves is on this car. whole: model, sum and sources as well."""
    blocks: list[Block] = [Line(sentence(headline(offer, levers, system)), mark="heading", lead=str(number))]
    blocks += [Line(text)] if (text := sentence(each_words(offer.each))) else []
    told = facts if whole else first_facts(facts)
    if isinstance(offer, Package):
        return [*blocks, *_package(offer, told, number, system, whole=whole)]
    reasons = (say_reason(offer), offer.physics if whole else "", say_notes(offer))
    blocks += [Line(sentence(text)) for text in reasons if text]
    if offer.effect is not None:
        blocks += _effect(offer.effect, whole=whole)
    blocks += facts_blocks(told, "On this car")
    costs = _costs(offer, number, system, whole=whole) if offer.costs else ""
    if whole:
        blocks += [Line(costs)] if costs else []
        blocks += _trade(offer)
        blocks += [*_rank(offer), *_check_again(offer)]
    else:
        said = (f"{costs} {_trade_in_short(offer)}".strip(), how_sure(offer))
        blocks += [Line(text) for text in said if text]
    watch = f"Watch for: {'; '.join(offer.watch_for)}." if offer.watch_for else ""
    undo = f"Undo it if: {sentence(offer.undo_if)}" if offer.undo_if else ""
    blocks += [Line(f"{watch} {undo}".strip())] if watch or undo else []
    if not whole:
        return [*blocks, Line(MORE.format(number=number))]
    return [*blocks, Line("Sources: " + "; ".join(offer.sources) + ".", mark="quiet")] if offer.sources else blocks


def _package(offer: Package, facts: Told, number: int, system: System, *, whole: bool) -> list[Block]:
    blocks: list[Block] = [
        Line(ALONE),
        *_effect(offer.effect, whole=whole),
        *facts_blocks(facts, "On this car, each change by itself"),
        Line(_costs(offer, number, system, whole=whole)),
    ]
    return [*blocks, *_check_again(offer)] if whole else [*blocks, Line(MORE_OF_PACKAGE.format(number=number))]


def first_facts(facts: Told) -> Told:
    """Keep what a mechanic needs of every move."""
    return [replace(one, facts=one.facts[: one.needed]) for one in facts]


def facts_of(offer: Offer, case: Case, model: Model | None, system: System) -> tuple[MoveFacts, ...]:
    """Say what each move of an offer is on this car, each by itself, in pounds, turns and inches; nothing for a habit.

    A remedy moves one thing, whose title need not be said: "".
    """
    from assistant.pages.lever_facts import NEEDED, facts  # noqa: PLC0415 - imports numpy

    def told(title: str, lever: str, change: float) -> MoveFacts:
        said = facts(case, lever, change, model=model, system=system)
        return MoveFacts(title, said, NEEDED.get(lever, 1))

    if isinstance(offer, Package):
        return tuple(told(move.title, move.lever, move.finish - move.start) for move in offer.moves)
    if offer.kind != "lever" or offer.change is None:
        return ()
    return (told("", offer.id, offer.change),)


def _costs(offer: Offer, number: int, system: System, *, whole: bool) -> str:
    if whole:
        return costs_words(offer, system, 99)
    return costs_words(offer, system, rest=f", why {number} all lists them")


def facts_blocks(facts: Told, heading: str) -> list[Block]:
    """Show facts under a heading, those of each move under its title where there is more than one."""
    blocks: list[Block] = []
    for one in facts:
        blocks += [Line(f"{capital(one.title)}:", indent=2)] if one.title and one.facts else []
        blocks += [Line(text, indent=4 if one.title else 2) for text in one.facts]
    return [Line(f"{heading}:"), *blocks] if blocks else []


def _check_again(offer: Offer) -> list[Block]:
    return [Line("Check again once it is made: " + "; ".join(offer.check_again) + ".")] if offer.check_again else []


def causes_screen(causes: tuple[CauseFound, ...]) -> list[Block]:
    """Explain what the car is thought to suffer from: each sum line by line, the strongest sign against included."""
    if not causes:
        return [Line("Nothing speaks for one cause more than for another.")]
    blocks: list[Block] = []
    for cause in causes[:3]:
        blocks += [
            BLANK,
            Line(f"{capital(cause.title)}: {_chance_of(cause)}.", mark="heading"),
        ]
        blocks.append(Line(f"To begin with: {_points(cause.prior)}, by how usual it is."))
        blocks += [_sign("For", sign) for sign in cause.signs_for]
        blocks += [_sign("Against", sign) for sign in cause.signs_against]
    return [
        *blocks,
        BLANK,
        Line("Points add up as log-odds: one more point makes it about 2.7 times as likely as before."),
    ]


def _chance_of(cause: CauseFound) -> str:
    """The number alone for what is less likely than not: no word there takes a side."""
    return chance_words(cause.chance, cause.word if stands_out(cause.chance) else None)


def _sign(side: str, sign: Sign) -> Line:
    return Line(f"{side}, {_points(sign.weight)}: {sentence(say_sign(sign))}")


def _points(weight: float) -> str:
    return f"{weight:+.1f} points"


def _effect(effect: Grid, *, whole: bool) -> list[Block]:
    table = change_table(effect)
    head = Line("What it does to the balance, in percent of grip:")
    return [head, table if whole else replace(table, sentence="")]


def _trade(remedy: Remedy) -> list[Block]:
    if not remedy.trade:
        return []
    return [Line(f"What the trade says of it: {trade_words(remedy.trade, remedy.verdicts)}.")]


def _trade_in_short(remedy: Remedy) -> str:
    """One sentence where trade and computation agree; the trade's view in full where they do not."""
    if remedy.verdict == "agrees":
        return "The trade agrees."
    return " ".join(line.text for line in _trade(remedy) if isinstance(line, Line))


def _rank(remedy: Remedy) -> list[Block]:
    if not remedy.factors:
        return []
    return [
        Line("Its place in the list:"),
        *(Line(f"{one.name} {one.value:.2f}: {say_factor(one, remedy.factors)}", indent=2) for one in remedy.factors),
    ]


LEAST_DIFFERENCE = 0.005
"""Difference of a factor that would be written as 0.00."""
PACKAGES = "A package is more work and harder to judge: try one change first where one does enough."
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
    return f"{capital(second)} would stand before {first} if it {WOULD[flip.factor]}"


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
