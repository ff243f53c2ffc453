"""The plausible cars of a case, driven on the setups that are asked for; each drive is made once and kept on disk."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from functools import wraps
from pathlib import Path
from threading import RLock
from typing import Any, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from assistant.belief.aim import Aim, find_lean, plain_aim
from assistant.belief.driven import (
    Changes,
    Course,
    Driven,
    begin_cars,
    case_bands,
    drive_cars,
    drive_side_by_side,
    lay_course,
    look_round,
    move_at_once,
    moved_from,
    on_cars,
    quantity_names,
    read_balance,
    read_values,
)
from assistant.belief.kept import find, keep, key_of
from assistant.belief.plausible import CARS, MORE, Cars, draw_off
from assistant.belief.stages_of import At, weigh_knots
from assistant.car.case import Case, Measured, Setup
from assistant.ground.folders import user_folder
from assistant.physics.car_and_driver import SEED, Phases
from assistant.physics.driven_run import DrivenRun
from assistant.physics.formulas import Array

Flags = NDArray[np.bool_]
Moved = tuple[Array, Array, Array]
"""What a change does at once and after, and 1 for every car it was driven on."""
Work = TypeVar("Work", bound=Callable[..., Any])
DRIVEN = "driven"
"""Folder of what was driven, in the user's own."""
TWO = 2
"""Changes that are driven side by side: more gain nothing on the machines of a paddock."""
FEW = 16
"""Cars that a change is screened on."""
PHASE = "phase "
"""What stands before the names of a driver's demands on disk."""


def one_at_a_time(work: Work) -> Work:
    """Let nobody else into the garage while something is driven."""

    @wraps(work)
    def alone(garage: Garage, *args: Any, **names: Any) -> Any:
        with garage.lock:
            return work(garage, *args, **names)

    return cast("Work", alone)


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
    moved: Flags

    def first(self, cars: int) -> Effect:
        """Keep the first cars: more may have been drawn since."""
        return replace(self, at_once=self.at_once[..., :cars], after=self.after[..., :cars], moved=self.moved[:cars])

    def times(self, multiple: float) -> Effect:
        """Take so many times the change; what a driver keeps in hand makes effects nearly straight."""
        return replace(self, at_once=multiple * self.at_once, after=multiple * self.after)

    def answered(self, by: Array) -> Effect:
        """Take what it does to the balance of each car times a factor of its own, (cars,)."""
        after = self.after.copy()
        after[: len(self.at_once)] *= by
        return replace(self, at_once=self.at_once * by, after=after)

    def read(self, name: str, at: At, *, at_once: bool = False) -> Array:
        """Change of a quantity of every car at a stage or lap, (cars,)."""
        values = self.at_once if at_once else self.after
        return np.asarray(weigh_knots(self.knots, at) @ values[self.names.index(name)])


@dataclass(frozen=True, eq=False)
class Screened:
    """What a change does to a few cars, about. name: of the change; cars: which they are."""

    name: str
    cars: NDArray[np.intp]
    effect: Effect


@dataclass(eq=False)
class Drawn:
    """One batch of cars, where it was drawn, and the runs that were driven in this process.

    picked: some cars of one of them. unmoved: runs driven on with no change. lock: one run at a time, whoever asks.
    unmoved: dict[str, Array] = field(default_factory=dict)
    """

    cars: Cars
    key: str
    aim: Aim
    runs: dict[str, DrivenRun] = field(default_factory=dict)
    picked: dict[str, tuple[DrivenRun, Cars]] = field(default_factory=dict)
    unmoved: dict[str, Array] = field(default_factory=dict)
    lock: RLock = field(default_factory=RLock)


@dataclass(eq=False)
class Garage:
    """Cars of one case. usual: how such a car is usually set up; folder: where drives are kept, None for nowhere.

    size, more: cars drawn first, and whenever more are needed. lock: one drive at a time, whoever asks.
    sparing: changes are driven on the cars that count alone; for one answer, as nothing more will be told that makes
    others count.

    The case's own setup is "as on the scales"; other setups are that car with levers moved.
    """

    case: Case
    usual: Setup | None = None
    folder: Path | None = None
    size: int = CARS
    more: int = MORE
    seed: int = SEED
    batches: list[Drawn] = field(default_factory=list)
    driven: dict[str, Driven] = field(default_factory=dict)
    effects: dict[str, Effect] = field(default_factory=dict)
    screened: dict[str, dict[str, Array]] = field(default_factory=dict)
    lock: RLock = field(default_factory=RLock)
    sparing: bool = False

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
        case, at = self.case, len(self.batches)
        size, bands = (self.more if at else self.size), len(case_bands(self.case))
        aim = plain_aim(bands) if aim is None else aim
        rulebook = replace(case.rulebook, not_here=())
        same = replace(
            case, name="", file="", complaint="", answers={}, at_hand="", measured=Measured(), rulebook=rulebook
        )
        key = key_of(same, self.usual, size, self.seed, at, aim.middle.tolist(), aim.root.tolist())
        stored = find(self.folder, key)
        cars = None if stored is None else unpack_cars(stored)
        if cars is None:
            off, scatter = draw_off(bands, size, self.seed, at)
            cars = begin_cars(case, self.course, aim.draw(off), scatter, self.usual)
            keep(self.folder, key, pack_cars(cars))
        self.batches.append(Drawn(cars, key, aim))
        self.driven.clear()
        self.effects.clear()

    @one_at_a_time
    def drive(self, setup: Setup | None = None) -> Driven:
        """Drive all cars on a setup, the case's own when left out."""
        changes = moved_from(self.case.setup, setup)
        name = key_of(changes)
        if name not in self.driven:
            self.driven[name] = join_driven([self._look(batch, changes) for batch in self.batches])
        return self.driven[name]

    @one_at_a_time
    def move(self, changes: Changes, setup: Setup | None = None, counts: Flags | None = None) -> Effect:
        """What moving numbers of the model by `changes` does to every car on a setup.

        counts: cars that count; in a garage that is sparing the others may be left without numbers.
        """
        start = moved_from(self.case.setup, setup)
        name = key_of(start, changes)
        if not self._is_moved(name, counts):
            parts = [self._move(batch, start, changes, one) for batch, one in self._asked(counts)]
            self._join_moved(name, parts, setup)
        return self.effects[name]

    def _asked(self, counts: Flags | None) -> list[tuple[Drawn, Flags]]:
        """Every batch with its cars that are asked for: all but where only some count and the garage is sparing."""
        asked = np.ones(self.count, dtype=bool)
        if self.sparing and counts is not None:
            asked[: len(counts)] = counts
        ends = np.cumsum([batch.cars.count for batch in self.batches])
        return list(zip(self.batches, np.split(asked, ends[:-1]), strict=True))

    def _is_moved(self, name: str, counts: Flags | None) -> bool:
        """Whether what a change does is known of every car that is asked for."""
        asked = np.concatenate([one for _, one in self._asked(counts)])
        return name in self.effects and bool(self.effects[name].moved[asked].all())

    def _join_moved(self, name: str, parts: Sequence[Moved], setup: Setup | None) -> None:
        once, after, moved = (np.concatenate(each, axis=-1) for each in zip(*parts, strict=True))
        driven = self.drive(setup)
        self.effects[name] = Effect(driven.knots, driven.names, once, after, moved.astype(bool))

    @one_at_a_time
    def move_ahead(self, changes: Sequence[Changes], setup: Setup | None = None, counts: Flags | None = None) -> None:
        """Drive several changes that will be asked for, two at a time; they are kept as `move` keeps them."""
        start = moved_from(self.case.setup, setup)
        wanted = [one for one in changes if not self._is_moved(key_of(start, one), counts)]
        asked = self._asked(counts)
        tasks = [(batch, start, one, cars) for one in wanted for batch, cars in asked]
        with ThreadPoolExecutor(TWO) as pool:
            found = iter(list(pool.map(lambda task: self._move(*task), tasks)))
        for one in wanted:
            self._join_moved(key_of(start, one), [next(found) for _ in self.batches], setup)

    @one_at_a_time
    def screen(self, changes: Mapping[str, Changes], setup: Setup | None = None) -> tuple[Screened, ...]:
        """What each of several changes does to the first cars that can drive, about: enough to choose among them."""
        start, batch = moved_from(self.case.setup, setup), self.batches[0]
        key = key_of(batch.key, "screened", start, *changes.items())
        stored = self.screened.get(key) or find(self.folder, key)
        if stored is None:
            chosen = np.flatnonzero(self.drive(setup).usable[: batch.cars.count])[:FEW]
            moved = drive_side_by_side(batch.cars, self.course, self._run(batch, start), list(changes.values()), chosen)
            stored = {"cars": chosen.astype(float), "moved": moved}
            keep(self.folder, key, stored)
        self.screened[key] = stored
        driven, cars = self.drive(setup), stored["cars"].astype(np.intp)
        names = driven.names
        return tuple(
            Screened(name, cars, Effect(driven.knots, names, one, one, np.ones(len(cars), dtype=bool)))
            for name, one in zip(changes, stored["moved"], strict=True)
        )

    def _run(self, batch: Drawn, changes: Changes) -> DrivenRun:
        name = key_of(changes)
        with batch.lock:
            if name not in batch.runs:
                batch.runs[name] = drive_cars(batch.cars, self.course, changes)
            return batch.runs[name]

    def _look(self, batch: Drawn, changes: Changes) -> Driven:
        key = key_of(batch.key, "driven", changes)
        stored = find(self.folder, key)
        if stored is not None and stored.keys() == {"knots", "values", "slopes", "usable"}:
            names = quantity_names(self.course.ends)
            usable = stored["usable"].astype(bool)
            return Driven(stored["knots"], names, stored["values"], stored["slopes"], usable, self.course.left)
        driven = look_round(batch.cars, self.course, self._run(batch, changes))
        parts = {"knots": driven.knots, "values": driven.values, "slopes": driven.slopes}
        keep(self.folder, key, {**parts, "usable": driven.usable.astype(float)})
        return driven

    def _move(self, batch: Drawn, start: Changes, changes: Changes, asked: Flags) -> Moved:
        """What a change does to the cars of a batch: those that are asked for, and those driven before."""
        key = moved_key(batch, start, changes)
        stored = find(self.folder, key)
        if stored is None or stored.keys() != {"once", "after", "moved"}:
            stored = self._nothing_moved(batch, start)
        missing = np.flatnonzero(asked & (stored["moved"] == 0.0))
        if missing.size:
            once, after = self._move_some(batch, start, changes, missing)
            stored["once"][..., missing], stored["after"][..., missing], stored["moved"][missing] = once, after, 1.0
            keep(self.folder, key, stored)
        return stored["once"], stored["after"], stored["moved"]

    def _nothing_moved(self, batch: Drawn, start: Changes) -> dict[str, Array]:
        """Lay out what a change does before any car was driven with it."""
        run = self._run(batch, start)
        once, after = (np.full(one.shape, np.nan) for one in (read_balance(run.balance, run.weights), read_values(run)))
        return {"once": once, "after": after, "moved": np.zeros(batch.cars.count)}

    def _move_some(
        self, batch: Drawn, start: Changes, changes: Changes, chosen: NDArray[np.intp]
    ) -> tuple[Array, Array]:
        """Drive a change on some cars of a batch."""
        run, cars, course = self._run(batch, start), batch.cars, self.course
        if len(chosen) < cars.count:
            run, cars = self._pick(batch, start, chosen)
        once = move_at_once(cars, run, course, changes)
        moved = drive_cars(cars, course, add_changes(start, changes), run)
        return once, read_values(moved) - self._unmoved(batch, start)[..., chosen]

    def _unmoved(self, batch: Drawn, start: Changes) -> Array:
        """Read a run driven on as long as one with a change, so that no change comes to nothing at all."""
        name = key_of("unmoved", start)
        if name not in batch.unmoved:
            again = drive_cars(batch.cars, self.course, start, self._run(batch, start))
            batch.unmoved[name] = read_values(again)
        return batch.unmoved[name]

    def _pick(self, batch: Drawn, start: Changes, chosen: NDArray[np.intp]) -> tuple[DrivenRun, Cars]:
        """Take some cars out of a run of a batch; the last that were taken are kept at hand."""
        name = key_of(start, chosen.tolist())
        with batch.lock:
            if name not in batch.picked:
                parts = on_cars((self._run(batch, start), batch.cars), batch.cars.count, lambda one: one[..., chosen])
                batch.picked = {name: cast("tuple[DrivenRun, Cars]", parts)}
            return batch.picked[name]


def open_garage(case: Case, *, sparing: bool = False) -> Garage:
    """Make the plausible cars of a case, or fetch those that were driven before: they are kept in the user's folder."""
    garage = Garage(case, folder=user_folder() / DRIVEN, sparing=sparing)
    garage.drive()
    return garage


def moved_key(batch: Drawn, start: Changes, changes: Changes) -> str:
    """Name what a change does to the cars of a batch, on disk."""
    return key_of(batch.key, "moved", start, changes)


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
    values, slopes, usable = (
        np.concatenate([getattr(part, name) for part in parts], axis=-1) for name in ("values", "slopes", "usable")
    )
    return Driven(parts[0].knots, parts[0].names, values, slopes, usable, parts[0].left)


def pack_cars(cars: Cars) -> dict[str, Array]:
    """Lay a batch of cars out as few arrays: many small ones take long to read."""
    names = sorted(cars.numbers)
    numbers = np.stack([np.broadcast_to(cars.numbers[name], cars.count) for name in names])
    phases = {PHASE + name: value for name, value in vars(cars.phases).items()}
    return {"names": np.array(names), "numbers": numbers, **phases, "off": cars.off, "scatter": cars.scatter}


def unpack_cars(arrays: Mapping[str, Array]) -> Cars | None:
    """Take a batch of cars from plain arrays; None where some are missing."""
    phases = {name.removeprefix(PHASE): value for name, value in arrays.items() if name.startswith(PHASE)}
    if (
        not {"names", "numbers", "off", "scatter"} <= arrays.keys()
        or phases.keys() != Phases.__dataclass_fields__.keys()
    ):
        return None
    numbers = dict(zip(arrays["names"].tolist(), arrays["numbers"], strict=True))
    return Cars(numbers, Phases(**phases), arrays["off"], arrays["scatter"])
