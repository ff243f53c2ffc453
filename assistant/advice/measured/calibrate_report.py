"""What a calibration says of a log: how well the model meets it, what drifts, what to know, what must be refused."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import log

import numpy as np
from numpy.typing import NDArray

from assistant.advice.measured.calibrate_least_squares import Solution
from assistant.advice.measured.calibrate_parameters import TAUGHT, Parameter, find_spread
from assistant.advice.measured.calibrate_readings import QUANTITIES, Reading, Readings
from assistant.car.car import CORNERS
from assistant.car.case import PHASES
from assistant.physics.run import Run

Array = NDArray[np.float64]

NOT_TOLD = "not determined"
TIED = 0.8
"""Correlation from which two numbers are only known together."""
LOOSE = 0.3
"""Share of the uncertainty left above which it is worth saying that two numbers are tied."""
TOO_FAR = 4.0
"""Mean misfit in standard deviations from which the model does not follow the log at all."""


@dataclass(frozen=True)
class Learned:
    """One number: before, after, and the range that holds eight of ten. told: well, partly or not determined.

    left: share of the uncertainty from before that is left. factor: after over before.
    """

    parameter: Parameter
    before: float
    after: float
    low: float
    high: float
    left: float
    told: str

    @property
    def kept(self) -> bool:
        """Whether the fit holds it."""
        return self.told != NOT_TOLD

    @property
    def factor(self) -> float:
        """After over before."""
        return self.after / self.before


@dataclass(frozen=True)
class Compared:
    """A reading with what the model gives before and after the fit (lap times at their own level)."""

    reading: Reading
    before: float
    after: float


@dataclass(frozen=True)
class Agreement:
    """Root mean square misfit of a quantity before and after, SI."""

    quantity: str
    count: int
    before: float
    after: float


@dataclass(frozen=True)
class Drift:
    """Change per ten laps, measured and fitted, SI; balance [%] has no measured one."""

    quantity: str
    corner: str
    measured: float | None
    fitted: float


def agree(compared: Sequence[Compared]) -> list[Agreement]:
    """Root mean square misfit of each quantity."""
    found = []
    for quantity in QUANTITIES:
        mine = [one for one in compared if one.reading.quantity == quantity]
        if mine:
            before = [one.before - one.reading.value for one in mine]
            after = [one.after - one.reading.value for one in mine]
            found.append(Agreement(quantity, len(mine), _rms(before), _rms(after)))
    return found


def find_refusals(learned: Sequence[Learned], compared: Sequence[Compared], solution: Solution) -> list[str]:
    """Say why a fit may not be kept: a number at the end of what is possible, or a model that does not follow."""
    found = []
    for one, held in zip(learned, solution.held[: len(TAUGHT)], strict=True):
        if held and one.kept and abs(log(one.factor)) > 0.1:
            found.append(
                f"the {one.parameter.title} would have to be {one.factor:.2f} times what the files say, or more; "
                "is it the log of another car, or a column in the wrong unit?"
            )
    for quantity in dict.fromkeys(each.reading.quantity for each in compared):
        mine = [each for each in compared if each.reading.quantity == quantity]
        far = _rms([(each.after - each.reading.value) / each.reading.off for each in mine])
        if far > TOO_FAR:
            found.append(
                f"the model cannot follow the {quantity} of this log: it stays off by {far:.0f} times what gauge "
                "and model may be off"
            )
    return found


def find_notes(readings: Readings, solution: Solution, learned: Sequence[Learned], bands: Array) -> list[str]:
    """Say what a reader must know: numbers known only together, tires not measured, laps left out, a search cut off."""
    _, together = find_spread(solution.slopes, bands.tolist())
    found = []
    for i, one in enumerate(learned):
        for j, other in enumerate(learned[:i]):
            loose = min(one.left, other.left) > LOOSE and one.kept and other.kept
            if loose and abs(together[i, j]) > TIED:
                titles = f"{other.parameter.title} and {one.parameter.title}"
                found.append(f"{titles} are known only together; their single values may trade off.")
    measured = {one.corner for one in readings.readings if one.corner}
    if measured and (missing := [corner for corner in CORNERS if corner not in measured]):
        found.append(f"Not measured: {', '.join(missing)}; it follows the others by the one tire law.")
    if readings.left_out:
        laps = ", ".join(map(str, readings.left_out))
        found.append(f"Laps left out as not driven freely: {laps}.")
    if not solution.settled:
        found.append("The search had not settled when it was stopped; take the values as rough.")
    return found


def find_drift(compared: Sequence[Compared], run: Run, readings: Readings) -> list[Drift]:
    """Change per ten laps over the longest stretch between tire changes, once warm; balance from the fitted run."""
    begin, end = longest_stretch(run, readings)
    warm = begin + min(10.0, (end - begin) / 3.0)
    found = []
    groups = dict.fromkeys((one.reading.quantity, one.reading.corner) for one in compared)
    for quantity, corner in groups:
        mine = [one for one in compared if (one.reading.quantity, one.reading.corner) == (quantity, corner)]
        inside = [one for one in mine if begin <= one.reading.since and one.reading.lap <= end]
        if quantity in {"wear", "fuel"}:
            if inside:
                last = max(inside, key=lambda one: one.reading.lap - one.reading.since)
                tens = (last.reading.lap - last.reading.since) / 10.0
                found.append(Drift(quantity, corner, last.reading.value / tens, last.after / tens))
            continue
        later = [one for one in inside if one.reading.lap > warm]
        laps = np.array([float(one.reading.lap) for one in later])
        if len(later) > 1:
            slopes = [
                10.0 * float(np.polyfit(laps, values, 1)[0])
                for values in ([one.reading.value for one in later], [one.after for one in later])
            ]
            found.append(Drift(quantity, corner, slopes[0], slopes[1]))
    mean = (run.balance * run.weights[:, None]).sum(axis=2)[..., -1]
    for at, phase in enumerate(PHASES):
        values = np.interp([warm, end - 1e-6], run.laps, mean[:, at])
        found.append(Drift(f"balance, {phase}", "", None, 10.0 * float(values[1] - values[0]) / (end - warm)))
    return found


def longest_stretch(run: Run, readings: Readings) -> tuple[float, float]:
    """First and last lap of the longest stretch without new tires."""
    changes = [float(stop.after_lap) for stop in readings.stops if any(stop.new_tires)]
    marks = [0.0, *changes, float(run.laps[-1])]
    return max(pairwise(marks), key=lambda pair: pair[1] - pair[0])


def _rms(values: Sequence[float]) -> float:
    return float(np.sqrt(np.mean(np.square(values))))
