"""How the car is driven near its limit: true slip angles, steering needed and its useful share, the tire at its limit.

The driver uses `limit_used` of what each axle must make at the limit and keeps the rest in hand: right at the peak the
slip of an axle would go as the root of the grip it has left, and no driver holds a car there. Speed and loads stay
those of the limit. Arrays (..., cars) as in `cornering`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.physics.car_and_driver import Numbers
from assistant.physics.corner_problem import CornerProblem, Flags
from assistant.physics.cornering import Limit
from assistant.physics.formulas import Array
from assistant.physics.suspension import RISE_LR, RISE_RR
from assistant.physics.tire_grip import follow_force, slip_for_force

FELT_PER_RADIAN = 3.0 * 180.0 / np.pi
"""Felt balance [%] per radian the rear axle steers. Assumption: 3 % per degree, band zero to double; it only turns
attitude levers into the same measure as the rest, it is no capacity."""


@dataclass(frozen=True, eq=False)
class Attitude:
    """What the tires do as the car is driven near its limit.

    slip_front, slip_rear [rad]. steer: mean front-wheel angle [rad]. useful_share: of the steering up to the front's
    peak; above 1 more wheel only scrubs. lock_share: of full lock.
    side: side force of each tire [N]; slide: its slip ratio lengthways; load [N]; lifted: wheels off the ground.
    sliding: power each tire turns into heat and wear [W], |F_y| v |sin slip| + |F_x| v |slip ratio|.
    """

    slip_front: Array
    slip_rear: Array
    steer: Array
    useful_share: Array
    lock_share: Array
    side: Array
    slide: Array
    load: Array
    lifted: Flags
    sliding: Array


def find_attitude(problem: CornerProblem, limit: Limit) -> Attitude:
    """Solve the true slip angles of a solved batch and what follows from them."""
    point, shape, numbers = limit.point, problem.shape, problem.numbers
    needs = numbers["limit_used"] * point.needs
    front = slip_for_force(point.front_grip, shape, point.front, needs[0], problem.toe)
    rear = slip_for_force(point.rear_grip, shape, point.rear, needs[1])
    rolling = numbers["wheelbase"] * np.cos(problem.place.bank) / problem.place.radius
    turned = rear_steer(problem, limit)
    steer = rolling + front - rear + turned
    slips = np.stack([front + problem.toe[0], front + problem.toe[1], rear, rear])
    peaks = np.concatenate([point.front_grip.slip, point.rear_grip.slip])
    forces = np.concatenate([point.front_grip.peak, point.rear_grip.peak])
    side = forces * follow_force(slips / peaks, shape)
    slide = point.lengthways / np.maximum(np.abs(side), 1.0) * np.tan(np.abs(slips))
    speed = np.sqrt(point.speed_squared)
    return Attitude(
        slip_front=front,
        slip_rear=rear,
        steer=steer,
        useful_share=steer / (rolling + point.front.slip - rear + turned),
        lock_share=steer / numbers["steering_lock"],
        side=side,
        slide=slide,
        load=point.outputs[:4],
        lifted=point.lifted,
        sliding=speed * (np.abs(side * np.sin(slips)) + np.abs(point.lengthways * slide)),
    )


def rear_steer(problem: CornerProblem, limit: Limit) -> Array:
    """Angle the rear axle is steered toward the inside of the turn at a solved batch [rad]; see `rear_steer_of`."""
    return rear_steer_of(problem.numbers, limit.point.outputs)


def rear_steer_of(numbers: Numbers, outputs: Array) -> Array:
    """Angle the rear axle is steered toward the inside of the turn [rad]: axle lead, and trailing links that lean.

    A link whose front end is higher by angle psi pushes the axle back by rise x tan(psi) where it is fastened, the rise
    being that of the axle against the body there, into bump. The right side further back points the axle outward: by
    lead / t, and by the difference of both links over the link base. Two links alike steer by roll x tan(psi) wherever
    they stand. Source: geometry of a trailing link. Body pitch over the length of a link is left out.
    outputs: rows of the load law (10, ...); with fewer rows the links' part is left out.
    """
    outward = numbers["rear_axle_lead"] / numbers["track_rear"]
    if outputs.shape[0] > RISE_RR:
        rise, lean = 0.5 * (outputs[RISE_LR] + outputs[RISE_RR]), outputs[RISE_LR] - outputs[RISE_RR]
        base = numbers["link_base"]
        for lever, side in (("link_angle_lr", 1.0), ("link_angle_rr", -1.0)):
            at_link = rise + 0.5 * side * base / numbers["spring_base"] * lean
            outward = outward - side * at_link * np.tan(numbers[lever] * numbers["link_per_hole"]) / base
    return np.asarray(-outward)


def felt_balance(problem: CornerProblem, limit: Limit) -> Array:
    """Balance as the driver feels it [%, + tight]: grip balance plus the steering the rear axle does by itself."""
    return np.asarray(limit.balance + problem.numbers["steer_felt"] * FELT_PER_RADIAN * rear_steer(problem, limit))
