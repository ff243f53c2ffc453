"""The run as data in the units asked for: a row for every lap, and how the car sits in every corner.

Laps are read between the knots the run was solved at.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from assistant.belief.corners import Corner
from assistant.belief.look_ahead import RunAhead
from assistant.belief.whole_run import start_fuel
from assistant.car.car import CORNERS
from assistant.ground.grid import PHASES
from assistant.ground.units import System, to_unit, unit_of
from assistant.physics.formulas import Array
from assistant.physics.tread import read_tread

JUST_BEFORE = 1e-6
"""Part of a lap before its end: what is read there is the state before a stop on that lap."""


def lap_table(ahead: RunAhead, system: System = "trade") -> tuple[tuple[str, ...], list[tuple[float, ...]]]:
    """Return the names of the columns, each with its unit, and a row for every lap.

    lap time: of this lap (at its middle); the rest: at its end, before any stop. balance in percent, + tight. tread:
    share used. Temperatures inside, middle, outside; inside = the edge toward the car's centerline.
    """
    run, laps = ahead.run, np.arange(1.0, ahead.driven + 1.0)
    ends = laps - JUST_BEFORE
    pressure, temperature, volume = (unit_of(kind, system) for kind in ("pressure", "temperature", "volume"))
    columns: dict[str, Array] = {"lap": laps, "lap_time_s": _read(ahead, run.lap.time[:, 0], laps - 0.5)}
    felt = ahead.forecast.balance_line
    columns |= {f"balance_{phase}_percent": _read(ahead, np.array(felt[phase]), ends) for phase in PHASES}
    tread = read_tread(run, ahead.model.circuit.air)
    for c, corner in enumerate(CORNERS):
        columns[f"{corner}_tread_used_share"] = _read(ahead, run.moments.wear[c, :, 0], ends)
        hot = _read(ahead, run.tires.pressure[c, :, 0], ends)
        columns[f"{corner}_hot_pressure_{pressure}"] = to_units(hot, pressure, "pressure")
        for name, strip in (("inside", tread.inside), ("middle", tread.middle), ("outside", tread.outside)):
            warm = _read(ahead, strip[c, :, 0], ends)
            columns[f"{corner}_{name}_{temperature}"] = to_units(warm, temperature, "temperature")
    density = float(run.problem.numbers["fuel_density"][0])
    left = (float(start_fuel(run)[0]) - _read(ahead, run.moments.fuel_used[:, 0], ends)) / density
    columns[f"fuel_left_{volume}"] = to_units(left, volume, "volume")
    rows = [tuple(float(column[row]) for column in columns.values()) for row in range(len(laps))]
    return tuple(columns), rows


def _read(ahead: RunAhead, values: Array, wanted: Array) -> Array:
    """Read values along the knots at the laps wanted."""
    return np.interp(wanted, ahead.run.laps, values)


def to_units(values: Array, unit: str, kind: str) -> Array:
    """Convert SI values of one kind to a unit."""
    return np.array([to_unit(float(value), unit, kind) for value in values])


def corners_data(corners: tuple[Corner, ...], stage: str, *, system: System = "trade") -> dict[str, Any]:
    """Give the corners as plain data, numbers in the units asked for, shares as such; every unit is named."""
    kinds = {"side": "acceleration", "forward": "acceleration", "speed": "speed", "load": "force", "angle": "angle"}

    def unit(value: float, kind: str) -> float:
        return to_unit(value, unit_of(kinds[kind], system), kinds[kind])

    return {
        "stage": stage,
        "units": {name: unit_of(kind, system) for name, kind in kinds.items()},
        "corners": [
            {
                "end": one.end,
                "phase": one.phase,
                "side": unit(one.side, "side"),
                "forward": unit(one.forward, "forward"),
                "speed": unit(one.speed, "speed"),
                "balance": one.balance,
                "loads": {corner: unit(load, "load") for corner, load in one.loads.items()},
                "slip": {"front": unit(one.slip_front, "angle"), "rear": unit(one.slip_rear, "angle")},
                "limit": {"axle": one.axle, "tire": one.tire},
                "steering": {
                    "angle": unit(one.steer, "angle"),
                    "useful_share": one.useful_share,
                    "lock_share": one.lock_share,
                },
                "lifted": list(one.lifted),
                "steady": one.steady,
            }
            for one in corners
        ],
    }
