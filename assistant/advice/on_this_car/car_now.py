"""The car of a case as it stands once settled, read from its run ahead as plain numbers, and how facts write them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from assistant.advice.computed.model import Model, stage_laps
from assistant.advice.computed.standing import SETTLED
from assistant.car.case import STAGES
from assistant.physics.moments import Moments, tires_at
from assistant.physics.numbers import Numbers
from assistant.physics.rates import rate_in_series, roll_stiffness
from assistant.physics.static import Rest, stand_still
from assistant.physics.suspension import answer_pushes, wheel_rates
from assistant.physics.values import GRAVITY, Array
from assistant.units import System, show

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
class CarNow:
    """A computed case. system: the units facts are written in."""

    model: Model
    system: System = "trade"

    @property
    def numbers(self) -> Numbers:
        """Named numbers of the one car."""
        return self.model.numbers

    @property
    def knot(self) -> int:
        """Knot of the run nearest to where it is settled."""
        return self.knot_at(SETTLED)

    def knot_at(self, stage: int) -> int:
        """Knot of the run nearest to a stage."""
        laps = self.model.run.laps
        return int(np.argmin(np.abs(laps - stage_laps(round(float(laps[-1])))[stage])))

    def number(self, name: str) -> float:
        """One number of the car [SI]."""
        return float(self.numbers[name][0])

    def moved(self, **levers: float) -> Numbers:
        """Numbers of the car with levers at other values; the scales stay as they were read."""
        return {**self.numbers, **{lever: np.array([value]) for lever, value in levers.items()}}

    def rest(self, numbers: Numbers | None = None) -> Rest:
        """The car at rest at each stage of the run, tires as they are then, (…, stages, 1)."""
        numbers = self.numbers if numbers is None else numbers
        return stand_still(numbers, tires_at(numbers, self.model.moments))

    def cross(self, numbers: Numbers | None = None) -> float:
        """Cross weight on the scales at the start, fuel aboard and air as set: what moves without re-scaling shows."""
        numbers = self.numbers if numbers is None else numbers
        air = self.model.moments.cold
        cold, none = np.full((4, 1, 1), air), np.zeros((4, 1, 1))
        fresh = Moments(gas=cold, tread=cold, wear=none, fuel_used=none[0], cold=air)
        rest = stand_still(numbers, tires_at(numbers, fresh))
        loads = answer_pushes(numbers, rest).at_rest[:4, 0, 0]
        return float((loads[1] + loads[2]) / loads.sum())

    def each_end(self, values: Array, phase: int = MIDDLE) -> dict[str, float]:
        """Settled values of (knots, phases, ends, cars) by end."""
        return {end: float(values[self.knot, phase, e, 0]) for e, end in enumerate(self.model.end_ids)}

    def mean(self, values: Array, phase: int) -> float:
        """Settled value of (knots, phases, ends, cars), mean of the ends."""
        return float(values[self.knot, phase, :, 0].mean())

    def by_stage(self, read: Callable[[int], float]) -> dict[str, float]:
        """Read something at each stage: its name to the number."""
        return {stage: read(index) for index, stage in enumerate(STAGES)}

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

    def say(self, value: float, kind: str, *, places: int | None = None, signed: bool = False) -> str:
        """Write a value with its unit."""
        return show(value, kind, system=self.system, places=places, signed=signed)

    def pounds(self, force: float, *, signed: bool = False) -> str:
        """Write a load [N] as scales read it."""
        return show(force / GRAVITY, "mass", system=self.system, signed=signed)
