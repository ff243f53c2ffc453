"""Answers about one's own car that are possible, but the other way round than usual on a car that turns left."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from assistant.car.own_car_questions import CarAnswer
from assistant.ground.units import System, show

KEEP = frozenset({"", "yes", "y", "yep", "yeah", "ok", "keep", "keep it"})
AGAIN = frozenset({"no", "n", "nope", "back"})
PROMPT = "(Enter or yes keeps it; no asks again; or type what it is)"
HALF = 0.5


def doubt_of(given: CarAnswer, system: System) -> str:
    """Say what is the other way round in an answer and ask whether to keep it; "" where nothing is."""
    find = _DOUBTS.get(given.id)
    said = "" if find is None or given.guessed else find(given.values, system)
    return f"That is the other way round than usual: {said}" if said else ""


def _stagger(values: tuple[float, ...], system: System) -> str:
    if values[0] >= 0.0:
        return ""
    size = show(values[0], "short_length", system=system, fraction=True)
    return f"it is right rear minus left rear, and for left turns the right one is the larger. Keep {size}?"


def _scales(values: tuple[float, ...], system: System) -> str:
    left = values[1]
    if left >= HALF:
        return ""
    share = show(left, "share", system=system)
    return (
        f"left is LF and LR together, and a car that turns left has more than half of its weight there. Keep {share}?"
    )


def _track(values: tuple[float, ...], system: System) -> str:
    if values[1] >= 0.0:
        return ""
    bank = show(values[1], "angle", system=system)
    return f"a negative banking falls away to the outside of the turn. Keep {bank}?"


_DOUBTS: Mapping[str, Callable[[tuple[float, ...], System], str]] = {
    "stagger": _stagger,
    "scales": _scales,
    "track": _track,
}
