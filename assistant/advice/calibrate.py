"""Fit what a run log can teach: wear, heat, the lag of the air inside, grip lost with tread, and fuel use.

Least squares with the usual bands of the numbers as weak priors, so that what the log does not show stays as it was.
Where the car is in balance does not come from the log: every trial car is anchored neutral when settled.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp

import numpy as np
from numpy.typing import NDArray

from assistant.advice.calibrate_least_squares import Solution, fit_bounded
from assistant.advice.calibrate_parameters import (
    FUEL,
    PACE,
    PARAMETERS,
    TAUGHT,
    find_bounds,
    find_spread,
    move_parameters,
    read_value,
)
from assistant.advice.calibrate_readings import Readings, collect_readings, predict
from assistant.advice.calibrate_report import (
    NOT_TOLD,
    Agreement,
    Compared,
    Drift,
    Learnt,
    agree,
    find_drift,
    find_notes,
    find_refusals,
)
from assistant.advice.model import read_circuit, stage_laps
from assistant.advice.standing import SETTLED
from assistant.car.case import Case
from assistant.car.fit import Fit
from assistant.car.run_log import RunLog
from assistant.car.run_log_checks import check_against_case
from assistant.physics.numbers import collect_numbers
from assistant.physics.phases import usual_phases
from assistant.physics.run import Anchor, Run, drive_run
from assistant.problems import BadInput

Array = NDArray[np.float64]

PASSES, SEARCH_PASSES = 10, 6
"""Passes of the run for what is shown, and while searching; six are off by under a tenth of a deviation (see tests)."""
WELL, PARTLY = 0.5, 0.85
"""Share of the prior's uncertainty left: below the first the log determines a number, above the second it does not."""
EIGHT_OF_TEN = 1.2816
"""Standard deviations to either side that hold eight of ten normal numbers."""


@dataclass(frozen=True)
class Calibration:
    """All of it. refused: why nothing may be kept; empty when all is well. left_out: laps not driven freely."""

    log: RunLog
    learnt: tuple[Learnt, ...]
    agreement: tuple[Agreement, ...]
    compared: tuple[Compared, ...]
    drift: tuple[Drift, ...]
    left_out: tuple[int, ...]
    notes: tuple[str, ...]
    refused: tuple[str, ...]
    fit: Fit | None


def calibrate(case: Case, log_: RunLog, name: str = "fit") -> Calibration:
    """Fit a log. case: read without an earlier fit. name: of the new fit. Raises BadInput for a log of another car."""
    if problems := list(check_against_case(log_, case)):
        raise BadInput(problems)
    readings = collect_readings(log_)
    if not readings.readings:
        raise BadInput(
            log_.problem(log_.rows[-1].line, "nothing in this log can be compared", "time a lap, or measure")
        )
    start = np.zeros(len(PARAMETERS))
    bands = np.array([one.band for one in PARAMETERS])
    values = np.array([one.value for one in readings.readings])
    off = np.array([one.off for one in readings.readings])

    def residuals(points: Array) -> Array:
        answers = answer(case, log_, readings, points, SEARCH_PASSES)[0]
        return np.hstack([(answers - values) / off, points / bands])

    low, high = find_bounds(case)
    solution = fit_bounded(residuals, start, low, high)
    told = judge_numbers(solution, bands)
    kept = np.array([word != NOT_TOLD for word, _ in told] + [not one.taught for one in PARAMETERS[len(TAUGHT) :]])
    if not kept.all():  # what the log does not tell stays as it was, and the rest is fitted to that
        solution = fit_bounded(
            residuals, np.where(kept, solution.point, 0.0), np.where(kept, low, 0.0), np.where(kept, high, 0.0)
        )
    learnt = list_numbers(case, solution, told, bands)
    point = np.where(kept & [one.taught for one in PARAMETERS], solution.point, 0.0)
    point = level_pace(case, log_, readings, point)
    before = level_pace(case, log_, readings, start)
    answers, run = answer(case, log_, readings, np.stack([before, point]))
    compared = tuple(map(Compared, readings.readings, map(float, answers[0]), map(float, answers[1])))
    agreement = tuple(agree(compared))
    refused = tuple(find_refusals(learnt, compared, solution))
    return Calibration(
        log=log_,
        learnt=learnt,
        agreement=agreement,
        compared=compared,
        drift=tuple(find_drift(compared, run, readings)),
        left_out=readings.left_out,
        notes=tuple(find_notes(readings, solution, learnt, bands)),
        refused=refused,
        fit=None if refused else make_fit(case, log_, learnt, name),
    )


def answer(case: Case, log_: RunLog, readings: Readings, points: Array, passes: int = PASSES) -> tuple[Array, Run]:
    """What the model gives for every reading at every point, (points, readings), and the runs behind it."""
    settled = float(min(stage_laps(case.run_laps)[SETTLED], log_.laps))
    numbers = move_parameters(collect_numbers(case.car, case.tyre, case.setup), points)
    run = drive_run(
        numbers,
        usual_phases(),
        read_circuit(case),
        log_.laps,
        readings.stops,
        passes=passes,
        anchor=Anchor((settled, settled, settled), (0.0, 0.0, 0.0)),
    )
    answers = predict(run, readings.readings, case.tyre.tread, case.car.fuel_density)
    answers[:, readings.of("lap time")] *= np.exp(points[:, PACE, None])
    answers[:, readings.of("fuel")] *= np.exp(points[:, FUEL, None])
    return answers, run


def meet_log(case: Case, log_: RunLog) -> tuple[Agreement, ...]:
    """How far a case, as it is, is off a log, without fitting anything; lap times by their shape."""
    readings = collect_readings(log_)
    point = level_pace(case, log_, readings, np.zeros(len(PARAMETERS)))
    answers = answer(case, log_, readings, point[None])[0][0].tolist()
    return tuple(agree([Compared(one, value, value) for one, value in zip(readings.readings, answers, strict=True)]))


def level_pace(case: Case, log_: RunLog, readings: Readings, point: Array) -> Array:
    """Put the level of the lap times to where they were driven; lap times are compared by their shape only."""
    laps = readings.of("lap time")
    if not len(laps):
        return point
    answers = answer(case, log_, readings, point[None])[0][0, laps]
    measured = np.array([readings.readings[at].value for at in laps])
    levelled = point.copy()
    levelled[PACE] += float(np.log(measured / answers).mean())
    return levelled


def judge_numbers(solution: Solution, bands: Array) -> list[tuple[str, float]]:
    """Say of each number how well the log determines it, and what share of its uncertainty is left."""
    deviation, _ = find_spread(solution.slopes, bands.tolist())
    found = []
    for one, spread in zip(TAUGHT, deviation, strict=False):
        left = min(float(spread) / one.band, 1.0)
        found.append(("well determined" if left < WELL else "partly determined" if left < PARTLY else NOT_TOLD, left))
    return found


def list_numbers(case: Case, solution: Solution, told: Sequence[tuple[str, float]], bands: Array) -> tuple[Learnt, ...]:
    """List every number before and after; what is not determined stays, with the range of its band."""
    deviation, _ = find_spread(solution.slopes, bands.tolist())
    found = []
    for at, (one, (word, left)) in enumerate(zip(TAUGHT, told, strict=True)):
        before = read_value(case, one.fields[0])
        kept = word != NOT_TOLD
        moved = float(solution.point[at]) if kept else 0.0
        wide = EIGHT_OF_TEN * (float(deviation[at]) if kept else left * one.band)
        low, high = before * exp(moved - wide), before * exp(moved + wide)
        found.append(Learnt(one, before, before * exp(moved), low, high, left, word))
    return tuple(found)


def make_fit(case: Case, log_: RunLog, learnt: Sequence[Learnt], name: str) -> Fit | None:
    """Make the fit of what was determined; None when nothing was."""
    values = {
        field: read_value(case, field) * one.factor for one in learnt if one.kept for field in one.parameter.fields
    }
    return Fit(name, log_.name, case.tyre.name, values) if values else None
