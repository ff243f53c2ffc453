"""Tire loads sum to what the car and the road push with, whatever the springs, bars, links and shocks."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.physics.formulas import lateral_acceleration, normal_acceleration, speed_squared
from assistant.physics.suspension import BODY_ROLL, stand_still
from tests.physics.rig import CORNERS, G, answers, car, cold_tires, load_law, move, phases, push, turn


def between(low, high):
    return st.floats(low, high, allow_nan=False)


ANY_CAR = st.fixed_dictionaries(
    {
        **{f"spring_{corner}": between(20e3, 150e3) for corner in CORNERS},
        **{f"pressure_{corner}": between(0.7e5, 2.5e5) for corner in CORNERS},
        "front_bar": between(0.0, 0.035),
        "rate": between(1.5e5, 3e5),
        "front_roll_center": between(-0.08, 0.12),
        "track_bar_left": between(0.15, 0.40),
        "track_bar_right": between(0.15, 0.40),
        "track_front": between(1.45, 1.75),
        "track_rear": between(1.45, 1.75),
        "spring_base": between(0.8, 1.4),
        "link_angle_lr": between(-3, 3),
        "link_angle_rr": between(-3, 3),
        "anti_dive_lf": between(0.0, 0.6),
        "anti_dive_rf": between(0.0, 0.6),
        "nose_weight": between(0.47, 0.55),
        "left_weight": between(0.48, 0.56),
        "cg_height": between(0.30, 0.50),
        "unsprung_height_front": between(0.25, 0.40),
        "unsprung_height_rear": between(0.25, 0.40),
    }
)
CORNERING = st.fixed_dictionaries(
    {
        "side": between(0.0, 6.0),
        "yaw": between(-1500.0, 1500.0),
        "forward": between(-3.0, 2.0),
        "prop": between(0.0, 300.0),
    }
)
DEMAND = st.fixed_dictionaries(
    {
        "brake": between(0.0, 0.3),
        "drive": between(0.0, 0.3),
        "roll_rate": between(-0.15, 0.15),
        "pitch_rate": between(-0.1, 0.1),
    }
)


def places(numbers):
    """Where the four tires stand: x forward of the rear axle, y left [m]."""
    front, rear = numbers["track_front"][0] / 2, numbers["track_rear"][0] / 2
    return np.array([numbers["wheelbase"][0]] * 2 + [0.0, 0.0]), np.array([front, -front, rear, -rear])


def roll_arm(numbers, rest):
    """Height of the body's center of gravity above the roll axis [m]."""
    slope = (numbers["track_bar_left"] - numbers["track_bar_right"]) / (
        numbers["track_bar_axle_y"] - numbers["track_bar_frame_y"]
    )
    rear = numbers["track_bar_left"] - slope * numbers["track_bar_axle_y"]
    front = numbers["front_roll_center"]
    return (rest.body[2] - rear - (front - rear) * rest.body[0] / numbers["wheelbase"]).item()


@settings(max_examples=150, deadline=None)
@given(ANY_CAR, CORNERING, DEMAND, between(0.0, 0.35), between(0.0, 40.0))
def test_loads_balance_the_car_in_heave_roll_and_pitch(change, cornering, demand, bank, burned):
    numbers = car(**change)
    place = turn(75.0, bank)
    tires = cold_tires(numbers, fuel_burned=np.array([[burned]]))
    out, off = push(load_law(numbers, place, phases(**demand), tires), **cornering)
    if off.any():
        return
    rest = stand_still(numbers, tires)
    x, y = places(numbers)
    speed = np.sqrt(speed_squared(cornering["side"], 75.0, bank))
    assert lateral_acceleration(speed, 75.0, bank) == pytest.approx(cornering["side"], abs=1e-9)
    mass, (x_cg, y_cg, height) = rest.mass.item(), rest.cg[:, 0, 0]
    pressed = mass * normal_acceleration(speed, 75.0, bank)
    air = 0.5 * 1.2 * speed**2
    # areas of the car, plus 1 rad of spoiler and 2 strips of tape
    front_air, rear_air, drag = air * (0.1 + 2 * 0.01), air * (0.2 + 0.3), air * (1.0 + 0.15)
    weight = mass * G
    leaned = rest.sprung.item() * pressed / mass * roll_arm(numbers, rest) * out[BODY_ROLL]
    # gravity on the rolled body at rest is already inside the scale loads: the car was leveled on the scales
    assert out[:4].sum() == pytest.approx(pressed + front_air + rear_air, abs=1e-8 * weight)
    assert (y * out[:4]).sum() == pytest.approx(
        y_cg * pressed - mass * height * cornering["side"] - leaned, abs=1e-8 * weight
    )
    assert (x * out[:4]).sum() == pytest.approx(
        x_cg * pressed - height * (mass * cornering["forward"] + drag) + 2.7 * front_air, abs=1e-8 * weight
    )


INSIDE = {
    "propeller shaft": lambda a: a.prop,
    "left link": lambda a: a.links[0],
    "right link": lambda a: a.links[1],
    "anti-dive": lambda a: a.anti_dive,
    "left front pair": lambda a: a.shocks[0],
    "right front pair": lambda a: a.shocks[1],
    "left rear pair": lambda a: a.shocks[2],
    "right rear pair": lambda a: a.shocks[3],
    "front side force at the roll center": lambda a: a.front_side,
    "rear side force along the track bar": lambda a: a.rear_side,
}


@pytest.mark.parametrize("force", INSIDE)
@settings(max_examples=30, deadline=None)
@given(ANY_CAR)
def test_an_inside_force_moves_load_about_but_adds_neither_load_nor_moment(force, change):
    assert np.abs(INSIDE[force](answers(car()))[:4]).max() > 1e-3
    numbers = car(**change)
    moved = INSIDE[force](answers(numbers))[:4, 0, 0]
    x, y = places(numbers)
    assert moved.sum() == pytest.approx(0.0, abs=1e-9)
    assert (x * moved).sum() == pytest.approx(0.0, abs=1e-9)
    assert (y * moved).sum() == pytest.approx(0.0, abs=1e-9)


def assert_moved_inside(numbers, before, after):
    """No load and no moment added, but for gravity on the body that leans a little more or less."""
    moved = after - before
    rest = stand_still(numbers, cold_tires(numbers))
    _, y = places(numbers)
    leaned = rest.sprung.item() * G * roll_arm(numbers, rest) * moved[BODY_ROLL]
    assert moved[:4].sum() == pytest.approx(0.0, abs=1e-8)
    assert (y * moved[:4]).sum() == pytest.approx(-leaned, abs=1e-8)


def test_bar_preload_moves_load_onto_the_right_front_and_adds_none():
    numbers = car()
    before, after = push(load_law(numbers))[0], push(load_law(move(numbers, bar_screw=1.0)))[0]
    assert list(np.sign(after - before)[:4]) == [-1.0, 1.0, 1.0, -1.0]
    assert_moved_inside(numbers, before, after)


def test_more_air_in_one_tire_moves_load_onto_its_diagonal_and_adds_none():
    numbers = car()
    pressure = cold_tires(numbers).pressure.copy()
    pressure[3] += 7000.0
    before, after = push(load_law(numbers))[0], push(load_law(numbers, tires=cold_tires(numbers, pressure=pressure)))[0]
    assert list(np.sign(after - before)[:4]) == [1.0, -1.0, -1.0, 1.0]
    assert_moved_inside(numbers, before, after)


@settings(max_examples=80, deadline=None)
@given(ANY_CAR, between(0.44, 0.62), between(13.0, 18.0), between(0.0, 0.2))
def test_a_lifted_wheel_carries_exactly_nothing_and_the_others_carry_the_whole_car(change, height, side, bank):
    numbers = car(**change | {"cg_height": height})
    place = turn(75.0, bank)
    out, off = push(load_law(numbers, place), side=side)
    assert (out[:4] >= 0).all()
    assert (out[:4][off] == 0).all()
    if off.sum() > 1:  # no steady state, and said to be none
        return
    rest = stand_still(numbers, cold_tires(numbers))
    speed = np.sqrt(speed_squared(side, 75.0, bank))
    pressed = 1300.0 * normal_acceleration(speed, 75.0, bank)
    downforce = 0.5 * 1.2 * speed**2 * (0.12 + 0.5)
    assert out[:4].sum() == pytest.approx(pressed + downforce, rel=1e-9)
    # the roll moment balances too, with the roll the car then really has
    _, y = places(numbers)
    leaned = rest.sprung.item() * pressed / 1300.0 * roll_arm(numbers, rest) * out[BODY_ROLL]
    wanted = rest.cg[1].item() * pressed - 1300.0 * rest.cg[2].item() * side - leaned
    assert (y * out[:4]).sum() == pytest.approx(wanted, abs=1e-8 * 1300.0 * G)


def test_the_inside_front_wheel_lifts_in_a_hard_enough_turn_and_the_rest_takes_over():
    law = load_law(car(cg_height=0.5))
    before, lifted = push(law, side=14.0)[0], push(law, side=16.0)
    assert before[0] > 0
    assert list(lifted[1]) == [True, False, False, False]
    assert lifted[0][0] == 0
    assert lifted[0][:4].sum() == pytest.approx(1300.0 * G + 0.5 * 1.2 * 75.0 * 16.0 * 0.62, rel=1e-9)
