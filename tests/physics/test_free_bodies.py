"""The loads of an arbitrary car against its free bodies: every force drawn where it acts, moments as cross products.

Written apart from the model: body, left and right front wheel and rear axle, seven equations, seven unknowns.
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.physics.formulas import torsion_bar_rate
from assistant.physics.suspension import stand_still
from tests.physics.rig import NO_AIR, G, car, cold_tires, load_law, phases, push, turn
from tests.physics.test_load_sums import ANY_CAR, CORNERING, roll_arm


class FreeBodies:
    """Adds up forces (x, y, z) at points on the body, the two front wheels and the axle."""

    def __init__(self, wheelbase):
        self.body = np.zeros(6)
        self.wheels = [0.0, 0.0]
        self.axle = np.zeros(6)
        self.wheelbase = wheelbase

    def push(self, part, point, force):
        if isinstance(part, int):
            self.wheels[part] += force[2]
        else:
            total = self.body if part == "body" else self.axle
            total += np.concatenate([force, np.cross(point, force)])

    def pair(self, part, point, size):
        """Push the body up and the other part down, as a spring does."""
        self.push("body", point, np.array([0, 0, size]))
        self.push(part, point, np.array([0, 0, -size]))

    def rest(self):
        """Heave, roll, pitch of the body; heave of both wheels; heave and roll of the axle: all nought at rest."""
        return np.array([*self.body[2:5], *self.wheels, self.axle[2], self.axle[3]])


def misses(unknown, numbers, cornering, bank, demand):
    """What is left over of every balance at these seven displacements in the corner; and the four loads."""
    n = {name: value.item() for name, value in numbers.items()}
    rest = stand_still(numbers, cold_tires(numbers))
    bodies = FreeBodies(n["wheelbase"])
    change = draw_springs_and_tires(bodies, n, rest.tire_rate[:, 0, 0], unknown)
    draw_side_forces(bodies, n, rest, cornering, bank)
    bodies.body[3] += rest.sprung.item() * normal_of(cornering, bank) * roll_arm(numbers, rest) * unknown[1]
    draw_forces_along_the_car(bodies, n, rest, cornering, demand)
    return bodies.rest(), rest.scale_loads[:, 0, 0] + change


def normal_of(cornering, bank):
    return G / np.cos(bank) + cornering["side"] * np.tan(bank)


def corners(n):
    """Where the four wheels stand."""
    front, rear = n["track_front"] / 2, n["track_rear"] / 2
    return [
        np.array(point)
        for point in ((n["wheelbase"], front, 0), (n["wheelbase"], -front, 0), (0, rear, 0), (0, -rear, 0))
    ]


def draw_springs_and_tires(bodies, n, tire_rates, unknown):
    """Forces of springs, bar and tires as changes from the scales; returns those of the tires."""
    z, roll, pitch, z_lf, z_rf, z_axle, lean = unknown

    def body_rise(x, y):
        return z + y * roll - x * pitch

    front, half = corners(n)[:2], n["track_rear"] / 2
    close = [wheel - body_rise(point[0], point[1]) for wheel, point in zip((z_lf, z_rf), front, strict=True)]
    twist = torsion_bar_rate(n["front_bar"], n["bar_bore"], n["bar_length"], n["bar_arm"]) * n["bar_ratio"] ** 2
    for side, (point, rate) in enumerate(zip(front, (n["spring_lf"], n["spring_rf"]), strict=True)):
        by_spring = rate * n["spring_ratio_front"] ** 2 * close[side]
        bodies.pair(side, point, by_spring + twist * (close[side] - close[1 - side]))
    for side, rate in ((1, n["spring_lr"]), (-1, n["spring_rr"])):
        y = side * n["spring_base"] / 2
        bodies.pair("axle", np.array([0, y, 0]), rate * (z_axle + y * lean - body_rise(0, y)))
    change = -tire_rates * [z_lf, z_rf, z_axle + half * lean, z_axle - half * lean]
    for part, point, load in zip((0, 1, "axle", "axle"), corners(n), change, strict=True):
        bodies.push(part, point, np.array([0, 0, load]))
    return change


def draw_side_forces(bodies, n, rest, cornering, bank):
    """Weight beyond gravity and side acceleration of all masses; tires, roll center in front, track bar behind."""
    side, beyond = cornering["side"], G - normal_of(cornering, bank)
    bodies.push("body", rest.body[:, 0, 0], rest.sprung.item() * np.array([0, -side, beyond]))
    for wheel in (0, 1):
        bodies.push(wheel, None, np.array([0, 0, n["unsprung_front"] / 2 * beyond]))
    high = np.array([0, 0, n["unsprung_height_rear"]])
    bodies.push("axle", high, n["unsprung_rear"] * np.array([0, -side, beyond]))

    mass, x_cg = rest.mass.item(), rest.cg[0].item()
    front_side = (mass * side * x_cg - cornering["yaw"]) / n["wheelbase"]
    rear_side = mass * side - front_side
    through = front_side - n["unsprung_front"] * side
    center = n["front_roll_center"]
    bodies.push("body", np.array([n["wheelbase"], 0, center]), np.array([0, through, 0]))
    couple = through * center + n["unsprung_front"] * side * n["unsprung_height_front"]
    bodies.wheels[0] += couple / n["track_front"]
    bodies.wheels[1] -= couple / n["track_front"]
    bodies.push("axle", np.zeros(3), np.array([0, rear_side, 0]))

    ends = {"axle": n["track_bar_axle_y"], "body": n["track_bar_frame_y"]}
    height = {
        part: n["track_bar_left"] if y == max(ends.values()) else n["track_bar_right"] for part, y in ends.items()
    }
    along = np.array([0, ends["axle"] - ends["body"], height["axle"] - height["body"]])
    bar = along * (rear_side - n["unsprung_rear"] * side) / along[1]
    bodies.push("body", np.array([0, ends["body"], height["body"]]), bar)
    bodies.push("axle", np.array([0, ends["axle"], height["axle"]]), -bar)


def draw_forces_along_the_car(bodies, n, rest, cornering, demand):
    """The whole car's pitch moment on the body, anti-dive, trailing links, propeller shaft."""
    moment = rest.mass.item() * cornering["forward"] * rest.cg[2].item()
    bodies.body[4] -= moment
    if demand["brake"] > 0:
        for wheel, anti in enumerate((n["anti_dive_lf"], n["anti_dive_rf"])):
            bodies.pair(wheel, corners(n)[wheel], -moment / n["wheelbase"] / 2 * anti)
    thrust = n["mass"] * G * (demand["drive"] - demand["brake"] * (1 - n["brake_bias"]))
    for side, lever in ((1, "link_angle_lr"), (-1, "link_angle_rr")):
        slope = np.tan(n[lever] * n["link_per_hole"])
        bodies.pair("axle", np.array([0, side * n["link_base"] / 2, 0]), thrust / 2 * slope)
    bodies.body[3] += cornering["prop"]
    bodies.axle[3] -= cornering["prop"]


@settings(max_examples=60, deadline=None)
@given(
    ANY_CAR,
    CORNERING,
    st.floats(0.0, 0.3),
    st.fixed_dictionaries({"brake": st.floats(0.0, 0.3), "drive": st.floats(0.0, 0.3)}),
)
def test_every_load_is_the_one_that_holds_the_free_bodies_in_balance(change, cornering, bank, demand):
    numbers = car(**NO_AIR | change)
    where = numbers, cornering, bank, demand
    at_nought, _ = misses(np.zeros(7), *where)
    columns = [misses(unit, *where)[0] - at_nought for unit in np.eye(7)]
    moved = np.linalg.solve(np.array(columns).T, -at_nought)
    left, wanted = misses(moved, *where)
    assert left == pytest.approx(np.zeros(7), abs=1e-5)
    out, off = push(load_law(numbers, turn(75.0, bank), phases(**demand)), **cornering)
    if not off.any():
        assert out[:4] == pytest.approx(wanted, abs=1e-6 * 1300 * G)
        assert out[4] == pytest.approx(moved[1], abs=1e-9)
        assert out[5] == pytest.approx(moved[6], abs=1e-9)
