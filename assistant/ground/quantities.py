"""Every physical quantity of the program once: its name, symbol, units, sign and meaning.

Documentation, prompts and reports are made from this table. The units themselves are in `unit_table`.
"""

from __future__ import annotations

from dataclasses import dataclass


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


QUANTITIES: dict[str, Quantity] = {
    "length": _q("length", "l", ("m", "ft", "m"), (1, 1), "A distance on the track, such as a radius or a straight."),
    "lap_length": _q("lap length", "L", ("m", "mi", "m"), (3, 0), "Length of one lap.", of="length"),
    "short_length": _q("length", "l", ("m", "in", "mm"), (2, 1), "A distance on the car.", of="length", finest=16),
    "wheel_travel": _q(
        "wheel travel",
        "z",
        ("m", "in", "mm"),
        (2, 1),
        "Up and down of a wheel against the body.",
        of="length",
        sign="bump",
        finest=16,
    ),
    "mass": _q("weight", "m", ("kg", "lb", "kg"), (0, 1), "What the scales read.", of="mass"),
    "share": _q("share", "x", ("1", "%", "%"), (1, 1), "A part of the whole, 0 to 100 %.", of="share"),
    "spring_rate": _q("spring rate", "k", ("N/m", "lb/in", "N/mm"), (0, 1), "Force per travel.", sign="stiffer"),
    "shock_rate": _q(
        "shock rate", "c", ("N s/m", "lb s/in", "N s/m"), (1, 0), "Shock force per shaft speed.", sign="stiffer"
    ),
    "angle": _q("angle", "a", ("rad", "deg", "deg"), (1, 1), "An angle; each lever says which way is plus."),
    "pressure": _q(
        "gauge pressure",
        "p",
        ("Pa", "psi", "kPa"),
        (1, 0),
        "Tire pressure above the air around, as a gauge reads it.",
        of="pressure",
    ),
    "absolute_pressure": _q(
        "absolute pressure", "P", ("Pa abs", "inHg", "hPa"), (2, 0), "Pressure above vacuum, such as the weather's."
    ),
    "temperature": _q(
        "temperature", "T", ("K", "F", "C"), (0, 0), "A temperature on a thermometer; stored in kelvin.", sign="hotter"
    ),
    "temperature_change": _q(
        "change of temperature",
        "dT",
        ("K", "F", "C"),
        (0, 0),
        "A difference of two temperatures.",
        of="temperature_change",
        sign="hotter",
    ),
    "speed": _q("speed", "v", ("m/s", "mph", "km/h"), (1, 1), "Speed over the ground.", sign="forward"),
    "acceleration": _q(
        "acceleration", "a", ("m/s2", "g", "g"), (2, 2), "Change of speed per time.", sign="forward, or to the left"
    ),
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
    "fuel_use": _q(
        "fuel use", "b", ("kg/J", "lb/hp h", "g/kWh"), (3, 0), "Fuel burned per work done at the crankshaft."
    ),
    "ratio": _q("ratio", "i", ("1", "", ""), (2, 2), "A plain ratio, such as of gears.", of="ratio"),
    "count": _q("number", "n", ("1", "", ""), (0, 0), "A plain number.", of="count"),
    "turns": _q("number of turns", "n", ("turns", "turns", "turns"), (2, 2), "Turns of a screw.", of="turns", finest=4),
    "clicks": _q("number of clicks", "n", ("clicks", "clicks", "clicks"), (0, 0), "Clicks of a knob.", of="clicks"),
    "holes": _q("number of holes", "n", ("holes", "holes", "holes"), (0, 0), "Holes of a bracket.", of="holes"),
    "strips": _q("number of strips", "n", ("strips", "strips", "strips"), (0, 0), "Strips of tape.", of="strips"),
    "laps": _q("number of laps", "n", ("laps", "laps", "laps"), (0, 0), "Laps.", of="laps"),
    "rate_per_pressure": _q(
        "spring rate per pressure",
        "dk/dp",
        ("N/m/Pa", "lb/in/psi", "N/mm/kPa"),
        (1, 3),
        "How much stiffer a tire gets with air.",
    ),
    "length_per_pressure": _q(
        "length per pressure", "dr/dp", ("m/Pa", "in/psi", "mm/kPa"), (3, 3), "How much a tire grows with air."
    ),
    "pressure_per_force": _q(
        "pressure per load",
        "dp/dF",
        ("Pa/N", "psi/lb", "kPa/kN"),
        (4, 2),
        "How much more air more load wants.",
        of="pressure_per_force",
    ),
    "angle_per_length": _q(
        "angle per length", "da/dz", ("rad/m", "deg/in", "deg/m"), (2, 1), "Such as camber gained per wheel travel."
    ),
    "length_per_energy": _q(
        "wear per work", "w", ("m/J", "in/MJ", "mm/MJ"), (4, 3), "Tread used per sliding work.", of="length_per_energy"
    ),
    "heat_capacity": _q("heat capacity", "C", ("J/K", "kJ/K", "kJ/K"), (1, 1), "Heat for one kelvin."),
    "cooling": _q("cooling", "h", ("W/K", "W/K", "W/K"), (1, 1), "Heat lost per kelvin and second."),
}
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
