"""A lap: corners at their limit joined by straights driven at full throttle and braked in time.

Point mass between corners; the corner's speeds, slip drag and loads come from `corner`. Arrays are (moments, ends,
cars) unless said. Limits: one gear for the lap, no gear change, no draught, absolute lap times not to be trusted.
A corner is driven at its limit even where the straight before it brings the car there slower, or is too short to
brake on: the energy of such a lap does not close.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from assistant.car.car import Engine
from assistant.physics.braking import traction_limits
from assistant.physics.corner import SLOWEST, Limit
from assistant.physics.engine import LIMITER_BAND, full_power
from assistant.physics.fuel import fuel_burned
from assistant.physics.gearing import engine_speed, overall_ratio
from assistant.physics.loads import Flags
from assistant.physics.problem import Problem
from assistant.physics.values import GRAVITY, Array

PHASE_SHARES = np.array([0.35, 0.30, 0.35]).reshape(3, 1, 1)
"""Share of a corner's length that is entry, middle, exit; assumption."""
SLICES = 32
"""Slices a straight is integrated in; doubling them moves lap time by less than 1e-3 s (see tests)."""
NEAR_LIMITER = 0.995


@dataclass(frozen=True, eq=False)
class Lap:
    """time [s], fuel [kg], rpm_max, rpm_min [1/min], limiter [s]: (moments, cars).

    corner_time: time in each phase of each end [s], (moments, phases, ends, cars). straight_time, straight_speed
    (mean): (moments, ends, cars). engine_work, brake_work, loss_work [J]: (moments, cars), over one lap.
    """

    time: Array
    fuel: Array
    rpm_max: Array
    rpm_min: Array
    limiter: Array
    corner_time: Array
    straight_time: Array
    straight_speed: Array
    engine_work: Array
    brake_work: Array
    loss_work: Array


@dataclass(frozen=True, eq=False)
class Lengths:
    """corner, straight: length of each end and of the straight after it [m], (ends, 1)."""

    corner: Array
    straight: Array


@dataclass(frozen=True, eq=False)
class Straight:
    """One run down every straight: time, engine, brake and loss work [J], top speed, time at the limiter."""

    time: Array
    engine_work: Array
    brake_work: Array
    loss_work: Array
    top_speed: Array
    limiter: Array


def drive_lap(problem: Problem, limit: Limit, lengths: Lengths, engine: Engine) -> Lap:
    """Join the solved corners to a lap."""
    speed = np.sqrt(limit.point.speed_squared)
    corner_time = PHASE_SHARES * lengths.corner / speed
    engine_corner, brake_corner, loss_corner = corner_work(problem, limit, lengths)
    ahead = np.roll(speed[:, 0], -1, axis=1)
    run = drive_straight(problem, engine, speed[:, 2], ahead, lengths.straight)
    per_rev = revs_per_metre(problem)
    work = (engine_corner + run.engine_work).sum(axis=1)
    return Lap(
        time=corner_time.sum(axis=(1, 2)) + run.time.sum(axis=1),
        fuel=fuel_burned(work / engine.driveline, engine.fuel_use),
        rpm_max=(run.top_speed * per_rev).max(axis=1),
        rpm_min=(speed.min(axis=1) * per_rev).min(axis=1),
        limiter=run.limiter.sum(axis=1),
        corner_time=corner_time,
        straight_time=run.time,
        straight_speed=np.where(run.time > 0.0, lengths.straight / np.maximum(run.time, 1e-9), speed[:, 2]),
        engine_work=work,
        brake_work=(brake_corner + run.brake_work).sum(axis=1),
        loss_work=(loss_corner + run.loss_work).sum(axis=1),
    )


def corner_again(lap: Lap, limit: Limit, lengths: Lengths) -> Lap:
    """Give a lap the corners of a new solution and leave its straights as they were; fuel and revs stay with them."""
    corner_time = PHASE_SHARES * lengths.corner / np.sqrt(limit.point.speed_squared)
    return replace(lap, corner_time=corner_time, time=corner_time.sum(axis=(1, 2)) + lap.straight_time.sum(axis=1))


def revs_per_metre(problem: Problem) -> Array:
    """Engine speed [1/min] per m/s of road speed, in the lap's gear; (moments, ends, cars) or broadcast to it."""
    overall = overall_ratio(problem.numbers["gear"], problem.numbers["final_drive"])
    return engine_speed(1.0, 2.0 * np.pi * problem.rear_radius[:, 0], overall)


def straight_friction(problem: Problem) -> Array:
    """Drive or brake force over load of the tyres in a straight line, mean of the four, (moments, ends, cars).

    Load sensitivity at the loads on the scales; the mean leaves the trims between front and rear out.
    """
    numbers = problem.numbers
    share = problem.rest.scale_loads.mean(axis=0)[:, None, :] / numbers["load_ref"]
    grip = problem.fixed_grip.mean(axis=0)[:, 2] * share ** (numbers["load_exponent"] - 1.0)
    return np.asarray(numbers["grip"] * numbers["grip_long"] * grip)


def traction(problem: Problem) -> Array:
    """Largest drive force the rear tyres put down in a straight line [N], (moments, ends, cars); no aero."""
    rear_arm, height = problem.x_cg[:, 0], problem.rest.cg[2][:, None, :]
    limit = traction_limits(straight_friction(problem), problem.numbers["wheelbase"] - rear_arm, rear_arm, height)[1]
    return np.asarray(problem.mass[:, 0] * limit)


def resist(problem: Problem, speed_squared: Array) -> Array:
    """Air drag and rolling resistance on a straight [N]; argument (moments, ends, cars)."""
    rolling = problem.numbers["hysteresis"] * problem.mass[:, 0] * GRAVITY
    return np.asarray(0.5 * problem.place.air_density * problem.drag_area * speed_squared + rolling)


def corner_work(problem: Problem, limit: Limit, lengths: Lengths) -> tuple[Array, Array, Array]:
    """Engine, brake and loss work through each corner [J], (moments, ends, cars).

    Losses are slip drag, air and rolling at each phase; what the two halves of the corner need beyond the change of
    kinetic energy is engine work when positive and brake work when negative.
    """
    point, mass = limit.point, problem.mass[:, 0]
    pushed = point.lengthways.sum(axis=0) - problem.mass * point.forward
    loss = pushed * PHASE_SHARES * lengths.corner
    first = loss[:, 0] + 0.5 * loss[:, 1] + 0.5 * mass * (point.speed_squared[:, 1] - point.speed_squared[:, 0])
    last = 0.5 * loss[:, 1] + loss[:, 2] + 0.5 * mass * (point.speed_squared[:, 2] - point.speed_squared[:, 1])
    engine = np.maximum(first, 0.0) + np.maximum(last, 0.0)
    brake = np.maximum(-first, 0.0) + np.maximum(-last, 0.0)
    return engine, brake, loss.sum(axis=1)


def drive_straight(problem: Problem, engine: Engine, start: Array, end: Array, length: Array) -> Straight:
    """Accelerate from `start` and brake to `end` [m/s] over `length` [m]: the slower of the two at every slice.

    Drive is what the engine gives, no more than the rear tyres put down; braking is the entry's demand.
    """
    mass, brake = problem.mass[:, 0], -(problem.front_force + problem.rear_brake)[0]
    ds = length / SLICES
    per_rev = revs_per_metre(problem)
    rising = pull_away(problem, engine, start**2, ds, per_rev)
    falling = brake_back(problem, brake, end**2, ds)
    squared = np.minimum(rising, falling)
    speed = np.sqrt(squared)
    mean_square = 0.5 * (squared[1:] + squared[:-1])
    time = 2.0 * ds / (speed[1:] + speed[:-1])
    loss = resist(problem, mean_square) * ds
    crossing, peak, share = find_brake_point(rising, falling)
    net = 0.5 * mass * (squared[1:] - squared[:-1]) + loss
    pulled = 0.5 * mass * (peak - squared[:-1]) + share * loss
    at_limiter = speed[1:] * per_rev > NEAR_LIMITER * engine.rev_limit
    return Straight(
        time=time.sum(axis=0),
        engine_work=np.where(crossing, pulled, np.maximum(net, 0.0)).sum(axis=0),
        brake_work=np.where(crossing, pulled - net, np.maximum(-net, 0.0)).sum(axis=0),
        loss_work=loss.sum(axis=0),
        top_speed=np.sqrt(np.maximum(squared.max(axis=0), np.where(crossing, peak, 0.0).max(axis=0))),
        limiter=(time * at_limiter).sum(axis=0),
    )


def pull_away(problem: Problem, engine: Engine, start: Array, ds: Array, per_rev: Array) -> Array:
    """Squared speed at every slice's end at full throttle from `start` squared, (slices + 1, ...).

    Two-step method of Adams and Bashforth, begun with the midpoint. The limiter is no force here but a speed that is
    held; a car that leaves the corner above it coasts down to it.
    """
    grip, held = traction(problem), limiter_speed(problem, engine, per_rev) ** 2
    share = 2.0 * ds / problem.mass[:, 0]

    def drive(squared: Array) -> Array:
        speed = np.sqrt(np.maximum(squared, SLOWEST))
        return share * np.minimum(full_power(engine, speed * per_rev) / speed, grip)

    def coast(squared: Array) -> Array:
        return share * resist(problem, squared)

    slowing = coast(start)
    before = drive(start) - slowing
    middle = start + 0.5 * before
    rising = [start, np.minimum(start + drive(middle) - coast(middle), np.maximum(held, start - slowing))]
    for _ in range(SLICES - 1):
        here = rising[-1]
        slowing = coast(here)
        now = drive(here) - slowing
        rising.append(np.minimum(here + 1.5 * now - 0.5 * before, np.maximum(held, here - slowing)))
        before = now
    return np.asarray(np.maximum(np.stack(rising), SLOWEST))  # a car that drag would stop creeps on


def limiter_speed(problem: Problem, engine: Engine, per_rev: Array) -> Array:
    """Speed at which the limiter leaves just the power that drag and rolling take [m/s]."""
    least = engine.rev_limit / per_rev
    speed = least
    for _ in range(2):  # the limiter works within a band of one percent, in which drag hardly changes
        needed = resist(problem, speed**2) * speed / full_power(engine, speed * per_rev)
        speed = least * (1.0 + LIMITER_BAND * (1.0 - np.clip(needed, 0.0, 1.0)))
    return np.asarray(speed)


def brake_back(problem: Problem, brake: Array, end: Array, ds: Array) -> Array:
    """Squared speed at every slice's end from which the brakes and the drag come down to `end`, (slices + 1, ...).

    Exact: with drag k v^2 and all else constant, v^2 grows backwards as exp(2 k x / m).
    """
    back = np.arange(SLICES, -1, -1.0).reshape(-1, *[1] * end.ndim) * ds
    rate = np.maximum(problem.place.air_density * problem.drag_area / problem.mass[:, 0], 1e-12)
    grown = np.expm1(rate * back)
    return np.asarray(end + grown * (end + 2.0 * (brake + resist(problem, 0.0 * end)) / problem.mass[:, 0] / rate))


def find_brake_point(rising: Array, falling: Array) -> tuple[Flags, Array, Array]:
    """Find the slice in which the driver lifts and brakes, from squared speeds at its ends, (slices + 1, ...).

    Returns, per slice: whether it is that one, the squared speed at the point, and its place in the slice (0-1).
    """
    room = falling - rising
    crossing = (room[:-1] > 0.0) & (room[1:] <= 0.0)
    share = np.where(crossing, room[:-1] / np.where(crossing, room[:-1] - room[1:], 1.0), 0.0)
    return crossing, rising[:-1] + share * (rising[1:] - rising[:-1]), share
