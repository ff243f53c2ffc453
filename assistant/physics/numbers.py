"""The named numbers the model works on: one array per quantity, all cars of a batch along the last axis.

A name is a field of Car or Tire, or a lever id; `weighed_<lever>` is the lever's value when the car was put on
the scales, so that moving a lever without re-scaling shows in the loads. `trim_<phase>` shifts grip from front to rear
(see `anchor`); `slip_stiffness` scales the tires' lengthways stiffness; `limit_used` is the share of the limit the
driver uses; `best_pressure_<corner>` is the pressure with most grip while the tire carries `best_load_<corner>`, from
the tire file where `best_pressure_known` is 1, else near the pressures at hand;
`seats_alone` is 1 where springs were swapped and the car was not re-scaled.
Per-corner numbers are split by corner (`radius_lf`), pairs and triples likewise. All values are SI.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields

import numpy as np

from assistant.car.car import CORNERS, Car, Tire
from assistant.car.setup import Setup
from assistant.physics.gas import pressure_at
from assistant.physics.phases import LIMIT_USED
from assistant.physics.values import Array

Numbers = dict[str, Array]

MEMBERS: Mapping[int, tuple[str, ...]] = {
    2: ("lf", "rf"),
    3: ("entry", "middle", "exit"),
    4: tuple(map(str.lower, CORNERS)),
}
USUAL_AIR = 293.15
"""Temperature of the air a tire is filled in before a run says more [K]: 20 C; only a first guess hangs on it."""
ENDLESS_LOCK = 1e9
"""Stands for a steering lock nobody stated [rad]."""


def collect_numbers(car: Car, tire: Tire, setup: Setup, weighed: Setup | None = None) -> Numbers:
    """Flatten one car into named arrays of shape (1,).

    weighed: the setup as it stood on the scales; the same as `setup` when left out.
    """
    numbers: Numbers = {}
    for record in (car, tire):
        for entry in fields(record):
            value = getattr(record, entry.name)
            if isinstance(value, tuple):
                for member, part in zip(MEMBERS[len(value)], value, strict=True):
                    numbers[f"{entry.name}_{member}"] = np.array([part])
            elif isinstance(value, int | float) and entry.name != "best_pressure":
                numbers[entry.name] = np.array([float(value)])
    numbers["steering_lock"] = np.array([ENDLESS_LOCK if car.steering_lock is None else car.steering_lock])
    numbers["slip_stiffness"] = np.array([1.0])
    numbers["limit_used"] = np.array([LIMIT_USED])
    numbers["seats_alone"] = np.array([float(setup.seats_alone)])
    numbers.update({f"trim_{phase}": np.array([0.0]) for phase in MEMBERS[3]})
    numbers.update(expect_best_pressures(tire, weighed or setup))
    for lever, value in setup.values.items():
        numbers[lever] = np.array([value])
    for lever, value in (weighed or setup).values.items():
        numbers[f"weighed_{lever}"] = np.array([value])
    return numbers


def expect_best_pressures(tire: Tire, weighed: Setup) -> Numbers:
    """Pressure with most grip of each corner and the load that goes with it: what the tire file knows.

    Where it knows nothing, teams are taken to put the air where the tire works: the pressure at hand, with the tire at
    its best temperature. A run moves that to what the tire comes to and carries (`run.find_best_pressures`).
    """
    known = tire.best_pressure is not None
    best: Numbers = {"best_pressure_known": np.array([float(known)])}
    for corner in MEMBERS[4]:
        cold = weighed.values[f"pressure_{corner}"]
        at_hand = float(pressure_at(tire.best_temperature, cold, USUAL_AIR))
        best[f"best_pressure_{corner}"] = np.array([at_hand if tire.best_pressure is None else tire.best_pressure])
        best[f"best_load_{corner}"] = np.array([tire.load_ref])
    return best


def stack_numbers(cars: Sequence[Numbers]) -> Numbers:
    """Join the cars of several batches along the last axis."""
    return {name: np.concatenate([car[name] for car in cars], axis=-1) for name in cars[0]}


def move_levers(numbers: Numbers, changes: Mapping[str, float]) -> Numbers:
    """Add `changes` (SI) to levers of every car of the batch; `weighed_` values stay."""
    moved = dict(numbers)
    for lever, change in changes.items():
        moved[lever] = moved[lever] + change
    return moved
