"""Readings typed in a line of their own: "rr 24.5 hot", "temps rf 210 205 190", "stagger hot 2 3/8", "cross 52.3".

A number without a unit that looks like one of another unit is asked about, and not believed; with its unit it is taken.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from assistant.car.keys import Key, read_key
from assistant.car.lever_rows import SHARES
from assistant.diagnosis.said_change import NoChangeError, levers_named, read_change
from assistant.ground.names import CORNERS, part_at_corners
from assistant.ground.units import System, UnitProblem, show, to_unit, unit_of
from assistant.pages import sayings
from assistant.pages.tires import KEYS

if TYPE_CHECKING:
    from assistant.car.case import Case
    from assistant.rules.knowledge import Knowledge

NUMBER = re.compile(r"\d+\s+\d+/\d+|\d+/\d+|\d*\.?\d+")
UNIT = re.compile(
    r"(?<=[\d ])°? ?(psi|kpa|bar|in(?:ch(?:es)?)?|\"|mm|[fc]|%|percent|s(?:ec(?:onds?)?)?|gal(?:lons?)?|l|rpm)(?![a-z])"
)
_UNITS = {"f": "F", "c": "C", "l": "L", "kpa": "kPa", "percent": "%", "gallons": "gal", "gallon": "gal"}
_OVER = re.compile(r",? ?\b(?:after|over|in|on) (\d+) laps$")
_THREE = re.compile(r"(\d{2,3})/(\d{2,3})/(\d{2,3})")
READ: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("lap_times", re.compile(r"(?:the )?(?:lap ?times?|laps|ran)\b.*\d")),
    ("hot_stagger", re.compile(r"(?=.*\bhot\b).*\bstagger\b")),
    ("fuel_used", re.compile(r"(?:fuel used|used|burned|burnt)\b")),
    ("rpm_max", re.compile(r".*\brpm\b")),
    ("hot_pressure", re.compile(r".*\bhot\b")),
    ("temperatures", re.compile(r".*\btemp")),
    ("temperatures", re.compile(r"(?=[a-z]).*(?:\d+\D+){2}\d+")),
)
"""How a line tells what it is a reading of; the first that fits counts."""
_SAID_BESIDE = re.compile(
    r"(?<![a-z])(?:the|my|our|is|are|was|were|it|at|hot|pressures?|air|tires?|tyres?|temps?|temperatures?|tread|stagger|"
    r"lap|times?|laps|fuel|used|burned|burnt|rpm|rear|i|we|read|taped|and|ran|came|in|to|of)(?![a-z])|[\d.\s:,;=/|-]"
)
_NO_READING = re.compile(r"(?:try|made|set|measured|what|why|back|make)\b")
_CHANGE = re.compile(r"\b(?:up|down|to|from|more|less|raise|lower|add|take)\b|[-+]")
BARE = (*SHARES, "stagger", "ride_height_front", "ride_height_rear")
"""Levers whose bare number is what a scale or a tape reads, and no change."""
ZONES = 3
"""Readings of a tread: inside, middle, outside."""
COLD_TREAD = 110.0
"""F; a tread that was run is warmer, so a lower bare number may be one of C."""
HOT_LESS = 7000.0
"""Pa a hot pressure may be below the cold one of the setup before it is doubted."""


def reading_in(plain: str) -> tuple[str, str, int | None]:
    """Tell what a line is a reading of, the line without its laps, and those; "" for a line that is none."""
    over, line = _OVER.search(plain), _THREE.sub(r"\1 \2 \3", _OVER.sub("", plain))
    before, corners = part_at_corners(UNIT.sub(" ", line))
    beside = " ".join([before, *(behind for _, behind in corners)])
    if not re.search(r"\d", plain) or _NO_READING.match(plain) or _SAID_BESIDE.sub("", beside):
        return "", line, None
    field = next((name for name, pattern in READ if pattern.match(line)), "")
    is_whole = corners or len(NUMBER.findall(line)) == len(CORNERS) * ZONES
    return "" if field == "temperatures" and not is_whole else field, line, int(over[1]) if over else None


def scale_in(plain: str, case: Case, knowledge: Knowledge, system: System) -> str:
    """Find what a scale, a tape or a cold gauge says a lever is, "cross 52.3", as words that name it; "" for none."""
    is_cold = re.search(r"\bcold\b", plain) is not None
    said = re.sub(r"\bcold\b", " " if UNIT.search(plain) else unit_of("pressure", system), plain)
    if _CHANGE.search(said) or _NO_READING.match(plain) or not re.search(r"\d", plain):
        return ""
    named = levers_named(UNIT.sub(" ", said), case.setup, knowledge)
    try:
        lever = read_change(said, case.setup, knowledge, system).lever
    except NoChangeError:
        return said if named and set(named) <= set(BARE) else ""
    return said if lever in BARE or (is_cold and lever in named) else ""


def value_in(field: str, line: str, case: Case, system: System) -> tuple[Any, str]:
    """Read the numbers of a line in SI, and say what is doubted of them. Raises UnitProblem for what cannot be."""
    key, unit = KEYS[field], _unit_in(line)
    if not (key.members or field == "temperatures"):
        values = _read_all(key, line, system)
        if field == "lap_times":
            return tuple(values), ""
        if len(values) != 1:
            raise UnitProblem(*sayings.ONE_WANTED)
        return values[0] * (case.car.fuel_density if field == "fuel_used" else 1.0), ""
    _, corners = part_at_corners(line)
    each = {corner: _read_all(key, f"{text} {unit}", system) for corner, text in corners}
    count, wanted = (ZONES, sayings.TEMPS_WANTED) if field == "temperatures" else (1, sayings.EACH_WANTED)
    if not corners:  # all four in a line
        values = _read_all(key, line, system)
        each = {corner: values[at * count : (at + 1) * count] for at, corner in enumerate(CORNERS)}
    if any(len(values) != count for values in each.values()) or len(NUMBER.findall(line)) != count * len(each):
        raise UnitProblem(*wanted)
    if field == "temperatures":
        return {corner: tuple(values) for corner, values in each.items()}, "" if unit else _doubt_treads(each, system)
    pressures = {corner: values[0] for corner, values in each.items()}
    return pressures, "" if unit else _doubt_hot(pressures, case, system)


def _unit_in(text: str) -> str:
    found = UNIT.search(text)
    return _UNITS.get(found[1], found[1]) if found else ""


def _read_all(key: Key, text: str, system: System) -> list[float]:
    unit = _unit_in(text)
    return [read_key(key, f"{number} {unit}".strip(), system).value for number in NUMBER.findall(text)]


def _doubt_treads(each: Mapping[str, list[float]], system: System) -> str:
    """Doubt treads that are hardly warm."""
    hottest = max(to_unit(value, "F", "temperature") for values in each.values() for value in values)
    return sayings.DOUBT_TREAD.format(round(hottest)) if system == "trade" and hottest < COLD_TREAD else ""


def _doubt_hot(pressures: Mapping[str, float], case: Case, system: System) -> str:
    """Doubt a hot pressure that is far below the cold one."""
    for corner, hot in pressures.items():
        cold = case.setup.values[f"pressure_{corner.lower()}"]
        if hot < cold - HOT_LESS:
            shown = [show(value, "pressure", system=system) for value in (hot, cold)]
            return sayings.DOUBT_HOT.format(shown[0], corner, shown[1])
    return ""
