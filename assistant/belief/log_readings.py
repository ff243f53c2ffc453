"""A run log as readings to be met by the model, each with how far off gauge and hand may be; and how it meets them.

Readings at a stop are those of the car as it came in. Tread left and fuel left are used as differences, so that a
depth gauge with another zero, or an unknown level of the tank, does no harm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, median

import numpy as np
from numpy.typing import NDArray

from assistant.belief.model import read_beside, read_model
from assistant.car.case import Case, Fit, put_fit
from assistant.car.run_log import LogRow, RunLog
from assistant.ground.names import CORNERS, PHASES
from assistant.ground.quantities import LOG_KINDS
from assistant.ground.units import from_unit
from assistant.physics.car_and_driver import usual_phases
from assistant.physics.driven_run import DrivenRun, drive_run
from assistant.physics.formulas import Array
from assistant.physics.heat_and_wear import Stop

TREAD_OFF, TREAD_OFF_PART = 5.0, 7.0
PRESSURE_OFF, WEAR_OFF = 2500.0, 0.2e-3
FUEL_OFF = from_unit(0.2, "gal")
LAP_OFF = 0.002
"""How far gauge and hand may be off, one standard deviation: tread with all three strips or with fewer [K], hot
pressure [Pa], wear [m], fuel [m3], lap time as a share of itself beside the driver's own scatter. Assumptions."""
SLOW_SHARE, SLOW_SCATTERS = 0.008, 4.0
"""A lap slower than its neighbors by this share, and by so many scatters of the log, was not driven freely."""
WARM_LAPS = 5
"""Laps after a start or a stop whose times are not compared: the driver brings the tires in as he likes."""
EDGE = 1e-6
"""Laps before or after a stop at which its two sides are read."""


@dataclass(frozen=True)
class Reading:
    """One measured value: of a lap (lap time), at a lap (tread [K], pressure [Pa]), or from `since` to `lap`.

    corner: "" for lap time [s] and fuel [m3]. off: one standard deviation allowed. line: in the file.
    """

    quantity: str
    corner: str
    lap: int
    since: int
    value: float
    off: float
    line: int


@dataclass(frozen=True)
class Readings:
    """All readings of a log of so many laps. left_out: laps not driven freely. stops: what was done on the way."""

    laps: int
    readings: tuple[Reading, ...]
    left_out: tuple[int, ...]
    stops: tuple[Stop, ...]

    def of(self, quantity: str) -> NDArray[np.intp]:
        """Places of the readings of a quantity."""
        return np.array([at for at, one in enumerate(self.readings) if one.quantity == quantity], dtype=np.intp)


def collect_readings(log: RunLog) -> Readings:
    """Turn the rows of a log into readings."""
    laps, left_out = _lap_times(log.rows)
    found = [*laps, *_states(log.rows), *_wear(log.rows), *_depths(log.rows), *_fuel(log.rows)]
    return Readings(log.laps, tuple(found), left_out, stops_of(log))


def stops_of(log: RunLog) -> tuple[Stop, ...]:
    """Stops of a log; what was done after its last lap does not count."""
    return tuple(
        Stop(row.lap, _four(row.new_tires), row.refueled, row.slow_laps)
        for row in log.rows
        if 0 < row.lap < log.laps and (row.new_tires or row.refueled or row.slow_laps)
    )


def predict(run: DrivenRun, readings: Sequence[Reading], tread: float, density: float) -> Array:
    """What the model gives for each reading, (cars, readings). tread: usable depth [m]; density of the fuel [kg/m3]."""
    cars = run.lap.time.shape[-1]
    answers = np.empty((cars, len(readings)))
    for car in range(cars):
        for at, one in enumerate(readings):
            answers[car, at] = _predict_one(run, car, one, tread, density)
    return answers


def _predict_one(run: DrivenRun, car: int, one: Reading, tread: float, density: float) -> float:
    def read(values: Array, lap: float) -> float:
        return float(np.interp(lap, run.laps, values))

    end, begin = one.lap - EDGE, one.since + EDGE
    if one.quantity == "lap time":
        return read(run.lap.time[:, car], one.lap - 0.5)
    if one.quantity == "fuel":
        used = run.moments.fuel_used[:, car]
        return (read(used, end) - read(used, begin)) / density
    corner = CORNERS.index(one.corner)
    if one.quantity == "tread temperature":
        return read(run.moments.tread[corner, :, car], end)
    if one.quantity == "hot pressure":
        return read(run.tires.pressure[corner, :, car], end)
    wear = run.moments.wear[corner, :, car]
    return (read(wear, end) - read(wear, begin)) * tread


def _four(corners: frozenset[str]) -> tuple[bool, bool, bool, bool]:
    lf, rf, lr, rr = (corner in corners for corner in CORNERS)
    return lf, rf, lr, rr


def _lap_times(rows: Sequence[LogRow]) -> tuple[list[Reading], tuple[int, ...]]:
    """Lap times driven freely, and the laps that were not."""
    timed = [(row, row.lap_time) for row in rows if row.lap_time is not None and row.lap > 0]
    if not timed:
        return [], ()
    times = [time for _, time in timed]
    usual = [median(times[max(at - 3, 0) : at + 4]) for at in range(len(times))]
    scatter = 1.4826 * median(abs(time - mid) for time, mid in zip(times, usual, strict=True))
    found, slow = [], []
    starts = [0, *(row.lap for row in rows if row.new_tires or row.refueled or row.slow_laps)]
    for (row, time), mid in zip(timed, usual, strict=True):
        if any(start < row.lap <= start + WARM_LAPS for start in starts):
            continue
        if time - mid > max(SLOW_SHARE * mid, SLOW_SCATTERS * scatter):
            slow.append(row.lap)
            continue
        off = float(np.hypot(scatter, LAP_OFF * time))
        found.append(Reading("lap time", "", row.lap, row.lap - 1, time, off, row.line))
    return found, tuple(slow)


def _states(rows: Sequence[LogRow]) -> Iterator[Reading]:
    """Tread temperatures and hot pressures of a car that has run."""
    for row in rows:
        if row.lap == 0:
            continue
        for corner, strips in row.temperatures.items():
            off = TREAD_OFF if len(strips) == 3 else TREAD_OFF_PART
            yield Reading("tread temperature", corner, row.lap, row.lap, fmean(strips.values()), off, row.line)
        for corner, value in row.hot_pressure.items():
            yield Reading("hot pressure", corner, row.lap, row.lap, value, PRESSURE_OFF, row.line)


def _wear(rows: Sequence[LogRow]) -> Iterator[Reading]:
    """Wear counted from the new tire."""
    new = dict.fromkeys(CORNERS, 0)
    for row in rows:
        for corner, value in row.wear.items():
            if row.lap > new[corner]:
                yield Reading("wear", corner, row.lap, new[corner], value, WEAR_OFF, row.line)
        new.update(dict.fromkeys(row.new_tires, row.lap))


def _depths(rows: Sequence[LogRow]) -> Iterator[Reading]:
    """Tread left as wear since the first reading of the same tire; a new tire is as deep as the one of lap 0 was."""
    unworn = dict(rows[0].depth) if rows[0].lap == 0 else {}
    first = {corner: (0, depth) for corner, depth in unworn.items()}
    for row in rows:
        for corner, depth in row.depth.items():
            if corner not in first:
                first[corner] = (row.lap, depth)
            elif row.lap > first[corner][0]:
                since, start = first[corner]
                yield Reading("wear", corner, row.lap, since, start - depth, WEAR_OFF, row.line)
        for corner in row.new_tires:
            first.pop(corner, None)
            if corner in unworn:
                first[corner] = (row.lap, unworn[corner])


def _fuel(rows: Sequence[LogRow]) -> Iterator[Reading]:
    """Fuel used since the start or the last filling; a filled tank is as full as at lap 0."""
    full = rows[0].fuel_left if rows[0].lap == 0 else None
    filled = 0
    first = None if full is None else (0, full)
    for row in rows:
        if row.fuel_used is not None and row.lap > filled:
            yield Reading("fuel", "", row.lap, filled, row.fuel_used, FUEL_OFF, row.line)
        if row.fuel_left is not None:
            if first is None:
                first = (row.lap, row.fuel_left)
            elif row.lap > first[0]:
                yield Reading("fuel", "", row.lap, first[0], first[1] - row.fuel_left, FUEL_OFF, row.line)
        if row.refueled:
            filled = row.lap
            first = None if full is None else (row.lap, full)


@dataclass(frozen=True)
class Compared:
    """A reading with what the model gives before and after the fit (lap times at their own level)."""

    reading: Reading
    before: float
    after: float


@dataclass(frozen=True)
class Agreement:
    """Root mean square misfit of a quantity before and after, SI."""

    quantity: str
    count: int
    before: float
    after: float


@dataclass(frozen=True)
class Drift:
    """Change per ten laps, measured and fitted, SI; balance [%] has a phase and no measured one."""

    quantity: str
    corner: str
    measured: float | None
    fitted: float
    phase: str = ""


def foretell(case: Case, readings: Readings) -> tuple[list[float], DrivenRun]:
    """What the model of a case gives for every reading, lap times lifted to their own mean: only the shape counts."""
    model = read_model(case)
    run = drive_run(model.numbers, usual_phases(), model.circuit, readings.laps, readings.stops)
    run = read_beside(run)
    answers = predict(run, readings.readings, case.tire.tread, case.car.fuel_density)[0]
    laps = readings.of("lap time")
    if len(laps):
        measured = np.array([readings.readings[at].value for at in laps])
        answers[laps] *= np.exp(np.log(measured / answers[laps]).mean())
    return answers.tolist(), run


def compare(case: Case, fit: Fit, readings: Readings) -> tuple[tuple[Compared, ...], DrivenRun]:
    """Set every reading beside the files' and the fit's answer; returns the run of the fit as well."""
    before, _ = foretell(case, readings)
    after, run = foretell(put_fit(case, fit), readings)
    return tuple(map(Compared, readings.readings, before, after)), run


def agree(compared: Sequence[Compared]) -> list[Agreement]:
    """Root mean square misfit of each quantity."""
    found = []
    for quantity in LOG_KINDS:
        mine = [one for one in compared if one.reading.quantity == quantity]
        if mine:
            before = [one.before - one.reading.value for one in mine]
            after = [one.after - one.reading.value for one in mine]
            found.append(Agreement(quantity, len(mine), root_mean_square(before), root_mean_square(after)))
    return found


def find_drift(compared: Sequence[Compared], run: DrivenRun, readings: Readings) -> list[Drift]:
    """Change per ten laps over the longest stretch between tire changes, once warm; balance from the fitted run."""
    begin, end = longest_stretch(run, readings)
    warm = begin + min(10.0, (end - begin) / 3.0)
    found = []
    groups = dict.fromkeys((one.reading.quantity, one.reading.corner) for one in compared)
    for quantity, corner in groups:
        mine = [one for one in compared if (one.reading.quantity, one.reading.corner) == (quantity, corner)]
        inside = [one for one in mine if begin <= one.reading.since and one.reading.lap <= end]
        if quantity in {"wear", "fuel"}:
            if inside:
                last = max(inside, key=lambda one: one.reading.lap - one.reading.since)
                tens = (last.reading.lap - last.reading.since) / 10.0
                found.append(Drift(quantity, corner, last.reading.value / tens, last.after / tens))
            continue
        later = [one for one in inside if one.reading.lap > warm]
        laps = np.array([float(one.reading.lap) for one in later])
        if len(later) > 1:
            slopes = [
                10.0 * float(np.polyfit(laps, values, 1)[0])
                for values in ([one.reading.value for one in later], [one.after for one in later])
            ]
            found.append(Drift(quantity, corner, slopes[0], slopes[1]))
    mean = run.mean_balance[..., -1]
    for at, phase in enumerate(PHASES):
        values = np.interp([warm, end - 1e-6], run.laps, mean[:, at])
        found.append(Drift("balance", "", None, 10.0 * float(values[1] - values[0]) / (end - warm), phase))
    return found


ELSEWHERE = 0.1
"""Share that laps may be off the model's before it is asked of which car and track they are. Absolute lap times are not
to be trusted, so no log is refused for them. Own judgment, no source."""


def find_slower(readings: Readings, run: DrivenRun) -> float:
    """By which share the laps of a log are slower than those of a run; 0 where that is too little to ask about."""
    timed = [readings.readings[at].value for at in readings.of("lap time")]
    slower = fmean(timed) / float(run.lap.time.mean()) - 1.0 if timed else 0.0
    return slower if abs(slower) > ELSEWHERE else 0.0


def longest_stretch(run: DrivenRun, readings: Readings) -> tuple[float, float]:
    """First and last lap of the longest stretch without new tires."""
    changes = [float(stop.after_lap) for stop in readings.stops if any(stop.new_tires)]
    marks = [0.0, *changes, float(run.laps[-1])]
    return max(pairwise(marks), key=lambda pair: pair[1] - pair[0])


def root_mean_square(values: Sequence[float]) -> float:
    """Root of the mean square."""
    return float(np.sqrt(np.mean(np.square(values))))
