"""A lap: corners at their limit joined by straights driven at full throttle and braked in time.

Point mass between corners, with the tires' slip on the straights (`straight`); the corner's speeds and loads come from
`cornering`, its slip from `attitude`. Arrays are (moments, ends, cars) unless said.
Limits: one gear for the lap, no gear change, no draft, absolute lap times not to be trusted.
A corner is driven at its limit even where the straight before it brings the car there slower, or is too short to
brake on: the energy of such a lap does not close.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from assistant.car.car import Engine
from assistant.ground.quantities import GRAVITY
from assistant.physics.attitude import Attitude
from assistant.physics.corner_problem import CornerProblem, Flags
from assistant.physics.cornering import SLOWEST, Limit
from assistant.physics.formulas import (
    LIMITER_BAND,
    Array,
    engine_speed,
    fuel_burned,
    full_power,
    overall_ratio,
)
from assistant.physics.line import (
    EXIT,
    FLOOR,
    MIDDLE,
    CornerLine,
    Lengths,
    Motion,
    find_speeds,
    phase_lengths,
    straight_lengths,
)
from assistant.physics.straight import SlipLoss, find_slip_loss

SLICES = 16
"""Slices a straight is integrated in; doubling them moves lap time by less than 1e-3 s (see tests)."""
NEAR_LIMITER = 0.995
TINY = 1e-9
"""Length [m] that keeps a force over no distance in its sense."""


@dataclass(frozen=True, eq=False)
class Lap:
    """time [s], fuel [kg], rpm_max, rpm_min [1/min], limiter [s]: (moments, cars).

    corner_time: time in each phase of each end [s], (moments, phases, ends, cars). straight_time, straight_speed
    (mean): (moments, ends, cars). straight_slip: work of each tire's slip on each straight [J], (4, moments, ends,
    cars). engine_work, brake_work, loss_work [J]: (moments, cars), over one lap. driven: what the next line
    goes on from.
    """

    time: Array
    fuel: Array
    rpm_max: Array
    rpm_min: Array
    limiter: Array
    corner_time: Array
    straight_time: Array
    straight_speed: Array
    straight_slip: Array
    engine_work: Array
    brake_work: Array
    loss_work: Array
    driven: Motion


@dataclass(frozen=True, eq=False)
class Straight:
    """One run down every straight: time, engine, brake and loss work [J], top speed, time at the limiter.

    arrival: square of the speed at its end at full throttle, gain: what a meter adds to it there. slip_work: the part
    of the loss each tire takes [J], (4, moments, ends, cars).
    """

    time: Array
    slip_work: Array
    engine_work: Array
    brake_work: Array
    loss_work: Array
    top_speed: Array
    limiter: Array
    arrival: Array
    gain: Array


def drive_lap(
    problem: CornerProblem, limit: Limit, attitude: Attitude, line: CornerLine, lengths: Lengths, engine: Engine
) -> Lap:
    """Join the solved corners to a lap."""
    squared, along = limit.point.speed_squared, phase_lengths(line, lengths)
    speed, straight = np.sqrt(squared), straight_lengths(line, lengths)
    corner_time = along / speed
    loss, forward = corner_forces(problem, limit, attitude)
    engine_corner, brake_corner = corner_work(problem.mass * forward + loss, along)
    speeds = find_speeds(squared[:, MIDDLE], forward, along)
    slowest = FLOOR * squared[:, MIDDLE]
    leaving, ahead = (np.sqrt(np.maximum(part, slowest)) for part in (speeds.end, speeds.begin))
    run = drive_straight(problem, engine, leaving, np.roll(ahead, -1, axis=1), straight)
    per_rev = revs_per_meter(problem)
    work = (engine_corner + run.engine_work).sum(axis=1)
    return Lap(
        time=corner_time.sum(axis=(1, 2)) + run.time.sum(axis=1),
        fuel=fuel_burned(work / engine.driveline, engine.fuel_use),
        rpm_max=(run.top_speed * per_rev).max(axis=1),
        rpm_min=(speed.min(axis=1) * per_rev).min(axis=1),
        limiter=run.limiter.sum(axis=1),
        corner_time=corner_time,
        straight_time=run.time,
        straight_speed=np.where(run.time > 0.0, straight / np.maximum(run.time, 1e-9), speed[:, EXIT]),
        straight_slip=run.slip_work,
        engine_work=work,
        brake_work=(brake_corner + run.brake_work).sum(axis=1),
        loss_work=((loss * along).sum(axis=1) + run.loss_work).sum(axis=1),
        driven=Motion(squared, forward, run.arrival, run.gain, straight),
    )


def corner_again(
    lap: Lap, problem: CornerProblem, limit: Limit, attitude: Attitude, line: CornerLine, lengths: Lengths
) -> Lap:
    """Give a lap the corners of a new solution and leave its straights as they were; fuel and revs stay with them."""
    squared = limit.point.speed_squared
    corner_time = phase_lengths(line, lengths) / np.sqrt(squared)
    time = corner_time.sum(axis=(1, 2)) + lap.straight_time.sum(axis=1)
    forward = corner_forces(problem, limit, attitude)[1]
    return replace(lap, corner_time=corner_time, time=time, driven=replace(lap.driven, limit=squared, forward=forward))


def revs_per_meter(problem: CornerProblem) -> Array:
    """Engine speed [1/min] per m/s of road speed, in the lap's gear; (moments, ends, cars) or broadcast to it."""
    overall = overall_ratio(problem.numbers["gear"], problem.numbers["final_drive"])
    return engine_speed(1.0, 2.0 * np.pi * problem.rear_radius[:, 0], overall)


def resist(problem: CornerProblem, speed_squared: Array) -> Array:
    """Air drag and rolling resistance on a straight [N]; argument (moments, ends, cars)."""
    rolling = problem.numbers["hysteresis"] * problem.mass[:, 0] * GRAVITY
    return np.asarray(0.5 * problem.place.air_density * problem.drag_area * speed_squared + rolling)


def corner_forces(problem: CornerProblem, limit: Limit, attitude: Attitude) -> tuple[Array, Array]:
    """What air, rolling and slip take on a meter [N], and the acceleration along the line [m/s2], in each phase.

    Slip that makes drive or brake force is the engine's and the brakes' to make good; side slip slows the car.
    """
    point, slides = limit.point, attitude.slide
    speed = np.sqrt(point.speed_squared)
    air = 0.5 * problem.place.air_density * problem.drag_area * point.speed_squared
    rolling = problem.numbers["hysteresis"] * point.outputs[:4].sum(axis=0)
    slip, made_good = attitude.sliding.sum(axis=0) / speed, np.abs(point.lengthways * slides).sum(axis=0)
    loss = air + rolling + slip
    return loss, (point.lengthways.sum(axis=0) + made_good - loss) / problem.mass


def corner_work(force: Array, along: Array) -> tuple[Array, Array]:
    """Engine and brake work through each corner [J], (moments, ends, cars), of the force in each phase [N]."""
    work = force * along
    return np.maximum(work, 0.0).sum(axis=1), np.maximum(-work, 0.0).sum(axis=1)


def drive_straight(problem: CornerProblem, engine: Engine, start: Array, end: Array, length: Array) -> Straight:
    """Accelerate from `start` and brake to `end` [m/s] over `length` [m]: the slower of the two at every slice.

    Drive is what the engine gives less what slip takes of it, no more than the driver lets the rear tires put down;
    braking is the entry's demand.
    """
    mass, brake = problem.mass[:, 0], -problem.full_brake.sum(axis=0)[:, 0]
    ds, slip = length / SLICES, find_slip_loss(problem)
    per_rev = revs_per_meter(problem)
    rising = pull_away(problem, slip, engine, start**2, ds, per_rev)
    falling = brake_back(problem, brake, end**2, ds)
    squared = np.minimum(rising, falling)
    speed = np.sqrt(squared)
    mean_square = 0.5 * (squared[1:] + squared[:-1])
    time = 2.0 * ds / (speed[1:] + speed[:-1])
    dragged = resist(problem, mean_square) * ds
    crossing, peak, share = find_brake_point(rising, falling)
    pulling = np.where(crossing, share, rising[:-1] < falling[:-1])
    change = 0.5 * mass * (squared[1:] - squared[:-1]) + dragged
    pulled = np.where(crossing, 0.5 * mass * (peak - squared[:-1]) + share * dragged, pulling * change)
    pull_slip = slip.of_pull(pulled / np.maximum(pulling * ds, TINY)) * (pulling * ds)
    braked = (1.0 - pulling) * ds
    given, taken = pulled + pull_slip.sum(axis=0), pulled - change - slip.braking.sum(axis=0) * braked
    at_limiter = speed[1:] * per_rev > NEAR_LIMITER * engine.rev_limit
    slip_work = slip.braking * braked.sum(axis=0)
    slip_work[2:] += pull_slip.sum(axis=1)
    return Straight(
        time=time.sum(axis=0),
        slip_work=slip_work,
        engine_work=(np.maximum(given, 0.0) + np.maximum(-taken, 0.0)).sum(axis=0),
        brake_work=(np.maximum(-given, 0.0) + np.maximum(taken, 0.0)).sum(axis=0),
        loss_work=dragged.sum(axis=0) + slip_work.sum(axis=0),
        top_speed=np.sqrt(np.maximum(squared.max(axis=0), np.where(crossing, peak, 0.0).max(axis=0))),
        limiter=(time * at_limiter).sum(axis=0),
        arrival=rising[-1],
        gain=(rising[-1] - rising[-2]) / np.maximum(ds, TINY),
    )


def pull_away(problem: CornerProblem, slip: SlipLoss, engine: Engine, start: Array, ds: Array, per_rev: Array) -> Array:
    """Squared speed at every slice's end at full throttle from `start` squared, (slices + 1, ...).

    Two-step method of Adams and Bashforth, begun with the midpoint. The limiter is no force here but a speed that is
    held; a car that leaves the corner above it coasts down to it.
    """
    held = limiter_speed(problem, engine, per_rev) ** 2
    share = 2.0 * ds / problem.mass[:, 0]
    scrub = slip.taken[0]

    def drive(squared: Array) -> Array:
        speed = np.sqrt(np.maximum(squared, SLOWEST))
        return share * slip.leave_force(full_power(engine, speed * per_rev) / speed)

    def drag(squared: Array) -> Array:
        return share * resist(problem, squared)

    slowing = drag(start)
    before = drive(start) - slowing
    middle = start + 0.5 * before
    coasted = start - slowing - share * scrub
    rising = [start, np.minimum(start + drive(middle) - drag(middle), np.maximum(held, coasted))]
    for _ in range(SLICES - 1):
        here = rising[-1]
        slowing = drag(here)
        now = drive(here) - slowing
        coasted = here - slowing - share * scrub
        rising.append(np.minimum(here + 1.5 * now - 0.5 * before, np.maximum(held, coasted)))
        before = now
    return np.asarray(np.maximum(np.stack(rising), SLOWEST))  # a car that drag would stop creeps on


def limiter_speed(problem: CornerProblem, engine: Engine, per_rev: Array) -> Array:
    """Speed at which the limiter leaves just the power that drag and rolling take [m/s]."""
    least = engine.rev_limit / per_rev
    speed = least
    for _ in range(2):  # the limiter works within a band of one percent, in which drag hardly changes
        needed = resist(problem, speed**2) * speed / full_power(engine, speed * per_rev)
        speed = least * (1.0 + LIMITER_BAND * (1.0 - np.clip(needed, 0.0, 1.0)))
    return np.asarray(speed)


def brake_back(problem: CornerProblem, brake: Array, end: Array, ds: Array) -> Array:
    """Squared speed at every slice's end from which the brakes and the drag come down to `end`, (slices + 1, ...).

    Exact: with drag k v^2 and all else constant, v^2 grows backward as exp(2 k x / m).
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
