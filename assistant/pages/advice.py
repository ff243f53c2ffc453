"""The advice on screen: the answer first, then the reason, the cost, and how sure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile
from typing import TYPE_CHECKING

from assistant.advice.results import (
    COMPUTES_EVEN,
    COMPUTES_SMALL,
    FROM_PACK,
    HALF_BACK,
    OWN,
    TRADE_ALONE,
    WAY_BACK,
    Advice,
    PackageMove,
    Remedy,
)
from assistant.car.moves import setup_faults
from assistant.ground.names import say_chance, say_number, stands_out
from assistant.ground.understood import CauseFound, StopReason
from assistant.ground.units import System
from assistant.pages.advice_words import (
    each_words,
    say_cost,
    say_not_back,
    say_note,
    say_reason,
    title_of,
    treats_words,
)
from assistant.pages.amounts import (
    THE_COMPLAINT,
    Levers,
    alone_words,
    capital,
    cars_words,
    cure_words,
    guess_words,
    move_words,
    no_cause_words,
    not_legal_words,
    opposite_words,
    say_tires,
    sentence,
)
from assistant.pages.balance import doubt_blocks
from assistant.pages.blocks import BLANK, Block, Line, lines
from assistant.pages.chassis_facts import CarNow, say_turns
from assistant.pages.hearing_words import BESIDE, say_sign, say_stop

if TYPE_CHECKING:
    from assistant.belief.model import Model

FIRST_SHOWN = 3
"""Offers on the first screen, so that number 1 is still on a screen of 24 rows; `more` shows the next ones."""
LEAST_SURE = 0.01
"""Chance below which an offer behind number 1 waits for `more`."""
MOST_COSTS = 2
"""Costs on the first screen, the worst first; `why` lists all."""
MOST_CAUTIONS = 2
"""Cautions of an offer in a list, the gravest first; `why` and `make` show all."""

TELLS_APART = 0.12
"""Share of the complaint from which "at once" and "by the end of the next run" are told apart."""
PUT_BACK, ROUNDS_BACK = "put it back: {}", "{} of wedge {}"
MADE_BACK = {WAY_BACK: "put back what was made, {}", HALF_BACK: "half of what was made back, {}", OWN: "{}"}
"""How a way back is said, of a change that was told; of what was made in the talk and of one's own, by its id."""
CAME_WITH_IT = "it came with this, though computed it does little"
CAME_PAST_IT = "it came with this, though computed it goes past the mark"
GOES_WITH_IT = "what came with it goes with it; computed alone it {}"
FELT_WITH_IT = "it got worse with this, though computed it should not have"
"""Said of the way back from a change that is computed too small or too large for the complaint, or to help it."""
MADE_IT, BESIDE_IT = "made it", frozenset({"told", "no sign"})
"""Kinds of sign: what was computed of a change that was told, first; those against that are left to `why`."""
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
LIMITED = {
    "largest_change": "more is not sensible in one go",
    "min": "that is the lowest allowed",
    "max": "that is the highest allowed",
}
"""What keeps a change from being larger."""
IN_DOUBT = 0.85
"""Chance that a change goes the right way from which on the list does not speak of it."""
CHANCE, NOTHING_NEEDED = "chance it cures", "chance that nothing needs doing"
WEIGHED = ", every cause weighed"
JACKED, TURNS = "cross_weight", "LR jack bolt {}."
"""The lever that a bolt makes, and how far it is turned."""
NOT_FELT = "nothing that can be felt"
BY_THE_BOOK = "by the book, not computed; its size is an assumption"
NOTHING_HELPS = "No lever, no habit and no package I know of takes this away on this car."
SAID_BESIDE = frozenset({COMPUTES_SMALL, COMPUTES_EVEN, TRADE_ALONE})
"""Kinds of note that stand in place of costs."""
ALONE = "One change alone does not do it without spoiling another part of the corner."
LOOK_FIRST = "A look stands first: it takes minutes, and may spare a wrong change."
LESS_LIKELY = 0.02
"""Chance by which another cause is likelier, so that somebody would ask why."""
TRADE_DIFFERS, SEE_WHY = "the trade differs; see why", ", see why"
"""Where more of it can be read, in the conversation."""


def offers_of(advice: Advice) -> tuple[Remedy, ...]:
    """Return what can be tried, in the order of its numbers; nothing on a car that must be looked at first."""
    if advice.stop:
        return ()
    return tuple(sorted(advice.offers, key=lambda offer: offer.rank))


def first_offers(offers: Sequence[Remedy]) -> tuple[Remedy, ...]:
    """Return those of the first screen: three at most, and none behind number 1 that cures less than once in 100."""
    first = tuple(offers[:FIRST_SHOWN])
    return first[:1] + tuple(takewhile(is_worth_a_row, first[1:]))


def is_worth_a_row(offer: Remedy) -> bool:
    """Whether it tells something or cures at least once in 100."""
    return offer.worth is None or offer.worth.looks or offer.worth.sure >= LEAST_SURE


def stop_screen(stop: StopReason) -> list[Block]:
    """Nothing is adjusted on a car that may be broken."""
    return [Line(say_stop(stop), mark="caution")]


def advice_screen(
    advice: Advice,
    levers: Levers,
    system: System,
    *,
    first: int = 0,
    count: int | None = None,
    whole: int | None = None,
    most: int = MOST_COSTS,
    rest: str = SEE_WHY,
    model: Model | None = None,
) -> list[Block]:
    """Show causes and the offers numbered first+1 to first+count; each caution once, short, where it is first needed.

    count: those of the first screen where it is left out.

    The two gravest of each offer, those of offers in two lines together at the end; all of them stand in full in `why`
    and where a change is made. whole: so many offers are shown whole, the others in two lines each; all when left out.
    most: costs of an offer told whole. rest: what is said behind the number of those left out. model: the car as
    computed, for turns of the wrench.
    """
    if advice.stop:
        return stop_screen(advice.stop)
    offers = offers_of(advice)
    blocks = [] if first else _before_offers(advice, system)
    if not offers:
        return [*blocks, Line(NOTHING_HELPS)]
    count = len(first_offers(offers)) if count is None else count
    said, heed = set[str](), list[str]()
    end = first + count if whole is None else first + min(whole, count)
    for number, offer in enumerate(offers[first : first + count], first + 1):
        fresh = [text for text in offer.cautions[:MOST_CAUTIONS] if text not in said]
        said.update(fresh)
        how, is_whole = how_words(offer, model), number <= end
        told = offer_lines(number, offer, levers, system, how, most, rest)
        blocks += (
            [BLANK, *told] if is_whole else brief_lines(number, offer, levers, system, how, _for_what(number, advice))
        )
        heeded = " ".join(map(short_caution, fresh))
        blocks += lines([heeded] if is_whole else [], "caution", len(str(number)) + 2)
        heed += [f"{number}: {heeded}"] if heeded and not is_whole else []
    return [*blocks, *lines([" ".join(heed)], "caution")]


def _before_offers(advice: Advice, system: System) -> list[Block]:
    """Say what is not legal, the causes, what was guessed, and why the numbers are less sure than they look."""
    cause, *signs = cause_words(advice.causes, advice.treated) or [""]
    stands = bool(cause) and stands_out(advice.causes[0].chance)
    return [
        *lines(illegal_words(advice, system), "caution"),
        *lines([cause], "heading" if stands else ""),
        *lines(signs),
        *lines([opposite_words(*advice.torn)] if advice.torn else []),
        *lines(say_not_back(advice)),
        *lines((*guess_words(advice.guesses), *(BESIDE[note] for note in advice.notes))),
        *lines(why_a_look_first(advice)),
        *(doubt_blocks(advice.picture) if offers_of(advice) else []),
    ]


def why_a_look_first(advice: Advice) -> list[str]:
    """Say why the list begins with a look for what is not the likeliest; nothing where it does not."""
    likeliest, first = advice.causes[:1], offers_of(advice)[:1]
    named = [one.chance for offer in first if offer.worth.looks for one in offer.worth.treats]
    return [LOOK_FIRST] if named and likeliest and max(named) < likeliest[0].chance - LESS_LIKELY else []


def illegal_words(advice: Advice, system: System) -> list[str]:
    """Say what of the setup that an advice is given for is outside the rules."""
    return [] if advice.case is None else not_legal_words(setup_faults(advice.case, system))


def short_caution(text: str) -> str:
    """Give the first half of a caution, up to its first semicolon or stop."""
    return sentence(re.split(r"[;.](?= |$)", text, maxsplit=1)[0])


def offer_lines(
    number: int, offer: Remedy, levers: Levers, system: System, how: str, most: int = MOST_COSTS, rest: str = SEE_WHY
) -> list[Block]:
    """One numbered offer: what to do, why, what it costs, how sure. how: when, and by how many turns."""
    costs = price_words(offer, system, most, rest)
    told = [sentence(each_words(offer.each)), at_once_words(offer)]
    indent = len(str(number)) + 2
    if offer.kind == "package":
        last = f"{costs} In this order, with a run between if there is time. {how}".strip()
        return [
            *_numbered(number, f"Together, {cure_words(offer.removes)}:", told),
            *move_lines(offer, levers, system, indent),
            Line(last, indent=indent),
        ]
    order = f"{sentence(headline(offer, levers, system))} {how} {say_pack(offer)}".strip()
    sure = f"{costs} {how_sure(offer)}".strip()
    return _numbered(
        number, order, [sentence(treats_words(offer.worth, offer.notes)), *told, sentence(say_reason(offer)), sure]
    )


def move_lines(package: Remedy, levers: Levers, system: System, indent: int = 0) -> list[Line]:
    """Say each move of a package by its letter, in the order they are made in, and what it does alone."""
    said = [f"{order_words(move, levers, system)} ({alone_words(move)})" for move in moves_in_order(package)]
    return [Line(sentence(text), indent=indent, lead=letter) for letter, text in zip("abc", said, strict=False)]


def _numbered(number: int, order: str, texts: Sequence[str]) -> list[Block]:
    return [Line(order, "act", lead=str(number)), *lines(texts, indent=len(str(number)) + 2)]


def _for_what(number: int, advice: Advice) -> str:
    """Say what number 1 is for where the likeliest cause, which stands above it, is another; nothing of a look."""
    offer, likeliest = offers_of(advice)[number - 1], advice.causes[:1]
    is_other = (
        number == 1
        and likeliest
        and not offer.worth.looks
        and all(one.title != likeliest[0].title for one in offer.worth.treats)
    )
    return sentence(treats_words(offer.worth, offer.notes)) if is_other else ""


def brief_lines(
    number: int, offer: Remedy, levers: Levers, system: System, how: str, for_what: str = ""
) -> list[Block]:
    """One offer in two lines: what, how much and when; then what it harms most, its price in tires, and how sure.

    for_what: the cause it is for, where that is said.
    """
    order = " ".join(filter(None, (sentence(headline(offer, levers, system, brief=True)), how, say_pack(offer))))
    doubt = "" if offer.kind == "package" else how_sure(offer, brief=True)
    price = f"{price_words(offer, system, 1, '', brief=True)} {doubt}".strip()
    return _numbered(number, order, [for_what, sentence(each_words(offer.each)), price])


def say_pack(offer: Remedy) -> str:
    """Name the team's pack an offer comes from; nothing for the program's own."""
    return next((say_note(note, offer.worth) for note in offer.notes if note.kind == FROM_PACK), "")


def how_words(offer: Remedy, model: Model | None) -> str:
    """Say when an offer can be made, and by how many turns of the wrench where a bolt makes it."""
    when = "" if offer.kind == "package" else sentence(EFFORT.get(offer.kind, offer.when))
    change = None if offer.kind == "undo" else offer.changes.get(JACKED)
    turns = "" if change is None or model is None else TURNS.format(say_turns(CarNow(model), change))
    return f"{when} {turns}".strip()


def price_words(
    offer: Remedy, system: System, most: int = MOST_COSTS, rest: str = SEE_WHY, *, brief: bool = False
) -> str:
    """Say what an offer makes worse, then its price in tires; the same wherever an offer is told."""
    tires = say_tires(offer.run, brief=brief)
    if tires:  # what it costs in tire life is said there; only a run cut short is said besides
        offer = replace(offer, costs=tuple(cost for cost in offer.costs if cost.short or cost.kind != "tire life"))
    costs = costs_words(offer, system, most, rest)
    if not costs and offer.kind == "lever":  # for the balance alone it computes to too little, or nobody knows
        beside = (say_note(note, offer.worth) for note in offer.notes if note.kind in SAID_BESIDE)
        costs = next(beside, "Costs: not known.")
    return f"{costs} {tires}".strip()


def at_once_words(offer: Remedy) -> str:
    """Say what a change does on the tires in place, where that is not what it does by the end of the next run."""
    if offer.at_once is None or offer.removes is None or abs(offer.at_once - offer.removes) < TELLS_APART:
        return ""
    return f"On the tires in place it {cure_words(offer.at_once)}; the rest comes over the next run."


def headline(offer: Remedy, levers: Levers, system: System, *, brief: bool = False) -> str:
    """Say an offer in one line: the order, the direction, how much goes. brief: not from what to what."""
    cures = "" if offer.removes is None else say_cure(offer, "it" if brief else THE_COMPLAINT)
    is_told = offer.kind == "undo" and offer.id not in MADE_BACK
    is_small = is_told and offer.removes is not None and offer.removes < TELLS_APART
    is_against = is_told and offer.removes is None and bool(offer.moves)
    if offer.kind == "package":
        moves = "; ".join(order_words(move, levers, system, ends=not brief) for move in offer.moves)
        return f"together: {moves}: {cures}"
    small = CAME_PAST_IT if any(cost.past for cost in offer.costs) else CAME_WITH_IT
    came = small if is_small else FELT_WITH_IT if is_against else ""
    goes = GOES_WITH_IT.format(cures) if is_told and cures else cures
    tail = came or ", ".join(filter(None, (offer.direction, goes)))
    said = order_words(offer, levers, system, ends=not brief)
    return f"{said}: {tail}" if tail else said


def say_cure(offer: Remedy, whole: str = THE_COMPLAINT) -> str:
    """Say how much of the complaint an offer takes away, and that it goes past the mark where it does."""
    past = ", and goes past it in places" if any(cost.past for cost in offer.costs) else ""
    return f"{cure_words(offer.removes, whole)}{past}"


def order_words(one: Remedy | PackageMove, levers: Levers, system: System, *, ends: bool = True) -> str:
    """Say a remedy or a move of a package as the job it is. ends: say from what to what."""
    change: float | None
    if isinstance(one, PackageMove) and one.rounds:
        said = f"{one.rounds:g} {'round' if one.rounds <= 1 else 'rounds'}"
        return ROUNDS_BACK.format(said, "in" if one.change > 0 else "out")
    if isinstance(one, PackageMove):
        lever, change = one.lever, one.change
    else:
        lever, change = one.id, one.change if one.kind == "lever" else None
    if isinstance(one, Remedy) and one.kind == "undo" and one.moves:
        return MADE_BACK.get(one.id, PUT_BACK).format(
            "; ".join(order_words(move, levers, system, ends=ends) for move in one.moves)
        )
    if change is None or lever not in levers:
        return one.title if isinstance(one, PackageMove) else title_of(one)
    start, finish = (one.start, one.finish) if ends else (None, None)
    return move_words(levers[lever], start, finish, change, system, guessed=one.guessed)


def moves_in_order(package: Remedy) -> list[PackageMove]:
    """Give the moves in the order they are made in."""
    by_lever = {move.lever: move for move in package.moves}
    return [by_lever[lever] for lever in package.order if lever in by_lever] or list(package.moves)


def costs_words(offer: Remedy, system: System, most: int = MOST_COSTS, rest: str = SEE_WHY) -> str:
    """Say what an offer makes worse, the worst first; nothing of what is not computed: there nobody knows.

    rest: said behind the number of those left out.
    """
    texts = [say_cost(cost, system) for cost in offer.costs] or [NOT_FELT] * (offer.basis == "computed")
    more = f"; {len(texts) - most} smaller{rest}" if len(texts) > most else ""
    return f"Costs: {'; '.join(texts[:most])}{more}." if texts else ""


def how_sure(remedy: Remedy, *, whole: bool = False, brief: bool = False, differs: str = TRADE_DIFFERS) -> str:
    """Say how likely a remedy is to be what cures, all causes weighed, where its size comes from and what limits it.

    whole: say how sure its way is where that is not in doubt, too. brief: in fewer words, without what limits it.
    differs: said where the trade differs from what is computed.
    """
    if remedy.kind == "cannot-tell":
        return ""
    way, said = remedy.confidence, list[str]()
    if not remedy.worth.looks:
        label = NOTHING_NEEDED if remedy.kind == "leave" else CHANCE if brief else CHANCE + WEIGHED
        said.append(f"{label}: {say_number(remedy.worth.sure)}")
    if way is not None and (whole or way < IN_DOUBT):
        said.append(f"goes the right way in {cars_words(way)}; {'size' if brief else 'the size is'} not sure")
    said += [BY_THE_BOOK] if remedy.basis == "by the book" and remedy.removes is not None else []
    said += [differs] if remedy.verdict == "differs" and not remedy.worth.looks else []
    said += [LIMITED[remedy.limited_by]] if remedy.limited_by and not brief else []
    return " ".join(map(sentence, said))


def cause_words(causes: Sequence[CauseFound], treated: str, signs: int = 1) -> list[str]:
    """Say the likeliest cause with its chance, what to treat first, and so many signs for and against it."""
    if not causes:
        return []
    lead = causes[0]
    if not stands_out(lead.chance):
        return [no_cause_words(lead.title, lead.chance, treated)]
    said = [f"{capital(lead.title)}: {say_chance(lead.chance)}."]
    said += [f"Treat that first: {lead.instead.rstrip('.')}."] if lead.instead else []
    speaking = [sign for sign in lead.signs_for if sign.kind != "not against"]
    against = [sign for sign in lead.signs_against if sign.kind not in BESIDE_IT]
    for side, found in (("For it", speaking), ("Against it", against)):
        telling = sorted(found, key=lambda sign: (sign.kind != MADE_IT, sign.kind == "answer"))
        texts = "; ".join(say_sign(sign).rstrip(".") for sign in telling[:signs])
        said += [f"{side}: {sentence(texts)}"] if texts else []
    return said
