"""The setup on paper: corner by corner of the car, each value with what is to be said of it, and two setups compared.

Two setups side by side: what differs, and what going over to the other value does on this car, one by one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from assistant.advice.results import Package, Remedy
from assistant.belief.whole_run import Forecast, whole_laps
from assistant.car.car import CORNERS
from assistant.car.case import Case
from assistant.car.lever_rows import BOTH_ENDS, NOT_COMPUTED
from assistant.car.moves import differences, with_value
from assistant.car.setup import Rulebook, Setup, places_of
from assistant.ground.grid import Grid
from assistant.ground.units import System
from assistant.ground.words import PHASE_WORDS, STAGE_WORDS, count_of
from assistant.pages.advice import Offer
from assistant.pages.amounts import NOTHING, change_words, lever_value
from assistant.pages.setup_by_corner import word_of
from assistant.pages.sheet_changes import Levers
from assistant.pages.sheet_run import Outlook, balance_on_paper
from assistant.pages.sheet_view import Comparison, Difference, Group, Value
from assistant.pages.try_change import pace_words
from assistant.rules.models_lever import Lever


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
    change = after - before
    cells = [(value, phase, stage) for phase, row in change.items() for stage, value in row.items()]
    worst = sorted(cells, key=lambda cell: -abs(cell[0]))[:most]
    said = [
        f"{change_words(change)} {PHASE_WORDS[phase]} {STAGE_WORDS[stage]}"
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
    if lever not in BOTH_ENDS:
        return [(lever, finish)]
    return [(end, setup.values[end] + finish - start) for end in BOTH_ENDS[lever] if end in setup.values]


def _note(lever: str, setup: Setup, moved: Sequence[tuple[int, float]], rulebook: Rulebook, system: System) -> str:
    said = [f"number {number} makes it {lever_value(lever, value, system, setup=setup)}" for number, value in moved]
    if lever in setup.guessed:
        said.append("guessed")
    if lever not in rulebook.limits:
        said.append("fixed by the rules")
    return ", ".join(said)


LEAST_LAPS = 1.0


@dataclass(frozen=True)
class Other:
    """The setup compared with. about: what must be said of it, such as that it is another car's."""

    name: str
    setup: Setup
    about: tuple[str, ...] = field(default_factory=tuple)


def setups_to_drive(case: Case, other: Other) -> tuple[Setup, ...]:
    """List this setup with each differing value of the other one alone, then with all of them."""
    found = differences(case.setup, other.setup)
    alone = [with_value(case.setup, lever, there) for lever, (_, there) in found.items()]
    whole = case.setup
    for lever, (_, there) in found.items():
        whole = with_value(whole, lever, there)
    return (*alone, whole) if alone else ()


def compare(case: Case, other: Other, outlook: Outlook, levers: Levers, system: System) -> Comparison:
    """Say what differs and what each difference does; `outlook` has the runs of `setups_to_drive`."""
    found, now = differences(case.setup, other.setup), outlook.ahead.forecast
    rows = tuple(
        _difference(lever, pair, now, run, levers, system)
        for (lever, pair), run in zip(found.items(), outlook.others, strict=False)
    )
    if not rows:
        return Comparison(case.setup.name, other.name, (), ("The two setups are the same.",), other.about, None)
    whole = outlook.others[-1]
    together = [
        f"All of it together: {say_change(now.balance, whole.balance, most=3) or 'no change of balance'}.",
        f"Tires: {_tires(now, whole) or 'no change of a lap or more'}.",
        f"Lap times: {pace_words(now, whole)}.",
    ]
    table = balance_on_paper(
        now.balance, whole.balance, f"Balance in percent of grip: {case.setup.name}, then {other.name}"
    )
    return Comparison(case.setup.name, other.name, rows, tuple(together), other.about, table)


def _difference(
    lever: str, pair: Sequence[float], now: Forecast, run: Forecast, levers: Levers, system: System
) -> Difference:
    here, there = (lever_value(lever, value, system) for value in pair)
    return Difference(name_of(lever, levers), here, there, _does(lever, now, run))


def _does(lever: str, now: Forecast, run: Forecast) -> str:
    if lever in NOT_COMPUTED:
        return "felt in the wheel; not computed"
    parts = [say_change(now.balance, run.balance), _tires(now, run), _fuel(now, run)]
    return "; ".join(part for part in parts if part) or "nothing that can be felt"


def _tires(now: Forecast, run: Forecast, most: int = 2) -> str:
    """Say the largest changes of tire life."""
    changes: Mapping[str, float] = {corner: run.tire_laps[corner] - now.tire_laps[corner] for corner in CORNERS}
    order = sorted(changes, key=lambda corner: -abs(changes[corner]))[:most]
    said = [
        f"{corner} tire {count_of(round(abs(changes[corner])), 'lap')} {'longer' if changes[corner] > 0 else 'shorter'}"
        for corner in order
        if abs(changes[corner]) >= LEAST_LAPS
    ]
    return ", ".join(said)


def _fuel(now: Forecast, run: Forecast) -> str:
    change = whole_laps(run.fuel_laps) - whole_laps(now.fuel_laps)
    return f"fuel for {count_of(abs(change), 'lap')} {'more' if change > 0 else 'less'}" if change else ""
