"""What ends a run: the tread of a tyre or the fuel in the tank, whichever is used up first."""

from __future__ import annotations

from collections.abc import Mapping
from math import floor

import numpy as np

from assistant.physics.values import Array

SLOWEST = 1e-12
"""Rate [1/lap] under which nothing is ever used up; keeps the laps finite."""
NEARLY = 1e-6
"""Part of a lap lost to rounding when whole laps are counted."""


def lap_of_reaching(laps: Array, values: Array, goal: float) -> float:
    """Laps done when `values` (along `laps`; they may fall back at a stop) first reach `goal`.

    Beyond the last lap they are drawn on at the rate of the last stretch.
    """
    over = np.flatnonzero(values >= goal)
    if len(over):
        k = int(over[0])
        if k == 0 or laps[k] == laps[k - 1]:
            return float(laps[k])
        share = (goal - values[k - 1]) / (values[k] - values[k - 1])
        return float(laps[k - 1] + share * (laps[k] - laps[k - 1]))
    rate = (values[-1] - values[-2]) / max(float(laps[-1] - laps[-2]), 1e-9)
    return float(laps[-1] + (goal - values[-1]) / max(float(rate), SLOWEST))


def whole_laps(laps: float) -> int:
    """Whole laps only: a lap on which the tank runs dry or the tread gives out does not count."""
    return floor(laps + NEARLY)


def first_to_end(tyre_laps: Mapping[str, float], fuel_laps: float) -> tuple[str, float]:
    """Which comes first, "fuel" or a corner, and after how many laps."""
    ends = {"fuel": fuel_laps, **tyre_laps}
    first = min(ends, key=lambda name: ends[name])
    return first, ends[first]
