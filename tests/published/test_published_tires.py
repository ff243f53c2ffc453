"""The tire's curve and its friction."""

import numpy as np
import pytest
from scipy import constants as si

from assistant.physics.tire_grip import Air, find_grip, follow_force, shape_curve

LOADS = np.array([2.0, 4.0, 6.0, 8.0])
"""Vertical loads of the first published set [kN]."""


def first_set(load):
    """Coefficients of Bakker, Nyborg and Pacejka for side force: load in kN, angles in degrees, force in N."""
    peak = -22.1 * load**2 + 1011 * load
    stiffness = 1078 * np.sin(1.82 * np.arctan(0.208 * load))
    return peak, stiffness, shape_curve(1.30, -0.354 * load + 0.707)


def side_force(load, angle):
    """Side force [N] at a slip angle in degrees; the product's curve counts slip in shares of the slip at the peak."""
    peak, stiffness, shape = first_set(load)
    return peak * follow_force(angle / peak_angle(load), shape), stiffness


def peak_angle(load):
    peak, stiffness, shape = first_set(load)
    return shape.b / (stiffness / (shape.c * peak))


BAKKER = (
    "Bakker, Nyborg and Pacejka, SAE 870421 (1987): coefficients read in github.com/n-jokic/Vehicle_MPC_control and a "
    "second script, and from memory of Wong's tables 1.6 and 1.7; values computed by us"
)


@pytest.mark.published(source=BAKKER, grade="B", tolerance="0.1 %")
def test_the_first_published_magic_formula_set_gives_its_forces_at_four_degrees():
    forces = [float(side_force(load, 4.0)[0]) for load in LOADS]
    assert forces == pytest.approx([1722.5, 3096.6, 3833.1, 4011.2], rel=1e-3)


@pytest.mark.published(source=BAKKER, grade="B", tolerance="0.1 % (angles to the printed digits)")
def test_the_first_published_set_peaks_where_and_as_high_as_its_formula_says():
    angles = np.linspace(2.0, 20.0, 18_001)
    for load, angle, height in zip(LOADS, [9.35, 9.35, 10.82, 12.78], [1933.6, 3690.4, 5270.4, 6673.6], strict=True):
        forces, _ = side_force(load, angles)
        assert angles[np.argmax(forces)] == pytest.approx(angle, abs=0.006)
        assert forces.max() == pytest.approx(height, rel=1e-3)


@pytest.mark.published(
    source="the same set: peaks of 1936, 3650, 5237, 6677 N in J. Y. Wong, Theory of Ground Vehicles, from memory",
    grade="C",
    tolerance="1.5 %",
)
def test_the_peaks_of_the_first_published_set_are_near_the_measured_ones():
    peaks = [float(side_force(load, peak_angle(load))[0]) for load in LOADS]
    assert peaks == pytest.approx([1936, 3650, 5237, 6677], rel=0.015)


@pytest.mark.published(source=BAKKER, grade="B", tolerance="0.1 %")
def test_cornering_stiffness_is_the_curves_slope_and_peaks_near_six_kilonewtons():
    small = 1e-5
    slopes = [float(side_force(load, small)[0]) / small for load in LOADS]
    assert slopes == pytest.approx([708.8, 1027.3, 1076.1, 1028.8], rel=1e-3)


@pytest.mark.published(
    source="PyPI commonroad-vehicle-models 3.0.2, formula_lateral at zero camber, tire of vehicle 2 "
    "(C 1.3507, mu 1.0489, E -0.0074722, K -21.92 Fz); run on Python 3.11",
    grade="B, independent program",
    tolerance="0.01 %",
)
def test_the_curve_agrees_with_an_independent_program_that_codes_the_same_formula():
    shape = shape_curve(1.3507, -0.0074722)
    angles = np.array([1.0, 2.0, 3.0, 4.0, 8.0]) * si.degree
    loads = np.array([4000.0, 3000.0, 4000.0, 3000.0, 5000.0])
    stiffness = 21.92 / (1.3507 * 1.0489)
    forces = 1.0489 * loads * follow_force(angles * stiffness / shape.b, shape)
    assert forces == pytest.approx([1463.4734, 1952.0993, 3339.1662, 2824.1373, 5241.6669], rel=1e-4)
    assert shape.b / stiffness / si.degree == pytest.approx(8.54, abs=0.005)
    assert 1.0489 * 4000 * follow_force(np.array(1.0), shape) == pytest.approx(4195.60, rel=1e-4)


MILLIKEN_LOADS = np.array([900.0, 1350.0, 1800.0]) * si.lbf
MILLIKEN_FRICTION = np.array([1.10, 1.08, 0.97])
MILLIKEN = (
    "Milliken and Milliken, Race Car Vehicle Dynamics, fig. 2.9, as tabulated in Wikipedia, Tire load sensitivity: "
    "1.10, 1.08, 0.97 at 900, 1350, 1800 lbf, reached at 5.6, 6.0, 6.7 degrees"
)


BEST_AIR = Air(np.full(3, 2e5), np.full(3, 2e5), MILLIKEN_LOADS)
"""Three tires at the pressure with most grip at their loads."""


def bare_tire(**law):
    """A tire with nothing but its load law: no loss from pressure, camber, temperature."""
    flat = dict.fromkeys(
        ("pressure_grip", "camber_grip", "best_camber", "best_pressure_load", "stiffness_pressure", "peak_slip_growth"),
        0.0,
    )
    names = flat | {"pressure_ref": 2e5, "peak_slip": 0.1} | law
    return {name: np.array([value]) for name, value in names.items()}


@pytest.mark.published(
    source=MILLIKEN + "; fit with the smallest largest miss", grade="A", tolerance="3 % at each point"
)
def test_our_friction_law_fits_all_three_published_loads():
    # The power law that misses least at worst: parallel to the chord of the outer points, half the middle's gap above
    # it (Chebyshev). Least squares in logarithms misses the middle by 3.7 %: the table bends more than a power law.
    logs, friction = np.log(MILLIKEN_LOADS / MILLIKEN_LOADS[1]), np.log(MILLIKEN_FRICTION)
    slope = (friction[2] - friction[0]) / (logs[2] - logs[0])
    height = (friction[1] + friction[0] - slope * logs[0]) / 2
    tire = bare_tire(grip=np.exp(height), load_ref=MILLIKEN_LOADS[1], load_exponent=1 + slope)
    grip = find_grip(tire, MILLIKEN_LOADS, BEST_AIR, np.zeros(3), np.ones(3))
    assert grip.peak / MILLIKEN_LOADS == pytest.approx(MILLIKEN_FRICTION, rel=0.03)
    assert 0.80 <= 1 + slope <= 0.92  # the exponents the spread of plausible cars is drawn from


@pytest.mark.published(source=MILLIKEN, grade="A", tolerance="1 % of force, 0.15 degrees")
def test_force_and_angle_at_the_peak_grow_with_load_as_the_table_does():
    forces = MILLIKEN_FRICTION * MILLIKEN_LOADS
    assert forces / si.lbf == pytest.approx([990, 1458, 1746], rel=1e-3)
    exponent = np.log(forces[2] / forces[0]) / np.log(2.0)
    tire = bare_tire(
        grip=1.10, load_ref=MILLIKEN_LOADS[0], load_exponent=exponent, peak_slip=5.6, peak_slip_growth=6.7 / 5.6 - 1
    )
    grip = find_grip(tire, MILLIKEN_LOADS, BEST_AIR, np.zeros(3), np.ones(3))
    assert exponent == pytest.approx(0.819, abs=0.001)
    assert grip.peak[[0, 2]] == pytest.approx(forces[[0, 2]], rel=0.01)
    assert grip.slip == pytest.approx([5.6, 6.0, 6.7], abs=0.16)
