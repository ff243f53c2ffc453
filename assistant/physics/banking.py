"""A car on a banked turn as one point or one axle: accelerations along and into the road, and the speeds they allow.

`bank` leans the road into the turn when positive [rad]; `radius` is horizontal [m], both of the driven line. Derived
from Newton's law in axes of the road: x along it, y along it towards the centre, z out of it (ISO 8855 for a left
turn).
"""

from __future__ import annotations

import numpy as np

from assistant.physics.values import GRAVITY, Array, Real


def normal_acceleration(speed: Real, radius: Real, bank: Real, gravity: float = GRAVITY) -> Array:
    """Find how hard the car is pressed into the road: a_n = g cos(bank) + v^2/R sin(bank) [m/s^2].

    Times mass this is the sum of the tyre loads (without downforce). speed [m/s]; any shapes that broadcast.
    """
    return np.asarray(gravity * np.cos(bank) + np.square(speed) / radius * np.sin(bank))


def lateral_acceleration(speed: Real, radius: Real, bank: Real, gravity: float = GRAVITY) -> Array:
    """Find what the tyres must give sideways: a_y = v^2/R cos(bank) - g sin(bank) [m/s^2].

    Positive towards the centre of the turn; negative when the car would slide down the bank. speed [m/s].
    """
    return np.asarray(np.square(speed) / radius * np.cos(bank) - gravity * np.sin(bank))


def speed_for(lateral: Real, radius: Real, bank: Real, gravity: float = GRAVITY) -> Array:
    """Find the speed [m/s] at which the tyres give `lateral` [m/s^2]: v^2 = R (a_y + g sin(bank)) / cos(bank).

    The inverse of `lateral_acceleration`. 0 where no speed is low enough (the car would slide down even at rest).
    Range: bank below 90 degrees.
    """
    square = np.asarray(radius * (lateral + gravity * np.sin(bank)) / np.cos(bank))
    return np.sqrt(np.maximum(square, 0.0))


def neutral_speed(radius: Real, bank: Real, gravity: float = GRAVITY) -> Array:
    """Find the speed [m/s] at which the tyres need give nothing sideways: v^2 = g R tan(bank)."""
    return np.sqrt(np.asarray(gravity * radius * np.tan(bank)))


def neutral_bank(speed: Real, radius: Real, gravity: float = GRAVITY) -> Array:
    """Find the bank [rad] on which the tyres need give nothing sideways: tan(bank) = v^2 / (g R)."""
    return np.arctan(np.square(speed) / (gravity * np.asarray(radius)))


def fastest_speed(radius: Real, bank: Real, friction: Real, gravity: float = GRAVITY) -> Array:
    """Find the speed [m/s] above which a point slides up: v^2 = g R (tan(bank) + mu) / (1 - mu tan(bank)).

    friction: mu, sideways force over load. Infinite where mu tan(bank) reaches 1: no speed is too high.
    """
    slope = np.tan(bank)
    room = np.asarray(1.0 - friction * slope)
    with np.errstate(divide="ignore", invalid="ignore"):
        square = np.where(room > 0.0, gravity * radius * (slope + friction) / room, np.inf)
    return np.sqrt(square)


def slowest_speed(radius: Real, bank: Real, friction: Real, gravity: float = GRAVITY) -> Array:
    """Find the speed [m/s] below which a point slides down: v^2 = g R (tan(bank) - mu) / (1 + mu tan(bank)).

    friction: mu, sideways force over load. 0 where friction holds the car on the bank even at rest.
    """
    slope = np.tan(bank)
    square = np.asarray(gravity * radius * (slope - friction) / (1.0 + friction * slope))
    return np.sqrt(np.maximum(square, 0.0))


def side_loads(mass: Real, track: Real, cg_height: Real, normal: Real, lateral: Real) -> tuple[Array, Array]:
    """Share the load between the inside and the outside wheels: m a_n / 2 -+ m a_y h / t, as (inside, outside) [N].

    mass [kg]; track t and cg_height h [m], the mass half-way between the wheels; normal, lateral: a_n, a_y [m/s^2].
    Range: a rigid car (no roll). A negative load means the wheel has left the road and the formula no longer holds.
    """
    half = np.asarray(mass * normal / 2.0)
    moved = np.asarray(mass * lateral * cg_height / track)
    return half - moved, half + moved
