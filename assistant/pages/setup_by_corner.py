"""The setup in the order a person walks round the car: on a screen, and on paper with what the changes make of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from assistant.advice.results import Package, Remedy
from assistant.car.lever_rows import BOTH_ENDS, ROW_OF
from assistant.car.setup import Rulebook, Setup, places_of
from assistant.ground.units import System
from assistant.pages.advice import Offer
from assistant.pages.amounts import LeverWords, capital, lever_value
from assistant.pages.blocks import Block, Line
from assistant.pages.sheet_document import Group, Value

FIXED, NOT_HERE = "fixed by the rules", "not here, or not to be touched"


def setup_screen(setup: Setup, levers: Mapping[str, LeverWords], rulebook: Rulebook, system: System) -> list[Block]:
    """Show one paragraph for each place; what was only guessed, or is fixed by the rules, is said."""
    blocks: list[Block] = [Line(f"Setup {setup.name}.")]
    for place, ids in places_of(setup).items():
        if not ids:
            continue
        all_guessed = len(ids) > 1 and setup.guessed.issuperset(ids)
        said = [_value(lever, setup, system, mark=not all_guessed) for lever in ids]
        blocks.append(Line("; ".join([*said, "all guessed"] if all_guessed else said) + ".", lead=f"{place}:"))
    out = [lever for lever in setup.values if rulebook.out(lever) is not None]
    fixed = [lever for lever in setup.values if lever not in rulebook.limits and lever not in out]
    for says, levers_so in ((FIXED, fixed), (NOT_HERE, out)):
        titles = ", ".join(_title(lever, levers) for lever in levers_so)
        blocks += [Line(f"{capital(says)}: {titles}.")] if titles else []
    return blocks


def word_of(lever: str, setup: Setup) -> str:
    """Name a lever at its place on the car."""
    return setup.own[lever].name if lever in setup.own else ROW_OF[lever].word


def _value(lever: str, setup: Setup, system: System, *, mark: bool) -> str:
    text = f"{word_of(lever, setup)} {lever_value(lever, setup.values[lever], system, setup=setup)}"
    return f"{text} guessed" if mark and lever in setup.guessed else text


def _title(lever: str, levers: Mapping[str, LeverWords]) -> str:
    return levers[lever].title if lever in levers else lever


def list_setup(setup: Setup, offers: Sequence[Offer], rulebook: Rulebook, system: System) -> tuple[Group, ...]:
    """List every value by corner of the car, saying which change moves it and where to."""
    moved = moves_of(offers, setup)
    groups = []
    for place, ids in places_of(setup).items():
        values = [
            Value(
                word_of(lever, setup),
                lever_value(lever, setup.values[lever], system, setup=setup),
                _note(lever, setup, moved.get(lever, ()), rulebook, system),
            )
            for lever in ids
        ]
        if values:
            groups.append(Group(place, tuple(values)))
    return tuple(groups)


def moves_of(offers: Sequence[Offer], setup: Setup) -> dict[str, tuple[tuple[int, float], ...]]:
    """Find, for each lever, the numbers of the changes that move it and the value [SI] it goes to."""
    found: dict[str, tuple[tuple[int, float], ...]] = {}
    for number, offer in enumerate(offers, 1):
        for lever, start, finish in _moves(offer):
            for one, value in _ends(lever, start, finish, setup):
                found[one] = (*found.get(one, ()), (number, value))
    return found


def _moves(offer: Offer) -> list[tuple[str, float, float]]:
    if isinstance(offer, Package):
        return [(move.lever, move.start, move.finish) for move in offer.moves]
    if isinstance(offer, Remedy) and offer.kind == "lever" and offer.start is not None and offer.finish is not None:
        return [(offer.id, offer.start, offer.finish)]
    return []


def _ends(lever: str, start: float, finish: float, setup: Setup) -> list[tuple[str, float]]:
    """Both ends of the track bar go the way the pair goes."""
    if lever not in BOTH_ENDS:
        return [(lever, finish)]
    return [(end, setup.values[end] + finish - start) for end in BOTH_ENDS[lever] if end in setup.values]


def _note(lever: str, setup: Setup, moved: Sequence[tuple[int, float]], rulebook: Rulebook, system: System) -> str:
    said = [f"number {number} makes it {lever_value(lever, value, system, setup=setup)}" for number, value in moved]
    if lever in setup.guessed:
        said.append("guessed")
    if lever not in rulebook.limits or rulebook.out(lever) is not None:
        said.append(FIXED if rulebook.out(lever) is None else NOT_HERE)
    return ", ".join(said)
