"""Fit what a run log can teach: wear, heat, the lag of the air inside, grip lost with tread, and fuel use.

Then how well the model meets the log, what drifts, what is known only together, and what must not be kept.

Least squares with the usual bands of the numbers as weak priors, so that what the log does not show stays as it was.
Where the car is in balance does not come from the log: every trial car is anchored neutral when settled.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import exp, log
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from assistant.belief.least_squares import ENOUGH, Solution, fit_bounded
from assistant.belief.log_readings import (
    FUEL,
    PACE,
    PARAMETERS,
    TAUGHT,
    Parameter,
    Reading,
    Readings,
    collect_readings,
    find_bounds,
    find_spread,
    move_parameters,
    predict,
    read_value,
)
from assistant.belief.model import no_steady_state, read_circuit, read_model
from assistant.car.car import CORNERS
from assistant.car.case import Case, Fit, put_fit
from assistant.car.run_log import RunLog, check_against_case
from assistant.ground.grid import PHASES
from assistant.ground.problems import BadInput, Problem
from assistant.ground.quantities import LOG_KINDS
from assistant.physics.car_and_driver import Numbers, collect_numbers, usual_phases
from assistant.physics.driven_run import DrivenRun, drive_run
from assistant.physics.formulas import Array

Told = Literal["well", "partly", "not"]
"""How well a log determines a number."""
TIED = 0.8
"""Correlation from which two numbers are only known together."""
LEFT_LOOSE = 0.3
"""Share of the uncertainty left above which it is worth saying that two numbers are tied."""
SEEN_TO_MOVE = 0.1
"""Logarithm of the factor below which a number has not gone anywhere."""
TOO_FAR = 4.0
"""Mean misfit in standard deviations from which the model does not follow the log at all."""


ANCHORINGS = 3
"""Searches, each on the trims of where the last one ended; the third moves no number by a tenth of its band (tests)."""
FOUND_BY_ANCHORING = (
    "trim_",
    "best_pressure_lf",
    "best_pressure_rf",
    "best_pressure_lr",
    "best_pressure_rr",
    "best_load_",
)
"""What an anchored run finds: the trims, and the pressures of most grip where the tire file does not know them."""
NO_OTHER_SEARCH = 0.05
"""Bands: a search that moved everything by less needs no other on new trims."""
ENOUGH_BEFORE_LAST = 1e-3
"""Share of the cost at which all searches but the last may stop."""
WELL, PARTLY = 0.5, 0.85
"""Share of the prior's uncertainty left: below the first the log determines a number, above the second it does not."""
EIGHT_OF_TEN = 1.2816
"""Standard deviations to either side that hold eight of ten normal numbers."""


@dataclass(frozen=True)
class Learned:
    """One number: before, after, and the range that holds eight of ten. told: how well the log determines it.

    left: share of the uncertainty from before that is left. factor: after over before.
    """

    parameter: Parameter
    before: float
    after: float
    low: float
    high: float
    left: float
    told: Told

    @property
    def kept(self) -> bool:
        """Whether the fit holds it."""
        return self.told != "not"

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
    """Change per ten laps, measured and fitted, SI; balance [%] has a phase and no measured one."""

    quantity: str
    corner: str
    measured: float | None
    fitted: float
    phase: str = ""


def agree(compared: Sequence[Compared]) -> list[Agreement]:
    """Root mean square misfit of each quantity."""
    found = []
    for quantity in LOG_KINDS:
        mine = [one for one in compared if one.reading.quantity == quantity]
        if mine:
            before = [one.before - one.reading.value for one in mine]
            after = [one.after - one.reading.value for one in mine]
            found.append(Agreement(quantity, len(mine), _rms(before), _rms(after)))
    return found


def find_out_of_reach(learned: Sequence[Learned], solution: Solution) -> tuple[Learned, ...]:
    """Find the numbers that ended at the end of what is possible."""
    pairs = zip(learned, solution.held[: len(TAUGHT)], strict=True)
    return tuple(one for one, held in pairs if held and one.kept and abs(log(one.factor)) > SEEN_TO_MOVE)


def find_not_followed(compared: Sequence[Compared]) -> tuple[tuple[str, float], ...]:
    """Find the quantities the model does not follow, and how many times what gauge and model may be off it is off."""
    found = []
    for quantity in dict.fromkeys(each.reading.quantity for each in compared):
        mine = [each for each in compared if each.reading.quantity == quantity]
        far = _rms([(each.after - each.reading.value) / each.reading.off for each in mine])
        if far > TOO_FAR:
            found.append((quantity, far))
    return tuple(found)


def find_tied(solution: Solution, learned: Sequence[Learned], bands: Array) -> tuple[tuple[Parameter, Parameter], ...]:
    """Find numbers that are known only together; their single values may trade off."""
    _, together = find_spread(solution.slopes, bands.tolist())
    found = []
    for i, one in enumerate(learned):
        for j, other in enumerate(learned[:i]):
            loose = min(one.left, other.left) > LEFT_LOOSE and one.kept and other.kept
            if loose and abs(together[i, j]) > TIED:
                found.append((other.parameter, one.parameter))
    return tuple(found)


def find_not_measured(readings: Readings) -> tuple[str, ...]:
    """Find the tires nobody measured where others were; they follow those by the one tire law."""
    measured = {one.corner for one in readings.readings if one.corner}
    return tuple(corner for corner in CORNERS if measured and corner not in measured)


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


def _rms(values: Sequence[float]) -> float:
    return float(np.sqrt(np.mean(np.square(values))))


@dataclass(frozen=True)
class Calibration:
    """All of it. left_out: laps not driven freely. not_measured: tires, where others were measured.

    out_of_reach: numbers at the end of what is possible; not_followed: quantities the model does not follow, and how
    many times what gauge and model may be off. With either, nothing may be kept. tied: numbers known only together.
    settled: the search was not cut off.
    """

    log: RunLog
    learned: tuple[Learned, ...]
    agreement: tuple[Agreement, ...]
    compared: tuple[Compared, ...]
    drift: tuple[Drift, ...]
    left_out: tuple[int, ...]
    not_measured: tuple[str, ...]
    tied: tuple[tuple[Parameter, Parameter], ...]
    settled: bool
    out_of_reach: tuple[Learned, ...]
    not_followed: tuple[tuple[str, float], ...]
    fit: Fit | None

    @property
    def refused(self) -> bool:
        """Whether nothing may be kept."""
        return bool(self.out_of_reach or self.not_followed)


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
    kept = np.array([word != "not" for word, _ in told] + [not one.taught for one in PARAMETERS[len(TAUGHT) :]])
    if not kept[: len(TAUGHT)].any():
        solution = replace(solution, point=np.zeros(len(PARAMETERS)))
    elif not kept.all():  # what the log does not tell stays as it was, and the rest is fitted to that
        solution = search(case, readings, np.where(kept, solution.point, 0.0), kept)
    learned = list_numbers(case, solution, told, bands)
    point = np.where(kept & [one.taught for one in PARAMETERS], solution.point, 0.0)
    if not np.isfinite([(one.after, one.low, one.high) for one in learned]).all():
        raise no_steady_state(case)
    compared, run = compare(case, readings, point)
    found = Calibration(
        log=log_,
        learned=learned,
        agreement=tuple(agree(compared)),
        compared=compared,
        drift=tuple(find_drift(compared, run, readings)),
        left_out=readings.left_out,
        not_measured=find_not_measured(readings),
        tied=find_tied(solution, learned, bands),
        settled=solution.settled,
        out_of_reach=find_out_of_reach(learned, solution),
        not_followed=find_not_followed(compared),
        fit=None,
    )
    return found if found.refused else replace(found, fit=make_fit(case, log_, learned, name))


def _stand_still(case: Case) -> Iterator[Problem]:
    """Find what a log is to move but cannot: every number is moved by a share of itself."""
    for field in (field for one in TAUGHT for field in one.fields):
        if read_value(case, field) == 0.0:
            says = f"'{field.replace('_', ' ')}' is nothing in the files, and no log can move it from there"
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

        solution = fit_bounded(
            residuals, point, low, high, enough=ENOUGH if turn == ANCHORINGS - 1 else ENOUGH_BEFORE_LAST
        )
        moved, point = np.abs(solution.point - point) / bands, solution.point
        if turn and moved.max() < NO_OTHER_SEARCH:
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
    found = {name: value for name, value in trimmed.items() if name.startswith(FOUND_BY_ANCHORING)}
    return {**collect_numbers(case.car, case.tire, case.setup), **found}


def answer(case: Case, numbers: Numbers, readings: Readings, points: Array) -> tuple[Array, DrivenRun]:
    """What the model gives for every reading at every point, (points, readings), and the runs behind it."""
    with np.errstate(all="ignore"):  # a trial car may be past driving: its answers are not finite, and it is not taken
        run = drive_run(
            move_parameters(numbers, points), usual_phases(), read_circuit(case), readings.laps, readings.stops
        )
    answers = predict(run, readings.readings, case.tire.tread, case.car.fuel_density)
    answers[:, readings.of("lap time")] *= np.exp(points[:, PACE, None])
    answers[:, readings.of("fuel")] *= np.exp(points[:, FUEL, None])
    return answers, run


def compare(case: Case, readings: Readings, point: Array) -> tuple[tuple[Compared, ...], DrivenRun]:
    """Set every reading beside the files' and the fit's answer; returns the run of the fit as well."""
    before, _ = leveled_answer(case, readings, np.zeros(len(PARAMETERS)))
    after, run = leveled_answer(case, readings, point)
    return tuple(map(Compared, readings.readings, before, after)), run


def leveled_answer(case: Case, readings: Readings, point: Array) -> tuple[list[float], DrivenRun]:
    """What the model of a point gives for every reading, lap times lifted to their own mean: only the shape counts."""
    answers, run = answer(case, anchored_numbers(case, point), readings, point[None])
    laps = readings.of("lap time")
    if len(laps):
        measured = np.array([readings.readings[at].value for at in laps])
        answers[0, laps] *= np.exp(np.log(measured / answers[0, laps]).mean())
    return answers[0].tolist(), run


def judge_numbers(solution: Solution, bands: Array) -> list[tuple[Told, float]]:
    """Say of each number how well the log determines it, and what share of its uncertainty is left."""
    deviation, _ = find_spread(solution.slopes, bands.tolist())
    lefts = [min(float(spread) / one.band, 1.0) for one, spread in zip(TAUGHT, deviation, strict=False)]
    return [("well" if left < WELL else "partly" if left < PARTLY else "not", left) for left in lefts]


def list_numbers(
    case: Case, solution: Solution, told: Sequence[tuple[Told, float]], bands: Array
) -> tuple[Learned, ...]:
    """List every number before and after; what is not determined stays, with the range of its band."""
    deviation, _ = find_spread(solution.slopes, bands.tolist())
    found = []
    for at, (one, (word, left)) in enumerate(zip(TAUGHT, told, strict=True)):
        before = read_value(case, one.fields[0])
        kept = word != "not"
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
