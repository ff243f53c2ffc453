"""Tires on a straight: what driving, braking and a staggered locked axle lose to slip on every meter.

A tire makes drive or brake force F only with slip s, and loses F s on every meter. Tires of unequal size on one shaft
slip against each other even when they push nothing: while the slips are small the rear pair loses
X^2/(K_L + K_R) + D^2 K_L K_R/(K_L + K_R), X its force, K the tires' stiffness, D their difference in size; the second
part is the scrub of stagger. The tires' own curve is followed as far as it goes.
Level road, no steering, no air forces on the loads; the trims between front and rear are left out. Revs are those of
the car's speed: the few percent that a pushing tire turns faster are left out.
Arrays are (4, moments, forces, 1, cars) unless said.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.physics.car_and_driver import Numbers
from assistant.physics.corner_problem import CornerProblem, roll_rear, trim_grip
from assistant.physics.formulas import Array, traction_limits
from assistant.physics.tire_grip import (
    SMALLEST_LOAD,
    AxlePeak,
    CurveShape,
    Grip,
    find_axle_peak,
    find_grip,
    follow_force,
    slip_for_force,
)

NODES = np.arange(5.0).reshape(5, 1, 1, 1) / 4.0
"""Places from no drive to the most there is at which the loss is worked out (see `SlipLoss`)."""
QUARTIC = np.linalg.inv(np.vander(NODES.ravel(), increasing=True))
"""From the loss at those places to the coefficients of the curve of fourth degree through them."""
LEAST_DRIVE = 0.05
"""Share of the traction that is left however much two tires of a shaft fight each other; keeps forces above nothing."""
STEPS = 4
"""Steps of Newton's method to the force the road gets of what the engine gives, at those places."""


@dataclass(frozen=True, eq=False)
class SlipLoss:
    """What slip takes on a meter of straight [J/m].

    While driving it is of fourth degree in how far the tires are on their way, which goes from 0 to 1 with the most
    drive the driver uses: F = scale (1 - (1 - reach x)^2), since the root of the grip left falls almost evenly with
    slip. most: that force [N]; road, engine: scale of the force at the road and of what the engine gives for it [N],
    (moments, 1, cars). reach: (cars,).
    pulling: of each rear tire, (5 coefficients, 2, moments, 1, cars); the front ones push nothing. taken: of all four
    together, by the engine's force.
    braking: loss of each tire under the brakes of the entry, (4, moments, 1, cars).
    """

    most: Array
    road: Array
    engine: Array
    reach: Array
    pulling: Array
    taken: Array
    braking: Array

    def of_pull(self, force: Array) -> Array:
        """Loss of each rear tire while driving with `force` [N] at the road, (2, ...)."""
        way = way_of(force, self.road, self.reach)
        coefficients = self.pulling[(slice(None), slice(None)) + (None,) * (way.ndim - self.road.ndim)]
        return follow_powers(coefficients, way)

    def leave_force(self, given: Array) -> Array:
        """Drive force left at the road [N] of what the engine gives; below nothing, where scrub slows the car."""
        left = given - follow_powers(self.taken, way_of(given, self.engine, self.reach))
        return np.minimum(left, self.most)


def find_slip_loss(problem: CornerProblem) -> SlipLoss:
    """Work out what slip takes on the straights, driving and braking."""
    road, reach = drive_capacity(problem), 1.0 - np.sqrt(1.0 - problem.numbers["limit_used"])
    forces = np.moveaxis(force_at(NODES, road, reach), 0, 1)
    lost = slip_loss(
        problem,
        add_last(np.zeros_like(forces), problem.full_brake[0]),
        add_last(forces, problem.full_brake[1]),
        add_last(0.0 * forces + problem.locked[-1], problem.locked[0]),
    )
    pulling = np.tensordot(QUARTIC, lost[2:, :, :-1], axes=(1, 2))
    pulled = pulling.sum(axis=1)
    most = force_at(1.0, road, reach)
    engine = (most + pulled.sum(axis=0)) / problem.numbers["limit_used"]
    given = force_at(NODES, engine, reach)
    taken = np.tensordot(QUARTIC, given - leave_exactly(given, road, reach, pulled), axes=1)
    return SlipLoss(most, road, engine, reach, pulling, taken, lost[:, :, -1])


def add_last(forces: Array, last: Array) -> Array:
    """Put one more, (1, cars), behind the forces of every moment, (moments, forces, 1, cars)."""
    return np.concatenate([forces, np.broadcast_to(last, forces[:, :1].shape)], axis=1)


def force_at(way: Array | float, scale: Array, reach: Array) -> Array:
    """Force [N] so far on the way from nothing to the most that is used."""
    return np.asarray(scale * (1.0 - (1.0 - reach * way) ** 2))


def way_of(force: Array, scale: Array, reach: Array) -> Array:
    """How far on the way the tires are with this force [N], 0 to 1."""
    left = np.sqrt(1.0 - np.clip(force / scale, 0.0, 1.0))
    return np.asarray(np.minimum((1.0 - left) / reach, 1.0))


def leave_exactly(given: Array, road: Array, reach: Array, pulled: Array) -> Array:
    """Drive force at the road [N] that with its loss is what the engine gives, F + loss(F) = given: Newton's method.

    Below nothing where the engine gives nothing.
    """
    way = way_of(given, road, reach)
    for _ in range(STEPS):
        slope = 2.0 * road * reach * (1.0 - reach * way) + follow_slope(pulled, way)
        miss = given - force_at(way, road, reach) - follow_powers(pulled, way)
        way = np.minimum(way + miss / slope, 1.0)
    return force_at(way, road, reach)


def drive_capacity(problem: CornerProblem) -> Array:
    """Largest drive force of the rear tires turned by one shaft [N], (moments, 1, cars); `traction` moves the loads."""
    most = traction(problem)[:, None]
    grip = find_straight_grip(problem, move_loads(problem, most))
    pair = Grip(grip.peak[2:], grip.slip[2:])
    peak = find_axle_peak(pair, problem.shape, slip_behind(problem.locked[-1] * larger_right(problem)))
    return np.asarray(np.clip(peak.capacity, LEAST_DRIVE * most, most)[:, 0])


def larger_right(problem: CornerProblem) -> Array:
    """How much larger the right rear tire rolls than the left one, standing, as a share, (moments, 1, 1, cars)."""
    left, right = roll_rear(problem, problem.standing[2:])
    return np.asarray(right / left - 1.0)


def slip_loss(problem: CornerProblem, front: Array, rear: Array, locked: Array) -> Array:
    """Loss of each tire [J/m] with these forces of both axles [N, drive +]; locked: share of lock of the rear axle.

    Tires that push nothing by themselves lose nothing, and on a shaft that is all locked or all open there is but one
    way to lose: neither is worked out.
    """
    grip = find_straight_grip(problem, move_loads(problem, front + rear))
    lost = np.zeros_like(grip.peak)
    pushed = np.asarray(front.any(axis=(0, 2, 3)))
    lost[:2, :, pushed] = lose_alone(pick_tires(grip, slice(0, 2), pushed), problem.shape, 0.5 * front[:, pushed])
    pair = pick_tires(grip, slice(2, 4))
    if (locked < 1.0).any():
        lost[2:] = lose_alone(pair, problem.shape, 0.5 * rear)
    if (locked > 0.0).any():
        lost[2:] += locked * (lose_together(pair, problem.shape, rear, larger_right(problem)) - lost[2:])
    return lost


def pick_tires(grip: Grip, tires: slice, forces: NDArray[np.bool_] | slice = slice(None)) -> Grip:
    """Keep some tires and some forces of (4, moments, forces, 1, cars)."""
    return Grip(grip.peak[tires, :, forces], grip.slip[tires, :, forces])


def move_loads(problem: CornerProblem, force: Array) -> Array:
    """Loads of the four tires standing, moved to the rear by a drive force at the road [N]."""
    height = problem.rest.cg[2][:, None, None]
    shift = 0.5 * force * height / problem.numbers["wheelbase"]
    moved = problem.standing + np.stack([-shift, -shift, shift, shift])
    return np.asarray(np.maximum(moved, SMALLEST_LOAD))


def find_straight_grip(problem: CornerProblem, loads: Array) -> Grip:
    """Lengthways peak of each tire and its slip there, wheels as they stand, treads as warm as in the corners."""
    numbers = problem.numbers
    fixed = (problem.fixed_grip / trim_grip(numbers)).mean(axis=(2, 3), keepdims=True)
    lean = standing_lean(numbers)[:, :, None, None]
    side = find_grip(numbers, loads, problem.air, lean, fixed)
    return Grip(numbers["grip_long"] * side.peak, side.slip / numbers["slip_stiffness"])


def standing_lean(numbers: Numbers) -> Array:
    """Lean of each tire on the straights, top toward the turn's side [rad], (4, 1, cars): the static camber."""
    flat = np.zeros_like(numbers["camber_lf"])
    return np.stack([numbers["camber_lf"], -numbers["camber_rf"], flat, flat])[:, None, :]


def lose_alone(grip: Grip, shape: CurveShape, force: Array) -> Array:
    """Loss of tires that each make `force` by themselves [J/m]; no more than their peak."""
    size = np.minimum(np.abs(force), grip.peak)
    single = AxlePeak(grip.peak, grip.slip, grip.peak[None])
    slip = slip_for_force(Grip(grip.peak[None], grip.slip[None]), shape, single, size)
    return np.asarray(size * slip)


def lose_together(pair: Grip, shape: CurveShape, force: Array, larger: Array) -> Array:
    """Loss of two tires on one shaft that make `force` together [J/m], (2, ...).

    larger: how much larger the right tire rolls than the left one, as a share; it slips that much more, forward.
    """
    behind = slip_behind(np.where(force < 0.0, -larger, larger))
    peak = find_axle_peak(pair, shape, behind)
    slips = slip_for_force(pair, shape, peak, np.abs(force), behind) + behind
    return np.asarray(np.abs(slips) * pair.peak * np.abs(follow_force(slips / pair.slip, shape)))


def slip_behind(larger: Array) -> Array:
    """Slip of the left and right tire of a shaft less that of the one which slips more, (2, ...), driving."""
    return np.stack([np.minimum(-larger, 0.0), np.minimum(larger, 0.0)])


def follow_powers(coefficients: Array, way: Array) -> Array:
    """Value of a sum of powers, coefficients (5, ...) from the constant on."""
    value = coefficients[-1]
    for coefficient in coefficients[-2::-1]:
        value = value * way + coefficient
    return np.asarray(value)


def follow_slope(coefficients: Array, way: Array) -> Array:
    """Slope of a sum of powers."""
    value = 4.0 * coefficients[4]
    for power in (3, 2, 1):
        value = value * way + power * coefficients[power]
    return np.asarray(value)


def straight_friction(problem: CornerProblem) -> Array:
    """Drive or brake force over load of the tires in a straight line, mean of the four, (moments, ends, cars).

    Load sensitivity at the loads on the scales; the mean leaves the trims between front and rear out.
    """
    numbers = problem.numbers
    share = problem.rest.scale_loads.mean(axis=0)[:, None, :] / numbers["load_ref"]
    grip = problem.fixed_grip.mean(axis=0)[:, 2] * share ** (numbers["load_exponent"] - 1.0)
    return np.asarray(numbers["grip"] * numbers["grip_long"] * grip)


def traction(problem: CornerProblem) -> Array:
    """Largest drive force the rear tires put down in a straight line [N], (moments, ends, cars); no aero."""
    rear_arm, height = problem.x_cg[:, 0], problem.rest.cg[2][:, None, :]
    limit = traction_limits(straight_friction(problem), problem.numbers["wheelbase"] - rear_arm, rear_arm, height)[1]
    return np.asarray(problem.mass[:, 0] * limit)
