"""Today's setup and what the rules allow: one number per lever, in SI units.

A lever id is one of `LEVERS`. `track_bar` is both ends together and holds no value of its own.

Which physical quantity each lever is measured in.

Levers a team added by its own rules: where they stand, how far they go, and which numbers of the model they move.

Such a lever stands in `Setup.own`, its value among `Setup.values` and its range in `Rulebook.limits`, so that it is
moved like any other. The vehicle model knows nothing of it: what it moves is told by `numbers_moved`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from assistant.car.file_keys import CAR_KEYS

GROUPS: dict[str, tuple[str, ...]] = {
    "scales": ("cross_weight", "nose_weight", "left_weight", "ballast_rise"),
    "springs": ("spring_lf", "spring_rf", "spring_lr", "spring_rr", "front_bar", "bar_screw"),
    "shocks": (
        "bump_lf",
        "bump_rf",
        "bump_lr",
        "bump_rr",
        "rebound_lf",
        "rebound_rf",
        "rebound_lr",
        "rebound_rr",
    ),
    "rear axle": (
        "track_bar",
        "track_bar_left",
        "track_bar_right",
        "stagger",
        "rear_axle_lead",
        "link_angle_lr",
        "link_angle_rr",
    ),
    "front end": (
        "camber_lf",
        "camber_rf",
        "caster_split",
        "toe",
        "ride_height_front",
        "ride_height_rear",
        "front_roll_center",
        "steering_box",
    ),
    "air": ("pressure_lf", "pressure_rf", "pressure_lr", "pressure_rr"),
    "brakes": ("brake_bias",),
    "aero": ("rear_spoiler", "nose_tape"),
    "drive": ("gear", "final_drive"),
    "fuel": ("fuel_at_green",),
}
LEVERS: tuple[str, ...] = tuple(lever for group in GROUPS.values() for lever in group)
"""Every lever id, in the order a person works round the car."""


@dataclass(frozen=True)
class OwnLever:
    """A lever a team added by its own rules. name: as in messages. kind: a key of `QUANTITIES`.

    group: one of `GROUPS`. held: SI value at which the numbers it moves are as in the files. moves: number of the
    vehicle model to its change (SI) per SI unit of this lever; empty when the model knows nothing of it.
    """

    name: str
    kind: str
    group: str
    held: float
    moves: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Setup:
    """One setup.

    values: lever id to SI value, every lever but track_bar. The lever `gear` is the ratio of the gearbox gear the
    driver laps in, `steering_box` gets smaller as it gets quicker, `fuel_at_green` is a volume [m3].
    guessed: ids the owner only guessed. stated_own: levers of the team's own as the file states them, which only the
    rules of that team can read; `own`: those levers once the rules are known, with their values among `values`.
    seats_alone: springs were swapped since the scales and their seats left alone, so the shares no longer hold.
    """

    name: str
    values: Mapping[str, float]
    guessed: frozenset[str] = field(default_factory=frozenset)
    stated_own: Mapping[str, str] = field(default_factory=dict)
    own: Mapping[str, OwnLever] = field(default_factory=dict)
    seats_alone: bool = False


@dataclass(frozen=True)
class Limit:
    """What one lever may be: either a range with a smallest step, or the list of allowed parts; SI units.

    when: "pit stop", "between runs" or "shop".
    parts: allowed values in rising order; empty means any value from low to high in whole steps from `low`.
    """

    low: float
    high: float
    step: float
    when: str
    parts: tuple[float, ...] = ()


@dataclass(frozen=True)
class Rulebook:
    """limits: lever id to Limit; a lever without one is fixed by the rules."""

    name: str
    limits: Mapping[str, Limit]


_KINDS = {
    "share": ("cross_weight", "nose_weight", "left_weight", "brake_bias"),
    "spring_rate": ("spring_lf", "spring_rf", "spring_lr", "spring_rr"),
    "turns": ("bar_screw",),
    "clicks": tuple(f"{way}_{corner}" for way in ("bump", "rebound") for corner in ("lf", "rf", "lr", "rr")),
    "holes": ("link_angle_lr", "link_angle_rr"),
    "angle": ("camber_lf", "camber_rf", "caster_split", "rear_spoiler"),
    "pressure": ("pressure_lf", "pressure_rf", "pressure_lr", "pressure_rr"),
    "ratio": ("steering_box", "gear", "final_drive"),
    "strips": ("nose_tape",),
    "volume": ("fuel_at_green",),
}
_OF = {lever: kind for kind, levers in _KINDS.items() for lever in levers}
LEVER_KIND: Mapping[str, str] = MappingProxyType({lever: _OF.get(lever, "short_length") for lever in LEVERS})
"""Lever id to a key of `assistant.ground.quantities.QUANTITIES`; what no other kind takes is a length on the car."""
SMALLER_IS_MORE = frozenset({"steering_box"})
"""Levers whose + direction makes the number smaller: a quicker steering has the smaller ratio."""


OF_THE_CAR = "car."
"""What stands before a number of the car file, such as car.cg_height."""
BOTH_ENDS: Mapping[str, tuple[str, ...]] = {"track_bar": ("track_bar_left", "track_bar_right")}
NOT_COMPUTED = frozenset({"caster_split", "toe", "steering_box"})
"""Levers of feel, not of grip: the model has no balance for them, the pack's table speaks instead."""
_OF_THE_TANK = ("fuel_on_scales", "tank_volume", "fuel_density")
"""Numbers that only say how much fuel there is; the lever for that is fuel_at_green."""
CAR_NUMBERS: Mapping[str, str] = MappingProxyType(
    {
        OF_THE_CAR + (f"{one.field}_{member}" if member else one.field): one.kind
        for one in CAR_KEYS
        for member in (one.members or ("",))
        if one.scale == 1.0 and not (one.per or one.sided or one.unknown) and one.field not in _OF_THE_TANK
    }
)
"""Numbers of the car file an own lever may move, to the quantity each is measured in."""
MODEL_KINDS: Mapping[str, str] = MappingProxyType(
    {lever: kind for lever, kind in LEVER_KIND.items() if lever not in NOT_COMPUTED} | dict(CAR_NUMBERS)
)
"""Everything an own lever may move in the vehicle model: computed levers of the setup, and numbers of the car file."""


def kind_of(lever: str, setup: Setup) -> str:
    """Say which quantity a lever is measured in, one a team added too. KeyError for one nobody knows."""
    own = setup.own.get(lever)
    return LEVER_KIND[lever] if own is None else own.kind


def levers_of(setup: Setup) -> tuple[str, ...]:
    """List every lever of a setup in the order of the work, those a team added last; `track_bar` too."""
    return (*(lever for lever in LEVERS if lever == "track_bar" or lever in setup.values), *setup.own)


def groups_of(setup: Setup) -> Mapping[str, tuple[str, ...]]:
    """List the levers by group of the work, those a team added at the end of theirs."""
    return {
        group: (*ids, *(name for name, own in setup.own.items() if own.group == group)) for group, ids in GROUPS.items()
    }


def is_computed(lever: str, setup: Setup) -> bool:
    """Whether the vehicle model has a balance for this lever."""
    own = setup.own.get(lever)
    return lever not in NOT_COMPUTED if own is None else bool(own.moves)


def numbers_moved(lever: str, change: float, setup: Setup) -> dict[str, float]:
    """Say which numbers of the model move, and how far (SI), when a lever is moved by `change` (SI)."""
    own = setup.own.get(lever)
    if own is not None:
        return {name: rate * change for name, rate in own.moves.items()}
    return dict.fromkeys(BOTH_ENDS.get(lever, (lever,)), change)


def own_moves(setup: Setup) -> dict[str, float]:
    """Add up how far the levers a team added have moved numbers of the model from where car and setup file hold."""
    moved: dict[str, float] = {}
    for name, own in setup.own.items():
        for number, change in numbers_moved(name, setup.values[name] - own.held, setup).items():
            moved[number] = moved.get(number, 0.0) + change
    return moved
