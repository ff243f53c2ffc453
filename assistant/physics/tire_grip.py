"""What tires can do: peak force, slip at the peak, the curve between, and two tires on one axle.

Arrays in, arrays out, any shapes that broadcast; axles are (2, ..., cars): left, right. Side forces and slip angles are
positive toward the center of a left turn.
The curve is the Magic Formula F = D sin(C atan(B s - E (B s - atan(B s)))) with D the peak force and s the slip as a
share of the slip at the peak, so that C and E alone fix its shape. Under brake or drive both the side force at the
peak and its slip angle shrink by the friction ellipse: exact at the peak, an approximation below it.
Source of the curve: Bakker, Nyborg and Pacejka, SAE 870421 (1987). Load sensitivity: peak force grows as
load**n, fitted to Milliken and Milliken, Race Car Vehicle Dynamics, fig. 2.9.
The two tires of an axle share a slip angle; the wheels of a rear axle may be locked together.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, pi, tan

import numpy as np

from assistant.physics.car_and_driver import Numbers
from assistant.physics.formulas import Array

SMALLEST_LOAD = 1.0
"""Below this load [N] a tire carries nothing worth solving; keeps powers finite."""
LARGEST_ELLIPSE_SHARE = 0.97
"""Lengthways force is held to this share of the peak: past it a wheel spins or locks and has no steady state."""
LEAST_SLIP, LEAST_BEST = 0.1, 0.2
"""Shares of `peak_slip` and `best_pressure` below which pressure and load take neither; keep both above nothing."""
LEAST_LEFT = 0.05
"""Share of its grip that the most worn tire keeps; only keeps forces above nothing."""


@dataclass(frozen=True)
class CurveShape:
    """C and E of the Magic Formula, and B scaled so that the peak lies at slip 1."""

    c: float
    e: float
    b: float


@dataclass(frozen=True, eq=False)
class Grip:
    """What a tire can do now. peak: largest side force without brake or drive [N]. slip: slip there [rad]."""

    peak: Array
    slip: Array


@dataclass(frozen=True, eq=False)
class Air:
    """hot: gauge pressure now [Pa]. best: pressure with most grip [Pa] while the tire carries `load` [N]."""

    hot: Array
    best: Array
    load: Array


def shape_curve(c: float, e: float) -> CurveShape:
    """Find B so that the curve peaks at slip 1: b - e (b - atan b) = tan(pi / 2c). Needs 1 < c <= 2 and e < 1."""
    if not (1.0 < c <= 2.0 and e < 1.0):
        raise ValueError(f"a tire curve needs 1 < C <= 2 and E < 1, not C {c:g} and E {e:g}")
    goal, b = tan(pi / (2.0 * c)), 1.0
    for _ in range(60):
        b -= (b - e * (b - atan(b)) - goal) / (1.0 - e * (1.0 - 1.0 / (1.0 + b * b)))
    return CurveShape(c, e, b)


def follow_curve(slip: Array, shape: CurveShape) -> tuple[Array, Array, Array]:
    """Force as a share of the peak at `slip` (share of the slip at the peak), with its first and second derivatives."""
    t = shape.b * slip
    y = t - shape.e * (t - np.arctan(t))
    bend = 1.0 / (1.0 + t * t)
    dy = shape.b * (1.0 - shape.e + shape.e * bend)
    ddy = (-2.0 * shape.e * shape.b * shape.b) * t * bend * bend
    fall = shape.c / (1.0 + y * y)
    dturn = fall * dy
    ddturn = fall * ddy - (2.0 / shape.c) * y * dturn * dturn
    sine, cosine = sine_cosine(shape.c * np.arctan(y))
    return sine, cosine * dturn, cosine * ddturn - sine * dturn * dturn


def follow_force(slip: Array, shape: CurveShape) -> Array:
    """Force alone as a share of the peak."""
    t = shape.b * slip
    return sine_cosine(shape.c * np.arctan(t - shape.e * (t - np.arctan(t))))[0]


def follow_rise(slip: Array, shape: CurveShape) -> tuple[Array, Array]:
    """Force as a share of the peak, with its first derivative."""
    t = shape.b * slip
    y = t - shape.e * (t - np.arctan(t))
    sine, cosine = sine_cosine(shape.c * np.arctan(y))
    dy = shape.b * (1.0 - shape.e + shape.e / (1.0 + t * t))
    return sine, cosine * shape.c * dy / (1.0 + y * y)


def sine_cosine(angle: Array) -> tuple[Array, Array]:
    """Sine and cosine of angles within half a turn, from the tangent of the half: one slow function and not two."""
    half = np.tan(0.5 * angle)
    scale = 2.0 / (1.0 + half * half)
    return np.asarray(half * scale), np.asarray(scale - 1.0)


def find_grip(numbers: Numbers, load: Array, air: Air, lean: Array, fixed: Array) -> Grip:
    """Peak side force and its slip for four corners.

    load [N], lean: top of the tire toward the inside of the turn, to the road [rad]; (4, ..., cars).
    fixed: product of the multipliers that do not change within a corner (`steady_multiplier`).
    D = grip load (load/ref)^(n-1) x pressure x camber x fixed, each multiplier 1 / (1 + k off^2).
    """
    reference = numbers["load_ref"]
    share = np.maximum(load, SMALLEST_LOAD) / reference
    off_pressure = air.hot / find_best_pressure(numbers, air, load) - 1.0
    off_lean = lean - numbers["best_camber"]
    spoil = (1.0 + numbers["pressure_grip"] * off_pressure**2) * (1.0 + numbers["camber_grip"] * off_lean**2)
    peak = (numbers["grip"] * reference * fixed) * share ** numbers["load_exponent"] / spoil
    growth = numbers["peak_slip_growth"]
    stiffer = 1.0 - numbers["stiffness_pressure"] * (air.hot / air.best - 1.0)
    slip = numbers["peak_slip"] * np.maximum(stiffer * ((1.0 - growth) + growth * share), LEAST_SLIP)
    return Grip(peak, slip)


def find_best_pressure(numbers: Numbers, air: Air, load: Array) -> Array:
    """Pressure with most grip at these loads [Pa]: more load wants more air."""
    best = air.best + numbers["best_pressure_load"] * (load - air.load)
    return np.asarray(np.maximum(best, LEAST_BEST * air.best))


def steady_multiplier(numbers: Numbers, temperature: Array, wear: Array, age: Array) -> Array:
    """Grip share left by the skin's temperature [K], wear (0-1) and age [s]; the same through one phase of a corner.

    A run planned for longer than a tire lasts goes on with wear past 1: the tread is gone then, and takes no more grip.
    Heat ages rubber at first and then no more: 1 - aged_grip (1 - exp(-age / aging_time)); assumption.
    """
    off = temperature - numbers["best_temperature"]
    left = np.maximum(1.0 - numbers["worn_grip"] * np.minimum(wear, 1.0), LEAST_LEFT)
    aged = 1.0 - numbers["aged_grip"] * (1.0 - np.exp(-age / numbers["aging_time"]))
    return np.asarray(left * aged / (1.0 + numbers["temperature_grip"] * off**2))


def leave_for_side(grip: Grip, lengthways: Array, ratio: Array) -> Grip:
    """Side force and slip angle left at the peak when the tire also makes a lengthways force [N].

    Friction ellipse: F_y = D sqrt(1 - (F_x / (ratio D))^2); the slip angle at the peak shrinks alike.
    """
    used = np.clip(lengthways / (ratio * grip.peak), -LARGEST_ELLIPSE_SHARE, LARGEST_ELLIPSE_SHARE)
    left = np.sqrt(1.0 - used * used)
    return Grip(grip.peak * left, grip.slip * left)


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
        share, slope = follow_rise((slip + offset) / grip.slip, shape)
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
