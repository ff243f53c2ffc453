"""The car and its driver as named numbers.

One array per quantity, all cars of a batch along the last axis. A name is a field of Car or Tire, or a lever id;
`weighed_<lever>` is the lever's value when the car was put on the scales, so that moving a lever without re-scaling
shows in the loads. `trim_<phase>` shifts grip from front to rear (see `driven_run`), `trims_found` is 0 where none
holds the car; `slip_stiffness` scales the tires' lengthways stiffness; `limit_used` is the share of the limit used by
the driver; `steer_felt` scales how much of the rear axle's own steering he takes for balance (see `attitude`);
`best_pressure_<corner>` is the pressure with most grip while the tire carries `best_load_<corner>`, from the tire file
where `best_pressure_known` is 1, else near the pressures at hand; `seats_alone` is 1 where springs were swapped and the
car was not re-scaled.
Per-corner numbers are split by corner (`radius_lf`), pairs and triples likewise. All values are SI.

A phase of the corner is a demand for tire force, never an acceleration: what the car then does follows from its tires.
Its values are assumptions about an ordinary lap; a case or a driving habit may change them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields

import numpy as np

from assistant.car.car import Car, Tire
from assistant.car.case import Setup
from assistant.ground.names import CORNER_KEYS, PHASES
from assistant.physics.formulas import Array, pressure_at

LIMIT_USED = 0.97
"""Share of the limit an ordinary driver uses; he keeps the rest in hand. Assumption: nobody publishes it. Between 0.95
and 0.99 a run comes out nearly the same; at 1 the slip of an axle goes as the root of the grip it has left."""


ASSUMED: Mapping[str, float] = {
    "slip_stiffness": 1.0,
    "limit_used": LIMIT_USED,
    "steer_felt": 1.0,
    # tires inside, see `surface`: a millimeter of rubber over a third of a square meter and the belt below it
    "skin_capacity": 1200.0,
    "skin_conductance": 60.0,
    "sidewall_cooling": 0.4,
    "road_cooling": 0.5,
    "wear_exponent": 1.5,
    "aged_grip": 0.02,
    "aging_time": 900.0,
}
"""Numbers no file states, assumptions with bands. Skin of the tread [J/K], its way to the carcass [W/K]; share of all
cooling that is the sidewalls', and of the skin's that is the road's; power of wear; grip lost by age, its time [s]."""


@dataclass(frozen=True, eq=False)
class Phases:
    """Demands of entry, middle, exit along the first axis; arrays (3, 1, 1) that broadcast over ends and cars.

    brake, drive: force over weight on the scales. roll_rate: body rolling to the right [rad/s]. pitch_rate: nose going
    down [rad/s]. turning: how quickly he turns the wheel, over what the line asks for (see `line`).
    """

    brake: Array
    drive: Array
    roll_rate: Array
    pitch_rate: Array
    turning: Array


def usual_phases() -> Phases:
    """Give the demands of an ordinary lap.

    brake 0.38 of the weight while turning in, coasting in the middle, drive 0.25 of the weight at pick-up; body rates
    of a set taken in about half a second: 0.10 rad/s roll and 0.05 rad/s pitch on entry, 0.08 and 0.04 back on exit.
    All assumptions.
    """

    def column(*values: float) -> Array:
        return np.array(values).reshape(3, 1, 1)

    return Phases(
        brake=column(0.38, 0.0, 0.0),
        drive=column(0.0, 0.0, 0.25),
        roll_rate=column(0.10, 0.0, -0.08),
        pitch_rate=column(0.05, 0.0, -0.04),
        turning=column(1.0, 1.0, 1.0),
    )


Numbers = dict[str, Array]

MEMBERS: Mapping[int, tuple[str, ...]] = {
    2: CORNER_KEYS[:2],
    3: PHASES,
    4: CORNER_KEYS,
}
USUAL_AIR = 293.15
"""Temperature of the air a tire is filled in before a run says more [K]: 20 C; only a first guess hangs on it."""
ENDLESS_LOCK = 1e9
"""Stands for a steering lock nobody stated [rad]."""


def collect_numbers(car: Car, tire: Tire, setup: Setup) -> Numbers:
    """Flatten one car into named arrays of shape (1,), its setup as it stood on the scales."""
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
    numbers.update({name: np.array([value]) for name, value in ASSUMED.items()})
    numbers["seats_alone"] = np.array([float(setup.seats_alone)])
    numbers.update({f"trim_{phase}": np.array([0.0]) for phase in MEMBERS[3]})
    numbers["trims_found"] = np.array([1.0])
    numbers.update(expect_best_pressures(tire, setup))
    for lever, value in setup.values.items():
        numbers[lever], numbers[f"weighed_{lever}"] = np.array([value]), np.array([value])
    return numbers


def expect_best_pressures(tire: Tire, weighed: Setup) -> Numbers:
    """Pressure with most grip of each corner and the load that goes with it: what the tire file knows.

    Where it knows nothing, teams are taken to put the air where the tire works: the pressure at hand, with the tire at
    its best temperature. A run moves that to what the tire comes to and carries (`driven_run.find_best_pressures`).
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


def move_numbers(numbers: Numbers, changes: Mapping[str, float | Array]) -> Numbers:
    """Add `changes` (SI) to numbers of every car of the batch; `weighed_` values of levers stay."""
    return {**numbers, **{name: numbers[name] + change for name, change in changes.items()}}


def by_car(solve: Callable[..., Array], *of_cars: Array) -> Array:
    """Solve for all cars at once; where one cannot be solved, each for itself, and that one has no number."""
    try:
        return np.asarray(solve(*of_cars), dtype=np.float64)
    except np.linalg.LinAlgError:
        if of_cars[0].ndim == 2:
            return np.full_like(of_cars[-1], np.nan)
        return np.stack([by_car(solve, *of_one) for of_one in zip(*of_cars, strict=True)])
