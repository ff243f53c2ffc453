"""How well a case meets a run log: what its model gives for every reading, how far off it is, and what drifts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from assistant.belief.log_readings import Reading, Readings, predict
from assistant.belief.model import read_beside, read_model
from assistant.car.case import Case, Fit, put_fit
from assistant.ground.names import PHASES
from assistant.ground.quantities import LOG_KINDS
from assistant.physics.car_and_driver import usual_phases
from assistant.physics.driven_run import DrivenRun, drive_run


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
    """Change per ten laps, measured and fitted, SI; balance [%] has a phase and no measured one."""

    quantity: str
    corner: str
    measured: float | None
    fitted: float
    phase: str = ""


def foretell(case: Case, readings: Readings) -> tuple[list[float], DrivenRun]:
    """What the model of a case gives for every reading, lap times lifted to their own mean: only the shape counts."""
    model = read_model(case)
    run = drive_run(model.numbers, usual_phases(), model.circuit, readings.laps, readings.stops)
    run = read_beside(run)
    answers = predict(run, readings.readings, case.tire.tread, case.car.fuel_density)[0]
    laps = readings.of("lap time")
    if len(laps):
        measured = np.array([readings.readings[at].value for at in laps])
        answers[laps] *= np.exp(np.log(measured / answers[laps]).mean())
    return answers.tolist(), run


def compare(case: Case, fit: Fit, readings: Readings) -> tuple[tuple[Compared, ...], DrivenRun]:
    """Set every reading beside the files' and the fit's answer; returns the run of the fit as well."""
    before, _ = foretell(case, readings)
    after, run = foretell(put_fit(case, fit), readings)
    return tuple(map(Compared, readings.readings, before, after)), run


def agree(compared: Sequence[Compared]) -> list[Agreement]:
    """Root mean square misfit of each quantity."""
    found = []
    for quantity in LOG_KINDS:
        mine = [one for one in compared if one.reading.quantity == quantity]
        if mine:
            before = [one.before - one.reading.value for one in mine]
            after = [one.after - one.reading.value for one in mine]
            found.append(Agreement(quantity, len(mine), root_mean_square(before), root_mean_square(after)))
    return found


def find_drift(compared: Sequence[Compared], run: DrivenRun, readings: Readings) -> list[Drift]:
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
        found.append(Drift("balance", "", None, 10.0 * float(values[1] - values[0]) / (end - warm), phase))
    return found


def longest_stretch(run: DrivenRun, readings: Readings) -> tuple[float, float]:
    """First and last lap of the longest stretch without new tires."""
    changes = [float(stop.after_lap) for stop in readings.stops if any(stop.new_tires)]
    marks = [0.0, *changes, float(run.laps[-1])]
    return max(pairwise(marks), key=lambda pair: pair[1] - pair[0])


def root_mean_square(values: Sequence[float]) -> float:
    """Root of the mean square."""
    return float(np.sqrt(np.mean(np.square(values))))
