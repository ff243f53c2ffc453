"""Which physical quantity each lever is measured in."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from assistant.car.setup import LEVERS

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
"""Lever id to a key of `assistant.quantities.QUANTITIES`; what no other kind takes is a length on the car."""
SMALLER_IS_MORE = frozenset({"steering_box"})
"""Levers whose + direction makes the number smaller: a quicker steering has the smaller ratio."""
