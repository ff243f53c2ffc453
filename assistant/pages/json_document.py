"""The head of every answer of `--json`: the edition of the contract, and the unit of every quantity that occurs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from assistant.ground.units import System, unit_of

FORMAT = 1
"""Edition of the contract: a key that goes or means something else makes it the next one; a new key does not."""
UNITS: Mapping[str, str] = {
    "balance": "% of grip, + tight",
    "effect": "% of grip, + tight",
    "wear_end": "share of the tread",
    "laps": "lap",
    "fuel_laps": "lap",
    "tire_life_laps": "lap",
    "first_tire_laps": "lap",
    "pace_s": "s",
    "last_lap_s": "s",
    "lap_s": "s",
    "limiter_s": "s",
    "rpm_max": "rpm",
    "rpm_min": "rpm",
    "chance": "share",
    "cures": "share",
    "removes": "share of the complaint",
    "at_once": "share of the complaint",
    "spoils": "share of the complaint",
    "sign_share": "share",
    "useful_share": "share",
    "lock_share": "share",
    "share_ideal": "share",
    "severity": "1 to 5",
}
"""Units of keys that are the same in every system."""
QUANTITIES: Mapping[str, str] = {"temps": "temperature", "hot_pressure": "pressure", "per_lap": "volume"}
"""Quantities of keys whose unit is the system's."""


def document(found: Mapping[str, Any], system: System) -> dict[str, Any]:
    """Head what a command answers. system: the unit system its numbers are in.

    Keys with a unit beside them (`unit`, `temperature_unit`, or the answer's own `units`) keep that one.
    """
    there = set(_keys_in(found))
    units = {key: unit for key, unit in UNITS.items() if key in there}
    units |= {key: unit_of(quantity, system) for key, quantity in QUANTITIES.items() if key in there}
    return {"format": FORMAT, **found, "units": units | found.get("units", {})}


def _keys_in(value: Any) -> Iterator[str]:
    """Name every key in plain data, at any depth."""
    if isinstance(value, Mapping):
        yield from value
        value = list(value.values())
    if isinstance(value, list):
        for part in value:
            yield from _keys_in(part)
