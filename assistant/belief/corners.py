"""How the car sits at its limit, for the engineer: loads, slip angles, steering and which tire is the limit.

One entry for every phase and end at one stage of the run. The balance is the believed one, as the forecast has it;
loads, angles and speeds are the plainest car's. And how it steers far below the limit, driven round a steady circle,
beside the closed form. SI units.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from assistant.belief.believe import Shown
from assistant.belief.known import balance_of
from assistant.belief.look_ahead import Reach
from assistant.belief.model import Model, middle_of, weigh_knots
from assistant.belief.whole_run import drive_setups
from assistant.car.car import corner_loads
from assistant.ground.names import CORNERS, PHASES, SETTLED, STAGES
from assistant.ground.quantities import GRAVITY
from assistant.physics.attitude import rear_steer_of
from assistant.physics.car_and_driver import Numbers, move_numbers, usual_phases
from assistant.physics.corner_problem import LoadLaw, Place, find_loads, write_load_law
from assistant.physics.cornering import road_lean
from assistant.physics.formulas import (
    Array,
    body_slip,
    characteristic_speed,
    critical_speed,
    jack_load,
    lateral_acceleration,
    neutral_speed,
    normal_acceleration,
    rate_in_series,
    roll_stiffness,
    torsion_bar_rate,
    understeer_gradient,
)
from assistant.physics.heat_and_wear import start_moments, tires_at
from assistant.physics.suspension import Rest, answer_pushes, fill_air, stand_still, track_bar_line, wheel_rates
from assistant.physics.tire_grip import Grip, find_axle_peak, find_grip, follow_curve, slip_for_force

if TYPE_CHECKING:
    from assistant.physics.driven_run import DrivenRun


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

    def nose_with(self, fuel: float) -> float:
        """Front share of the weight with so much fuel aboard [kg], its moment about the rear axle at the tank."""
        was, wheelbase, tank = self.number("fuel_on_scales"), self.number("wheelbase"), self.number("tank_x")
        mass = self.number("mass")
        moment = mass * self.number("nose_weight") * wheelbase + (fuel - was) * tank
        return moment / (mass + fuel - was) / wheelbase

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
