"""Springs, wheel rates and bars."""

import pytest
from scipy import constants as si

from assistant.physics import formulas

POUND_PER_INCH = si.lbf / si.inch


@pytest.mark.published(
    source=(
        "Circle Track, April 2010, sway bar rating techniques (19.0 in arm, link 3.0 in inboard, 600 lb/in at the "
        "wheel)"
    ),
    grade="A",
    tolerance="0.1 %",
)
def test_the_printed_rate_at_the_bar_end_gives_the_printed_rate_at_the_wheel():
    ratio = 16.0 / 19.0
    assert formulas.wheel_rate(1.0, ratio) == pytest.approx(0.70914, rel=1e-3)
    assert formulas.wheel_rate(846 * POUND_PER_INCH, ratio) / POUND_PER_INCH == pytest.approx(600, rel=1e-3)


@pytest.mark.published(
    source="Barton and Fieldhouse, Automotive Chassis Engineering (Springer, 2018), p. 179, eq. 3.29 to 3.33",
    grade="A",
    tolerance="1e-14",
)
def test_the_wheel_rate_is_linear_in_the_spring_and_quadratic_in_the_ratio():
    base = formulas.wheel_rate(30_000.0, 0.25 / 0.40)
    assert base == pytest.approx(30_000 * (0.25 / 0.40) ** 2, rel=1e-14)
    assert formulas.wheel_rate(60_000.0, 0.25 / 0.40) == pytest.approx(2 * base, rel=1e-14)
    assert formulas.wheel_rate(30_000.0, 0.50 / 0.40) == pytest.approx(4 * base, rel=1e-14)


@pytest.mark.published(
    source="Elcova forum post 153375: 1 120 000 d^4 / (L l^2), G 11.4 million psi; 311 lb/in for 1.0 x 36 x 10 in",
    grade="A",
    tolerance="1 %",
)
def test_a_torsion_bar_has_the_rate_of_the_trades_formula():
    bar = formulas.torsion_bar_rate(1.0 * si.inch, 0.0, 36 * si.inch, 10 * si.inch, shear_modulus=11.4e6 * si.psi)
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
    bar = formulas.torsion_bar_rate(
        outside * si.inch, bore * si.inch, length * si.inch, arm * si.inch, shear_modulus=11.5e6 * si.psi
    )
    stiffness = formulas.roll_stiffness(track * si.inch, 0.0, 0.0, formulas.wheel_rate(bar, ratio))
    per_degree = stiffness * si.degree / (si.lbf * si.inch)
    printed = 1e4 * track**2 * ratio**2 * (outside**4 - bore**4) / (arm**2 * length / 2)
    assert per_degree == pytest.approx(printed, rel=0.02)
    assert per_degree / printed == pytest.approx(19_705 / 20_000, rel=1e-3)  # the printed constant is rounded up


@pytest.mark.published(
    source="shear modulus behind the same two formulas, 11.4 and 11.5 million psi", grade="A", tolerance="range"
)
def test_the_products_steel_lies_where_the_two_sources_put_it():
    assert 11.4e6 * si.psi <= formulas.STEEL_SHEAR_MODULUS <= 11.52e6 * si.psi


@pytest.mark.published(source="springs in series carry the same force (definition)", grade="A", tolerance="1e-14")
def test_a_spring_on_its_tire_gives_way_by_both_travels():
    spring, tire, force = 40_000.0, 200_000.0, 1234.0
    joined = formulas.rate_in_series(spring, tire)
    assert force / joined == pytest.approx(force / spring + force / tire, rel=1e-14)
    assert formulas.rate_in_series(spring, 0.0) == 0.0


@pytest.mark.published(
    source="the usual formula of roll stiffness, half of rate times track squared, from memory; derived by us",
    grade="C",
    tolerance="1e-12",
)
def test_two_springs_and_a_bar_hold_the_body_by_half_the_rate_and_the_bar_times_base_squared():
    assert formulas.roll_stiffness(1.2, 30e3, 30e3) == pytest.approx(30e3 * 1.2**2 / 2, rel=1e-12)
    assert formulas.roll_stiffness(1.2, 30e3, 30e3, 10e3) == pytest.approx(25e3 * 1.2**2, rel=1e-12)
    # unequal springs: the pair rises as it rolls; force up = 0 gives z, the moment follows
    left, right, half, roll = 20e3, 50e3, 0.6, 0.01
    rise = half * roll * (right - left) / (left + right)
    moment = half * (left * (rise + half * roll) - right * (rise - half * roll))
    assert formulas.roll_stiffness(1.2, left, right) == pytest.approx(moment / roll, rel=1e-12)
