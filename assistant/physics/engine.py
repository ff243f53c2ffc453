"""The engine at full throttle: its power curve, the limiter, and what of it reaches the wheels."""

from __future__ import annotations

import numpy as np

from assistant.car.car import Engine
from assistant.physics.values import Array

LIMITER_BAND = 0.01
"""The limiter takes all power away within this share beyond the rev limit, so that solvers meet no step; assumption."""


def full_power(engine: Engine, rpm: Array) -> Array:
    """Power at the driven wheels at full throttle [W] from engine speed [1/min], without the limiter."""
    return np.asarray(engine.driveline * np.interp(rpm, engine.rpm, engine.power))


def wheel_power(engine: Engine, rpm: Array) -> Array:
    """Power at the driven wheels at full throttle [W] from engine speed [1/min]; nothing beyond the limiter's band."""
    left = np.clip((1.0 + LIMITER_BAND - rpm / engine.rev_limit) / LIMITER_BAND, 0.0, 1.0)
    return np.asarray(full_power(engine, rpm) * left)
