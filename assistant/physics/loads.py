"""Tire loads and body angles in a corner as one straight-line law per car, phase and end.

Everything a corner pushes with is linear in four unknowns (side acceleration, yaw moment from the tires, forward
acceleration, propeller-shaft torque), so the unit answers are added up once. Two corrections are exact and closed
form: gravity on the rolled body (stiffness falls with normal acceleration) and a lifted wheel (its tire goes out of
the equations and the loads still sum).
Arrays are (rows, stages, phases, ends, cars); see `suspension` for the rows.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.physics.banking import normal_line
from assistant.physics.numbers import Numbers
from assistant.physics.phases import Phases
from assistant.physics.static import Rest, per_corner
from assistant.physics.suspension import BODY_ROLL, Answers
from assistant.physics.values import GRAVITY, Array

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
    """Force of each shock at the wheel (front) or its own base (rear) [N], bump +; (4, stages, 3, 1, cars).

    Compression speed of a body point is -(y roll_rate - (x - x_cg) pitch_rate); force is rate x speed, bump and
    rebound apart, zero without body motion. Valid for rates slower than about 0.3 s, not for bumps or curbs.
    """
    x_cg = over_phases_ends(rest.cg[0])
    front, rear = numbers["track_front"] / 2.0, numbers["shock_base"] / 2.0
    base = per_corner(numbers, "shock_base_rate")
    bump = base + per_corner(numbers, "click_bump") * per_corner(numbers, "bump")
    rebound = base + per_corner(numbers, "click_rebound") * per_corner(numbers, "rebound")
    ratio = numbers["shock_ratio_front"] ** 2
    forces = []
    for corner, y in enumerate((front, -front, rear, -rear)):
        ahead = (numbers["wheelbase"] if corner < 2 else 0.0) - x_cg
        speed = -(y * phases.roll_rate - ahead * phases.pitch_rate)
        at_wheel = ratio if corner < 2 else 1.0
        forces.append(at_wheel * np.where(speed > 0.0, bump[corner], rebound[corner]) * speed)
    return np.stack(np.broadcast_arrays(*forces))


def aero_areas(numbers: Numbers) -> tuple[Array, Array, Array]:
    """Drag area, front and rear downforce areas [m2]: the bare car's, plus spoiler angle and nose lever."""
    spoiler, nose = numbers["rear_spoiler"], numbers["nose_tape"]
    return (
        numbers["drag_area"] + numbers["spoiler_drag"] * spoiler,
        numbers["front_lift_area"] + numbers["nose_lift"] * nose,
        numbers["rear_lift_area"] + numbers["spoiler_lift"] * spoiler,
    )


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
    drag, front_area, rear_area = aero_areas(numbers)
    aero = (
        0.5
        * place.air_density
        * (
            front_area * over_phases_ends(answers.aero[0][:rows])
            + rear_area * over_phases_ends(answers.aero[1][:rows])
            + drag / mass * forward
        )
    )
    normal_fixed, normal_side = normal_line(place.bank)
    cosine, sine = np.cos(place.bank), np.sin(place.bank)
    fixed = (
        over_phases_ends(answers.at_rest[:rows])
        + normal * (normal_fixed - GRAVITY)
        + aero * (place.radius * GRAVITY * sine / cosine)
    )
    shocks = shock_forces(numbers, rest, phases)
    for corner in range(4):
        fixed = fixed + over_phases_ends(answers.shocks[corner][:rows]) * shocks[corner]
    thrust = numbers["mass"] * GRAVITY * (phases.drive - phases.brake * (1.0 - numbers["brake_bias"]))
    for side, lever in enumerate(("link_angle_lr", "link_angle_rr")):
        lean = np.tan(numbers[lever] * numbers["link_per_hole"])
        fixed = fixed + over_phases_ends(answers.links[side][:rows]) * (0.5 * thrust * lean)
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
    out = law.fixed + law.side * side + law.yaw * yaw + law.forward * forward + law.prop * prop
    tip = law.tip * (law.normal_fixed + law.normal_side * side)
    give = 1.0 - tip * law.roll[BODY_ROLL]
    out += law.roll * (tip * out[BODY_ROLL] / give)
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
