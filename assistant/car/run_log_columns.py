"""What a run log may hold: its columns, how their heads are spelled, and what a cell of each may be."""

from __future__ import annotations

import re
from dataclasses import dataclass

from assistant.car.car import CORNERS
from assistant.car.file_models import LAPS_KEY
from assistant.car.keys import Key, key
from assistant.car.track_keys import LAP_TIME_KEY, MEASURED_KEYS, TREAD_KEY
from assistant.quantities import QUANTITIES
from assistant.units import UnitProblem, find_unit
from assistant.words import did_you_mean

STRIPS = ("inside", "middle", "outside")
_MEASURED = {one.field: one for one in MEASURED_KEYS}
_DEPTH = key("tread depth", "depth", "short_length", "0 in", "1 in", "Tread left.", "no tire has that much tread")
_FUEL = key("fuel left", "fuel_left", "volume", "0 gal", "60 gal", "Fuel left.", "no tank holds that much")
_FUEL_USED = key("fuel used", "fuel_used", "volume", "0 gal", "600 gal", "Fuel used.", "no run takes that much")
_LAP = key("lap", "lap", "laps", "0", "2000", "Laps done.", LAPS_KEY.why)
_SLOW = key("slow laps", "slow_laps", "laps", "0", "200", "Slow laps after this one.", LAPS_KEY.why)


@dataclass(frozen=True)
class Column:
    """One column. name: as written. field: of LogRow. corner, strip: "" when it has none. key: None for words.

    needs_unit: a bare number would be ambiguous, so its head must say the unit.
    """

    name: str
    field: str
    key: Key | None = None
    corner: str = ""
    strip: str = ""
    needs_unit: bool = False


def _columns() -> tuple[Column, ...]:
    found = [Column("lap", "lap", _LAP), Column("lap time", "lap_time", LAP_TIME_KEY)]
    for corner in CORNERS:
        found += [Column(f"{corner} {strip}", "temperatures", TREAD_KEY, corner, strip, True) for strip in STRIPS]
        found.append(Column(f"{corner} hot pressure", "hot_pressure", _MEASURED["hot_pressure"], corner, "", True))
        found.append(Column(f"{corner} wear", "wear", _MEASURED["wear"], corner, "", True))
        found.append(Column(f"{corner} tread depth", "depth", _DEPTH, corner, "", True))
    found += [
        Column("fuel left", "fuel_left", _FUEL, needs_unit=True),
        Column("fuel used", "fuel_used", _FUEL_USED, needs_unit=True),
        Column("slow laps", "slow_laps", _SLOW),
        Column("new tires", "new_tires"),
        Column("refuelled", "refuelled"),
        Column("note", "note"),
    ]
    return tuple(found)


COLUMNS: dict[str, Column] = {column.name.lower(): column for column in _columns()}
"""Every column by its name in small letters."""
_CORNER_WORDS = {
    "left front": "lf", "right front": "rf", "left rear": "lr", "right rear": "rr",
    "front left": "lf", "front right": "rf", "rear left": "lr", "rear right": "rr",
}  # fmt: skip
_ALSO = {
    "laps": "lap", "time": "lap time", "fuel": "fuel left", "notes": "note", "comment": "note", "refueled": "refuelled",
    "new tires": "new tires", "caution laps": "slow laps",
}  # fmt: skip
_ALSO_OF_A_CORNER = {
    "in": "inside", "inner": "inside", "mid": "middle", "center": "middle", "centre": "middle", "out": "outside",
    "outer": "outside", "tread": "tread depth", "depth": "tread depth", "hot": "hot pressure",
}  # fmt: skip
_HEAD = re.compile(r"(.*?)\s*[(\[]\s*([^()\[\]]*?)\s*[)\]]")
_TEMPERATURE = re.compile(r"\s*\btemp(?:erature|s)?\b\.?\s*")


def read_head(text: str) -> tuple[Column, str]:
    """Read the head of a column: "RR hot pressure (psi)" is that column and "psi"; UnitProblem when it is none."""
    split = _HEAD.fullmatch(text.strip())
    name, unit = (split[1], split[2]) if split else (text.strip(), "")
    column = find_column(name)
    if column.key is None:
        if unit:
            raise UnitProblem(f"'{column.name}' holds words and has no unit", f"write '{column.name}'")
        return column, ""
    if unit:
        find_unit(unit, QUANTITIES[column.key.kind])
    elif column.needs_unit:
        example = QUANTITIES[column.key.kind]
        hint = f"write '{column.name} ({example.trade_unit})' or '{column.name} ({example.metric_unit})'"
        raise UnitProblem(f"'{text.strip()}' does not say its unit", hint)
    return column, unit


def find_column(name: str) -> Column:
    """Find a column by its name without the unit; UnitProblem with the nearest name when there is none."""
    plain = " ".join(name.lower().replace("_", " ").replace("-", " ").split())
    for words, corner in _CORNER_WORDS.items():
        if plain.startswith(words):
            plain = corner + plain.removeprefix(words)
    corner, _, rest = plain.partition(" ")
    if corner in {one.lower() for one in CORNERS}:
        rest = _TEMPERATURE.sub(" ", rest).strip()
        plain = f"{corner} {_ALSO_OF_A_CORNER.get(rest, rest)}"
        if "cold" in rest.split():
            raise UnitProblem(f"'{name}': cold pressures stand in the setup, not in a run log", "leave the column out")
    plain = _ALSO.get(plain, plain)
    if plain not in COLUMNS:
        says = f"there is no column '{name}'" if name else "a column has no name"
        raise UnitProblem(says, did_you_mean(plain, [column.name for column in COLUMNS.values()]))
    return COLUMNS[plain]


_SIDES = {
    "all": frozenset(CORNERS), "four": frozenset(CORNERS), "yes": frozenset(CORNERS),
    "right side": frozenset({"RF", "RR"}), "rights": frozenset({"RF", "RR"}),
    "left side": frozenset({"LF", "LR"}), "lefts": frozenset({"LF", "LR"}), "no": frozenset(), "none": frozenset(),
}  # fmt: skip


def read_corners(text: str) -> frozenset[str]:
    """Read which tires were changed: "all", "right side", "RF RR"; UnitProblem for anything else."""
    plain = " ".join(re.split(r"[\s,+/;]+", text.strip().lower()))
    if plain in _SIDES:
        return _SIDES[plain]
    words = plain.upper().split()
    if wrong := [word for word in words if word not in CORNERS]:
        raise UnitProblem(f"'{wrong[0].lower()}' is no tire of the car", "write all, right side, left side, or RF RR")
    return frozenset(words)


def read_yes(text: str) -> bool:
    """Read yes or no; UnitProblem for anything else."""
    plain = text.strip().lower()
    if plain not in {"yes", "no", "true", "false", "y", "n", "x"}:
        raise UnitProblem(f"'{text}' is neither yes nor no", "write yes, or leave the cell empty")
    return plain in {"yes", "true", "y", "x"}
