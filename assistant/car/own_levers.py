"""Levers a team added by its own rules: where they stand, how far they go, and which numbers of the model they move.

Such a lever stands in `Setup.own`, its value among `Setup.values` and its range in `Rulebook.limits`, so that it is
moved like any other. The vehicle model knows nothing of it: what it moves is told by `numbers_moved`.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from assistant.car.car_keys import CAR_KEYS
from assistant.car.setup import GROUPS, LEVERS, Setup
from assistant.car.setup_kinds import LEVER_KIND

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
