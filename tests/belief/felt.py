"""Felt: after one change that was made and felt, how much nearer are the sizes of levers to those of a hidden car?

Sizes are told in percent of balance, and in the driver's own measure, in which he complains and in which a cure counts.
The hidden cars obey the same physics, so this proves the learning and not the physics.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product

import numpy as np

from assistant.belief.believe import Belief
from assistant.belief.driven import moved_from
from assistant.belief.garage import Garage
from assistant.belief.known import change_row
from assistant.car.case import Case, numbers_moved
from assistant.car.moves import neighbors, with_step
from tests.belief.order import told

HIDDEN, HIDDEN_SEEDS = 24, (1001, 1002, 1003, 1004)
TRIED, STEPS = "cross_weight", 4
LEVERS = ("cross_weight", "spring_rr", "front_bar", "track_bar", "stagger")
FELT_NOISE = 0.15
"""How far [%] the driver's word about a change is off."""
CELL = ("balance exit", "worn")
MEASURES = ("in percent", "in the driver's measure")


class Misses:
    """How far sizes are off, as a share of the usual size, and whether they lie in their band."""

    def __init__(self) -> None:
        self.off: list[float] = []
        self.inside: list[bool] = []

    def add(self, belief: Belief, values: np.ndarray, true: float, usual: float) -> None:
        """Add one believed size beside the true one."""
        shown = belief.show(values)
        self.off.append((shown.value - true) / usual)
        self.inside.append(shown.low <= true <= shown.high)

    @property
    def size(self) -> float:
        """Root mean square."""
        return float(np.sqrt(np.mean(np.square(self.off))))


def size_of(case: Case, lever: str) -> dict[str, float]:
    """Numbers one step of a lever moves."""
    down, up = neighbors(case.setup, case.rulebook, case.car, lever)
    return numbers_moved(lever, up or down, case.setup)


def in_measure(belief: Belief, values: np.ndarray, measure: str) -> np.ndarray:
    """Values of every car in percent, or over its driver's factor."""
    return values if measure == MEASURES[0] else values / np.exp(belief.fit.factors[0])


def prove_felt(case: Case, garage: Garage) -> list[str]:
    """Try one change on hidden cars that do the story, and compare sizes before and after it was felt."""
    belief = told(case, garage)
    misses = {(measure, name): Misses() for measure in MEASURES for name in ("before", "after")}
    for seed in HIDDEN_SEEDS:
        try_on(told(case, Garage(case, size=HIDDEN, more=8, seed=seed)), belief, misses)
    return [say(measure, misses[measure, "before"], misses[measure, "after"]) for measure in MEASURES]


def try_on(hidden: Belief, belief: Belief, misses: Mapping[tuple[str, str], Misses]) -> None:
    """Let one draw of hidden cars feel the change, and add how far the believed sizes are off theirs."""
    case, draw = hidden.garage.case, np.random.default_rng(3)
    after, _ = with_step(case.setup, case.rulebook, case.car, TRIED, STEPS)
    chosen = draw.choice(hidden.cars, HIDDEN, p=hidden.fit.weights)
    sizes = {lever: size_of(case, lever) for lever in LEVERS}
    words = in_measure(hidden, hidden.move(moved_from(case.setup, after)).read(*CELL), MEASURES[1])
    for car in chosen:
        row = change_row("exit", "worn", float(words[car] + FELT_NOISE * draw.standard_normal()), "", "after")
        learnt = belief.with_rows([row], {"after": after})
        for measure, size in product(MEASURES, sizes.values()):
            true = in_measure(hidden, hidden.move(size).read(*CELL), measure)
            usual = float(np.sqrt(np.mean(true[chosen] ** 2)))
            for name, one in (("before", belief), ("after", learnt)):
                values = in_measure(one, one.move(size).read(*CELL), measure)
                misses[measure, name].add(one, values, float(true[car]), usual)


def say(measure: str, before: Misses, after: Misses) -> str:
    """Say what one measure came to."""
    cars = HIDDEN * len(HIDDEN_SEEDS)
    return (
        f"  {len(LEVERS)} levers on {cars} hidden cars, {measure}, after {STEPS} steps of {TRIED} were felt: miss "
        f"{before.size:.2f} of the usual size before, {after.size:.2f} after ({after.size / before.size:.2f}); in the "
        f"band of 8 in 10 {np.mean(before.inside):.2f} before, {np.mean(after.inside):.2f} after"
    )
