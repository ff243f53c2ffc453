"""The car at its limit in a corner: largest side acceleration both axles carry, and the balance there.

Three unknowns per operating point (side acceleration, forward acceleration, yaw moment of the tires) are solved by a
quasi-Newton iteration for whole batches at once. Arrays are (stages, phases, ends, cars). Secondary forces that
depend on slip use both axles' slip at the peak, so balance is smooth through neutral; true slip angles follow in
`attitude`.
Balance = 100 ln(rear capacity / rear need) - 100 ln(front capacity / front need): the share of grip, in percent, that
one axle still has when the other is done; + tight, - loose.

Cars near a solved batch, with a lever moved a step, are solved by Newton's method from there: the Jacobian is taken
once, exactly, for either axle giving up first. A step of a lever is so small that one correction leaves less than a
driver could ever feel (a test holds it against full solves).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.ground.quantities import GRAVITY
from assistant.physics.car_and_driver import Numbers
from assistant.physics.corner_problem import (
    CornerProblem,
    Flags,
    drive_force,
    find_loads,
    find_mismatch,
    pick_points,
)
from assistant.physics.formulas import Array, speed_squared
from assistant.physics.suspension import BODY_ROLL, REAR_LEAN
from assistant.physics.tire_grip import (
    LARGEST_ELLIPSE_SHARE,
    AxlePeak,
    Grip,
    find_axle_peak,
    find_grip,
    leave_for_side,
    share_axle_force,
)

TOLERANCE = 1e-9
"""Largest residual of a solved point: share of grip, share of g, share of m g L."""
ROUNDS = 24
LARGEST_STEP = np.array([0.25, 0.15, 0.03]).reshape(3, 1, 1, 1, 1)
"""Largest change of an unknown in one round: a_y/g, a_x/g, M_z/(m g L)."""
STEADY = 1e-6
"""A point whose residual stays above this has no steady state there."""
NEARLY = 1e-2
"""The same where just so many corrections are taken from a neighbor: what is left is larger, and means less."""
FEW = 0.1
"""Share of a batch below which the points not yet solved go on alone."""
LARGE = 500
"""Points of a batch from which that is worth the sorting out."""
SLOWEST = 1.0
"""Square of the speed [m2/s2] below which no trial speed goes; keeps powers finite."""
SMALLEST_NEED = 1.0
"""Side force [N] below which an axle is taken to need nothing."""

Peaks = tuple[Array, Array]
"""Shared slip of the front and of the rear axle at its peak [rad]."""


@dataclass(frozen=True, eq=False)
class Point:
    """One evaluation of a batch at trial unknowns; corner arrays (4, ...), axle arrays (2, ...).

    forward_miss [share of g], yaw_miss [share of m g L]: what is missing to balance. margins: log of grip over need, of
    front and rear axle. sliding: tires asked for more drive or brake than they have (a wheel spins or locks).
    """

    forward_miss: Array
    yaw_miss: Array
    side: Array
    forward: Array
    yaw: Array
    outputs: Array
    lifted: Flags
    front: AxlePeak
    rear: AxlePeak
    front_grip: Grip
    rear_grip: Grip
    margins: Array
    needs: Array
    lengthways: Array
    sliding: Flags
    speed_squared: Array

    @property
    def residual(self) -> Array:
        """Margins of both axles, forward and yaw balance, (4, ...); three count at a time."""
        return np.stack([self.margins[0], self.margins[1], self.forward_miss, self.yaw_miss])

    @property
    def peaks(self) -> Peaks:
        """Slips at the peaks."""
        return self.front.slip, self.rear.slip


@dataclass(frozen=True, eq=False)
class Limit:
    """A solved batch. balance [%, + tight]; steady: False where the car has no steady state (then nothing counts)."""

    point: Point
    balance: Array
    steady: Flags
    unknowns: Array
    inverse: Array


def evaluate(problem: CornerProblem, unknowns: Array, near: Peaks | None = None) -> Point:
    """Find loads, capacities, needs and residuals at trial unknowns (3, ...): a_y/g, a_x/g, M_z/(m g L).

    near: the slips at the peaks of a point close by, from which the search for the new ones begins.
    """
    numbers, place = problem.numbers, problem.place
    mass, x_cg, wheelbase = problem.mass, problem.x_cg, numbers["wheelbase"]
    side, forward, yaw = unknowns[0] * GRAVITY, unknowns[1] * GRAVITY, unknowns[2] * (mass * GRAVITY * wheelbase)
    squared = np.maximum(speed_squared(side, place.radius, place.bank), SLOWEST)
    drive = drive_force(problem, np.sqrt(squared))
    outputs, lifted = find_loads(problem.law, side, yaw, forward, drive * problem.rear_radius / numbers["final_drive"])

    grip = find_grip(numbers, outputs[:4], problem.air, road_lean(numbers, outputs), problem.fixed_grip)
    ratio = numbers["grip_long"]
    rear_raw = Grip(grip.peak[2:], grip.slip[2:])
    rear_force, mismatch = problem.rear_brake + drive, find_mismatch(problem, outputs[2:4])
    pushed = share_axle_force(rear_raw, ratio * numbers["slip_stiffness"], rear_force, mismatch, problem.locked)
    asked = np.stack(np.broadcast_arrays(0.5 * problem.front_force, 0.5 * problem.front_force, *pushed))
    most = LARGEST_ELLIPSE_SHARE * ratio * grip.peak
    lengthways = np.clip(asked, -most, most)
    left = leave_for_side(grip, lengthways, ratio)
    front_grip, rear_grip = Grip(left.peak[:2], left.slip[:2]), Grip(left.peak[2:], left.slip[2:])
    front_near, rear_near = (None, None) if near is None else near
    front = find_axle_peak(front_grip, problem.shape, problem.toe, front_near)
    rear = find_axle_peak(rear_grip, problem.shape, near=rear_near)

    steer = wheelbase * np.cos(place.bank) / place.radius + front.slip - rear.slip
    new_yaw = (
        0.5 * numbers["track_rear"] * (lengthways[3] - lengthways[2])
        - (front.sides[1] - front.sides[0]) * np.sin(steer) * 0.5 * numbers["track_front"]
        - problem.yaw_inertia * problem.yaw_acceleration
    )
    needs = np.stack([mass * side * x_cg - yaw, mass * side * (wheelbase - x_cg) + yaw]) / wheelbase
    slip_drag = needs[0] * np.sin(front.slip) + needs[1] * np.sin(rear.slip)
    drag = 0.5 * place.air_density * problem.drag_area * squared + numbers["hysteresis"] * outputs[:4].sum(axis=0)
    new_forward = (lengthways.sum(axis=0) - drag - slip_drag) / mass
    with np.errstate(invalid="ignore"):  # tires that fight each other may have less than nothing: no number, no state
        margins = np.log(np.stack([front.capacity, rear.capacity]) / np.maximum(needs, SMALLEST_NEED))
    return Point(
        (new_forward - forward) / GRAVITY,
        (new_yaw - yaw) / (mass * GRAVITY * wheelbase),
        side,
        forward,
        yaw,
        outputs,
        lifted,
        front,
        rear,
        front_grip,
        rear_grip,
        margins,
        needs,
        lengthways,
        np.abs(asked) > most,
        squared,
    )


def road_lean(numbers: Numbers, outputs: Array) -> Array:
    """Lean of each tire to the road, top toward the inside of the turn [rad], (4, ...): camber, roll and travel."""
    return np.stack(
        [
            numbers["camber_lf"] - outputs[BODY_ROLL] - numbers["camber_gain_lf"] * outputs[6],
            -(numbers["camber_rf"] + outputs[BODY_ROLL] - numbers["camber_gain_rf"] * outputs[7]),
            -outputs[REAR_LEAN],
            -outputs[REAR_LEAN],
        ]
    )


def first_guess(problem: CornerProblem, shape: tuple[int, ...]) -> tuple[Array, Array]:
    """Start from the grip of the tire at its reference load, and from the Jacobian of a car whose loads do not move.

    The plain numbers in it come from solved cars on flat and steep tracks; they only save rounds.
    """
    numbers = problem.numbers
    demand = (problem.front_force + problem.rear_brake + problem.drive) / (problem.mass * GRAVITY)
    side = numbers["grip"] * problem.fixed_grip.mean(axis=0) * np.sqrt(np.maximum(1.0 - demand**2, 0.2))
    tangent = np.tan(problem.place.bank)
    side = 1.07 * side * (1.0 / np.cos(problem.place.bank)) / np.maximum(1.0 - 0.75 * side * tangent, 0.3)
    turning = -problem.yaw_inertia * problem.yaw_acceleration / (problem.mass * GRAVITY * numbers["wheelbase"])
    unknowns = np.stack([np.broadcast_to(value, shape) for value in (side, demand - 0.16 * side, turning)])
    inverse = np.zeros((3, 3, *shape))
    rise = 1.0 / unknowns[0] - 0.85 * tangent / (1.0 / np.cos(problem.place.bank) + unknowns[0] * tangent)
    inverse[0, 0] = -1.0 / np.maximum(rise, 0.1)
    inverse[1, 1] = inverse[2, 2] = -1.0
    return unknowns, inverse


def solve_limit(problem: CornerProblem, start: Limit | None = None, rounds: int | None = None) -> Limit:
    """Solve a batch to `TOLERANCE`, from a neighboring solution `start` if there is one.

    rounds: take just so many corrections from `start`; a point then counts as settled to `NEARLY`.
    The axle that gives up first is followed; where the other one turns out to have less left, the iteration changes
    over to it, so each step works on a smooth equation. A step that makes things worse throws away what was learned.
    """
    shape = np.broadcast_shapes(problem.fixed_grip.shape[1:], problem.front_force.shape, problem.law.fixed.shape[1:])
    if start is not None and rounds is not None:
        unknowns, inverse = start.unknowns, start.inverse
        point = evaluate(problem, unknowns, start.point.peaks)
        for _ in range(rounds):
            unknowns = unknowns + next_step(inverse, followed(point))
            point = evaluate(problem, unknowns, point.peaks)
    else:
        guess, first = first_guess(problem, shape)
        unknowns, inverse = (guess, first) if start is None else (start.unknowns.copy(), start.inverse.copy())
        size = int(np.prod(shape))
        few = int(FEW * size) if size >= LARGE else 0
        unknowns, inverse, point = improve(problem, unknowns, inverse, first, ROUNDS, few)
    balance = 100.0 * (point.margins[1] - point.margins[0])
    return Limit(point, balance, is_steady(point, STEADY if rounds is None else NEARLY), unknowns, inverse)


def is_steady(point: Point, most: float) -> Flags:
    """Whether the car can go on like this: no residual over `most`, at most one wheel up, none spun or locked."""
    settled = np.abs(followed(point)).max(axis=0) < most
    return np.asarray(settled & (point.lifted.sum(axis=0) < 2) & ~point.sliding.any(axis=0))


def improve(
    problem: CornerProblem, unknowns: Array, inverse: Array, first: Array, rounds: int, few: int
) -> tuple[Array, Array, Point]:
    """Take quasi-Newton steps until every point is solved; the last `few` that are not go on alone.

    first: inverse Jacobian to go back to. Returns unknowns, inverse Jacobians and the point there.
    """
    point = evaluate(problem, unknowns)
    for turn in range(rounds):
        rear_first = point.margins[1] < point.margins[0]
        miss = followed(point, rear_first)
        left = np.abs(miss).max(axis=0) >= TOLERANCE
        count = int(left.sum())
        if count == 0:
            break
        if count <= few:
            part = pick_points(problem, np.nonzero(left), left.shape)
            guess, known, back = (values[..., left][..., None, None, None, :] for values in (unknowns, inverse, first))
            alone, learned, _ = improve(part, guess, known, back, rounds - turn, 0)
            unknowns[:, left], inverse[:, :, left] = alone[:, 0, 0, 0], learned[:, :, 0, 0, 0]
            return unknowns, inverse, evaluate(problem, unknowns, point.peaks)
        step = next_step(inverse, miss)
        unknowns = unknowns + step
        point = evaluate(problem, unknowns, point.peaks)
        now = followed(point, rear_first)
        worse = np.abs(now).max(axis=0) > 2.0 * np.abs(miss).max(axis=0)
        inverse = np.where(worse, first, improve_inverse(inverse, step, now - miss))
    return unknowns, inverse, point


def next_step(inverse: Array, miss: Array) -> Array:
    """Change of the unknowns (3, ...) that takes away `miss`, held to a size that keeps its sense."""
    step = -(inverse[:, 0] * miss[0] + inverse[:, 1] * miss[1] + inverse[:, 2] * miss[2])
    return np.asarray(np.clip(step, -LARGEST_STEP, LARGEST_STEP))


def followed(point: Point, rear_first: Flags | None = None) -> Array:
    """The three residuals that count (3, ...): the followed axle's margin, forward and yaw balance.

    rear_first: which axle is followed; the one that has less left when not given.
    """
    if rear_first is None:
        rear_first = point.margins[1] < point.margins[0]
    return np.stack([np.where(rear_first, point.margins[1], point.margins[0]), point.forward_miss, point.yaw_miss])


def improve_inverse(inverse: Array, step: Array, change: Array) -> Array:
    """Broyden's update of the inverse Jacobian (3, 3, ...): H += (s - H y) s'H / (s'H y)."""
    gain = inverse[:, 0] * change[0] + inverse[:, 1] * change[1] + inverse[:, 2] * change[2]
    across = step[0] * inverse[0] + step[1] * inverse[1] + step[2] * inverse[2]
    scale = step[0] * gain[0] + step[1] * gain[1] + step[2] * gain[2]
    moving = np.abs(step).max(axis=0) > 1e-8  # a converged point only has rounding left to learn from
    safe = np.where(moving & (np.abs(scale) > 1e-30), scale, np.inf)
    return np.asarray(inverse + (step - gain)[:, None] * (across / safe)[None])


NUDGE = 1e-6
"""Change of an unknown for a derivative; unknowns are of size one, so rounding leaves ten good digits of the two."""


@dataclass(frozen=True, eq=False)
class Near:
    """A solved batch, its unknowns and the slips at its peaks, and its derivatives; cars on the last axis of all.

    front, rear: inverse Jacobians (3, 3, ...) that hold while that axle gives up first. balance: slope of balance [%]
    by each unknown (3, ...).
    """

    unknowns: Array
    peaks: Peaks
    front: Array
    rear: Array
    balance: Array


def look_near(problem: CornerProblem, limit: Limit) -> Near:
    """Take the derivatives of the four residuals at a solved batch."""
    peaks = limit.point.peaks
    residual = evaluate(problem, limit.unknowns, peaks).residual  # as far toward the peaks as the nudged ones
    columns = []
    for unknown in range(3):
        nudged = limit.unknowns.copy()
        nudged[unknown] += NUDGE
        columns.append((evaluate(problem, nudged, peaks).residual - residual) / NUDGE)
    slopes = np.stack(columns, axis=1)
    last = np.moveaxis(slopes, (0, 1), (-2, -1))
    front, rear = (invert(last[..., rows, :]) for rows in ([0, 2, 3], [1, 2, 3]))
    return Near(limit.unknowns, peaks, front, rear, 100.0 * (slopes[1] - slopes[0]))


def solve_near(problem: CornerProblem, near: Near, rounds: int = 1) -> Limit:
    """Solve a batch that differs little from the one that was looked at.

    rounds: corrections with the whole car worked out anew; one more is made on the balance alone, along its slope.
    """
    unknowns, peaks = near.unknowns, near.peaks
    for _ in range(rounds):
        point = evaluate(problem, unknowns, peaks)
        unknowns, peaks = unknowns + correct(point, near), point.peaks
    point = evaluate(problem, unknowns, peaks)
    balance = 100.0 * (point.margins[1] - point.margins[0]) + (near.balance * correct(point, near)).sum(axis=0)
    steady = is_steady(point, NEARLY)
    return Limit(point, balance, steady, unknowns, near.front)


def correct(point: Point, near: Near) -> Array:
    """Newton's step of the unknowns (3, ...), held to a size that keeps its sense."""
    rear_first = point.margins[1] < point.margins[0]
    miss = followed(point, rear_first)
    inverse = np.where(rear_first, near.rear, near.front)
    return next_step(inverse, miss)


def invert(matrices: Array) -> Array:
    """Inverses of (..., 3, 3) as (3, 3, ...); no numbers for a matrix that has none, and so none for that car."""
    try:
        inverses = np.linalg.inv(matrices)
    except np.linalg.LinAlgError:
        with np.errstate(invalid="ignore"):
            none = ~(np.abs(np.linalg.det(matrices)) > 0.0)[..., None, None]
        inverses = np.where(none, np.nan, np.linalg.inv(np.where(none, np.eye(3), matrices)))
    return np.ascontiguousarray(np.moveaxis(inverses, (-2, -1), (0, 1)), dtype=np.float64)
