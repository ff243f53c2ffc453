"""The advice on screen: the answer first, then the reason, the cost, and how sure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from assistant.advice.results import COMPUTES_SMALL, TRADE_ALONE, Advice, Package, PackageMove, Remedy
from assistant.car.moves import setup_faults
from assistant.ground.understood import CauseFound, StopReason
from assistant.ground.units import System
from assistant.ground.words import chance_word, say_number, stands_out
from assistant.pages.advice_words import each_words, say_cost, say_note, say_reason, title_of, treats_words
from assistant.pages.amounts import (
    LeverWords,
    alone_words,
    capital,
    cars_words,
    chance_words,
    cure_words,
    direction_words,
    guess_words,
    limit_words,
    move_words,
    no_cause_words,
    not_legal_words,
    sentence,
)
from assistant.pages.as_said import doubts_of
from assistant.pages.blocks import BLANK, Block, Line
from assistant.pages.hearing_words import BESIDE, say_sign, say_stop

FIRST_SHOWN = 3
"""Offers on the first screen, so that number 1 is still on a screen of 24 rows; `more` shows the next ones."""
MOST_COSTS = 2
"""Costs on the first screen, the worst first; `why` lists all."""

TELLS_APART = 0.12
"""Share of the complaint from which "at once" and "by the end of the next run" are told apart."""
FREE, LOOK = "free, no wrench", "a look, no change"
EFFORT = {
    "driving": FREE,
    "inspect": LOOK,
    "repair": "a repair",
    "undo": "put back",
    "leave": "no change",
    "cannot-tell": "",
}
"""What an offer asks of the crew, by its kind; a lever says when it can be moved."""
NOT_FELT = "nothing that can be felt"
BY_THE_BOOK = "by the book, not computed; its size is an assumption"
ALONE = "One change alone does not do it without spoiling another part of the corner."
SEE_WHY = ", see why"
"""Where the costs that are left out can be read, in the conversation."""

Offer = Remedy | Package


def offers_of(advice: Advice) -> tuple[Offer, ...]:
    """Return what can be tried, in the order of its numbers; nothing on a car that must be looked at first."""
    if advice.stop:
        return ()
    return tuple(sorted((*advice.remedies, *advice.packages), key=lambda offer: offer.rank))


def stop_screen(stop: StopReason) -> list[Block]:
    """Nothing is adjusted on a car that may be broken."""
    return [Line(say_stop(stop), mark="caution")]


def advice_screen(
    advice: Advice,
    levers: Mapping[str, LeverWords],
    system: System,
    *,
    first: int = 0,
    count: int = FIRST_SHOWN,
    whole: int | None = None,
    most: int = MOST_COSTS,
    rest: str = SEE_WHY,
) -> list[Block]:
    """Show causes and the offers numbered first+1 to first+count; each caution once, short, where it is first needed.

    The first caution of each offer only; all of them stand in full where a change is made. whole: so many offers are
    shown whole, the others in two lines each; all when left out. most: costs of an offer told whole. rest: what is said
    behind the number of those left out.
    """
    if advice.stop:
        return stop_screen(advice.stop)
    offers = offers_of(advice)
    said_first = (*guess_words(advice.guesses), *(BESIDE[note] for note in advice.notes))
    illegal = [Line(text, mark="caution") for text in illegal_words(advice, system)]
    blocks: list[Block] = [] if first else [*illegal, *_causes(advice.causes, advice.treated), *map(Line, said_first)]
    doubts = doubts_of(advice.picture)
    blocks += [] if first or not offers else [Line(text, mark="caution") for text in doubts]
    if not offers:
        return [*blocks, Line("No lever, no habit and no package I know of takes this away on this car.")]
    said: set[str] = set()
    end = first + count if whole is None else first + min(whole, count)
    for number, offer in enumerate(offers[first : first + count], first + 1):
        fresh = [text for text in cautions_of(offer)[:1] if text not in said]
        said.update(fresh)
        blocks += [BLANK] if number <= end + 1 else []
        told = offer_lines(number, offer, levers, system, most, rest)
        blocks += told if number <= end else brief_lines(number, offer, levers, system, rest)
        blocks += [Line(short_caution(text), mark="caution", indent=len(str(number)) + 2) for text in fresh]
    return blocks


def illegal_words(advice: Advice, system: System) -> list[str]:
    """Say what of the setup that an advice is given for is outside the rules."""
    return [] if advice.case is None else not_legal_words(setup_faults(advice.case, system))


def short_caution(text: str) -> str:
    """Give the first half of a caution, up to its first semicolon or stop."""
    return sentence(re.split(r"[;.](?= |$)", text, maxsplit=1)[0])


def cautions_of(offer: Offer) -> tuple[str, ...]:
    """Return what must be heeded while the change is made, each once."""
    if isinstance(offer, Package):
        return tuple(dict.fromkeys(text for move in offer.moves for text in move.cautions))
    return offer.cautions


def offer_lines(
    number: int,
    offer: Offer,
    levers: Mapping[str, LeverWords],
    system: System,
    most: int = MOST_COSTS,
    rest: str = SEE_WHY,
) -> list[Block]:
    """One numbered offer: what to do, why, what it costs, how sure."""
    if isinstance(offer, Package):
        return _package_lines(number, offer, levers, system, costs_words(offer, system, most, rest))
    lead = str(number)
    indent = len(lead) + 2
    lines = [
        sentence(treats_words(offer.worth)),
        sentence(each_words(offer.each)),
        at_once_words(offer),
        sentence(say_reason(offer)),
        f"{costs_words(offer, system, most, rest) or _unknown_costs(offer)} {how_sure(offer)}".strip(),
    ]
    blocks: list[Block] = [
        Line(f"{sentence(headline(offer, levers, system))} {sentence(effort_words(offer))}", "act", lead=lead)
    ]
    return [*blocks, *(Line(text, indent=indent) for text in lines if text)]


def brief_lines(
    number: int, offer: Offer, levers: Mapping[str, LeverWords], system: System, rest: str = SEE_WHY
) -> list[Block]:
    """One offer in two lines: what, how much and when; then the worst it costs, and how sure where that is in doubt."""
    lead = str(number)
    said = sentence(headline(offer, levers, system, ends=False))
    effort, doubt = ("", "") if isinstance(offer, Package) else (sentence(effort_words(offer)), how_sure(offer))
    costs = costs_words(offer, system, 1, rest) or _unknown_costs(offer)
    lines = [sentence(each_words(offer.each)), f"{costs} {doubt}".strip()]
    return [
        Line(f"{said} {effort}".strip(), "act", lead=lead),
        *(Line(one, indent=len(lead) + 2) for one in lines if one),
    ]


def _unknown_costs(offer: Offer) -> str:
    """Say why nothing is said of what a lever costs: it computes to too little, or is not computed at all.

    A look or a habit moves nothing.
    """
    if isinstance(offer, Package) or offer.kind != "lever":
        return ""
    return next(
        (say_note(note) for note in offer.notes if note.kind in {COMPUTES_SMALL, TRADE_ALONE}), "Costs: not known."
    )


def at_once_words(offer: Offer) -> str:
    """Say what a change does on the tires in place, where that is not what it does by the end of the next run."""
    if offer.at_once is None or offer.removes is None or abs(offer.at_once - offer.removes) < TELLS_APART:
        return ""
    return f"On the tires in place it {cure_words(offer.at_once)}; the rest comes over the next run."


def headline(offer: Offer, levers: Mapping[str, LeverWords], system: System, *, ends: bool = True) -> str:
    """Say an offer in one line: the order, the direction, how much goes. ends: say from what to what."""
    if isinstance(offer, Package):
        moves = "; ".join(order_words(move, levers, system, ends=ends) for move in offer.moves)
        return f"together: {moves}: {cure_words(offer.removes)}"
    said = order_words(offer, levers, system, ends=ends)
    tail = [
        word for word in (offer.direction, cure_words(offer.removes) if offer.removes is not None else None) if word
    ]
    return f"{said}: {', '.join(tail)}" if tail else said


def order_words(
    one: Remedy | PackageMove, levers: Mapping[str, LeverWords], system: System, *, ends: bool = True
) -> str:
    """Say a remedy or a move of a package as the job it is. ends: say from what to what."""
    change: float | None
    if isinstance(one, PackageMove):
        lever, change = one.lever, one.finish - one.start
    else:
        lever, change = one.id, one.change if one.kind == "lever" else None
    if change is None or lever not in levers:
        return one.title if isinstance(one, PackageMove) else title_of(one)
    start, finish = (one.start, one.finish) if ends else (None, None)
    return move_words(levers[lever], lever, start, finish, change, system, guessed=one.guessed)


def steps_of(offer: Offer) -> list[tuple[str, int]]:
    """Give every lever an offer moves, and by how many legal steps; nothing for a habit."""
    if isinstance(offer, Package):
        return [(move.lever, move.steps) for move in offer.moves]
    return [(offer.id, offer.steps)] if offer.kind == "lever" and offer.steps else []


def moves_in_order(package: Package) -> list[PackageMove]:
    """Give the moves in the order they are made in."""
    by_lever = {move.lever: move for move in package.moves}
    return [by_lever[lever] for lever in package.order if lever in by_lever] or list(package.moves)


def effort_words(remedy: Remedy) -> str:
    """Say when it can be done."""
    return EFFORT.get(remedy.kind, remedy.when)


def worst_costs(offer: Offer, system: System, most: int) -> tuple[tuple[str, ...], int]:
    """Say what an offer makes worse, the worst first; and how many smaller costs are left out.

    None at all for what is not computed: there nobody knows.
    """
    texts = tuple(say_cost(cost, system) for cost in offer.costs)
    if not texts:
        by_the_book = isinstance(offer, Remedy) and offer.basis != "computed"
        return () if by_the_book else (NOT_FELT,), 0
    return texts[:most], max(0, len(texts) - most)


def costs_words(offer: Offer, system: System, most: int = MOST_COSTS, rest: str = SEE_WHY) -> str:
    """Say what an offer makes worse in one sentence. rest: said behind the number of those left out."""
    costs, left = worst_costs(offer, system, most)
    more = f"; {left} smaller{rest}" if left else ""
    return f"Costs: {'; '.join(costs)}{more}." if costs else ""


def sure_words(remedy: Remedy, differs: str) -> list[str]:
    """Say how sure a remedy is, where its size comes from, what the trade says against it, and what limits it.

    differs: said where the trade differs from what is computed.
    """
    if remedy.kind == "cannot-tell":
        return []
    said = [] if remedy.confidence is None else [_confidence_words(remedy.confidence, remedy.cures)]
    said += [BY_THE_BOOK] if remedy.basis == "by the book" and remedy.removes is not None else []
    said += [differs] if remedy.verdict == "differs" else []
    return said + ([limit_words(remedy.limited_by)] if remedy.limited_by else [])


def _confidence_words(direction: float, cures: float | None) -> str:
    """Say how sure a direction is, in plausible cars where they were asked; a size is of one car and never sure."""
    if cures is None:
        return direction_words(direction, chance_word(direction))
    return f"goes the right way in {cars_words(direction)}; the size is not sure"


def how_sure(remedy: Remedy) -> str:
    """Say how likely a remedy is to be what cures, all causes weighed, then how sure its direction is."""
    if remedy.kind == "cannot-tell":
        return ""
    chance = "" if remedy.worth.looks else f"chance that it cures: {say_number(remedy.worth.sure)}"
    said = [chance, *sure_words(remedy, "the trade differs; see why")] if chance else sure_words(remedy, "")
    return " ".join(sentence(text) for text in said if text)


def _package_lines(
    number: int, package: Package, levers: Mapping[str, LeverWords], system: System, costs: str
) -> list[Block]:
    lead = str(number)
    indent = len(lead) + 2
    blocks: list[Block] = [Line(f"Together, {cure_words(package.removes)}:", "act", lead=lead)]
    told = (sentence(each_words(package.each)), at_once_words(package))
    blocks += [Line(text, indent=indent) for text in told if text]
    for place, move in enumerate(moves_in_order(package)):
        said = f"{order_words(move, levers, system)} ({alone_words(move)})"
        blocks.append(Line(sentence(said), indent=indent, lead="abc"[place]))
    blocks.append(Line(f"{costs} In this order, with a run between if there is time.", indent=indent))
    return blocks


def _causes(causes: tuple[CauseFound, ...], treated: str = "") -> list[Block]:
    if not causes:
        return []
    first, *rest = cause_words(causes, treated)
    return [Line(first, mark="heading" if stands_out(causes[0].chance) else ""), *map(Line, rest)]


def cause_words(causes: Sequence[CauseFound], treated: str, signs: int = 1) -> list[str]:
    """Say the likeliest cause with its chance, what to treat first, and so many signs for and against it."""
    lead = causes[0]
    if not stands_out(lead.chance):
        return [no_cause_words(lead.title, lead.chance, treated)]
    said = [f"{capital(lead.title)}: {chance_words(lead.chance, lead.word)}."]
    said += [f"Treat that first: {lead.instead.rstrip('.')}."] if lead.instead else []
    for side, found in (("For it", lead.signs_for), ("Against it", lead.signs_against)):
        texts = "; ".join(say_sign(sign).rstrip(".") for sign in found[:signs])
        said += [f"{side}: {sentence(texts)}"] if texts else []
    return said
