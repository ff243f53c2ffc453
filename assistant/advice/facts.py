"""What is known of a situation, by name, for the conditions of the pack: answers, measurements, setup, track. SI units.

A name that is not in the mapping is not known; a condition on it is neither true nor false.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from assistant.advice.questions import is_unsure

if TYPE_CHECKING:
    from assistant.car.case import Case, Measured
    from assistant.car.track import Track

Fact = float | str
ZONES = ("inside", "middle", "outside")


def facts_of(case: Case, answers: Mapping[str, str]) -> dict[str, Fact]:
    """Collect every fact of a case; answers that tell nothing ("not sure") are left out."""
    facts: dict[str, Fact] = dict(case.setup.values)
    facts["run_laps"] = float(case.run_laps)
    facts["at_hand"] = case.at_hand
    facts.update(_facts_of_track(case.track))
    facts.update(_facts_of_measured(case.measured))
    facts.update(facts_of_answers(answers))
    return facts


def facts_of_answers(answers: Mapping[str, str]) -> dict[str, Fact]:
    """Keep the answers that tell something, by question id."""
    return {question: choice for question, choice in answers.items() if not is_unsure(choice)}


def _facts_of_track(track: Track) -> dict[str, Fact]:
    facts: dict[str, Fact] = {"lap_length": track.lap_length, "track_temperature": track.track_temperature}
    facts["air_temperature"] = track.air_temperature
    if track.ends:
        facts["banking"] = max(end.bank for end in track.ends)
        facts["radius"] = min(end.radius for end in track.ends)
    return facts


def _facts_of_measured(measured: Measured) -> dict[str, Fact]:
    facts: dict[str, Fact] = {}
    for corner, zones in measured.temperatures.items():
        name = f"temperature_{corner.lower()}"
        facts.update({f"{name}_{zone}": value for zone, value in zip(ZONES, zones, strict=True)})
        facts[name] = sum(zones) / 3
    facts.update(_facts_of_temperatures(facts))
    for corner, hot in measured.hot_pressure.items():
        facts[f"hot_pressure_{corner.lower()}"] = hot
        if corner in measured.cold_pressure:
            facts[f"pressure_build_{corner.lower()}"] = hot - measured.cold_pressure[corner]
    facts.update({f"wear_{corner.lower()}": wear for corner, wear in measured.wear.items()})
    single = {"steering": measured.steering, "rpm_max": measured.rpm_max, "fuel_used": measured.fuel_used}
    facts.update({name: value for name, value in single.items() if value is not None})
    if len(measured.lap_times) >= 2:
        facts["lap_time_fade"] = measured.lap_times[-1] - min(measured.lap_times)
    return facts


def _facts_of_temperatures(facts: Mapping[str, Fact]) -> dict[str, Fact]:
    """Add the pairs and diagonals a crew chief reads: front against rear, and which tyre is hottest."""
    means = {corner: facts.get(f"temperature_{corner}") for corner in ("lf", "rf", "lr", "rr")}
    known = {corner: value for corner, value in means.items() if isinstance(value, float)}
    if len(known) < 4:
        return {}
    return {
        "temperature_front": (known["lf"] + known["rf"]) / 2,
        "temperature_rear": (known["lr"] + known["rr"]) / 2,
        "hottest_tyre": max(known, key=lambda corner: known[corner]),
    }
