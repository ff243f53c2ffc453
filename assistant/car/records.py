"""From checked file models to the SI records, with the checks that need several values at once.

No file is opened here. What is left out and has a default counts as guessed, since the owner did not say it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise
from math import degrees, pi
from typing import Any

from assistant.car.car import (
    CORNERS,
    Car,
    End,
    Engine,
    Four,
    Shares,
    Tire,
    Track,
    corner_loads,
    lifted_corners,
    shares_of,
)
from assistant.car.case import Measured
from assistant.car.file_keys import CAR_KEYS, END_KEYS, ENGINE_KEYS, GEAR, MEASURED_KEYS, POWER, TIRE_KEYS, TRACK_KEYS
from assistant.car.file_models import OWN_LEVERS, look_up
from assistant.car.keys import Key
from assistant.car.lever_rows import CORNER_WEIGHT_KEYS, LEVERS, SHARES, Rows, limit_paths, path_of
from assistant.car.moves import unfit_parts
from assistant.car.setup import Rulebook, Setup
from assistant.ground.problems import Problem
from assistant.ground.units import Amount, show
from assistant.ground.yaml_file import Document

TURN_LEAST, TURN_MOST = 200.0, 400.0  # degrees; a lap turns 360, of which bent straights may take a part
WEIGHT_SLACK = 0.02  # scales read to a pound or two, and fuel is never quite the same
MOST_UNSPRUNG = 0.7
"""Share of the weight of a car that wheels, axles and ballast may be."""


def make_car(model: object) -> Car:
    """Make the car of a checked file."""
    values, guessed = collect(model, CAR_KEYS)
    engine, guessed_engine = collect(model, ENGINE_KEYS)
    curve = look_up(model, POWER.path)
    gears = look_up(model, GEAR.path)
    values["fuel_on_scales"] *= values["fuel_density"]
    return Car(
        name=look_up(model, ("car",)),
        **values,
        engine=Engine(
            rpm=tuple(speed for speed, _ in curve),
            power=tuple(power for _, power in curve),
            gears=tuple(gear.value for gear in gears),
            **engine,
        ),
        guessed=guessed | guessed_engine,
    )


def check_car(document: Document, car: Car) -> Iterator[Problem]:
    """Find what no single value shows: parts heavier than the car, a track bar without length, gears out of order."""
    unsprung = car.unsprung_front + car.unsprung_rear
    if unsprung + car.ballast_mass > MOST_UNSPRUNG * car.mass:
        says = f"wheels, axle and ballast weigh {show(unsprung + car.ballast_mass, 'mass')} of {show(car.mass, 'mass')}"
        yield document.problem(("weight", "on the scales"), says, "unsprung weights are for both wheels together")
    if abs(car.track_bar_axle_y - car.track_bar_frame_y) < 0.1:
        says = "the two ends of the track bar are at the same place"
        hint = "one end is on the left, the other on the right: 15 in left, 19 in right"
        yield document.problem(("rear axle", "track bar axle end"), says, hint)
    if any(later >= earlier for earlier, later in pairwise(car.engine.gears)):
        yield document.problem(GEAR.path, "the gears do not go from first to top", "the largest ratio comes first")
    if car.engine.rpm[0] >= car.engine.rev_limit:
        yield document.problem(POWER.path, "the whole curve lies above the rev limit", "check the rev limit")


def make_tire(model: object) -> Tire:
    """Make the tire of a checked file."""
    values, guessed = collect(model, TIRE_KEYS)
    return Tire(name=look_up(model, ("tire",)), **values, guessed=guessed)


def make_track(model: object) -> Track:
    """Make the track of a checked file; a single end stands for two alike."""
    values, guessed = collect(model, TRACK_KEYS)
    ends = []
    rows = look_up(model, ("ends",))
    names = [look_up(row, ("end",)) or f"turns {2 * at + 1}-{2 * at + 2}" for at, row in enumerate(rows)]
    if len(rows) == 1:
        names = [names[0], "turns 3-4" if names[0] != "turns 3-4" else "turns 1-2"]
        rows = rows * 2
    for end, row in zip(names, rows, strict=True):
        parts, guesses = collect(row, END_KEYS)
        guessed |= guesses
        ends.append(End(id=end, **parts))
    return Track(name=look_up(model, ("track",)), ends=tuple(ends), **values, guessed=guessed)


def check_track(document: Document, track: Track) -> Iterator[Problem]:
    """Find ends that do not make a lap, and ends of one name."""
    turned = degrees(sum(end.length / end.radius for end in track.ends))
    if not TURN_LEAST <= turned <= TURN_MOST:
        half = pi * track.ends[0].radius
        says = f"length over radius says that the ends turn {turned:.0f} deg in all; a lap turns 360"
        hint = f"half a circle of this radius is {show(half, 'length')} long"
        yield document.problem(("ends", 0, "length"), says, hint)
    names = [end.id for end in track.ends]
    for at, name in enumerate(names):
        if name in names[:at]:
            yield document.problem(("ends", at, "end"), f"two ends are called '{name}'", "give each its own name")


def make_rulebook(model: object, rows: Rows) -> Rulebook:
    """Make the rulebook of a checked file, written by these rows."""
    limits = {}
    for row in rows:
        found = next((limit for path in limit_paths(row) if (limit := look_up(model, path)) is not None), None)
        if found is not None:
            limits[row.field] = found
    return Rulebook(name=look_up(model, ("rulebook",)), limits=limits)


def make_setup(model: object, rows: Rows) -> Setup:
    """Make the setup of a checked file, written by these rows; corner weights become shares."""
    values, guessed = collect(model, rows)
    if _weights(rows):
        fields = [one.field for one in CORNER_WEIGHT_KEYS]
        shares = shares_of(_four([values.pop(field) for field in fields]))
        scales = {"nose_weight": shares.nose, "left_weight": shares.left, "cross_weight": shares.cross}
        values = {**scales, **values}
        guessed = frozenset(scales) | guessed if guessed & set(fields) else guessed
        guessed -= set(fields)
    ordered = {lever: values[lever] for lever in LEVERS if lever in values}
    stated = {lever: str(value) for lever, value in look_up(model, (OWN_LEVERS,)).items()}
    return Setup(name=look_up(model, ("setup",)), values=ordered, guessed=guessed, stated_own=stated)


def check_setup(document: Document, setup: Setup, model: object, car: Car | None, rows: Rows) -> Iterator[Problem]:
    """Find scales that lift a wheel at rest or do not weigh this car, and parts this car cannot take."""
    place = path_of("cross_weight", rows)
    shares = Shares(*(setup.values[lever] for lever in SHARES))
    if weights := _weights(rows):
        place = weights[0].path
        total = sum(look_up(model, row.path).value for row in weights)
        if car is not None and abs(total / car.mass - 1) > WEIGHT_SLACK:
            says = f"the four scales add up to {show(total, 'mass')}, the car file says {show(car.mass, 'mass')}"
            yield document.problem(
                place, says, "weigh with the driver and the fuel of the car file, or correct it there"
            )
    for corner, name, missing in lifted_corners(shares):
        at = CORNERS.index(corner)
        load = (
            f"{show(corner_loads(car.mass, shares)[at], 'mass')}" if car else f"{show(-missing, 'share')} of the weight"
        )
        says = f"these scales lift the {name} wheel at rest: it would carry {load}"
        yield document.problem(place, says, "check the percentages: cross is RF + LR, nose is LF + RF, left is LF + LR")
    if car is None:
        return
    for lever, says, hint in unfit_parts(setup, car):
        yield document.problem(path_of(lever, rows), says, hint)


def _weights(rows: Rows) -> Rows:
    """Pick the rows of the corner weights; empty when a file has shares."""
    fields = {row.field for row in CORNER_WEIGHT_KEYS}
    return tuple(row for row in rows if row.field in fields)


def make_measured(model: object, fuel_density: float, steering_box: float) -> Measured:
    """Make the measurements of a checked case file."""
    block = look_up(model, ("measured",))
    values: dict[str, Any] = {}
    for one in MEASURED_KEYS:
        if one.members:
            found = {member.upper(): look_up(block, (*one.path, member)) for member in one.members}
            values[one.field] = {corner: reading.value for corner, reading in found.items() if reading is not None}
        else:
            reading = look_up(block, one.path)
            values[one.field] = None if reading is None else reading.value
    wheel = values.pop("steering_wheel")
    if values["steering"] is None and wheel is not None:
        values["steering"] = wheel / steering_box
    if values["fuel_used"] is not None:
        values["fuel_used"] *= fuel_density
    treads = {corner: look_up(block, ("temperatures", corner.lower())) for corner in CORNERS}
    laps = look_up(block, ("laps",))
    return Measured(
        laps=None if laps is None else round(laps.value),
        temperatures={corner: _three(tread) for corner, tread in treads.items() if tread is not None},
        lap_times=tuple(reading.value for reading in look_up(block, ("lap times",))),
        **values,
    )


def collect(model: object, keys: Iterable[Key]) -> tuple[dict[str, Any], frozenset[str]]:
    """Get the SI values of keys by field, and the fields that are guessed."""
    values: dict[str, Any] = {}
    guessed: set[str] = set()
    for one in keys:
        paths = [(*one.path, member) for member in one.members] or [one.path]
        readings: list[Amount | None] = [look_up(model, path) for path in paths]
        if any(reading is not None and reading.guessed for reading in readings):
            guessed.add(one.field)
        found = [None if reading is None else reading.value * one.scale for reading in readings]
        values[one.field] = tuple(found) if one.members else found[0]
    return values, frozenset(guessed)


def _four(values: list[float]) -> Four:
    lf, rf, lr, rr = values
    return lf, rf, lr, rr


def _three(readings: list[Amount]) -> tuple[float, float, float]:
    inside, middle, outside = (reading.value for reading in readings)
    return inside, middle, outside
