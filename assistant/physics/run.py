"""A run between stops: tyre wear, tread and gas temperature, pressure and fuel, lap after lap.

The corner is solved at a dozen or so knots of the run, all in one batch; between knots the heat and wear the tyres make
change in a straight line, so temperatures and wear follow in closed form. Solving and following are repeated until
they agree. Corner arrays are (4, knots, cars), others (knots, cars).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from assistant.car.car import Engine, Three
from assistant.car.case import PHASES
from assistant.physics.attitude import Attitude, felt_balance, find_attitude
from assistant.physics.corner import Limit, solve_limit
from assistant.physics.lap import Lap, Lengths, corner_again, drive_lap
from assistant.physics.loads import Place
from assistant.physics.moments import Moments, tyres_at
from assistant.physics.numbers import Numbers
from assistant.physics.phases import Phases
from assistant.physics.problem import Problem, set_problem
from assistant.physics.static import TyreState
from assistant.physics.tyres import CurveShape
from assistant.physics.values import Array

PASSES = 6
"""Times the run is solved and followed again; the last pass moves balance by less than 0.02 % (see tests)."""
NEAR_PASSES = 4
"""The same from a run that all cars are near to (one to three levers moved): as exact as PASSES from nothing."""
EASE = 0.7
"""Share of the way each pass goes to the newly followed state: near neutral the hotter axle changes sides."""
WARM_START = 20.0
"""Tread above air temperature when the green flag falls [K]: one or two slow laps; assumption."""
SLOW_SPEED = 20.0
"""Pace under caution [m/s]; assumption."""


@dataclass(frozen=True)
class Stop:
    """What happens after a lap: new tyres at some corners (LF RF LR RR), fuel to the start amount, slow laps."""

    after_lap: int
    new_tyres: tuple[bool, bool, bool, bool] = (False, False, False, False)
    fuel: bool = False
    slow_laps: int = 0


@dataclass(frozen=True)
class Anchor:
    """Where the driver says the car stands: balance [%, + tight] of entry, middle, exit, each at a lap of the run."""

    laps: Three
    targets: Three = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Circuit:
    """Where the run is driven. lengths: of corners and straights; air: temperature [K]."""

    place: Place
    lengths: Lengths
    curve: CurveShape
    engine: Engine
    air: float


@dataclass(frozen=True)
class Run:
    """A computed run. laps: (knots,), laps done; a knot stands twice where a stop changes the state.

    moments: temperatures, wear and fuel used since the last fill. tyres: hot pressures with them.
    balance: felt [%], (knots, phases, ends, cars). weights: share of cornering time per end, (knots, ends, cars).
    sliding: mean sliding power of each tyre over a lap [W], (4, knots, cars). lap: times, fuel, rpm at every knot.
    """

    laps: Array
    moments: Moments
    tyres: TyreState
    balance: Array
    weights: Array
    sliding: Array
    attitude: Attitude
    lap: Lap
    limit: Limit
    problem: Problem


def place_knots(laps: int, stops: Sequence[Stop] = ()) -> tuple[Array, tuple[Stop | None, ...]]:
    """Choose the knots of a run: dense at the start of every stint, then a third of it and on to its end.

    Returns the laps done at each knot, and for each knot the stop made just before it (None where driving went on).
    """
    knots: list[float] = []
    before: list[Stop | None] = []
    begin, last = 0.0, None
    for stop in [*sorted(stops, key=lambda stop: stop.after_lap), Stop(laps)]:
        length = min(float(stop.after_lap), float(laps)) - begin
        if length > 0.0:
            early = [lap for lap in (0.0, 1.0, 2.0, 4.0, 7.0, 12.0, 20.0) if lap < 0.9 * length / 3.0]
            stint = sorted({*early, *(share * length for share in (1.0 / 3.0, 0.45, 0.62, 0.8, 1.0))})
            knots += [begin + lap for lap in stint]
            before += [last, *[None] * (len(stint) - 1)]
            begin += length
        last = stop
    return np.array(knots), tuple(before)


def drive_run(
    numbers: Numbers,
    phases: Phases,
    circuit: Circuit,
    laps: int,
    stops: Sequence[Stop] = (),
    every_lap: bool = False,
    passes: int = PASSES,
    anchor: Anchor | None = None,
    begin: Run | None = None,
) -> Run:
    """Drive `laps` laps with every car of the batch.

    every_lap: a knot at every lap, the reference for the knots. anchor: shift the trims pass by pass so that every car
    stands where it says (see `anchor`); the run's problem then holds the numbers with those trims. begin: a run of
    one car over the same knots that all cars are near to; fewer passes will do then.
    """
    knots, before = (np.arange(laps + 1.0), (None,) * (laps + 1)) if every_lap else place_knots(laps, stops)
    cars = numbers["mass"].shape[-1]
    moments = start_moments(circuit.air, len(knots), cars) if begin is None else begin.moments
    start: Limit | None = None if begin is None else begin.limit
    known: Lap | None = None
    for turn in range(passes + 1):
        tyres = tyres_at(numbers, moments)
        problem = set_problem(numbers, tyres, phases, circuit.place, circuit.curve, circuit.engine, rows=10)
        limit = solve_limit(problem, start=start, rounds=3) if start else solve_limit(problem)
        start = limit
        attitude = find_attitude(problem, limit)
        lap = known = join_lap(problem, limit, circuit, None if turn % 4 == 0 or turn == passes else known)
        sliding = (attitude.sliding * lap.corner_time).sum(axis=(2, 3)) / lap.time
        if turn < passes:
            moments = part_way(moments, follow(numbers, circuit, knots, before, tyres, sliding, attitude, lap), turn)
            if anchor is not None:
                numbers = shift_trims(numbers, knots, felt_balance(problem, limit), lap.corner_time, anchor)
    time = (lap.corner_time).sum(axis=1)
    return Run(
        laps=knots,
        moments=moments,
        tyres=tyres,
        balance=felt_balance(problem, limit),
        weights=time / time.sum(axis=1, keepdims=True),
        sliding=sliding,
        attitude=attitude,
        lap=lap,
        limit=limit,
        problem=problem,
    )


def join_lap(problem: Problem, limit: Limit, circuit: Circuit, known: Lap | None) -> Lap:
    """Drive the lap of solved corners, with the straights of the pass before where they are known: they hardly move."""
    if known is None:
        return drive_lap(problem, limit, circuit.lengths, circuit.engine)
    return corner_again(known, limit, circuit.lengths)


def part_way(old: Moments, new: Moments, turn: int) -> Moments:
    """Go `EASE` of the way from the old state to the new one; all the way on the first pass."""
    ease = EASE if turn else 1.0
    return replace(
        new,
        gas=old.gas + ease * (new.gas - old.gas),
        tread=old.tread + ease * (new.tread - old.tread),
        wear=old.wear + ease * (new.wear - old.wear),
        fuel_used=old.fuel_used + ease * (new.fuel_used - old.fuel_used),
    )


def shift_trims(numbers: Numbers, knots: Array, balance: Array, corner_time: Array, anchor: Anchor) -> Numbers:
    """Take what balance is off the anchor from the trims of each phase, mean of the ends weighted by time."""
    time = corner_time.sum(axis=1)
    mean = (balance * (time / time.sum(axis=1, keepdims=True))[:, None]).sum(axis=2)
    trims = {}
    for p, phase in enumerate(PHASES):
        off = read_between(knots, mean[:, p], anchor.laps[p]) - anchor.targets[p]
        trims[f"trim_{phase}"] = numbers[f"trim_{phase}"] - off / 100.0
    return {**numbers, **trims}


def read_between(knots: Array, values: Array, lap: float) -> Array:
    """Read (knots, cars) values at a lap, evenly between the knots around it."""
    after = min(int(np.searchsorted(knots, lap)), len(knots) - 1)
    before = max(after - 1, 0)
    share = (lap - knots[before]) / max(float(knots[after] - knots[before]), 1e-9)
    return np.asarray((1.0 - share) * values[before] + share * values[after])


def start_moments(air: float, knots: int, cars: int) -> Moments:
    """First guess: tyres as at the green flag all the way, no fuel used."""
    shape = (4, knots, cars)
    return Moments(
        gas=np.full(shape, air + WARM_START / 2.0),
        tread=np.full(shape, air + 70.0),
        wear=np.zeros(shape),
        fuel_used=np.zeros(shape[1:]),
        cold=air,
    )


def follow(
    numbers: Numbers,
    circuit: Circuit,
    knots: Array,
    before: Sequence[Stop | None],
    tyres: TyreState,
    sliding: Array,
    attitude: Attitude,
    lap: Lap,
) -> Moments:
    """Integrate temperatures, wear and fuel from knot to knot with the heat and wear rates found at the knots."""
    speed = sum_ends(circuit.lengths.corner + circuit.lengths.straight) / lap.time
    cooling = numbers["cooling_still"] + numbers["cooling_speed"] * speed
    load = (attitude.load * lap.corner_time).sum(axis=(2, 3)) / lap.corner_time.sum(axis=(1, 2))
    heat = numbers["heat_share"] * sliding + numbers["hysteresis"] * load * speed
    target = circuit.air + heat / cooling
    wearing = wear_rate(numbers, tyres, sliding, load)
    state = start_moments(circuit.air, len(knots), sliding.shape[-1])
    tread, gas, wear, fuel = state.tread, state.gas, state.wear, state.fuel_used
    tread[:, 0], gas[:, 0] = circuit.air + WARM_START, circuit.air + WARM_START / 4.0
    for k in range(1, len(knots)):
        stop = before[k]
        if stop is None:
            time = (knots[k] - knots[k - 1]) * 0.5 * (lap.time[k] + lap.time[k - 1])
            lag = numbers["heat_capacity"] / (0.5 * (cooling[k] + cooling[k - 1]))
            tread[:, k] = relax(tread[:, k - 1], target[:, k - 1], target[:, k], time, lag)
            first = warm_gas(numbers, circuit.air, 0.5 * (tread[:, k - 1] + target[:, k - 1]))
            last = warm_gas(numbers, circuit.air, tread[:, k])
            gas[:, k] = relax(gas[:, k - 1], first, last, time, numbers["gas_lag"])
            wear[:, k] = wear[:, k - 1] + 0.5 * time * (wearing[:, k - 1] + wearing[:, k])
            fuel[k] = fuel[k - 1] + 0.5 * (knots[k] - knots[k - 1]) * (lap.fuel[k] + lap.fuel[k - 1])
        else:
            lap_length = float(sum_ends(circuit.lengths.corner + circuit.lengths.straight).item())
            slow = stop.slow_laps * lap_length / SLOW_SPEED
            lag = numbers["heat_capacity"] / (numbers["cooling_still"] + numbers["cooling_speed"] * SLOW_SPEED)
            cooled = relax(tread[:, k - 1], circuit.air, circuit.air, slow, lag)
            new = np.array(stop.new_tyres)[:, None]
            goal = warm_gas(numbers, circuit.air, cooled)
            tread[:, k] = np.where(new, circuit.air + WARM_START, cooled)
            gas[:, k] = np.where(
                new, circuit.air + WARM_START / 4.0, relax(gas[:, k - 1], goal, goal, slow, numbers["gas_lag"])
            )
            wear[:, k] = np.where(new, 0.0, wear[:, k - 1])
            fuel[k] = 0.0 if stop.fuel else fuel[k - 1]
    return replace(state, tread=tread, gas=gas, wear=wear, fuel_used=fuel)


def warm_gas(numbers: Numbers, air: float, tread: Array) -> Array:
    """Temperature the gas goes to beside a tread [K]: `gas_share` of the tread's rise over the air outside."""
    return np.asarray(air + numbers["gas_share"] * (tread - air))


def sum_ends(values: Array) -> Array:
    """Sum (ends, 1) over the ends."""
    return np.asarray(values.sum(axis=0))


def relax(start: Array, first: Array | float, last: Array | float, time: Array | float, lag: Array | float) -> Array:
    """Value after `time` of something that follows with time constant `lag` a target moving evenly from first to last.

    Exact solution of y' = (target - y)/lag: y = last - s lag + (start - first + s lag) exp(-time/lag), with s the
    slope of the target.
    """
    time = np.maximum(time, 1e-9)
    drift = (np.asarray(last) - first) / time * lag
    return np.asarray(last - drift + (start - first + drift) * np.exp(-time / lag))


def wear_rate(numbers: Numbers, tyres: TyreState, sliding: Array, load: Array) -> Array:
    """Share of the usable tread worn per second: sliding power, more when over-heated or off the wear-best pressure.

    The wear-best pressure lies `wear_pressure` above the grip-best one; 1 % more wear per kelvin above the best
    temperature; both assumptions, with bands in `spread`.
    """
    best = (
        numbers["best_pressure"]
        + numbers["best_pressure_load"] * (load - numbers["load_ref"])
        + numbers["wear_pressure"]
    )
    off = tyres.pressure / best - 1.0
    hot = np.maximum(tyres.temperature - numbers["best_temperature"], 0.0)
    factor = (1.0 + numbers["wear_off_pressure"] * off**2) * (1.0 + numbers["wear_overheat"] * hot)
    return np.asarray(numbers["wear_rate"] * sliding * factor / numbers["tread"])
