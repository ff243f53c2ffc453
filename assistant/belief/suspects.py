"""Causes that can be computed: how well cars on which something is not as everybody thinks do what is known.

Such a cause is a band of numbers of the model: "the stagger is a quarter to one inch more". A shift is drawn from it
for every car, and the chance of the evidence with shifted cars stands beside that with cars as they are thought to be.
Both have the same trims to begin with: those of the usual setup without the cause. What a shift does is driven once
for each number, half as far as the bands go, and taken as straight. A shift may come with
the laps, as tires warm up.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from assistant.belief.believe import USUAL, Belief, drive_all, setup_of, turns_of
from assistant.belief.driven import Driven
from assistant.belief.garage import Garage, spread_off
from assistant.belief.known import GAUGE
from assistant.belief.weigh import find_best, fit_cars
from assistant.car.case import Setup
from assistant.physics.formulas import Array

LEAST = -8.0
"""Logarithm of the smallest chance ratio that is told: so few cars know no more."""
HALF = 0.5
"""Share of the farthest shift that is driven; the others lie about it."""
COMING_LAPS = 8.0
"""Laps in which most of a shift comes that comes with the laps; assumption."""
READ_AS: Mapping[str, str] = {
    "tread": "temperature",
    "pressure": "hot_pressure",
    "stagger": "stagger_hot",
    "fuel": "fuel_used",
}
"""Facts of the packs by the quantity that is read, where the name is another."""


@dataclass(frozen=True)
class Suspect:
    """off: numbers of the model, each with the band it may be off in (SI). comes: with the laps, not there at once."""

    off: Mapping[str, tuple[float, float]]
    comes: bool = False

    @property
    def name(self) -> str:
        """Tell it from others."""
        return f"{dict(self.off)} {self.comes}"


def weigh_suspects(belief: Belief, suspects: Mapping[str, Suspect]) -> dict[str, float]:
    """How much likelier what is known is under each cause, by its id: logarithm. A belief keeps what it was asked.

    Nothing of one that no plausible car does what is known under, nor without it.
    """
    asked = frozenset((cause, one.name) for cause, one in suspects.items())
    if asked not in belief.suspected:
        belief.suspected[asked] = _weigh(belief, suspects)
    return belief.suspected[asked]


def _weigh(belief: Belief, suspects: Mapping[str, Suspect]) -> dict[str, float]:
    """The same, worked out."""
    garage, evidence = belief.garage, belief.evidence
    driven, farthest = drive_all(garage, evidence, belief.now), find_farthest(suspects)
    setups = {key: setup_of(evidence, key, garage) for key in driven.keys() - {USUAL}}
    for setup in setups.values():
        garage.move_all([{name: HALF * far} for name, far in farthest.items()], setup)
    lean, turns = garage.lean, turns_of(evidence, driven, garage)

    def shifted(one: Suspect) -> dict[str, Driven]:
        there = {key: shift(driven[key], one, farthest, garage, setup) for key, setup in setups.items()}
        return {**driven, **there}

    def log_chance(cars: Mapping[str, Driven]) -> float:
        return find_best(evidence.rows, cars, lean, turns).log_chance

    def fits_some(cars: Mapping[str, Driven]) -> bool:
        return not fit_cars(evidence.rows, cars, garage.scatter, lean, turns).fits_no_car

    plain, under = log_chance(shifted(Suspect({}))), {cause: shifted(one) for cause, one in suspects.items()}
    return {
        cause: float(np.clip(log_chance(cars) - plain, LEAST, -LEAST))
        for cause, cars in under.items()
        if not belief.gate_is_shut or fits_some(cars)
    }


def find_farthest(suspects: Mapping[str, Suspect]) -> dict[str, float]:
    """Find how far each number is off at the most under any cause."""
    farthest: dict[str, float] = {}
    for one in suspects.values():
        for name, band in one.off.items():
            farthest[name] = max(farthest.get(name, 0.0), *map(abs, band))
    return farthest


def shift(
    driven: Driven, suspect: Suspect, farthest: Mapping[str, float], garage: Garage, setup: Setup | None
) -> Driven:
    """Take cars as if numbers were off, each by its own amount in the bands; those that are past driving then drop."""
    values: Array = driven.values
    there = 1.0 - np.exp(-driven.knots / COMING_LAPS) if suspect.comes else np.ones(len(driven.knots))
    for name in suspect.off:
        driven_by = HALF * farthest[name]
        amounts = np.concatenate([spread_off(suspect.off, batch)[name] for batch in garage.batches])
        values = values + garage.move({name: driven_by}, setup).after * there[:, None] * (amounts / driven_by)
    can_drive = np.isfinite(values).all(axis=(0, 1))
    return replace(driven, values=np.nan_to_num(values), usable=driven.usable & can_drive)


def facts_read(belief: Belief) -> frozenset[str]:
    """Name the facts of the packs that the cars have counted already: what was measured, and believed."""
    rows = [row.terms[0].quantity.partition(" ") for row in belief.evidence.rows if row.kind == GAUGE]
    return frozenset("_".join(filter(None, (READ_AS.get(what, what), corner.lower()))) for what, _, corner in rows)
