"""What a change would do to the complaint, car by car: what it cures, whether it goes the right way, what it harms."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.belief.believe import Belief, Shown
from assistant.belief.garage import Effect
from assistant.belief.known import balance_of
from assistant.belief.standing import FELT
from assistant.car.car import CORNERS
from assistant.ground.grid import STAGES
from assistant.physics.formulas import Array

HALF = 0.5
"""Share of the complaint whose going counts as a cure."""
WORSE = FELT
"""Balance [%] by which a said cell may get worse without undoing a cure: less nobody feels."""
LEAST = 1e-6
LONGEST = 1e4
"""Laps beyond which nobody counts a tire's life."""


@dataclass(frozen=True)
class Verdict:
    """What a change is worth to the believed cars.

    removes: share of the complaint taken away, mean of the cars. cures: chance that it takes away at least half and
    makes no said cell worse. direction: chance that it goes the way the complaint wants.
    changes: of each said cell [%]. harm: the said cell that gets worst, with its chance to get worse; None when none.
    tire_laps: change of the laps until the first tire is used up; tenths: change of lap time at the end of the run
    [0.1 s]. Both None for what is done at once.
    """

    removes: float
    cures: float
    direction: float
    changes: dict[tuple[str, str], Shown]
    harm: tuple[tuple[str, str], float] | None
    tire_laps: Shown | None
    tenths: Shown | None


def said_cells(belief: Belief) -> dict[tuple[str, str], float]:
    """Cells the driver spoke of last, with the sign of what he said (0: fine)."""
    return {cell: float(np.sign(row.value)) for cell, row in belief.evidence.words.items()}


def judge(belief: Belief, effect: Effect, *, at_once: bool = False) -> Verdict | None:
    """Judge a change by the believed cars: on the tires in place, or by the end of the next run.

    None where nobody complains of anything.
    """
    said = said_cells(belief)
    if not any(said.values()):
        return None
    before = {cell: belief.read(balance_of(cell[0]), cell[1]) for cell in said}
    moved = {cell: effect.read(balance_of(cell[0]), cell[1], at_once=at_once) for cell in said}
    worse = {cell: np.abs(before[cell] + moved[cell]) - np.abs(before[cell]) for cell in said}
    wrong = [cell for cell, sign in said.items() if sign]
    removed = share_removed([before[cell] for cell in wrong], [moved[cell] for cell in wrong])
    spoiled = np.any([worse[cell] > WORSE for cell in said], axis=0)
    wanted = np.sum([-said[cell] * moved[cell] for cell in wrong], axis=0)
    return Verdict(
        removes=belief.mean(removed),
        cures=belief.chance(np.asarray((removed >= HALF) & ~spoiled)),
        direction=belief.chance(wanted > 0.0),
        changes={cell: belief.show(values, said=True) for cell, values in moved.items()},
        harm=find_harm(belief, worse),
        tire_laps=None if at_once else belief.show(change_life(belief, effect)),
        tenths=None if at_once else belief.show(10.0 * effect.read("lap time", STAGES[-1])),
    )


def share_removed(before: list[Array], moved: list[Array]) -> Array:
    """Share of the size of all complained cells that goes, on each car, 0 to 1; what overshoots counts as left."""
    size = np.sum([np.abs(one) for one in before], axis=0)
    left = np.sum([np.abs(one + by) for one, by in zip(before, moved, strict=True)], axis=0)
    return np.asarray(np.clip((size - left) / np.maximum(size, LEAST), 0.0, 1.0))


def find_harm(belief: Belief, worse: dict[tuple[str, str], Array]) -> tuple[tuple[str, str], float] | None:
    """Find the said cell that gets worse the most, and the chance that it does; None when none does on the mean."""
    means = {cell: belief.mean(values) for cell, values in worse.items()}
    cell = max(means, key=means.__getitem__)
    return (cell, belief.chance(worse[cell] > WORSE)) if means[cell] > 0.0 else None


def change_life(belief: Belief, effect: Effect) -> Array:
    """Change of the laps until the first tire is used up, on each car, at the mean rate of the run."""
    before = np.stack([belief.read(f"wear {corner}", STAGES[-1]) for corner in CORNERS])
    moved = np.stack([effect.read(f"wear {corner}", STAGES[-1]) for corner in CORNERS])
    laps = belief.garage.course.laps
    return last_laps(before + moved, laps) - last_laps(before, laps)


def last_laps(wear: Array, laps: int) -> Array:
    """Laps until the first tire is used up, from the shares of tread used after so many laps."""
    worst: NDArray[np.float64] = np.maximum(wear.max(axis=0), laps / LONGEST)
    return np.asarray(laps / worst)
