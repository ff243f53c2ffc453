"""Where a setup leads over a whole run: balance, tyres, pressures, pace, fuel and steering, for any number of setups.

All setups of a call are driven together as one batch on the nominal car; the result of each is plain values.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from assistant.advice.computed.model import Model, as_grid, setup_numbers, stage_laps
from assistant.advice.results import Grid
from assistant.advice.run.run_ends import first_to_end, lap_of_reaching
from assistant.car.car import CORNERS
from assistant.car.case import PHASES, STAGES
from assistant.car.setup import Setup
from assistant.physics.fuel import fuel_mass
from assistant.physics.numbers import stack_numbers
from assistant.physics.phases import Phases, usual_phases
from assistant.physics.run import NEAR_PASSES, PASSES, Run, Stop, drive_run
from assistant.physics.tread import Tread, read_tread
from assistant.physics.values import Array

FIVE = 5.0
"""Laps at the start and at the end that lap times are averaged over."""


Strips = tuple[float, float, float]
"""Inside edge, middle, outside edge of a tread [K]; inside = the edge towards the car's centreline."""


@dataclass(frozen=True)
class Pace:
    """Mean lap time of the first five, of all, and of the last five laps [s]."""

    first: float
    average: float
    last: float


@dataclass(frozen=True)
class Forecast:
    """One setup over the run. balance, ends: felt balance [%, + tight], by phase and stage.

    By corner: wear_end (share of tread used at the end of the run), tyre_laps (laps until it is used up),
    hot_pressure [Pa] and tread [K] at each stage, and strips: inside, middle and outside of the tread [K].
    Laps until something is used up count from the start of the run, whatever was renewed at a stop.
    fuel_laps: laps in the tank at the start amount; fuel_per_lap [kg]. run_ends_by: "fuel" or the corner that is used
    up first, be it beyond the planned run; run_ends_at: laps until then. steady: every corner of it could be solved.
    useful_share, lock_share: steering by phase and stage. line: balance and wear along `laps` for pictures.
    """

    balance: Grid
    ends: tuple[tuple[str, Grid], ...]
    wear_end: Mapping[str, float]
    tyre_laps: Mapping[str, float]
    hot_pressure: Mapping[str, Mapping[str, float]]
    tread: Mapping[str, Mapping[str, float]]
    strips: Mapping[str, Mapping[str, Strips]]
    pace: Pace
    fuel_per_lap: float
    fuel_laps: float
    run_ends_by: str
    run_ends_at: float
    useful_share: Grid
    lock_share: Grid
    laps: tuple[float, ...]
    balance_line: Mapping[str, tuple[float, ...]]
    wear_line: Mapping[str, tuple[float, ...]]
    lap_line: tuple[float, ...]
    rpm_max: float
    rpm_min: float
    limiter_s: float
    steady: bool


def drive_setups(
    model: Model,
    setups: Sequence[Setup],
    phases: Phases | None = None,
    stops: Sequence[Stop] = (),
    laps: int | None = None,
) -> Run:
    """Drive the run with every setup at once; the setups lie along the cars axis.

    A run of the case's own length without stops begins from the one with the setup at hand.
    """
    numbers = stack_numbers([setup_numbers(model, setup) for setup in setups])
    laps = laps or model.case.run_laps
    begin = None if stops or laps != model.case.run_laps else model.run
    passes = PASSES if begin is None else NEAR_PASSES
    return drive_run(numbers, phases or usual_phases(), model.circuit, laps, stops, passes=passes, begin=begin)


def forecast_setups(
    model: Model,
    setups: Sequence[Setup],
    phases: Phases | None = None,
    stops: Sequence[Stop] = (),
    laps: int | None = None,
) -> tuple[Forecast, ...]:
    """Forecast every setup over the case's run (or `laps`)."""
    return read_forecasts(model, drive_setups(model, setups, phases, stops, laps), laps or model.case.run_laps)


def read_forecasts(model: Model, run: Run, run_laps: int) -> tuple[Forecast, ...]:
    """Read every car of a driven run."""
    tread = read_tread(run, model.circuit.air)
    return tuple(read_forecast(model, run, index, run_laps, tread) for index in range(run.lap.time.shape[-1]))


def read_forecast(model: Model, run: Run, index: int, run_laps: int, tread: Tread) -> Forecast:
    """Read one car of a driven run as plain values."""
    wanted = stage_laps(run_laps)
    cells = at_laps(run, run.balance[..., index], wanted)
    weights = at_laps(run, run.weights[..., index], wanted)[:, None, :]
    wear = run.moments.wear[..., index]
    tyre_laps = {corner: lap_of_reaching(run.laps, wear[c], 1.0) for c, corner in enumerate(CORNERS)}
    lap_fuel = run.lap.fuel[..., index]
    fuel_laps = lap_of_reaching(run.laps, run.moments.fuel_used[..., index], start_fuel(run, index))
    ends_by, ends_at = first_to_end(tyre_laps, fuel_laps)
    share = at_laps(run, run.attitude.useful_share[..., index], wanted)
    lock = at_laps(run, run.attitude.lock_share[..., index], wanted)
    return Forecast(
        balance=as_grid((cells * weights).sum(axis=2)),
        ends=tuple((end, as_grid(cells[:, :, e])) for e, end in enumerate(model.end_ids)),
        wear_end={corner: float(wear[c, -1]) for c, corner in enumerate(CORNERS)},
        tyre_laps=tyre_laps,
        hot_pressure=by_corner(run, run.tyres.pressure[..., index], wanted),
        tread=by_corner(run, run.moments.tread[..., index], wanted),
        strips=strips_by_corner(run, tread, index, wanted),
        pace=read_pace(run.laps, run.lap.time[..., index]),
        fuel_per_lap=float(np.trapezoid(lap_fuel, run.laps) / run.laps[-1]),
        fuel_laps=fuel_laps,
        run_ends_by=ends_by,
        run_ends_at=ends_at,
        useful_share=as_grid((share * weights).sum(axis=2)),
        lock_share=as_grid((lock * weights).sum(axis=2)),
        laps=tuple(float(lap) for lap in run.laps),
        balance_line={
            phase: tuple(float(v) for v in (run.balance[:, p, :, index] * run.weights[..., index]).sum(axis=1))
            for p, phase in enumerate(PHASES)
        },
        wear_line={corner: tuple(float(v) for v in wear[c]) for c, corner in enumerate(CORNERS)},
        lap_line=tuple(float(v) for v in run.lap.time[..., index]),
        rpm_max=float(run.lap.rpm_max[..., index].max()),
        rpm_min=float(run.lap.rpm_min[..., index].min()),
        limiter_s=float(np.trapezoid(run.lap.limiter[..., index], run.laps) / run.laps[-1]),
        steady=bool(run.limit.steady[..., index].all()),
    )


def at_laps(run: Run, values: Array, wanted: Array) -> Array:
    """Read values (knots, ...) at the laps `wanted`, evenly between knots."""
    flat = values.reshape(len(run.laps), -1)
    read = np.stack([np.interp(wanted, run.laps, column) for column in flat.T], axis=-1)
    return read.reshape(len(wanted), *values.shape[1:])


def by_corner(run: Run, values: Array, wanted: Array) -> dict[str, dict[str, float]]:
    """Values (4, knots) as corner -> stage -> number."""
    return {
        corner: dict(zip(STAGES, map(float, np.interp(wanted, run.laps, values[c])), strict=True))
        for c, corner in enumerate(CORNERS)
    }


def strips_by_corner(run: Run, tread: Tread, index: int, wanted: Array) -> dict[str, dict[str, Strips]]:
    """Inside, middle and outside of each tread at each stage."""
    parts = [by_corner(run, part[..., index], wanted) for part in (tread.inside, tread.middle, tread.outside)]
    return {
        corner: {stage: (parts[0][corner][stage], parts[1][corner][stage], parts[2][corner][stage]) for stage in STAGES}
        for corner in CORNERS
    }


def start_fuel(run: Run, index: int) -> float:
    """Fuel in the tank at the start of the run [kg]."""
    numbers = run.problem.numbers
    mass = fuel_mass(numbers["fuel_start"], numbers["fuel_density"])
    return float(mass[..., min(index, mass.shape[-1] - 1)])


def read_pace(laps: Array, times: Array) -> Pace:
    """Mean lap times from lap time along the run: laps counted 1 to n, the lap n-1 to n at its middle."""
    middles = np.arange(laps[-1]) + 0.5
    each = np.interp(middles, laps, times)
    few = int(min(FIVE, len(each)))
    return Pace(float(each[:few].mean()), float(each.mean()), float(each[-few:].mean()))
