"""What one legal step of every lever does to the believed cars.

Each lever is moved by one step on every car and driven through the run; more steps are so many times that, which is
nearly straight, and what is offered is driven as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from assistant.belief.cures import mean_effect, spread_effect
from assistant.belief.driven import Changes, Effect, moved_from
from assistant.belief.felt import share_evenly
from assistant.belief.known import balance_of
from assistant.belief.model import Model, read_model
from assistant.belief.weigh import GOLDEN
from assistant.car.case import Case, is_computed, levers_of
from assistant.car.moves import neighbors, range_left, value_of, with_step, with_steps
from assistant.ground.names import PHASES, STAGES, Grid
from assistant.physics.formulas import Array

if TYPE_CHECKING:
    from assistant.belief.believe import Belief

Spread = Mapping[str, Mapping[str, tuple[float, float]]]
ONE_STEP: Mapping[str, int] = {}
NOTHING = Grid.level(dict.fromkeys(PHASES, 0.0))


@dataclass(frozen=True)
class LeverStep:
    """How far a lever can go. step: SI size of one + step; steps_down, steps_up: legal steps left each way."""

    id: str
    step: float
    steps_down: int
    steps_up: int


@dataclass(frozen=True, eq=False)
class LeverEffect(LeverStep):
    """What one + step of a lever does. on_cars: to every believed car, None where it is not computed."""

    belief: Belief
    on_cars: Effect | None = None

    @property
    def basis(self) -> str:
        """Where its size is from: "computed", or "by the book" where the model has no balance effect."""
        return "by the book" if self.on_cars is None else "computed"

    @cached_property
    def effect(self) -> Grid:
        """Percent of balance per + step, + tighter, mean of the cars; zero where nothing is computed."""
        return self.at_end(None)

    @cached_property
    def ends(self) -> dict[str, Grid]:
        """The same at each end of the track."""
        return {end: self.at_end(end) for end in self.belief.garage.course.ends}

    @cached_property
    def spread(self) -> Spread:
        """Band of eight cars in ten."""
        if self.on_cars is None:
            return {phase: dict.fromkeys(STAGES, (0.0, 0.0)) for phase in PHASES}
        return spread_effect(self.belief, self.on_cars)

    @cached_property
    def sign_share(self) -> Grid:
        """Chance that a cell moves the way it does on the mean."""
        return Grid.of({phase: {stage: self._share_like(phase, stage) for stage in STAGES} for phase in PHASES})

    def at_end(self, end: str | None) -> Grid:
        """What one + step does at one end, None for both."""
        return NOTHING if self.on_cars is None else mean_effect(self.belief, self.on_cars, end)

    def _share_like(self, phase: str, stage: str) -> float:
        if self.on_cars is None:
            return 0.0
        moved = self.on_cars.read(balance_of(phase), stage)
        return self.belief.chance(np.asarray(np.sign(moved) == np.sign(self.effect[phase][stage])))


@dataclass(frozen=True, eq=False)
class EffectTable:
    """What levers do on a car as it is believed to be. case: with the setup on the car."""

    case: Case
    belief: Belief
    levers: Mapping[str, LeverEffect]

    phases = PHASES
    stages = STAGES

    @cached_property
    def model(self) -> Model:
        """The one car that physical facts are told of."""
        return read_model(self.case)

    @property
    def shut(self) -> bool:
        """Whether no plausible car does what is known, so that no number may be shown."""
        return self.belief.gate_is_shut

    @property
    def cars(self) -> int:
        """How many cars stand behind a chance."""
        return int(self.belief.fit.effective)


def effect_table(case: Case, belief: Belief, levers: Iterable[str] | None = None) -> EffectTable:
    """Work out what `levers` do, all of the setup's when left out."""
    known = levers_of(case.setup)
    wanted = [lever for lever in (levers or known) if lever in known]
    drive_steps(case, belief, wanted)
    return EffectTable(case, belief, {lever: lever_effect(case, belief, lever) for lever in wanted})


def drive_steps(case: Case, belief: Belief, levers: Iterable[str], sizes: Mapping[str, int] = ONE_STEP) -> None:
    """Drive some steps of each of several levers side by side; what one step of them does is then known."""
    steps = [step_changes(case, one, sizes.get(one, 1)) for one in levers if is_computed(one, case.setup)]
    belief.move_all([changes for changes, multiple in steps if multiple])


def lever_effect(case: Case, belief: Belief, lever: str, steps: int = 1) -> LeverEffect:
    """Work out what one step of a lever does. steps: how many are driven for it."""
    on_cars = step_on_cars(case, belief, lever, steps) if is_computed(lever, case.setup) else None
    return LeverEffect(**vars(step_of(case, lever)), belief=belief, on_cars=on_cars)


def step_of(case: Case, lever: str) -> LeverStep:
    """Find how far a lever can go on the car as it is set up."""
    down, up = neighbors(case.setup, case.rulebook, case.car, lever)
    return LeverStep(lever, up or -down, *range_left(case.setup, case.rulebook, case.car, lever))


def step_changes(case: Case, lever: str, steps: int = 1) -> tuple[Changes, float]:
    """What some steps of a lever move, and how many + steps that is; one the other way where they are not left.

    Nothing, and 0, where there is none at either end.
    """
    one = step_of(case, lever).step
    for size in (steps, -1 if steps > 0 else 1):
        moved, stop = with_step(case.setup, case.rulebook, case.car, lever, size)
        if stop is None:
            return moved_from(case.setup, moved), (value_of(moved, lever) - value_of(case.setup, lever)) / one
    return {}, 0.0


def step_on_cars(case: Case, belief: Belief, lever: str, steps: int = 1) -> Effect:
    """Drive some steps of a lever, and take what one + step of them does."""
    changes, multiple = step_changes(case, lever, steps)
    return belief.move(changes).times(1.0 / multiple) if multiple else effect_by_the_book(belief, {})


def drive_moves(case: Case, belief: Belief, moves: Iterable[tuple[str, int]]) -> Effect:
    """Drive some legal steps of levers on every believed car."""
    return belief.move(changes_of(moves, case))


def changes_of(moves: Iterable[tuple[str, int]], case: Case) -> Changes:
    """Say which numbers of the model some steps of levers move."""
    return moved_from(case.setup, with_steps(case, moves))


def effect_by_the_book(belief: Belief, row: Mapping[str, float]) -> Effect:
    """Make what a table says into an effect on every car: from nothing to double (an assumption), all run long alike.

    row: percent of balance by phase.
    """
    driven, factor = belief.drive(), spread_evenly(belief)
    after: Array = np.zeros_like(driven.values)
    for place, name in enumerate(driven.names):
        words = name.split()
        if words[0] == "balance":
            after[place] = row.get(words[1], 0.0) * factor
    balance = sum(name.startswith("balance") for name in driven.names)
    return Effect(driven.knots, driven.names, after[:balance], after, np.ones(belief.cars, dtype=bool))


def spread_evenly(belief: Belief) -> Array:
    """Spread the cars evenly from nothing to double, by weight, in an order that has to do with nothing else."""
    order = np.argsort(GOLDEN * belief.places % 1.0)
    return 2.0 * share_evenly(belief.fit.weights, order)
