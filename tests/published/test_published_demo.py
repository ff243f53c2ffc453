"""The demo's invented car, tire and fuel lie inside published ranges."""

import numpy as np
import pytest
from scipy import constants as si

from assistant.physics.car_and_driver import collect_numbers
from assistant.physics.formulas import efficiency
from assistant.physics.tire_grip import Air, find_grip

MILLIKEN = (
    "Milliken and Milliken, Race Car Vehicle Dynamics, fig. 2.9, as tabulated in Wikipedia, Tire load sensitivity: "
    "1.10, 1.08, 0.97 at 900, 1350, 1800 lbf, reached at 5.6, 6.0, 6.7 degrees"
)


def bare_grip(case, loads):
    """Grip and slip of the demo tire at its best pressure, lean and temperature."""
    numbers = collect_numbers(case.car, case.tire, case.setup)
    air = Air(np.full(loads.shape, 2e5), np.full(loads.shape, 2e5), loads)
    return find_grip(numbers, loads, air, np.full(loads.shape, case.tire.best_camber), np.ones(loads.shape))


@pytest.mark.published(
    source="Wikipedia, Tire load sensitivity: largest side force grows as load to the power 0.7 to 0.9",
    grade="A",
    tolerance="range",
)
def test_the_demo_tires_side_force_grows_as_published_tires_do(case):
    loads = np.array([2000.0, 4000.0, 8000.0])
    force = bare_grip(case, loads).peak
    exponents = np.diff(np.log(force)) / np.diff(np.log(loads))
    assert (exponents > 0.7).all()
    assert (exponents < 0.9).all()


@pytest.mark.published(
    source=(
        "Wikipedia, Tire load sensitivity: road tires peak at 6 to 10 degrees, rising with load; racing tire 5.6 "
        "to 6.7 (fig. 2.9 there)"
    ),
    grade="A",
    tolerance="range, 5 to 7 degrees at race loads",
)
def test_the_demo_tires_peak_lies_where_racing_tires_have_theirs_and_moves_out_with_load(case):
    numbers = collect_numbers(case.car, case.tire, case.setup)
    loads = np.array([900.0, 1350.0, 1800.0]) * si.lbf
    best = 30.0 * si.psi  # a usual hot right-side pressure, alike for all three loads
    for pressure in (case.tire.pressure_ref, best):  # cold and hot
        air = Air(np.full(3, pressure), np.full(3, best), loads)
        slips = find_grip(numbers, loads, air, np.zeros(3), np.ones(3)).slip / si.degree
        assert (np.diff(slips) > 0).all()
        assert ((slips > 5) & (slips < 7)).all()


@pytest.mark.published(
    source=MILLIKEN, grade="A", tolerance="4 % at each point (a power law fits no better than 2.8 %)"
)
def test_the_demo_tires_friction_is_near_the_published_one(case):
    loads = np.array([900.0, 1350.0, 1800.0]) * si.lbf
    assert bare_grip(case, loads).peak / loads == pytest.approx([1.10, 1.08, 0.97], rel=0.04)


@pytest.mark.published(
    source="vehicles 1 to 3 of PyPI commonroad-vehicle-models 3.0.2: 189 786, 158 294, 212 642 N/m",
    grade="B",
    tolerance="range, 150 to 300 kN/m",
)
def test_the_demo_tire_is_about_as_stiff_as_published_tires(case):
    pressures = np.array([case.setup.values[f"pressure_{corner}"] for corner in ("lf", "rf", "lr", "rr")])
    rates = case.tire.rate + case.tire.rate_pressure * (pressures - case.tire.pressure_ref)
    assert ((rates > 150e3) & (rates < 300e3)).all()


@pytest.mark.published(
    source="BS EN 228:2012, 720 to 775 kg/m^3 at 15 C (table read at scribd.com)", grade="A", tolerance="range"
)
def test_the_demo_cars_fuel_is_as_dense_as_gasoline(case):
    assert 720.0 <= case.car.fuel_density <= 775.0


@pytest.mark.published(
    source="Wikipedia, Brake-specific fuel consumption: gasoline engines about 322 g/(kW h) on average",
    grade="A",
    tolerance="range, 0.2 to 0.4",
)
def test_the_demo_engine_turns_a_plausible_share_of_its_fuel_into_work(case):
    assert 0.2 < efficiency(case.car.engine.fuel_use) < 0.4
