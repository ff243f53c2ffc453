"""What is fixed while a batch of corners is solved: loads law, grip, demands of the driver, what the engine gives.

Arrays broadcast over (stages, phases, ends, cars); corner and axle arrays carry their corner on the first axis.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.car.car import Engine
from assistant.physics.engine import wheel_power
from assistant.physics.gearing import engine_speed, overall_ratio
from assistant.physics.loads import LoadLaw, Place, aero_areas, over_phases_ends, write_load_law
from assistant.physics.numbers import Numbers
from assistant.physics.phases import Phases
from assistant.physics.rolling import locked_axle_slip
from assistant.physics.static import Rest, TireState, fill_air, stand_still
from assistant.physics.suspension import answer_pushes
from assistant.physics.tires import Air, CurveShape, steady_multiplier
from assistant.physics.values import GRAVITY, Array


@dataclass(frozen=True, eq=False)
class Problem:
    """Everything fixed while a batch is solved; arrays broadcast over (stages, phases, ends, cars).

    standing: tire loads of the car standing still now, fuel burned and tires as they are [N].
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
    mismatch: Array
    locked: Array
    front_force: Array
    rear_brake: Array
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
) -> Problem:
    """Prepare a batch: loads law, grip multipliers, demands. tires: arrays (4, stages, cars) and (stages, cars)."""
    rest = stand_still(numbers, tires)
    answers = answer_pushes(numbers, rest)
    law = write_load_law(numbers, rest, answers, phases, place, rows)
    mass, x_cg = over_phases_ends(rest.mass), over_phases_ends(rest.cg[0])
    weight = numbers["mass"] * GRAVITY
    radius = over_phases_ends(rest.radius)
    locked = np.stack([numbers[f"locked_{phase}"] for phase in ("entry", "middle", "exit")])[:, None, :]
    fixed = steady_multiplier(numbers, tires.temperature, tires.wear, 1.0)
    return Problem(
        numbers=numbers,
        rest=rest,
        law=law,
        standing=over_phases_ends(answers.at_rest[:4]),
        place=place,
        shape=curve,
        engine=engine,
        mass=mass,
        x_cg=x_cg,
        yaw_inertia=numbers["yaw_radius"] * mass * x_cg * (numbers["wheelbase"] - x_cg),
        air=fill_air(numbers, over_phases_ends(tires.pressure)),
        fixed_grip=over_phases_ends(fixed) * place.grip * trim_grip(numbers),
        mismatch=locked_axle_slip(radius[2], radius[3], place.radius, numbers["track_rear"], place.bank),
        locked=locked,
        front_force=-phases.brake * weight * numbers["brake_bias"],
        rear_brake=-phases.brake * weight * (1.0 - numbers["brake_bias"]),
        drive=phases.drive * weight,
        rear_radius=0.5 * (radius[2] + radius[3]),
        drag_area=aero_areas(numbers)[0],
        yaw_acceleration=phases.yaw_acceleration,
        toe=toe_offsets(numbers, place),
    )


def trim_grip(numbers: Numbers) -> Array:
    """Grip share of each tire from the trims between front and rear, (4, 1, phases, 1, cars); + helps the rear."""
    trim = np.stack([numbers[f"trim_{phase}"] for phase in ("entry", "middle", "exit")])[None, :, None, :]
    return np.stack([np.exp(sign * trim / 2.0) for sign in (-1.0, -1.0, 1.0, 1.0)])


def toe_offsets(numbers: Numbers, place: Place) -> Array:
    """Slip of the LF and RF beyond the front axle's own [rad], (2, 1, 1, ends, cars): toe-out and Ackermann.

    Toe-out is the difference across the tires, half on each. Full Ackermann turns the inner wheel further by L t / R^2.
    Both wheels are taken to run in one direction: near the limit the turn's center lies R sin(alpha_r) ahead of the
    rear axle, about abreast of the front one, and their paths differ by (L - R alpha_r) t / R^2, under 0.1 degree.
    """
    toe = numbers["toe"] / (2.0 * (numbers["radius_lf"] + numbers["radius_rf"]))
    inner = numbers["ackermann"] * numbers["wheelbase"] * numbers["track_front"] / place.radius**2 / 2.0
    return np.stack([toe + inner, -toe - inner])[:, None, None]


def drive_force(problem: Problem, speed: Array) -> Array:
    """Drive force at the tires [N]: what the driver asks for, no more than the engine gives in this gear at `speed`."""
    if problem.engine is None:
        return np.broadcast_to(problem.drive, speed.shape)
    overall = overall_ratio(problem.numbers["gear"], problem.numbers["final_drive"])
    power = wheel_power(problem.engine, engine_speed(speed, 2.0 * np.pi * problem.rear_radius, overall))
    return np.minimum(problem.drive, power / speed)


def pick_points(problem: Problem, index: tuple[NDArray[np.intp], ...], shape: tuple[int, ...]) -> Problem:
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
