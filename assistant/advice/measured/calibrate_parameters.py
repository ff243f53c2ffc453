"""What a run log can teach the model: each number with the band it is usually known in, as the weak prior of the fit.

A parameter moves its numbers by a common factor; the fit works on the logarithm of the factor, 0 = as in the files.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

from assistant.car.case import Case
from assistant.car.file_models import FIT_KEYS
from assistant.car.keys import bound
from assistant.car.tire_keys import TIRE_KEYS
from assistant.physics.numbers import Numbers
from assistant.physics.spread import BANDS

Array = NDArray[np.float64]

WIDEST = 3.0
"""Bands a parameter may move; farther means that log and case do not belong together."""


@dataclass(frozen=True)
class Parameter:
    """fields: of Tire or Engine, moved together; empty for the level of the lap times.

    band: one standard deviation of the logarithm before anything was measured. taught: whether the fit keeps it; the
    others only make sure that lap times do not teach more than they can.
    """

    id: str
    title: str
    fields: tuple[str, ...]
    band: float
    taught: bool = True


PARAMETERS: tuple[Parameter, ...] = (
    # bands: assumptions, about what the files themselves admit to not knowing
    Parameter("wear", "wear rate", ("wear_rate",), 0.6),
    Parameter("heat", "heat from sliding", ("heat_share",), 0.3),
    Parameter("rolling", "heat from rolling", ("hysteresis",), 0.4),
    Parameter("cooling", "cooling", ("cooling_still", "cooling_speed"), 0.4),
    Parameter("gas", "lag of the air inside", ("gas_lag",), 0.6),
    Parameter("gas_share", "warmth of the air inside", ("gas_share",), 0.4),
    Parameter("worn_grip", "grip lost with the tread", ("worn_grip",), BANDS["worn_grip"].share),
    Parameter("fuel", "fuel use", ("fuel_use",), 0.2),
    Parameter("pace", "level of the lap times", (), 0.05, taught=False),
    Parameter(
        "hot_grip", "grip lost off the best temperature", ("temperature_grip",), BANDS["temperature_grip"].share, False
    ),
    Parameter(
        "best_heat", "temperature with most grip", ("best_temperature",), BANDS["best_temperature"].add / 366.0, False
    ),
)
TAUGHT = tuple(one for one in PARAMETERS if one.taught)
FUEL, PACE = len(TAUGHT) - 1, len(TAUGHT)
"""Places of the two that move readings, not the tire; all that are taught come first."""


def read_value(case: Case, field: str) -> float:
    """Value of a field of the case's tire or engine."""
    return float(getattr(case.car.engine if field == "fuel_use" else case.tire, field))


def find_bounds(case: Case) -> tuple[Array, Array]:
    """Lowest and highest logarithm of each factor: so many bands, and within what a file may hold."""
    low = np.array([-WIDEST * one.band for one in PARAMETERS])
    high = -low
    keys = {one.field: one for one in (*FIT_KEYS, *TIRE_KEYS)}
    for at, one in enumerate(PARAMETERS):
        for field in one.fields:
            value = read_value(case, field)
            if value <= 0.0:
                low[at] = high[at] = 0.0  # a factor cannot move nothing
                continue
            least, most = (keys[field].scale * bound(keys[field], text) for text in (keys[field].low, keys[field].high))
            low[at] = max(low[at], log(max(least, 1e-9 * value) / value))
            high[at] = min(high[at], log(most / value))
    return np.minimum(low, 0.0), np.maximum(high, 0.0)


def move_parameters(numbers: Numbers, points: Array) -> Numbers:
    """One car per point, (points, parameters), with the tire's numbers moved; fuel and pace move the readings."""
    cars = len(points)
    moved = {name: np.repeat(value, cars, axis=-1) for name, value in numbers.items()}
    factors = np.exp(points)
    for at, one in enumerate(PARAMETERS):
        for field in one.fields:
            if field in moved:
                moved[field] = moved[field] * factors[:, at]
    return moved


def find_spread(slopes: Array, bands: Sequence[float]) -> tuple[Array, Array]:
    """Standard deviation of each logarithm after the fit, and their correlations.

    slopes: of all residuals in standard deviations, the priors' own rows among them.
    """
    covariance = np.linalg.inv(slopes.T @ slopes + np.diag([1e-12 / band**2 for band in bands]))
    deviation = np.sqrt(np.diag(covariance))
    return deviation, np.asarray(covariance / np.outer(deviation, deviation))
