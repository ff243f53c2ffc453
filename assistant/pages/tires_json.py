"""A reading of the tires as plain data for `--json`; numbers in the units of the system asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from assistant.car.setup import LEVER_KIND
from assistant.ground.units import System, to_unit, unit_of

if TYPE_CHECKING:
    from assistant.diagnosis.tire_reading import Finding, Move, Rate, TireReading


def reading_json(found: TireReading, system: System = "trade") -> dict[str, Any]:
    """Give everything the tires say."""
    return {
        "temperature_unit": unit_of("temperature_change", system),
        "pressure_unit": unit_of("pressure", system),
        "findings": [_finding(one, system) for one in found.findings],
        "spread": {corner: _size(value, "temperature_change", system) for corner, value in found.spreads.items()},
        "build": {
            one.tire: {
                "gained": _size(one.gained, "pressure", system),
                "usual": _size(one.usual, "pressure", system),
                "much": one.much,
            }
            for one in found.builds
        },
        "rates": {"air": _rate(found.air, "pressure", system), "camber": _rate(found.camber, "angle", system)},
        "notes": list(found.notes),
    }


def _finding(one: Finding, system: System) -> dict[str, Any]:
    return {
        "rule": one.rule,
        "tire": one.tire,
        "about": one.about,
        "says": one.says,
        "when": one.when,
        "difference": _size(one.by, "temperature_change", system),
        "stricter_rule_agrees": one.strict,
        "confidence": one.confidence,
        "backed_by": list(one.backed_by),
        "lever": one.lever or None,
        "toward": one.toward or None,
        "move": None if one.move is None else _move(one.move, system),
    }


def _move(one: Move, system: System) -> dict[str, Any]:
    kind = LEVER_KIND[one.lever]
    return {
        "steps": one.steps,
        "unit": unit_of(kind, system),
        "change": _size(one.change, kind, system) if one.change else 0.0,
        "value": _size(one.value, kind, system),
        "wanted": _size(one.wanted, kind, system),
        "band": [_size(one.low, kind, system), _size(one.high, kind, system)],
        "stopped": None if one.stop is None else one.stop.text(system),
    }


def _rate(one: Rate, kind: str, system: System) -> dict[str, Any]:
    per = 1.0 / to_unit(1.0, unit_of(kind, system), kind)
    value, low, high = (_size(part * per, "temperature_change", system) for part in (one.value, one.low, one.high))
    return {"value": value, "band": [low, high], "per": unit_of(kind, system), "from": one.told, "pairs": one.pairs}


def _size(value: float, kind: str, system: System) -> float:
    return to_unit(value, unit_of(kind, system), kind)
