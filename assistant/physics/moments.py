"""The state of tires and tank at chosen moments of a run, and what it makes of the pressures a setup starts with."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.physics.gas import pressure_at
from assistant.physics.numbers import Numbers
from assistant.physics.static import TireState, per_corner
from assistant.physics.values import Array


@dataclass(frozen=True, eq=False)
class Moments:
    """Moments of a run along the second-last axis; corner arrays (4, moments, cars or 1), others (moments, cars or 1).

    gas, tread: temperatures [K]. wear: share of the usable tread gone. fuel_used: since the start of the run [kg].
    cold: temperature at which the tires were set and the car stood on the scales [K].
    """

    gas: Array
    tread: Array
    wear: Array
    fuel_used: Array
    cold: float


def tires_at(numbers: Numbers, moments: Moments) -> TireState:
    """Tires and fuel of every car at every moment: hot pressure by the gas law from the cold pressure of the setup."""
    cold = per_corner(numbers, "pressure")[:, None, :]
    pressure = pressure_at(moments.gas, cold, moments.cold)
    start = numbers["fuel_on_scales"] - numbers["fuel_at_green"] * numbers["fuel_density"]
    shape = pressure.shape

    def spread(values: Array) -> Array:
        return np.broadcast_to(values, shape)

    return TireState(
        pressure=pressure,
        temperature=spread(moments.tread),
        wear=spread(moments.wear),
        warmth=spread(moments.tread - moments.cold),
        fuel_burned=np.broadcast_to(start + moments.fuel_used, shape[1:]),
    )


def pick_moments(moments: Moments, laps: Array, wanted: Array) -> Moments:
    """Read the state of one car at the laps `wanted` between the moments at `laps`, evenly in between.

    Where a stop makes a lap stand twice, the state after the stop is read.
    """

    def read(values: Array) -> Array:
        return np.array([np.interp(wanted, laps, row) for row in values[..., 0]])[..., None]

    return Moments(
        gas=read(moments.gas),
        tread=read(moments.tread),
        wear=read(moments.wear),
        fuel_used=np.interp(wanted, laps, moments.fuel_used[:, 0])[:, None],
        cold=moments.cold,
    )
