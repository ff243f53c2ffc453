"""What is fixed while a corner is solved: the law of the tire loads, grip, the driver's demands, the engine.

Everything a corner pushes with is linear in four unknowns (side acceleration, yaw moment from the tires, forward
acceleration, propeller-shaft torque), so the unit answers of the suspension are added up once, per car, phase and end.
Two corrections are exact and closed form: gravity on the rolled body (stiffness falls with normal acceleration) and a
lifted wheel (its tire goes out of the equations and the loads still sum).
Arrays broadcast over (stages, phases, ends, cars); corner and axle arrays carry their corner on the first axis, load
laws the rows of `suspension`.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.car.car import Engine
from assistant.ground.names import PHASES
from assistant.ground.quantities import GRAVITY
from assistant.physics.car_and_driver import Numbers, Phases
from assistant.physics.formulas import (
    Array,
    engine_speed,
    locked_axle_slip,
    normal_line,
    overall_ratio,
    rolling_radius,
    wheel_power,
)
from assistant.physics.line import ENTRY, KEPT_THROTTLE, MIDDLE, CornerLine
from assistant.physics.suspension import (
    BODY_ROLL,
    Answers,
    Rest,
    TireState,
    answer_pushes,
    fill_air,
    per_corner,
    stand_still,
)
from assistant.physics.tire_grip import Air, CurveShape, steady_multiplier

Flags = NDArray[np.bool_]
ROWS = 8
"""Rows the solver needs: four loads, body roll, rear lean, LF and RF rise; the rest is added at the end."""


@dataclass(frozen=True, eq=False)
class Place:
    """The ends of the track and the air. radius [m], bank [rad]: (ends, 1). grip: surface. air_density [kg/m3]."""

    radius: Array
    bank: Array
    grip: Array
    air_density: Array


@dataclass(frozen=True, eq=False)
class LoadLaw:
    """outputs = fixed + side a_y + yaw M_z + forward a_x + prop T_p, then the two corrections.

    The arrays are (rows, stages, phases, ends, cars) and broadcast. tip, normal_fixed, normal_side give the gravity
    term; roll and contact are its unit answers and those of a wheel taken away.
    """

    fixed: Array
    side: Array
    yaw: Array
    forward: Array
    prop: Array
    roll: Array
    contact: Array
    tip: Array
    normal_fixed: Array
    normal_side: Array


def over_phases_ends(values: Array) -> Array:
    """Give (..., stages, cars) arrays room for the phases and ends axes: (..., stages, 1, 1, cars)."""
    return values[..., None, None, :]


def shock_forces(numbers: Numbers, rest: Rest, phases: Phases) -> Array:
    """Force of each shock at the wheel (front) or its own base (rear) [N], compression +; (4, stages, 3, 1, cars).

    Compression speed of a body point is -(y roll_rate - (x - x_cg) pitch_rate); force is rate x speed,
    compression and rebound apart, zero without body motion. Valid for rates slower than about 0.3 s, not for bumps
    or curbs.
    """
    x_cg = over_phases_ends(rest.cg[0])
    front, rear = numbers["track_front"] / 2.0, numbers["shock_base"] / 2.0
    base = per_corner(numbers, "shock_base_rate")
    compression = base + per_corner(numbers, "click_compression") * per_corner(numbers, "compression")
    rebound = base + per_corner(numbers, "click_rebound") * per_corner(numbers, "rebound")
    ratio = numbers["shock_ratio_front"] ** 2
    forces = []
    for corner, y in enumerate((front, -front, rear, -rear)):
        ahead = (numbers["wheelbase"] if corner < 2 else 0.0) - x_cg
        speed = -(y * phases.roll_rate - ahead * phases.pitch_rate)
        at_wheel = ratio if corner < 2 else 1.0
        forces.append(at_wheel * np.where(speed > 0.0, compression[corner], rebound[corner]) * speed)
    return np.stack(np.broadcast_arrays(*forces))


def aero_areas(numbers: Numbers) -> tuple[Array, Array, Array]:
    """Drag area, front and rear downforce areas [m2]: the bare car's, plus spoiler angle and nose lever."""
    spoiler, nose = numbers["rear_spoiler"], numbers["nose_tape"]
    return (
        numbers["drag_area"] + numbers["spoiler_drag"] * spoiler,
        numbers["front_lift_area"] + numbers["nose_lift"] * nose,
        numbers["rear_lift_area"] + numbers["spoiler_lift"] * spoiler,
    )


def air_forces(numbers: Numbers, place: Place) -> tuple[Array, Array, Array]:
    """Drag, front and rear downforce for each (m/s)^2 of speed [N s^2/m^2]: half the air density times the area."""
    drag, front, rear = (0.5 * place.air_density * area for area in aero_areas(numbers))
    return drag, front, rear


def write_load_law(
    numbers: Numbers, rest: Rest, answers: Answers, phases: Phases, place: Place, rows: int = ROWS
) -> LoadLaw:
    """Add up the unit answers for these phases and ends.

    On a bank a_n = g/cos(bank) + a_y tan(bank) and v^2 = R (a_y + g sin(bank))/cos(bank), so both are linear in a_y.
    """
    normal, sideways = over_phases_ends(answers.normal[:rows]), over_phases_ends(answers.sideways[:rows])
    front, rear = over_phases_ends(answers.front_side[:rows]), over_phases_ends(answers.rear_side[:rows])
    mass, x_cg = over_phases_ends(rest.mass), over_phases_ends(rest.cg[0])
    wheelbase = numbers["wheelbase"]
    braking = phases.brake > 0.0
    forward = over_phases_ends(answers.lengthways[:rows]) + braking * over_phases_ends(answers.anti_dive[:rows])
    drag, front_air, rear_air = air_forces(numbers, place)
    pressed, lifted = (over_phases_ends(each[:rows]) for each in answers.aero)
    aero = drag / mass * forward
    aero += front_air * pressed + rear_air * lifted
    normal_fixed, normal_side = normal_line(place.bank)
    cosine, sine = np.cos(place.bank), np.sin(place.bank)
    fixed = aero * (place.radius * GRAVITY * sine / cosine)
    fixed += over_phases_ends(answers.at_rest[:rows]) + normal * (normal_fixed - GRAVITY)
    fixed += sum(
        over_phases_ends(each[:rows]) * shock
        for each, shock in zip(answers.shocks, shock_forces(numbers, rest, phases), strict=True)
    )
    leans = (np.tan(numbers[lever] * numbers["link_per_hole"]) for lever in ("link_angle_lr", "link_angle_rr"))
    links = sum(over_phases_ends(each[:rows]) * lean for each, lean in zip(answers.links, leans, strict=True))
    fixed += links * (0.5 * numbers["mass"] * GRAVITY * (phases.drive - phases.brake * (1.0 - numbers["brake_bias"])))
    return LoadLaw(
        fixed=fixed,
        side=normal * normal_side
        + sideways
        + front * (mass * x_cg / wheelbase)
        + rear * (mass * (wheelbase - x_cg) / wheelbase)
        + aero * (place.radius / cosine),
        yaw=(rear - front) / wheelbase,
        forward=forward,
        prop=over_phases_ends(answers.prop[:rows]),
        roll=over_phases_ends(answers.roll[:rows]),
        contact=over_phases_ends(answers.contact[:, :rows]),
        tip=over_phases_ends(answers.tip),
        normal_fixed=normal_fixed,
        normal_side=normal_side,
    )


def find_loads(law: LoadLaw, side: Array, yaw: Array, forward: Array, prop: Array) -> tuple[Array, Flags]:
    """Loads and angles (rows, stages, phases, ends, cars) and which wheels are off the ground (4, ...).

    side, forward [m/s2], yaw [N m], prop [N m]: (stages, phases, ends, cars).
    """
    out = law.side * side
    out += law.fixed
    part = np.empty_like(out)
    for answer, push in ((law.yaw, yaw), (law.forward, forward), (law.prop, prop)):
        out += np.multiply(answer, push, out=part)
    tip = law.tip * (law.normal_fixed + law.normal_side * side)
    give = 1.0 - tip * law.roll[BODY_ROLL]
    out += np.multiply(law.roll, tip * out[BODY_ROLL] / give, out=part)
    off = out[:4] < 0.0
    if off.any():
        out, off = lift_wheels(law, out, off, tip / give)
    return out, off


def lift_wheels(law: LoadLaw, out: Array, off: Flags, tip: Array) -> tuple[Array, Flags]:
    """Take the most unloaded wheel's tire out of the equations where a load would be negative; loads still sum.

    An outside push P on the contact of wheel i changes the outputs by P h_i; its tire carries nothing when
    N_i + P + P h_ii = 0. A second wheel then off the ground is left at zero and reported: such a car has no steady
    state.
    """
    worst = np.argmin(out[:4], axis=0)
    pick = np.arange(4).reshape(4, *(1,) * worst.ndim) == worst
    contact = np.where(pick[:, None], np.broadcast_to(law.contact, (4, *out.shape)), 0.0).sum(axis=0)
    contact = contact + law.roll * (tip * contact[BODY_ROLL])
    low = np.minimum(np.where(pick, out[:4], 0.0).sum(axis=0), 0.0)
    own = np.where(pick, contact[:4], 0.0).sum(axis=0)
    push = -low / (1.0 + own)
    out = out + contact * push
    out[:4] = np.where(pick & (low < 0.0), 0.0, out[:4])
    off = off & pick | (out[:4] < -1e-6)
    out[:4] = np.maximum(out[:4], 0.0)
    return out, off


@dataclass(frozen=True, eq=False)
class CornerProblem:
    """Everything fixed while a batch is solved; arrays broadcast over (stages, phases, ends, cars).

    standing: tire loads of the car standing still now, fuel burned and tires as they are [N]. rear_free, rear_rate:
    free radius [m] and rate [N/m] of both rear tires; rear_radius: mean of what they roll on standing [m].
    """

    numbers: Numbers
    rest: Rest
    law: LoadLaw
    standing: Array
    place: Place
    shape: CurveShape
    engine: Engine | None
    mass: Array
    x_cg: Array
    yaw_inertia: Array
    air: Air
    fixed_grip: Array
    rear_free: Array
    rear_rate: Array
    locked: Array
    front_force: Array
    rear_brake: Array
    full_brake: Array
    drive: Array
    rear_radius: Array
    drag_area: Array
    yaw_acceleration: Array
    toe: Array


def set_problem(
    numbers: Numbers,
    tires: TireState,
    phases: Phases,
    place: Place,
    curve: CurveShape,
    engine: Engine | None,
    rows: int = 8,
) -> CornerProblem:
    """Prepare a batch: loads law, grip multipliers, demands. tires: arrays (4, stages, cars) and (stages, cars)."""
    rest = stand_still(numbers, tires)
    answers = answer_pushes(numbers, rest)
    full_brake = -phases.brake[..., ENTRY : ENTRY + 1, :, :] * numbers["mass"] * GRAVITY
    phases, place = drive_line(phases, place, tires.line)
    law = write_load_law(numbers, rest, answers, phases, place, rows)
    mass, x_cg = over_phases_ends(rest.mass), over_phases_ends(rest.cg[0])
    weight = numbers["mass"] * GRAVITY
    locked = np.stack([numbers[f"locked_{phase}"] for phase in PHASES])[:, None, :]
    standing = over_phases_ends(answers.at_rest[:4])
    rear_free, rear_rate = over_phases_ends(rest.radius[2:]), over_phases_ends(rest.tire_rate[2:])
    fixed = steady_multiplier(numbers, tires.temperature, *map(over_phases_ends, (tires.wear, tires.age)))
    return CornerProblem(
        numbers=numbers,
        rest=rest,
        law=law,
        standing=standing,
        place=place,
        shape=curve,
        engine=engine,
        mass=mass,
        x_cg=x_cg,
        yaw_inertia=numbers["yaw_radius"] * mass * x_cg * (numbers["wheelbase"] - x_cg),
        air=fill_air(numbers, over_phases_ends(tires.pressure)),
        fixed_grip=fixed * place.grip * trim_grip(numbers),
        rear_free=rear_free,
        rear_rate=rear_rate,
        locked=locked,
        front_force=-phases.brake * weight * numbers["brake_bias"],
        rear_brake=-phases.brake * weight * (1.0 - numbers["brake_bias"]),
        full_brake=full_brake * np.stack([numbers["brake_bias"], 1.0 - numbers["brake_bias"]])[:, None, None, None],
        drive=phases.drive * weight,
        rear_radius=rolling_radius(rear_free, standing[2:], rear_rate, numbers["rolling_share"]).mean(axis=0),
        drag_area=aero_areas(numbers)[0],
        yaw_acceleration=phases.turning * tires.line.yaw,
        toe=toe_offsets(numbers, place),
    )


def drive_line(phases: Phases, place: Place, line: CornerLine) -> tuple[Phases, Place]:
    """Lay what the driver asks for, and the curves, along a line: arrays (moments, phases, ends, cars)."""
    share, phase = line.braking[:, None], np.arange(3).reshape(3, 1, 1)
    brake = phases.brake * np.maximum(share, 0.0)
    kept = (phase == ENTRY) * KEPT_THROTTLE * np.maximum(-share, 0.0)
    drive = phases.drive + kept + (phase == MIDDLE) * line.holding[:, None] / GRAVITY
    return replace(phases, brake=brake, drive=drive), replace(place, radius=place.radius / line.curve)


def roll_rear(problem: CornerProblem, load: Array) -> Array:
    """Radius both rear tires roll on at these loads (2, ...) [m]."""
    return rolling_radius(problem.rear_free, load, problem.rear_rate, problem.numbers["rolling_share"])


def find_mismatch(problem: CornerProblem, load: Array) -> Array:
    """Slip a locked rear axle forces between its tires at these loads (2, ...); see `locked_axle_slip`."""
    left, right = roll_rear(problem, load)
    return locked_axle_slip(left, right, problem.place.radius, problem.numbers["track_rear"], problem.place.bank)


def trim_grip(numbers: Numbers) -> Array:
    """Grip share of each tire from the trims between front and rear, (4, 1, phases, 1, cars); + helps the rear."""
    trim = np.stack([numbers[f"trim_{phase}"] for phase in PHASES])[None, :, None, :]
    return np.stack([np.exp(sign * trim / 2.0) for sign in (-1.0, -1.0, 1.0, 1.0)])


def toe_offsets(numbers: Numbers, place: Place) -> Array:
    """Slip of the LF and RF beyond the front axle's own [rad], (2, stages, phases, ends, cars): toe-out and Ackermann.

    Toe-out is the difference across the tires, half on each. Full Ackermann turns the inner wheel further by L t / R^2.
    Both wheels are taken to run in one direction: near the limit the turn's center lies R sin(alpha_r) ahead of the
    rear axle, about abreast of the front one, and their paths differ by (L - R alpha_r) t / R^2, under 0.1 degree.
    """
    toe = numbers["toe"] / (2.0 * (numbers["radius_lf"] + numbers["radius_rf"]))
    inner = numbers["ackermann"] * numbers["wheelbase"] * numbers["track_front"] / place.radius**2 / 2.0
    return np.stack([toe + inner, -toe - inner])


def drive_force(problem: CornerProblem, speed: Array) -> Array:
    """Drive force at the tires [N]: what the driver asks for, no more than the engine gives in this gear at `speed`."""
    if problem.engine is None:
        return np.broadcast_to(problem.drive, speed.shape)
    overall = overall_ratio(problem.numbers["gear"], problem.numbers["final_drive"])
    power = wheel_power(problem.engine, engine_speed(speed, 2.0 * np.pi * problem.rear_radius, overall))
    return np.minimum(problem.drive, power / speed)


def pick_points(problem: CornerProblem, index: tuple[NDArray[np.intp], ...], shape: tuple[int, ...]) -> CornerProblem:
    """Take single points out of a batch of `shape` (stages, phases, ends, cars); they lie along the cars axis.

    index: stage, phase, end and car of every point. What is not used while solving (`rest`) stays as it was.
    """
    flat = np.ravel_multi_index(index, shape)

    def pick(values: Array) -> Array:
        before = values.shape[: max(values.ndim - 4, 0)]  # rows and corners
        return np.broadcast_to(values, before + shape).reshape(*before, -1)[..., None, None, None, flat]

    def pick_all(record: Any) -> dict[str, Any]:
        named = {field.name: getattr(record, field.name) for field in fields(record)}
        return {name: pick(value) for name, value in named.items() if isinstance(value, np.ndarray)}

    return replace(
        problem,
        numbers={name: pick(value) for name, value in problem.numbers.items()},
        law=replace(problem.law, **pick_all(problem.law)),
        place=replace(problem.place, **pick_all(problem.place)),
        air=replace(problem.air, **pick_all(problem.air)),
        **pick_all(problem),
    )
