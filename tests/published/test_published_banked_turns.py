"""Banked turns."""

import numpy as np
import pytest
from scipy import constants as si

from assistant.physics import banking


@pytest.mark.published(
    source=(
        "OpenStax, College Physics, sect. 6.3 (65.0 degrees) and University Physics vol. 1, sect. 6.3 (31.0 degrees)"
    ),
    grade="A",
    tolerance="0.3 %",
)
def test_the_neutral_speed_is_the_books_on_a_steep_and_on_a_gentle_bank():
    speeds = banking.neutral_speed(100.0, np.array([65.0, 31.0]) * si.degree, gravity=9.80)
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
    speed = banking.neutral_speed(300.0, 10 * si.degree)
    assert speed == pytest.approx(22.8, rel=0.002)
    assert speed != pytest.approx(18.9, rel=0.1)


@pytest.mark.published(
    source="OpenStax, University Physics vol. 1, sect. 6.3: 900 kg, R 500 m, 25 m/s", grade="A", tolerance="0.5 %"
)
def test_the_flat_curve_needs_the_books_force_and_friction():
    lateral = banking.lateral_acceleration(25.0, 500.0, 0.0, gravity=9.80)
    normal = banking.normal_acceleration(25.0, 500.0, 0.0, gravity=9.80)
    assert 900 * lateral == pytest.approx(1125.0, rel=0.005)
    assert round(float(lateral / normal), 2) == 0.13


@pytest.mark.published(
    source="OpenStax, University Physics vol. 1, sect. 6.3: 105 km/h, R 1.20 km", grade="A", tolerance="0.5 %"
)
def test_the_ideal_bank_of_a_fast_road_is_the_books():
    assert banking.neutral_bank(105 / 3.6, 1200.0, gravity=9.80) / si.degree == pytest.approx(4.14, rel=0.005)


@pytest.mark.published(
    source=(
        "Young and Freedman, University Physics, 11th ed., problem 5.95: answers read, R 50 m, 25 degrees, mu 0.30 "
        "from memory"
    ),
    grade="B",
    tolerance="1 %",
)
def test_friction_on_a_bank_allows_the_books_fastest_and_slowest_speed():
    assert banking.fastest_speed(50.0, 25 * si.degree, 0.30, gravity=9.80) == pytest.approx(20.9, rel=0.01)
    assert banking.slowest_speed(50.0, 25 * si.degree, 0.30, gravity=9.80) == pytest.approx(8.5, rel=0.01)


@pytest.mark.published(
    source="the same formula: mu tan(bank) = 1 and mu = tan(bank) are its poles", grade="A", tolerance="exact"
)
def test_no_speed_is_too_high_on_a_wall_nor_too_low_where_friction_holds():
    assert banking.fastest_speed(50.0, 60 * si.degree, 0.7) == np.inf
    assert banking.slowest_speed(50.0, 10 * si.degree, 0.3) == 0.0


@pytest.mark.published(source="the same law solved for the speed", grade="A", tolerance="1e-12")
def test_the_speed_for_a_side_acceleration_is_the_speed_that_has_it():
    speeds, bank = np.array([20.0, 35.0, 50.0]), np.array([0.0, 0.2, 0.5])
    lateral = banking.lateral_acceleration(speeds, 75.0, bank)
    assert banking.speed_for(lateral, 75.0, bank) == pytest.approx(speeds, rel=1e-12)
    assert banking.speed_for(-5.0, 75.0, 0.1) == 0.0  # it slides down at any speed


KHURMI = {"mass": 2000.0, "track": 1.6, "cg_height": 1.0}


def khurmi_loads():
    turn = (54 / 3.6, 30.0, 8 * si.degree, 9.81)
    return banking.side_loads(
        **KHURMI, normal=banking.normal_acceleration(*turn), lateral=banking.lateral_acceleration(*turn)
    )


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
    straight_down = 2000 * (9.81 * np.cos(8 * si.degree) + 15.0**2 / 30 * np.sin(8 * si.degree))
    assert inside + outside == pytest.approx(straight_down, rel=1e-12)


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
