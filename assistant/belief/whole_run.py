"""Where a setup leads over a whole run: balance, tires, pressures, pace, fuel, steering, and what ends it first.

All setups of a call are driven together as one batch on the nominal car; the result of each is plain values.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import floor
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from assistant.belief.model import Model, setup_numbers, weigh_stages
from assistant.car.case import Setup
from assistant.ground.names import CORNERS, PHASES, STAGES, Grid
from assistant.physics.car_and_driver import stack_numbers, usual_phases
from assistant.physics.driven_run import NEAR_PASSES, PASSES, DrivenRun, drive_run
from assistant.physics.formulas import Array, fuel_mass
from assistant.physics.heat_and_wear import Stop, weigh_span
from assistant.physics.tread import read_tread

SLOWEST_USE = 1e-12
"""Rate [1/lap] under which nothing is ever used up; keeps the laps finite."""
ROUNDING = 1e-6
"""Part of a lap lost to rounding when whole laps are counted."""
PACE_LAPS = 5
"""Laps at the start and at the end that lap times are averaged over."""
ENERGY_LEFT_OPEN = 0.01
"""Share of a lap's energy that may come from nowhere; more means corners that the car cannot drive at its limit."""

T = TypeVar("T")
Strips = tuple[float, float, float]
"""Inside edge, middle, outside edge of a tread [K]; inside = the edge toward the car's centerline."""


def lap_of_reaching(laps: Array, values: Array, goal: Array | float) -> Array:
    """Laps done when `values` (laps, ...) first reach `goal`; they may fall back at a stop. Returns (...).

    Beyond the last lap they are drawn on at the rate of the last stretch.
    """
    reached = (values >= goal).any(axis=0)
    after = np.where(reached, (values >= goal).argmax(axis=0), len(laps) - 1)
    before = np.maximum(after - 1, 0)
    here, earlier = (np.take_along_axis(values, at[None], axis=0)[0] for at in (after, before))
    stretch = laps[after] - laps[before]
    rate = (here - earlier) / np.maximum(stretch, 1e-9)
    found = laps[after] + (goal - here) / np.maximum(rate, SLOWEST_USE)
    return np.where(reached & (stretch == 0.0), laps[after], found)


def whole_laps(laps: float) -> int:
    """Whole laps only: a lap on which the tank runs dry or the tread gives out does not count."""
    return floor(laps + ROUNDING)


def first_to_end(tire_laps: Mapping[str, float], fuel_laps: float) -> tuple[str, float]:
    """Which comes first, "fuel" or a corner, and after how many laps."""
    ends = {"fuel": fuel_laps, **tire_laps}
    first = min(ends, key=lambda name: ends[name])
    return first, ends[first]


@dataclass(frozen=True)
class Pace:
    """Mean lap time of the first five, of all, and of the last five laps [s]."""

    first: float
    average: float
    last: float


@dataclass(frozen=True)
class Forecast:
    """One setup over the run. balance, ends: felt balance [%, + tight], by phase and stage.

    By corner: wear_end (share of tread used at the end of the run), tire_laps (laps until it is used up),
    hot_pressure [Pa] and tread [K] at each stage, and strips: inside, middle and outside of the tread [K].
    Laps until something is used up count from the start of the run, whatever was renewed at a stop.
    fuel_laps: laps in the tank at the start amount; fuel_per_lap [kg]. run_ends_by: "fuel" or the corner that is used
    up first, be it beyond the planned run; run_ends_at: laps until then. steady: every corner of it could be solved.
    reaches: engine and straights bring the car to every corner as fast as its tires allow, and the brakes down to it.
    useful_share, lock_share: steering by phase and stage. line: balance and wear along `laps` for pictures.
    """

    balance: Grid
    ends: tuple[tuple[str, Grid], ...]
    wear_end: Mapping[str, float]
    tire_laps: Mapping[str, float]
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
    rpm_max: float
    rpm_min: float
    limiter_s: float
    steady: bool
    reaches: bool


def drive_setups(
    model: Model,
    setups: Sequence[Setup],
    stops: Sequence[Stop] = (),
    laps: int | None = None,
) -> DrivenRun:
    """Drive the run with every setup at once; the setups lie along the cars axis.

    A run of the case's own length without stops begins from the one with the setup at hand.
    """
    numbers = stack_numbers([setup_numbers(model, setup) for setup in setups])
    laps = laps or model.case.run_laps
    begin = None if stops or laps != model.case.run_laps else model.run.beginning
    passes = PASSES if begin is None else NEAR_PASSES
    return drive_run(numbers, usual_phases(), model.circuit, laps, stops, passes=passes, begin=begin)


def read_forecasts(model: Model, run: DrivenRun) -> tuple[Forecast, ...]:
    """Read every car of a driven run as it is, which is without what a run log says of it (see `read_beside`)."""
    batch = read_batch(run, model.circuit.air)
    return tuple(read_forecast(model, batch, index) for index in range(run.lap.time.shape[-1]))


@dataclass(frozen=True, eq=False)
class Batch:
    """What is read of all cars of a run at once, cars on the last axis; rows of corners, stages, phases before it.

    strips: inside, middle and outside first. pace: first, average and last. lines: balance (phases, laps).
    """

    laps: Array
    balance: Array
    ends: Array
    wear: Array
    tire_laps: Array
    pressure: Array
    tread: Array
    strips: Array
    pace: Array
    fuel: Array
    fuel_laps: Array
    useful_share: Array
    lock_share: Array
    lines: Array
    revs: Array
    limiter: Array
    steady: NDArray[np.bool_]
    reaches: NDArray[np.bool_]


def read_batch(run: DrivenRun, air: float) -> Batch:
    """Read what the forecasts of all cars hold, over the stages and along the run."""
    laps, lap, tread = run.laps, run.lap, read_tread(run, air)
    stages, weights = weigh_stages(laps), run.weights[:, None]
    wear, fuel = run.moments.wear, np.broadcast_to(run.moments.fuel_used, lap.time.shape)

    def of_corners(values: Array) -> Array:
        return np.asarray(stages @ values)

    def of_ends(values: Array) -> Array:
        return np.tensordot(stages, (values * weights).sum(axis=2), axes=1)

    return Batch(
        laps=laps,
        balance=of_ends(run.balance),
        ends=np.moveaxis(np.tensordot(stages, run.balance, axes=1), 2, 0),
        wear=wear,
        tire_laps=lap_of_reaching(laps, wear.swapaxes(0, 1), 1.0),
        pressure=of_corners(run.tires.pressure),
        tread=of_corners(run.moments.tread),
        strips=np.stack([of_corners(part) for part in (tread.inside, tread.middle, tread.outside)], axis=2),
        pace=read_pace(laps, lap.time),
        fuel=np.trapezoid(lap.fuel, laps, axis=0) / laps[-1],
        fuel_laps=lap_of_reaching(laps, fuel, start_fuel(run)),
        useful_share=of_ends(run.attitude.useful_share),
        lock_share=of_ends(run.attitude.lock_share),
        lines=(run.balance * weights).sum(axis=2).swapaxes(0, 1),
        revs=np.stack([lap.rpm_max.max(axis=0), lap.rpm_min.min(axis=0)]),
        limiter=np.trapezoid(lap.limiter, laps, axis=0) / laps[-1],
        steady=np.asarray(run.limit.steady.all(axis=(0, 1, 2))),
        reaches=np.asarray(
            (np.abs(lap.engine_work / (lap.brake_work + lap.loss_work) - 1.0) < ENERGY_LEFT_OPEN).all(axis=0)
        ),
    )


def read_forecast(model: Model, batch: Batch, index: int) -> Forecast:
    """Read one car of a batch as plain values."""
    tire_laps = dict(zip(CORNERS, batch.tire_laps[:, index].tolist(), strict=True))
    fuel_laps = float(batch.fuel_laps[index])
    ends_by, ends_at = first_to_end(tire_laps, fuel_laps)
    wear = batch.wear[..., index]
    rpm_max, rpm_min = batch.revs[:, index].tolist()
    return Forecast(
        balance=Grid.of_array(batch.balance[..., index]),
        ends=tuple(zip(model.end_ids, map(Grid.of_array, batch.ends[..., index]), strict=True)),
        wear_end=dict(zip(CORNERS, wear[:, -1].tolist(), strict=True)),
        tire_laps=tire_laps,
        hot_pressure=by_corner(batch.pressure[..., index].tolist()),
        tread=by_corner(batch.tread[..., index].tolist()),
        strips=by_corner([[tuple(three) for three in row] for row in batch.strips[..., index].tolist()]),
        pace=Pace(*batch.pace[:, index].tolist()),
        fuel_per_lap=float(batch.fuel[index]),
        fuel_laps=fuel_laps,
        run_ends_by=ends_by,
        run_ends_at=ends_at,
        useful_share=Grid.of_array(batch.useful_share[..., index]),
        lock_share=Grid.of_array(batch.lock_share[..., index]),
        laps=tuple(batch.laps.tolist()),
        balance_line={phase: tuple(line) for phase, line in zip(PHASES, batch.lines[..., index].tolist(), strict=True)},
        wear_line={corner: tuple(line) for corner, line in zip(CORNERS, wear.tolist(), strict=True)},
        rpm_max=rpm_max,
        rpm_min=rpm_min,
        limiter_s=float(batch.limiter[index]),
        steady=bool(batch.steady[index]),
        reaches=bool(batch.reaches[index]),
    )


def by_corner(rows: Sequence[Sequence[T]]) -> dict[str, dict[str, T]]:
    """Name rows of corners (LF RF LR RR) of values at each stage."""
    return {corner: dict(zip(STAGES, row, strict=True)) for corner, row in zip(CORNERS, rows, strict=True)}


def start_fuel(run: DrivenRun) -> Array:
    """Fuel in the tank at the start of the run [kg], (cars,) or (1,)."""
    numbers = run.problem.numbers
    return fuel_mass(numbers["fuel_at_green"], numbers["fuel_density"])


def read_pace(laps: Array, times: Array) -> Array:
    """Mean lap times of the first laps, of all and of the last laps, (3, cars), from lap time along the run."""
    return np.asarray(_weigh_pace(tuple(laps.tolist())) @ times)


@lru_cache(maxsize=256)
def _weigh_pace(laps: tuple[float, ...]) -> Array:
    """What each lap counts in these, (3, laps); worked out once, as every price of a change asks for it."""
    end, few = laps[-1], min(PACE_LAPS, laps[-1])
    return np.stack([weigh_span(np.array(laps), span) for span in ((0.0, few), (0.0, end), (end - few, end))])
