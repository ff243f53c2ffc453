"""The car of a case as it stands once settled, read from its run ahead as plain numbers: weights, rates, heights."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from assistant.belief.model import Model
from assistant.belief.stages_of import middle_of
from assistant.car.car import corner_loads
from assistant.ground.names import SETTLED, STAGES
from assistant.ground.quantities import GRAVITY
from assistant.physics.car_and_driver import Numbers, move_numbers
from assistant.physics.formulas import Array, jack_load, rate_in_series, roll_stiffness, torsion_bar_rate
from assistant.physics.heat_and_wear import start_moments, tires_at
from assistant.physics.suspension import Rest, answer_pushes, stand_still, track_bar_line, wheel_rates

MIDDLE, EXIT = 1, 2
"""Phases of the run's arrays."""


@dataclass(frozen=True)
class Roll:
    """Roll stiffness [N m/rad] of the front and rear springs with their bar, and of the tires below them."""

    front_springs: float
    front_tires: float
    rear_springs: float
    rear_tires: float

    @property
    def front_share(self) -> float:
        """Front share of the whole car's roll stiffness, springs and bar on their tires, 0 to 1."""
        front = float(rate_in_series(self.front_springs, self.front_tires))
        return front / (front + float(rate_in_series(self.rear_springs, self.rear_tires)))


@dataclass(frozen=True)
class SettledCar:
    """A computed case, read where its run is settled."""

    model: Model

    @property
    def numbers(self) -> Numbers:
        """Named numbers of the one car."""
        return self.model.numbers

    @property
    def knot(self) -> int:
        """Knot of the run nearest to the middle of where it is settled."""
        laps = self.model.run.laps
        return int(np.argmin(np.abs(laps - middle_of(STAGES[SETTLED], float(laps[-1])))))

    def number(self, name: str) -> float:
        """One number of the car [SI]."""
        return float(self.numbers[name][0])

    def moved(self, change: float, *levers: str) -> Numbers:
        """Numbers of the car with levers moved by a change [SI]; the scales stay as they were read."""
        return move_numbers(self.numbers, dict.fromkeys(levers, change))

    @property
    def on_scales(self) -> tuple[float, float, float, float]:
        """Loads of the four wheels on the scales [N]."""
        shares = (self.number(name) for name in ("nose_weight", "left_weight", "cross_weight"))
        return corner_loads(self.number("mass") * GRAVITY, *shares)

    @property
    def drive(self) -> float:
        """Force of the drive coming off [N], mean of the ends."""
        return self.mean(self.model.run.limit.point.lengthways[2:].sum(axis=0), EXIT)

    def rest(self, numbers: Numbers | None = None) -> Rest:
        """The car at rest at each stage of the run, tires as they are then, (…, stages, 1)."""
        numbers = self.numbers if numbers is None else numbers
        return stand_still(numbers, tires_at(numbers, self.model.moments))

    def cross(self, numbers: Numbers | None = None) -> float:
        """Cross weight on the scales at the start, fuel aboard and air as set: what moves without re-scaling shows."""
        numbers = self.numbers if numbers is None else numbers
        air = self.model.moments.cold
        cold = np.full((4, 1, 1), air)
        fresh = replace(start_moments(air, 1, 1), gas=cold, tread=cold)
        rest = stand_still(numbers, tires_at(numbers, fresh))
        loads = answer_pushes(numbers, rest).at_rest[:4, 0, 0]
        return float((loads[1] + loads[2]) / loads.sum())

    def each_end(self, values: Array, phase: int = MIDDLE) -> dict[str, float]:
        """Settled values of (knots, phases, ends, cars) by end."""
        return {end: float(values[self.knot, phase, e, 0]) for e, end in enumerate(self.model.end_ids)}

    def mean(self, values: Array, phase: int) -> float:
        """Settled value of (knots, phases, ends, cars), mean of the ends."""
        return float(values[self.knot, phase, :, 0].mean())

    def roll(self, numbers: Numbers | None = None) -> Roll:
        """Roll stiffness of both ends, the tires as they are when settled."""
        numbers = self.numbers if numbers is None else numbers
        lf, rf, lr, rr, bar = (float(rate.item()) for rate in wheel_rates(numbers))
        tires = [float(rate) for rate in self.rest(numbers).tire_rate[:, SETTLED, 0]]
        front, rear, base = (float(numbers[name].item()) for name in ("track_front", "track_rear", "spring_base"))
        return Roll(
            float(roll_stiffness(front, lf, rf, bar)),
            float(roll_stiffness(front, tires[0], tires[1])),
            float(roll_stiffness(base, lr, rr)),
            float(roll_stiffness(rear, tires[2], tires[3])),
        )


def jack_turn(car: SettledCar) -> float:
    """Load [N] a turn of the left rear jack bolt brings on LR and RF: everything that twists, at the wheels.

    The springs and the bar of each end count as its roll stiffness over its track squared.
    """
    roll, front, rear = car.roll(), car.number("track_front"), car.number("track_rear")
    twist = (roll.front_springs / front**2, roll.front_tires / front**2)
    back = (roll.rear_springs / rear**2, roll.rear_tires / rear**2)
    return float(jack_load(car.number("jack_lead") * rear / car.number("spring_base"), *twist, *back))


def spring_force(car: SettledCar, corner: int) -> float:
    """Force [N] in a spring standing on the scales, bar slack: what its wheel carries less half the unsprung weight.

    The rear pair by moments about the middle of the axle.
    """
    loads = car.on_scales
    if corner < 2:
        return (loads[corner] - car.number("unsprung_front") * GRAVITY / 2.0) / car.number("spring_ratio_front")
    both = loads[2] + loads[3] - car.number("unsprung_rear") * GRAVITY
    apart = (loads[2] - loads[3]) * car.number("track_rear") / car.number("spring_base")
    return (both + (apart if corner == 2 else -apart)) / 2.0


def roll_center(car: SettledCar, raised: float = 0.0, numbers: Numbers | None = None) -> float:
    """Height of the rear roll center [m]: where the track bar crosses the centerline. raised: the rear of the frame."""
    numbers = car.numbers if numbers is None else numbers
    axle, _, slope = track_bar_line(numbers, raised)
    return float((axle - numbers["track_bar_axle_y"] * slope).item())


def bar_arm_rate(numbers: Numbers) -> float:
    """Rate of the front bar at the end of its arm [N/m]."""
    bar, bore, length, arm = (numbers[name] for name in ("front_bar", "bar_bore", "bar_length", "bar_arm"))
    return float(torsion_bar_rate(bar, bore, length, arm).item())
