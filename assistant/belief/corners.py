"""How the car sits at its limit, for the engineer: loads, slip angles, steering and which tire is the limit.

One entry for every phase and end at one stage of the run. The balance is the believed one, as the forecast has it;
loads, angles and speeds are the plainest car's. And how it steers far below the limit, driven round a steady circle,
beside the closed form. SI units.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from assistant.belief.believe import Shown
from assistant.belief.known import balance_of
from assistant.belief.look_ahead import Reach
from assistant.belief.model import Model
from assistant.belief.settled_car import MIDDLE, SettledCar
from assistant.belief.stages_of import middle_of, weigh_knots
from assistant.belief.whole_run import drive_setups
from assistant.ground.names import CORNERS, PHASES, SETTLED, STAGES
from assistant.ground.quantities import GRAVITY
from assistant.physics.attitude import rear_steer_of
from assistant.physics.car_and_driver import usual_phases
from assistant.physics.corner_problem import LoadLaw, Place, find_loads, write_load_law
from assistant.physics.cornering import road_lean
from assistant.physics.formulas import (
    Array,
    body_slip,
    characteristic_speed,
    critical_speed,
    lateral_acceleration,
    neutral_speed,
    normal_acceleration,
    understeer_gradient,
)
from assistant.physics.suspension import answer_pushes, fill_air
from assistant.physics.tire_grip import Grip, find_axle_peak, find_grip, follow_curve, slip_for_force

if TYPE_CHECKING:
    from assistant.physics.driven_run import DrivenRun


AXLES: Mapping[str, Sequence[str]] = {"front": CORNERS[:2], "rear": CORNERS[2:]}


@dataclass(frozen=True)
class Corner:
    """One end of the track in one phase.

    side, forward: acceleration [m/s2], side toward the inside of the turn. speed [m/s]. balance: as the forecast has
    it, share of grip and what the rear axle steers by itself [%, + tight]. loads: corner to load [N]. slip_front,
    slip_rear: true slip angles [rad]. axle, tire: which is the limit, by the balance, and which of its tires does most;
    None where that has no number. steer: mean angle of the front wheels [rad]; useful_share: of the steering up to the
    front's peak (above 1 it scrubs); lock_share: of full lock. lifted: corners off the ground. steady: False where the
    car has no steady state.
    """

    end: str
    phase: str
    side: float
    forward: float
    speed: float
    balance: Shown | None
    loads: Mapping[str, float]
    slip_front: float
    slip_rear: float
    axle: str | None
    tire: str | None
    steer: float
    useful_share: float
    lock_share: float
    lifted: tuple[str, ...]
    steady: bool


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


def read_corners(reached: Reach, stage: str) -> tuple[Corner, ...]:
    """Read the corners of the run ahead at a stage; every end in every phase, in the order they are driven."""
    run = drive_setups(reached.model, [reached.model.case.setup])
    places = [(e, p) for e in range(len(reached.model.end_ids)) for p in range(len(PHASES))]
    return tuple(_corner(run, stage, (p, e), reached) for e, p in places)


def balance_there(run: DrivenRun, stage: str, at: tuple[int, int], reached: Reach) -> Shown | None:
    """Balance of a phase at an end as it is believed, of the plain car where nobody believes anything.

    None where no number may be shown.
    """
    belief, (phase, end) = reached.belief, at
    if belief is None:
        return Shown(*(float(weigh_knots(run.laps, stage) @ run.balance[:, phase, end, 0]),) * 3)
    name = balance_of(PHASES[phase], reached.model.end_ids[end])
    return None if belief.gate_is_shut else belief.show(belief.read(name, stage))


def _corner(run: DrivenRun, stage: str, at: tuple[int, int], reached: Reach) -> Corner:
    point, attitude = run.limit.point, run.attitude
    weights = weigh_knots(run.laps, stage)
    middle = int(np.abs(run.laps - middle_of(stage, float(run.laps[-1]))).argmin())

    def along(values: Any) -> Any:
        shape = np.broadcast_shapes(np.shape(values), np.shape(run.balance))
        return np.broadcast_to(values, shape)[:, at[0], at[1], 0]

    def read(values: Any) -> float:
        return float(weights @ along(values))

    balance = balance_there(run, stage, at, reached)
    axle = None if balance is None else "front" if balance.value > 0.0 else "rear"
    side = {corner: abs(read(attitude.side[number])) for number, corner in enumerate(CORNERS)}
    return Corner(
        end=reached.model.end_ids[at[1]],
        phase=PHASES[at[0]],
        side=read(point.side),
        forward=read(point.forward),
        speed=read(point.speed_squared) ** 0.5,
        balance=balance,
        loads={corner: read(attitude.load[number]) for number, corner in enumerate(CORNERS)},
        slip_front=read(attitude.slip_front),
        slip_rear=read(attitude.slip_rear),
        axle=axle,
        tire=None if axle is None else max(AXLES[axle], key=side.__getitem__),
        steer=read(attitude.steer),
        useful_share=read(attitude.useful_share),
        lock_share=read(attitude.lock_share),
        lifted=tuple(corner for number, corner in enumerate(CORNERS) if along(attitude.lifted[number])[middle]),
        steady=bool(along(run.limit.steady)[middle]),
    )


def at_the_limit(model: Model, stage: str = STAGES[SETTLED]) -> tuple[EndFacts, ...]:
    """Read the middle of every end of the run at one of its stages."""
    run = model.run
    rear_arm = float(SettledCar(model).rest().cg[0][STAGES.index(stage), 0])
    weights = weigh_knots(run.laps, stage)
    ends = []
    for index, end in enumerate(model.case.track.ends):
        speed, slip_rear, steer = (
            float(weights @ values[:, MIDDLE, index, 0])
            for values in (np.sqrt(run.limit.point.speed_squared), run.attitude.slip_rear, run.attitude.steer)
        )
        slip = body_slip(speed, speed / end.radius, rear_arm, slip_rear)
        ends.append(
            EndFacts(
                end=end.id,
                speed=speed,
                neutral_speed=float(neutral_speed(end.radius, end.bank)) if end.bank >= 0.0 else None,
                lateral=float(lateral_acceleration(speed, end.radius, end.bank)),
                normal=float(normal_acceleration(speed, end.radius, end.bank)),
                steer=steer,
                body_slip=float(slip),
            )
        )
    return tuple(ends)


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
