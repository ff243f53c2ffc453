"""Fuel: mass from volume, burn from work done, laps in the tank."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from assistant.physics.values import Array, Real

GASOLINE_HEAT = 44.0e6
"""Heat in gasoline [J/kg], lower value (0.0122 kWh/g; common handbook value, from memory)."""


def fuel_mass(volume: Real, density: Real) -> Array:
    """Weigh a volume of fuel: rho V [kg]; volume [m^3], density [kg/m^3]."""
    return np.asarray(volume * density)


def fuel_burned(work: Real, specific_use: Real) -> Array:
    """Find the fuel [kg] burned for work at the crankshaft [J].

    specific_use [kg/J]; 1 lb/(hp h) is 1.68966e-7 kg/J.
    """
    return np.asarray(work * specific_use)


def laps_in_tank(mass: Real, mass_per_lap: Real) -> Array:
    """Count the whole laps a fuel mass [kg] is enough for, at mass_per_lap [kg]; a lap that runs dry does not count."""
    return np.asarray(np.floor(mass / np.asarray(mass_per_lap)))


def efficiency(specific_use: Real, heat: float = GASOLINE_HEAT) -> Array:
    """Find the share of the fuel's heat that reaches the crankshaft: 1 / (use x heat).

    specific_use [kg/J], heat [J/kg]. A racing gasoline engine gives about 0.25 to 0.35 (common practice, no source).
    """
    return 1.0 / np.asarray(specific_use * heat)
