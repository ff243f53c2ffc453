"""Each offer of the advice as one entry of the ordered list of changes: the order, the reason, the price, how sure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from assistant.advice.prices import LEAST_PACE
from assistant.advice.results import Package, Remedy
from assistant.ground.units import System
from assistant.ground.words import count_of
from assistant.pages.advice import (
    ALONE,
    Offer,
    cautions_of,
    effort_words,
    moves_in_order,
    order_words,
    sure_words,
    worst_costs,
)
from assistant.pages.advice_words import each_words, say_reason
from assistant.pages.amounts import (
    alone_words,
    cure_words,
    sentence,
    trade_words,
)
from assistant.pages.sheet_view import Change, Part
from assistant.rules.models_lever import Lever

Levers = Mapping[str, Lever]
MOST_COSTS = 3
"""Costs that are written out; how many smaller ones there are is said."""
LEAST_GAIN = 1.0
"""Laps of tire life worth a word."""


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


def _share(offer: Offer) -> str:
    """Say how much of the complaint goes, and of each where there are several."""
    each = sentence(each_words(offer.each)).removesuffix(".")
    return f"{cure_words(offer.removes)}. {each}" if each else cure_words(offer.removes)


def _remedy(number: int, remedy: Remedy, levers: Levers, system: System) -> Change:
    costs, smaller = worst_costs(remedy, system, MOST_COSTS)
    look = remedy.kind == "inspect"
    return Change(
        number=number,
        kind=remedy.kind,
        id=remedy.id,
        order=sentence(order_words(remedy, levers, system)),
        direction=remedy.direction or "",
        removes=remedy.removes,
        share="" if look else _share(remedy),
        when=effort_words(remedy),
        reason=sentence(say_reason(remedy)),
        sure="" if look else _sure(remedy),
        costs=costs,
        smaller_costs=smaller,
        gains=_gains(remedy),
        cautions=remedy.cautions,
        recheck=remedy.check_again,
        watch_for=tuple(text.rstrip(".") for text in remedy.watch_for),
        undo_if="" if look else _after_if(remedy.undo_if),
    )


def _package(number: int, package: Package, levers: Levers, system: System) -> Change:
    order = moves_in_order(package)
    costs, smaller = worst_costs(package, system, MOST_COSTS)
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
        share=_share(package)[:1].upper() + _share(package)[1:],
        when=", ".join(times),
        reason=ALONE,
        sure="each of them as its lever is; together they are harder to judge than one",
        parts=tuple(Part(sentence(order_words(move, levers, system)), alone_words(move)) for move in order),
        costs=costs,
        smaller_costs=smaller,
        cautions=cautions_of(package),
        recheck=tuple(checks),
    )


def _gains(remedy: Remedy) -> tuple[str, ...]:
    """Say what it gives besides: tire life and pace, where a number is known."""
    life, pace = ({}, {}) if remedy.run is None else (remedy.run.tire_laps, remedy.run.pace)
    said = [
        f"{count_of(round(change), 'lap')} more of {corner} tire"
        for corner, (_, change) in sorted(life.items(), key=lambda item: -item[1][1])
        if change >= LEAST_GAIN
    ]
    average = pace.get("average", 0.0)
    return (*said, *([f"{-average:.2f} s a lap quicker over the run"] if average <= -LEAST_PACE else []))


def _sure(remedy: Remedy) -> str:
    trade = trade_words(remedy.trade, remedy.verdicts)
    said = sure_words(remedy, f"what is computed differs from the trade, which says: {trade}")
    return "; ".join(said) or "not known"


def _after_if(text: str) -> str:
    """Fit a sentence behind "undo it if": its first letter small, unless it is a name such as RR."""
    plain = text.strip().rstrip(".")
    return plain if plain[1:2].isupper() else plain[:1].lower() + plain[1:]
