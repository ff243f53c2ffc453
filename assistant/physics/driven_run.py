"""A run between stops: tire wear, tread and gas temperature, pressure and fuel, lap after lap.

The corner is solved at a dozen or so knots of the run, all in one batch; between knots the heat and wear the tires make
change in a straight line, so temperatures and wear follow in closed form. Solving and following are repeated until
they agree. Corner arrays are (4, knots, cars), others (knots, cars).

Where the car stands is the driver's word, not the model's: no such model knows absolute balance to a percent. So each
phase carries a trim between front and rear grip, solved for every car of a batch, that puts felt balance (mean of the
ends) where the driver says it is: neutral in the settled stage where nothing was reported. Everything said after that
is a change from there: what a lever does, and how the run drifts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from assistant.car.car import Three
from assistant.ground.names import PHASES
from assistant.ground.quantities import PSI
from assistant.physics.attitude import Attitude, felt_balance, find_attitude
from assistant.physics.car_and_driver import MEMBERS, Numbers, Phases
from assistant.physics.corner_problem import CornerProblem, set_problem
from assistant.physics.cornering import Limit, Near, look_near, road_lean, solve_limit, solve_near
from assistant.physics.formulas import Array
from assistant.physics.heat_and_wear import (
    Circuit,
    Moments,
    Span,
    Stop,
    corner_load,
    follow,
    place_knots,
    slip_round,
    start_moments,
    tires_at,
    weigh_span,
)
from assistant.physics.lap import Lap, corner_again, drive_lap
from assistant.physics.line import CornerLine
from assistant.physics.straight import standing_lean
from assistant.physics.suspension import TireState, fill_air
from assistant.physics.tire_grip import find_best_pressure

PASSES = 6
"""Times the run is solved and followed again; the last pass moves balance by less than 0.02 % (see tests)."""
NEAR_PASSES = 4
"""The same from a run that all cars are near to (one to three levers moved): as exact as PASSES from nothing."""
ROUNDS, NEAR_ROUNDS = 3, 1
"""Corrections of the corners in each pass after the first; fewer from a run whose derivatives are known."""
STRAIGHTS, NEAR_STRAIGHTS = 2, 3
"""Passes between drives down the straights, which hardly move from one to the next; the last pass drives them too.

From a run nearby of the same cars they are first taken as driven there; the second pass drives them on tires that have
followed."""
EASE = 1.0
"""Share of the way each pass goes to the newly followed state: near neutral the hotter axle changes sides."""


TRIM_PART = 0.5
"""Share of what is off the anchor that a pass takes from the trims: tires answer back, some by more than was taken."""


@dataclass(frozen=True)
class Anchor:
    """Where the driver says the car stands: balance [%, + tight] of entry, middle, exit, each over a part of it."""

    spans: tuple[Span, Span, Span]
    targets: Three = (0.0, 0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Beginning:
    """What of a run another one goes on from."""

    moments: Moments
    near: Near
    lap: Lap


@dataclass(frozen=True, eq=False)
class DrivenRun:
    """A computed run. laps: (knots,), laps done; a knot stands twice where a stop changes the state.

    moments: temperatures, wear and fuel used since the last fill. tires: hot pressures with them.
    balance: felt [%], (knots, phases, ends, cars). weights: share of cornering time per end, (knots, ends, cars).
    sliding: mean sliding power of each tire over a lap [W], (4, knots, cars). lap: times, fuel, rpm at every knot.
    at_once: felt balance on the tires it began with, before they answered.
    """

    laps: Array
    moments: Moments
    tires: TireState
    balance: Array
    weights: Array
    sliding: Array
    attitude: Attitude
    lap: Lap
    limit: Limit
    problem: CornerProblem
    at_once: Array

    @cached_property
    def near(self) -> Near:
        """What runs of cars like this one are solved from."""
        return look_near(self.problem, self.limit)

    @property
    def mean_balance(self) -> Array:
        """Balance [%] of each phase, mean of the ends by time, (knots, phases, cars)."""
        return np.asarray((self.balance * self.weights[:, None]).sum(axis=2))

    @property
    def beginning(self) -> Beginning:
        """What another run goes on from."""
        return Beginning(self.moments, self.near, self.lap)


def drive_run(
    numbers: Numbers,
    phases: Phases,
    circuit: Circuit,
    laps: int,
    stops: Sequence[Stop] = (),
    every_lap: bool = False,
    passes: int = PASSES,
    anchor: Anchor | None = None,
    begin: Beginning | None = None,
) -> DrivenRun:
    """Drive `laps` laps with every car of the batch.

    every_lap: a knot at every lap, the reference for the knots. anchor: shift the trims pass by pass so that every car
    stands where it says, and put the pressures of most grip that nobody knows at those at hand; the
    run's problem then holds the numbers with both. begin: a run of one car over the same knots that all cars are near
    to; fewer passes will do then.
    """
    knots, before = (np.arange(laps + 1.0), (None,) * (laps + 1)) if every_lap else place_knots(laps, stops)
    cars = numbers["mass"].shape[-1]
    moments = start_moments(circuit.air, len(knots), cars) if begin is None else begin.moments
    near = None if begin is None else begin.near
    latest: Limit | None = None
    known = begin.lap if begin is not None and begin.lap.time.shape[-1] == cars else None
    at_once: Array = np.zeros(0)
    for turn in range(passes + 1):
        tires = tires_at(numbers, moments)
        problem = set_problem(numbers, tires, phases, circuit.place, circuit.curve, circuit.engine, rows=10)
        latest = limit = solve_corners(problem, latest, near)
        if turn == 0:
            at_once = felt_balance(problem, limit)
        attitude = find_attitude(problem, limit)
        straights = None if drives_straights(turn, passes, near=near is not None) else known
        lap = known = join_lap(problem, limit, attitude, moments.line, circuit, straights)
        slip = slip_round(attitude, lap)
        if turn < passes:
            moments = part_way(
                moments, follow(problem, circuit, knots, before, tires, moments, slip, attitude, lap), turn
            )
            if anchor is not None:
                numbers = shift_trims(numbers, knots, felt_balance(problem, limit), lap.corner_time, anchor)
                numbers = find_best_pressures(numbers, knots, tires, corner_load(attitude, lap))
    time = lap.corner_time.sum(axis=1)
    return DrivenRun(
        laps=knots,
        moments=moments,
        tires=tires,
        balance=felt_balance(problem, limit),
        weights=time / time.sum(axis=1, keepdims=True),
        sliding=slip.mean(),
        attitude=attitude,
        lap=lap,
        limit=limit,
        problem=problem,
        at_once=at_once,
    )


def drives_straights(turn: int, passes: int, *, near: bool) -> bool:
    """Whether a pass drives down the straights. near: from a run nearby."""
    due = turn % NEAR_STRAIGHTS == 1 if near else turn % STRAIGHTS == 0
    return due or turn == passes


def solve_corners(problem: CornerProblem, limit: Limit | None, near: Near | None) -> Limit:
    """Solve the corners of a pass from those of the pass before, with the derivatives of a run nearby if there are."""
    if near is not None:
        start = near if limit is None else replace(near, unknowns=limit.unknowns, peaks=limit.point.peaks)
        return solve_near(problem, start, NEAR_ROUNDS)
    return solve_limit(problem) if limit is None else solve_limit(problem, limit, ROUNDS)


def join_lap(
    problem: CornerProblem, limit: Limit, attitude: Attitude, line: CornerLine, circuit: Circuit, known: Lap | None
) -> Lap:
    """Drive the lap of solved corners, with the straights of the pass before where they are known: they hardly move."""
    if known is None:
        return drive_lap(problem, limit, attitude, line, circuit.lengths, circuit.engine)
    return corner_again(known, problem, limit, attitude, line, circuit.lengths)


def part_way(old: Moments, new: Moments, turn: int) -> Moments:
    """Go `EASE` of the way from the old state to the new one; all the way on the first pass."""
    ease = EASE if turn else 1.0
    return replace(
        new,
        gas=old.gas + ease * (new.gas - old.gas),
        tread=old.tread + ease * (new.tread - old.tread),
        surface=old.surface + ease * (new.surface - old.surface),
        wear=old.wear + ease * (new.wear - old.wear),
        fuel_used=old.fuel_used + ease * (new.fuel_used - old.fuel_used),
        line=CornerLine(*(was + ease * (now - was) for was, now in zip(parts(old), parts(new), strict=True))),
    )


def parts(moments: Moments) -> list[Array]:
    """Arrays of the line."""
    return list(vars(moments.line).values())


def shift_trims(numbers: Numbers, knots: Array, balance: Array, corner_time: Array, anchor: Anchor) -> Numbers:
    """Take what balance is off the anchor from the trims of each phase, mean of the ends weighted by time."""
    time = corner_time.sum(axis=1)
    mean = (balance * (time / time.sum(axis=1, keepdims=True))[:, None]).sum(axis=2)
    trims = {}
    for p, phase in enumerate(PHASES):
        off = weigh_span(knots, anchor.spans[p]) @ mean[:, p] - anchor.targets[p]
        trims[f"trim_{phase}"] = numbers[f"trim_{phase}"] - TRIM_PART * off / 100.0
    return {**numbers, **trims}


def find_best_pressures(numbers: Numbers, knots: Array, tires: TireState, load: Array) -> Numbers:
    """Take the pressure and cornering load every tire has a third into the run for those of most grip, if unknown."""
    known = numbers["best_pressure_known"] > 0.0
    weights = weigh_span(knots, (knots[-1] / 3.0, knots[-1] / 3.0))
    found = {}
    for values, name in ((tires.pressure, "best_pressure"), (load, "best_load")):
        for corner, one in zip(MEMBERS[4], values, strict=True):
            found[f"{name}_{corner}"] = np.where(known, numbers[f"{name}_{corner}"], weights @ one)
    return {**numbers, **found}


LARGEST_TRIM = 0.3
"""Share of grip that a trim of a plausible car may reach; one that needs more is no such car."""


EDGES_PER_RADIAN = 10.0 / 1.8 * 180.0 / np.pi
"""Edge that leans into the turn less the other edge, per radian of lean [K/rad]: 10 F per degree; assumption."""
MIDDLE_PER_PASCAL = 2.5 / 1.8 / PSI
"""Middle less the mean of the edges, per pascal above the load's best [K/Pa]: 2.5 F per psi; assumption."""
EVEN_TILT = 0.8
"""Largest share of the rise over the air that a difference across the tread may reach; keeps absurd set-ups sane."""
OUTWARD = np.array([-1.0, 1.0, -1.0, 1.0]).reshape(4, 1, 1)
"""+1 where the edge toward the turn is the tire's inside edge (right tires), -1 on the left."""


@dataclass(frozen=True, eq=False)
class Tread:
    """Temperatures of the three strips [K], (4, knots, cars)."""

    inside: Array
    middle: Array
    outside: Array


def read_tread(run: DrivenRun, air: float) -> Tread:
    """Temperatures across every tread at every knot of a run; inside is the edge toward the car's centerline. air [K].

    A tire that leans into the turn works its edge on that side; in the corner the two edges share alike at the lean
    with most grip, on the straights (no side force) at no lean at all. A tire with more air than its load wants works
    its middle. Both sizes are assumptions from memory (`knowledge/base/tire-reading.yaml` states the same and a test
    holds them together); they hold for a tire at its best temperature and shrink with the rise over the air. Range: a
    few degrees of lean and about 8 psi off; the three never fall below the air.
    """
    numbers, attitude, lap = run.problem.numbers, run.attitude, run.lap
    rolled = numbers["hysteresis"] * attitude.load * np.sqrt(run.limit.point.speed_squared)
    heat = (numbers["heat_share"] * attitude.sliding + rolled) * lap.corner_time
    in_corner = heat.sum(axis=(2, 3))
    lean = (road_lean(numbers, run.limit.point.outputs) * heat).sum(axis=(2, 3)) / in_corner
    load = (attitude.load * heat).sum(axis=(2, 3)) / in_corner
    on_straight = straight_heat(run)
    share = in_corner / (in_corner + on_straight)
    tilt = share * (lean - numbers["best_camber"]) + (1.0 - share) * standing_lean(numbers)
    even = find_best_pressure(numbers, fill_air(numbers, run.tires.pressure), load)
    return spread_across(
        run.moments.tread,
        air,
        scale=(run.moments.tread - air) / (numbers["best_temperature"] - air),
        edges=EDGES_PER_RADIAN * OUTWARD * tilt,
        crown=MIDDLE_PER_PASCAL * (run.tires.pressure - even),
    )


def spread_across(mean: Array, air: float, scale: Array, edges: Array, crown: Array) -> Tread:
    """Three temperatures with this mean: inside less outside = scale x edges, middle less edges = scale x crown."""
    room = EVEN_TILT * np.maximum(mean - air, 0.0)
    tilt, bulge = np.clip(scale * edges, -room, room), np.clip(scale * crown, -room, room)
    return Tread(
        inside=mean - bulge / 3.0 + tilt / 2.0,
        middle=mean + bulge * (2.0 / 3.0),
        outside=mean - bulge / 3.0 - tilt / 2.0,
    )


def straight_heat(run: DrivenRun) -> Array:
    """Heat of each tire on the straights of one lap [J], (4, knots, cars): rolling at the load standing, and slip."""
    numbers, lap = run.problem.numbers, run.lap
    length = (lap.straight_time * lap.straight_speed).sum(axis=1)
    rolled = numbers["hysteresis"] * run.problem.standing[:, :, 0, 0] * length
    return np.asarray(rolled + numbers["heat_share"] * lap.straight_slip.sum(axis=2))
