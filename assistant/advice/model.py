"""A case as the vehicle model sees it: named numbers, the place, the moments of the run, and a solved corner."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.advice.results import Grid
from assistant.car.case import PHASES, STAGES, Case
from assistant.car.setup import Setup
from assistant.physics.attitude import Attitude, felt_balance, find_attitude
from assistant.physics.corner import Limit, Problem, set_problem, solve_limit
from assistant.physics.loads import Place
from assistant.physics.moments import Moments, given_moments, tyres_at
from assistant.physics.numbers import Array, Numbers, collect_numbers
from assistant.physics.phases import Phases, usual_phases
from assistant.physics.tyres import CurveShape, shape_curve

ALL_ROWS = 10


@dataclass(frozen=True)
class Model:
    """numbers: arrays of one car. end_weights: share of the cornering time spent in each end (ends,)."""

    case: Case
    numbers: Numbers
    place: Place
    curve: CurveShape
    moments: Moments
    end_ids: tuple[str, ...]


@dataclass(frozen=True)
class Balance:
    """Balance [%, + tight] of every cell, as the mean of the ends weighted by the time spent there, and per end."""

    grid: Grid
    ends: tuple[tuple[str, Grid], ...]
    limit: Limit
    problem: Problem


def read_model(case: Case) -> Model:
    """Turn a case into what the physics works on."""
    track = case.track
    ends = track.ends
    return Model(
        case=case,
        numbers=collect_numbers(case.car, case.tyre, case.setup),
        place=Place(
            radius=np.array([[end.radius] for end in ends]),
            bank=np.array([[end.bank] for end in ends]),
            grip=np.array([track.grip]),
            air_density=np.array([track.air_density]),
        ),
        curve=shape_curve(case.tyre.shape_c, case.tyre.shape_e),
        moments=given_moments(track.air_temperature, case.run_laps, 0.35 * case.run_laps),
        end_ids=tuple(end.id for end in ends),
    )


def set_up(model: Model, numbers: Numbers, phases: Phases | None = None) -> Problem:
    """Prepare the batch of `numbers` (cars on the last axis) for all stages, phases and ends of the case."""
    tyres = tyres_at(numbers, model.moments)
    return set_problem(
        numbers, tyres, phases or usual_phases(), model.place, model.curve, model.case.car.engine, ALL_ROWS
    )


def weigh_ends(model: Model, limit: Limit) -> Array:
    """Share of the cornering time spent in each end, (stages, phases, ends, cars): length over speed."""
    lengths = np.array([end.length for end in model.case.track.ends])[:, None]
    time = lengths / np.sqrt(limit.point.speed_squared)
    return np.asarray(time / time.sum(axis=2, keepdims=True))


def as_grid(cells: Array) -> Grid:
    """Name the cells of an array (stages, phases)."""
    return {phase: {stage: float(cells[s, p]) for s, stage in enumerate(STAGES)} for p, phase in enumerate(PHASES)}


def solve_setup(model: Model, setup: Setup, phases: Phases | None = None) -> Balance:
    """Solve one setup of the case's car in full; levers moved since the case's own setup are not re-scaled."""
    case = model.case
    numbers = collect_numbers(case.car, case.tyre, setup, weighed=case.setup)
    problem = set_up(model, numbers, phases)
    limit = solve_limit(problem)
    cells = felt_balance(problem, limit)
    weights = weigh_ends(model, limit)
    return Balance(
        grid=as_grid((cells * weights).sum(axis=2)[..., 0]),
        ends=tuple((end, as_grid(cells[:, :, e, 0])) for e, end in enumerate(model.end_ids)),
        limit=limit,
        problem=problem,
    )


def attitude_of(balance: Balance) -> Attitude:
    """Slip angles, steering and loads of a solved setup."""
    return find_attitude(balance.problem, balance.limit)
