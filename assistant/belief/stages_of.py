"""What the stages of a run mean in laps: the one place that knows it.

A value of a stage is the mean over its laps. Lap n runs from n - 1 to n laps done.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from assistant.ground.names import STAGES
from assistant.physics.formulas import Array
from assistant.physics.heat_and_wear import Span, weigh_span

COLD = "cold"
"""The first laps on tires that are not warm yet; no column of a grid, but read where cold tires are the subject."""
COLD_LAPS, COME_IN, LAST_LAPS = 2.0, 8.0, 10.0
"""Laps on cold tires, laps after which the first tires of a run are not fresh any more, and laps of its end."""
SHORTEST = 9
"""Laps from which a run has a middle."""

At = str | float
"""A stage by its id, or a lap."""


def span_of(at: At, run_laps: float) -> Span:
    """Say from where to where a stage lasts [laps done]; a lap number is read by itself.

    Cold: laps 1 and 2. Fresh: laps 3 to 8, or to a third of the run. Settled: the middle third. Worn: the last ten
    laps, or the last third. A run under nine laps has two halves, fresh and worn, and settled is all of it.
    """
    if not isinstance(at, str):
        return at, at
    short, third = run_laps < SHORTEST, run_laps / 3.0
    return {
        COLD: (0.0, min(COLD_LAPS, run_laps / 2.0)),
        "fresh": (0.0, run_laps / 2.0) if short else (COLD_LAPS, min(COME_IN, third)),
        "settled": (0.0, run_laps) if short else (third, 2.0 * third),
        "worn": (run_laps / 2.0 if short else max(run_laps - LAST_LAPS, 2.0 * third), run_laps),
    }[at]


def middle_of(stage: str, run_laps: float) -> float:
    """Lap in the middle of a stage."""
    first, last = span_of(stage, run_laps)
    return 0.5 * (first + last)


def weigh_knots(knots: Array, at: At) -> Array:
    """Say what each knot of a run counts when a value is read at a stage or at a lap, (knots,); they sum to 1."""
    return _weigh(tuple(knots.tolist()), at)


@lru_cache(maxsize=256)
def _weigh(knots: tuple[float, ...], at: At) -> Array:
    """The same, worked out once: every screen reads the same few stages many hundred times."""
    return weigh_span(np.array(knots), span_of(at, knots[-1]))


def weigh_stages(knots: Array) -> Array:
    """The same for every stage, (stages, knots)."""
    return np.stack([weigh_knots(knots, stage) for stage in STAGES])
