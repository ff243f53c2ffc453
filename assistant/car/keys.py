"""One value of a car, tire, track or setup file: where it stands, its unit, its possible range, what it means.

The file models, the writer, the starter files and docs/files.md are all made from tables of these keys.

Every lever of a setup is one, in one table, by corner of the car. A setup file holds a value for each row, a rulebook a
limit at the same place, and screens show them in this order. The ranges are what is physically possible, wide on
purpose; what is legal stands in the rulebook.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import isclose, isfinite
from types import MappingProxyType
from typing import Any

from assistant.ground.names import CORNER_KEYS, CORNER_WORDS
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

    @cached_property
    def span(self) -> tuple[float, float]:
        """Ends of the range in SI."""
        low, high = (_read_per(self, text) if self.per else read(text, self.kind) for text in (self.low, self.high))
        return low.value, high.value

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
    if not is_inside(key, reading.value):
        far = "below" if reading.value < key.span[0] else "above"
        raise UnitProblem(f"{raw} is {far} what is possible, {key.low} to {key.high}", key.why or "check the unit")
    return reading


def is_inside(key: Key, value: float) -> bool:
    """Whether a value [SI] is within the range of a key."""
    low, high = key.span
    slack = _CLOSE * max(abs(low), abs(high), 1e-12)
    return low - slack <= value <= high + slack


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
    """Write a number with ten digits; a part of one that they cannot hold, such as a turn of a thread, as 1/18."""
    digits, parts = f"{number:.10g}", round(1.0 / number) if 0.0 < number < 1.0 else 0
    if parts and not isclose(float(digits), number, rel_tol=1e-12) and _same(1.0 / parts, number):
        digits = f"1/{parts}"
    return f"{digits} {unit}".strip()


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


PLACES = (*CORNER_WORDS.values(), "front", "rear", "middle")
"""The order of setup files, rulebooks and screens."""
EVERY_CORNER = "every corner"
"""Block of a rulebook for limits that hold at all four corners."""


@dataclass(frozen=True)
class LeverRow(Key):
    """One lever. Its id is `field`, its place on the car the first part of `path`, its word there the last.

    title: name where its place is not said.
    smaller_is_more: the number gets smaller in the + direction. computed: the vehicle model has a balance for it.
    for_balance: it is moved to cure a balance; else for the straight and the run. none_is_zero: a car told to have none
    may have 0 of it, and is asked. is_read: a bare number said of it is what a scale or a tape reads, and no change.
    ends: two levers this one moves together; it has no value of its own then.
    """

    title: str = ""
    smaller_is_more: bool = False
    computed: bool = True
    for_balance: bool = True
    none_is_zero: bool = False
    is_read: bool = False
    ends: tuple[str, ...] = ()

    @property
    def place(self) -> str:
        """Where on the car it is: one of `PLACES`."""
        return self.path[0]

    @property
    def word(self) -> str:
        """What it is called at its place."""
        return self.path[-1]


# fmt: off
def _row(where: str, lever: str, kind: str, low: str, high: str, meaning: str, why: str, title: str = "",
         **more: Any) -> LeverRow:
    path = tuple(where.split(": "))
    return LeverRow(path, lever, kind, meaning, low, high, why, title=title or path[-1], **more)


def _at_corners(word: str, lever: str, kind: str, low: str, high: str, meaning: str, why: str, name: str = "", *,
                at: tuple[str, ...] = CORNER_KEYS, **more: Any) -> list[LeverRow]:
    """Make the rows of a lever there is at several corners; {} stands for the corner, {1} for its name."""
    return [_row(f"{CORNER_WORDS[corner.upper()]}: {word}", f"{lever}_{corner}", kind, low, high,
                 meaning.format(corner.upper(), CORNER_WORDS[corner.upper()]), why,
                 f"{corner.upper()} {name or word}", **more) for corner in at]


_AT_CORNERS = (
    *_at_corners("spring", "spring", "spring_rate", "20 lb/in", "5000 lb/in",
                 "Rate of the {} spring, at the spring; stiffer is +.",
                 "road cars have 100, racing cars up to 3000 lb/in; is it in N/mm?"),
    *_at_corners("compression", "compression", "clicks", "0 clicks", "60 clicks",
                 "Clicks of compression at the {}; stiffer is +.", "counted from all the way out"),
    *_at_corners("rebound", "rebound", "clicks", "0 clicks", "60 clicks", "Clicks of rebound at the {}; stiffer is +.",
                 "counted from all the way out"),
    *_at_corners("air", "pressure", "pressure", "3 psi", "100 psi", "Cold pressure of the {}; more is +.",
                 "tires are run at 5 to 60 psi; is it in kPa or bar?", "pressure"),
    *_at_corners("camber", "camber", "angle", "-12 deg", "12 deg", "Camber of the {} at rest; top out is +.",
                 "front wheels stand within a few degrees", at=CORNER_KEYS[:2]),
    *_at_corners("trailing arm", "link_angle", "holes", "-12 holes", "12 holes",
                 "Hole of the {} trailing arm's front pivot, from level; up is +.", "brackets have a few holes",
                 at=CORNER_KEYS[2:], default="0 holes"),
)
_BAR_HEIGHT = "above the ground; the bar is between the ground and the fuel cell's top"
_HALF = "0.5 means half a percent here; write 50 %"
LEVER_ROWS: tuple[LeverRow, ...] = (
    *sorted(_AT_CORNERS, key=lambda row: PLACES.index(row.place)),
    _row("front: bar", "front_bar", "short_length", "0.2 in", "3 in", "Outside diameter of the front sway bar.",
         "bars measure an inch or so", "front bar"),
    _row("front: bar screw", "bar_screw", "turns", "-20 turns", "20 turns",
         "Turns of the bar's end link from slack; + adds cross weight.", "a rod end has no more thread",
         default="0 turns", none_is_zero=True),
    _row("front: toe", "toe", "short_length", "-2 in", "2 in", "Total toe of the front wheels; out is +.",
         "sixteenths of an inch are usual", default="1/8 in", computed=False, none_is_zero=True),
    _row("front: caster split", "caster_split", "angle", "-12 deg", "15 deg", "Caster of the RF less the LF.",
         "a few degrees are usual", default="2 deg", computed=False, none_is_zero=True),
    _row("front: ride height", "ride_height_front", "short_length", "0 in", "20 in",
         "Frame above the ground, front.", "a car does not stand higher", "front ride height", default="4 in",
         is_read=True),
    _row("front: roll center", "front_roll_center", "short_length", "-10 in", "20 in",
         "Height of the front roll center.", "it lies near the ground", "front roll center", default="2 in"),
    _row("front: steering box", "steering_box", "ratio", "1", "40",
         "Steering wheel angle over front wheel angle; smaller is quicker, and quicker is +.", "8 to 20 is usual",
         default="12", smaller_is_more=True, computed=False),
    _row("front: nose tape", "nose_tape", "strips", "0", "40", "Strips of tape over the grille.", "count the strips",
         default="0"),
    _row("rear: track bar", "track_bar", "short_length", "2 in", "30 in",
         "Mean height of both ends of the track bar; up is +.", _BAR_HEIGHT,
         ends=("track_bar_left", "track_bar_right")),
    _row("rear: track bar left", "track_bar_left", "short_length", "2 in", "30 in",
         "Height of the bar's left end; up is +.", _BAR_HEIGHT),
    _row("rear: track bar right", "track_bar_right", "short_length", "2 in", "30 in",
         "Height of the bar's right end; up is +.", _BAR_HEIGHT),
    _row("rear: stagger", "stagger", "short_length", "-4 in", "12 in", "Circumference of RR less LR.",
         "more than a foot of stagger is a slip of the tape", none_is_zero=True, is_read=True),
    _row("rear: axle lead", "rear_axle_lead", "short_length", "-3 in", "3 in",
         "How far the right wheel stands further back than the left.", "eighths of an inch are usual",
         "rear axle lead", default="0 in", none_is_zero=True),
    _row("rear: ride height", "ride_height_rear", "short_length", "0 in", "20 in", "Frame above the ground, rear.",
         "a car does not stand higher", "rear ride height", default="5 in", is_read=True),
    _row("rear: spoiler", "rear_spoiler", "angle", "0 deg", "110 deg", "Angle of the rear spoiler from flat.",
         "past upright it leans forward", "rear spoiler", default="60 deg"),
    _row("rear: final drive", "final_drive", "ratio", "0.8", "15", "Ratio of the rear axle.", "stock cars run 3 to 8",
         for_balance=False),
    _row("middle: nose weight", "nose_weight", "share", "20 %", "80 %",
         "Front share of the weight, with driver and the car file's fuel.", _HALF, is_read=True),
    _row("middle: left weight", "left_weight", "share", "20 %", "80 %", "Left share of the weight.", _HALF,
         "left-side weight", is_read=True),
    _row("middle: cross weight", "cross_weight", "share", "20 %", "80 %",
         "Right front and left rear, share of the weight.", _HALF, is_read=True),
    _row("middle: ballast rise", "ballast_rise", "short_length", "0 in", "60 in",
         "Height above the ground of the lead that can be moved.", "the lead is inside the car", default="8 in"),
    _row("middle: brake bias", "brake_bias", "share", "20 %", "100 %", "Share of the brake force at the front.",
         "0.6 means six tenths of a percent here; write 60 %", "front brake bias"),
    _row("middle: gear", "gear", "ratio", "0.3", "8", "Ratio of the gearbox gear the driver laps in.",
         "the ratio is wanted, not the number of the gear", default="1.00", for_balance=False),
    _row("middle: fuel at green", "fuel_at_green", "volume", "0 gal", "60 gal",
         "Fuel in the tank at the start of a run.", "a fuel cell holds less than that", "fuel at the start",
         for_balance=False),
)
# fmt: on
ROW_OF: Mapping[str, LeverRow] = MappingProxyType({row.field: row for row in LEVER_ROWS})
LEVERS: tuple[str, ...] = tuple(ROW_OF)
"""Every lever id, by corner of the car. `track_bar` is both ends together and holds no value of its own."""
LEVER_KIND: Mapping[str, str] = MappingProxyType({row.field: row.kind for row in LEVER_ROWS})
"""Lever id to a key of `assistant.ground.quantities.QUANTITIES`."""
SMALLER_IS_MORE = frozenset(row.field for row in LEVER_ROWS if row.smaller_is_more)
NOT_FOR_BALANCE = frozenset(row.field for row in LEVER_ROWS if not row.for_balance)
"""Gears and fuel are chosen for the straight and the run; what they do to the balance is a cost, never the purpose."""
NONE_IS_ZERO = frozenset(row.field for row in LEVER_ROWS if row.none_is_zero)
READ_NOT_CHANGED = frozenset(row.field for row in LEVER_ROWS if row.is_read)
NOT_COMPUTED = frozenset(row.field for row in LEVER_ROWS if not row.computed)
"""Levers of feel, not of grip: the model has no balance for them, the pack's table speaks instead."""

Rows = tuple[LeverRow, ...]
SETUP_KEYS: Rows = tuple(row for row in LEVER_ROWS if not row.ends)
"""What a setup file holds."""
SHARE_LEVERS = ("nose_weight", "left_weight", "cross_weight")
"""The usual way to write the scales."""
# fmt: off
CORNER_WEIGHT_KEYS: Rows = tuple(_at_corners(
    "weight", "scale", "mass", "0 lb", "4000 lb", "What the scale under the {1} reads.",
    "one corner of a car weighs a quarter of it or so",
))
# fmt: on
"""The other way: what the four scales read, instead of the three shares."""
SETUP_BY_WEIGHTS: Rows = (*CORNER_WEIGHT_KEYS, *(row for row in SETUP_KEYS if row.field not in SHARE_LEVERS))


def rows_of_setup(data: object) -> Rows:
    """Choose the rows a setup file is written by: with shares, or with corner weights."""
    corners = [data.get(row.place) for row in CORNER_WEIGHT_KEYS] if isinstance(data, dict) else []
    is_weighed = any(CORNER_WEIGHT_KEYS[0].word in block for block in corners if isinstance(block, dict))
    return SETUP_BY_WEIGHTS if is_weighed else SETUP_KEYS


def limit_paths(row: LeverRow) -> tuple[tuple[str, ...], ...]:
    """Where a rulebook may hold the limit of a lever, as the setup does or for all corners; the first there counts."""
    return (row.path, (EVERY_CORNER, row.word)) if row.place in CORNER_WORDS.values() else (row.path,)


def ends_of(lever: str) -> tuple[str, ...]:
    """The levers that hold the values of a lever: itself, or both ends of the bar it moves."""
    return (ROW_OF[lever].ends if lever in ROW_OF else ()) or (lever,)


def lever_name(lever: str) -> str:
    """Name of a lever where its place is not said: "LR spring", "RF pressure", "track bar right"."""
    return ROW_OF[lever].title if lever in ROW_OF else lever.replace("_", " ")


def listed_name(lever: str) -> str:
    """Name of a lever in a list of a file: its key where no other has it, "brake bias", else as in messages."""
    word = ROW_OF[lever].word
    return word if sum(row.word == word for row in LEVER_ROWS) == 1 else lever_name(lever)


def is_possible(lever: str, value: float) -> bool:
    """Whether a setup file may hold this value of a lever [SI]; one nobody knows may hold any."""
    return lever not in ROW_OF or is_inside(ROW_OF[lever], value)
