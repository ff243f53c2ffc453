"""Every physical quantity of the program once, with the units it is shown in; and every unit a file may state.

Prompts, pages and files are read and written by these tables.
The sizes of inch, foot, mile, pound, gallon and standard gravity are exact by definition
(NIST Special Publication 811, 2008, appendix B). Everything else here is computed from them.
`tests/ground/test_units.py` compares each one with pint.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

INCH = 0.0254  # m, exact
FOOT = 12 * INCH
MILE = 5280 * FOOT
POUND = 0.45359237  # kg, exact
GRAVITY = 9.80665  # m/s2, standard gravity, exact (third General Conference on Weights and Measures)
POUND_FORCE = POUND * GRAVITY  # N
GALLON = 231 * INCH**3  # m3, United States liquid gallon
IMPERIAL_GALLON = 4.54609e-3  # m3, exact
PSI = POUND_FORCE / INCH**2  # Pa
HORSEPOWER = 550 * FOOT * POUND_FORCE  # W, mechanical
METRIC_HORSEPOWER = 75 * GRAVITY  # W
HOUR = 3600.0  # s
DEGREE = pi / 180  # rad
MERCURY_INCH = 3386.389  # Pa, conventional inch of mercury, NIST SP 811
FAHRENHEIT = 5 / 9  # K
ZERO_CELSIUS = 273.15  # K, exact
ZERO_FAHRENHEIT = ZERO_CELSIUS - 32 * FAHRENHEIT

EIGHT_OF_TEN = 1.2816
"""Standard deviations to either side that hold eight of ten normal numbers."""


@dataclass(frozen=True)
class Unit:
    """SI value = number * size + zero. dimension: the group of units it may be exchanged with."""

    name: str
    dimension: str
    size: float
    zero: float = 0.0


_ROWS: dict[str, tuple[tuple[str, float, str], ...]] = {
    "length": (
        ("m", 1.0, "meter metre meters metres"),
        ("mm", 1e-3, "millimeter millimetre millimeters millimetres"),
        ("cm", 1e-2, "centimeter centimetre centimeters centimetres"),
        ("km", 1e3, "kilometer kilometre kilometers kilometres"),
        ("in", INCH, 'inch inches " ″'),
        ("ft", FOOT, "foot feet ' ′"),
        ("mi", MILE, "mile miles"),
        ("yd", 3 * FOOT, "yard yards"),
    ),
    "mass": (
        ("kg", 1.0, "kilogram kilograms kilo kilos"),
        ("lb", POUND, "lbs pound pounds lbm #"),
        ("g", 1e-3, "gram grams"),
        ("oz", POUND / 16, "ounce ounces"),
        ("t", 1e3, "tonne tonnes"),
    ),
    "share": (("%", 0.01, "percent per|cent pct"),),
    "spring_rate": (
        ("N/m", 1.0, ""),
        (
            "lb/in",
            POUND_FORCE / INCH,
            "lbs/in lbf/in lb/inch lbs/inch lb|per|in pounds|per|inch lb|per|inch #/in lb lbs pound pounds #",
        ),
        ("N/mm", 1e3, "kN/m"),
        ("kg/mm", GRAVITY * 1e3, "kgf/mm"),
    ),
    "shock_rate": (
        ("N s/m", 1.0, "Ns/m N*s/m N·s/m N/(m/s)"),
        ("N s/mm", 1e3, "Ns/mm N*s/mm"),
        ("lb s/in", POUND_FORCE / INCH, "lb*s/in lbs|s/in lb/(in/s) lbf|s/in"),
    ),
    "angle": (("rad", 1.0, "radian radians"), ("deg", DEGREE, "degree degrees °"), ("mrad", 1e-3, "")),
    "pressure": (
        ("Pa", 1.0, "Pa|gauge"),
        ("kPa", 1e3, "kPa|gauge"),
        ("psi", PSI, "psig psi|gauge lb/in2 lbs lb pound pounds #"),
        ("bar", 1e5, "bar|gauge barg bars"),
        ("MPa", 1e6, ""),
    ),
    "absolute_pressure": (
        ("Pa abs", 1.0, "Pa|absolute"),
        ("hPa", 1e2, "hPa|abs"),
        ("mbar", 1e2, "millibar millibars mbar|abs"),
        ("kPa abs", 1e3, "kPa|absolute"),
        ("bar abs", 1e5, "bar|absolute"),
        ("psia", PSI, "psi|abs psi|absolute"),
        ("inHg", MERCURY_INCH, "in|Hg inches|of|mercury"),
        ("mmHg", MERCURY_INCH / 25.4, "mm|Hg"),
    ),
    "speed": (
        ("m/s", 1.0, "m|/|s"),
        ("mph", MILE / HOUR, "mi/h miles|per|hour"),
        ("km/h", 1e3 / HOUR, "kph kmh kmph"),
        ("ft/s", FOOT, "fps"),
        ("in/s", INCH, "ips"),
    ),
    "acceleration": (("m/s2", 1.0, "m/s^2 m/s²"), ("g", GRAVITY, "gs G"), ("ft/s2", FOOT, "ft/s^2 ft/s²")),
    "force": (
        ("N", 1.0, "newton newtons"),
        ("lbf", POUND_FORCE, "lb lbs pound pounds"),
        ("kN", 1e3, ""),
        ("kgf", GRAVITY, "kg"),
    ),
    "power": (
        ("W", 1.0, "watt watts"),
        ("kW", 1e3, "kilowatt kilowatts"),
        ("hp", HORSEPOWER, "horsepower bhp"),
        ("PS", METRIC_HORSEPOWER, "metric|hp"),
    ),
    "torque": (("N m", 1.0, "Nm N*m N·m"), ("lb ft", FOOT * POUND_FORCE, "lb-ft ft-lb ft|lb lbf|ft lb*ft")),
    "energy": (("J", 1.0, "joule joules"), ("kJ", 1e3, ""), ("MJ", 1e6, ""), ("kWh", 3.6e6, "")),
    "volume": (
        ("m3", 1.0, "m^3 m³"),
        ("gal", GALLON, "gallon gallons US|gal US|gallons"),
        ("L", 1e-3, "l litre liter litres liters"),
        ("imp gal", IMPERIAL_GALLON, "imperial|gallons imperial|gallon imp|gallons"),
    ),
    "density": (
        ("kg/m3", 1.0, "kg/m^3 kg/m³"),
        ("kg/L", 1e3, "kg/l g/cm3 g/ml"),
        ("lb/gal", POUND / GALLON, "lbs/gal lb|per|gal pounds|per|gallon"),
        ("lb/ft3", POUND / FOOT**3, "lb/ft^3 lb/ft³"),
    ),
    "area": (
        ("m2", 1.0, "m^2 m²"),
        ("ft2", FOOT**2, "ft^2 ft² sq|ft square|feet"),
        ("in2", INCH**2, "in^2 in² sq|in square|inches"),
        ("cm2", 1e-4, "cm^2 cm²"),
    ),
    "time": (
        ("s", 1.0, "sec secs second seconds"),
        ("ms", 1e-3, ""),
        ("min", 60.0, "minute minutes mins"),
        ("h", HOUR, "hour hours hr hrs"),
    ),
    "rpm": (("rpm", 1.0, "1/min r/min rev/min revs"),),
    "fuel_use": (
        ("kg/J", 1.0, ""),
        ("lb/hp h", POUND / (HORSEPOWER * HOUR), "lb/hph lb/(hp|h) lb/hp-h lb/hp|hr lb/hp-hr"),
        ("g/kWh", 1e-3 / 3.6e6, "g/kW|h g/(kW|h)"),
    ),
    "ratio": (("", 1.0, ":1"),),
    "count": (("", 1.0, ""),),
    "turns": (("turns", 1.0, "turn round rounds"),),
    "clicks": (("clicks", 1.0, "click"),),
    "holes": (("holes", 1.0, "hole"),),
    "strips": (("strips", 1.0, "strip"),),
    "laps": (("laps", 1.0, "lap"),),
    "heat_capacity": (("J/K", 1.0, "J/C"), ("kJ/K", 1e3, "kJ/C"), ("J/F", 1 / FAHRENHEIT, "")),
    "cooling": (("W/K", 1.0, "W/C"),),
    "temperature_change": (("K", 1.0, "kelvin"), ("C", 1.0, "degC deg|C °C"), ("F", FAHRENHEIT, "degF deg|F °F deg")),
}


def _build() -> tuple[dict[str, dict[str, Unit]], dict[str, dict[str, Unit]]]:
    units: dict[str, dict[str, Unit]] = {}
    spellings: dict[str, dict[str, Unit]] = {}
    for dimension, rows in _ROWS.items():
        units[dimension] = {name: Unit(name, dimension, size) for name, size, _ in rows}
        spellings[dimension] = dict(units[dimension])
        for name, _, others in rows:
            for other in others.split():
                spellings[dimension].setdefault(other.replace("|", " "), units[dimension][name])
    thermometer = {
        "K": Unit("K", "temperature", 1.0),
        "C": Unit("C", "temperature", 1.0, ZERO_CELSIUS),
        "F": Unit("F", "temperature", FAHRENHEIT, ZERO_FAHRENHEIT),
    }
    units["temperature"] = thermometer
    spellings["temperature"] = {
        word: thermometer[unit.name] for word, unit in spellings["temperature_change"].items() if word != "deg"
    }
    return units, spellings


UNITS, SPELLINGS = _build()
"""UNITS: dimension to unit name to unit. SPELLINGS: the same with every other spelling."""


@dataclass(frozen=True)
class Quantity:
    """One kind of quantity. name: in words, for messages ("spring rate").

    dimension: the group of units that may stand behind a number of this kind.
    trade_unit, metric_unit: in which it is shown in the trade and in the SI system; places, metric_places: decimals
    unless asked otherwise. finest: smallest part of an inch the trade writes (16 for sixteenths), 0 for decimals.
    """

    name: str
    dimension: str
    trade_unit: str
    metric_unit: str
    places: int
    metric_places: int
    finest: int = 0


QUANTITIES: dict[str, Quantity] = {
    "length": Quantity("length", "length", "ft", "m", 1, 1),
    "lap_length": Quantity("lap length", "length", "mi", "m", 3, 0),
    "short_length": Quantity("length", "length", "in", "mm", 2, 1, 16),
    "wheel_travel": Quantity("wheel travel", "length", "in", "mm", 2, 1, 16),
    "mass": Quantity("weight", "mass", "lb", "kg", 0, 1),
    "share": Quantity("share", "share", "%", "%", 1, 1),
    "spring_rate": Quantity("spring rate", "spring_rate", "lb/in", "N/mm", 0, 1),
    "shock_rate": Quantity("shock rate", "shock_rate", "lb s/in", "N s/m", 1, 0),
    "angle": Quantity("angle", "angle", "deg", "deg", 1, 1),
    "pressure": Quantity("gauge pressure", "pressure", "psi", "kPa", 1, 0),
    "absolute_pressure": Quantity("absolute pressure", "absolute_pressure", "inHg", "hPa", 2, 0),
    "temperature": Quantity("temperature", "temperature", "F", "C", 0, 0),
    "temperature_change": Quantity("change of temperature", "temperature_change", "F", "C", 0, 0),
    "speed": Quantity("speed", "speed", "mph", "km/h", 1, 1),
    "acceleration": Quantity("acceleration", "acceleration", "g", "g", 2, 2),
    "force": Quantity("force", "force", "lbf", "N", 0, 0),
    "power": Quantity("power", "power", "hp", "kW", 0, 0),
    "torque": Quantity("torque", "torque", "lb ft", "N m", 0, 0),
    "energy": Quantity("energy", "energy", "kJ", "kJ", 1, 1),
    "volume": Quantity("volume", "volume", "gal", "L", 1, 1),
    "density": Quantity("density", "density", "lb/gal", "kg/m3", 2, 2),
    "area": Quantity("area", "area", "ft2", "m2", 1, 2),
    "time": Quantity("time", "time", "s", "s", 2, 2),
    "lap_time": Quantity("lap time", "time", "s", "s", 2, 2),
    "rpm": Quantity("engine speed", "rpm", "rpm", "rpm", 0, 0),
    "fuel_use": Quantity("fuel use", "fuel_use", "lb/hp h", "g/kWh", 3, 0),
    "ratio": Quantity("ratio", "ratio", "", "", 2, 2),
    "count": Quantity("number", "count", "", "", 0, 0),
    "turns": Quantity("number of turns", "turns", "turns", "turns", 2, 2, 4),
    "clicks": Quantity("number of clicks", "clicks", "clicks", "clicks", 0, 0),
    "holes": Quantity("number of holes", "holes", "holes", "holes", 0, 0),
    "strips": Quantity("number of strips", "strips", "strips", "strips", 0, 0),
    "laps": Quantity("number of laps", "laps", "laps", "laps", 0, 0),
    "heat_capacity": Quantity("heat capacity", "heat_capacity", "kJ/K", "kJ/K", 1, 1),
    "cooling": Quantity("cooling", "cooling", "W/K", "W/K", 1, 1),
}
"""Kind id to quantity. A pressure is what a gauge reads, above the air around; a temperature is on a thermometer."""
_DIMENSION_NAMES = {"pressure": "pressure", "ratio": "plain number", "count": "plain number"}
"""What a group of units is called in a message, where it is not what its first quantity is."""


def name_dimension(dimension: str) -> str:
    """Say in words what a group of units measures."""
    names = (quantity.name for quantity in QUANTITIES.values() if quantity.dimension == dimension)
    return _DIMENSION_NAMES.get(dimension) or next(names)


LOG_KINDS: dict[str, str] = {
    "lap time": "lap_time",
    "tread temperature": "temperature_change",
    "hot pressure": "pressure",
    "wear": "short_length",
    "fuel": "volume",
}
"""What is compared in a run log to the kind of a difference of two of its readings; only the reading of a temperature
itself is of another kind."""
