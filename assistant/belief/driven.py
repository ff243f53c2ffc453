"""Plausible cars driven through the run on one setup: what each of them does, and how that hangs on its free numbers.

Everything read is kept at the knots of the run, so that any stage or lap can be read later without a drive.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from assistant.belief.model import (
    At,
    case_numbers,
    find_beside,
    find_level,
    read_beside,
    read_circuit,
    span_of,
    weigh_knots,
)
from assistant.belief.plausible import (
    Band,
    Cars,
    bands_of,
    join_cars,
    make_cars,
    move_best_pressures,
    on_cars,
    pick_cars,
    put_cars,
)
from assistant.car.case import Case, Setup, numbers_moved
from assistant.car.moves import differences
from assistant.ground.names import CORNERS, PHASES
from assistant.physics.car_and_driver import Numbers, Phases, move_numbers
from assistant.physics.driven_run import LARGEST_TRIM, Anchor, Beginning, DrivenRun, drive_run
from assistant.physics.formulas import Array
from assistant.physics.heat_and_wear import Circuit, place_knots

ANCHOR_PASSES, TRIM_PASSES = 3, 8
"""Passes that find the trims, and that find them again with other best pressures."""
REST_PASSES, FAR_PASSES = 4, 10
"""Passes until a run is at rest with the trims as they were found, and on another setup."""
PASSES = 4
"""Passes of a run that is read, from one at rest; what is compared is always driven on as far, so that no change comes
to nothing at all."""
TWO = 2
"""Runs that are driven side by side: more gain nothing on the machines of a paddock."""
SETTLED_OFF, STUBBORN_PASSES, HOPELESS = 0.05, 16, 0.2
"""Balance [%] off neutral beyond which a car is looked after longer, for how many passes, and off which it is left: its
tires answer the smallest push with more and more, and no driver would finish a run in it."""
WORN_OUT = 1.0
"""Share of tread used from which a car is no plausible one: the run was planned for less."""

TRIMS = tuple(f"trim_{phase}" for phase in PHASES)
FREE: Mapping[str, float] = {"front to rear": 0.04, **dict.fromkeys(TRIMS, 0.04)}
"""The free numbers of a car with their standard deviations: shares of grip between front and rear.

The trims of single phases stand in for a lap that is not yet one motion; they cost as much as the common one.
"""
NUDGE = 0.01
"""How far a trim is moved for its slope; the slope of the common one is the sum of the three."""

Changes = Mapping[str, float]
"""Number of the model to its change (SI); a demand of the driver (see `DEMANDS`) to the share it changes by."""
CarChanges = Mapping[str, float | Array]
"""The same, each car by its own."""
DEMANDS: Mapping[str, tuple[str, int]] = {
    "entry_brake": ("brake", 0),
    "middle_drive": ("drive", 1),
    "exit_drive": ("drive", 2),
}
"""What a driving habit may change: the force and the phase of `Phases`."""
Task = TypeVar("Task")
Made = TypeVar("Made")
UNTIL = "until"
"""Share of the run for which a habit is kept up; all of it where none is said."""


@dataclass(frozen=True, eq=False)
class Course:
    """Where and how far the cars are driven.

    level: how high this car reads by a run log, on the setup of the case (see `read_levels`). left: the share of doubt
    the log left of each number and of each tire (see `Fit`).
    """

    circuit: Circuit
    laps: int
    ends: tuple[str, ...]
    level: Mapping[str, float] = field(default_factory=dict)
    left: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Driven:
    """Cars driven on one setup. values: (quantities, knots, cars), named by `names`; SI, balance in percent.

    slopes: change of every value per standard deviation of every free number, (free, quantities, knots, cars).
    usable: cars that could drive it, (cars,). left: the share of doubt left of what a tire reads beside the model.
    at_once: balance on the tires of the run at rest, which what a change does at once is held against.
    """

    knots: Array
    names: tuple[str, ...]
    values: Array
    slopes: Array
    usable: NDArray[np.bool_]
    left: Mapping[str, float] = field(default_factory=dict)
    at_once: Array = field(default_factory=lambda: np.zeros(0))

    def of(self, cars: NDArray[np.intp]) -> Driven:
        """Keep some cars."""
        return replace(self, values=self.values[..., cars], slopes=self.slopes[..., cars], usable=self.usable[cars])

    def weights(self, name: str, at: At) -> tuple[int, Array]:
        """Place of a quantity, and what each knot counts at a stage or lap."""
        return self.names.index(name), weigh_knots(self.knots, at)

    def read(self, name: str, at: At) -> Array:
        """Value of every car, (cars,)."""
        place, weights = self.weights(name, at)
        return np.asarray(weights @ self.values[place])

    def read_slopes(self, name: str, at: At) -> Array:
        """Slope of every car by its free numbers, (free, cars)."""
        place, weights = self.weights(name, at)
        return np.asarray(np.tensordot(weights, self.slopes[:, place], axes=(0, 1)))


@dataclass(frozen=True, eq=False)
class Effect:
    """What a change does to every car. at_once: on the tires in place, balance only; after: by the end of the next run.

    Both (quantities, knots, cars), as in `Driven`; `at_once` holds the first ones, which are balance. moved: cars that
    were driven with it; the others, which count nothing, have no numbers.
    """

    knots: Array
    names: tuple[str, ...]
    at_once: Array
    after: Array
    moved: NDArray[np.bool_]

    def of(self, cars: NDArray[np.intp]) -> Effect:
        """Keep some cars."""
        return replace(self, at_once=self.at_once[..., cars], after=self.after[..., cars], moved=self.moved[cars])

    def put(self, at_once: Array, after: Array, cars: NDArray[np.intp]) -> Effect:
        """Put in what the change does to some cars."""
        moved = self.moved.copy()
        moved[cars] = True
        once, later = put_cars(self.at_once, at_once, cars), put_cars(self.after, after, cars)
        return replace(self, at_once=once, after=later, moved=moved)

    def answered(self, by: Array) -> Effect:
        """Take what it does to the balance of each car times a factor of its own, (cars,)."""
        after = self.after.copy()
        after[: len(self.at_once)] *= by
        return replace(self, at_once=self.at_once * by, after=after)

    def times(self, multiple: float) -> Effect:
        """Take so many times the change; what a driver keeps in hand makes effects nearly straight."""
        return replace(self, at_once=multiple * self.at_once, after=multiple * self.after)

    def read(self, name: str, at: At, *, at_once: bool = False) -> Array:
        """Change of a quantity of every car at a stage or lap, (cars,)."""
        values = self.at_once if at_once else self.after
        return np.asarray(weigh_knots(self.knots, at) @ values[self.names.index(name)])

    def along(self, name: str) -> Array:
        """Change of a quantity of every car all along the next run, (knots, cars)."""
        return np.asarray(self.after[self.names.index(name)])

    def with_room(self, cars: int) -> Effect:
        """Leave room for cars that were drawn later."""
        more = (0, cars - len(self.moved))
        once, after = (
            np.pad(one, [(0, 0), (0, 0), more], constant_values=np.nan) for one in (self.at_once, self.after)
        )
        return replace(self, at_once=once, after=after, moved=np.pad(self.moved, more))


def quantity_names(ends: tuple[str, ...]) -> tuple[str, ...]:
    """Name what is read of a run, in the order of `read_values`."""
    balance = [f"balance {phase}" for phase in PHASES]
    balance += [f"balance {phase} {end}" for phase in PHASES for end in ends]
    corners = [f"{what} {corner}" for what in ("tread", "pressure", "wear") for corner in CORNERS]
    return (*balance, *corners, "lap time", "fuel", "stagger")


def read_values(run: DrivenRun) -> Array:
    """Read a run: (quantities, knots, cars)."""
    radius = run.problem.rest.radius
    shape = run.lap.time.shape
    return np.concatenate(
        [
            read_balance(run.balance, run.weights),
            run.moments.tread,
            np.broadcast_to(run.tires.pressure, (4, *shape)),
            run.moments.wear,
            run.lap.time[None],
            np.broadcast_to(run.moments.fuel_used, shape)[None],
            np.broadcast_to(2.0 * np.pi * (radius[3] - radius[2]), shape)[None],
        ]
    )


def read_told(run: DrivenRun) -> Array:
    """Read a run with what a run log says tires do beside the model."""
    return read_values(read_beside(run))


def read_balance(balance: Array, weights: Array) -> Array:
    """Balance of each phase, both ends and each end, (phases x (1 + ends), knots, cars)."""
    mean = np.moveaxis((balance * weights[:, None]).sum(axis=2), 1, 0)
    ends = np.moveaxis(balance, 0, 2)  # phases, ends, knots, cars
    return np.concatenate([mean, ends.reshape(-1, *ends.shape[2:])])


def lay_course(case: Case) -> Course:
    """Take the course of a case."""
    left = {} if case.fit is None else case.fit.left
    return Course(read_circuit(case), case.run_laps, tuple(end.id for end in case.track.ends), find_level(case), left)


def begin_cars(
    case: Case, course: Course, off: Array, scatter: Array, usual: Setup | None = None
) -> tuple[Cars, Beginning]:
    """Make cars of a case with the trims with which each is neutral when settled on the `usual` setup; and their run.

    off: how far each drawn number is off [its bands], (drawn, cars), in the order of `case_bands`. usual: how such a
    car is set up where nobody complains; the case's own when left out. A car set up far from it then stands where that
    takes it.
    """
    bands = case_bands(case)
    cars = make_cars(case_numbers(case), bands, off, scatter)
    cars, run = settle_cars(cars, bands, course, moved_from(case.setup, usual))
    return replace(cars, numbers={**cars.numbers, **find_beside(run, course.level)}), run.beginning


def guesses_in(case: Case) -> int:
    """Count the values of a case that were only guessed, of those that are drawn."""
    return len((case.car.guessed | case.tire.guessed | case.setup.guessed) & case_bands(case).keys())


def case_bands(case: Case) -> dict[str, Band]:
    """Name every number of a case that is drawn, with its band: what a run log left of it where there was one."""
    bands = bands_of(case_numbers(case), case.car.guessed | case.tire.guessed | case.setup.guessed)
    left = {} if case.fit is None else case.fit.left
    return {
        name: Band(left.get(name, 1.0) * band.share, left.get(name, 1.0) * band.add) for name, band in bands.items()
    }


def settle_cars(cars: Cars, bands: Mapping[str, Band], course: Course, usual: Changes) -> tuple[Cars, DrivenRun]:
    """Find each car's trims, first with the pressures of most grip as they are found, then moved inside their bands.

    Returns the cars with their run.
    """
    settled = span_of("settled", course.laps)
    anchor = Anchor((settled, settled, settled))
    numbers = move_numbers(cars.numbers, usual)
    with np.errstate(all="ignore"):
        first = drive_run(numbers, cars.phases, course.circuit, course.laps, passes=ANCHOR_PASSES, anchor=anchor)
        numbers = move_best_pressures(first.problem.numbers, bands, cars.off)
        again = drive_run(
            numbers, cars.phases, course.circuit, course.laps, passes=TRIM_PASSES, anchor=anchor, begin=first.beginning
        )
        numbers, begin = settle_stubborn(again, cars, course, anchor)
    cars = replace(cars, numbers=move_numbers(numbers, {name: -by for name, by in usual.items()}))
    return cars, drive_on(cars, course, begin, {}, FAR_PASSES if usual else REST_PASSES)


def settled_off(run: DrivenRun) -> Array:
    """How far each car is off neutral when settled [%], in the phase that is off furthest, (cars,)."""
    settled = np.tensordot(weigh_knots(run.laps, "settled"), run.mean_balance, axes=1)
    return np.asarray(np.abs(settled).max(axis=0))


def settle_stubborn(run: DrivenRun, cars: Cars, course: Course, anchor: Anchor) -> tuple[Numbers, Beginning]:
    """Go on with the few cars whose tires answer so much that their trims are not found yet."""
    few = np.flatnonzero(~(settled_off(run) < SETTLED_OFF))
    if few.size == 0:
        return run.problem.numbers, run.beginning
    begin, numbers, phases = pick_cars((run.beginning, run.problem.numbers, cars.phases), cars.count, few)
    longer = drive_run(numbers, phases, course.circuit, course.laps, passes=STUBBORN_PASSES, anchor=anchor, begin=begin)
    found = {name: put_cars(run.problem.numbers[name], longer.problem.numbers[name], few) for name in TRIMS}
    found["trims_found"] = put_cars(np.ones(cars.count), (settled_off(longer) < HOPELESS).astype(float), few)
    counts = (cars.count, few.size)
    begin = on_cars(lambda old, new: put_cars(old, new, few), counts, run.beginning, longer.beginning)
    return {**run.problem.numbers, **found}, begin


def moved_from(before: Setup, after: Setup | None) -> dict[str, float]:
    """Say which numbers of the model move, and how far, from one setup to another."""
    moved: dict[str, float] = {}
    for lever, (start, end) in (differences(before, after) if after else {}).items():
        for name, change in numbers_moved(lever, end - start, before).items():
            moved[name] = moved.get(name, 0.0) + change
    if after and after.seats_alone != before.seats_alone:
        moved["seats_alone"] = float(after.seats_alone) - float(before.seats_alone)
    return moved


def drive_on(cars: Cars, course: Course, begin: Beginning, changes: CarChanges, passes: int = PASSES) -> DrivenRun:
    """Drive every car with some numbers moved, from a run of the same cars."""
    numbers, phases = move_cars(cars.numbers, changes), move_demands(cars.phases, changes, course.laps)
    with np.errstate(all="ignore"):  # a car may be past driving: it is not usable then
        return drive_run(numbers, phases, course.circuit, course.laps, passes=passes, begin=begin)


def drive_beside(
    cars: Cars, course: Course, rest: Beginning, changes: Sequence[CarChanges]
) -> tuple[list[Array], list[Array]]:
    """Drive several changes of the same cars as one batch, from a run at rest.

    Returns for each its balance at once, on the tires in place, and its values along the run with it; no numbers for a
    car that has no steady state with it.
    """
    counts = (cars.count,) * len(changes)
    moved = [(move_cars(cars.numbers, one), move_demands(cars.phases, one, course.laps)) for one in changes]
    numbers, phases = join_cars(counts, *moved)
    begin = join_cars(counts, *([rest] * len(changes)))
    with np.errstate(all="ignore"):
        run = drive_run(numbers, phases, course.circuit, course.laps, passes=PASSES, begin=begin)
    steady = run.limit.steady.all(axis=(0, 1, 2))
    once, after = (np.where(steady, values, np.nan) for values in (balance_at_once(run, begin), read_told(run)))
    return np.split(once, len(changes), axis=-1), np.split(after, len(changes), axis=-1)


def balance_at_once(run: DrivenRun, begin: Beginning) -> Array:
    """Balance of a run on the tires it began with, (phases x (1 + ends), knots, cars)."""
    time = begin.lap.corner_time.sum(axis=1)
    return read_balance(run.at_once, time / time.sum(axis=1, keepdims=True))


def two_at_a_time(work: Callable[[Task], Made], tasks: Sequence[Task]) -> list[Made]:
    """Do tasks side by side."""
    with ThreadPoolExecutor(TWO) as pool:
        return list(pool.map(work, tasks))


def move_cars(numbers: Numbers, changes: CarChanges) -> Numbers:
    """Add changes to numbers of every car, but for what the driver does otherwise."""
    return move_numbers(numbers, {name: by for name, by in changes.items() if name not in {*DEMANDS, UNTIL}})


def move_demands(phases: Phases, changes: CarChanges, laps: int) -> Phases:
    """Change what every driver asks of the tires by shares: entry_brake -0.1 brakes a tenth less on entry."""
    part = keep_up(laps, float(changes[UNTIL])) if UNTIL in changes else np.ones(())
    for name in DEMANDS.keys() & changes.keys():
        force, phase = DEMANDS[name]
        moved = np.array(getattr(phases, force)) * np.ones((*part.shape, 1))
        moved[..., phase, :, :] *= 1.0 + changes[name] * part
        phases = replace(phases, **{force: moved})
    return phases


def keep_up(laps: int, until: float) -> Array:
    """How far a habit is kept up at every knot of a run, (knots, 1, 1): its work is that of the laps it is for."""
    knots, _ = place_knots(laps)
    before, after = np.r_[knots[0], knots[:-1]], np.r_[knots[1:], knots[-1]]
    reach = np.clip(until * laps, before, after)
    return np.asarray((reach - before) / np.maximum(after - before, 1e-9))[:, None, None]


def look_round(cars: Cars, course: Course, rest: Beginning, changes: CarChanges) -> Driven:
    """Read all cars from a run at rest with these changes, and drive each free number once besides."""
    nudges: list[CarChanges] = [{}, *({trim: NUDGE} for trim in TRIMS)]
    run, *nudged = two_at_a_time(lambda by: drive_on(cars, course, rest, {**changes, **by}), nudges)
    values = read_told(run)
    slopes = {trim: (read_told(one) - values) / NUDGE for trim, one in zip(TRIMS, nudged, strict=True)}
    slopes["front to rear"] = sum(slopes.values(), start=np.zeros_like(values))
    each = np.stack([FREE[name] * slopes[name] for name in FREE])
    usable, at_once = find_usable(run, values, each), balance_at_once(run, rest)
    return Driven(run.laps, quantity_names(course.ends), values, each, usable, course.left, at_once)


def find_usable(run: DrivenRun, values: Array, slopes: Array) -> NDArray[np.bool_]:
    """Find the cars that could drive the run: steady everywhere, tread left, trims within reason, plain numbers."""
    steady = run.limit.steady.all(axis=(0, 1, 2))
    finite = np.isfinite(values).all(axis=(0, 1)) & np.isfinite(slopes).all(axis=(0, 1, 2))
    wear = run.moments.wear.max(axis=(0, 1)) < WORN_OUT
    trims = np.abs(np.stack([run.problem.numbers[trim] for trim in TRIMS])).max(axis=0) < LARGEST_TRIM
    return np.asarray(steady & finite & wear & trims & (run.problem.numbers["trims_found"] > 0.0))
