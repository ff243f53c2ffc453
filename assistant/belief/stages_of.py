"""What the stages of a run mean in laps: the one place where the belief knows it."""

from __future__ import annotations

import numpy as np

from assistant.belief.model import stage_laps
from assistant.ground.grid import STAGES
from assistant.physics.formulas import Array

At = str | float
"""A stage by its id, or a lap."""


def weigh_knots(knots: Array, at: At) -> Array:
    """Say what each knot of a run counts when a value is read at a stage or at a lap, (knots,); they sum to 1."""
    run_laps = float(knots[-1])
    lap = float(stage_laps(int(run_laps))[STAGES.index(at)]) if isinstance(at, str) else at
    return read_lap(knots, lap)


def read_lap(knots: Array, lap: float) -> Array:
    """Weigh the two knots around a lap; a lap that stands twice is read after the stop."""
    before = int(np.clip(np.searchsorted(knots, lap, side="right") - 1, 0, len(knots) - 2))
    share = float(np.clip((lap - knots[before]) / (knots[before + 1] - knots[before]), 0.0, 1.0))
    weights = np.zeros(len(knots))
    weights[before], weights[before + 1] = 1.0 - share, share
    return weights
