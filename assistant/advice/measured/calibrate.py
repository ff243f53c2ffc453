"""Fit what a run log can teach: wear, heat, the lag of the air inside, grip lost with tread, and fuel use.

Least squares with the usual bands of the numbers as weak priors, so that what the log does not show stays as it was.
Where the car is in balance does not come from the log: every trial car is anchored neutral when settled.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import exp

import numpy as np
from numpy.typing import NDArray

from assistant.advice.computed.model import no_steady_state, read_circuit, read_model
from assistant.advice.measured.calibrate_least_squares import ENOUGH, Solution, fit_bounded
from assistant.advice.measured.calibrate_parameters import (
    FUEL,
    PACE,
    PARAMETERS,
    TAUGHT,
    find_bounds,
    find_spread,
    move_parameters,
    read_value,
)
from assistant.advice.measured.calibrate_readings import Readings, collect_readings, predict
from assistant.advice.measured.calibrate_report import (
    NOT_TOLD,
    Agreement,
    Compared,
    Drift,
    Learned,
    agree,
    find_drift,
    find_notes,
    find_refusals,
)
from assistant.car.case import Case
from assistant.car.fit import Fit, put_fit
from assistant.car.run_log import RunLog
from assistant.car.run_log_checks import check_against_case
from assistant.physics.numbers import Numbers, collect_numbers
from assistant.physics.phases import usual_phases
from assistant.physics.run import Run, drive_run
from assistant.problems import BadInput, Problem

Array = NDArray[np.float64]

ANCHORINGS = 3
"""Searches, each on the trims of where the last one ended; the third moves no number by a tenth of its band (tests)."""
FOUND = ("trim_", "best_pressure_lf", "best_pressure_rf", "best_pressure_lr", "best_pressure_rr", "best_load_")
"""What an anchored run finds: the trims, and the pressures of most grip where the tire file does not know them."""
NEAR = 0.05
"""Bands: a search that moved everything by less needs no other on new trims."""
ROUGHLY = 1e-3
"""Share of the cost at which all searches but the last may stop."""
WELL, PARTLY = 0.5, 0.85
"""Share of the prior's uncertainty left: below the first the log determines a number, above the second it does not."""
EIGHT_OF_TEN = 1.2816
"""Standard deviations to either side that hold eight of ten normal numbers."""


@dataclass(frozen=True)
class Calibration:
    """All of it. refused: why nothing may be kept; empty when all is well. left_out: laps not driven freely."""

    log: RunLog
    learned: tuple[Learned, ...]
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
    if problems := list(_stand_still(case)):
        raise BadInput(problems)
    readings = collect_readings(log_)
    if not readings.readings:
        raise BadInput(
            log_.problem(log_.rows[-1].line, "nothing in this log can be compared", "time a lap, or measure")
        )
    bands = np.array([one.band for one in PARAMETERS])
    everything = np.ones(len(PARAMETERS), dtype=bool)
    solution = search(case, readings, np.zeros(len(PARAMETERS)), everything)
    told = judge_numbers(solution, bands)
    kept = np.array([word != NOT_TOLD for word, _ in told] + [not one.taught for one in PARAMETERS[len(TAUGHT) :]])
    if not kept[: len(TAUGHT)].any():
        solution = replace(solution, point=np.zeros(len(PARAMETERS)))
    elif not kept.all():  # what the log does not tell stays as it was, and the rest is fitted to that
        solution = search(case, readings, np.where(kept, solution.point, 0.0), kept)
    learned = list_numbers(case, solution, told, bands)
    point = np.where(kept & [one.taught for one in PARAMETERS], solution.point, 0.0)
    if not np.isfinite([(one.after, one.low, one.high) for one in learned]).all():
        raise no_steady_state(case)
    compared, run = compare(case, readings, point)
    refused = tuple(find_refusals(learned, compared, solution))
    return Calibration(
        log=log_,
        learned=learned,
        agreement=tuple(agree(compared)),
        compared=compared,
        drift=tuple(find_drift(compared, run, readings)),
        left_out=readings.left_out,
        notes=tuple(find_notes(readings, solution, learned, bands)),
        refused=refused,
        fit=None if refused else make_fit(case, log_, learned, name),
    )


def _stand_still(case: Case) -> Iterator[Problem]:
    """Find what a log is to move but cannot: every number is moved by a share of itself."""
    for one in TAUGHT:
        if any(read_value(case, field) == 0.0 for field in one.fields):
            says = f"{one.title} is nothing in the files, and no log can move it from there"
            yield Problem(case.file or case.name, 0, 0, says, "put in a guess first, such as that of the demo")


def search(case: Case, readings: Readings, start: Array, free: NDArray[np.bool_]) -> Solution:
    """Search from `start` over the free parameters; the balance is anchored anew where each search ended."""
    low, high = (np.where(free, limit, 0.0) for limit in find_bounds(case))
    bands = np.array([one.band for one in PARAMETERS])
    values = np.array([one.value for one in readings.readings])
    off = np.array([one.off for one in readings.readings])
    point = start
    for turn in range(ANCHORINGS):
        numbers = anchored_numbers(case, point)

        def residuals(points: Array, numbers: Numbers = numbers) -> Array:
            answers = answer(case, numbers, readings, points)[0]
            return np.hstack([(answers - values) / off, points / bands])

        solution = fit_bounded(residuals, point, low, high, enough=ENOUGH if turn == ANCHORINGS - 1 else ROUGHLY)
        moved, point = np.abs(solution.point - point) / bands, solution.point
        if turn and moved.max() < NEAR:
            break
    return solution


def anchored_numbers(case: Case, point: Array) -> Numbers:
    """The numbers of the case as in its files, with the trims that make the car of `point` neutral when settled."""
    moved = {
        field: read_value(case, field) * exp(factor)
        for one, factor in zip(PARAMETERS, point, strict=True)
        for field in one.fields
    }
    trimmed = read_model(put_fit(case, Fit("", "", "", moved))).numbers
    found = {name: value for name, value in trimmed.items() if name.startswith(FOUND)}
    return {**collect_numbers(case.car, case.tire, case.setup), **found}


def answer(case: Case, numbers: Numbers, readings: Readings, points: Array) -> tuple[Array, Run]:
    """What the model gives for every reading at every point, (points, readings), and the runs behind it."""
    with np.errstate(all="ignore"):  # a trial car may be past driving: its answers are not finite, and it is not taken
        run = drive_run(
            move_parameters(numbers, points), usual_phases(), read_circuit(case), readings.laps, readings.stops
        )
    answers = predict(run, readings.readings, case.tire.tread, case.car.fuel_density)
    answers[:, readings.of("lap time")] *= np.exp(points[:, PACE, None])
    answers[:, readings.of("fuel")] *= np.exp(points[:, FUEL, None])
    return answers, run


def compare(case: Case, readings: Readings, point: Array) -> tuple[tuple[Compared, ...], Run]:
    """Set every reading beside the files' and the fit's answer; returns the run of the fit as well."""
    before, _ = leveled_answer(case, readings, np.zeros(len(PARAMETERS)))
    after, run = leveled_answer(case, readings, point)
    return tuple(map(Compared, readings.readings, before, after)), run


def leveled_answer(case: Case, readings: Readings, point: Array) -> tuple[list[float], Run]:
    """What the model of a point gives for every reading, lap times lifted to their own mean: only the shape counts."""
    answers, run = answer(case, anchored_numbers(case, point), readings, point[None])
    laps = readings.of("lap time")
    if len(laps):
        measured = np.array([readings.readings[at].value for at in laps])
        answers[0, laps] *= np.exp(np.log(measured / answers[0, laps]).mean())
    return answers[0].tolist(), run


def meet_log(case: Case, log_: RunLog) -> tuple[Agreement, ...]:
    """How far a case, as it is, is off a log, without fitting anything; lap times by their shape."""
    readings = collect_readings(log_)
    answers, _ = leveled_answer(case, readings, np.zeros(len(PARAMETERS)))
    return tuple(agree([Compared(one, value, value) for one, value in zip(readings.readings, answers, strict=True)]))


def judge_numbers(solution: Solution, bands: Array) -> list[tuple[str, float]]:
    """Say of each number how well the log determines it, and what share of its uncertainty is left."""
    deviation, _ = find_spread(solution.slopes, bands.tolist())
    found = []
    for one, spread in zip(TAUGHT, deviation, strict=False):
        left = min(float(spread) / one.band, 1.0)
        found.append(("well determined" if left < WELL else "partly determined" if left < PARTLY else NOT_TOLD, left))
    return found


def list_numbers(
    case: Case, solution: Solution, told: Sequence[tuple[str, float]], bands: Array
) -> tuple[Learned, ...]:
    """List every number before and after; what is not determined stays, with the range of its band."""
    deviation, _ = find_spread(solution.slopes, bands.tolist())
    found = []
    for at, (one, (word, left)) in enumerate(zip(TAUGHT, told, strict=True)):
        before = read_value(case, one.fields[0])
        kept = word != NOT_TOLD
        moved = float(solution.point[at]) if kept else 0.0
        wide = EIGHT_OF_TEN * (float(deviation[at]) if kept else left * one.band)
        low, high = before * exp(moved - wide), before * exp(moved + wide)
        found.append(Learned(one, before, before * exp(moved), low, high, left, word))
    return tuple(found)


def make_fit(case: Case, log_: RunLog, learned: Sequence[Learned], name: str) -> Fit | None:
    """Make the fit of what was determined; None when nothing was."""
    values = {
        field: read_value(case, field) * one.factor for one in learned if one.kept for field in one.parameter.fields
    }
    return Fit(name, log_.name, case.tire.name, values) if values else None
