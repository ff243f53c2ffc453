"""The state of tyres and tank at chosen moments of a run, and what it makes of the pressures a setup starts with."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.physics.gas import pressure_at
from assistant.physics.numbers import Array, Numbers
from assistant.physics.static import TyreState, per_corner


@dataclass(frozen=True)
class Moments:
    """Moments of a run along the second-last axis; corner arrays (4, moments, cars or 1), others (moments, cars or 1).

    gas, tread: temperatures [K]. wear: share of the usable tread gone. fuel_used: since the start of the run [kg].
    cold: temperature at which the tyres were set and the car stood on the scales [K].
    """

    gas: Array
    tread: Array
    wear: Array
    fuel_used: Array
    cold: float


def tyres_at(numbers: Numbers, moments: Moments) -> TyreState:
    """Tyres and fuel of every car at every moment: hot pressure by the gas law from the cold pressure of the setup."""
    cold = per_corner(numbers, "pressure")[:, None, :]
    pressure = pressure_at(moments.gas, cold, moments.cold)
    start = numbers["fuel_on_scales"] - numbers["fuel_start"] * numbers["fuel_density"]
    shape = pressure.shape

    def spread(values: Array) -> Array:
        return np.broadcast_to(values, shape)

    return TyreState(
        pressure=pressure,
        temperature=spread(moments.tread),
        wear=spread(moments.wear),
        warmth=spread(moments.tread - moments.cold),
        fuel_burned=np.broadcast_to(start + moments.fuel_used, shape[1:]),
    )


GIVEN_WARMTH = (70.0, 95.0, 70.0, 90.0)
"""Tread above air temperature when settled [K], LF RF LR RR; assumption, used until a run is computed."""
GIVEN_SHARE = ((0.85, 0.45), (1.0, 0.85), (1.0, 1.0))
"""Share of that warmth reached by the tread and by the gas when fresh, settled, worn; assumption."""
GIVEN_WEAR = (0.15, 0.30, 0.15, 0.30)
"""Share of the tread gone at the end of an 80-lap run, LF RF LR RR; assumption."""


def given_moments(air_temperature: float, run_laps: int, fuel_used: float) -> Moments:
    """Guess fresh, settled and worn without computing the run: a fixed warm-up, wear in proportion to laps.

    fuel_used: over the whole run [kg].
    """
    warmth = np.array(GIVEN_WARMTH)[:, None, None]
    shares = np.array(GIVEN_SHARE)[None, :, :]
    laps = np.array([2.0, run_laps / 3.0, float(run_laps)])
    return Moments(
        gas=air_temperature + warmth * shares[:, :, 1:],
        tread=air_temperature + warmth * shares[:, :, :1],
        wear=np.array(GIVEN_WEAR)[:, None, None] * laps[None, :, None] / 80.0,
        fuel_used=fuel_used * (laps / run_laps)[:, None],
        cold=air_temperature,
    )
