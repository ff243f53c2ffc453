"""The linear single-track car."""

import numpy as np
import pytest
from scipy import constants as si

from assistant.physics import formulas

PER_G = 9.81 / si.degree
"""rad per m/s^2 to degrees per g, as the books below do it."""


@pytest.mark.published(
    source=(
        "SAE J670 and ISO 8855 definitions, as in mech.enacademic.com/9/Ackerman_steer_angle and Wikipedia, "
        "Understeer and oversteer"
    ),
    grade="A",
    tolerance="exact",
)
def test_the_gradient_is_positive_exactly_when_the_front_axle_needs_more_slip_angle():
    rng = np.random.default_rng(1)
    a, b = rng.uniform(0.8, 1.8, (2, 500))
    front, rear = rng.uniform(4e4, 2e5, (2, 500))
    gradient = formulas.understeer_gradient(1400.0, a, b, front, rear)
    assert np.array_equal(np.sign(gradient), np.sign(b / front - a / rear))
    assert (gradient > 0).any()
    assert (gradient < 0).any()


@pytest.mark.published(
    source="ISO 8855 definition of the Ackermann angle; neutral steer by symmetry", grade="A", tolerance="exact"
)
def test_a_car_with_equal_axles_steers_the_ackermann_angle_at_every_acceleration():
    gradient = formulas.understeer_gradient(1500.0, 1.4, 1.4, 9e4, 9e4)
    lateral = np.linspace(0.0, 6.0, 7)
    assert formulas.steer_needed(2.8, 60.0, lateral, gradient) == pytest.approx(np.full(7, 2.8 / 60.0), rel=1e-15)


def wong(front_per_tire):
    mass, wheelbase = 20_105 / 9.81, 2.8
    a, b = 0.465 * wheelbase, 0.535 * wheelbase
    return wheelbase, formulas.understeer_gradient(mass, a, b, 2 * front_per_tire, 2 * 38_250.0)


@pytest.mark.published(
    source="J. Y. Wong, Theory of Ground Vehicles, 3rd ed. (2001), example 5.1(a); from memory",
    grade="C",
    tolerance="1 %",
)
def test_wongs_understeering_car_has_the_books_gradient_and_characteristic_speed():
    wheelbase, gradient = wong(38_920.0)
    assert gradient * 9.81 == pytest.approx(0.016, rel=0.01)
    assert gradient * PER_G == pytest.approx(0.92, rel=0.01)
    assert formulas.characteristic_speed(wheelbase, gradient) == pytest.approx(41.5, rel=0.01)
    assert formulas.critical_speed(wheelbase, gradient) == np.inf


@pytest.mark.published(
    source="J. Y. Wong, Theory of Ground Vehicles, 3rd ed. (2001), example 5.1(b); from memory",
    grade="C",
    tolerance="1 %",
)
def test_wongs_oversteering_car_has_the_books_gradient_and_critical_speed():
    wheelbase, gradient = wong(47_820.0)
    assert gradient * 9.81 == pytest.approx(-0.0097, rel=0.01)
    assert gradient * PER_G == pytest.approx(-0.56, rel=0.01)
    assert formulas.critical_speed(wheelbase, gradient) == pytest.approx(53.1, rel=0.01)
    assert formulas.characteristic_speed(wheelbase, gradient) == np.inf


@pytest.mark.published(
    source=(
        "ISO 4138:2021 steady circle, method 1 (constant radius; 100 m from memory), with Wong's car; slope "
        "computed by us"
    ),
    grade="A for the procedure, B for the numbers",
    tolerance="0.5 %",
)
def test_on_a_constant_radius_the_slope_of_steer_against_acceleration_is_the_gradient():
    wheelbase, gradient = wong(38_920.0)
    slow, fast = formulas.steer_needed(wheelbase, 100.0, np.array([0.0, 0.4 * 9.81]), gradient) / si.degree
    assert slow == pytest.approx(1.604, rel=0.005)
    assert fast == pytest.approx(1.970, rel=0.005)
    assert (fast - slow) / 0.4 == pytest.approx(0.915, rel=0.005)


@pytest.mark.published(
    source=(
        "course problem at askfilo.com (m 1300 kg, L 2.5 m, a 1.1 m, 1900 and 2000 N/deg); answer computed by us "
        "and by opendbc's vehicle_model.py"
    ),
    grade="B",
    tolerance="0.1 %",
)
def test_the_course_problem_has_the_gains_two_programs_agree_on():
    gradient = formulas.understeer_gradient(1300.0, 1.1, 1.4, 1900 / si.degree, 2000 / si.degree)
    assert gradient == pytest.approx(0.0016957, rel=1e-3)
    assert gradient * PER_G == pytest.approx(0.953, rel=1e-3)
    assert formulas.characteristic_speed(2.5, gradient) == pytest.approx(38.40, rel=1e-3)
    # yaw rate per steer v / (L + K v^2) = 5.2056 1/s at 15 m/s, by the steer that circle takes
    lateral = 15.0 * 5.2056
    assert formulas.steer_needed(2.5, 15.0**2 / lateral, lateral, gradient) == pytest.approx(1.0, rel=1e-3)


@pytest.mark.published(
    source=(
        "parameters of M. Abe, Vehicle Handling Dynamics, ch. 3, from "
        "github.com/yuya-onozuka/automotive_vehicle_dynamics; answer computed by two routes"
    ),
    grade="B",
    tolerance="0.1 %",
)
def test_abes_car_has_the_gains_of_the_closed_form_at_three_speeds():
    gradient = formulas.understeer_gradient(1500.0, 1.1, 1.6, 2 * 55_000.0, 2 * 60_000.0)
    speeds = np.array([10.0, 20.0, 30.0])
    assert gradient / 2.7 == pytest.approx(1.10675e-3, rel=1e-3)  # Abe's stability factor A = K/L
    assert gradient * PER_G == pytest.approx(1.680, rel=1e-3)
    assert formulas.characteristic_speed(2.7, gradient) == pytest.approx(30.06, rel=1e-3)
    turning = np.array([3.3346, 5.1344, 5.5665])  # yaw rate per steer [1/s]
    lateral = np.array([33.35, 102.69, 167.0])
    assert formulas.steer_needed(2.7, speeds / turning, lateral, gradient) == pytest.approx(np.ones(3), rel=1e-3)


@pytest.mark.published(
    source="follows from the definition of characteristic speed (SAE J670)", grade="A", tolerance="1e-12"
)
def test_at_the_characteristic_speed_the_car_needs_twice_the_steer_and_just_below_the_critical_one_hardly_any():
    tight = formulas.understeer_gradient(1500.0, 1.1, 1.6, 1.1e5, 1.2e5)
    top = formulas.characteristic_speed(2.7, tight)
    assert formulas.steer_needed(2.7, 100.0, top**2 / 100.0, tight) == pytest.approx(2 * 2.7 / 100.0, rel=1e-12)
    loose = formulas.understeer_gradient(1500.0, 1.6, 1.1, 1.2e5, 1.1e5)
    top = formulas.critical_speed(2.7, loose)
    assert formulas.steer_needed(2.7, 100.0, top**2 / 100.0, loose) == pytest.approx(0.0, abs=1e-15)


@pytest.mark.published(
    source="PyPI commonroad-vehicle-models 3.0.2, single-track model, vehicle 2, integrated to steady state",
    grade="B, independent program",
    tolerance="0.1 %",
)
def test_a_neutral_car_steers_and_slips_as_an_independent_simulation_does():
    a, b = 1.1561957, 1.4227171
    speeds, steer = np.array([10.0, 20.0, 30.0]), np.array([2.0, 1.0, 0.5]) * si.degree
    turning = np.array([0.135354, 0.135354, 0.101515])  # yaw rate [rad/s], of that program
    per_load = 21.92  # cornering stiffness over load, the same at both axles [1/rad]
    mass = 1093.3
    rear, front = mass * 9.81 * a / (a + b) * per_load, mass * 9.81 * b / (a + b) * per_load
    gradient = formulas.understeer_gradient(mass, a, b, front, rear)
    assert formulas.steer_needed(a + b, speeds / turning, speeds * turning, gradient) == pytest.approx(steer, rel=1e-3)
    rear_slip = mass * speeds * turning * a / (a + b) / rear
    assert formulas.body_slip(speeds, turning, b, rear_slip) == pytest.approx(
        [0.012963, -0.002960, -0.009348], rel=1e-3
    )


@pytest.mark.published(
    source=(
        "yaw = v (delta + K g bank) / (L + K v^2) in opendbc's vehicle_model.py (github.com/commaai/opendbc); here "
        "against a direct solution of the two equations of motion"
    ),
    grade="B",
    tolerance="1e-12",
)
def test_on_a_bank_the_steer_needed_solves_the_equations_of_motion():
    mass, a, b, front, rear, speed, steer, bank = 1300.0, 1.1, 1.4, 1.1e5, 1.15e5, 22.0, 0.03, 0.08
    gradient = formulas.understeer_gradient(mass, a, b, front, rear)
    # unknown: yaw rate r and body slip beta; slip angles alpha_f = steer - beta - a r/v, alpha_r = -beta + b r/v
    equations = np.array(
        [
            [mass * speed + (front * a - rear * b) / speed, front + rear],
            [(a * a * front + b * b * rear) / speed, a * front - b * rear],
        ]
    )
    turning, slip = np.linalg.solve(equations, [front * steer + mass * 9.80665 * np.sin(bank), a * front * steer])
    by_tires = speed * turning - 9.80665 * np.sin(bank)
    assert formulas.steer_needed(a + b, speed / turning, by_tires, gradient) == pytest.approx(steer, rel=1e-12)
    assert formulas.body_slip(speed, turning, b, b * turning / speed - slip) == pytest.approx(slip, rel=1e-12)
