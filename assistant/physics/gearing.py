"""Gears: from the road to the crankshaft and back."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from assistant.physics.values import Array, Real


def overall_ratio(gear: Real, final_drive: Real) -> Array:
    """Multiply transmission ratio and final drive: crankshaft turns per turn of the wheel."""
    return np.asarray(gear * final_drive)


def engine_speed(speed: Real, circumference: Real, overall: Real) -> Array:
    """Find engine speed [1/min] from road speed [m/s]: 60 v overall / circumference.

    circumference: the rolling one [m]. No wheelspin.
    """
    return np.asarray(60.0 * speed * overall / circumference)


def road_speed(engine: Real, circumference: Real, overall: Real) -> Array:
    """Find road speed [m/s] from engine speed [1/min]: the inverse of `engine_speed`."""
    return np.asarray(engine * circumference / (60.0 * overall))
