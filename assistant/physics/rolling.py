"""Tire size and the turn it wants: circumference, stagger, natural turning radius, the slip of a locked axle.

Left and right as seen from the seat; a left turn, so the right tire runs on the outside. Lengths [m], angles [rad].
On a bank the axle lies along the road, so each wheel's path is its distance along the road from the axis of the turn:
R' = R / cos(bank), left R' - t/2, right R' + t/2.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from assistant.physics.values import Array, Real


def stagger(left: Real, right: Real) -> Array:
    """Find how much larger the right tire is: right less left circumference [m]; positive helps a left turn."""
    return np.asarray(right - left)


def natural_radius(left: Real, right: Real, track: Real) -> Array:
    """Find the radius of the circle a cone of two joined tires rolls, to the LEFT tire: t left / (right - left) [m].

    left, right: both circumferences or both diameters. Flat ground; negative when the pair turns right; infinite when
    equal.
    """
    with np.errstate(divide="ignore"):
        return np.asarray(track * np.asarray(left) / np.asarray(right - left, dtype=float))


def stagger_for(left: Real, radius: Real, track: Real, bank: Real = 0.0) -> Array:
    """Find the stagger with which a locked axle rolls a turn without slip: c_L t / (R' - t/2) [m].

    left: circumference of the left tire; radius: horizontal, to the middle of the axle. About c t cos(bank) / R.
    """
    along_road = np.asarray(radius / np.cos(bank))
    return np.asarray(left * track / (along_road - track / 2.0))


def locked_axle_slip(left: Real, right: Real, radius: Real, track: Real, bank: Real = 0.0) -> Array:
    """Find what a locked axle must slip between its tires: D = (right/left) (R' - t/2) / (R' + t/2) - 1.

    left, right: both circumferences or both radii. Positive: more stagger than the turn wants, so the right tire
    pushes, the left one drags, and the pair turns the car in (looser). 0 for `stagger_for` and for an open axle's
    free wheels.
    """
    along_road = np.asarray(radius / np.cos(bank))
    return np.asarray(right / np.asarray(left) * (along_road - track / 2.0) / (along_road + track / 2.0) - 1.0)
