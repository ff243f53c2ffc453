"""Banked turns."""

import numpy as np
import pytest
from scipy import constants as si

from assistant.physics import formulas
from tests.physics.rig import NO_AIR, NO_SHOCKS, TWIN, car, load_law, push, turn

GRAVITY = 9.80665


@pytest.mark.published(
    source=(
        "OpenStax, College Physics, sect. 6.3 (65.0 degrees) and University Physics vol. 1, sect. 6.3 (31.0 degrees)"
    ),
    grade="A",
    tolerance="0.3 %",
)
def test_the_neutral_speed_is_the_books_on_a_steep_and_on_a_gentle_bank():
    speeds = formulas.neutral_speed(100.0, np.array([65.0, 31.0]) * si.degree, gravity=9.80)
    assert speeds == pytest.approx([45.8, 24.3], rel=0.003)


@pytest.mark.published(
    source=(
        "physicsforums.com thread 644771 prints 18.9 m/s for R 300 m and 10 degrees, which does not recompute; "
        "answer computed by us"
    ),
    grade="B",
    tolerance="0.2 %",
)
def test_the_neutral_speed_does_not_repeat_a_wrong_answer_in_circulation():
    speed = formulas.neutral_speed(300.0, 10 * si.degree)
    assert speed == pytest.approx(22.8, rel=0.002)
    assert speed != pytest.approx(18.9, rel=0.1)


@pytest.mark.published(
    source="OpenStax, University Physics vol. 1, sect. 6.3: 900 kg, R 500 m, 25 m/s", grade="A", tolerance="0.5 %"
)
def test_the_flat_curve_needs_the_books_force_and_friction():
    lateral = formulas.lateral_acceleration(25.0, 500.0, 0.0, gravity=9.80)
    normal = formulas.normal_acceleration(25.0, 500.0, 0.0, gravity=9.80)
    assert 900 * lateral == pytest.approx(1125.0, rel=0.005)
    assert round(float(lateral / normal), 2) == 0.13


@pytest.mark.published(
    source="OpenStax, University Physics vol. 1, sect. 6.3: 105 km/h, R 1.20 km, 4.14 degrees",
    grade="A",
    tolerance="0.3 %",
)
def test_on_the_books_bank_of_a_fast_road_the_tires_give_nothing_at_its_speed():
    assert formulas.neutral_speed(1200.0, 4.14 * si.degree, gravity=9.80) == pytest.approx(105 / 3.6, rel=0.003)
    assert formulas.lateral_acceleration(105 / 3.6, 1200.0, 4.14 * si.degree, gravity=9.80) == pytest.approx(
        0.0, abs=0.005
    )


@pytest.mark.published(
    source=(
        "Young and Freedman, University Physics, 11th ed., problem 5.95: answers read, R 50 m, 25 degrees, mu 0.30 "
        "from memory"
    ),
    grade="B",
    tolerance="0.01 in the friction used",
)
def test_at_the_books_fastest_and_slowest_speed_the_tires_use_the_books_friction():
    turn = (np.array([20.9, 8.5]), 50.0, 25 * si.degree, 9.80)
    used = formulas.lateral_acceleration(*turn) / formulas.normal_acceleration(*turn)
    assert used == pytest.approx([0.30, -0.30], abs=0.01)


@pytest.mark.published(
    source="poles of the same law: the friction asked for nears 1 / tan(bank) from below", grade="A", tolerance="1e-6"
)
def test_on_a_steep_wall_no_speed_asks_for_more_friction_than_the_cotangent_of_the_bank():
    turn = (np.array([50.0, 500.0, 5e5]), 50.0, 60 * si.degree)
    used = formulas.lateral_acceleration(*turn) / formulas.normal_acceleration(*turn)
    assert (np.diff(used) > 0).all()
    assert used[-1] == pytest.approx(1 / np.tan(60 * si.degree), rel=1e-6)


@pytest.mark.published(source="the same law solved for the speed", grade="A", tolerance="1e-12")
def test_the_speed_for_a_side_acceleration_is_the_speed_that_has_it_and_presses_as_hard():
    speeds, bank = np.array([20.0, 35.0, 50.0]), np.array([0.0, 0.2, 0.5])
    lateral = formulas.lateral_acceleration(speeds, 75.0, bank)
    assert formulas.speed_squared(lateral, 75.0, bank) == pytest.approx(speeds**2, rel=1e-12)
    fixed, slope = formulas.normal_line(bank)
    assert fixed + slope * lateral == pytest.approx(formulas.normal_acceleration(speeds, 75.0, bank), rel=1e-12)
    assert formulas.speed_squared(-5.0, 75.0, 0.1) < 0.0  # it slides down at any speed


def khurmi_loads():
    """Inside and outside loads of a rigid car (2000 kg, track 1.6 m, 1.0 m high) at 54 km/h, R 30 m, 8 degrees.

    Through the whole load law: springs and tires too stiff to give way, no air.
    """
    stiff = dict.fromkeys(("spring_lf", "spring_rf", "spring_lr", "spring_rr"), 1e11) | {
        "rate": 1e12,
        "rate_pressure": 0.0,
    }
    heights = {"cg_height": 1.0, "front_bar": 0.0}
    numbers = car(**TWIN | NO_AIR | NO_SHOCKS | {"mass": 2000.0} | stiff | heights)
    bank = 8 * si.degree
    side = formulas.lateral_acceleration(54 / 3.6, 30.0, bank, GRAVITY).item()
    loads, _ = push(load_law(numbers, turn(30.0, bank)), side=side)
    return loads[0] + loads[2], loads[1] + loads[3]


@pytest.mark.published(
    source=(
        "R. S. Khurmi, Theory of Machines, example 14.13: inputs from github.com/FOSSEE/Scilab-TBC-Uploads "
        "213/CH14; figures of the book from memory"
    ),
    grade="B",
    tolerance="0.2 %",
)
def test_the_wheels_of_a_car_on_a_banked_turn_carry_the_books_loads():
    inside, outside = khurmi_loads()
    assert inside == pytest.approx(3182.0, rel=0.002)
    assert outside == pytest.approx(18_334.0, rel=0.002)
    straight_down = 2000 * (GRAVITY * np.cos(8 * si.degree) + 15.0**2 / 30 * np.sin(8 * si.degree))
    assert inside + outside == pytest.approx(straight_down, rel=1e-9)


@pytest.mark.published(
    source=(
        "R. S. Khurmi, Theory of Machines, example 14.13, with the gyroscopic couple of wheels and axles; figures "
        "of the book from memory"
    ),
    grade="B",
    tolerance="0.2 %",
)
def test_the_gyroscopic_couple_which_the_product_leaves_out_is_as_small_as_the_book_says():
    spin, precession = 15.0 / 0.35, 15.0 / 30.0
    couple = 200 * 0.3**2 * spin * precession * np.cos(8 * si.degree)
    inside, outside = khurmi_loads()
    assert couple == pytest.approx(382.0, rel=0.002)
    assert inside - couple / 1.6 == pytest.approx(2943.0, rel=0.002)
    assert outside + couple / 1.6 == pytest.approx(18_573.0, rel=0.002)
