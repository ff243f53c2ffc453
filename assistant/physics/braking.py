"""Straight-line braking and driving of a rigid car: axle loads, the brake share that suits them, and the limits.

`front_arm` a and `rear_arm` b from the center of gravity to each axle, L = a + b, `cg_height` h [m]. Level road, no
aero. Accelerations [m/s^2], positive forward. `friction` mu: tire force over load, the same at both axles. Source of
all: balance of forces and of moments about the contact points.
"""

from __future__ import annotations

import numpy as np

from assistant.physics.values import GRAVITY, Array, Real


def axle_loads(
    mass: Real, front_arm: Real, rear_arm: Real, cg_height: Real, acceleration: Real, gravity: float = GRAVITY
) -> tuple[Array, Array]:
    """Find the loads on both axles: m (g b - a_x h) / L and m (g a + a_x h) / L, as (front, rear) [N].

    acceleration a_x: negative under braking, which loads the front. Range: both loads positive.
    """
    wheelbase = np.asarray(front_arm + rear_arm)
    front = mass * (gravity * rear_arm - acceleration * cg_height) / wheelbase
    rear = mass * (gravity * front_arm + acceleration * cg_height) / wheelbase
    return np.asarray(front), np.asarray(rear)


def ideal_front_share(
    deceleration: Real, front_arm: Real, rear_arm: Real, cg_height: Real, gravity: float = GRAVITY
) -> Array:
    """Find the front share of brake force with which both axles work equally hard: (b + z h) / L, z = deceleration / g.

    deceleration [m/s^2], positive when braking. Dimensionless, 0 to 1.
    """
    wheelbase = np.asarray(front_arm + rear_arm)
    return (rear_arm + deceleration / gravity * cg_height) / wheelbase


def locking_decelerations(
    front_share: Real, friction: Real, front_arm: Real, rear_arm: Real, cg_height: Real, gravity: float = GRAVITY
) -> tuple[Array, Array]:
    """Find the decelerations [m/s^2] at which the front and the rear wheels would lock, as (front, rear).

    front: mu b g / (s L - mu h); rear: mu a g / ((1 - s) L + mu h), s = front_share of brake force. The lower of the
    two comes first: front lower means the car goes straight on, rear lower means it turns round. Infinite where an
    axle cannot lock. Equal, at mu g, when s is the ideal share for mu g.
    """
    wheelbase = np.asarray(front_arm + rear_arm)
    front_room = np.asarray(front_share * wheelbase - friction * cg_height)
    rear_room = np.asarray((1.0 - front_share) * wheelbase + friction * cg_height)
    with np.errstate(divide="ignore", invalid="ignore"):
        front = np.where(front_room > 0.0, friction * rear_arm * gravity / front_room, np.inf)
        rear = np.where(rear_room > 0.0, friction * front_arm * gravity / rear_room, np.inf)
    return front, rear


def traction_limits(
    friction: Real, front_arm: Real, rear_arm: Real, cg_height: Real, gravity: float = GRAVITY
) -> tuple[Array, Array]:
    """Find the largest accelerations [m/s^2] with the front or with the rear axle driven, as (front, rear).

    front: mu g b / (L + mu h); rear: mu g a / (L - mu h), or g b / h where the front wheels lift before that.
    cg_height 0 leaves the static loads.
    """
    wheelbase = np.asarray(front_arm + rear_arm)
    front = friction * gravity * rear_arm / (wheelbase + friction * cg_height)
    lifts = np.asarray(friction * cg_height > rear_arm)
    with np.errstate(divide="ignore", invalid="ignore"):
        gripping = friction * gravity * front_arm / (wheelbase - friction * cg_height)
        rear = np.where(lifts, gravity * rear_arm / np.asarray(cg_height, dtype=float), gripping)
    return np.asarray(front), rear
