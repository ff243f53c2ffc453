"""The angle a rear axle steers by itself: closed forms of trailing links and lead, wherever springs and links stand."""

import numpy as np
import pytest

from assistant.physics.attitude import rear_steer_of
from assistant.physics.suspension import RISE_LR, RISE_RR
from tests.physics.rig import car, load_law, move, push

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
