"""Every physical quantity of the program once, with the units it is shown in; and every unit a file may state.

Documentation, prompts and reports are made from these tables.
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
GRAVITY = 9.80665  # m/s2, standard gravity, exact
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


@dataclass(frozen=True)
class Unit:
    """SI value = number * size + zero. dimension: the group of units it may be exchanged with."""

    name: str
    dimension: str
    size: float
    zero: float = 0.0


_ROWS: dict[str, tuple[tuple[str, float, str], ...]] = {
    "length": (
        ("m", 1.0, "metre meter metres meters"),
        ("mm", 1e-3, "millimeter millimeter millimeters millimeters"),
        ("cm", 1e-2, "centimetre centimeter centimetres centimeters"),
        ("km", 1e3, "kilometer kilometer kilometers kilometers"),
        ("in", INCH, 'inch inches " ″'),
        ("ft", FOOT, "foot feet ' ′"),
        ("mi", MILE, "mile miles"),
        ("yd", 3 * FOOT, "yard yards"),
    ),
    "mass": (
        ("kg", 1.0, "kilogram kilograms kilo kilos"),
        ("lb", POUND, "lbs pound pounds lbm"),
        ("g", 1e-3, "gram grams"),
        ("oz", POUND / 16, "ounce ounces"),
        ("t", 1e3, "tonne tonnes"),
    ),
    "share": (("%", 0.01, "percent per|cent pct"),),
    "spring_rate": (
        ("N/m", 1.0, ""),
        ("lb/in", POUND_FORCE / INCH, "lbs/in lbf/in lb/inch lbs/inch lb|per|in pounds|per|inch lb|per|inch #/in"),
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
        ("psi", PSI, "psig psi|gauge lb/in2 lbs lb pound pounds"),
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
    "spring_rate_per_pressure": (
        ("N/m/Pa", 1.0, "N/m|per|Pa"),
        ("lb/in/psi", POUND_FORCE / INCH / PSI, "lb/in|per|psi"),
        ("N/mm/kPa", 1.0, "N/mm|per|kPa"),
        ("N/mm/bar", 1e-2, "N/mm|per|bar"),
    ),
    "length_per_pressure": (
        ("m/Pa", 1.0, ""),
        ("in/psi", INCH / PSI, "in|per|psi"),
        ("mm/kPa", 1e-6, "mm|per|kPa"),
        ("mm/bar", 1e-8, "mm|per|bar"),
    ),
    "pressure_per_force": (
        ("Pa/N", 1.0, ""),
        ("psi/lb", PSI / POUND_FORCE, "psi|per|lb psi/lbf"),
        ("kPa/kN", 1.0, "kPa|per|kN"),
    ),
    "angle_per_length": (
        ("rad/m", 1.0, ""),
        ("deg/in", DEGREE / INCH, "deg|per|in degrees|per|inch"),
        ("deg/m", DEGREE, "deg|per|m"),
        ("deg/mm", DEGREE * 1e3, "deg|per|mm"),
    ),
    "length_per_energy": (("m/J", 1.0, ""), ("mm/MJ", 1e-9, "mm|per|MJ"), ("in/MJ", INCH * 1e-6, "in|per|MJ")),
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
DIMENSION_NAMES: dict[str, str] = {
    "length": "length", "mass": "weight", "pressure": "pressure", "absolute_pressure": "absolute pressure",
    "rpm": "engine speed", "ratio": "plain number", "count": "plain number", "turns": "number of turns",
    "clicks": "number of clicks", "holes": "number of holes", "strips": "number of strips", "laps": "number of laps",
    "pressure_per_force": "pressure per load", "length_per_energy": "wear per work",
    "temperature_change": "change of temperature",
}  # fmt: skip
"""What a group of units is called in a message, where it is not the id with spaces."""


def name_dimension(dimension: str) -> str:
    """Say in words what a group of units measures."""
    return DIMENSION_NAMES.get(dimension, dimension.replace("_", " "))


@dataclass(frozen=True)
class Quantity:
    """One kind of quantity.

    name: in words, for messages ("spring rate"). symbol: as in formulas.
    si_unit: what the program computes with. trade_unit: shown in the trade system. metric_unit: shown in the SI system.
    sign: what plus means. meaning: one sentence.
    dimension: the group of units that may stand behind a number of this kind.
    places, metric_places: decimals shown unless asked otherwise.
    finest: smallest part of an inch the trade writes (16 for sixteenths), 0 when it writes decimals.
    """

    name: str
    symbol: str
    si_unit: str
    trade_unit: str
    sign: str
    meaning: str
    metric_unit: str
    dimension: str
    places: int = 1
    metric_places: int = 1
    finest: int = 0


def _q(
    name: str,
    symbol: str,
    units: tuple[str, str, str],
    places: tuple[int, int],
    meaning: str,
    *,
    of: str = "",
    sign: str = "more",
    finest: int = 0,
) -> Quantity:
    si, trade, metric = units
    return Quantity(name, symbol, si, trade, sign, meaning, metric, of or name.replace(" ", "_"), *places, finest)


# fmt: off
QUANTITIES: dict[str, Quantity] = {
    "length": _q("length", "l", ("m", "ft", "m"), (1, 1), "A distance on the track, such as a radius or a straight."),
    "lap_length": _q("lap length", "L", ("m", "mi", "m"), (3, 0), "Length of one lap.", of="length"),
    "short_length": _q("length", "l", ("m", "in", "mm"), (2, 1), "A distance on the car.", of="length", finest=16),
    "wheel_travel": _q("wheel travel", "z", ("m", "in", "mm"), (2, 1), "Up and down of a wheel against the body.",
        of="length", sign="bump", finest=16),
    "mass": _q("weight", "m", ("kg", "lb", "kg"), (0, 1), "What the scales read.", of="mass"),
    "share": _q("share", "x", ("1", "%", "%"), (1, 1), "A part of the whole, 0 to 100 %.", of="share"),
    "spring_rate": _q("spring rate", "k", ("N/m", "lb/in", "N/mm"), (0, 1), "Force per travel.", sign="stiffer"),
    "shock_rate": _q("shock rate", "c", ("N s/m", "lb s/in", "N s/m"), (1, 0), "Shock force per shaft speed.",
        sign="stiffer"),
    "angle": _q("angle", "a", ("rad", "deg", "deg"), (1, 1), "An angle; each lever says which way is plus."),
    "pressure": _q("gauge pressure", "p", ("Pa", "psi", "kPa"), (1, 0),
        "Tire pressure above the air around, as a gauge reads it.", of="pressure"),
    "absolute_pressure": _q("absolute pressure", "P", ("Pa abs", "inHg", "hPa"), (2, 0),
        "Pressure above vacuum, such as the weather's."),
    "temperature": _q("temperature", "T", ("K", "F", "C"), (0, 0), "A temperature on a thermometer; stored in kelvin.",
        sign="hotter"),
    "temperature_change": _q("change of temperature", "dT", ("K", "F", "C"), (0, 0),
        "A difference of two temperatures.", of="temperature_change", sign="hotter"),
    "speed": _q("speed", "v", ("m/s", "mph", "km/h"), (1, 1), "Speed over the ground.", sign="forward"),
    "acceleration": _q("acceleration", "a", ("m/s2", "g", "g"), (2, 2), "Change of speed per time.",
        sign="forward, or to the left"),
    "force": _q("force", "F", ("N", "lbf", "N"), (0, 0), "A push or a pull.", of="force"),
    "power": _q("power", "P", ("W", "hp", "kW"), (0, 0), "Work per time."),
    "torque": _q("torque", "M", ("N m", "lb ft", "N m"), (0, 0), "A turning force.", of="torque"),
    "energy": _q("energy", "E", ("J", "kJ", "kJ"), (1, 1), "Work or heat."),
    "volume": _q("volume", "V", ("m3", "gal", "L"), (1, 1), "A volume, such as of fuel."),
    "density": _q("density", "rho", ("kg/m3", "lb/gal", "kg/m3"), (2, 2), "Mass per volume.", of="density"),
    "area": _q("area", "A", ("m2", "ft2", "m2"), (1, 2), "An area, or a drag or lift area c A.", of="area"),
    "time": _q("time", "t", ("s", "s", "s"), (2, 2), "A time."),
    "lap_time": _q("lap time", "t", ("s", "s", "s"), (2, 2), "A lap time, 1:02.4 or 62.4 s.", of="time"),
    "rpm": _q("engine speed", "n", ("rpm", "rpm", "rpm"), (0, 0), "Turns per minute.", of="rpm", sign="faster"),
    "fuel_use": _q("fuel use", "b", ("kg/J", "lb/hp h", "g/kWh"), (3, 0),
        "Fuel burned per work done at the crankshaft."),
    "ratio": _q("ratio", "i", ("1", "", ""), (2, 2), "A plain ratio, such as of gears.", of="ratio"),
    "count": _q("number", "n", ("1", "", ""), (0, 0), "A plain number.", of="count"),
    "turns": _q("number of turns", "n", ("turns", "turns", "turns"), (2, 2), "Turns of a screw.", of="turns", finest=4),
    "clicks": _q("number of clicks", "n", ("clicks", "clicks", "clicks"), (0, 0), "Clicks of a knob.", of="clicks"),
    "holes": _q("number of holes", "n", ("holes", "holes", "holes"), (0, 0), "Holes of a bracket.", of="holes"),
    "strips": _q("number of strips", "n", ("strips", "strips", "strips"), (0, 0), "Strips of tape.", of="strips"),
    "laps": _q("number of laps", "n", ("laps", "laps", "laps"), (0, 0), "Laps.", of="laps"),
    "rate_per_pressure": _q("spring rate per pressure", "dk/dp", ("N/m/Pa", "lb/in/psi", "N/mm/kPa"), (1, 3),
        "How much stiffer a tire gets with air."),
    "length_per_pressure": _q("length per pressure", "dr/dp", ("m/Pa", "in/psi", "mm/kPa"), (3, 3),
        "How much a tire grows with air."),
    "pressure_per_force": _q("pressure per load", "dp/dF", ("Pa/N", "psi/lb", "kPa/kN"), (4, 2),
        "How much more air more load wants.", of="pressure_per_force"),
    "angle_per_length": _q("angle per length", "da/dz", ("rad/m", "deg/in", "deg/m"), (2, 1),
        "Such as camber gained per wheel travel."),
    "length_per_energy": _q("wear per work", "w", ("m/J", "in/MJ", "mm/MJ"), (4, 3), "Tread used per sliding work.",
        of="length_per_energy"),
    "heat_capacity": _q("heat capacity", "C", ("J/K", "kJ/K", "kJ/K"), (1, 1), "Heat for one kelvin."),
    "cooling": _q("cooling", "h", ("W/K", "W/K", "W/K"), (1, 1), "Heat lost per kelvin and second."),
}
# fmt: on
"""Kind id to quantity."""
LOG_KINDS: dict[str, str] = {
    "lap time": "lap_time",
    "tread temperature": "temperature_change",
    "hot pressure": "pressure",
    "wear": "short_length",
    "fuel": "volume",
}
"""What is compared in a run log to the kind of a difference of two of its readings; only the reading of a temperature
itself is of another kind."""
