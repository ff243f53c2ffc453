"""One situation on file: who, where, on what, and what the driver said and measured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from assistant.car.car import Car, Tire, Track
from assistant.car.setup import Rulebook, Setup

if TYPE_CHECKING:
    from assistant.car.fit import Fit


@dataclass(frozen=True)
class Measured:
    """What was read at the car; every part may be missing.

    temperatures: corner to (inside, middle, outside) [K], inside = the edge toward the car's centerline.
    hot_pressure, cold_pressure: corner to gauge pressure [Pa]. wear: corner to tread used [m] over `laps`.
    fuel_used [kg] over `laps`. lap_times [s]. steering: largest mean front-wheel angle seen [rad]. rpm_max [1/min].
    """

    laps: int | None = None
    temperatures: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    hot_pressure: Mapping[str, float] = field(default_factory=dict)
    cold_pressure: Mapping[str, float] = field(default_factory=dict)
    wear: Mapping[str, float] = field(default_factory=dict)
    fuel_used: float | None = None
    lap_times: tuple[float, ...] = ()
    steering: float | None = None
    rpm_max: float | None = None


@dataclass(frozen=True)
class Case:
    """run_laps: length of a run between stops. complaint: the driver's own words, may be empty.

    answers: question id to answer id, for questions already settled. at_hand: "pit stop", "between runs" or "shop":
    the most time-consuming change there is time for now. file: where it was read from.
    fit: what a run log taught, already in the tire and the engine; None when the case names none.
    """

    name: str
    car: Car
    tire: Tire
    track: Track
    rulebook: Rulebook
    setup: Setup
    run_laps: int
    complaint: str = ""
    answers: Mapping[str, str] = field(default_factory=dict)
    measured: Measured = field(default_factory=Measured)
    at_hand: str = "shop"
    file: str = ""
    fit: Fit | None = None
