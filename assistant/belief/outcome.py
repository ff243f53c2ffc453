"""What a change costs over the run on the believed cars: laps of tire, lap time, air."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from assistant.ground.names import CORNERS, STAGES
from assistant.physics.formulas import Array

if TYPE_CHECKING:
    from assistant.belief.believe import Belief, Shown
    from assistant.belief.driven import Effect

WORN = STAGES[-1]
LONGEST = 1e4
"""Laps beyond which nobody counts a tire's life."""

After = tuple[float, float]
"""What stands after the change, and the change."""


@dataclass(frozen=True)
class RunAfter:
    """The run with the change made, mean of the believed cars. tire_laps: laps of tread by corner.

    pace: change of lap time [s], first, average, last. hot_pressure: by corner, late in the run [Pa].
    first_tire: change of the laps until the first tire is used up, with its band; last_lap: of lap time at the end [s].
    """

    tire_laps: Mapping[str, After]
    pace: Mapping[str, float]
    hot_pressure: Mapping[str, After] = field(default_factory=dict)
    first_tire: Shown | None = None
    last_lap: Shown | None = None


def read_run(belief: Belief, effect: Effect) -> RunAfter:
    """Read all that a change does over the run."""
    last = effect.read("lap time", WORN)
    run = read_costs(belief, effect)
    return replace(
        run,
        pace={"first": belief.mean(effect.read("lap time", 0.0)), **run.pace, "last": belief.mean(last)},
        hot_pressure={corner: read_after(belief, effect, f"pressure {corner}") for corner in CORNERS},
        first_tire=belief.show(change_life(belief, effect)),
        last_lap=belief.show(last),
    )


def read_costs(belief: Belief, effect: Effect) -> RunAfter:
    """Read what a change costs over the run, and no more: laps of tire and the mean lap time."""
    life = {corner: read_life(belief, effect, corner) for corner in CORNERS}
    return RunAfter(life, {"average": mean_pace(belief, effect)})


def read_after(belief: Belief, effect: Effect, name: str) -> After:
    """Mean of a quantity late in the run with the change made, and its change."""
    change = belief.mean(effect.read(name, WORN))
    return belief.mean(belief.read(name, WORN)) + change, change


def read_life(belief: Belief, effect: Effect, corner: str) -> After:
    """Laps until a tire is used up with the change made, at the mean rate of the run, and their change."""
    laps = belief.garage.course.laps
    before, by = belief.read(f"wear {corner}", float(laps)), effect.read(f"wear {corner}", float(laps))
    now, then = last_laps(before[None], laps), last_laps((before + by)[None], laps)
    return belief.mean(then), belief.mean(then - now)


def mean_pace(belief: Belief, effect: Effect) -> float:
    """Change of lap time, mean of the run [s]."""
    values = effect.after[effect.names.index("lap time")]
    return belief.mean(np.asarray(np.trapezoid(values, effect.knots, axis=0) / effect.knots[-1]))


def change_life(belief: Belief, effect: Effect) -> Array:
    """Change of the laps until the first tire is used up, on each car, at the mean rate of the run."""
    laps = belief.garage.course.laps
    before = np.stack([belief.read(f"wear {corner}", float(laps)) for corner in CORNERS])
    moved = np.stack([effect.read(f"wear {corner}", float(laps)) for corner in CORNERS])
    return last_laps(before + moved, laps) - last_laps(before, laps)


def last_laps(wear: Array, laps: int) -> Array:
    """Laps until the first tire is used up, from the shares of tread used after so many laps, (corners, cars)."""
    return np.asarray(laps / np.maximum(wear.max(axis=0), laps / LONGEST))
