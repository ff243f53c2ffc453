"""The believed cars driven where they stand: how far the straight slopes they are read from are off the drive."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.belief.believe import Belief, draw_evenly
from assistant.belief.driven import (
    FREE,
    TRIMS,
    Changes,
    drive_on,
    find_usable,
    moved_from,
    read_values,
)
from assistant.belief.garage import add_changes
from assistant.belief.known import balance_of
from assistant.belief.model import weigh_knots
from assistant.belief.plausible import Cars, join_cars, pick_cars
from assistant.belief.weigh import CELLS
from assistant.physics.car_and_driver import Numbers
from assistant.physics.driven_run import Beginning, DrivenRun
from assistant.physics.formulas import Array

PLENTY = 16
"""Passes after which a run is at rest wherever it began."""
CHECKED = 32
"""Believed cars that are driven."""


@dataclass(frozen=True, eq=False)
class Check:
    """Balance of the checked cars [%], (cells, cars): read from slopes and driven; usable: those that could drive."""

    read: Array
    driven: Array
    usable: NDArray[np.bool_]

    @property
    def off(self) -> Array:
        """How far the slopes are off the drive, (cells, usable cars)."""
        return np.asarray(np.abs(self.read - self.driven)[:, self.usable])


def stand_cars(belief: Belief, chosen: NDArray[np.intp]) -> tuple[Cars, Beginning]:
    """Take chosen cars of a belief, with their free numbers where the fit has put them, and their run before that."""
    batches = belief.garage.batches
    counts = [one.cars.count for one in batches]
    parts = [(one.cars, next(iter(one.rests.values()))) for one in batches]
    cars, rest = pick_cars(join_cars(counts, *parts), sum(counts), chosen)
    free = {name: size * belief.fit.free[place, chosen] for place, (name, size) in enumerate(FREE.items())}
    return replace(cars, numbers=move_free(cars.numbers, free)), rest


def move_free(numbers: Numbers, by: dict[str, Array]) -> Numbers:
    """Move free numbers of every car."""
    common = by.get("front to rear", 0.0)
    return {**numbers, **{trim: numbers[trim] + by.get(trim, 0.0) + common for trim in TRIMS}}


def check_belief(belief: Belief, count: int = CHECKED) -> Check:
    """Drive some believed cars on the setup on the car, and set what is driven beside what is read."""
    chosen, _ = draw_evenly(belief.fit.weights, count)
    run = drive_stood(belief, *stand_cars(belief, chosen))
    cell = [CELLS.index(one) for one in CELLS]
    read = np.stack([belief.fit.read(belief.drive(), balance_of(phase), stage)[chosen] for phase, stage in CELLS])
    return Check(read - belief.fit.errors[cell][:, chosen], read_cells(belief, run), usable_of(run))


def check_change(belief: Belief, changes: Changes, count: int = CHECKED) -> Check:
    """Drive a change on some believed cars, and set what it does beside what is read of it."""
    chosen, _ = draw_evenly(belief.fit.weights, count)
    cars, rest = stand_cars(belief, chosen)
    run = drive_stood(belief, cars, rest)
    moved = drive_stood(belief, cars, rest, changes)
    effect = belief.compute_all([changes])[0]
    read = np.stack([effect.read(balance_of(phase), stage)[chosen] for phase, stage in CELLS])
    return Check(read, read_cells(belief, moved) - read_cells(belief, run), usable_of(run) & usable_of(moved))


def drive_stood(belief: Belief, cars: Cars, rest: Beginning, changes: Changes | None = None) -> DrivenRun:
    """Drive cars on the setup on the car, with a change made besides."""
    start = moved_from(belief.garage.case.setup, belief.evidence.setups.get(belief.now))
    return drive_on(cars, belief.garage.course, rest, add_changes(start, changes or {}), PLENTY)


def read_cells(belief: Belief, run: DrivenRun) -> Array:
    """Balance of every cell of a run [%], (cells, cars)."""
    values, names = read_values(run), belief.drive().names
    return np.stack([weigh_knots(run.laps, stage) @ values[names.index(balance_of(phase))] for phase, stage in CELLS])


def usable_of(run: DrivenRun) -> NDArray[np.bool_]:
    """Find the cars of a run that could be driven."""
    values = read_values(run)
    return find_usable(run, values, np.zeros((1, *values.shape)))
