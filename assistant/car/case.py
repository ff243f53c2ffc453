"""One situation on file: who, where, on what, what the driver said and measured, and what a run log taught of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

from assistant.car.car import Car, Engine, Tire, Track
from assistant.car.setup import Rulebook, Setup


@dataclass(frozen=True)
class Measured:
    """What was read at the car; every part may be missing.

    temperatures: corner to (inside, middle, outside) [K], inside = the edge toward the car's centerline.
    hot_pressure, cold_pressure: corner to gauge pressure [Pa]. wear: corner to tread used [m] over `laps`.
    fuel_used [kg] over `laps`. lap_times [s]. steering: largest mean front-wheel angle seen [rad]. rpm_max [1/min].
    hot_stagger: taped after the run [m].
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
    hot_stagger: float | None = None


@dataclass(frozen=True)
class Fit:
    """name: as in the case's line. log: the run log it came from. tire: name of the tire it was made for.

    values: field of Tire or Engine to its SI value; only what the log determined.
    """

    name: str
    log: str
    tire: str
    values: Mapping[str, float]


@dataclass(frozen=True)
class Case:
    """run_laps: length of a run between stops. complaint: the driver's own words, may be empty.

    answers: question id to answer id, for questions already settled. at_hand: "pit stop", "between runs" or "shop":
    the most time-consuming change there is time for now. file: where it was read from.
    fit: what a run log taught, already in the tire and the engine; None when the case names none.
    id: tells the car from every other in the notebook; "" where nothing was told of it yet.
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
    id: str = ""


def put_fit(case: Case, fit: Fit) -> Case:
    """Put a fit into a case: its values replace those of the tire and engine files, and are no longer guessed."""
    of_engine = {one.name for one in fields(Engine)}
    tire: dict[str, Any] = {name: value for name, value in fit.values.items() if name not in of_engine}
    engine: dict[str, Any] = {name: value for name, value in fit.values.items() if name in of_engine}
    return replace(
        case,
        tire=replace(case.tire, **tire, guessed=case.tire.guessed - set(tire)),
        car=replace(case.car, engine=replace(case.car.engine, **engine), guessed=case.car.guessed - set(engine)),
        fit=fit,
    )
