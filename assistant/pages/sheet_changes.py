"""Each offer of the advice as one entry of the ordered list of changes: the order, the reason, the price, how sure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from assistant.advice.prices import LEAST_PACE
from assistant.advice.results import Cost, Package, PackageMove, Remedy
from assistant.ground.units import System
from assistant.ground.words import count_of
from assistant.pages.amounts import (
    alone_words,
    cure_words,
    direction_words,
    each_words,
    move_words,
    sentence,
    trade_words,
)
from assistant.pages.sheet_view import Change, Part
from assistant.rules.models_lever import Lever

Offer = Remedy | Package
Levers = Mapping[str, Lever]
MOST_COSTS = 3
"""Costs that are written out; how many smaller ones there are is said."""
LEAST_GAIN = 1.0
"""Laps of tire life worth a word."""
LIMITS = {
    "largest_change": "more is not sensible in one go",
    "min": "that is the lowest allowed",
    "max": "that is the highest allowed",
}
FREE = "free, no wrench, from the next lap on"
LOOK = "a look, no change"


def list_changes(offers: Sequence[Offer], levers: Levers, system: System) -> tuple[Change, ...]:
    """Turn the offers, in their order, into numbered changes; each caution stands once, where it is first needed."""
    made = [change_of(number, offer, levers, system) for number, offer in enumerate(offers, 1)]
    first: dict[str, int] = {}
    found: list[Change] = []
    for change in made:
        for text in change.cautions:
            first.setdefault(text, change.number)
        before = sorted({first[text] for text in change.cautions} - {change.number})
        own = tuple(text for text in change.cautions if first[text] == change.number)
        found.append(replace(change, cautions=own, cautions_before=tuple(before)))
    return tuple(found)


def change_of(number: int, offer: Offer, levers: Levers, system: System) -> Change:
    """Describe one offer."""
    if isinstance(offer, Package):
        return _package(number, offer, levers, system)
    return _remedy(number, offer, levers, system)


def order_of(remedy: Remedy, levers: Levers, system: System) -> str:
    """Say a remedy as the job it is, with sizes as the trade says them."""
    if remedy.kind != "lever" or remedy.change is None or remedy.id not in levers:
        return sentence(remedy.title)
    words, start, finish = levers[remedy.id], remedy.start, remedy.finish
    return sentence(move_words(words, remedy.id, start, finish, remedy.change, system, guessed=remedy.guessed))


def _share(offer: Offer) -> str:
    """Say how much of the complaint goes, and of each where there are several."""
    each = each_words(offer.each).removesuffix(".")
    return f"{cure_words(offer.removes)}. {each}" if each else cure_words(offer.removes)


def _remedy(number: int, remedy: Remedy, levers: Levers, system: System) -> Change:
    costs, smaller = _costs(remedy.costs)
    nothing = ("nothing that can be felt",) if remedy.basis == "computed" and remedy.effect is not None else ()
    return Change(
        number=number,
        kind=remedy.kind,
        id=remedy.id,
        order=order_of(remedy, levers, system),
        direction=remedy.direction or "",
        removes=remedy.removes,
        share="" if remedy.kind == "inspect" else _share(remedy),
        when={"driving": FREE, "inspect": LOOK}.get(remedy.kind, remedy.when),
        reason=sentence(remedy.reason),
        sure="" if remedy.kind == "inspect" else _sure(remedy),
        costs=costs or nothing,
        smaller_costs=smaller,
        gains=_gains(remedy),
        cautions=remedy.cautions,
        recheck=remedy.check_again,
        watch_for=tuple(text.rstrip(".") for text in remedy.watch_for),
        undo_if="" if remedy.kind == "inspect" else _after_if(remedy.undo_if),
    )


def _package(number: int, package: Package, levers: Levers, system: System) -> Change:
    by_lever = {move.lever: move for move in package.moves}
    order = [by_lever[lever] for lever in package.order if lever in by_lever] or list(package.moves)
    costs, smaller = _costs(package.costs)
    known = [levers[move.lever] for move in order if move.lever in levers]
    checks = dict.fromkeys([*(text for lever in known for text in lever.recheck), *package.check_again])
    times = dict.fromkeys(lever.when for lever in known)
    return Change(
        number=number,
        kind="package",
        id=" ".join(move.lever for move in order),
        order=f"Together, in this order, with a run between if there is time: {count_of(len(order), 'change')}.",
        direction="",
        removes=package.removes,
        share=sentence(_share(package))[:-1],
        when=", ".join(times),
        reason="One change alone does not do it without spoiling something else.",
        sure="each of them as its lever is; together they are harder to judge than one",
        parts=tuple(_part(move, levers, system) for move in order),
        costs=costs or ("nothing that can be felt",),
        smaller_costs=smaller,
        cautions=tuple(dict.fromkeys(text for move in order for text in move.cautions)),
        recheck=tuple(checks),
    )


def _part(move: PackageMove, levers: Levers, system: System) -> Part:
    said = move.title
    if move.lever in levers:
        change = move.finish - move.start
        words, start, finish = levers[move.lever], move.start, move.finish
        said = move_words(words, move.lever, start, finish, change, system, guessed=move.guessed)
    return Part(sentence(said), alone_words(move))


def _costs(costs: Sequence[Cost]) -> tuple[tuple[str, ...], int]:
    """Write out the worst costs; returns them and how many smaller ones there are."""
    texts = [cost.text.rstrip(".") for cost in costs]
    return tuple(texts[:MOST_COSTS]), max(0, len(texts) - MOST_COSTS)


def _gains(remedy: Remedy) -> tuple[str, ...]:
    """Say what it gives besides: tire life and pace, where a number is known."""
    life = remedy.tire_life_laps or {}
    said = [
        f"{count_of(round(change), 'lap')} more of {corner} tire"
        for corner, (_, change) in sorted(life.items(), key=lambda item: -item[1][1])
        if change >= LEAST_GAIN
    ]
    average = (remedy.pace_s or {}).get("average", 0.0)
    return (*said, *([f"{-average:.2f} s a lap quicker over the run"] if average <= -LEAST_PACE else []))


def _sure(remedy: Remedy) -> str:
    said = [] if remedy.confidence is None else [direction_words(remedy.confidence, remedy.word)]
    if remedy.basis == "by the book":
        said.append("by the book, not computed; its size is an assumption")
    if remedy.verdict == "differs":
        said.append(
            f"what is computed differs from the trade, which says: {trade_words(remedy.trade, remedy.verdicts)}"
        )
    if remedy.limited_by in LIMITS:
        said.append(LIMITS[remedy.limited_by])
    return "; ".join(said) or "not known"


def _after_if(text: str) -> str:
    """Fit a sentence behind "undo it if": its first letter small, unless it is a name such as RR."""
    plain = text.strip().rstrip(".")
    return plain if plain[1:2].isupper() else plain[:1].lower() + plain[1:]
