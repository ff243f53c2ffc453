"""Spring rates: from the spring to the wheel, springs that share a load, bars of steel, roll and twist; SI units."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from assistant.physics.values import Array, Real

STEEL_SHEAR_MODULUS = 7.93e10
"""Shear modulus of spring steel [Pa] (11.5 million psi; common handbook value, from memory, good to about 2 %)."""


def wheel_rate(spring_rate: Real, ratio: Real) -> Array:
    """Carry a spring rate to the wheel: k ratio^2 [N/m].

    ratio: spring travel per wheel travel; force and travel each take it once, hence the square (virtual work).
    """
    return np.asarray(spring_rate * np.square(ratio))


def rate_in_series(*rates: Real) -> Array:
    """Join springs that carry the same force, such as a spring on its tire: 1 / sum(1/k) [N/m]; a rate of 0 gives 0."""
    with np.errstate(divide="ignore"):
        return 1.0 / np.asarray(sum(1.0 / np.asarray(rate, dtype=float) for rate in rates))


def torsion_bar_rate(
    diameter: Real, bore: Real, length: Real, arm: Real, shear_modulus: float = STEEL_SHEAR_MODULUS
) -> Array:
    """Find the rate of a torsion bar at the end of its arm: k = G pi (D^4 - d^4) / (32 L l^2) [N/m].

    diameter D, bore d (0 for a solid bar), length L that twists, arm l square to the bar [m]. For an sway bar it
    is the force at each arm end per meter of **difference** between the two ends. Range: small angles, rigid arms;
    flexible arms and bushes make a real bar softer. Source: torsion of a round shaft.
    """
    area_moment = np.pi * (np.power(diameter, 4) - np.power(bore, 4)) / 32.0
    return np.asarray(shear_modulus * area_moment / (length * np.square(arm)))


def roll_stiffness(base: Real, left: Real, right: Real, bar: Real = 0.0) -> Array:
    """Find the roll moment per angle of a pair of springs: b^2 (k_l k_r / (k_l + k_r) + k_bar) [N m/rad].

    base b: distance between them [m]; left, right: rates there; bar: of an sway bar, force at each end per meter
    of difference between both [N/m]. The end is free to rise: with equal springs k it is k b^2 / 2. For a pair of
    tires likewise; a spring pair on a tire pair is `rate_in_series` of both. Source: equilibrium, derived here.
    """
    return np.asarray(np.square(base) * (rate_in_series(left, right) + bar))


def jack_load(raised: Real, *rates: Real) -> Array:
    """Find the load [N] a jack screw brings on its corner and on its diagonal, and takes off the other two.

    d / sum(1/k): raised d is how far it lifts its corner at the wheel [m] (screw travel over the motion ratio);
    rates: everything that twists when one diagonal is loaded more [N/m at the wheel]: four springs and four tires, or
    for each end the roll stiffness over its track squared (bar included) and its two tires. Cross weight changes by
    twice this load when LR or RF is raised, by minus twice this load for LF or RR. Range: equal track widths, four
    wheels on the ground. Source: the four corners carry the same load, up or down, so their travels add up; derived
    here.
    """
    return np.asarray(raised / sum(1.0 / np.asarray(rate, dtype=float) for rate in rates))
