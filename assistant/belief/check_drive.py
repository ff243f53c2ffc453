"""The believed cars driven where they stand: how far the straight slopes they are read from are off the drive."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.belief.believe import Belief
from assistant.belief.driven import FREE, Changes, drive_cars, find_usable, move_free, moved_from, read_values
from assistant.belief.known import balance_of
from assistant.belief.plausible import Cars
from assistant.belief.stages_of import weigh_knots
from assistant.belief.weigh import CELLS
from assistant.physics.car_and_driver import Phases
from assistant.physics.driven_run import DrivenRun
from assistant.physics.formulas import Array

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


def pick_cars(weights: Array, count: int) -> NDArray[np.intp]:
    """Pick cars by weight, evenly spaced along the sum of weights."""
    return np.searchsorted(np.cumsum(weights), (np.arange(count) + 0.5) / count)


def stand_cars(belief: Belief, chosen: NDArray[np.intp]) -> Cars:
    """Take chosen cars of a belief, with their free numbers where the fit has put them."""
    batches = [batch.cars for batch in belief.garage.batches]
    numbers = {
        name: np.concatenate([np.broadcast_to(one.numbers[name], one.count) for one in batches])[chosen]
        for name in batches[0].numbers
    }
    fields = {
        name: np.concatenate([vars(one.phases)[name] + np.zeros(one.count) for one in batches], axis=-1)[..., chosen]
        for name in vars(batches[0].phases)
    }
    free = {name: size * belief.fit.free[place, chosen] for place, (name, size) in enumerate(FREE.items())}
    off, scatter = (
        np.concatenate([getattr(one, name) for one in batches], axis=1)[:, chosen] for name in ("off", "scatter")
    )
    return Cars(move_free(numbers, free), Phases(**fields), off, scatter)


def check_belief(belief: Belief, count: int = CHECKED) -> Check:
    """Drive some believed cars on the setup on the car, and set what is driven beside what is read."""
    chosen = pick_cars(belief.fit.weights, count)
    run = drive_stood(belief, stand_cars(belief, chosen))
    cell = [CELLS.index(one) for one in CELLS]
    read = np.stack([belief.fit.read(belief.drive(), balance_of(phase), stage)[chosen] for phase, stage in CELLS])
    return Check(read - belief.fit.errors[cell][:, chosen], read_cells(belief, run), usable_of(run))


def check_change(belief: Belief, changes: Changes, count: int = CHECKED) -> Check:
    """Drive a change on some believed cars, and set what it does beside what is read of it."""
    chosen = pick_cars(belief.fit.weights, count)
    cars = stand_cars(belief, chosen)
    run = drive_stood(belief, cars)
    moved = drive_stood(belief, replace(cars, numbers=run.problem.numbers), changes, run)
    effect = belief.compute(changes)
    read = np.stack([effect.read(balance_of(phase), stage)[chosen] for phase, stage in CELLS])
    return Check(read, read_cells(belief, moved) - read_cells(belief, run), usable_of(run) & usable_of(moved))


def drive_stood(
    belief: Belief, cars: Cars, changes: Changes | None = None, begin: DrivenRun | None = None
) -> DrivenRun:
    """Drive cars on the setup on the car, or with a change made from a run on it."""
    if changes is None:
        changes = moved_from(belief.garage.case.setup, belief.evidence.setups.get(belief.now))
    return drive_cars(cars, belief.garage.course, changes, begin)


def read_cells(belief: Belief, run: DrivenRun) -> Array:
    """Balance of every cell of a run [%], (cells, cars)."""
    values, names = read_values(run), belief.drive().names
    return np.stack([weigh_knots(run.laps, stage) @ values[names.index(balance_of(phase))] for phase, stage in CELLS])


def usable_of(run: DrivenRun) -> NDArray[np.bool_]:
    """Find the cars of a run that could be driven."""
    values = read_values(run)
    return find_usable(run, values, np.zeros((1, *values.shape)))
