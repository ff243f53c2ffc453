"""A run log lap by lap, and what no single cell of it shows: laps out of order, rubber that grows, odd gauges."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from assistant.car.case import Case
from assistant.ground.names import CORNERS
from assistant.ground.problems import Problem, problem_at
from assistant.ground.units import from_unit, show

FEWEST_LAPS = 3
"""A shorter run has no trend."""
DEPTH_SLACK = 0.3e-3
"""Two readings of one tread with one gauge differ by this much [m]; from memory."""
FUEL_SLACK = from_unit(0.3, "gal")
"""What sloshes between two readings of one tank [m3]; assumption."""
COOLER_THAN_AIR = 5.0
"""No tread comes in this much [K] under the air's temperature."""
ONE_ATMOSPHERE = from_unit(14.0, "psi")
"""Tires build 2 to 15 psi (page on oval pressures, and one on damp air); an absolute gauge shows 14.7 psi more."""
LOST_AIR = from_unit(3.0, "psi")
"""A tire this much under its cold pressure [Pa] after a run has lost air."""
SLOWEST, FASTEST = from_unit(15.0, "mph"), from_unit(240.0, "mph")


@dataclass(frozen=True)
class LogRow:
    """The state when lap `lap` was done (0: before the run), and what was done to the car after it. SI units.

    temperatures: corner to strip (inside, middle, outside) to tread temperature [K]. hot_pressure: gauge [Pa].
    wear: tread used since the tire was new to the run [m]; depth: tread left [m]. fuel_left, fuel_used [m3].
    new_tires: corners, refueled and slow_laps: a stop after this lap. line: in the file.
    """

    line: int
    lap: int
    lap_time: float | None = None
    temperatures: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    hot_pressure: Mapping[str, float] = field(default_factory=dict)
    wear: Mapping[str, float] = field(default_factory=dict)
    depth: Mapping[str, float] = field(default_factory=dict)
    fuel_left: float | None = None
    fuel_used: float | None = None
    new_tires: frozenset[str] = frozenset()
    refueled: bool = False
    slow_laps: int = 0


@dataclass(frozen=True)
class RunLog:
    """One run. text: the lines of the file, for messages that point at one."""

    name: str
    file: str
    rows: tuple[LogRow, ...]
    text: tuple[str, ...] = ()

    @property
    def laps(self) -> int:
        """Laps of the run."""
        return self.rows[-1].lap

    def problem(self, line: int, says: str, hint: str = "", column: int = 1) -> Problem:
        """Make the problem of a line."""
        return problem_at(self.file, self.text, line, column, says, hint)


def check_rows(log: RunLog) -> Iterator[Problem]:
    """Find what is wrong in the log by itself."""
    if not log.rows:
        yield log.problem(1, "the run log has no laps", "one line per lap below the line of columns")
        return
    before: LogRow | None = None
    for row in log.rows:
        if before is not None and row.lap <= before.lap:
            says = f"lap {row.lap} comes after lap {before.lap}; laps rise from line to line"
            yield log.problem(row.line, says, "one log holds one run")
        before = row
    yield from _check_wear(log)
    yield from _check_fuel(log)
    if log.laps < FEWEST_LAPS:
        says = f"{_count(log.laps)} no run: at least {FEWEST_LAPS} laps show where it goes"
        yield log.problem(log.rows[-1].line, says, "log the whole run")


def check_against_case(log: RunLog, case: Case) -> Iterator[Problem]:
    """Find readings that cannot come from this car on this track."""
    yield from _check_speed(log, case)
    yield from _check_temperatures(log, case)
    yield from _check_pressures(log, case)
    yield from _check_tread(log, case)
    for row in log.rows:
        if row.fuel_left is not None and row.fuel_left > case.car.tank_volume * 1.02:
            says = (
                f"{show(row.fuel_left, 'volume')} of fuel left; the tank holds {show(case.car.tank_volume, 'volume')}"
            )
            yield log.problem(row.line, says, "tank: volume of the car file")


def _check_wear(log: RunLog) -> Iterator[Problem]:
    worn = "wear counts from the new tire; write new tires where they went on"
    deep = "write new tires in the line of the lap after which they went on"
    before: dict[tuple[str, str], float] = {}
    for row in log.rows:
        for what, grows, read, hint in (("wear", 1, row.wear, worn), ("tread", -1, row.depth, deep)):
            for corner, value in read.items():
                last = before.get((what, corner), value)
                if grows * (value - last) < -DEPTH_SLACK:
                    says = f"the {corner} had {_mm(last)} of {what} before and {_mm(value)} now, without new tires"
                    yield log.problem(row.line, says, hint)
                before[what, corner] = value
        before = {place: value for place, value in before.items() if place[1] not in row.new_tires}


def _check_fuel(log: RunLog) -> Iterator[Problem]:
    left = ", without refueling", "write yes under refueled in the line of the lap before"
    used = "", "fuel used counts from the start; or is it fuel left?"
    before: dict[str, float] = {}
    for row in log.rows:
        for what, grows, value, (more, hint) in (("left", -1, row.fuel_left, left), ("used", 1, row.fuel_used, used)):
            if value is None:
                continue
            last = before.get(what, value)
            if grows * (value - last) < -FUEL_SLACK:
                says = f"{show(value, 'volume')} of fuel {what} after {show(last, 'volume')}{more}"
                yield log.problem(row.line, says, hint)
            before[what] = value
        if row.refueled:
            before = {}


def _check_speed(log: RunLog, case: Case) -> Iterator[Problem]:
    length = case.track.lap_length
    for row in log.rows:
        if row.lap_time is not None and not SLOWEST < length / row.lap_time < FASTEST:
            says = (
                f"{show(row.lap_time, 'lap_time')} for {show(length, 'lap_length', system='trade')} "
                f"is {show(length / row.lap_time, 'speed')}"
            )
            yield log.problem(row.line, says, "is it the case of another track, or a stop? leave the cell empty")


def _check_temperatures(log: RunLog, case: Case) -> Iterator[Problem]:
    air = case.track.air_temperature
    for row in log.rows:
        for corner, strips in row.temperatures.items():
            for strip, value in strips.items():
                if row.lap > 0 and value < air - COOLER_THAN_AIR:
                    says = (
                        f"the {corner} {strip} reads {show(value, 'temperature')}, "
                        f"cooler than the air of the track ({show(air, 'temperature')})"
                    )
                    yield log.problem(row.line, says, "is it in C? the head of the column says its unit")


def _check_pressures(log: RunLog, case: Case) -> Iterator[Problem]:
    cold = {corner: case.setup.values[f"pressure_{corner.lower()}"] for corner in CORNERS}
    builds = [
        (value - cold[corner], row, corner)
        for row in log.rows
        if row.lap > 0
        for corner, value in row.hot_pressure.items()
    ]
    if builds and min(build for build, _, _ in builds) > ONE_ATMOSPHERE:
        build, row, corner = builds[0]
        says = (
            f"the {corner} reads {show(cold[corner] + build, 'pressure')}, {show(build, 'pressure')} above its cold "
            "pressure, and so do all: these are absolute pressures"
        )
        yield log.problem(row.line, says, "a tire gauge reads 0 in the open air; take off 14.7 psi (101 kPa)")
        return
    for build, row, corner in builds:
        if build < -LOST_AIR:
            says = (
                f"the {corner} reads {show(cold[corner] + build, 'pressure')} hot and was set to "
                f"{show(cold[corner], 'pressure')} cold"
            )
            yield log.problem(row.line, says, "a tire that lost air, or a case with another setup")


def _check_tread(log: RunLog, case: Case) -> Iterator[Problem]:
    """Wear beyond the cords: half as much again as the usable tread is the most."""
    for row in log.rows:
        for corner, value in row.wear.items():
            if value > 1.5 * case.tire.tread:
                says = f"the {corner} has {_mm(value)} of wear; the tire's usable tread is {_mm(case.tire.tread)}"
                yield log.problem(row.line, says, "is it tread left, or another unit?")


def _mm(value: float) -> str:
    return f"{1e3 * value:.1f} mm"


def _count(laps: int) -> str:
    return {0: "no lap is", 1: "one lap is"}.get(laps, f"{laps} laps are")
