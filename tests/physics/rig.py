"""A round-numbered invented car as named arrays, and short ways to ask the model about it.

Every number may be replaced by name. A lever given to `car` is also its value on the scales; `move` moves it after.
"""

import dataclasses

import numpy as np

from assistant.car.car import Car, Engine, Tire
from assistant.car.case import Setup
from assistant.physics.car_and_driver import MEMBERS, Phases, collect_numbers
from assistant.physics.corner_problem import Place, find_loads, set_problem, write_load_law
from assistant.physics.cornering import solve_limit
from assistant.physics.line import CornerLine
from assistant.physics.suspension import TireState, answer_pushes, stand_still
from assistant.physics.tire_grip import shape_curve

G = 9.80665
CORNERS = ("lf", "rf", "lr", "rr")

CAR = {
    "mass": 1300.0,
    "wheelbase": 2.7,
    "track_front": 1.6,
    "track_rear": 1.6,
    "cg_height": 0.40,
    "ballast_mass": 50.0,
    "unsprung_front": 90.0,
    "unsprung_rear": 160.0,
    "unsprung_height_front": 0.34,
    "unsprung_height_rear": 0.34,
    "spring_ratio_front": 0.7,
    "shock_ratio_front": 0.7,
    "spring_base": 1.1,
    "shock_base": 1.15,
    "link_base": 1.0,
    "bar_length": 0.95,
    "bar_arm": 0.3,
    "bar_ratio": 0.6,
    "bar_bore": 0.0,
    "bar_lead": 0.0014,
    "track_bar_axle_y": 0.4,
    "track_bar_frame_y": -0.5,
    "camber_gain_lf": 0.55,
    "camber_gain_rf": 0.75,
    "anti_dive_lf": 0.15,
    "anti_dive_rf": 0.10,
    "link_per_hole": 0.03,
    **{f"click_compression_{corner}": 110.0 for corner in CORNERS},
    **{f"click_rebound_{corner}": 190.0 for corner in CORNERS},
    **{f"shock_base_rate_{corner}": 1500.0 for corner in CORNERS},
    "locked_entry": 1.0,
    "locked_middle": 1.0,
    "locked_exit": 1.0,
    "drag_area": 1.0,
    "front_lift_area": 0.1,
    "rear_lift_area": 0.2,
    "spoiler_lift": 0.3,
    "spoiler_drag": 0.15,
    "nose_lift": 0.01,
    "tank_x": -0.76,
    "tank_y": 0.08,
    "tank_z": 0.38,
    "tank_volume": 0.07,
    "fuel_density": 745.0,
    "fuel_on_scales": 34.0,
    "yaw_radius": 1.0,
    "steering_lock": 0.47,
    "ackermann": 0.0,
}
TIRE = {
    "rolling_share": 1.0 / 3.0,
    "radius_lf": 0.340,
    "radius_rf": 0.349,
    "radius_lr": 0.340,
    "radius_rr": 0.348,
    "pressure_ref": 1.4e5,
    "load_ref": 6000.0,
    "grip": 1.04,
    "load_exponent": 0.83,
    "grip_long": 1.05,
    "peak_slip": 0.105,
    "peak_slip_growth": 0.2,
    "shape_c": 1.3,
    "shape_e": -1.4,
    "stiffness_pressure": 0.2,
    "rate": 1.9e5,
    "rate_pressure": 0.6,
    "growth": 4.5e-8,
    "best_pressure": 2.05e5,
    "best_pressure_load": 17.0,
    "pressure_grip": 0.5,
    "wear_pressure": 2.0e4,
    "best_camber": 0.05,
    "camber_grip": 10.0,
    "best_temperature": 366.0,
    "temperature_grip": 3e-5,
    "worn_grip": 0.25,
    "tread": 0.005,
    "wear_rate": 9e-11,
    "heat_capacity": 9000.0,
    "cooling_still": 20.0,
    "cooling_speed": 3.0,
    "heat_share": 0.5,
    "hysteresis": 0.015,
    "gas_lag": 300.0,
    "gas_share": 1.0,
    "stretch": 3e-5,
    "wear_off_pressure": 6.0,
    "wear_overheat": 0.01,
}
SETUP = {
    "cross_weight": 0.51,
    "nose_weight": 0.505,
    "left_weight": 0.56,
    "ballast_rise": 0.2,
    "spring_lf": 60e3,
    "spring_rf": 70e3,
    "spring_lr": 35e3,
    "spring_rr": 39e3,
    "front_bar": 0.026,
    "bar_screw": 0.0,
    **{f"compression_{corner}": 4.0 for corner in CORNERS},
    **{f"rebound_{corner}": 5.0 for corner in CORNERS},
    "track_bar_left": 0.254,
    "track_bar_right": 0.267,
    "stagger": 0.048,
    "rear_axle_lead": 0.0,
    "link_angle_lr": 1.0,
    "link_angle_rr": 0.0,
    "camber_lf": 0.044,
    "camber_rf": -0.052,
    "caster_split": 0.044,
    "toe": 0.003,
    "ride_height_front": 0.10,
    "ride_height_rear": 0.13,
    "front_roll_center": 0.05,
    "steering_box": 12.0,
    "pressure_lf": 1.1e5,
    "pressure_rf": 1.65e5,
    "pressure_lr": 1.1e5,
    "pressure_rr": 1.5e5,
    "brake_bias": 0.64,
    "rear_spoiler": 1.0,
    "nose_tape": 2.0,
    "gear": 1.0,
    "final_drive": 5.43,
    "fuel_at_green": 0.045,
}
TWIN = {
    "cross_weight": 0.5,
    "left_weight": 0.5,
    "spring_rf": 60e3,
    "spring_rr": 35e3,
    "track_bar_right": 0.254,
    "stagger": 0.0,
    "link_angle_lr": 0.0,
    "tank_y": 0.0,
    "camber_lf": 0.0,
    "camber_rf": 0.0,
    "camber_gain_lf": 0.65,
    "camber_gain_rf": 0.65,
    "toe": 0.0,
    "anti_dive_rf": 0.15,
    **{f"pressure_{corner}": 1.4e5 for corner in CORNERS},
    **{f"radius_{corner}": 0.34 for corner in CORNERS},
}
"""What makes the car alike left and right."""
NO_AIR = dict.fromkeys(
    ("drag_area", "front_lift_area", "rear_lift_area", "spoiler_lift", "spoiler_drag", "nose_lift"), 0.0
)
NO_SHOCKS = {
    f"{kind}_{corner}": 0.0 for corner in CORNERS for kind in ("click_compression", "click_rebound", "shock_base_rate")
}
EQUAL_BASES = {"spring_base": 1.6, "shock_base": 1.6, "front_bar": 0.0}
"""Rear springs and shocks at the wheels and no bar: four corners with rates of their own."""


def car(**changes):
    """Named numbers of one car, arrays of shape (1,); unknown names are refused."""
    values = CAR | TIRE | SETUP
    unknown = set(changes) - set(values)
    assert not unknown, unknown
    values |= changes
    setup = Setup("rig", {lever: float(values[lever]) for lever in SETUP})
    return collect_numbers(fill(Car, values), fill(Tire, values), setup)


def fill(kind, values):
    """Make a Car or a Tire of named numbers, per-corner and per-phase ones gathered into tuples."""
    given = {"name": "rig"}
    for entry in dataclasses.fields(kind):
        if entry.name in values:
            given[entry.name] = float(values[entry.name])
        for members in MEMBERS.values():
            names = [f"{entry.name}_{member}" for member in members]
            if set(names) <= set(values):
                given[entry.name] = tuple(float(values[name]) for name in names)
    if kind is Car:
        given["engine"] = Engine((4000.0, 7000.0), (2.5e5, 3.2e5), 7500.0, 0.86, (1.0,), 8.4e-8)
    return kind(**given)


def move(numbers, **changes):
    """Add to named numbers, leaving the scales as they were."""
    return numbers | {name: numbers[name] + change for name, change in changes.items()}


EVEN_LINE = CornerLine(
    curve=np.ones((1, 3, 1, 1)), braking=np.ones((1, 1, 1)), holding=np.zeros((1, 1, 1)), yaw=np.ones((1, 3, 1, 1))
)
"""A corner of one radius with all the brake asked for, in which `turning` is the acceleration in yaw [rad/s2]."""


def cold_tires(numbers, **changes):
    """One stage, pressures as on the scales, treads at their best temperature, nothing worn or burned."""
    pressure = np.stack([numbers[f"weighed_pressure_{corner}"] for corner in CORNERS])[:, None, :]
    state = TireState(
        pressure=pressure,
        temperature=np.broadcast_to(numbers["best_temperature"], pressure.shape)[:, :, None, None],
        wear=np.zeros_like(pressure),
        age=np.zeros_like(pressure),
        warmth=np.zeros_like(pressure),
        fuel_burned=np.zeros(pressure.shape[1:]),
        line=EVEN_LINE,
    )
    return dataclasses.replace(state, **changes)


def turn(radius=75.0, bank=0.0, grip=1.0, air_density=1.2):
    return Place(np.array([[radius]]), np.array([[bank]]), np.array([[grip]]), np.array([[air_density]]))


def phases(brake=0.0, drive=0.0, roll_rate=0.0, pitch_rate=0.0, turning=0.0):
    """The same demand in all three phases, so that any may be read; the middle one is."""
    return Phases(*(np.full((3, 1, 1), value) for value in (brake, drive, roll_rate, pitch_rate, turning)))


def load_law(numbers, place=None, demand=None, tires=None):
    rest = stand_still(numbers, cold_tires(numbers) if tires is None else tires)
    return write_load_law(
        numbers, rest, answer_pushes(numbers, rest), phases() if demand is None else demand, place or turn(), rows=10
    )


def push(law, side=0.0, yaw=0.0, forward=0.0, prop=0.0):
    """Loads and angles (10,) of the middle phase, one stage, one end, one car; and which wheels are off."""
    out, off = find_loads(law, *(np.full((1, 3, 1, 1), value) for value in (side, yaw, forward, prop)))
    return out[:, 0, 1, 0, 0], off[:, 0, 1, 0, 0]


def loads(numbers, side=0.0, yaw=0.0, forward=0.0, prop=0.0, **where):
    """Four tire loads [N]."""
    return push(load_law(numbers, **where), side, yaw, forward, prop)[0][:4]


def answers(numbers, tires=None):
    rest = stand_still(numbers, cold_tires(numbers) if tires is None else tires)
    return answer_pushes(numbers, rest)


def tire_rates(numbers):
    """Vertical rate of each tire at its cold pressure [N/m]."""
    pressures = np.array([numbers[f"pressure_{corner}"][0] for corner in CORNERS])
    return numbers["rate"][0] + numbers["rate_pressure"][0] * (pressures - numbers["pressure_ref"][0])


def corner_rates(numbers):
    """Spring and tire in series at each corner [N/m], for a car with EQUAL_BASES."""
    springs = np.array([numbers[f"spring_{corner}"][0] for corner in CORNERS])
    springs[:2] *= numbers["spring_ratio_front"][0] ** 2
    return 1 / (1 / springs + 1 / tire_rates(numbers))


def solve(numbers, place=None, demand=None, tires=None, engine=None, rows=8):
    """Solve the limit; results keep their (stages, phases, ends, cars) axes: one, three alike, one, one."""
    curve = shape_curve(numbers["shape_c"][0], numbers["shape_e"][0])
    tires = cold_tires(numbers) if tires is None else tires
    problem = set_problem(numbers, tires, demand or phases(), place or turn(), curve, engine, rows)
    return problem, solve_limit(problem)


def balance(numbers, **where):
    """Balance of a solved point [%]; refuses one that has no steady state."""
    _, limit = solve(numbers, **where)
    assert limit.steady.all()
    return limit.balance[0, 1, 0, 0]
