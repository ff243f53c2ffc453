"""`why`: what stands behind one offer, and what it has before another.

`why 1 not 2` says the smallest change that would turn the two round.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.advice.ranking import HARMS, Flip, find_flip
from assistant.advice.results import Remedy
from assistant.car.case import HOW_SOON
from assistant.ground.names import say_chance, say_number, stands_out
from assistant.ground.understood import CauseFound, Sign
from assistant.ground.units import System
from assistant.pages.advice import ALONE, JACKED, MADE_BACK, at_once_words, headline, how_sure, price_words
from assistant.pages.advice_words import (
    WHY_BACK,
    each_words,
    say_factor,
    say_notes,
    say_reason,
    say_worth,
    treats_words,
)
from assistant.pages.amounts import (
    Levers,
    after_colon,
    capital,
    say_lap_time,
    say_sources,
    say_tires,
    sentence,
    trade_words,
)
from assistant.pages.balance import change_band_words, change_bands_table, change_table
from assistant.pages.blocks import BLANK, Block, Line, lines, under
from assistant.pages.hearing_words import say_sign
from assistant.pages.lever_facts import NEEDED, facts

if TYPE_CHECKING:
    from assistant.belief.model import Model


@dataclass(frozen=True)
class MoveFacts:
    """What a move is on this car, in sentences. title: "" for the only one. needed: how many a mechanic needs."""

    title: str
    facts: tuple[str, ...]
    needed: int = 1


FactsTold = Sequence[MoveFacts]
"""Facts of every move of an offer that has any."""
MORE = "why {number} all adds how it works, its place in the list, and the sources."
MORE_OF_PACKAGE = "why {number} all adds every cost, what each change is on this car, and what to check."


def why_screen(
    number: int,
    offer: Remedy,
    levers: Levers,
    system: System,
    facts: FactsTold = (),
    *,
    whole: bool = True,
    place: str = "",
) -> list[Block]:
    """Explain one offer. facts: what each of its moves is on this car. whole: model, sum and sources as well.

    place: why it stands before the next.
    """
    blocks: list[Block] = [Line(sentence(headline(offer, levers, system)), mark="heading", lead=str(number))]
    blocks += lines([sentence(each_words(offer.each))])
    costs = _costs(offer, number, system, whole=whole)
    told = facts if whole else [replace(one, facts=one.facts[: one.needed]) for one in facts]
    if offer.kind == "package":
        return [*blocks, *_package(offer, told, costs, number, whole=whole)]
    reasons = (
        treats_words(offer.worth) if whole or offer.kind != "lever" else "",
        say_reason(offer),
        offer.physics if whole else "",
        say_notes(offer, whole=whole),
    )
    said = [sentence(reason) for reason in reasons if reason]
    blocks += lines(said if whole else [" ".join(said)])
    blocks += _effect(offer, whole=whole)
    blocks += facts_blocks(told, capital(here_words(offer)))
    costs = costs if offer.costs else say_tires(offer.run)
    if whole:
        blocks += lines((at_once_words(offer), costs, say_lap_time(offer.run), _trade(offer)))
        blocks += [*_rank(offer), *_check_again(offer)]
    else:
        blocks += lines(
            [" ".join(filter(None, (costs, _trade_in_short(offer), how_sure(offer, whole=True, brief=True))))]
        )
    watch = f"Watch for: {'; '.join(offer.watch_for)}." if offer.watch_for else ""
    undo = f"Undo it if: {after_colon(offer.undo_if)}." if offer.undo_if else ""
    blocks += lines([" ".join(offer.cautions)], "caution")
    if not whole:
        return [*blocks, *lines([place]), Line(f"{watch} {undo} {MORE.format(number=number)}".strip())]
    blocks += lines([f"{watch} {undo}".strip(), place])
    sources = "; ".join(say_sources(offer.sources))
    return [*blocks, *lines([f"Sources: {sources}."] if sources else [], "quiet")]


def _package(offer: Remedy, facts: FactsTold, costs: str, number: int, *, whole: bool) -> list[Block]:
    blocks: list[Block] = [
        Line(ALONE),
        *_effect(offer, whole=whole),
        *facts_blocks(facts, f"{capital(here_words(offer))}, each change by itself"),
        Line(costs),
        *lines([" ".join(offer.cautions)], "caution"),
    ]
    return [*blocks, *(_check_again(offer) if whole else [Line(MORE_OF_PACKAGE.format(number=number))])]


def facts_of(offer: Remedy, model: Model, system: System) -> tuple[MoveFacts, ...]:
    """Say what each move of an offer is on this car, each by itself, in pounds, turns and inches; nothing for a habit.

    A remedy moves one thing, whose title need not be said: "".
    """

    def told(title: str, lever: str, change: float) -> MoveFacts:
        known = facts(model, lever, change, system)
        return MoveFacts(title, known[:1] if is_told and lever == JACKED else known, NEEDED.get(lever, 1))

    is_told = offer.kind == "undo" and offer.id not in MADE_BACK  # how many rounds went in, who put them in knows
    titles = {move.lever: move.title for move in offer.moves}
    return tuple(told(titles.get(lever, ""), lever, change) for lever, change in offer.changes.items())


def here_words(offer: Remedy) -> str:
    """Say of what the facts of an offer are: of this car, where it was guessed how that stands now."""
    is_guessed = offer.guessed or any(move.guessed for move in offer.moves)
    return "on this car, from a guess of where it stands now" if is_guessed else "on this car"


def _costs(offer: Remedy, number: int, system: System, *, whole: bool) -> str:
    if whole:
        return price_words(offer, system, 99)
    return price_words(offer, system, rest=f", why {number} all lists them", brief=True)


def facts_blocks(facts: FactsTold, heading: str) -> list[Block]:
    """Show facts under a heading, those of each move under its title where there is more than one."""
    blocks: list[Block] = []
    for one in facts:
        blocks += [Line(f"{capital(one.title)}:", indent=2)] if one.title and one.facts else []
        blocks += [Line(text, indent=4 if one.title else 2) for text in one.facts]
    return [Line(f"{heading}:"), *blocks] if blocks else []


def _check_again(offer: Remedy) -> list[Block]:
    return [Line("Check again once it is made: " + "; ".join(offer.check_again) + ".")] if offer.check_again else []


SUMS = 3
"""Causes whose sums are shown unasked, the likeliest first."""
POINTS = (
    "One point more makes a cause about 2.7 times as likely. By that the {} causes of this complaint, and none of "
    "these, share ten chances in ten: a few points are enough where the others have fewer."
)
OTHER_SUMS = "causes and a word of its name shows the sum of any other, such as causes sway bar."


def causes_screen(causes: Sequence[CauseFound], only: str = "") -> list[Block]:
    """Explain what the car is thought to suffer from: each sum line by line, the strongest sign against included.

    only: the id of the one that was asked for.
    """
    if not causes:
        return [Line("Nothing speaks for one cause more than for another.")]
    shown = [one for one in causes if one.id == only] if only else causes[:SUMS]
    blocks = [block for cause in shown for block in (BLANK, *_sum(cause))]
    more = [OTHER_SUMS] if len(shown) < len(causes) else []
    return [*blocks, BLANK, *lines([POINTS.format(len(causes)), *more])]


def _sum(cause: CauseFound) -> list[Block]:
    parts = (cause.prior, *(sign.weight for sign in (*cause.signs_for, *cause.signs_against)))
    total = sum(round(part, 1) for part in parts)  # so that what is shown adds up
    return [
        Line(f"{capital(cause.title)}: {_chance_of(cause)}.", mark="heading"),
        Line(f"To begin with: {_points(cause.prior)}, by how usual it is."),
        *(_sign("For", sign) for sign in cause.signs_for),
        *(_sign("Against", sign) for sign in cause.signs_against),
        Line(f"Together: {_points(total)}."),
    ]


def _chance_of(cause: CauseFound) -> str:
    """The number alone for what is less likely than not: no word there takes a side."""
    return say_chance(cause.chance) if stands_out(cause.chance) else say_number(cause.chance)


def _sign(side: str, sign: Sign) -> Line:
    return Line(f"{side}, {_points(sign.weight)}: {sentence(say_sign(sign))}")


def _points(weight: float) -> str:
    return f"{weight:+.1f} points"


def _effect(offer: Remedy, *, whole: bool) -> list[Block]:
    says = "What it does to the balance, in percent of grip"
    if offer.run is not None and offer.spread is not None:
        ways = {change_band_words(*band) for row in offer.spread.values() for band in row.values()}
        alike = ways.pop() if len(ways) == 1 else ""
        return [Line(f"{says}: {alike} everywhere.")] if alike else [change_bands_table(offer.spread, says)]
    return [] if offer.effect is None else [change_table(offer.effect, says, short=not whole)]


def _trade(remedy: Remedy) -> str:
    return f"What the trade says of it: {trade_words(remedy.trade, remedy.verdicts)}." if remedy.trade else ""


def _trade_in_short(remedy: Remedy) -> str:
    """One sentence where trade and computation agree; the trade's view in full where they do not."""
    return "The trade agrees." if remedy.verdict == "agrees" else _trade(remedy)


def _rank(remedy: Remedy) -> list[Block]:
    """Say what its place rests on, and what stands behind the share of a lever or a habit."""
    behind = [f"{one.name} {one.value:.2f}: {say_factor(one)}" for one in remedy.factors]
    return [
        *under("Its place in the list:", say_worth(remedy.worth)),
        *under("If the balance alone is at fault:", behind),
    ]


PACKAGES = "A package is more work and harder to judge: try one change first where one does enough."


def why_not_screen(pair: Sequence[tuple[int, Remedy]], levers: Levers, system: System) -> list[Block]:
    """Say what each of two offers is for and gains, and what would turn them round."""
    in_order = sorted(pair, key=lambda one: one[0])
    first, second = (offer for _, offer in in_order)
    if first is second:
        return [Line("These are one and the same.")]
    blocks: list[Block] = []
    for number, offer in in_order:
        blocks.append(Line(sentence(headline(offer, levers, system)), lead=str(number)))
        blocks += lines(map(sentence, (treats_words(offer.worth), *say_worth(offer.worth))), indent=2)
    package = [Line(PACKAGES)] if any(offer.kind == "package" for _, offer in pair) else []
    flip = find_flip(first.worth, second.worth)
    turned = [Line(flip_words(in_order[1][0], in_order[0][0], flip))] if flip else []
    return [*blocks, Line(place_words(*in_order)), *turned, *package]


def place_words(first: tuple[int, Remedy], second: tuple[int, Remedy]) -> str:
    """Say why the first of two offers, each with its number, stands before the second."""
    (before, one), (number, other) = first, second
    by_kind = _place_by_kind(one, other).format(before, number)
    if by_kind:
        return by_kind
    if other.worth.gain > one.worth.gain:
        named = [one.title for one in one.worth.treats if not one.is_balance]
        near = f"Number {number} gains a little more by itself, number {before} with what would be tried after it"
        return f"{near}, and near even the cause that is named comes first: {named[0]}." if named else f"{near}."
    gains = [_gain_words(offer.worth.gain) for offer in (one, other)]
    gain = f"Number {before} is expected to take {gains[0]} of the complaint away, number {number} {gains[1]}"
    alike = f"Numbers {before} and {number} are expected to take about as much away"
    ahead, against = _ahead(one, other), " and ".join(_better(other, one))
    speaks = f" For number {before} speaks: {ahead}" if ahead else ""
    speaks += f"; for number {number}: {against}" if ahead and against else ""
    return sentence(f"{gain if gains[0] != gains[1] else alike}, every cause weighed.{speaks}")


def _place_by_kind(one: Remedy, other: Remedy) -> str:
    """Say why one stands before the other where its kind says it; "" where what they cure does."""
    said = (
        (one.kind in LEFT_ALONE, "Number {0} comes before any change: a change made now would be a guess."),
        (one.id in WHY_BACK, "Number {0} comes first because what was made last is the first thing to doubt."),
        (other.kind in LEFT_ALONE, "Number {1} leaves the car as it is: it comes behind what may still be done."),
        (one.worth.looks and other.worth.looks, BOTH_LOOK),
        (one.worth.looks, SPARES if other.kind in MOVES else CHANGES_NOTHING),
        (other.worth.looks, "Number {1} is a look: it cures nothing and stands where it is worth its minutes."),
    )
    return next((text for holds, text in said if holds), "")


def _gain_words(gain: float) -> str:
    """Say how much is expected to go, its minutes taken off: what costs as much as it gives takes nothing."""
    hundredths = round(100 * gain)
    return f"{hundredths} in 100" if hundredths > 0 else "nothing"


BOTH_LOOK = "Numbers {0} and {1} are looks: the one that tells more for its minutes comes first."
SPARES = "Number {} is a look: it may spare the car number {}, or say that it is the right one."
CHANGES_NOTHING = "Number {} is a look: it changes nothing, and tells more for its minutes than number {}."
MOVES = frozenset({"lever", "package", "undo"})
"""Kinds of offers that move something on the car, which a look may spare."""
LEFT_ALONE = frozenset({"cannot-tell", "leave"})
"""Kinds of offers that leave the car as it is."""


def _ahead(one: Remedy, other: Remedy) -> str:
    """Say what one of two offers has before the other in what both were weighed by."""
    quick = bool(one.when and other.when) and HOW_SOON.index(one.when) < HOW_SOON.index(other.when)
    return " and ".join([*(["it is sooner made"] if quick else []), *_better(one, other)])


def _better(one: Remedy, other: Remedy) -> list[str]:
    """Name the factors by which one of two offers is the better one so that it counts."""
    values = {factor.name: factor.value for factor in other.factors}
    pairs = [(factor.name, factor.value - values[factor.name]) for factor in one.factors if factor.name in values]
    ahead = [name for name, more in pairs if (-more if name in HARMS else more) > AHEAD and name in BETTER]
    return [BETTER[name] for name in ahead]


AHEAD = 0.03
"""Difference of a factor from which it is named as a reason."""
BETTER = {
    "relief": "it takes away more where the balance alone is at fault",
    "confidence": "its way is surer",
    "trade": "the trade reaches for it sooner",
    "preference": "the trade likes the work better",
    "harm": "it spoils less elsewhere",
    "tire life": "it costs less tire",
    "pace": "it costs less lap time",
}
"""What an offer has before another, by the factor."""


def flip_words(second: int, first: int, flip: Flip) -> str:
    """Say which cause would have to be how likely to put the second of two before the first."""
    now, then = say_number(flip.chance), say_number(flip.to)
    little = f"a little {'more' if flip.to > flip.chance else 'less'} than {now}"
    chance = f"{then} instead of {now}" if then != now else little
    return f"Number {second} would gain more than number {first} if the chance of '{flip.title}' were {chance}."
