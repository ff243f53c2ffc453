"""Spring rates: from steel to the spring, from the spring to the wheel, springs that share a load; SI units."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from assistant.physics.values import Array, Real

STEEL_SHEAR_MODULUS = 7.93e10
"""Shear modulus of spring steel [Pa] (11.5 million psi; common handbook value, from memory, good to about 2 %)."""


def motion_ratio(spring_arm: Real, wheel_arm: Real) -> Array:
    """Find spring travel per wheel travel: c / b.

    spring_arm c, wheel_arm b [m]: from the pivot of a lever to the spring and to the wheel.
    """
    return np.asarray(spring_arm / wheel_arm)


def wheel_rate(spring_rate: Real, ratio: Real) -> Array:
    """Carry a spring rate to the wheel: k ratio^2 [N/m].

    ratio: spring travel per wheel travel; force and travel each take it once, hence the square (virtual work).
    """
    return np.asarray(spring_rate * np.square(ratio))


def spring_rate_for(wheel: Real, ratio: Real) -> Array:
    """Find the spring rate that gives a wheel rate: k = wheel / ratio^2 [N/m]; the inverse of `wheel_rate`."""
    return np.asarray(wheel / np.square(ratio))


def rate_in_series(*rates: Real) -> Array:
    """Join springs that carry the same force, such as a spring on its tyre: 1 / sum(1/k) [N/m]; a rate of 0 gives 0."""
    with np.errstate(divide="ignore"):
        return 1.0 / np.asarray(sum(1.0 / np.asarray(rate, dtype=float) for rate in rates))


def coil_rate(wire: Real, mean_diameter: Real, active_coils: Real, shear_modulus: float = STEEL_SHEAR_MODULUS) -> Array:
    """Find the rate of a helical spring: k = G d^4 / (8 D^3 n) [N/m].

    wire d, mean_diameter D (middle of wire to middle of wire) [m]; active_coils n; shear_modulus G [Pa].
    Range: close coils, round wire, D at least about 4 d. Source: any machine-design text, for example V. B. Bhandari,
    Design of Machine Elements, ch. 10.
    """
    return np.asarray(shear_modulus * np.power(wire, 4) / (8.0 * np.power(mean_diameter, 3) * active_coils))


def torsion_bar_rate(
    diameter: Real, bore: Real, length: Real, arm: Real, shear_modulus: float = STEEL_SHEAR_MODULUS
) -> Array:
    """Find the rate of a torsion bar at the end of its arm: k = G pi (D^4 - d^4) / (32 L l^2) [N/m].

    diameter D, bore d (0 for a solid bar), length L that twists, arm l square to the bar [m]. For an anti-roll bar it
    is the force at each arm end per metre of **difference** between the two ends. Range: small angles, rigid arms;
    flexible arms and bushes make a real bar softer. Source: torsion of a round shaft.
    """
    area_moment = np.pi * (np.power(diameter, 4) - np.power(bore, 4)) / 32.0
    return np.asarray(shear_modulus * area_moment / (length * np.square(arm)))


def jack_load(raised: Real, *corner_rates: Real) -> Array:
    """Find the load [N] a jack screw brings on its corner and on its diagonal, and takes off the other two.

    d / sum(1/k): raised d is how far it lifts its corner at the wheel [m] (screw travel over the motion ratio);
    corner_rates: the four rates at the wheel, spring and tyre in series [N/m]. Cross weight changes by twice this load
    when LR or RF is raised, and by minus twice this load for LF or RR. Range: equal track widths, no anti-roll bar (a
    bar adds the twist of its own), four wheels on the ground. Source: the four corners carry the same load, up or down,
    so their travels add up; derived here.
    """
    return np.asarray(raised / sum(1.0 / np.asarray(rate, dtype=float) for rate in corner_rates))
