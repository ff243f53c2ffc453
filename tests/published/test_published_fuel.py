"""Fuel."""

import pytest
from scipy import constants as si

from assistant.ground.units import from_unit, to_unit
from assistant.physics import formulas


@pytest.mark.published(
    source=(
        "BS EN 228:2012 limits, 720 to 775 kg/m^3 at 15 C (table read at scribd.com); 6.01 to 6.47 lb per US "
        "gallon computed by us"
    ),
    grade="A",
    tolerance="0.1 %",
)
def test_a_gallon_of_gasoline_weighs_what_the_standard_allows():
    low, high = (formulas.fuel_mass(si.gallon, density) / si.lb for density in (720.0, 775.0))
    assert low == pytest.approx(6.01, rel=1e-3)
    assert high == pytest.approx(6.47, rel=1e-3)


@pytest.mark.published(
    source="Wikipedia, Brake-specific fuel consumption: 1 lb/(hp h) = 608.277 g/(kW h)", grade="A", tolerance="0.1 %"
)
def test_a_pound_per_horsepower_hour_is_read_as_the_printed_metric_value():
    use = from_unit(1.0, "lb/hp h")
    assert to_unit(use, "g/kWh") == pytest.approx(608.277, rel=1e-3)
    assert formulas.fuel_burned(si.hp * si.hour, use) == pytest.approx(si.lb, rel=1e-3)


@pytest.mark.published(
    source="Wikipedia, Brake-specific fuel consumption: 322 g/(kW h) gasoline average; 0.0122225 kWh/g from memory",
    grade="B",
    tolerance="0.2 %",
)
def test_the_average_gasoline_engine_has_the_efficiency_that_follows_from_its_consumption():
    assert formulas.efficiency(322 * si.gram / (si.kilo * si.hour)) == pytest.approx(0.254, rel=2e-3)


@pytest.mark.published(source="counting", grade="A", tolerance="exact")
def test_a_lap_that_runs_dry_does_not_count():
    assert formulas.laps_in_tank(44.9, 1.5) == 29
    assert formulas.laps_in_tank(45.0, 1.5) == 30
