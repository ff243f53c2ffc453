"""Air in a tire at constant volume: absolute pressure follows absolute temperature.

Pressures are **gauge** [Pa], temperatures absolute [K]; the air outside is added before the law is used and taken off
after. Scaling the gauge pressure itself is a common mistake: it loses about a third of the rise near 30 psi. Range:
dry gas, no leak, volume unchanged (a real tire grows a little, which takes some of the rise off; not modeled).
Source: ideal gas law.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from assistant.physics.values import Array, Real

STANDARD_AIR_PRESSURE = 101_325.0
"""Standard atmosphere [Pa], exact by definition (tenth General Conference on Weights and Measures, 1954)."""


def pressure_at(temperature: Real, pressure: Real, measured_at: Real, air: float = STANDARD_AIR_PRESSURE) -> Array:
    """Carry a gauge pressure [Pa] measured at one gas temperature to another: (p + air) T / T_measured - air.

    temperature, measured_at [K]; air: pressure outside [Pa], absolute. Cold to hot or hot to cold, any broadcasting
    shapes.
    """
    return np.asarray((pressure + air) * np.asarray(temperature) / measured_at - air)


def pressure_per_kelvin(pressure: Real, temperature: Real, air: float = STANDARD_AIR_PRESSURE) -> Array:
    """Find how fast gauge pressure rises with gas temperature: (p + air) / T [Pa/K]."""
    return np.asarray((pressure + air) / temperature)
