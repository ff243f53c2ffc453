"""What ends a run: the tread of a tire or the fuel in the tank, whichever is used up first."""

from __future__ import annotations

from collections.abc import Mapping
from math import floor

import numpy as np

from assistant.physics.values import Array

SLOWEST = 1e-12
"""Rate [1/lap] under which nothing is ever used up; keeps the laps finite."""
FAR = 1000
"""Laps beyond which nobody cares when a tread is gone."""
NEARLY = 1e-6
"""Part of a lap lost to rounding when whole laps are counted."""


def lap_of_reaching(laps: Array, values: Array, goal: Array | float) -> Array:
    """Laps done when `values` (laps, ...) first reach `goal`; they may fall back at a stop. Returns (...).

    Beyond the last lap they are drawn on at the rate of the last stretch.
    """
    reached = (values >= goal).any(axis=0)
    after = np.where(reached, (values >= goal).argmax(axis=0), len(laps) - 1)
    before = np.maximum(after - 1, 0)
    here, earlier = (np.take_along_axis(values, at[None], axis=0)[0] for at in (after, before))
    stretch = laps[after] - laps[before]
    rate = (here - earlier) / np.maximum(stretch, 1e-9)
    found = laps[after] + (goal - here) / np.maximum(rate, SLOWEST)
    return np.where(reached & (stretch == 0.0), laps[after], found)


def whole_laps(laps: float) -> int:
    """Whole laps only: a lap on which the tank runs dry or the tread gives out does not count."""
    return floor(laps + NEARLY)


def gone_by(laps: float) -> str:
    """Say by which lap a tread is gone; nobody cares for one that outlives every run."""
    return f"lap {whole_laps(laps)}" if laps < FAR else f"beyond lap {FAR}"


def first_to_end(tire_laps: Mapping[str, float], fuel_laps: float) -> tuple[str, float]:
    """Which comes first, "fuel" or a corner, and after how many laps."""
    ends = {"fuel": fuel_laps, **tire_laps}
    first = min(ends, key=lambda name: ends[name])
    return first, ends[first]
