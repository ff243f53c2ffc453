"""The engine at full throttle: its power curve, the limiter, and what of it reaches the wheels."""

from __future__ import annotations

import numpy as np

from assistant.car.car import Engine
from assistant.physics.values import Array, Real

LIMITER_BAND = 0.01
"""The limiter takes all power away within this share beyond the rev limit, so that solvers meet no step; assumption."""

STANDING = 1.0
"""Engine speed [1/min] below which it as good as stands, also where a power curve begins at nothing."""


def crank_power(engine: Engine, rpm: Real) -> Array:
    """Power at the crankshaft at full throttle [W] from engine speed [1/min], without the limiter.

    Below the curve's first point the torque stays what it is there, beyond its last the power; assumptions.
    """
    first = max(engine.rpm[0], STANDING)
    return np.asarray(np.minimum(np.asarray(rpm) / first, 1.0) * np.interp(rpm, engine.rpm, engine.power))


def full_power(engine: Engine, rpm: Array) -> Array:
    """Power at the driven wheels at full throttle [W] from engine speed [1/min], without the limiter."""
    return engine.driveline * crank_power(engine, rpm)


def wheel_power(engine: Engine, rpm: Array) -> Array:
    """Power at the driven wheels at full throttle [W] from engine speed [1/min]; nothing beyond the limiter's band."""
    left = np.clip((1.0 + LIMITER_BAND - rpm / engine.rev_limit) / LIMITER_BAND, 0.0, 1.0)
    return np.asarray(full_power(engine, rpm) * left)
