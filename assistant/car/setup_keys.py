"""Every key of a setup file and, with the same names, of a rulebook: lever, possible range with its reason, meaning.

Groups and order follow the work at the car. A rulebook holds one limit for all four corners of the shocks.
The ranges are what is physically possible, wide on purpose; what is legal stands in the rulebook.
"""

from __future__ import annotations

from assistant.car.keys import CORNER_KEYS, Key, bound, key
from assistant.car.setup import LEVER_KIND
from assistant.ground.words import CORNER_WORDS

_SPRING = "road cars have 100, racing cars up to 3000 lb/in; is it in N/mm?"
_AIR = "tires are run at 5 to 60 psi; is it in kPa or bar?"
_CLICKS = "counted from all the way out"
_HEIGHT = "above the ground; the bar is between the ground and the fuel cell's top"


def _lever(where: str, lever: str, low: str, high: str, meaning: str, why: str = "", default: str | None = None) -> Key:
    return key(where, lever, LEVER_KIND[lever], low, high, meaning, why, default=default)


# fmt: off
SHARE_KEYS: tuple[Key, ...] = (
    _lever("scales: nose", "nose_weight", "20 %", "80 %",
           "Front share of the weight, with driver and the car file's fuel.",
           "0.5 means half a percent here; write 50 %"),
    _lever("scales: left", "left_weight", "20 %", "80 %", "Left share of the weight.",
           "0.5 means half a percent here; write 50 %"),
    _lever("scales: cross", "cross_weight", "20 %", "80 %", "Right front and left rear, share of the weight.",
           "0.5 means half a percent here; write 50 %"),
)
"""The usual way to write the scales."""
CORNER_WEIGHT_KEYS: tuple[Key, ...] = tuple(
    key(f"scales: {corner}", f"scale_{corner}", "mass", "0 lb", "4000 lb", f"What the scale under the {name} reads.",
        "one corner of a car weighs a quarter of it or so")
    for corner, name in zip(CORNER_KEYS, CORNER_WORDS.values(), strict=True)
)
"""The other way: what the four scales read, instead of the three shares."""
BALLAST_KEY = _lever("scales: ballast height", "ballast_rise", "0 in", "60 in",
"Height of the lead that can be moved.",
                     "the lead is inside the car", default="8 in")
OTHER_KEYS: tuple[Key, ...] = (
    *(_lever(f"springs: {corner}", f"spring_{corner}", "20 lb/in", "5000 lb/in",
             f"Rate of the {corner.upper()} spring, at the spring; stiffer is +.", _SPRING) for corner in CORNER_KEYS),
    _lever("springs: front bar", "front_bar", "0.2 in", "3 in", "Outside diameter of the front sway bar.",
           "bars measure an inch or so"),
    _lever("springs: bar screw", "bar_screw", "-20 turns", "20 turns",
           "Turns of the bar's end link from slack; + adds cross weight.", "a rod end has no more thread", "0 turns"),
    *(_lever(f"shocks: {way}: {corner}", f"{way}_{corner}", "0 clicks", "60 clicks",
             f"Clicks in {way} at the {corner.upper()}; stiffer is +.", _CLICKS)
      for way in ("bump", "rebound") for corner in CORNER_KEYS),
    _lever("rear axle: track bar left", "track_bar_left", "2 in", "30 in", "Height of the bar's left end; up is +.",
           _HEIGHT),
    _lever("rear axle: track bar right", "track_bar_right", "2 in", "30 in", "Height of the bar's right end; up is +.",
           _HEIGHT),
    _lever("rear axle: stagger", "stagger", "-4 in", "12 in", "Circumference of RR less LR.",
           "more than a foot of stagger is a slip of the tape"),
    _lever("rear axle: lead", "rear_axle_lead", "-3 in", "3 in",
           "How far the right wheel stands further back than the left.",
           "eighths of an inch are usual", "0 in"),
    _lever("rear axle: link lr", "link_angle_lr", "-12 holes", "12 holes",
           "Hole of the left trailing link's front pivot, from level; up is +.", "brackets have a few holes",
           "0 holes"),
    _lever("rear axle: link rr", "link_angle_rr", "-12 holes", "12 holes",
           "Hole of the right trailing link's front pivot, from level; up is +.", "brackets have a few holes",
           "0 holes"),
    _lever("front end: camber lf", "camber_lf", "-12 deg", "12 deg", "Camber of the LF at rest; top out is +.",
           "front wheels stand within a few degrees"),
    _lever("front end: camber rf", "camber_rf", "-12 deg", "12 deg",
           "Camber of the RF at rest; top out is +, so usually minus.",
           "front wheels stand within a few degrees"),
    _lever("front end: caster split", "caster_split", "-12 deg", "15 deg", "Caster of the RF less the LF.",
           "a few degrees are usual", "2 deg"),
    _lever("front end: toe", "toe", "-2 in", "2 in", "Total toe of the front wheels; out is +.",
           "sixteenths of an inch are usual", "1/8 in"),
    _lever("front end: ride height front", "ride_height_front", "0 in", "20 in", "Frame above the ground, front.",
           "a car does not stand higher", "4 in"),
    _lever("front end: ride height rear", "ride_height_rear", "0 in", "20 in", "Frame above the ground, rear.",
           "a car does not stand higher", "5 in"),
    _lever("front end: roll center", "front_roll_center", "-10 in", "20 in", "Height of the front roll center.",
           "it lies near the ground", "2 in"),
    _lever("front end: steering ratio", "steering_box", "1", "40",
           "Steering wheel angle over front wheel angle; smaller is quicker.",
           "8 to 20 is usual", "12"),
    *(_lever(f"air: {corner}", f"pressure_{corner}", "3 psi", "100 psi", f"Cold pressure of the {corner.upper()}.",
             _AIR)
      for corner in CORNER_KEYS),
    _lever("brakes: front share", "brake_bias", "20 %", "100 %", "Share of the brake force at the front.",
           "0.6 means six tenths of a percent here; write 60 %"),
    _lever("aero: spoiler", "rear_spoiler", "0 deg", "110 deg", "Angle of the rear spoiler from flat.",
           "past upright it leans forward", "60 deg"),
    _lever("aero: tape", "nose_tape", "0", "40", "Strips of tape over the grille.", "count the strips", "0"),
    _lever("drive: gear", "gear", "0.3", "8", "Ratio of the gearbox gear the driver laps in.",
           "the ratio is wanted, not the number of the gear", "1.00"),
    _lever("drive: final drive", "final_drive", "0.8", "15", "Ratio of the rear axle.", "stock cars run 3 to 8"),
    _lever("fuel: start", "fuel_at_green", "0 gal", "60 gal", "Fuel in the tank at the start of a run.",
           "a fuel cell holds less than that"),
)
# fmt: on
SETUP_KEYS: tuple[Key, ...] = (*SHARE_KEYS, BALLAST_KEY, *OTHER_KEYS)
"""A setup as usually written, in the order of the work at the car."""
SETUP_BY_CORNERS: tuple[Key, ...] = (*CORNER_WEIGHT_KEYS, BALLAST_KEY, *OTHER_KEYS)
KEY_OF: dict[str, Key] = {one.field: one for one in SETUP_KEYS}
"""Lever id to its key."""


def rule_path(one: Key) -> tuple[str, ...]:
    """Where a rulebook writes the limit of a lever: as the setup does, but one limit for the shocks of all corners."""
    return one.path[:2]


_CORNER_NOUN = {"springs": "spring", "air": "pressure", "bump": "bump", "rebound": "rebound"}
_PLAIN_NAMES = {
    "nose_weight": "nose weight",
    "left_weight": "left-side weight",
    "cross_weight": "cross weight",
    "rear_axle_lead": "lead of the rear axle",
    "link_angle_lr": "left trailing link",
    "link_angle_rr": "right trailing link",
    "front_roll_center": "front roll center",
    "brake_bias": "front share of the brakes",
    "rear_spoiler": "rear spoiler",
    "fuel_at_green": "fuel at the start",
    "camber_lf": "LF camber",
    "camber_rf": "RF camber",
}


def lever_name(lever: str) -> str:
    """Name of a lever in messages about files: "LR spring", "RF pressure", "track bar right"."""
    if lever in _PLAIN_NAMES or lever not in KEY_OF:
        return _PLAIN_NAMES.get(lever, lever.replace("_", " "))
    path = KEY_OF[lever].path
    if path[-1] in CORNER_KEYS:
        return f"{path[-1].upper()} {_CORNER_NOUN[path[-2]]}"
    return path[-1]


def is_possible(lever: str, value: float) -> bool:
    """Whether a setup file may hold this value of a lever [SI]; one nobody knows may hold any."""
    key = KEY_OF.get(lever)
    if key is None:
        return True
    low, high = bound(key, key.low), bound(key, key.high)
    slack = 1e-9 * max(abs(low), abs(high))
    return low - slack <= value <= high + slack
