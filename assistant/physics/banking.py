"""A car on a banked turn: accelerations along and into the road, and the speed that goes with them.

`bank` leans the road into the turn when positive [rad]; `radius` is horizontal [m], both of the driven line. Derived
from Newton's law in axes of the road: x along it, y along it toward the center, z out of it (ISO 8855 for a left
turn). Any shapes that broadcast; bank below 90 degrees.
"""

from __future__ import annotations

import numpy as np

from assistant.physics.values import GRAVITY, Array, Real


def normal_acceleration(speed: Real, radius: Real, bank: Real, gravity: float = GRAVITY) -> Array:
    """Find how hard the car is pressed into the road: a_n = g cos(bank) + v^2/R sin(bank) [m/s^2].

    Times mass this is the sum of the tire loads (without downforce). speed [m/s].
    """
    return np.asarray(gravity * np.cos(bank) + np.square(speed) / radius * np.sin(bank))


def lateral_acceleration(speed: Real, radius: Real, bank: Real, gravity: float = GRAVITY) -> Array:
    """Find what the tires must give sideways: a_y = v^2/R cos(bank) - g sin(bank) [m/s^2].

    Positive toward the center of the turn; negative when the car would slide down the bank. speed [m/s].
    """
    return np.asarray(np.square(speed) / radius * np.cos(bank) - gravity * np.sin(bank))


def speed_squared(lateral: Real, radius: Real, bank: Real, gravity: float = GRAVITY) -> Array:
    """Find the speed at which the tires give `lateral` [m/s^2]: v^2 = R (a_y + g sin(bank)) / cos(bank) [m^2/s^2].

    The inverse of `lateral_acceleration`. Negative where no speed is low enough: the car would slide down even at rest.
    """
    return np.asarray(radius * (lateral + gravity * np.sin(bank)) / np.cos(bank))


def normal_line(bank: Real, gravity: float = GRAVITY) -> tuple[Array, Array]:
    """Write a_n as a straight line in a_y: a_n = g / cos(bank) + a_y tan(bank), as (constant [m/s^2], slope).

    `normal_acceleration` with the speed of `speed_squared` put in.
    """
    return np.asarray(gravity / np.cos(bank)), np.asarray(np.tan(bank))


def neutral_speed(radius: Real, bank: Real, gravity: float = GRAVITY) -> Array:
    """Find the speed [m/s] at which the tires need give nothing sideways: v^2 = g R tan(bank); bank not negative."""
    return np.sqrt(speed_squared(0.0, radius, bank, gravity))
