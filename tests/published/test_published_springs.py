"""Springs, wheel rates and bars."""

import numpy as np
import pytest
from scipy import constants as si

from assistant.physics import rates

POUND_PER_INCH = si.lbf / si.inch


@pytest.mark.published(
    source="V. B. Bhandari, Design of Machine Elements, example 10.19 (github.com/FOSSEE/Scilab-TBC-Uploads 764/CH10)",
    grade="A",
    tolerance="0.01 %",
)
def test_two_concentric_coils_share_the_load_as_the_book_prints():
    wire, mean, coils = np.array([6.0, 5.0]) * 1e-3, np.array([36.0, 30.0]) * 1e-3, np.array([10.0, 8.0])
    outer, inner = rates.coil_rate(wire, mean, coils, shear_modulus=81_370e6)
    assert outer == pytest.approx(28_253.5, rel=1e-4)
    assert inner == pytest.approx(29_430.7, rel=1e-4)
    travel = (1000 + inner * 0.015) / (outer + inner)  # the outer spring is 15 mm longer
    assert travel == pytest.approx(24.9888e-3, rel=1e-4)
    assert outer * travel == pytest.approx(706.02, rel=1e-4)
    assert inner * (travel - 0.015) == pytest.approx(293.98, rel=1e-4)


@pytest.mark.published(
    source=(
        "Circle Track, April 2010, sway bar rating techniques (19.0 in arm, link 3.0 in inboard, 600 lb/in at the "
        "wheel)"
    ),
    grade="A",
    tolerance="0.1 %",
)
def test_a_wheel_rate_goes_back_to_the_printed_rate_at_the_bar_end():
    ratio = rates.motion_ratio(16.0, 19.0)
    assert ratio == pytest.approx(0.84211, rel=1e-3)
    assert ratio**2 == pytest.approx(0.70914, rel=1e-3)
    assert rates.spring_rate_for(600 * POUND_PER_INCH, ratio) / POUND_PER_INCH == pytest.approx(846, rel=1e-3)


@pytest.mark.published(
    source="Barton and Fieldhouse, Automotive Chassis Engineering (Springer, 2018), p. 179, eq. 3.29 to 3.33",
    grade="A",
    tolerance="1e-14",
)
def test_the_wheel_rate_is_linear_in_the_spring_and_quadratic_in_the_ratio():
    base = rates.wheel_rate(30_000.0, rates.motion_ratio(0.25, 0.40))
    assert base == pytest.approx(30_000 * (0.25 / 0.40) ** 2, rel=1e-14)
    assert rates.wheel_rate(60_000.0, rates.motion_ratio(0.25, 0.40)) == pytest.approx(2 * base, rel=1e-14)
    assert rates.wheel_rate(30_000.0, rates.motion_ratio(0.50, 0.40)) == pytest.approx(4 * base, rel=1e-14)


@pytest.mark.published(
    source="Elcova forum post 153375: 1 120 000 d^4 / (L l^2), G 11.4 million psi; 311 lb/in for 1.0 x 36 x 10 in",
    grade="A",
    tolerance="1 %",
)
def test_a_torsion_bar_has_the_rate_of_the_trades_formula():
    bar = rates.torsion_bar_rate(1.0 * si.inch, 0.0, 36 * si.inch, 10 * si.inch, shear_modulus=11.4e6 * si.psi)
    assert bar / POUND_PER_INCH == pytest.approx(311, rel=0.01)
    assert bar / POUND_PER_INCH == pytest.approx(1_120_000 / (36 * 10**2), rel=0.01)


@pytest.mark.published(
    source=(
        "A. Staniforth, Race and Rally Car Source Book, quoted second-hand: 1e4 T^2 K^2 (D^4 - d^4) / (R^2 L/2) lb "
        "in per degree"
    ),
    grade="B",
    tolerance="2 %",
)
def test_a_hollow_bar_has_the_roll_stiffness_of_staniforths_formula():
    track, ratio, outside, bore, arm, length = 60.0, 0.5, 1.25, 1.0, 9.0, 40.0  # inches
    bar = rates.torsion_bar_rate(
        outside * si.inch, bore * si.inch, length * si.inch, arm * si.inch, shear_modulus=11.5e6 * si.psi
    )
    per_degree = rates.wheel_rate(bar, ratio) * (track * si.inch) ** 2 * si.degree / (si.lbf * si.inch)
    printed = 1e4 * track**2 * ratio**2 * (outside**4 - bore**4) / (arm**2 * length / 2)
    assert per_degree == pytest.approx(printed, rel=0.02)
    assert per_degree / printed == pytest.approx(19_705 / 20_000, rel=1e-3)  # the printed constant is rounded up


@pytest.mark.published(
    source="shear modulus behind the same two formulas, 11.4 and 11.5 million psi", grade="A", tolerance="range"
)
def test_the_products_steel_lies_where_the_two_sources_put_it():
    assert 11.4e6 * si.psi <= rates.STEEL_SHEAR_MODULUS <= 11.52e6 * si.psi


@pytest.mark.published(source="springs in series carry the same force (definition)", grade="A", tolerance="1e-14")
def test_a_spring_on_its_tyre_gives_way_by_both_travels():
    spring, tyre, force = 40_000.0, 200_000.0, 1234.0
    joined = rates.rate_in_series(spring, tyre)
    assert force / joined == pytest.approx(force / spring + force / tyre, rel=1e-14)
    assert rates.rate_in_series(spring, 0.0) == 0.0
