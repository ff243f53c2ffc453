"""What is known of a situation, by name, for the conditions of the pack: answers, measurements, setup, track. SI units.

A name that is not in the mapping is not known; a condition on it is neither true nor false.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from assistant.diagnosis.questions import NOTHING_CHANGED, is_unsure
from assistant.ground.names import PHASES, ZONES

if TYPE_CHECKING:
    from assistant.car.car import Car, Track
    from assistant.car.case import Case, Measured
    from assistant.ground.understood import Complaint


Fact = float | str
TREND = {"loose": "looser", "tight": "tighter"}
NO_SHEET = "no-sheet"
"""Answer that the car is somebody else's, and nobody knows what it is set to: that speaks for no cause."""
WAS_RIGHT, NEVER_RIGHT, WHAT_CHANGED = "was_right", "never", "what_changed"
"""Whether it was right before, the answer that it never was, and what is different since."""


def facts_of(
    case: Case,
    answers: Mapping[str, str],
    complaint: Complaint | None = None,
    computed: Mapping[str, float] | None = None,
) -> dict[str, Fact]:
    """Collect every fact of a case; answers that tell nothing ("not sure") are left out.

    computed: facts only the model can give, such as corner_speed [m/s] and steering_share.
    """
    facts: dict[str, Fact] = {**case.setup.values, **(computed or {})}
    facts["run_laps"] = float(case.run_laps)
    facts["at_hand"] = case.at_hand
    facts["differential"] = _say_differential(case.car)
    facts.update(_facts_of_track(case.track))
    facts.update(_facts_of_measured(case.measured))
    facts.update(facts_of_complaint(complaint) if complaint is not None else {})
    facts.update(facts_of_answers(answers))
    return facts


def facts_of_answers(answers: Mapping[str, str]) -> dict[str, Fact]:
    """Keep the answers that tell something, by question id; a car that never was right has none but a hit to blame."""
    told: dict[str, Fact] = {
        question: choice for question, choice in answers.items() if not is_unsure(choice) and choice != NO_SHEET
    }
    blamed = told.get(WHAT_CHANGED) != NOTHING_CHANGED and told.get("which_front") != "hit"
    if (told.get(WAS_RIGHT) == NEVER_RIGHT and blamed) or told.get("which_front") == "engine":
        told.pop(WHAT_CHANGED, None)
    return told


def facts_of_complaint(complaint: Complaint) -> dict[str, Fact]:
    """State balance, phase, stage and trend of a complaint, each only where it is one and the same; phases singly."""
    cells = [cell for cell in complaint.cells if cell.balance != "fine"]
    facts: dict[str, Fact] = {} if cells or not complaint.other else {"balance": "none"}
    for name, values, every in (
        ("balance", {cell.balance for cell in cells}, 0),
        ("phase", {cell.phase for cell in cells}, 3),
        ("stage", {cell.stage for cell in cells}, 3),
    ):
        if len(values) == 1:
            facts[name] = next(iter(values))
        elif len(values) == every:
            facts[name] = "all"
    for phase in PHASES:
        felt = {cell.balance for cell in cells if cell.phase == phase}
        facts[f"balance_{phase}"] = "both" if len(felt) > 1 else next(iter(felt), "none")
    if len(complaint.corners) == 1:
        facts["tire_named"] = complaint.corners[0].lower()
    balance = facts.get("balance")
    if (facts.get("stage") == "worn" or complaint.grows) and balance in TREND:
        facts["trend"] = TREND[str(balance)]
    elif facts.get("stage") == "all":
        facts["trend"] = "none"
    return facts


def _say_differential(car: Car) -> str:
    """Say what ties the rear wheels together; car.locked is the share of lock in entry, middle and exit."""
    if min(car.locked) >= 0.9:
        return "locked"
    return "open" if max(car.locked) <= 0.1 else "locker"


def _facts_of_track(track: Track) -> dict[str, Fact]:
    facts: dict[str, Fact] = {"lap_length": track.lap_length, "track_temperature": track.track_temperature}
    facts["air_temperature"] = track.air_temperature
    if track.ends:
        banks, radii = [end.bank for end in track.ends], [end.radius for end in track.ends]
        facts.update({"banking": max(banks), "banking_least": min(banks)})
        facts.update({"radius": min(radii), "radius_largest": max(radii)})
    return facts


def _facts_of_measured(measured: Measured) -> dict[str, Fact]:
    facts: dict[str, Fact] = {}
    for corner, zones in measured.temperatures.items():
        name = f"temperature_{corner.lower()}"
        facts.update({f"{name}_{zone}": value for zone, value in zip(ZONES, zones, strict=True)})
        facts[name] = sum(zones) / 3
    by_corner = {"hot_pressure": measured.hot_pressure, "cold_pressure": measured.cold_pressure, "wear": measured.wear}
    for name, values in by_corner.items():
        facts.update({f"{name}_{corner.lower()}": value for corner, value in values.items()})
    single = {"rpm_max": measured.rpm_max, "fuel_used": measured.fuel_used, "laps_measured": measured.laps}
    single["hot_stagger"] = measured.hot_stagger
    facts.update({name: float(value) for name, value in single.items() if value is not None})
    return facts
