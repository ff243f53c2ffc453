"""How the car steers far below the limit, driven round a steady circle, beside the closed form. SI units."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.belief.model import Model
from assistant.belief.settled_car import MIDDLE, SettledCar
from assistant.belief.standing import SETTLED
from assistant.physics.attitude import rear_steer_of
from assistant.physics.car_and_driver import usual_phases
from assistant.physics.corner_problem import LoadLaw, Place, find_loads, write_load_law
from assistant.physics.cornering import road_lean
from assistant.physics.formulas import (
    GRAVITY,
    Array,
    characteristic_speed,
    critical_speed,
    understeer_gradient,
)
from assistant.physics.suspension import answer_pushes, fill_air
from assistant.physics.tire_grip import Grip, find_axle_peak, find_grip, follow_curve, slip_for_force

TEST_RADIUS = 100.0
"""Radius of the steady circle [m], flat; a usual one of such tests (ISO 4138, from memory)."""
LINEAR = np.linspace(0.0, 0.2, 9) * GRAVITY
"""Side accelerations the slope is fitted over [m/s2]: the linear range of most cars ends near 0.3 to 0.4 g."""
ROWS = 10


@dataclass(frozen=True)
class Circle:
    """A steady circle far below the limit, coasting, settled tires, stagger's own turning left out.

    lateral [m/s2] and steer [rad] of each point. gradient: slope of steer, by the solver; of_tires: the part the tires
    make, without links that steer the axle; closed: of the single-track car [rad per m/s2], + tight. limit_speed:
    characteristic speed, or for a loose car the critical one [m/s].
    """

    lateral: Array
    steer: Array
    gradient: float
    of_tires: float
    closed: float
    limit_speed: float


def drive_circle(model: Model) -> Circle:
    """Drive the car of a computed case round a flat circle at rising speed."""
    car = SettledCar(model)
    numbers, rest = model.numbers, car.rest()
    place = Place(np.array([[TEST_RADIUS]]), np.array([[0.0]]), model.circuit.place.grip, np.array([0.0]))
    law = write_load_law(numbers, rest, answer_pushes(numbers, rest), usual_phases(), place, ROWS)
    mass, rear_arm = float(rest.mass[SETTLED, 0]), float(rest.cg[0][SETTLED, 0])
    wheelbase = car.number("wheelbase")
    slips, turned = np.empty((2, LINEAR.size)), np.empty(LINEAR.size)
    for index, lateral in enumerate(LINEAR):
        axles, turned[index] = roll_along(car, law, float(lateral))
        needs = mass * lateral * np.array([rear_arm, wheelbase - rear_arm]) / wheelbase
        slips[:, index] = [slip_of(model, axle, need) for axle, need in zip(axles, needs, strict=True)]
    stiffness = [stiffness_of(model, axle) for axle in roll_along(car, law, 0.0)[0]]
    closed = float(understeer_gradient(mass, wheelbase - rear_arm, rear_arm, *stiffness))
    of_tires = float(np.polyfit(LINEAR, slips[0] - slips[1], 1)[0])
    gradient = of_tires + float(np.polyfit(LINEAR, turned, 1)[0])
    speed = characteristic_speed if gradient >= 0.0 else critical_speed
    return Circle(
        lateral=LINEAR,
        steer=np.asarray(wheelbase / TEST_RADIUS + slips[0] - slips[1] + turned),
        gradient=gradient,
        of_tires=of_tires,
        closed=closed,
        limit_speed=float(speed(wheelbase, gradient)),
    )


def roll_along(car: SettledCar, law: LoadLaw, lateral: float) -> tuple[tuple[Grip, Grip], float]:
    """Grip of the front and rear pair at a side acceleration [m/s2], coasting, and the rear axle's own steer [rad]."""
    still = np.zeros(np.broadcast_shapes(law.fixed.shape[1:], law.side.shape[1:]))
    outputs, _ = find_loads(law, still + lateral, still, still, still)
    out = outputs[:, SETTLED, MIDDLE, 0]
    tires = car.model.run.tires
    air = fill_air(car.numbers, tires.pressure[:, car.knot])
    grip = find_grip(car.numbers, out[:4], air, road_lean(car.numbers, out), np.ones((4, 1)))
    front, rear = (Grip(grip.peak[pair], grip.slip[pair]) for pair in (slice(0, 2), slice(2, 4)))
    return (front, rear), float(rear_steer_of(car.numbers, out).item())


def slip_of(model: Model, pair: Grip, need: float) -> float:
    """Slip angle [rad] at which a pair makes a small side force [N]."""
    curve = model.circuit.curve
    return float(slip_for_force(pair, curve, find_axle_peak(pair, curve), np.array([need])).item())


def stiffness_of(model: Model, pair: Grip) -> float:
    """Cornering stiffness of a pair of tires rolling straight [N/rad]."""
    _, start, _ = follow_curve(np.array(0.0), model.circuit.curve)
    return float((pair.peak / pair.slip).sum() * start)
