"""From the tank to the road: engine at full throttle, limiter, gears, and the fuel that the work burns."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from assistant.car.car import Engine
from assistant.physics.formulas import Array, Real

if TYPE_CHECKING:
    from assistant.physics.formulas import Array, Real


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
