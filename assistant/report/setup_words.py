"""The setup on paper: the groups of the paddock, each value with what is to be said of it, and two setups compared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from assistant.advice.amounts import NOTHING, change_words, lever_value
from assistant.advice.results import Package, Remedy
from assistant.advice.run.run_words import WHEN, WHERE
from assistant.car.car import CORNERS
from assistant.car.case import PHASES, STAGES
from assistant.car.own_levers import groups_of
from assistant.car.setup import Rulebook, Setup
from assistant.report.changes import Levers, Offer
from assistant.report.view import Group, Value
from assistant.rules.models_lever import Lever
from assistant.units import System

Grid = Mapping[str, Mapping[str, float]]
_BOTH_ENDS = ("track_bar_left", "track_bar_right")


def list_setup(
    setup: Setup, offers: Sequence[Offer], levers: Levers, rulebook: Rulebook, system: System
) -> tuple[Group, ...]:
    """List every value in the order of the work, saying which change moves it and where to."""
    moved = moves_of(offers, setup)
    groups = []
    for title, ids in groups_of(setup).items():
        values = [
            Value(
                name_of(lever, levers),
                lever_value(lever, setup.values[lever], system, setup=setup),
                _note(lever, setup, moved.get(lever, ()), rulebook, system),
            )
            for lever in ids
            if lever in setup.values
        ]
        if values:
            groups.append(Group(title, tuple(values)))
    return tuple(groups)


def name_of(lever: str, levers: Levers) -> str:
    """Name a lever as the screens do; springs, pressures and clicks by their corner."""
    family, _, corner = lever.rpartition("_")
    if corner.upper() in CORNERS and family in ("spring", "pressure", "bump", "rebound"):
        return f"{corner.upper()} {family}"
    known: Lever | None = levers.get(lever)
    return known.title if known is not None else lever.replace("_", " ")


def moves_of(offers: Sequence[Offer], setup: Setup) -> dict[str, tuple[tuple[int, float], ...]]:
    """Find, for each lever, the numbers of the changes that move it and the value [SI] it goes to."""
    found: dict[str, tuple[tuple[int, float], ...]] = {}
    for number, offer in enumerate(offers, 1):
        for lever, start, finish in _moves(offer):
            for one, value in _ends(lever, start, finish, setup):
                found[one] = (*found.get(one, ()), (number, value))
    return found


def say_change(before: Grid, after: Grid, most: int = 2) -> str:
    """Say the largest changes of balance in words: "0.42 looser coming off late in the run"; "" when there is none."""
    cells = [(after[phase][stage] - before[phase][stage], phase, stage) for phase in PHASES for stage in STAGES]
    worst = sorted(cells, key=lambda cell: -abs(cell[0]))[:most]
    said = [
        f"{change_words(change)} {WHERE[phase]} {WHEN[stage]}"
        for change, phase, stage in worst
        if abs(change) >= NOTHING
    ]
    return ", ".join(said)


def _moves(offer: Offer) -> list[tuple[str, float, float]]:
    if isinstance(offer, Package):
        return [(move.lever, move.start, move.finish) for move in offer.moves]
    if isinstance(offer, Remedy) and offer.kind == "lever" and offer.start is not None and offer.finish is not None:
        return [(offer.id, offer.start, offer.finish)]
    return []


def _ends(lever: str, start: float, finish: float, setup: Setup) -> list[tuple[str, float]]:
    """Both ends of the track bar go the way the pair goes."""
    if lever != "track_bar":
        return [(lever, finish)]
    return [(end, setup.values[end] + finish - start) for end in _BOTH_ENDS if end in setup.values]


def _note(lever: str, setup: Setup, moved: Sequence[tuple[int, float]], rulebook: Rulebook, system: System) -> str:
    said = [f"number {number} makes it {lever_value(lever, value, system, setup=setup)}" for number, value in moved]
    if lever in setup.guessed:
        said.append("guessed")
    if lever not in rulebook.limits:
        said.append("fixed by the rules")
    return ", ".join(said)
