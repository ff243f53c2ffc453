"""What was measured, as rows of evidence: readings at the car after a run, and run logs lap by lap.

Doubts here are those of gauge and hand; what the model may be off is added in `weigh`. Lap times tell only by their
shape: each part of a run is compared with the mean of all. Assumptions all.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import hypot
from statistics import fmean

from assistant.belief.known import Row, Term
from assistant.belief.log_readings import EDGE, PRESSURE_OFF, TREAD_OFF, WEAR_OFF, Reading, Readings
from assistant.car.case import Case, Measured
from assistant.ground.names import CORNERS

STAGGER_OFF, FUEL_SHARE_OFF = 0.0015, 0.05
"""Of a stagger measured hot [m], and of fuel used as a share of it; of the others see `log_readings`."""
PACE_OFF = 0.002
"""Of a part of a run, as a share of its lap time: wind, traffic, mood."""
PARTS = 6
"""Parts a log's lap times are compared in, one a lap where it has fewer; a single one tells nothing of its shape."""
GAUGE = "gauge"
QUANTITY: Mapping[str, str] = {"tread temperature": "tread", "hot pressure": "pressure"}


def rows_of_measured(case: Case, setup: str = "", when: int = 0) -> tuple[Row, ...]:
    """Make rows of what was read at the car after a run; read at the end of the run where no laps are stated."""
    measured, end = case.measured, float(case.measured.laps or case.run_laps)
    rows = [
        *(
            gauge_row(f"tread {one}", end, fmean(three), TREAD_OFF, setup, when)
            for one, three in temperatures(measured)
        ),
        *(
            gauge_row(f"pressure {one}", end, hot, PRESSURE_OFF, setup, when)
            for one, hot in measured.hot_pressure.items()
        ),
        *(
            gauge_row(f"wear {one}", end, used / case.tire.tread, WEAR_OFF / case.tire.tread, setup, when)
            for one, used in measured.wear.items()
        ),
    ]
    if measured.fuel_used is not None:
        rows.append(gauge_row("fuel", end, measured.fuel_used, FUEL_SHARE_OFF * measured.fuel_used, setup, when))
    if measured.hot_stagger is not None:
        rows.append(stagger_row(end, measured.hot_stagger, setup, when))
    rows += pace_rows(spread_laps(measured.lap_times, end), setup, when)
    return tuple(row for row in rows if end <= case.run_laps)


def spread_laps(times: Sequence[float], end: float) -> list[Reading]:
    """Lay lap times over a run: lap by lap where it has as many, else evenly from its first to its last."""
    times = times[: int(end)]
    laps = [1 + round((end - 1) * at / max(1, len(times) - 1)) for at in range(len(times))]
    return [Reading("lap time", "", lap, lap, time, 0.0, 0) for lap, time in zip(laps, times, strict=True)]


def temperatures(measured: Measured) -> list[tuple[str, tuple[float, float, float]]]:
    """List the corners whose tread was read, with the three strips."""
    return [(corner, measured.temperatures[corner]) for corner in CORNERS if corner in measured.temperatures]


def gauge_row(quantity: str, lap: float, value: float, off: float, setup: str = "", when: int = 0) -> Row:
    """Make the row of one reading at a lap."""
    return Row(f"{quantity} at {lap:g}", GAUGE, (Term(quantity, lap, setup),), value, off, when=when)


def stagger_row(lap: float, value: float, setup: str = "", when: int = 0) -> Row:
    """Make the row of a stagger measured hot [m]."""
    return gauge_row("stagger", lap, value, STAGGER_OFF, setup, when)


def rows_of_log(readings: Readings, case: Case, setup: str = "", when: int = 0) -> tuple[Row, ...]:
    """Make rows of a log."""
    timed = [one for one in readings.readings if one.quantity == "lap time"]
    others = [one for one in readings.readings if one.quantity != "lap time"]
    return (*(row_of_reading(one, case, setup, when) for one in others), *pace_rows(timed, setup, when))


def row_of_reading(one: Reading, case: Case, setup: str, when: int) -> Row:
    """Make the row of one reading of a log: a state at a lap, or what was used since one; both as the car came in."""
    scale = {"wear": 1.0 / case.tire.tread, "fuel": case.car.fuel_density}.get(one.quantity, 1.0)
    name = " ".join(filter(None, (QUANTITY.get(one.quantity, one.quantity), one.corner)))
    terms = [Term(name, one.lap - EDGE, setup)]
    if one.quantity in {"wear", "fuel"} and one.since:
        terms.append(Term(name, one.since + EDGE, setup, -1.0))
    return Row(f"{name} at {one.lap}", GAUGE, tuple(terms), scale * one.value, scale * one.off, when=when)


def pace_rows(laps: Sequence[Reading], setup: str, when: int) -> list[Row]:
    """Make rows of the shape of lap times: each part of the run but the first beside the mean of all."""
    parts = [laps[at * len(laps) // PARTS : (at + 1) * len(laps) // PARTS] for at in range(PARTS)]
    if not all(parts):
        return []
    level = fmean(one.value for one in laps)
    rows = []
    for at, part in enumerate(parts):
        terms = [Term("lap time", one.lap - 0.5, setup, (one in part) / len(part) - 1.0 / len(laps)) for one in laps]
        off = hypot(PACE_OFF * level, fmean(one.off for one in part) / len(part) ** 0.5)
        value = fmean(one.value for one in part) - level
        rows.append(Row(f"pace part {at + 1}", GAUGE, tuple(terms), value, off, when=when))
    return rows[1:]
