"""One value of a car, tire, track or setup file: where it stands, its unit, its possible range, what it means.

The file models, the writer, the starter files and docs/files.md are all made from tables of these keys.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from math import isfinite
from typing import Any

from assistant.ground.units import Amount, System, UnitProblem, read, show, to_unit, unit_of

_SIDE = re.compile(r"\s*\b(left|right)\b", re.IGNORECASE)
_CLOSE = 1e-9
"""Two values that differ by less than this share are the same when a file is written and read back."""


@dataclass(frozen=True)
class Key:
    """One value of a file.

    path: groups and key, as written. field: name in the SI record, or the lever id.
    kind: of `QUANTITIES`. meaning: for docs and starter files, with what plus means.
    low, high: what is physically possible, as text with a unit; why: the reason, said when a value is outside.
    members: keys of a small map when there is one value per corner or phase, else empty.
    per: second kind of an "a per b" value. scale: SI field = read value x scale (a circumference to a radius, say).
    sided: "15 in left" may be written, left is +. default: read in place of a missing key; None makes it required.
    unknown: may be left out for "not known", the field is then None.
    shown, shown_si: unit to write it in, where the one of its kind reads badly ("mm per MJ").
    """

    path: tuple[str, ...]
    field: str
    kind: str
    meaning: str
    low: str
    high: str
    why: str = ""
    members: tuple[str, ...] = ()
    per: str = ""
    scale: float = 1.0
    sided: bool = False
    default: str | None = None
    unknown: bool = False
    shown: str = ""
    shown_si: str = ""

    @property
    def needed(self) -> bool:
        """Whether the file must hold it."""
        return self.default is None and not self.unknown

    @property
    def words(self) -> str:
        """Name as in messages: "rear axle: spring base"."""
        return ": ".join(self.path)


def key(where: str, field: str, kind: str, low: str, high: str, meaning: str, why: str = "", **more: Any) -> Key:
    """Write one row of a table of keys; `where` is the path, "rear axle: spring base"."""
    return Key(tuple(where.split(": ")), field, kind, meaning, low, high, why, **more)


def read_key(key: Key, raw: object, system: System) -> Amount:
    """Read one value into SI as written, before `scale`; UnitProblem when unreadable or impossible."""
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        raise UnitProblem("one value is wanted here", f"for example {example(key, system)}")
    reading = _read_sided(key, raw, system) if key.sided else _read_plain(key, raw, system)
    low, high = (bound(key, text) for text in (key.low, key.high))
    slack = _CLOSE * max(abs(low), abs(high), 1e-12)
    if not low - slack <= reading.value <= high + slack:
        far = "below" if reading.value < low else "above"
        raise UnitProblem(f"{raw} is {far} what is possible, {key.low} to {key.high}", key.why or "check the unit")
    return reading


def bound(key: Key, text: str) -> float:
    """Read an end of the range of a key in SI."""
    return _read_per(key, text).value if key.per else read(text, key.kind).value


def write_key(key: Key, value: float, system: System, *, guessed: bool = False) -> str:
    """Write an SI value (before `scale`) so that `read_key` returns it, as short and as readable as possible."""
    mark = " guessed" if guessed else ""
    if key.sided and value:
        return write_value(abs(value), key.kind, system) + (" left" if value > 0 else " right") + mark
    shown = (key.shown_si if system == "si" else "") or key.shown
    unit, _, behind = (shown or unit_of(key.kind, system)).partition(" per ")
    if not key.per:
        return (_digits(to_unit(value, unit, key.kind), unit) if shown else write_value(value, key.kind, system)) + mark
    behind = behind or _one_of(key.per, system)
    one = read(behind if behind[:1].isdigit() else f"1 {behind}", key.per).value
    return f"{_digits(to_unit(value * one, unit, key.kind), unit)} per {behind}{mark}"


@lru_cache(maxsize=2048)
def write_value(value: float, kind: str, system: System) -> str:
    """Write a value of a kind with its unit, short when that loses nothing, else with ten digits."""
    if not isfinite(value):
        raise ValueError(f"{value} cannot be written to a file")
    for places in (0, 1, 2, 3, 4):
        text = show(value, kind, system=system, places=places, fraction=system == "trade").replace(",", "")
        if _same(read(text, kind, default_unit=unit_of(kind, system)).value, value):
            return text
    unit = unit_of(kind, system)
    return _digits(to_unit(value, unit, kind), unit)


def example(key: Key, system: System) -> str:
    """Give a readable example of a value of this kind."""
    unit = unit_of(key.kind, system)
    if key.per:
        return f"0.5 {unit}".strip() + f" per {_one_of(key.per, system)}"
    return f"12 {unit}".strip()


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= _CLOSE * max(abs(one), abs(other))


def _digits(number: float, unit: str) -> str:
    return f"{number:.10g} {unit}".strip()


def _one_of(kind: str, system: System) -> str:
    unit = unit_of(kind, system)
    return "turn" if unit == "turns" else unit


def _read_plain(key: Key, raw: str | float, system: System) -> Amount:
    if key.per:
        if not isinstance(raw, str) or " per " not in raw:
            raise UnitProblem("say how much per what", f"for example {example(key, system)}")
        return _read_per(key, raw)
    return read(raw, key.kind, default_unit=unit_of(key.kind, system))


def _read_per(key: Key, raw: str) -> Amount:
    """Read "0.8 deg per in" or "11 psi per 1000 lbf"."""
    above, below = raw.rsplit(" per ", 1)
    if not below.strip()[:1].isdigit():
        below = "1 " + below.strip()
    over, under = read(above, key.kind), read(below, key.per)
    if not under.value:
        raise UnitProblem(f"'{below}' divides by zero", "write how much per one")
    return Amount(over.value / under.value, over.guessed or under.guessed)


def _read_sided(key: Key, raw: str | float, system: System) -> Amount:
    text = str(raw)
    found = _SIDE.search(text)
    reading = read(_SIDE.sub("", text) if found else raw, key.kind, default_unit=unit_of(key.kind, system))
    if found and reading.value < 0:
        raise UnitProblem(f"'{text}' has both a minus and a side", "write 15 in left or 15 in right")
    away = found is not None and found[1].lower() == "right"
    return Amount(-reading.value, reading.guessed) if away else reading
