"""Plausible cars driven through the run on one setup: what each of them does, and how that hangs on its free numbers.

Everything read is kept at the knots of the run, so that any stage or lap can be read later without a drive.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, is_dataclass, replace
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from assistant.belief.model import case_numbers, read_beside, read_circuit
from assistant.belief.plausible import Cars, bands_of, make_cars, move_best_pressures
from assistant.belief.stages_of import At, span_of, weigh_knots
from assistant.car.car import CORNERS
from assistant.car.case import Case, Setup, numbers_moved
from assistant.car.moves import differences
from assistant.ground.grid import PHASES
from assistant.physics.attitude import felt_balance
from assistant.physics.car_and_driver import Band, Numbers, Phases, move_levers
from assistant.physics.corner_problem import set_problem
from assistant.physics.cornering import Near, solve_near
from assistant.physics.driven_run import LARGEST_TRIM, Anchor, DrivenRun, drive_run
from assistant.physics.formulas import Array
from assistant.physics.heat_and_wear import Circuit, Moments, place_knots, tires_at
from assistant.physics.lap import Lap

ANCHOR_PASSES, TRIM_PASSES, PASSES, SLOPE_PASSES = 5, 10, 4, 4
"""Passes that find the trims, that find them again with other best pressures, of a run, and of one moved from it."""
FEW_PASSES = 2
"""Passes where only the size has to be about right."""
FIRST_PASSES, REST_PASSES = 2, 10
"""Passes of a run that others are compared with: until it is near enough for derivatives, and until it has come to
rest."""
SETTLED_OFF, STUBBORN_PASSES, HOPELESS = 0.02, 24, 0.2
"""Balance [%] off neutral beyond which a car is looked after longer, for how many passes, and off which it is left: its
tires answer the smallest push with more and more, and no driver would finish a run in it."""
CORRECTIONS = 2
"""Rounds of `solve_near` for a lever moved on the tires in place."""
WORN_OUT = 1.0
"""Share of tread used from which a car is no plausible one: the run was planned for less."""

TRIMS = tuple(f"trim_{phase}" for phase in PHASES)
FREE: Mapping[str, float] = {"front to rear": 0.04, **dict.fromkeys(TRIMS, 0.04)}
"""The free numbers of a car with their standard deviations: shares of grip between front and rear.

The trims of single phases stand in for a lap that is not yet one motion; they cost as much as the common one.
"""
NUDGES: Mapping[str, float] = dict.fromkeys(TRIMS, 0.01)
"""How far a free number is moved for its slope; the slope of the common trim is the sum of the three."""

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
UNTIL = "until"
"""Share of the run for which a habit is kept up; all of it where none is said."""


@dataclass(frozen=True, eq=False)
class Course:
    """Where and how far the cars are driven.

    beside: what their tires read beside the model, left: the share of doubt a run log left of that (see `Fit`).
    """

    circuit: Circuit
    laps: int
    ends: tuple[str, ...]
    beside: Mapping[str, float] = field(default_factory=dict)
    left: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Driven:
    """Cars driven on one setup. values: (quantities, knots, cars), named by `names`; SI, balance in percent.

    slopes: change of every value per standard deviation of every free number, (free, quantities, knots, cars).
    usable: cars that could drive it, (cars,). left: the share of doubt left of what a tire reads beside the model.
    """

    knots: Array
    names: tuple[str, ...]
    values: Array
    slopes: Array
    usable: NDArray[np.bool_]
    left: Mapping[str, float] = field(default_factory=dict)

    def first(self, cars: int) -> Driven:
        """Keep the first cars: more may have been drawn since."""
        return replace(self, values=self.values[..., :cars], slopes=self.slopes[..., :cars], usable=self.usable[:cars])

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


def read_balance(balance: Array, weights: Array) -> Array:
    """Balance of each phase, both ends and each end, (phases x (1 + ends), knots, cars)."""
    mean = np.moveaxis((balance * weights[:, None]).sum(axis=2), 1, 0)
    ends = np.moveaxis(balance, 0, 2)  # phases, ends, knots, cars
    return np.concatenate([mean, ends.reshape(-1, *ends.shape[2:])])


def lay_course(case: Case) -> Course:
    """Take the course of a case."""
    beside, left = ({}, {}) if case.fit is None else (case.fit.beside, case.fit.left)
    return Course(read_circuit(case), case.run_laps, tuple(end.id for end in case.track.ends), beside, left)


def begin_cars(case: Case, course: Course, off: Array, scatter: Array, usual: Setup | None = None) -> Cars:
    """Make cars of a case and find the trims with which each is neutral when settled on the `usual` setup.

    off: how far each drawn number is off [its bands], (drawn, cars), in the order of `case_bands`. usual: how such a
    car is set up where nobody complains; the case's own when left out. A car set up far from it then stands where that
    takes it.
    """
    bands = case_bands(case)
    return settle_cars(make_cars(case_numbers(case), bands, off, scatter), bands, course, moved_from(case.setup, usual))


def case_bands(case: Case) -> dict[str, Band]:
    """Name every number of a case that is drawn, with its band: what a run log left of it where there was one."""
    bands = bands_of(case_numbers(case), case.car.guessed | case.tire.guessed | case.setup.guessed)
    left = {} if case.fit is None else case.fit.left
    return {
        name: Band(left.get(name, 1.0) * band.share, left.get(name, 1.0) * band.add) for name, band in bands.items()
    }


def settle_cars(cars: Cars, bands: Mapping[str, Band], course: Course, usual: Changes) -> Cars:
    """Find each car's trims, first with the pressures of most grip as they are found, then moved inside their bands."""
    settled = span_of("settled", course.laps)
    anchor = Anchor((settled, settled, settled))
    numbers = move_levers(cars.numbers, usual)
    with np.errstate(all="ignore"):
        first = drive_run(numbers, cars.phases, course.circuit, course.laps, passes=ANCHOR_PASSES, anchor=anchor)
        numbers = move_best_pressures(first.problem.numbers, bands, cars.off)
        again = drive_run(
            numbers, cars.phases, course.circuit, course.laps, passes=TRIM_PASSES, anchor=anchor, begin=first
        )
        numbers = settle_stubborn(again, cars, course, anchor)
    return replace(cars, numbers=move_levers(numbers, {name: -by for name, by in usual.items()}))


def settled_off(run: DrivenRun) -> Array:
    """How far each car is off neutral when settled [%], in the phase that is off furthest, (cars,)."""
    mean = (run.balance * run.weights[:, None]).sum(axis=2)
    return np.asarray(np.abs(weigh_knots(run.laps, "settled") @ mean.transpose(1, 0, 2)).max(axis=0))


def settle_stubborn(run: DrivenRun, cars: Cars, course: Course, anchor: Anchor) -> Numbers:
    """Go on with the few cars whose tires answer so much that their trims are not found yet."""
    few = np.flatnonzero(~(settled_off(run) < SETTLED_OFF))
    if few.size == 0:
        return run.problem.numbers
    begin, phases = on_cars((run, cars.phases), cars.count, lambda values: values[..., few])
    numbers, circuit = begin.problem.numbers, course.circuit
    longer = drive_run(numbers, phases, circuit, course.laps, passes=STUBBORN_PASSES, anchor=anchor, begin=begin)
    found = {name: np.array(run.problem.numbers[name]) for name in TRIMS}
    for name in TRIMS:
        found[name][few] = longer.problem.numbers[name]
    found["trims_found"] = np.ones(cars.count)
    found["trims_found"][few] = settled_off(longer) < HOPELESS
    return {**run.problem.numbers, **found}


def moved_from(before: Setup, after: Setup | None) -> dict[str, float]:
    """Say which numbers of the model move, and how far, from one setup to another."""
    moved: dict[str, float] = {}
    for lever, (start, end) in (differences(before, after) if after else {}).items():
        for name, change in numbers_moved(lever, end - start, before).items():
            moved[name] = moved.get(name, 0.0) + change
    if after and after.seats_alone != before.seats_alone:
        moved["seats_alone"] = float(after.seats_alone) - float(before.seats_alone)
    return moved


def drive_cars(
    cars: Cars, course: Course, changes: CarChanges | None = None, begin: DrivenRun | None = None
) -> DrivenRun:
    """Drive every car with some numbers moved."""
    numbers, phases = move_numbers(cars.numbers, changes or {}), move_demands(cars.phases, changes or {}, course.laps)
    with np.errstate(all="ignore"):  # a car may be past driving: it is not usable then
        if begin is None:
            first = drive_run(numbers, phases, course.circuit, course.laps, passes=FIRST_PASSES)
            return drive_run(numbers, phases, course.circuit, course.laps, passes=REST_PASSES, begin=first)
        return drive_run(numbers, phases, course.circuit, course.laps, passes=PASSES, begin=begin)


@dataclass(frozen=True, eq=False)
class Beginning:
    """What of a run another one begins with."""

    moments: Moments
    near: Near
    lap: Lap


def drive_side_by_side(
    cars: Cars, course: Course, run: DrivenRun, changes: Sequence[Changes], chosen: NDArray[np.intp]
) -> Array:
    """What each of several changes does to chosen cars of a run, as one batch: (changes, quantities, knots, cars).

    Few passes: enough to see which changes are worth a drive of their own.
    """
    times, count = len(changes) + 1, cars.count

    def lay(part: Any) -> Any:
        return on_cars(part, count, lambda values: np.tile(values[..., chosen], times))

    numbers = {name: np.tile(np.broadcast_to(one, count)[chosen], times) for name, one in cars.numbers.items()}
    phases = lay(Phases(**{name: one + np.zeros(count) for name, one in vars(cars.phases).items()}))
    for place, change in enumerate(changes, 1):
        own = slice(place * len(chosen), (place + 1) * len(chosen))
        for name, by in change.items():
            numbers[name][own] += by
    begin = cast("DrivenRun", Beginning(lay(run.moments), lay(run.near), lay(run.lap)))
    with np.errstate(all="ignore"):
        driven = drive_run(numbers, phases, course.circuit, course.laps, passes=FEW_PASSES, begin=begin)
    parts = np.stack(np.split(read_values(driven), times, axis=-1))
    return np.asarray(parts[1:] - parts[0])


def on_cars(part: Any, count: int, change: Callable[[Array], Array]) -> Any:
    """Change all arrays of a record that have one value for every car."""
    if isinstance(part, tuple):
        return tuple(on_cars(one, count, change) for one in part)
    if isinstance(part, dict):
        return {name: on_cars(one, count, change) for name, one in part.items()}
    if isinstance(part, np.ndarray):
        return change(part) if part.shape[-1:] == (count,) else part
    if is_dataclass(part) and not isinstance(part, type):
        return replace(part, **{one.name: on_cars(getattr(part, one.name), count, change) for one in fields(part)})
    return part


def move_numbers(numbers: Numbers, changes: CarChanges) -> Numbers:
    """Add changes to numbers of every car."""
    moved = {name: numbers[name] + change for name, change in changes.items() if name not in {*DEMANDS, UNTIL}}
    return {**numbers, **moved}


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


def look_round(cars: Cars, course: Course, run: DrivenRun) -> Driven:
    """Read a run of all cars, and drive it once more for each free number."""
    values, names = read_values(run), quantity_names(course.ends)
    slopes = {name: slope_of(cars, course, run, name, values) for name in NUDGES}
    slopes["front to rear"] = sum((slopes[name] for name in TRIMS), start=np.zeros_like(values))
    each = np.stack([FREE[name] * slopes[name] for name in FREE])
    read = read_values(read_beside(run, course.beside))
    return Driven(run.laps, names, read, each, find_usable(run, values, each), course.left)


def slope_of(cars: Cars, course: Course, run: DrivenRun, name: str, values: Array) -> Array:
    """Change of every value per unit of one free number."""
    nudge = NUDGES[name]
    numbers = move_free(run.problem.numbers, {name: np.array(nudge)})
    with np.errstate(all="ignore"):
        moved = drive_run(numbers, cars.phases, course.circuit, course.laps, passes=SLOPE_PASSES, begin=run)
    return (read_values(moved) - values) / nudge


def move_free(numbers: Numbers, by: Mapping[str, Array]) -> Numbers:
    """Move free numbers of every car."""
    common = by.get("front to rear", 0.0)
    return {**numbers, **{trim: numbers[trim] + by.get(trim, 0.0) + common for trim in TRIMS}}


def find_usable(run: DrivenRun, values: Array, slopes: Array) -> NDArray[np.bool_]:
    """Find the cars that could drive the run: steady everywhere, tread left, trims within reason, plain numbers."""
    steady = run.limit.steady.all(axis=(0, 1, 2))
    finite = np.isfinite(values).all(axis=(0, 1)) & np.isfinite(slopes).all(axis=(0, 1, 2))
    wear = run.moments.wear.max(axis=(0, 1)) < WORN_OUT
    trims = np.abs(np.stack([run.problem.numbers[trim] for trim in TRIMS])).max(axis=0) < LARGEST_TRIM
    return np.asarray(steady & finite & wear & trims & (run.problem.numbers["trims_found"] > 0.0))


def move_at_once(cars: Cars, run: DrivenRun, course: Course, changes: Changes) -> Array:
    """Change of balance with some numbers moved and the tires as they are, (phases x (1 + ends), knots, cars)."""
    numbers, circuit = move_numbers(run.problem.numbers, changes), course.circuit
    with np.errstate(all="ignore"):
        tires = tires_at(numbers, run.moments)
        phases = move_demands(cars.phases, changes, course.laps)
        problem = set_problem(numbers, tires, phases, circuit.place, circuit.curve, circuit.engine, rows=10)
        balance = felt_balance(problem, solve_near(problem, run.near, CORRECTIONS))
        return read_balance(balance, run.weights) - read_balance(run.balance, run.weights)
