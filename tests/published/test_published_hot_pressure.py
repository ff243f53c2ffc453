"""Hot pressure."""

import numpy as np
import pytest
from scipy import constants as si

from assistant.physics import formulas


@pytest.mark.published(
    source="OpenStax, College Physics, sect. 13.3: 7.00e5 Pa absolute, 18 C to 35 C", grade="A", tolerance="0.3 %"
)
def test_a_tire_warmed_by_seventeen_degrees_has_the_books_pressure():
    hot = formulas.pressure_at(273.15 + 35, 7.00e5 - 101_325, 273.15 + 18, air=101_325)
    assert hot + 101_325 == pytest.approx(7.41e5, rel=0.003)


@pytest.mark.published(
    source="ftp.team.net fot/2002-07/msg00126: 20 psi gauge at 70 F, air 14.7 psi", grade="A", tolerance="0.5 %"
)
def test_a_race_tire_has_the_printed_pressures_cold_and_hot():
    kelvin = (np.array([50.0, 130.0]) + 459.67) / 1.8
    pressures = formulas.pressure_at(kelvin, 20 * si.psi, (70 + 459.67) / 1.8, air=14.7 * si.psi)
    assert pressures / si.psi == pytest.approx([18.7, 23.9], rel=0.005)


@pytest.mark.published(
    source=(
        "hlsn.net scales the gauge pressure (30 psi, 11 C to 54 C: 34.5 psi), a mistake in circulation; the right "
        "answer, 36.76 psi, computed by us"
    ),
    grade="B",
    tolerance="0.1 %",
)
def test_the_law_is_used_on_absolute_pressure_not_on_the_gauge():
    hot = formulas.pressure_at(273.15 + 54, 30 * si.psi, 273.15 + 11) / si.psi
    assert hot == pytest.approx(36.76, rel=0.001)
    assert hot != pytest.approx(34.5, rel=0.05)


@pytest.mark.published(
    source=(
        "rules of thumb 0.8 and 1.0 psi per 10 F at classicsandperformance.com; 0.84 at 30 psi and 70 F computed by us"
    ),
    grade="B",
    tolerance="0.5 %",
)
def test_the_slope_lies_between_the_trades_two_rules_of_thumb():
    slope = formulas.pressure_per_kelvin(30 * si.psi, (70 + 459.67) / 1.8) * (10 / 1.8) / si.psi
    assert slope == pytest.approx(0.84, rel=0.005)
    assert 0.8 < slope < 1.0


@pytest.mark.published(source="ideal gas law", grade="A", tolerance="1e-12")
def test_going_back_to_the_first_temperature_gives_back_the_first_pressure():
    cold = np.linspace(0.5e5, 4e5, 8)
    hot = formulas.pressure_at(370.0, cold, 290.0)
    assert formulas.pressure_at(290.0, cold, 290.0) == pytest.approx(cold, rel=1e-12)
    assert formulas.pressure_at(290.0, hot, 370.0) == pytest.approx(cold, rel=1e-12)
    assert (hot > cold).all()
