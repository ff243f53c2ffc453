"""Where a setup leads over a whole run: balance, tires, pressures, pace, fuel, steering, and what ends it first.

All setups of a call are driven together as one batch on the nominal car; the result of each is plain values.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import floor
from typing import Any

import numpy as np

from assistant.belief.model import Model, setup_numbers, weigh_stages
from assistant.car.case import Setup
from assistant.ground.names import CORNERS, PHASES, STAGES, Grid
from assistant.physics.car_and_driver import stack_numbers, usual_phases
from assistant.physics.driven_run import NEAR_PASSES, PASSES, DrivenRun, drive_run, read_tread
from assistant.physics.formulas import Array, fuel_mass
from assistant.physics.heat_and_wear import Stop, weigh_span

SLOWEST_USE = 1e-12
"""Rate [1/lap] under which nothing is ever used up; keeps the laps finite."""
ROUNDING = 1e-6
"""Part of a lap lost to rounding when whole laps are counted."""
PACE_LAPS = 5
"""Laps at the start and at the end that lap times are averaged over."""
ENERGY_LEFT_OPEN = 0.01
"""Share of a lap's energy that may come from nowhere; more means corners that the car cannot drive at its limit."""

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
    fuel_laps: laps in the tank at the start amount; fuel_per_lap [kg]. steady: every corner of it could be solved.
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

    @property
    def run_ends_by(self) -> str:
        """What is used up first, "fuel" or a corner, be it beyond the planned run."""
        return first_to_end(self.tire_laps, self.fuel_laps)[0]

    @property
    def run_ends_at(self) -> float:
        """Laps until then."""
        return first_to_end(self.tire_laps, self.fuel_laps)[1]


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
    parts = read_parts(model, run)
    return tuple(
        Forecast(**{field: name(values[..., car]) for field, (values, name) in parts.items()})
        for car in range(run.lap.time.shape[-1])
    )


def read_parts(model: Model, run: DrivenRun) -> dict[str, tuple[Array, Callable[[Array], Any]]]:
    """Read what the forecasts of all cars hold: each field's values, cars last, and how one car's are named."""
    laps, lap, tread = run.laps, run.lap, read_tread(run, model.circuit.air)
    stages, weights = weigh_stages(laps), run.weights[:, None]
    wear, fuel = run.moments.wear, np.broadcast_to(run.moments.fuel_used, lap.time.shape)
    energy = np.abs(lap.engine_work / (lap.brake_work + lap.loss_work) - 1.0)

    def of_ends(values: Array) -> Array:
        return np.tensordot(stages, (values * weights).sum(axis=2), axes=1)

    def of_each_end(values: Array) -> tuple[tuple[str, Grid], ...]:
        return tuple(zip(model.end_ids, map(Grid.of_array, values), strict=True))

    return {
        "balance": (of_ends(run.balance), Grid.of_array),
        "ends": (np.moveaxis(np.tensordot(stages, run.balance, axes=1), 2, 0), of_each_end),
        "wear_end": (wear[:, -1], by_corner),
        "tire_laps": (lap_of_reaching(laps, wear.swapaxes(0, 1), 1.0), by_corner),
        "hot_pressure": (stages @ run.tires.pressure, by_stage),
        "tread": (stages @ run.moments.tread, by_stage),
        "strips": (np.stack([stages @ part for part in vars(tread).values()], axis=2), by_stage),
        "pace": (read_pace(laps, lap.time), lambda three: Pace(*three.tolist())),
        "fuel_per_lap": (np.trapezoid(lap.fuel, laps, axis=0) / laps[-1], float),
        "fuel_laps": (lap_of_reaching(laps, fuel, start_fuel(run)), float),
        "useful_share": (of_ends(run.attitude.useful_share), Grid.of_array),
        "lock_share": (of_ends(run.attitude.lock_share), Grid.of_array),
        "laps": (np.broadcast_to(laps[:, None], lap.time.shape), as_line),
        "balance_line": ((run.balance * weights).sum(axis=2).swapaxes(0, 1), lambda lines: by_name(PHASES, lines)),
        "wear_line": (wear, lambda lines: by_name(CORNERS, lines)),
        "rpm_max": (lap.rpm_max.max(axis=0), float),
        "rpm_min": (lap.rpm_min.min(axis=0), float),
        "limiter_s": (np.trapezoid(lap.limiter, laps, axis=0) / laps[-1], float),
        "steady": (run.limit.steady.all(axis=(0, 1, 2)), bool),
        "reaches": ((energy < ENERGY_LEFT_OPEN).all(axis=0), bool),
    }


def by_corner(values: Array) -> dict[str, float]:
    """Name one value of each corner."""
    return dict(zip(CORNERS, values.tolist(), strict=True))


def by_stage(values: Array) -> dict[str, dict[str, Any]]:
    """Name values of each corner at each stage: a number, or the three strips of a tread."""
    each = [[tuple(one) if isinstance(one, list) else one for one in row] for row in values.tolist()]
    return {corner: dict(zip(STAGES, row, strict=True)) for corner, row in zip(CORNERS, each, strict=True)}


def by_name(names: Sequence[str], lines: Array) -> dict[str, tuple[float, ...]]:
    """Name lines along the run."""
    return dict(zip(names, map(as_line, lines), strict=True))


def as_line(values: Array) -> tuple[float, ...]:
    """Give values along the run as plain numbers."""
    return tuple(values.tolist())


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
