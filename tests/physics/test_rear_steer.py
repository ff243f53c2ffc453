"""The angle a rear axle steers by itself: closed forms of trailing links and lead, wherever springs and links stand."""

import numpy as np
import pytest

from assistant.car.files import read_case
from assistant.physics.attitude import rear_steer_of
from assistant.physics.car_and_driver import collect_numbers
from assistant.physics.suspension import RISE_LR, RISE_RR, TireState, answer_pushes, stand_still
from tests.physics.rig import EVEN_LINE, car, load_law, move, push

HOLE = 0.03
"""Slope of a link for each hole on the rig's car [rad]."""


def outputs(numbers, heave=0.0, lean=0.0):
    """Travel of the axle against the body: up by `heave` [m], its left higher by `lean` [rad]; all else nought."""
    rows = np.zeros((10, 1))
    half = numbers["spring_base"] / 2.0
    rows[RISE_LR], rows[RISE_RR] = heave + lean * half, heave - lean * half
    return rows


@pytest.mark.parametrize("link_base", [0.5, 1.0, 1.4])
@pytest.mark.parametrize("spring_base", [0.8, 1.1])
def test_two_links_alike_steer_by_the_lean_times_their_slope_wherever_they_stand(link_base, spring_base):
    numbers = car(link_angle_lr=2.0, link_angle_rr=2.0, link_base=link_base, spring_base=spring_base)
    steered = rear_steer_of(numbers, outputs(numbers, heave=0.02, lean=-0.04))
    # the right rises and goes back: the axle points outward
    assert steered == pytest.approx(-0.04 * np.tan(2 * HOLE), rel=1e-12)


def test_one_link_moves_its_own_place_of_the_axle_and_no_other():
    numbers = car(link_angle_lr=0.0, link_angle_rr=2.0, link_base=0.9)
    back = (0.02 + 0.04 * 0.45) * np.tan(2 * HOLE)
    assert rear_steer_of(numbers, outputs(numbers, heave=0.02, lean=-0.04)) == pytest.approx(-back / 0.9, rel=1e-12)


def test_lead_is_measured_at_the_wheels_and_level_links_add_nothing():
    numbers = move(car(link_angle_lr=0.0, link_angle_rr=0.0), rear_axle_lead=0.004)
    assert rear_steer_of(numbers, outputs(numbers, heave=0.02, lean=-0.04)) == pytest.approx(-0.004 / 1.6, rel=1e-12)


def test_a_car_that_rolls_to_the_right_over_links_that_climb_steers_its_axle_outwards():
    numbers = car(link_angle_lr=2.0, link_angle_rr=2.0)
    flat, turning = (push(load_law(numbers), side=side)[0] for side in (0.0, 8.0))
    between = (turning[4] - turning[5]) - (flat[4] - flat[5])  # body against axle
    steered = rear_steer_of(numbers, turning) - rear_steer_of(numbers, flat)
    assert steered == pytest.approx(-between * np.tan(2 * HOLE), rel=1e-9)
    assert steered < 0.0


# Springs swapped with their seats left alone: what that does to the scale loads.


CASE = read_case("demo")
CORNERS = ("lf", "rf", "lr", "rr")


def at_rest(spring: str = "", times: float = 1.0, *, alone: bool = True) -> np.ndarray:
    numbers = collect_numbers(CASE.car, CASE.tire, CASE.setup)
    if spring:
        numbers[spring] = numbers[spring] * times
    numbers["seats_alone"] = np.array([float(alone)])
    cold = np.stack([numbers[f"pressure_{corner}"] for corner in CORNERS])[:, None]
    none = np.zeros((4, 1, 1))
    heat = none[..., None, None] + 300.0
    state = TireState(
        pressure=cold, temperature=heat, wear=none, age=none, warmth=none, fuel_burned=np.zeros((1, 1)), line=EVEN_LINE
    )
    rest = stand_still(numbers, state)
    return answer_pushes(numbers, rest).at_rest[:4, 0, 0]


@pytest.mark.parametrize("corner", range(4))
def test_a_stiffer_spring_loads_its_own_corner_and_the_diagonal_one(corner):
    change = at_rest(f"spring_{CORNERS[corner]}", 1.1) - at_rest()
    assert change[corner] > 0
    assert change[3 - corner] > 0
    assert (np.delete(change, [corner, 3 - corner]) < 0).all()


@pytest.mark.parametrize("corner", CORNERS)
def test_the_weight_and_its_place_stay(corner):
    numbers = collect_numbers(CASE.car, CASE.tire, CASE.setup)
    change = at_rest(f"spring_{corner}", 1.3) - at_rest()
    halves = [numbers["track_front"][0] / 2] * 2 + [numbers["track_rear"][0] / 2] * 2
    sides = np.array([1, -1, 1, -1]) * halves
    assert change.sum() == pytest.approx(0, abs=1e-9)
    assert change[:2].sum() == pytest.approx(0, abs=1e-9)
    assert (sides * change).sum() == pytest.approx(0, abs=1e-9)


def test_a_car_that_is_scaled_again_keeps_its_loads():
    assert at_rest("spring_lr", 1.3, alone=False) == pytest.approx(at_rest(), abs=1e-9)


def test_nothing_changes_without_a_swap():
    assert at_rest(alone=True) == pytest.approx(at_rest(alone=False), abs=1e-9)
