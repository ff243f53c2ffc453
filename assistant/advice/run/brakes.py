"""Brake share: where both axles would work equally hard, which axle locks first, and what one step does.

Straight-line closed forms of `assistant.physics.braking` on the car as it is when settled: level road, no downforce,
one friction at both ends. What a step does while turning in comes from the whole run.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from assistant.advice.computed.forecast import Forecast
from assistant.advice.computed.model import stage_laps
from assistant.advice.computed.standing import SETTLED
from assistant.advice.results import Grid
from assistant.car.car import Three
from assistant.car.case import PHASES, STAGES, Case
from assistant.car.changes import with_step
from assistant.car.setup import Setup
from assistant.physics.braking import ideal_front_share, locking_decelerations
from assistant.physics.phases import usual_phases
from assistant.physics.run import Run
from assistant.physics.straight import straight_friction
from assistant.physics.values import GRAVITY, Array


@dataclass(frozen=True)
class Brakes:
    """Shares are the front's share of brake force (0-1); decelerations [m/s2].

    share_ideal: where both axles work equally hard at the entry's demand (share of the weight). share_locking: where
    both would lock together on this grip. lock_first: "front" or "rear", with the share fitted. lock_front, lock_rear:
    deceleration at which each axle would lock. friction: brake force over load. steps: change of balance [%] per legal
    step, "front" or "rear" (the way the share moves) to its size and grid; empty where the rules fix it.
    """

    share_now: float
    share_ideal: float
    share_locking: float
    demand: float
    friction: float
    lock_first: str
    lock_front: float
    lock_rear: float
    steps: Mapping[str, tuple[float, Grid]]


@dataclass(frozen=True)
class Straight:
    """Straight-line part of `Brakes`. mass [kg]; arms: to the front and the rear axle, height of the center [m]."""

    mass: float
    arms: Three
    share_ideal: float
    share_locking: float
    demand: float
    friction: float
    lock_first: str
    lock_front: float
    lock_rear: float


def brake_neighbors(case: Case) -> dict[str, Setup]:
    """The case's setup with the brake share one legal step to the rear and to the front."""
    moved = {
        way: with_step(case.setup, case.rulebook, case.car, "brake_bias", steps)
        for way, steps in (("rear", -1), ("front", 1))
    }
    return {way: setup for way, (setup, stop) in moved.items() if stop is None}


def judge_brakes(
    case: Case, run: Run, forecast: Forecast, neighbors: Mapping[str, Setup], moved: Sequence[Forecast]
) -> Brakes:
    """Judge the brakes of car 0 of a driven run. moved: the runs of `neighbors`, in their order."""
    share = case.setup.values["brake_bias"]
    straight = judge_shares(run, share)
    return Brakes(
        share_now=share,
        share_ideal=straight.share_ideal,
        share_locking=straight.share_locking,
        demand=straight.demand,
        friction=straight.friction,
        lock_first=straight.lock_first,
        lock_front=straight.lock_front,
        lock_rear=straight.lock_rear,
        steps={
            way: (setup.values["brake_bias"] - share, less(other.balance, forecast.balance))
            for (way, setup), other in zip(neighbors.items(), moved, strict=True)
        },
    )


def judge_shares(run: Run, share: float) -> Straight:
    """Judge a front share of brake force on car 0 of a driven run, braking straight when settled."""
    lap = float(stage_laps(round(float(run.laps[-1])))[SETTLED])
    numbers, rest = run.problem.numbers, run.problem.rest
    rear_arm = at(run, lap, rest.cg[0])
    arms = (float(numbers["wheelbase"][0]) - rear_arm, rear_arm, at(run, lap, rest.cg[2]))
    friction = at(run, lap, straight_friction(run.problem).mean(axis=1))
    demand = float(usual_phases().brake[0, 0, 0])
    front, rear = (float(one) for one in locking_decelerations(share, friction, *arms))
    return Straight(
        mass=at(run, lap, rest.mass),
        arms=arms,
        share_ideal=float(ideal_front_share(demand * GRAVITY, *arms)),
        share_locking=float(ideal_front_share(friction * GRAVITY, *arms)),
        demand=demand,
        friction=friction,
        lock_first="front" if front < rear else "rear",
        lock_front=front,
        lock_rear=rear,
    )


def at(run: Run, lap: float, values: Array) -> float:
    """Read values (knots, cars) of car 0 at a lap."""
    return float(np.interp(lap, run.laps, values[:, 0]))


def less(one: Grid, other: Grid) -> Grid:
    """Subtract two grids cell by cell."""
    return {phase: {stage: one[phase][stage] - other[phase][stage] for stage in STAGES} for phase in PHASES}
