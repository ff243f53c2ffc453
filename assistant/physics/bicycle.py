"""The linear single-track car: each axle one wheel, force proportional to slip angle; far below the limit only.

Axes ISO 8855: a left turn has positive steer, yaw rate and lateral acceleration. `front_arm` a and `rear_arm` b are
from the center of gravity to each axle, L = a + b [m]. Stiffnesses are per AXLE (both tires) [N/rad]; books that
state them per tire need twice the value. Source of all: the steady state of m a_y = F_f + F_r, a F_f = b F_r, F = C
alpha, delta = L/R + alpha_f - alpha_r; definitions as in ISO 8855 and SAE J670.
"""

from __future__ import annotations

import numpy as np

from assistant.physics.values import Array, Real


def understeer_gradient(
    mass: Real, front_arm: Real, rear_arm: Real, front_stiffness: Real, rear_stiffness: Real
) -> Array:
    """Find how much more steer each m/s^2 takes: K = (m/L) (b/C_f - a/C_r) [rad per m/s^2].

    Positive: understeer (tight); negative: oversteer (loose). Times 9.80665 and 180/pi it is in degrees per g.
    """
    wheelbase = np.asarray(front_arm + rear_arm)
    return mass / wheelbase * (rear_arm / np.asarray(front_stiffness) - front_arm / np.asarray(rear_stiffness))


def steer_needed(wheelbase: Real, radius: Real, lateral: Real, gradient: Real) -> Array:
    """Find the mean front-wheel angle that holds a circle: delta = L/R + K a_y [rad].

    lateral: a_y [m/s^2], as the tires give it.
    """
    return np.asarray(wheelbase / radius + gradient * lateral)


def characteristic_speed(wheelbase: Real, gradient: Real) -> Array:
    """Find the speed [m/s] at which an understeering car needs twice the steer of a slow one: sqrt(L/K).

    Infinite for K <= 0.
    """
    return _square_root_of_ratio(wheelbase, np.asarray(gradient, dtype=float))


def critical_speed(wheelbase: Real, gradient: Real) -> Array:
    """Find the speed [m/s] above which an oversteering car is unstable: sqrt(L/-K).

    Infinite for K >= 0.
    """
    return _square_root_of_ratio(wheelbase, -np.asarray(gradient, dtype=float))


def body_slip(speed: Real, turning: Real, rear_arm: Real, rear_slip: Real) -> Array:
    """Find the body slip angle at the center of gravity: beta = b r/v - alpha_r [rad].

    In a left turn: negative when the nose points into the turn, as it does near the limit; b/R when crawling.
    turning: yaw rate r [rad/s]. rear_slip: alpha_r [rad], positive when the rear tires push toward the center.
    """
    return np.asarray(rear_arm * turning / speed - rear_slip)


def _square_root_of_ratio(above: Real, below: Array) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(below > 0.0, np.sqrt(above / below), np.inf)
