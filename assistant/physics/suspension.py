"""The car on its springs: at rest, and how it answers a push, in seven linear degrees of freedom.

Reference point: on the ground, on the centerline, under the rear axle; x forward, y left, z up (ISO 8855).
Corner arrays carry the corner (LF, RF, LR, RR) on the first axis and the cars on the last.
At rest: masses, center of gravity and scale loads, with fuel burned off and tires as they are now.
Unknowns of the answer: body heave, roll, pitch; LF and RF travel; rear axle heave and roll. Elements: four springs, the
front sway bar, four tires. Every outside push is a generalized force on these seven, so loads and angles in a corner
are sums of the unit answers kept in `Answers`; nothing is solved again per corner.
Signs: heave up, roll to the right +, nose down +, travel up +. A body point (x, y) rises z + y roll - x pitch.
Valid for small angles and linear springs; bump stops and coil bind are outside.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.car.car import corner_loads
from assistant.ground.names import CORNER_KEYS
from assistant.ground.quantities import GRAVITY
from assistant.physics.car_and_driver import Numbers, by_car
from assistant.physics.formulas import Array, torsion_bar_rate, wheel_rate
from assistant.physics.line import CornerLine
from assistant.physics.tire_grip import Air


@dataclass(frozen=True, eq=False)
class TireState:
    """Tires and fuel at one moment of the run; corner arrays are (4, ..., cars) and may broadcast.

    pressure: hot gauge pressure [Pa]. temperature: the tread's skin [K], (4, stages, phases, ends, cars) or with ones.
    wear: share of the usable tread gone (0-1). age: time run at its best temperature [s]. warmth: tread temperature
    above that at the scales [K] (makes tires grow). fuel_burned: since the scales [kg]. line: driven then.
    """

    pressure: Array
    temperature: Array
    wear: Array
    age: Array
    warmth: Array
    fuel_burned: Array
    line: CornerLine


@dataclass(frozen=True, eq=False)
class Rest:
    """The car at rest. Arrays are (..., cars), corner arrays (4, ..., cars).

    mass, sprung, unsprung_front, unsprung_rear [kg]; cg: x, y, z of the whole car [m]; body: of the sprung mass.
    scale_loads: on the scales [N], before fuel and pressures changed. tire_rate [N/m].
    lift: how far each tire has grown, stiffened and worn since the scales: displacement it forces on its corner [m].
    radius: free rolling radius now [m]. fuel: burned since the scales [kg].
    """

    mass: Array
    sprung: Array
    cg: Array
    body: Array
    scale_loads: Array
    tire_rate: Array
    lift: Array
    radius: Array
    fuel: Array


def frame_raised(numbers: Numbers) -> tuple[Array, Array]:
    """How far the frame was raised since the scales, front and rear [m]."""
    return (
        numbers["ride_height_front"] - numbers["weighed_ride_height_front"],
        numbers["ride_height_rear"] - numbers["weighed_ride_height_rear"],
    )


def per_corner(numbers: Numbers, name: str) -> Array:
    """Stack a per-corner number as (4, cars)."""
    return np.stack([numbers[f"{name}_{corner}"] for corner in CORNER_KEYS])


def tire_radius(numbers: Numbers) -> Array:
    """Free radius at cold pressure as the car was set up [m], (4, cars): RR from LR and the stagger lever.

    Stagger is a difference of circumferences, so the radii differ by stagger / 2 pi. The other sizes are stated at
    `pressure_ref`; the tenths of a millimeter from there to the cold pressure are left out.
    """
    radius = per_corner(numbers, "radius")
    radius[3] = radius[2] + numbers["stagger"] / (2.0 * np.pi)
    return radius


def spread_out(values: Array, ndim: int) -> Array:
    """Put length-1 axes between the corner axis and the car axis until there are `ndim` axes."""
    return values.reshape(values.shape[0], *(1,) * (ndim - values.ndim), *values.shape[1:])


def fill_air(numbers: Numbers, pressure: Array) -> Air:
    """Put hot pressures [Pa], (4, ..., cars), beside the best ones of the same tires."""
    best, load = (spread_out(per_corner(numbers, name), pressure.ndim) for name in ("best_pressure", "best_load"))
    return Air(pressure, best, load)


def stand_still(numbers: Numbers, tires: TireState) -> Rest:
    """Find masses, centers of gravity and what the tires have done to the corners since the scales.

    Fuel burned takes its mass away at the tank, so m, x, y and z of the whole car and of the body move together. Tread
    worn off makes a tire smaller by its depth; one worn past its tread stays as it is.
    """
    wheelbase, mass0 = numbers["wheelbase"], numbers["mass"]
    shares = (numbers["nose_weight"], numbers["left_weight"], numbers["cross_weight"])
    loads = np.stack(corner_loads(mass0 * GRAVITY, *shares))
    front_up, rear_up = frame_raised(numbers)
    x0 = numbers["nose_weight"] * wheelbase
    y0 = (numbers["track_front"] * (loads[0] - loads[1]) + numbers["track_rear"] * (loads[2] - loads[3])) / (
        2.0 * mass0 * GRAVITY
    )
    ballast_up = numbers["ballast_rise"] - numbers["weighed_ballast_rise"]
    z0 = numbers["cg_height"] + numbers["ballast_mass"] / mass0 * ballast_up
    unsprung_front, unsprung_rear = numbers["unsprung_front"], numbers["unsprung_rear"]
    sprung0 = mass0 - unsprung_front - unsprung_rear
    lifted = (front_up * x0 + rear_up * (wheelbase - x0)) / wheelbase
    z0 = z0 + lifted * sprung0 / mass0

    burned = tires.fuel_burned
    mass = mass0 - burned
    tank = (numbers["tank_x"], numbers["tank_y"], numbers["tank_z"])
    cg = np.stack(
        np.broadcast_arrays(*[(mass0 * at - burned * spot) / mass for at, spot in zip((x0, y0, z0), tank, strict=True)])
    )
    sprung = mass - unsprung_front - unsprung_rear
    body = np.stack(
        [
            (mass * cg[0] - unsprung_front * wheelbase) / sprung,
            mass * cg[1] / sprung,
            (
                mass * cg[2]
                - unsprung_front * numbers["unsprung_height_front"]
                - unsprung_rear * numbers["unsprung_height_rear"]
            )
            / sprung,
        ]
    )
    cold = spread_out(per_corner(numbers, "weighed_pressure"), tires.pressure.ndim)
    rate_cold = numbers["rate"] + numbers["rate_pressure"] * (cold - numbers["pressure_ref"])
    rate = numbers["rate"] + numbers["rate_pressure"] * (tires.pressure - numbers["pressure_ref"])
    free = spread_out(tire_radius(numbers), tires.pressure.ndim)
    worn = numbers["tread"] * np.minimum(tires.wear, 1.0)
    grown = numbers["growth"] * (tires.pressure - cold) + free * numbers["stretch"] * tires.warmth - worn
    grown_all = np.broadcast_arrays(grown, rate)[0]
    loads_all = spread_out(loads, grown_all.ndim)
    return Rest(
        mass=mass,
        sprung=sprung,
        cg=cg,
        body=body,
        scale_loads=loads_all,
        tire_rate=rate,
        lift=grown_all + loads_all / rate_cold - loads_all / rate,
        radius=free + grown,
        fuel=burned,
    )


HEAVE, ROLL, PITCH, LF, RF, AXLE, AXLE_ROLL = range(7)
N_LF, N_RF, N_LR, N_RR, BODY_ROLL, REAR_LEAN, RISE_LF, RISE_RF, RISE_LR, RISE_RR = range(10)
"""Rows of every answer: four tire loads [N], body and axle roll [rad], travel of four corners into bump [m]."""


@dataclass(frozen=True, eq=False)
class Answers:
    """What unit pushes do; arrays are (10, ..., cars), rows as named above.

    normal: per m/s2 of road-normal acceleration beyond gravity. sideways: per m/s2 toward the left.
    front_side, rear_side: per newton of front and rear tire side force (toward the left).
    lengthways: per m/s2 forward, as felt at the whole-car center of gravity. anti_dive: the links' part, per m/s2.
    prop: per N m of propeller-shaft torque. links: (2, ...) LR and RR, per newton of vertical link force.
    aero: (2, ...) front and rear, per newton of downforce. shocks: (4, ...) per newton of shock force, bump +.
    contact: (4, ...) per newton pushing a wheel up from outside. roll: per N m of body roll moment.
    tip: newton meters of roll moment per radian of roll per m/s2 of normal acceleration: gravity on the rolled body.
    at_rest: loads and angles standing still now, scales plus fuel burned, tire growth and bar preload.
    """

    normal: Array
    sideways: Array
    front_side: Array
    rear_side: Array
    lengthways: Array
    anti_dive: Array
    prop: Array
    links: Array
    aero: Array
    shocks: Array
    contact: Array
    roll: Array
    tip: Array
    at_rest: Array


def answer_pushes(numbers: Numbers, rest: Rest) -> Answers:
    """Solve the seven degrees of freedom for every unit push. Shapes: rest arrays (..., cars)."""
    shape = np.broadcast_shapes(rest.mass.shape, rest.tire_rate.shape[1:])
    springs = wheel_rates(numbers)
    half_front, half_rear = numbers["track_front"] / 2.0, numbers["track_rear"] / 2.0
    spring_half = numbers["spring_base"] / 2.0
    wheelbase = numbers["wheelbase"]
    stretch = element_rows(wheelbase.shape, wheelbase, half_front, spring_half, half_rear)
    rates = np.stack(np.broadcast_arrays(*springs, *rest.tire_rate, np.zeros(shape))[:9], axis=-1)
    stiffness = np.matmul(np.swapaxes(stretch, -1, -2), rates[..., None] * stretch)
    outputs = output_rows(stretch, rates, shape)
    answers = np.matmul(outputs, by_car(np.linalg.inv, stiffness))
    unit = np.ascontiguousarray(np.moveaxis(answers, (-2, -1), (0, 1)))  # cars last in memory as in all that follows
    return combine(numbers, rest, unit, springs[4])


def wheel_rates(numbers: Numbers) -> list[Array]:
    """Wheel rates [N/m]: LF, RF at the wheel; LR, RR at their springs (solid axle); front bar per wheel difference."""
    ratio = numbers["spring_ratio_front"]
    bar = torsion_bar_rate(numbers["front_bar"], numbers["bar_bore"], numbers["bar_length"], numbers["bar_arm"])
    return [
        wheel_rate(numbers["spring_lf"], ratio),
        wheel_rate(numbers["spring_rf"], ratio),
        numbers["spring_lr"],
        numbers["spring_rr"],
        wheel_rate(bar, numbers["bar_ratio"]),
    ]


def element_rows(
    shape: tuple[int, ...], wheelbase: Array, half_front: Array, spring_half: Array, half_rear: Array
) -> Array:
    """Stretch of the nine elements per unit of each unknown, (..., cars, 9, 7): springs, bar, then tires."""
    rows = np.zeros((*shape, 9, 7))
    for row, side, wheel in ((0, 1.0, LF), (1, -1.0, RF)):
        rows[..., row, HEAVE], rows[..., row, ROLL], rows[..., row, PITCH] = -1.0, -side * half_front, wheelbase
        rows[..., row, wheel] = 1.0
        rows[..., 5 + row, wheel] = -1.0
    for row, side in ((2, 1.0), (3, -1.0)):
        rows[..., row, HEAVE], rows[..., row, ROLL] = -1.0, -side * spring_half
        rows[..., row, AXLE], rows[..., row, AXLE_ROLL] = 1.0, side * spring_half
        rows[..., 5 + row, AXLE], rows[..., 5 + row, AXLE_ROLL] = -1.0, -side * half_rear
    rows[..., 4, :] = rows[..., 0, :] - rows[..., 1, :]
    return rows


def output_rows(stretch: Array, rates: Array, shape: tuple[int, ...]) -> Array:
    """Loads, angles and corner travels per unit of each unknown, (..., cars, 10, 7)."""
    rows = np.zeros((*shape, 10, 7))
    rows[..., :4, :] = rates[..., 5:, None] * stretch[..., 5:, :]
    rows[..., BODY_ROLL, ROLL] = 1.0
    rows[..., REAR_LEAN, AXLE_ROLL] = 1.0
    rows[..., RISE_LF:, :] = stretch[..., :4, :]
    return rows


def combine(numbers: Numbers, rest: Rest, unit: Array, bar_rate: Array) -> Answers:
    """Turn unit answers (10, 7, ..., cars) into answers to the pushes of a corner.

    A push (Fx, Fy, Fz) at (x, y, z) on the body does Fz in heave, y Fz - z Fy in roll and z Fx - x Fz in pitch.
    """
    u = [unit[:, column] for column in range(7)]
    wheelbase, half_front, half_rear = numbers["wheelbase"], numbers["track_front"] / 2.0, numbers["track_rear"] / 2.0
    body_x, body_y, body_z = rest.body
    light, axle = numbers["unsprung_front"], numbers["unsprung_rear"]
    front_up, rear_up = frame_raised(numbers)
    front_center = numbers["front_roll_center"] + front_up

    couple_front = (u[LF] - u[RF]) / (2.0 * half_front)
    front_side = -front_center * u[ROLL] + front_center * couple_front
    rear_side, rear_center = push_track_bar(numbers, u, rear_up)
    normal = (
        -rest.sprung * (u[HEAVE] + body_y * u[ROLL] - body_x * u[PITCH])
        - light / 2.0 * (u[LF] + u[RF])
        - axle * u[AXLE]
    )
    sideways = (
        rest.sprung * body_z * u[ROLL]
        + light * (numbers["unsprung_height_front"] * couple_front - front_side)
        + axle * (numbers["unsprung_height_rear"] * u[AXLE_ROLL] - rear_side)
    )
    height = rest.cg[2]
    pair = [
        corner_pair(u, wheelbase, half_front, LF),
        corner_pair(u, wheelbase, -half_front, RF),
        axle_pair(u, numbers["shock_base"] / 2.0),
        axle_pair(u, -numbers["shock_base"] / 2.0),
    ]
    anti = (
        -(rest.mass * height / wheelbase)
        / 2.0
        * (numbers["anti_dive_lf"] * pair[0] + numbers["anti_dive_rf"] * pair[1])
    )
    contact = [u[LF], u[RF], u[AXLE] + half_rear * u[AXLE_ROLL], u[AXLE] - half_rear * u[AXLE_ROLL]]
    roll_axis = rear_center + (front_center - rear_center) * body_x / wheelbase
    preload = (numbers["bar_screw"] - numbers["weighed_bar_screw"]) * numbers["bar_lead"] / numbers["bar_ratio"]
    return Answers(
        normal=normal,
        sideways=sideways,
        front_side=front_side,
        rear_side=rear_side,
        lengthways=-rest.mass * height * u[PITCH],
        anti_dive=anti,
        prop=u[ROLL] - u[AXLE_ROLL],
        links=np.stack([axle_pair(u, numbers["link_base"] / 2.0), axle_pair(u, -numbers["link_base"] / 2.0)]),
        aero=np.stack([-(u[HEAVE] - wheelbase * u[PITCH]), -u[HEAVE]]),
        shocks=np.stack(pair),
        contact=np.stack(contact),
        roll=u[ROLL],
        tip=rest.sprung * (body_z - roll_axis),
        at_rest=stand_now(
            numbers,
            rest,
            u,
            contact,
            bar_rate * preload * (pair[1] - pair[0]) + leave_seats(numbers, rest, u, pair[:2]),
        ),
    )


def push_track_bar(numbers: Numbers, u: list[Array], rear_up: Array) -> tuple[Array, Array]:
    """Answer to one newton of rear tire side force through the track bar, and the bar's height on the centerline [m].

    The bar is a two-force member: its force acts along its line, so a tilted bar also carries
    V = F (z_axle - z_frame) / (y_axle - y_frame) up on the body at the frame end and down on the axle at the axle end.
    The roll moment of the whole car does not change. Source: statics of a two-force member.
    """
    axle_y, frame_y = numbers["track_bar_axle_y"], numbers["track_bar_frame_y"]
    axle_z, frame_z, slope = track_bar_line(numbers, rear_up)
    answer = (
        slope * u[HEAVE]
        + (frame_y * slope - frame_z) * u[ROLL]
        - slope * u[AXLE]
        + (axle_z - axle_y * slope) * u[AXLE_ROLL]
    )
    return answer, axle_z - axle_y * slope


def track_bar_line(numbers: Numbers, rear_up: Array | float = 0.0) -> tuple[Array, Array, Array]:
    """Height of the track bar's axle end and frame end [m], and its slope: rise per length toward the left.

    rear_up: rear frame height raised since the scales [m]; it takes the frame end along. Where the line crosses the
    centerline is the rear roll center: z_axle - y_axle slope.
    """
    left, right = numbers["track_bar_left"], numbers["track_bar_right"]
    axle_y, frame_y = numbers["track_bar_axle_y"], numbers["track_bar_frame_y"]
    axle_is_left = axle_y > frame_y
    axle_z = np.where(axle_is_left, left, right)
    frame_z = np.where(axle_is_left, right, left) + rear_up
    return axle_z, frame_z, (axle_z - frame_z) / (axle_y - frame_y)


def corner_pair(u: list[Array], wheelbase: Array, y: Array, wheel: int) -> Array:
    """Answer to an inside pair of forces at a front corner: one newton up on the body, one down on the wheel."""
    return u[HEAVE] + y * u[ROLL] - wheelbase * u[PITCH] - u[wheel]


def axle_pair(u: list[Array], y: Array) -> Array:
    """Answer to an inside pair at the rear axle, y left of the centerline: one newton up on the body, one down."""
    return u[HEAVE] + y * u[ROLL] - u[AXLE] - y * u[AXLE_ROLL]


def leave_seats(numbers: Numbers, rest: Rest, u: list[Array], front: list[Array]) -> Array:
    """Answer to springs swapped since the scales with their seats left alone; nothing where the car is re-scaled.

    A spring that carries F at rate k pushes F (k'/k - 1) more from the same seat at rate k'. F is what the corner's
    scale load leaves after the unsprung weight; at the rear, by the moment about the axle, at the spring base.
    """
    loads, light, axle = rest.scale_loads, numbers["unsprung_front"] * GRAVITY, numbers["unsprung_rear"] * GRAVITY
    lean = (loads[2] - loads[3]) * numbers["track_rear"] / numbers["spring_base"]
    both = loads[2] + loads[3] - axle
    carried = [loads[0] - light / 2.0, loads[1] - light / 2.0, (both + lean) / 2.0, (both - lean) / 2.0]
    half = numbers["spring_base"] / 2.0
    pairs = [*front, axle_pair(u, half), axle_pair(u, -half)]
    stiffer = [numbers[f"spring_{c}"] / numbers[f"weighed_spring_{c}"] - 1.0 for c in CORNER_KEYS]
    pushes = [load * more * pair for load, more, pair in zip(carried, stiffer, pairs, strict=True)]
    return np.asarray(numbers["seats_alone"] * (pushes[0] + pushes[1] + pushes[2] + pushes[3]))


def stand_now(numbers: Numbers, rest: Rest, u: list[Array], contact: list[Array], bar: Array) -> Array:
    """Loads and angles standing still: scale loads, less fuel at the tank, plus tire growth and added bar preload.

    A tire that grew by `lift` at rate k acts as an inside force k lift on its contact, whose own load rises by k lift.
    """
    fuel = (rest.fuel * GRAVITY) * (u[HEAVE] + numbers["tank_y"] * u[ROLL] - numbers["tank_x"] * u[PITCH])
    now = fuel + bar
    for corner in range(4):
        push = rest.tire_rate[corner] * rest.lift[corner]
        now = now + push * contact[corner]
        now[corner] += push
    now[:4] += rest.scale_loads
    return now
