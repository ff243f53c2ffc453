"""Units: compared with pint, read as people write them, shown as people read them."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.ground.quantities import QUANTITIES, SPELLINGS, UNITS
from assistant.ground.units import UnitProblem, from_unit, read, show, to_unit, unit_of

PINT = pint.UnitRegistry()
PINT_NAMES = {
    ("mass", "lb"): "pound",
    ("mass", "t"): "metric_ton",
    ("mass", "g"): "gram",
    ("share", "%"): "percent",
    ("spring_rate", "lb/in"): "lbf/inch",
    ("spring_rate", "kg/mm"): "kgf/mm",
    ("shock_rate", "N s/m"): "N*s/m",
    ("shock_rate", "N s/mm"): "N*s/mm",
    ("shock_rate", "lb s/in"): "lbf*s/inch",
    ("length", "in"): "inch",
    ("absolute_pressure", "Pa abs"): "Pa",
    ("absolute_pressure", "kPa abs"): "kPa",
    ("absolute_pressure", "bar abs"): "bar",
    ("absolute_pressure", "psia"): "psi",
    ("speed", "km/h"): "km/hour",
    ("speed", "ft/s"): "ft/s",
    ("speed", "in/s"): "inch/s",
    ("acceleration", "m/s2"): "m/s**2",
    ("acceleration", "g"): "standard_gravity",
    ("acceleration", "ft/s2"): "ft/s**2",
    ("power", "PS"): "metric_horsepower",
    ("torque", "N m"): "N*m",
    ("torque", "lb ft"): "lbf*ft",
    ("volume", "m3"): "m**3",
    ("volume", "gal"): "gallon",
    ("volume", "imp gal"): "imperial_gallon",
    ("density", "kg/m3"): "kg/m**3",
    ("density", "lb/gal"): "lb/gallon",
    ("density", "lb/ft3"): "lb/ft**3",
    ("area", "m2"): "m**2",
    ("area", "ft2"): "ft**2",
    ("area", "in2"): "inch**2",
    ("area", "cm2"): "cm**2",
    ("time", "h"): "hour",
    ("rpm", "rpm"): "1",
    ("fuel_use", "lb/hp h"): "lb/(hp*hour)",
    ("fuel_use", "g/kWh"): "g/(kW*hour)",
    ("heat_capacity", "J/F"): "J/delta_degF",
    ("temperature_change", "C"): "delta_degC",
    ("temperature_change", "F"): "delta_degF",
    ("temperature", "C"): "degC",
    ("temperature", "F"): "degF",
}
PLAIN = {"ratio", "count", "turns", "clicks", "holes", "strips", "laps"}
UNIT_CASES = [(group, name) for group, units in UNITS.items() for name in units if group not in PLAIN]


@pytest.mark.parametrize(("group", "name"), UNIT_CASES)
def test_every_unit_is_as_large_as_pint_says(group, name):
    unit = UNITS[group][name]
    theirs = PINT.Quantity(37.5, PINT_NAMES.get((group, name), name)).to_base_units().magnitude
    assert 37.5 * unit.size + unit.zero == pytest.approx(theirs, rel=2e-7 if "Hg" in name else 1e-12)


@pytest.mark.parametrize("kind", QUANTITIES)
def test_every_kind_has_units_of_its_own_group_and_an_si_unit(kind):
    quantity = QUANTITIES[kind]
    assert quantity.trade_unit in UNITS[quantity.dimension]
    assert quantity.metric_unit in UNITS[quantity.dimension]
    assert quantity.dimension == "share" or 1.0 in {unit.size for unit in UNITS[quantity.dimension].values()}


@pytest.mark.parametrize("group", SPELLINGS)
def test_no_spelling_is_claimed_by_two_units_in_another_case(group):
    seen = {}
    for word, unit in SPELLINGS[group].items():
        assert seen.setdefault(word.casefold(), unit) == unit


@given(kind=st.sampled_from(sorted(QUANTITIES)), number=st.floats(-9e5, 9e5), system=st.sampled_from(["trade", "si"]))
def test_what_is_shown_is_read_back(kind, number, system):
    value = from_unit(number, unit_of(kind, system), kind)
    shown = show(value, kind, system=system, places=9)
    assert to_unit(read(shown, kind).value, unit_of(kind, system), kind) == pytest.approx(number, rel=1e-9, abs=1e-8)


@given(kind=st.sampled_from(sorted(QUANTITIES)), number=st.floats(-1e6, 1e6))
def test_a_number_goes_to_every_unit_of_its_kind_and_back(kind, number):
    for name in UNITS[QUANTITIES[kind].dimension]:
        assert to_unit(from_unit(number, name, kind), name, kind) == pytest.approx(number, rel=1e-9, abs=1e-6)


@given(whole=st.integers(0, 99), part=st.integers(1, 15), bottom=st.sampled_from([2, 4, 8, 16]))
def test_fractions_are_read_and_shown_alike(whole, part, bottom):
    value = whole + (part % bottom) / bottom
    written = f"{whole} {part % bottom}/{bottom} in"
    assert to_unit(read(written, "short_length").value, "in") == pytest.approx(value)
    shown = show(from_unit(value, "in"), "short_length", fraction=True)
    assert to_unit(read(shown, "short_length").value, "in") == pytest.approx(value)


@given(st.text(max_size=120), st.sampled_from(sorted(QUANTITIES)))
def test_any_text_is_read_or_explained(text, kind):
    try:
        value = read(text, kind).value
    except UnitProblem:
        return
    assert math.isfinite(value)


@pytest.mark.parametrize(
    ("written", "kind", "unit", "number"),
    [
        ("225 lb/in", "spring_rate", "lb/in", 225),
        ("225 lbs / inch", "spring_rate", "lb/in", 225),
        ("40 N/mm", "spring_rate", "N/mm", 40),
        ("1 3/4 in", "short_length", "in", 1.75),
        ("1-3/4 in", "short_length", "in", 1.75),
        ("9-1/2 in", "short_length", "in", 9.5),
        ("9½ in", "short_length", "in", 9.5),
        ('9 1/2"', "short_length", "in", 9.5),
        ("1/2", "short_length", "in", 0.5),
        ("-1/4 in", "short_length", "in", -0.25),
        ("−1 1/4 in", "short_length", "in", -1.25),
        ("+1/8 in", "short_length", "in", 0.125),
        ("8 ft 6 1/2 in", "short_length", "in", 102.5),
        (".5 in", "short_length", "in", 0.5),
        ("2,900 lb", "mass", "lb", 2900),
        ("1,234,567.5 lb", "mass", "lb", 1234567.5),
        ("50.2 %", "share", "%", 50.2),
        ("50.2%", "share", "%", 50.2),
        ("52:48", "share", "%", 52),
        ("3.25", "ratio", "", 3.25),
        ("16:1", "ratio", "", 16),
        ("1:02.4", "lap_time", "s", 62.4),
        ("15.62 s", "lap_time", "s", 15.62),
        ("180 °F", "temperature", "F", 180),
        ("80 C", "temperature", "F", 176),
        ("1/2 round", "turns", "turns", 0.5),
        ("3 clicks", "clicks", "clicks", 3),
        ("2.5 deg", "angle", "deg", 2.5),
        ("14 pounds", "pressure", "psi", 14),
        ("29.92 inHg", "absolute_pressure", "hPa", 1013.2076),
        ("650 HP", "power", "hp", 650),
        (24, "short_length", "in", 24),
        (2.5, "angle", "deg", 2.5),
    ],
)
def test_values_are_read_as_people_write_them(written, kind, unit, number):
    assert to_unit(read(written, kind).value, unit, kind) == pytest.approx(number, rel=1e-7)


@pytest.mark.parametrize("written", ["16 in guessed", "16 in (guessed)", "16 in, guess", "16 in GUESSED"])
def test_guessed_behind_a_value_is_kept(written):
    assert read(written, "short_length") == read("16 in", "short_length").__class__(from_unit(16, "in"), guessed=True)


def test_measured_behind_a_value_is_no_guess():
    assert read("16 in measured", "short_length").guessed is False


def test_a_bare_number_takes_the_unit_of_its_file():
    assert read("400", "short_length", default_unit=unit_of("short_length", "si")).value == pytest.approx(0.4)
    assert read(400, "short_length", default_unit="mm").value == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("written", "kind", "message"),
    [
        ("225 psi", "spring_rate", "psi is a pressure, a spring rate is wanted; for example lb/in or N/mm"),
        ("14.7 psia", "pressure", "psia is an absolute pressure, a gauge pressure is wanted; for example psi or kPa"),
        (
            "30 psi",
            "absolute_pressure",
            "psi is a gauge pressure, an absolute pressure is wanted; for example inHg or hPa",
        ),
        ("12 lbz", "mass", "no weight is measured in 'lbz'; did you mean 'lb'?"),
        ("12 blorb", "angle", "no angle is measured in 'blorb'; for example 12 deg"),
        ("1,5 in", "short_length", "'1,5 in' has a comma where thousands do not end; write 1.5 or 1,500"),
        ("1_000 lb", "mass", "'1_000 lb' is not one number; for example lb or kg"),
        ("", "mass", "a value is missing here; for example lb or kg"),
        ("heavy", "mass", "'heavy' does not start with a number; for example lb or kg"),
        ("nan", "mass", "'nan' does not start with a number; for example lb or kg"),
        ("--4", "ratio", "'--4' does not start with a number; write a plain number, such as 4.11"),
        ("3/0 in", "short_length", "'3/0' divides by zero; for example in or mm"),
        ("52:49", "share", "the two parts of '52:49' do not add up to 100; write the first part alone, such as 52 %"),
        ("1e999 lb", "mass", "'1e999 lb' is too large to be meant; check the number of digits"),
        pytest.param(10**5000, "mass", "this number is too large to be meant; check the number of digits", id="huge"),
        (math.nan, "mass", "this number is too large to be meant; check the number of digits"),
        (True, "mass", "'true' is not a weight; for example lb or kg"),
        ("1" * 81, "mass", "a value of 81 characters is too long; for example lb or kg"),
    ],
)
def test_what_cannot_be_read_is_explained(written, kind, message):
    with pytest.raises(UnitProblem) as caught:
        read(written, kind)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("value", "kind", "options", "shown"),
    [
        (from_unit(225, "lb/in"), "spring_rate", {}, "225 lb/in"),
        (from_unit(225, "lb/in"), "spring_rate", {"system": "si"}, "39.4 N/mm"),
        (from_unit(9.5, "in"), "short_length", {"fraction": True}, "9 1/2 in"),
        (from_unit(-0.125, "in"), "short_length", {"fraction": True, "signed": True}, "-1/8 in"),
        (from_unit(9.51, "in"), "short_length", {"fraction": True}, "9.51 in"),
        (from_unit(9.5, "in"), "short_length", {"fraction": True, "system": "si"}, "241.3 mm"),
        (0.51, "share", {}, "51.0 %"),
        (0.51, "share", {"unit": False}, "51.0"),
        (-1e-9, "share", {}, "0.0 %"),
        (1e-9, "share", {"signed": True}, "0.0 %"),
        (0.003, "share", {"signed": True}, "+0.3 %"),
        (from_unit(2900, "lb"), "mass", {}, "2,900 lb"),
        (62.4, "lap_time", {}, "1:02.40"),
        (15.6, "lap_time", {}, "15.60 s"),
        (0.5, "turns", {"fraction": True}, "1/2 turns"),
        (1.0, "clicks", {}, "1 click"),
        (2.0, "strips", {}, "2 strips"),
        (355.372222, "temperature", {}, "180 F"),
        (355.372222, "temperature", {"system": "si"}, "82 C"),
        (5.5555556, "temperature_change", {}, "10 F"),
        (4.11, "ratio", {}, "4.11"),
    ],
)
def test_values_are_shown_as_people_read_them(value, kind, options, shown):
    assert show(value, kind, **options) == shown


def test_a_value_that_is_no_number_is_our_mistake_and_stays_loud():
    with pytest.raises(ValueError, match="cannot be shown as spring rate"):
        show(math.inf, "spring_rate")


def test_without_a_kind_f_is_a_thermometer_and_lb_a_weight():
    assert to_unit(273.15, "F") == pytest.approx(32)
    assert from_unit(10, "F", "temperature_change") == pytest.approx(10 / 1.8)
    assert from_unit(1, "lb") == pytest.approx(0.45359237)


def test_an_unknown_unit_in_our_own_code_names_the_nearest():
    with pytest.raises(UnitProblem, match=r"^no unit is called 'lb/inn'; did you mean 'lb/in'\?$"):
        from_unit(1, "lb/inn")
