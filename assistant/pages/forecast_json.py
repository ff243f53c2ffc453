"""The run ahead as plain dicts for `forecast --json` and `try --json`; the keys are a contract.

Shares are 0 to 1; balance in percent, + tighter; temperatures and hot pressures as the tires come in at the end of the
run; the rest in the units of the system asked for. Not known is None, never invented.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from assistant.belief.as_said import as_said_json
from assistant.car.car import CORNERS
from assistant.car.case import PHASES, STAGES
from assistant.ground.units import System, to_unit, unit_of

if TYPE_CHECKING:
    from assistant.belief.run_ahead import RunAhead
    from assistant.belief.run_parts import Brakes, Gear
    from assistant.belief.whole_run import Forecast
    from assistant.ground.results import Grid


Plain = dict[str, Any]
NAMES = ("gear", "final_drive", "overall")
"""What names an entry of `gears`; such values are no change."""


def forecast_json(ahead: RunAhead, *, system: System = "trade") -> Plain:
    """Give the run ahead as the contract of `forecast --json` has it."""
    forecast, car = ahead.forecast, ahead.case.car
    return {
        "balance": grid(forecast.balance),
        "ends": [{"id": end, "balance": grid(balance)} for end, balance in forecast.ends],
        "tires": {corner: tire(forecast, corner, system) for corner in CORNERS},
        "fuel": {
            "per_lap": number(forecast.fuel_per_lap / car.fuel_density, "volume", system),
            "laps": forecast.fuel_laps,
        },
        "run_ends_by": forecast.run_ends_by,
        "steering": steering(forecast, lock_known=car.steering_lock is not None),
        "gears": [gear(one) for one in ahead.gears],
        "brakes": brakes(ahead.brakes),
        "as_said": as_said_json(ahead.model),
    }


def try_json(before: RunAhead, after: RunAhead, *, system: System = "trade") -> Plain:
    """Give before, after and change, each with the keys of a forecast; change holds numbers only."""
    one, other = forecast_json(before, system=system), forecast_json(after, system=system)
    said = one.pop("as_said")
    other.pop("as_said")  # both are judged from the car as it is
    return {"before": one, "after": other, "change": change_of(one, other), "as_said": said}


def grid(cells: Grid) -> Plain:
    """Copy a grid."""
    return {phase: dict(row) for phase, row in cells.items()}


def number(value: float, kind: str, system: System) -> float:
    """Convert an SI value to the system's unit."""
    return to_unit(value, unit_of(kind, system), kind)


def tire(forecast: Forecast, corner: str, system: System) -> Plain:
    """One tire as it comes in at the end of the run."""
    strips = forecast.strips[corner]["worn"]
    temps = zip(("inside", "middle", "outside"), strips, strict=True)
    return {
        "wear_end": forecast.wear_end[corner],
        "laps": forecast.tire_laps[corner],
        "temps": {name: number(value, "temperature", system) for name, value in temps},
        "hot_pressure": number(forecast.hot_pressure[corner]["worn"], "pressure", system),
    }


def steering(forecast: Forecast, *, lock_known: bool) -> Plain:
    """Useful share of the steering, and share of full lock where the lock is known."""
    return {
        phase: {
            stage: {
                "useful_share": forecast.useful_share[phase][stage],
                "lock_share": forecast.lock_share[phase][stage] if lock_known else None,
            }
            for stage in STAGES
        }
        for phase in PHASES
    }


def gear(one: Gear) -> Plain:
    """One pair of gears."""
    return {
        "gear": one.gear,
        "final_drive": one.final_drive,
        "overall": one.overall,
        "rpm_max": one.rpm_max,
        "rpm_min": one.rpm_min,
        "limiter_s": one.limiter_s,
        "lap_s": one.lap_s,
        "fuel_laps": one.fuel_laps,
    }


def brakes(found: Brakes) -> Plain:
    """Ideal front share at the entry's demand, and the axle that locks first with today's share."""
    return {"share_ideal": found.share_ideal, "lock_first": found.lock_first}


def change_of(before: Any, after: Any) -> Any:
    """Subtract number by number; names of ends and gears stay, other words become None, lists are matched by name."""
    if isinstance(before, dict):
        named = {"id": before["id"]} if "id" in before else {}
        if "final_drive" in before:
            named = {key: after[key] for key in NAMES}
        return named | {key: change_of(before[key], after[key]) for key in before if key not in named}
    if isinstance(before, list):
        return [change_of(old, new) for new in after for old in before if name_of(old) == name_of(new)]
    if isinstance(before, int | float) and isinstance(after, int | float):
        return after - before
    return None


def name_of(entry: Plain) -> tuple[object, ...]:
    """What tells one entry of a list from the others."""
    return (entry.get("id"), entry.get("gear"), entry.get("final_drive"))
