"""A calibration as plain data for `--json`: the keys are a contract, numbers in the units of the system asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from assistant.belief.calibrate_readings import KIND_OF
from assistant.ground.units import System, to_unit, unit_of

if TYPE_CHECKING:
    from assistant.belief.log_fit import Calibration


FULL_KIND = {**KIND_OF, "tread temperature": "temperature"}


def calibration_json(found: Calibration, system: System = "trade") -> dict[str, Any]:
    """Give everything found; `kept` says whether a fit was made."""
    return {
        "log": {"name": found.log.name, "laps": found.log.laps, "left_out": list(found.left_out)},
        "kept": found.fit is not None,
        "refused": list(found.refused),
        "numbers": [
            {
                "id": one.parameter.id,
                "title": one.parameter.title,
                "determined": one.told,
                "factor": one.factor,
                "factor_band": [one.low / one.before, one.high / one.before],
                "uncertainty_left": one.left,
            }
            for one in found.learned
        ],
        "agreement": [
            {
                "quantity": one.quantity,
                "readings": one.count,
                "unit": unit_of(KIND_OF[one.quantity], system),
                "before": _size(one.before, KIND_OF[one.quantity], system),
                "fitted": _size(one.after, KIND_OF[one.quantity], system),
            }
            for one in found.agreement
        ],
        "readings": [
            {
                "quantity": one.reading.quantity,
                "corner": one.reading.corner or None,
                "lap": one.reading.lap,
                "unit": unit_of(FULL_KIND[one.reading.quantity], system),
                "measured": _size(one.reading.value, FULL_KIND[one.reading.quantity], system),
                "fitted": _size(one.after, FULL_KIND[one.reading.quantity], system),
            }
            for one in found.compared
        ],
        "drift_per_ten_laps": [
            {
                "quantity": one.quantity,
                "corner": one.corner or None,
                "unit": unit_of(KIND_OF[one.quantity], system) if one.quantity in KIND_OF else "%",
                "measured": None if one.measured is None else _size(one.measured, KIND_OF[one.quantity], system),
                "fitted": _size(one.fitted, KIND_OF[one.quantity], system) if one.quantity in KIND_OF else one.fitted,
            }
            for one in found.drift
        ],
        "notes": list(found.notes),
    }


def _size(value: float, kind: str, system: System) -> float:
    return to_unit(value, unit_of(kind, system), kind)
