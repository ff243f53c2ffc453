"""What a run log teaches: the same update as everything else, with the log as evidence, and what it comes to.

Plausible cars that differ in the numbers a log can teach are driven as the log was; what is known then gives the middle
and the doubt of each number (see `aim`), and more cars are drawn about it, a few times over. What a tire reads beside
the model all run long is learned with them. Where the car is in balance does not come from the log.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from assistant.belief.aim import Aim, Learnt, find_slopes, learn, plain_aim
from assistant.belief.driven import FREE, Driven, case_bands, lay_course, quantity_names, read_values, settle_cars
from assistant.belief.known import Row, rows_of_log
from assistant.belief.log_readings import (
    Agreement,
    Compared,
    Drift,
    Readings,
    agree,
    collect_readings,
    compare,
    find_drift,
    find_slower,
    root_mean_square,
)
from assistant.belief.model import case_numbers, no_steady_state
from assistant.belief.plausible import OPEN, Cars, make_cars
from assistant.belief.weigh import CELLS, ERRORS, FUEL_OFF, GAUGES, write_equations
from assistant.car.case import Case, Fit
from assistant.car.file_keys import FIT_KEYS
from assistant.car.run_log import RunLog, check_against_case
from assistant.ground.names import CORNERS
from assistant.ground.problems import BadInput, Problem
from assistant.ground.quantities import EIGHT_OF_TEN
from assistant.physics.driven_run import drive_run
from assistant.physics.formulas import Array
from assistant.physics.heat_and_wear import weigh_span

Told = Literal["well", "partly", "not"]
"""How well a log determines a number."""
TAUGHT: Mapping[str, str] = {
    "wear": "wear_rate",
    "heat": "heat_share",
    "rolling": "hysteresis",
    "cooling": "cooling_speed",
    "gas": "gas_lag",
    "gas_share": "gas_share",
    "worn_grip": "worn_grip",
    "fuel": "fuel_use",
}
"""What a log can teach, by id: fields of the tire, and of the engine last, which no car is drawn by."""
DRAWN = tuple(TAUGHT.values())[:-1]
HALF, ROUNDS, PASSES, SEED = 32, 4, 10, 7
"""Cars drawn, with as many opposite ones; how often about what was learned; passes of each drive."""
WIDEST = 4.0
"""Bands a number may move; farther means that log and case do not belong together."""
WELL, PARTLY = 0.5, 0.85
"""Share of the doubt left: below the first the log determines a number, above the second it does not."""
TIED, LEFT_LOOSE = 0.8, 0.3
"""Correlation from which two numbers are only known together, and the doubt left above which that is worth saying."""
TOO_FAR = 4.0
"""Mean misfit in standard deviations from which the model does not follow the log at all."""
ASSUMED = 8.0
"""Readings' worth of what gauge and hand are taken to be off (assumption): a few readings alone tell no scatter."""
ODD = 2.0
"""How far a tire reads beside the model, in what the model may be off, for it to be said."""
OFF_OF = {"tread temperature": "tread", "hot pressure": "pressure", "wear": "wear"}
"""Quantities of which each tire may read beside the model."""


@dataclass(frozen=True)
class Learned:
    """One number: before, after, and the range that holds eight of ten. told: how well the log determines it.

    left: share of the doubt from before that is left. factor: after over before. held: it would have to go farther
    than a log may move it.
    """

    id: str
    before: float
    after: float
    low: float
    high: float
    left: float
    told: Told
    held: bool = False

    @property
    def field(self) -> str:
        """Its field of Tire or Engine."""
        return TAUGHT[self.id]

    @property
    def kept(self) -> bool:
        """Whether the fit holds it."""
        return self.told != "not"

    @property
    def factor(self) -> float:
        """After over before."""
        return self.after / self.before


@dataclass(frozen=True)
class Beside:
    """How far a tire reads beside the model all run long, SI. times: that in what the model may be off."""

    quantity: str
    corner: str
    value: float
    times: float


@dataclass(frozen=True)
class Calibration:
    """All of it. left_out: laps not driven freely. not_measured: tires, where others were measured.

    beside: tires that read far from the model. not_followed: quantities the model does not follow, and how many times
    what gauge and model may be off. With any, or with a number that is held, nothing may be kept. tied: numbers known
    only together. slower: see `find_slower`.
    """

    log: RunLog
    learned: tuple[Learned, ...]
    agreement: tuple[Agreement, ...]
    compared: tuple[Compared, ...]
    drift: tuple[Drift, ...]
    left_out: tuple[int, ...]
    not_measured: tuple[str, ...]
    tied: tuple[tuple[str, str], ...]
    beside: tuple[Beside, ...]
    not_followed: tuple[tuple[str, float], ...]
    slower: float
    fit: Fit | None

    @property
    def out_of_reach(self) -> tuple[Learned, ...]:
        """The numbers that would have to go farther than a log may move them."""
        return tuple(one for one in self.learned if one.held and one.kept)

    @property
    def refused(self) -> bool:
        """Whether nothing may be kept."""
        return bool(self.out_of_reach or self.not_followed)


def calibrate(case: Case, log: RunLog, name: str = "fit") -> Calibration:
    """Learn from a log. case: read without an earlier fit. name: of the new fit. Raises BadInput for another car's."""
    if problems := [*check_against_case(log, case), *_stand_still(case)]:
        raise BadInput(problems)
    readings = collect_readings(log)
    if not readings.readings:
        raise BadInput(log.problem(log.rows[-1].line, "nothing in this log can be compared", "time a lap, or measure"))
    lesson = take_in(case, readings)
    fit = lesson.fit(name, log.name)
    compared, run = compare(case, fit, readings)
    beside = tuple(lesson.beside())
    found = Calibration(
        log=log,
        learned=lesson.learned,
        agreement=tuple(agree(compared)),
        compared=compared,
        drift=tuple(find_drift(compared, run, readings)),
        left_out=readings.left_out,
        not_measured=find_not_measured(readings),
        tied=tuple(lesson.tied()),
        beside=tuple(one for one in beside if abs(one.times) > ODD),
        not_followed=tuple(find_not_followed(compared, beside, case)),
        slower=find_slower(readings, run),
        fit=fit if fit.values or fit.beside else None,
    )
    return replace(found, fit=None) if found.refused else found


def _stand_still(case: Case) -> Iterator[Problem]:
    """Find what a log is to move but cannot: every number is moved by a share of itself."""
    for field in TAUGHT.values():
        if read_value(case, field) == 0.0:
            says = f"'{field.replace('_', ' ')}' is nothing in the files, and no log can move it from there"
            yield Problem(case.file or case.name, 0, 0, says, "put in a guess first, such as that of the demo")


def read_value(case: Case, field: str) -> float:
    """Value of a field of the case's tire or engine."""
    return float(getattr(case.car.engine if field == "fuel_use" else case.tire, field))


@dataclass(frozen=True, eq=False)
class Lesson:
    """What was learned of a case from readings. scatter: see `find_scatter`.

    levels: how the level of each of `GAUGES` hangs on the drawn numbers [what the model may be off], (gauges, drawn).
    """

    case: Case
    learnt: Learnt
    middle: Driven
    readings: Readings
    scatter: Mapping[str, float]
    levels: Array

    @cached_property
    def learned(self) -> tuple[Learned, ...]:
        """Every number before and after; what is not determined stays, with the range of its band."""
        return tuple(self._number(at, one) for at, one in enumerate(TAUGHT))

    def _number(self, at: int, one: str) -> Learned:
        field, left = TAUGHT[one], float(self.learnt.off[self._place(at)])
        told = judge(left)
        moved = float(self.learnt.middle[self._place(at)]) if told != "not" else 0.0
        wide = EIGHT_OF_TEN * left
        before = read_value(self.case, field)
        low, after, high = (value_at(self.case, field, moved + by) for by in (-wide, 0.0, wide))
        after = after if told != "not" else before
        return Learned(one, before, after, min(low, after), max(high, after), left, told, held=abs(moved) >= WIDEST)

    def _place(self, at: int) -> int:
        """Place of a number among all that was learned."""
        return at if at < len(DRAWN) else len(DRAWN) + len(FREE) + len(ERRORS) - 1

    def tied(self) -> Iterator[tuple[str, str]]:
        """Find numbers that are known only together; their single values may trade off."""
        together = self.learnt.covariance / np.outer(self.learnt.off, self.learnt.off)
        for i, one in enumerate(self.learned[: len(DRAWN)]):
            for j, other in enumerate(self.learned[:i]):
                loose = min(one.left, other.left) > LEFT_LOOSE and one.kept and other.kept
                if loose and abs(together[i, j]) > TIED:
                    yield other.id, one.id

    def beside(self) -> Iterator[Beside]:
        """Find what each tire that was measured reads beside the model."""
        for name in GAUGES:
            place, (what, corner) = self._error(name), name.split()
            if judge(float(self.learnt.off[place])) != "not":
                times = float(self.learnt.middle[place])
                yield Beside(what, corner, ERRORS[len(CELLS) + GAUGES.index(name)] * times, times)

    def _error(self, name: str) -> int:
        """Place of what a tire reads beside the model among all that was learned."""
        return len(DRAWN) + len(FREE) + len(CELLS) + GAUGES.index(name)

    def fit(self, name: str, log: str) -> Fit:
        """Make the fit of what was determined."""
        kept = [one for one in self.learned if one.kept]
        values, left = ({one.field: getattr(one, part) for one in kept} for part in ("after", "left"))
        beside = {f"{one.quantity} {one.corner}": self._as_read(one) for one in self.beside()}
        left |= {tire: self._left_of_level(tire) for tire in beside}
        return Fit(name, log, self.case.tire.name, values, rounded(left), rounded(beside))

    def _left_of_level(self, name: str) -> float:
        """Share of the doubt that is left of how high a tire reads, whatever the numbers that make it so.

        A log may leave open which of them it is, and still tell their sum.
        """
        by: Array = np.zeros(len(self.learnt.middle))
        by[: len(DRAWN)] = self.levels[GAUGES.index(name)]
        by[self._error(name)] = 1.0
        return float((by @ self.learnt.covariance @ by) ** 0.5)

    def _as_read(self, one: Beside) -> float:
        """What is kept of a tire's reading: of its wear, which grows with the laps, the share of the model's."""
        if one.quantity != "wear":
            return one.value
        name, end = f"wear {one.corner}", self.middle.knots[-1]
        mine = [row for row in rows_of_log(self.readings, self.case) if row.terms[0].quantity == name]
        worn = [sum(term.factor * float(self.middle.read(name, term.at)[0]) for term in row.terms) for row in mine]
        laps = [sum(term.factor * float(term.at) for term in row.terms) for row in mine]
        return float(one.value * sum(laps) / end / max(sum(worn), 1e-9))


def rounded(values: Mapping[str, float]) -> dict[str, float]:
    """Write values with no more digits than they carry: two."""
    return {name: float(f"{value:.2g}") for name, value in values.items()}


def judge(left: float) -> Told:
    """Say how well a log determines a number of which this share of the doubt is left."""
    return "well" if left < WELL else "partly" if left < PARTLY else "not"


def value_at(case: Case, field: str, off: float) -> float:
    """Value of a number so many bands off, within what a file may hold."""
    if field == "fuel_use":
        value = case.car.engine.fuel_use * (1.0 + FUEL_OFF * off)
    else:
        value = float(draw_cars(case, {field: np.array([off])}).numbers[field][0])
    key = next(one for one in FIT_KEYS if one.field == field)
    return float(np.clip(value, *key.span))


def draw_cars(case: Case, off: Mapping[str, Array]) -> Cars:
    """Make cars on which some numbers are off by so many bands."""
    bands, count = case_bands(case), len(next(iter(off.values())))
    each = np.stack([off.get(name, np.zeros(count)) for name in bands])
    return make_cars(case_numbers(case), bands, each, np.zeros((OPEN, count)), WIDEST)


def drive_log(case: Case, off: Array, readings: Readings) -> Driven:
    """Drive cars as a log was driven; off: of each drawn number [bands], (drawn, cars)."""
    course = replace(lay_course(case), laps=readings.laps)
    cars, _ = settle_cars(draw_cars(case, dict(zip(DRAWN, off, strict=True))), case_bands(case), course, {})
    with np.errstate(all="ignore"):  # a car may be past driving: it is not usable then
        run = drive_run(cars.numbers, cars.phases, course.circuit, course.laps, readings.stops, passes=PASSES)
        values = read_values(run)
    usable = np.asarray(np.isfinite(values).all(axis=(0, 1)))
    return Driven(run.laps, quantity_names(course.ends), values, np.zeros((len(FREE), *values.shape)), usable)


def take_in(case: Case, readings: Readings) -> Lesson:
    """Learn from readings: drive cars, learn, and draw them anew about what was learned."""
    half = np.random.default_rng(SEED).standard_normal((len(DRAWN), HALF))
    standard, aim = np.concatenate([half, -half], axis=1), plain_aim(len(DRAWN))
    assumed, scatter = rows_of_log(readings, case), dict[str, float]()
    for _ in range(ROUNDS):
        rows = [replace(row, off=row.off * scatter.get(kind_of(row), 1.0)) for row in assumed]
        drawn_by, off = aim, aim.draw(standard)
        driven = drive_log(case, off, readings)
        if not driven.usable.any():
            raise no_steady_state(case)
        equations = write_equations(rows, {"": driven}, ())
        learnt = learn(equations, off, driven.usable, drawn_by)
        scatter = find_scatter(rows, learnt.misses, scatter)
        aim = replace(learnt.aim, middle=np.clip(learnt.aim.middle, -WIDEST, WIDEST))
    kept = np.array([judge(float(left)) != "not" for left in learnt.off[: len(DRAWN)]])
    if not kept.all():  # what the log does not tell stays as it was, and the rest is fitted to that
        learnt = replace(learnt, middle=learn(equations, off, driven.usable, drawn_by, kept).middle)
    middle = drive_log(case, np.clip(learnt.middle[: len(DRAWN), None], -WIDEST, WIDEST), readings)
    return Lesson(case, learnt, middle, readings, scatter, find_levels(driven, standard, drawn_by))


def find_levels(driven: Driven, standard: Array, drawn_by: Aim) -> Array:
    """Say how the level of each of `GAUGES` hangs on the drawn numbers [what the model may be off], (gauges, drawn)."""
    weights = weigh_span(driven.knots, (0.0, float(driven.knots[-1])))
    lines = [driven.values[driven.names.index(name)] for name in GAUGES]
    levels = [line[-1] if name.startswith("wear") else weights @ line for name, line in zip(GAUGES, lines, strict=True)]
    off = np.array(ERRORS[len(CELLS) :][: len(GAUGES)])
    slopes = find_slopes(standard[:, driven.usable], np.stack(levels)[:, driven.usable])[0]
    return np.asarray(slopes @ np.linalg.inv(drawn_by.root) / off[:, None])


def kind_of(row: Row) -> str:
    """Name the gauge of a reading: "tread", "pressure", "wear", "fuel"; "pace" has its scatter from the log already."""
    return row.id.split()[0]


def find_scatter(rows: Sequence[Row], misses: Array, before: Mapping[str, float]) -> dict[str, float]:
    """Find how far readings of each gauge scatter, as a share of what gauge and hand are taken to be off.

    The variance a log shows, with what is assumed counted as `ASSUMED` readings. before: the shares that are in rows.
    """
    found = {}
    for kind in {kind_of(row) for row in rows} - {"pace"}:
        mine = [miss * before.get(kind, 1.0) for row, miss in zip(rows, misses, strict=True) if kind_of(row) == kind]
        found[kind] = float(((ASSUMED + sum(one**2 for one in mine)) / (ASSUMED + len(mine))) ** 0.5)
    return found


def find_not_followed(
    compared: Sequence[Compared], beside: Sequence[Beside], case: Case
) -> Iterator[tuple[str, float]]:
    """Find the quantities the model does not follow, and how many times what gauge and model may be off it is off."""
    for quantity in dict.fromkeys(one.reading.quantity for one in compared):
        mine = [one for one in compared if one.reading.quantity == quantity]
        odd = [abs(one.times) for one in beside if one.quantity == OFF_OF.get(quantity)]
        off = model_off(quantity, case)
        misses = [(one.after - one.reading.value) / float(np.hypot(one.reading.off, off)) for one in mine]
        far = max(root_mean_square(misses), *odd, 0.0)
        if far > TOO_FAR:
            yield quantity, far


def model_off(quantity: str, case: Case) -> float:
    """What the model may be off in a quantity of a log, SI; nothing where it has no error of its own."""
    found = [
        off for one, off in zip(GAUGES, ERRORS[len(CELLS) :], strict=False) if one.split()[0] == OFF_OF.get(quantity)
    ]
    return 0.0 if not found else found[0] * (case.tire.tread if quantity == "wear" else 1.0)


def find_not_measured(readings: Readings) -> tuple[str, ...]:
    """Find the tires nobody measured where others were; they follow those by the one tire law."""
    measured = {one.corner for one in readings.readings if one.corner}
    return tuple(corner for corner in CORNERS if measured and corner not in measured)
