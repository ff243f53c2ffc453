"""Demand: what it would take to trim what the driver asks for, and not the grip of each phase.

One share of grip between front and rear stays free. Beside it each car may brake, pick up the throttle and turn the
wheel otherwise than an ordinary driver, on the way in and on the way out, within the bands those numbers have.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from unittest.mock import patch

import numpy as np

from assistant.belief import garage as garages
from assistant.belief import weigh
from assistant.belief.driven import FREE, Changes, Course, Driven, drive_on, find_usable, look_round, read_told
from assistant.belief.garage import Garage
from assistant.belief.plausible import DRIVER, Cars
from assistant.car.case import Case
from assistant.car.files import read_case
from assistant.ground.names import PHASES
from assistant.physics.driven_run import Beginning
from tests.belief.story import believe_words, mixes

ASKED: Mapping[str, tuple[str, int]] = {
    "brake": ("entry", 0),
    "yaw": ("entry", 0),
    "drive": ("exit", 2),
    "yaw out": ("exit", 2),
}
"""What is asked for instead, by the name of its band in `DRIVER` (see `demand_of`): the phase, and its place."""
NUDGE = 0.1
COMMON = "front to rear"


def demand_of(name: str) -> tuple[str, float]:
    """Field of `Phases`, and one standard deviation as a share."""
    field, band = DRIVER[name.split(maxsplit=1)[0]]
    return field, band.share


def ask_for(cars: Cars, name: str) -> Cars:
    """Let every driver ask for a tenth more of something."""
    field, place = demand_of(name)[0], ASKED[name][1]
    asked = np.array(getattr(cars.phases, field))
    asked[place] *= 1.0 + NUDGE
    return replace(cars, phases=replace(cars.phases, **{field: asked}))


def look_by_demand(cars: Cars, course: Course, rest: Beginning, changes: Changes) -> Driven:
    """Read all cars, with the common trim and what the driver asks for as their free numbers."""
    usual = look_round(cars, course, rest, changes)
    slopes = [usual.slopes[0]]
    for name in ASKED:
        run = drive_on(ask_for(cars, name), course, rest, changes)
        slopes.append((read_told(run) - usual.values) * demand_of(name)[1] / NUDGE)
    each = np.stack(slopes)
    return replace(usual, slopes=each, usable=usual.usable & find_usable(run, usual.values, each))


def count_cars(garage: Garage) -> str:
    """Say how many cars count over all mixes of what a driver may say."""
    beliefs = [believe_words(garage, cells) for cells in mixes()]
    plain = np.median([one.fit.plain for one in beliefs])
    gap = np.median([one.fit.gap for one in beliefs])
    shut = sum(one.gate_is_shut for one in beliefs)
    return f"{plain:.0f} of {garage.count} cars count, the best is {gap:.1f} doubts off, the gate stops {shut}"


def say_needed(by_grip: Garage, by_demand: Garage) -> str:
    """Say how far drivers would have to be from an ordinary one to make a phase neutral without a trim of its own."""
    driven, asked, numbers = by_grip.drive(), by_demand.drive(), by_grip.batches[0].cars.numbers
    said = []
    for phase in ("entry", "exit"):
        name = f"balance {phase}"
        place = 1 + PHASES.index(phase)
        slope = driven.read_slopes(name, "settled")[place] / FREE[f"trim_{phase}"]
        off = slope * (numbers[f"trim_{phase}"] - numbers["trim_middle"])
        own = [1 + at for at, (where, _) in enumerate(ASKED.values()) if where == phase]
        most = np.sqrt(np.square(asked.read_slopes(name, "settled")[own]).sum(axis=0))
        needed = np.median(np.abs(off / most)[driven.usable & asked.usable])
        said.append(f"{phase} {np.median(np.abs(off[driven.usable])):.1f} % or {needed:.1f} of their bands")
    return "; ".join(said)


def prove_demand(size: int = 128) -> list[str]:
    """Set both ways beside each other on the three demos."""
    return [line for name in ("demo", "demo-tight", "demo-snap") for line in prove_case(read_case(name), size)]


def prove_case(case: Case, size: int) -> list[str]:
    """The same of one."""
    by_grip = Garage(case, size=size)
    grip = count_cars(by_grip)
    free = {COMMON: FREE[COMMON], **dict.fromkeys(ASKED, 1.0)}
    with patch.object(garages, "look_round", look_by_demand), patch.object(weigh, "FREE", free):
        by_demand = Garage(case, size=size)
        demand = count_cars(by_demand)
    return [
        f"  {case.name}, to trim in the middle alone leaves: {say_needed(by_grip, by_demand)}",
        f"    grip of each phase free: {grip}",
        f"    what the driver asks for free: {demand}",
    ]
