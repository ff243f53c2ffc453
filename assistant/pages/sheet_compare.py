"""Two setups side by side: what differs, and what going over to the other value does on this car, one by one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from assistant.belief.whole_run import Forecast, whole_laps
from assistant.car.car import CORNERS
from assistant.car.case import Case
from assistant.car.lever_rows import NOT_COMPUTED
from assistant.car.moves import differences, with_value
from assistant.car.setup import Setup
from assistant.ground.grid import Grid
from assistant.ground.units import System
from assistant.ground.words import PHASE_WORDS, STAGE_WORDS, count_of
from assistant.pages.amounts import NOTHING, change_words, lever_value
from assistant.pages.sheet_records import Comparison, Difference
from assistant.pages.sheet_run import Outlook, balance_on_paper
from assistant.pages.try_change import pace_words
from assistant.rules.models_lever import Lever

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


def compare(case: Case, other: Other, outlook: Outlook, levers: Mapping[str, Lever], system: System) -> Comparison:
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
    lever: str, pair: Sequence[float], now: Forecast, run: Forecast, levers: Mapping[str, Lever], system: System
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


def name_of(lever: str, levers: Mapping[str, Lever]) -> str:
    """Name a lever as the screens do; springs, pressures and clicks by their corner."""
    family, _, corner = lever.rpartition("_")
    if corner.upper() in CORNERS and family in ("spring", "pressure", "bump", "rebound"):
        return f"{corner.upper()} {family}"
    known: Lever | None = levers.get(lever)
    return known.title if known is not None else lever.replace("_", " ")
