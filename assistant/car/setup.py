"""Today's setup and what the rules allow: one number per lever, in SI units.

A lever id is one of `LEVERS`. `track_bar` is both ends together and holds no value of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

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
    """A lever a team added by its own rules. name: as in messages. kind: a key of `assistant.quantities.QUANTITIES`.

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
