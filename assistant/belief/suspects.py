"""Causes that can be computed: how well cars on which something is not as everybody thinks do what is known.

Such a cause is a band of numbers of the model: "the stagger is a quarter to one inch more". A shift is drawn from it
for every car, and the chance of the evidence with shifted cars stands beside that with cars as they are thought to be.
Both have the same trims to begin with: those of the usual setup without the cause.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.belief.believe import USUAL, Belief, drive_all, setup_of
from assistant.belief.weigh import fit_cars

LEAST = -8.0
"""Logarithm of the smallest chance ratio that is told: so few cars know no more."""


def log_likelihood(belief: Belief, off: Mapping[str, tuple[float, float]]) -> float:
    """Logarithm of how much likelier what is known is with numbers off by something in these bands (SI)."""
    garage, evidence = belief.garage, belief.evidence
    driven = drive_all(garage, evidence, belief.now)
    shifted = {
        key: one if key == USUAL else garage.drive_off(off, setup_of(evidence, key, garage))
        for key, one in driven.items()
    }
    plain = fit_cars(evidence.rows, driven, garage.scatter, garage.lean).log_chance
    wrong = fit_cars(evidence.rows, shifted, garage.scatter, garage.lean).log_chance
    return min(max(wrong - plain, LEAST), -LEAST)
