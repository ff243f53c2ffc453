"""Moving levers and habits on plausible cars: the change of every cell, starting from the solved base.

The moved cars take a Newton correction or two from the base solution, which is exact to far below what a driver feels
(a test holds them against full solves). Tires and fuel at each stage stay as the run ahead made them with the setup at
hand.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from assistant.belief.model import Model, set_up, weigh_ends
from assistant.car.case import Case
from assistant.car.setup import numbers_moved
from assistant.ground.grid import PHASES
from assistant.physics.attitude import felt_balance
from assistant.physics.car_and_driver import BANDS, Numbers, Phases, move_levers, plausible_cars, stack_numbers
from assistant.physics.cornering import Limit, Near, look_near, repeat_cars, solve_limit, solve_near
from assistant.physics.driven_run import anchor_balance
from assistant.physics.formulas import Array

TOGETHER = 5
"""Changes solved in one batch: 64 cars at 18 points each are too few to keep numpy busy; more than five gain nothing,
and nobody waits long for a stop."""
CORRECTIONS, HABIT_CORRECTIONS = 1, 2
"""Rounds of `solve_near`; a habit changes a force by a tenth, more than any lever's step."""
LARGEST_MISS = 1.0
"""Balance [%] that a plausible car may be off from where the driver says it is; one further off is no such car."""
DEMANDS: Mapping[str, tuple[str, int]] = {
    "entry_brake": ("brake", 0),
    "middle_drive": ("drive", 1),
    "exit_drive": ("drive", 2),
}
"""What a driving habit may change: the force and the phase of `Phases`."""


@dataclass(frozen=True, eq=False)
class Base:
    """The solved plausible cars everything is compared with; index 0 is the nominal car.

    cells: felt balance (stages, phases, ends, cars); weights: share of cornering time per end.
    usable: cars that stand where the driver says, steady in every cell, (cars,); the others tell nothing. near: what
    the solution's neighbors are found with.
    """

    model: Model
    numbers: Numbers
    phases: Phases
    limit: Limit
    weights: Array
    cells: Array
    usable: NDArray[np.bool_]
    near: Near

    @property
    def guesses(self) -> int:
        """How many values that the cars differ in were only guessed."""
        return len(guessed_in(self.model.case) & (BANDS.keys() | self.numbers.keys()))


def guessed_in(case: Case) -> frozenset[str]:
    """Name all values of car, tires and setup that were only guessed."""
    return case.car.guessed | case.tire.guessed | case.setup.guessed


def solve_base(model: Model, cars: int, seed: int) -> Base:
    """Solve the setup at hand on the nominal and the plausible cars, each anchored where the driver says it is."""
    numbers, phases = plausible_cars(model.numbers, guessed_in(model.case), cars, seed)
    numbers, before = anchor_balance(
        numbers, phases, model.circuit, model.moments, model.standing.stages, model.standing.targets
    )
    problem = set_up(model, numbers, phases)
    limit = solve_limit(problem, before)
    near, weights, cells = look_near(problem, limit), weigh_ends(model, limit), felt_balance(problem, limit)
    usable = np.asarray(limit.steady.all(axis=(0, 1, 2)))
    usable[1:] &= stand_where_said(model, (cells * weights).sum(axis=2))[1:]
    return Base(model, numbers, phases, limit, weights, cells, usable, near)


def stand_where_said(model: Model, balance: Array) -> NDArray[np.bool_]:
    """Whether the trims could put each car where the driver says it is, (cars,); balance (stages, phases, cars)."""
    at = balance[list(model.standing.stages), range(len(PHASES))]
    off = np.abs(at - np.array(model.standing.targets)[:, None])
    return np.asarray((off < LARGEST_MISS).all(axis=0))


def move_lever(base: Base, lever: str, size: float) -> Array:
    """Slope of felt balance per SI unit of the lever over one move of it, (stages, phases, ends, cars)."""
    return move_apart(base, [(lever, size)])[0]


def move_apart(base: Base, moves: Sequence[tuple[str, float]]) -> list[Array]:
    """Slope of each move for itself, as `move_lever`; a handful together are solved much faster than one by one."""
    setup = base.model.case.setup
    moved = [move_levers(base.numbers, numbers_moved(lever, size, setup)) for lever, size in moves]
    changes = _solve_apart(base, moved, [base.phases] * len(moves), CORRECTIONS)
    return [change / size for change, (_, size) in zip(changes, moves, strict=True)]


def change_habits(base: Base, habits: Sequence[Mapping[str, float]]) -> list[Array]:
    """Change of felt balance when force demands change by shares (see `DEMANDS`), each (stages, phases, ends, cars)."""
    phases = [habit_phases(base.phases, changes) for changes in habits]
    return _solve_apart(base, [base.numbers] * len(habits), phases, HABIT_CORRECTIONS)


def _solve_apart(base: Base, numbers: Sequence[Numbers], phases: Sequence[Phases], corrections: int) -> list[Array]:
    """Change of every cell on all plausible cars, for each of several changed cars or drivers."""
    problem = set_up(base.model, stack_numbers(numbers), side_by_side(phases))
    limit = solve_near(problem, repeat_cars(base.near, len(numbers)), corrections)
    return [cells - base.cells for cells in np.split(felt_balance(problem, limit), len(numbers), axis=-1)]


def habit_phases(phases: Phases, changes: Mapping[str, float]) -> Phases:
    """Scale the force demands named in `changes`: entry_brake -0.1 brakes a tenth less on entry."""
    for key, share in changes.items():
        force, phase = DEMANDS[key]
        moved = getattr(phases, force).copy()
        moved[phase] *= 1.0 + share
        phases = replace(phases, **{force: moved})
    return phases


def side_by_side(drivers: Sequence[Phases]) -> Phases:
    """Lay the demands of several drivers along the cars axis."""
    return Phases(
        *(np.concatenate(parts, axis=-1) for parts in zip(*(vars(one).values() for one in drivers), strict=True))
    )
