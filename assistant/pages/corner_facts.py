"""Facts about a car in the corners of its track: understeer gradient far below the limit, and how it goes at the limit.

The gradient is that of a steady circle of constant radius (ISO 4138, method 1), from the load law and tires of the
solver, beside the closed form of the linear single-track car with the same tires.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees

import numpy as np

from assistant.belief.model import Model, read_model
from assistant.belief.standing import SETTLED
from assistant.car.case import Case
from assistant.ground.grid import STAGES
from assistant.ground.units import System
from assistant.pages.chassis_facts import MIDDLE, CarNow
from assistant.physics.attitude import rear_steer_of
from assistant.physics.car_and_driver import usual_phases
from assistant.physics.corner_problem import LoadLaw, Place, find_loads, write_load_law
from assistant.physics.cornering import road_lean
from assistant.physics.formulas import (
    GRAVITY,
    Array,
    body_slip,
    characteristic_speed,
    critical_speed,
    lateral_acceleration,
    neutral_speed,
    normal_acceleration,
    steer_needed,
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


@dataclass(frozen=True)
class EndFacts:
    """The middle of one end at the limit. speed, neutral_speed (where the bank alone carries it) [m/s].

    neutral_speed is None where the road falls away to the outside: at no speed does such a bank carry the car.
    lateral, normal: what the tires give sideways and how hard the car is pressed into the road [m/s2].
    steer: front wheels; body_slip: negative with the nose into the turn [rad].
    """

    end: str
    speed: float
    neutral_speed: float | None
    lateral: float
    normal: float
    steer: float
    body_slip: float


def drive_circle(model: Model) -> Circle:
    """Drive the car of a computed case round a flat circle at rising speed."""
    now = CarNow(model)
    numbers, rest = model.numbers, now.rest()
    place = Place(np.array([[TEST_RADIUS]]), np.array([[0.0]]), model.circuit.place.grip, np.array([0.0]))
    law = write_load_law(numbers, rest, answer_pushes(numbers, rest), usual_phases(), place, ROWS)
    mass, rear_arm = float(rest.mass[SETTLED, 0]), float(rest.cg[0][SETTLED, 0])
    wheelbase = now.number("wheelbase")
    slips, turned = np.empty((2, LINEAR.size)), np.empty(LINEAR.size)
    for index, lateral in enumerate(LINEAR):
        axles, turned[index] = roll_along(now, law, float(lateral))
        needs = mass * lateral * np.array([rear_arm, wheelbase - rear_arm]) / wheelbase
        slips[:, index] = [slip_of(model, axle, need) for axle, need in zip(axles, needs, strict=True)]
    stiffness = [stiffness_of(model, axle) for axle in roll_along(now, law, 0.0)[0]]
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


def roll_along(now: CarNow, law: LoadLaw, lateral: float) -> tuple[tuple[Grip, Grip], float]:
    """Grip of the front and rear pair at a side acceleration [m/s2], coasting, and the rear axle's own steer [rad]."""
    still = np.zeros(np.broadcast_shapes(law.fixed.shape[1:], law.side.shape[1:]))
    outputs, _ = find_loads(law, still + lateral, still, still, still)
    out = outputs[:, SETTLED, MIDDLE, 0]
    tires = now.model.run.tires
    air = fill_air(now.numbers, tires.pressure[:, now.knot])
    grip = find_grip(now.numbers, out[:4], air, road_lean(now.numbers, out), np.ones((4, 1)))
    front, rear = (Grip(grip.peak[pair], grip.slip[pair]) for pair in (slice(0, 2), slice(2, 4)))
    return (front, rear), float(rear_steer_of(now.numbers, out).item())


def slip_of(model: Model, pair: Grip, need: float) -> float:
    """Slip angle [rad] at which a pair makes a small side force [N]."""
    curve = model.circuit.curve
    return float(slip_for_force(pair, curve, find_axle_peak(pair, curve), np.array([need])).item())


def stiffness_of(model: Model, pair: Grip) -> float:
    """Cornering stiffness of a pair of tires rolling straight [N/rad]."""
    _, start, _ = follow_curve(np.array(0.0), model.circuit.curve)
    return float((pair.peak / pair.slip).sum() * start)


def circle_json(model: Model) -> dict[str, float]:
    """Give the understeer gradient as plain data, degrees per g, + tight, with the closed form's."""
    circle = drive_circle(model)
    found = {"gradient": circle.gradient, "of_tires": circle.of_tires, "closed_form": circle.closed}
    return {name: degrees(value) * GRAVITY for name, value in found.items()}


def at_the_limit(model: Model, stage: str = STAGES[SETTLED]) -> tuple[EndFacts, ...]:
    """Read the middle of every end of the run at one of its stages."""
    now, run, which = CarNow(model), model.run, STAGES.index(stage)
    rear_arm = float(now.rest().cg[0][which, 0])
    ends = []
    for index, end in enumerate(model.case.track.ends):
        at = (now.knot_at(which), MIDDLE, index, 0)
        speed = float(run.limit.point.speed_squared[at]) ** 0.5
        slip = body_slip(speed, speed / end.radius, rear_arm, float(run.attitude.slip_rear[at]))
        ends.append(
            EndFacts(
                end=end.id,
                speed=speed,
                neutral_speed=float(neutral_speed(end.radius, end.bank)) if end.bank >= 0.0 else None,
                lateral=float(lateral_acceleration(speed, end.radius, end.bank)),
                normal=float(normal_acceleration(speed, end.radius, end.bank)),
                steer=float(run.attitude.steer[at]),
                body_slip=float(slip),
            )
        )
    return tuple(ends)


def corner_facts(
    case: Case, stage: str = STAGES[SETTLED], *, model: Model | None = None, system: System = "trade"
) -> tuple[str, ...]:
    """Say how the car steers far below the limit and how it goes through the middle of each end, in short sentences.

    stage: of the ends; the steady circle is on settled tires. model: the case as computed already; it is computed
    anew when left out (about half a second).
    """
    model = read_model(case) if model is None else model
    now, circle = CarNow(model, system), drive_circle(model)
    per_g = degrees(GRAVITY)
    name = "tight" if circle.gradient >= 0 else "loose"
    kind = "characteristic" if circle.gradient >= 0 else "critical"
    at_once = degrees(float(steer_needed(now.number("wheelbase"), TEST_RADIUS, 0.2 * GRAVITY, circle.gradient)))
    fastest = now.say(circle.limit_speed, "speed", places=0) if np.isfinite(circle.limit_speed) else "endless"
    said = [
        (
            f"Far below the limit the car is {name}: on a constant radius the front wheels turn "
            f"{circle.gradient * per_g:+.2f} deg for each g more (the tires alone {circle.of_tires * per_g:+.2f}, "
            f"the closed form {circle.closed * per_g:+.2f})."
        ),
        (
            f"On a circle of {now.say(TEST_RADIUS, 'length', places=0)} it takes {at_once:.2f} deg at 0.2 g, stagger "
            f"aside; its {kind} speed is {fastest}."
        ),
    ]
    for end in at_the_limit(model, stage):
        way = "into" if end.body_slip < 0 else "out of"
        said.append(
            f"In the middle of {end.end}, at {now.say(end.speed, 'speed')}, the tires give "
            f"{now.say(end.lateral, 'acceleration')} sideways, pressed on with {now.say(end.normal, 'acceleration')}; "
            f"{_say_bank(end, now)}. The front wheels are turned "
            f"{degrees(end.steer):.1f} deg; the nose points {abs(degrees(end.body_slip)):.1f} deg {way} the turn."
        )
    return tuple(said)


def _say_bank(end: EndFacts, now: CarNow) -> str:
    """Say at what speed the bank alone carries the car; that it never does where the road falls away."""
    if end.neutral_speed is None:
        return "the road falls away to the outside, so the bank carries nothing"
    return f"at {now.say(end.neutral_speed, 'speed')} the bank alone would carry the car"
