"""An axle: two tires that share a slip angle, and a rear axle whose wheels may be locked together.

Side forces and slip angles are positive toward the center of a left turn. Tire arrays are (2, ..., cars): left, right.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.physics.tires import CurveShape, Grip, follow_curve, follow_force
from assistant.physics.values import Array

SLIP_ROUNDS = 4
"""Steps toward the slip for a force: within 1e-4 of the force where the slips at the two tires' peaks differ by a
factor of 1.4 (1e-7 for a curve with E below zero), within 1e-3 where they differ by three."""
TINY = 1e-12
"""Keeps roots and quotients at the very peak in their sense."""


@dataclass(frozen=True, eq=False)
class AxlePeak:
    """capacity: largest side force of the pair [N]; slip: shared slip angle there [rad]; sides: each tire's part."""

    capacity: Array
    slip: Array
    sides: Array


def find_axle_peak(grip: Grip, shape: CurveShape, offset: Array | float = 0.0, near: Array | None = None) -> AxlePeak:
    """Peak of the two tires' summed curve over their shared slip angle, by Newton's method.

    offset: slip of each tire beyond the shared one (toe, (2, ...)) [rad]. near: the shared slip at the peak of a state
    close by; one step from there does, else two are taken from the parabola through both peaks. With two the capacity
    is within 1e-7 of a fine grid for loads that differ by a factor of ten (slip growth up to 0.3 per doubling of load).
    """
    if near is None:
        weight = grip.peak / grip.slip**2
        slip, steps = (weight * (grip.slip - offset)).sum(axis=0) / weight.sum(axis=0), 2
    else:
        slip, steps = near, 1
    stiffness = grip.peak / grip.slip
    for _ in range(steps):
        _, slope, bend = follow_curve((slip + offset) / grip.slip, shape)
        down = (stiffness / grip.slip * bend).sum(axis=0)
        step = (stiffness * slope).sum(axis=0) / np.minimum(down, -1e-9)
        slip = slip - np.clip(step, -0.5 * slip, 0.5 * slip)
    sides = grip.peak * follow_force((slip + offset) / grip.slip, shape)
    return AxlePeak(sides.sum(axis=0), slip, sides)


def slip_for_force(grip: Grip, shape: CurveShape, peak: AxlePeak, need: Array, offset: Array | float = 0.0) -> Array:
    """Slip angle on the rising side at which the pair makes `need` [N]; the peak's slip where need >= capacity.

    Newton's method on the root of the share of capacity left, which falls almost evenly from no slip to the peak.
    """
    goal = np.sqrt(np.clip(1.0 - need / peak.capacity, 0.0, 1.0))
    slip = peak.slip * (1.0 - goal)
    force = grip.peak / peak.capacity
    for _ in range(SLIP_ROUNDS):
        share, slope, _ = follow_curve((slip + offset) / grip.slip, shape)
        left = np.sqrt(np.maximum(1.0 - (force * share).sum(axis=0), TINY))
        rise = np.maximum((force / grip.slip * slope).sum(axis=0), TINY)
        slip = np.clip(slip + 2.0 * left * (left - goal) / rise, 0.0, peak.slip)
    return np.where(goal > 0.0, slip, peak.slip)


def share_axle_force(
    grip: Grip, stiffness_share: Array, force: Array, mismatch: Array, locked: Array
) -> tuple[Array, Array]:
    """Lengthways force [N] of the left and right rear tire of an axle that carries `force` (drive +, brake -).

    mismatch D = (r_R/r_L)(R' - t/2)/(R' + t/2) - 1: slip the locked axle forces between its wheels; D > 0 turns in.
    Locked: F_xL = X C_L/(C_L+C_R) - D C_L C_R/(C_L+C_R), F_xR = X C_R/(C_L+C_R) + D C_L C_R/(C_L+C_R), with C the
    force per slip at the peak (combined slip: the secant there), times stiffness_share. Open: halves.
    locked: 1 = spool, 0 = open. Source: equal wheel speeds and linear slip stiffness, derived by hand.
    """
    secant = stiffness_share * grip.peak / grip.slip
    total = secant.sum(axis=0)
    couple = mismatch * secant[0] * secant[1] / total
    left = locked * (force * secant[0] / total - couple) + (1.0 - locked) * 0.5 * force
    return left, force - left
