"""The plausible cars of a case, driven on the setups that are asked for; each drive is made once and kept on disk."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import wraps
from pathlib import Path
from threading import RLock
from typing import Any, NamedTuple, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from assistant.belief.aim import Aim, find_lean, plain_aim
from assistant.belief.driven import (
    DEMANDS,
    FAR_PASSES,
    Changes,
    Course,
    Driven,
    Effect,
    begin_cars,
    case_bands,
    drive_beside,
    drive_on,
    lay_course,
    look_round,
    moved_from,
    two_at_a_time,
)
from assistant.belief.kept import (
    find,
    keep,
    key_of,
    make_room,
    pack_cars,
    pack_driven,
    pack_moved,
    unpack_cars,
    unpack_driven,
    unpack_moved,
)
from assistant.belief.model import case_numbers
from assistant.belief.plausible import FIRST, MORE, SEED, Cars, draw_off, join_cars, pick_cars
from assistant.car.case import Case, Setup
from assistant.ground.folders import user_folder
from assistant.physics.driven_run import Beginning
from assistant.physics.formulas import Array

Flags = NDArray[np.bool_]
Work = TypeVar("Work", bound=Callable[..., Any])
DRIVEN = "driven"
"""Folder of what was driven, in the user's own."""
SIDE_BY_SIDE = 128
"""Cars that are driven as one batch where few of them are asked for: smaller batches take longer for each."""


def one_at_a_time(work: Work) -> Work:
    """Let nobody else into the garage while something is driven."""

    @wraps(work)
    def alone(garage: Garage, *args: Any, **names: Any) -> Any:
        with garage.lock:
            return work(garage, *args, **names)

    return cast("Work", alone)


@dataclass(eq=False)
class Drawn:
    """One batch of cars and where it was drawn. rests: their runs at rest, by setup. driven: what was read of them."""

    cars: Cars
    key: str
    aim: Aim
    rests: dict[str, Beginning]
    driven: dict[str, Driven] = field(default_factory=dict)


class Fleet(NamedTuple):
    """All cars of a garage, and their run at rest on a setup."""

    cars: Cars
    rest: Beginning


class Task(NamedTuple):
    """Changes, by name, that are driven as one batch on the same cars."""

    changes: dict[str, Changes]
    cars: NDArray[np.intp]


@dataclass(eq=False)
class Garage:
    """Cars of one case. usual: how such a car is usually set up; folder: where drives are kept, None for nowhere.

    size, more: cars drawn first, and whenever more are needed. lock: one drive at a time, whoever asks. A change is
    driven on the cars that are asked for alone: most drawn cars count next to nothing. of_fewer: what changes did
    before the last cars were drawn.

    The case's own setup is "as on the scales"; other setups are that car with levers moved.
    """

    case: Case
    usual: Setup | None = None
    folder: Path | None = None
    size: int = FIRST
    more: int = MORE
    seed: int = SEED
    batches: list[Drawn] = field(default_factory=list)
    driven: dict[str, Driven] = field(default_factory=dict)
    effects: dict[str, Effect] = field(default_factory=dict)
    of_fewer: dict[str, Effect] = field(default_factory=dict)
    fleets: dict[str, Fleet] = field(default_factory=dict)
    lock: RLock = field(default_factory=RLock)

    def __post_init__(self) -> None:
        """Lay the course and begin with one batch."""
        self.course: Course = lay_course(self.case)
        self.grow()

    @property
    def count(self) -> int:
        """How many cars."""
        return sum(batch.cars.count for batch in self.batches)

    @property
    def scatter(self) -> Array:
        """Where each car stands within what a fit leaves open."""
        return np.concatenate([batch.cars.scatter for batch in self.batches], axis=1)

    @property
    def off(self) -> Array:
        """How far each drawn number of each car is off [its bands], (drawn, cars)."""
        return np.concatenate([batch.cars.off for batch in self.batches], axis=1)

    @property
    def lean(self) -> Array:
        """Logarithm of how plausible each car is over how often it was drawn, (cars,)."""
        return find_lean(self.off, [(batch.aim, batch.cars.count) for batch in self.batches])

    @one_at_a_time
    def grow(self, aim: Aim | None = None) -> None:
        """Draw one more batch where the aim is; what was driven so far is driven with it when next asked for."""
        at, bands = len(self.batches), case_bands(self.case)
        size = self.more if at else self.size
        aim = plain_aim(len(bands)) if aim is None else aim
        usual = moved_from(self.case.setup, self.usual)
        key = key_of(case_numbers(self.case), bands, self.course, usual, size, self.seed, at, aim)
        kept = unpack_cars(find(self.folder, key) or {})
        if kept is None:
            kept = self._begin(aim, *draw_off(len(bands), size, self.seed, at))
            keep(self.folder, key, pack_cars(*kept))
        cars, rest = kept
        self.batches.append(Drawn(cars, key, aim, {key_of({}): rest}))
        self.driven.clear()
        self.fleets.clear()
        self.of_fewer, self.effects = {**self.of_fewer, **self.effects}, {}

    def _begin(self, aim: Aim, standard: Array, scatter: Array) -> tuple[Cars, Beginning]:
        """Make cars of standard normal numbers."""
        return begin_cars(self.case, self.course, aim.draw(standard), scatter, self.usual)

    @one_at_a_time
    def drive(self, setup: Setup | None = None) -> Driven:
        """Drive all cars on a setup, the case's own when left out."""
        changes = moved_from(self.case.setup, setup)
        name = key_of(changes)
        if name not in self.driven:
            self.driven[name] = join_driven([self._look(batch, changes) for batch in self.batches])
        return self.driven[name]

    def move(self, changes: Changes, setup: Setup | None = None, counts: Flags | None = None) -> Effect:
        """What moving numbers of the model by `changes` does to every car on a setup.

        counts: cars that count; the others may be left without numbers.
        """
        return self.move_all([changes], setup, counts)[0]

    @one_at_a_time
    def move_all(
        self, changes: Sequence[Changes], setup: Setup | None = None, counts: Flags | None = None
    ) -> list[Effect]:
        """The same for several changes, which are driven side by side."""
        start = moved_from(self.case.setup, setup)
        names = {key_of(start, one): one for one in changes}
        for name in names.keys() - self.effects.keys():
            known = self.of_fewer[name].with_room(self.count) if name in self.of_fewer else self._nothing(setup)
            self.effects[name] = unpack_moved(find(self.folder, self._moved_key(name)) or {}, known)
        asked = np.ones(self.count, dtype=bool) if counts is None else counts
        missing = {name: np.flatnonzero(asked & ~self.effects[name].moved) for name in names}
        tasks = lay_side_by_side({name: (one, missing[name]) for name, one in names.items() if missing[name].size})
        results = two_at_a_time(self._drive_task(start, setup), tasks) if tasks else []
        for task, found in zip(tasks, results, strict=True):
            for name, once, after in zip(task.changes, *found, strict=True):
                self.effects[name] = self.effects[name].put(once, after, task.cars)
                keep(self.folder, self._moved_key(name), pack_moved(self.effects[name]))
        return [self.effects[key_of(start, one)] for one in changes]

    def _drive_task(self, start: Changes, setup: Setup | None) -> Callable[[Task], tuple[list[Array], list[Array]]]:
        """Say how to drive changes from a setup: what each does at once and after, against as long a run without."""
        fleet, driven = self._fleet(start), self.drive(setup)

        def drive(task: Task) -> tuple[list[Array], list[Array]]:
            cars, rest = pick_cars((fleet.cars, fleet.rest), fleet.cars.count, task.cars)
            moved = [add_changes(start, one) for one in task.changes.values()]
            once, after = drive_beside(cars, self.course, rest, moved)
            before, without = driven.at_once[..., task.cars], driven.values[..., task.cars]
            return [one - before for one in once], [one - without for one in after]

        return drive

    def _moved_key(self, name: str) -> str:
        """Name what a change does to the cars of this garage, on disk."""
        return key_of([batch.key for batch in self.batches], "moved", name)

    def _nothing(self, setup: Setup | None) -> Effect:
        """Lay out what a change does, before any car was driven with it."""
        driven = self.drive(setup)
        balance = sum(one.startswith("balance") for one in driven.names)
        after = np.full(driven.values.shape, np.nan)
        return Effect(driven.knots, driven.names, after[:balance], after, np.zeros(self.count, dtype=bool))

    def _fleet(self, start: Changes) -> Fleet:
        """Bring all cars together on a setup."""
        name = key_of(start)
        if name not in self.fleets:
            counts = [batch.cars.count for batch in self.batches]
            cars = join_cars(counts, *(batch.cars for batch in self.batches))
            rest = join_cars(counts, *(self._rest(batch, start) for batch in self.batches))
            self.fleets[name] = Fleet(cars, rest)
        return self.fleets[name]

    def _rest(self, batch: Drawn, start: Changes) -> Beginning:
        """Find the run at rest of a batch on a setup: the first one was drawn with it."""
        name = key_of(start)
        if name not in batch.rests:
            own = batch.rests[key_of({})]
            batch.rests[name] = drive_on(batch.cars, self.course, own, start, FAR_PASSES).beginning
        return batch.rests[name]

    def _look(self, batch: Drawn, changes: Changes) -> Driven:
        key = key_of(batch.key, "driven", changes)
        if key not in batch.driven:
            driven = unpack_driven(find(self.folder, key) or {}, self.course)
            if driven is None:
                driven = look_round(batch.cars, self.course, self._rest(batch, changes), changes)
                keep(self.folder, key, pack_driven(driven))
            batch.driven[key] = driven
        return batch.driven[key]


def open_garage(case: Case) -> Garage:
    """Make the plausible cars of a case, or fetch those that were driven before: they are kept in the user's folder."""
    folder = user_folder() / DRIVEN
    make_room(folder)
    garage = Garage(case, folder=folder)
    garage.drive()
    return garage


def lay_side_by_side(missing: Mapping[str, tuple[Changes, NDArray[np.intp]]]) -> list[Task]:
    """Lay changes that miss the same few cars side by side, as many as make one good batch; habits are driven alone."""
    tasks: list[Task] = []
    for name, (changes, cars) in missing.items():
        last = tasks[-1] if tasks else None
        habit = not DEMANDS.keys().isdisjoint(changes)
        if last is None or habit or not has_room(last, cars):
            tasks.append(Task({name: changes}, cars))
        else:
            last.changes[name] = changes
    return tasks


def has_room(task: Task, cars: NDArray[np.intp]) -> bool:
    """Whether one more change of these cars may be driven with a task."""
    lever = all(DEMANDS.keys().isdisjoint(one) for one in task.changes.values())
    return lever and np.array_equal(task.cars, cars) and (len(task.changes) + 1) * len(cars) <= SIDE_BY_SIDE


def spread_off(off: Mapping[str, tuple[float, float]], batch: Drawn) -> dict[str, Array]:
    """Spread the cars of a batch evenly over the bands numbers may be off in, in an order of their own."""
    standard = batch.cars.scatter[-len(off) :]
    shares = (np.argsort(np.argsort(standard, axis=1), axis=1) + 0.5) / standard.shape[1]
    return {name: low + share * (high - low) for (name, (low, high)), share in zip(off.items(), shares, strict=True)}


def add_changes(one: Changes, other: Changes) -> dict[str, float]:
    """Add two changes up."""
    return {name: one.get(name, 0.0) + other.get(name, 0.0) for name in {**one, **other}}


def join_driven(parts: list[Driven]) -> Driven:
    """Join the cars of several batches."""
    own = ("values", "slopes", "usable", "at_once")
    joined: dict[str, Any] = {name: np.concatenate([getattr(part, name) for part in parts], axis=-1) for name in own}
    return replace(parts[0], **joined)
