"""Load transfer along the car, traction and brake proportioning."""

import numpy as np
import pytest

from assistant.physics import formulas

STOP = {"front_arm": 1.8, "rear_arm": 2.4, "cg_height": 0.75, "gravity": 9.80}
"""Halliday, Resnick and Walker's car: 4.2 m wheelbase, center of gravity 1.8 m behind the front axle."""


@pytest.mark.published(
    source="GATE 2019 Mechanical Engineering, question 29 (me.gateoverflow.in/1368; worked at byjus.com)",
    grade="A",
    tolerance="exact",
)
def test_acceleration_moves_load_to_the_rear_by_mass_times_height_over_wheelbase():
    weight, height, wheelbase, acceleration, gravity = 12_000.0, 0.6, 2.6, 3.1, 9.81
    front, rear = formulas.axle_loads(weight / gravity, wheelbase / 2, wheelbase / 2, height, acceleration, gravity)
    moved = weight / gravity * height / wheelbase * acceleration
    assert front == pytest.approx(weight / 2 - moved, rel=1e-14)
    assert rear == pytest.approx(weight / 2 + moved, rel=1e-14)


@pytest.mark.published(
    source=(
        "Halliday, Resnick and Walker, Fundamentals of Physics, 8th ed., ch. 12 (11 kN, mu 0.40): problem read at "
        "solutioninn.com, answers from memory"
    ),
    grade="B",
    tolerance="2 %",
)
def test_a_stop_with_locked_wheels_loads_the_wheels_as_the_book_says():
    front, rear = formulas.axle_loads(11_000 / 9.80, acceleration=-0.40 * 9.80, **STOP)
    assert 0.40 * (front + rear) / (11_000 / 9.80) == pytest.approx(3.9, rel=0.02)
    assert rear / 2 == pytest.approx(2000.0, rel=0.02)
    assert front / 2 == pytest.approx(3500.0, rel=0.02)
    assert 0.40 * rear / 2 == pytest.approx(790.0, rel=0.02)
    assert 0.40 * front / 2 == pytest.approx(1400.0, rel=0.02)


@pytest.mark.published(
    source=(
        "homeworksource.com 1054350, a variant of the same stop, prints 3365 N on the rear axle, which does not "
        "recompute (two loads must sum to the weight); answer computed by us"
    ),
    grade="B",
    tolerance="exact",
)
def test_axle_loads_always_sum_to_the_weight():
    front, rear = formulas.axle_loads(11_000 / 9.80, acceleration=np.linspace(-9.0, 9.0, 19), **STOP)
    assert front + rear == pytest.approx(np.full(19, 11_000.0), rel=1e-14)


@pytest.mark.published(
    source=(
        "slides at slideshare.net, p3vehicle-dynamic (1.8 t, 2.6 m, height 0.7 m, mu 0.7): inputs read, answers "
        "computed by us"
    ),
    grade="B",
    tolerance="0.2 %",
)
def test_traction_limits_a_front_and_a_rear_driven_car_with_load_transfer():
    front, rear = formulas.traction_limits(0.7, 1.3, 1.3, 0.7, gravity=9.81)
    assert front == pytest.approx(2.889, rel=0.002)
    assert rear == pytest.approx(4.231, rel=0.002)


@pytest.mark.published(source="moments about the rear contact point; derived by us", grade="B", tolerance="1e-12")
def test_a_car_short_enough_to_lift_its_front_wheels_accelerates_no_harder_than_that():
    _, rear = formulas.traction_limits(0.7, 0.9 * 2.6, 0.1 * 2.6, 0.7, gravity=9.81)
    front_load, rear_load = formulas.axle_loads(1800.0, 0.9 * 2.6, 0.1 * 2.6, 0.7, rear, gravity=9.81)
    assert front_load == pytest.approx(0.0, abs=1e-9)
    assert 1800.0 * rear < 0.7 * rear_load


@pytest.mark.published(
    source=(
        "problem of Beer and Johnston's kind with answers, physicsforum.com thread 2565 (mu 0.80, 60 % front, 50 "
        "m, no load transfer)"
    ),
    grade="A",
    tolerance="0.2 %",
)
def test_static_loads_alone_give_the_printed_speeds_after_fifty_meters():
    front, rear = formulas.traction_limits(0.80, 0.4, 0.6, 0.0, gravity=9.81)
    assert np.sqrt(2 * front * 50) * 3.6 == pytest.approx(78.1, rel=0.002)
    assert np.sqrt(2 * rear * 50) * 3.6 == pytest.approx(63.8, rel=0.002)


@pytest.mark.published(
    source="construction read at gasolinesmell.com (March 2013), on Halliday's car; numbers computed by us",
    grade="B",
    tolerance="0.1 %",
)
def test_the_ideal_front_share_grows_with_deceleration():
    decelerations = np.array([0.0, 0.2, 0.4, 0.6, 0.8, 1.0]) * 9.80
    shares = formulas.ideal_front_share(decelerations, **STOP)
    assert shares == pytest.approx([0.5714, 0.6071, 0.6429, 0.6786, 0.7143, 0.7500], rel=1e-3)
    # Halliday's stop at 0.4 g: 1.4142 kN and 0.7857 kN of braking per front and rear wheel
    assert shares[2] == pytest.approx(1.4142 / (1.4142 + 0.7857), rel=1e-3)


@pytest.mark.published(
    source="definition of the ideal share: both axles reach mu times their load together", grade="A", tolerance="1e-12"
)
def test_with_the_ideal_share_both_axles_lock_together_and_off_it_the_overbraked_one_locks_first():
    ideal = formulas.ideal_front_share(0.7 * 9.80, **STOP)
    front, rear = formulas.locking_decelerations(ideal, 0.7, **STOP)
    assert front == pytest.approx(0.7 * 9.80, rel=1e-12)
    assert rear == pytest.approx(0.7 * 9.80, rel=1e-12)
    front, rear = formulas.locking_decelerations(np.array([ideal + 0.05, ideal - 0.05]), 0.7, **STOP)
    assert list(front < rear) == [True, False]
    loads = formulas.axle_loads(1000.0, acceleration=-front[0], **STOP)
    assert (ideal + 0.05) * 1000.0 * front[0] == pytest.approx(0.7 * loads[0], rel=1e-12)
    loads = formulas.axle_loads(1000.0, acceleration=-rear[1], **STOP)
    assert (1 - ideal + 0.05) * 1000.0 * rear[1] == pytest.approx(0.7 * loads[1], rel=1e-12)


@pytest.mark.published(source="limits of the same formula", grade="A", tolerance="exact")
def test_brakes_at_one_end_only_never_lock_the_other():
    front, rear = formulas.locking_decelerations(np.array([0.0, 1.0]), 0.5, 1.8, 2.4, 0.0)
    assert list(np.isinf(front)) == [True, False]
    assert list(np.isinf(rear)) == [False, True]
