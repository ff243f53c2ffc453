"""Plausible cars: the same car with every uncertain number moved inside its band, seeded so that answers repeat.

Each car also has free numbers, shares of grip between front and rear, that are not drawn here but fitted to what is
known (see `driven.FREE` and `weigh`). What the driver asks for is drawn: what it does to balance bends too much for a
fit on straight slopes, and the trims take its level up anyway.
Bands are one standard deviation. All of them are assumptions; a number the owner only guessed gets twice its band.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from math import radians
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.ground.quantities import PSI
from assistant.physics.car_and_driver import MEMBERS, Numbers, Phases, usual_phases
from assistant.physics.formulas import Array

STATED = os.environ.get("HALFTURN_CARS", "")
"""How many cars are drawn, where somebody states it: then never more."""
CARS = int(STATED) if STATED.isdecimal() and int(STATED) >= 16 else 128
"""Cars that a belief is meant to hold; how many have to count is measured by it."""
MORE = CARS // 2
FIRST, MOST_CARS = (CARS, CARS) if STATED else (3 * CARS // 4, 2 * CARS)
"""Cars that are drawn at a time when more are needed; those drawn first, without an aim, and at most."""
OPEN = 40
"""Standard normal numbers every car keeps for what a fit leaves open; a fit has seldom more than thirty."""
CUT = 2.0
"""Standard deviations beyond which no car is drawn."""
SEED = 20_261
GUESSED = 2.0
"""How much wider a guessed number's band is; assumption."""


@dataclass(frozen=True)
class Band:
    """How far a number may be off: one standard deviation, as a share or added."""

    share: float = 0.0
    add: float = 0.0


DRAWN: Mapping[str, Band] = {
    # the car: what a tape measure and a scale give, and what is usually estimated
    "cg_height": Band(share=0.05),
    "unsprung_front": Band(share=0.08),
    "unsprung_rear": Band(share=0.08),
    "spring_ratio_front": Band(share=0.03),
    "shock_ratio_front": Band(share=0.05),
    "bar_arm": Band(share=0.04),
    "bar_ratio": Band(share=0.06),
    "front_roll_center": Band(add=0.015),
    "camber_gain_lf": Band(share=0.2),
    "camber_gain_rf": Band(share=0.2),
    "anti_dive_lf": Band(add=0.05),
    "anti_dive_rf": Band(add=0.05),
    "shock_base_rate_lf": Band(share=0.2),
    "shock_base_rate_rf": Band(share=0.2),
    "shock_base_rate_lr": Band(share=0.2),
    "shock_base_rate_rr": Band(share=0.2),
    "drag_area": Band(share=0.15),
    "front_lift_area": Band(add=0.05),
    "rear_lift_area": Band(add=0.08),
    "spoiler_lift": Band(share=0.3),
    "nose_lift": Band(share=0.4),
    "tank_x": Band(add=0.05),
    "yaw_radius": Band(share=0.1),
    # the tire: the least certain part
    "load_exponent": Band(add=0.03),
    "peak_slip": Band(share=0.1),
    "peak_slip_growth": Band(share=0.3),
    "slip_stiffness": Band(share=0.3),
    "stiffness_pressure": Band(share=0.4),
    "rate": Band(share=0.1),
    "rate_pressure": Band(share=0.3),
    "growth": Band(share=0.4),
    "rolling_share": Band(add=0.08),
    "stretch": Band(share=0.5),
    "best_pressure_load": Band(share=0.4),
    "pressure_grip": Band(share=0.5),
    "best_camber": Band(add=radians(0.7)),
    "camber_grip": Band(share=0.4),
    "best_temperature": Band(add=10.0),
    "temperature_grip": Band(share=0.5),
    "worn_grip": Band(share=0.4),
    # the driver
    "limit_used": Band(add=0.01),
    # what a run hangs on: wear, heat and the air inside; wider than what one corner hangs on
    "wear_rate": Band(share=0.4),
    "wear_overheat": Band(share=0.7),
    "wear_off_pressure": Band(share=0.5),
    "wear_pressure": Band(add=2.0 * PSI),
    "heat_share": Band(share=0.2),
    "hysteresis": Band(share=0.2),
    "cooling_still": Band(share=0.3),
    "cooling_speed": Band(share=0.2),
    "heat_capacity": Band(share=0.3),
    "skin_capacity": Band(share=0.4),
    "skin_conductance": Band(share=0.4),
    "sidewall_cooling": Band(share=0.3),
    "road_cooling": Band(share=0.4),
    "wear_exponent": Band(add=0.2),
    "aged_grip": Band(share=0.5),
    "aging_time": Band(share=0.5),
    "gas_lag": Band(share=0.4),
    "gas_share": Band(share=0.25),
    # how much of the rear axle's own steering a driver takes for balance: between none of it and twice as much
    "steer_felt": Band(add=0.5),
}
BEST_PRESSURE, BEST_AT_HAND = Band(share=0.08), Band(add=3.0 * PSI)
"""The pressure of most grip: of one tire file for all four corners, and of each corner by itself where it is only taken
to lie near the pressure at hand (3 psi). Assumptions."""
SHARES: Mapping[str, float] = {"gas_share": 1.0, "limit_used": 0.995}
"""Numbers that are no more than this. Where a file has one at its most already, plausible cars lie one band below."""
OTHER_GUESS = Band(share=0.02)
"""Band of a guessed number that has none of its own; wide already."""
DRIVER: Mapping[str, tuple[str, Band]] = {
    "brake": ("brake", Band(share=0.25)),
    "drive": ("drive", Band(share=0.25)),
    "roll ramp": ("roll_rate", Band(share=0.25)),
    "pitch ramp": ("pitch_rate", Band(share=0.35)),
    "yaw": ("turning", Band(share=0.5)),
}
"""What a driver asks for in his own way: its place in `Phases`, and its band."""


@dataclass(frozen=True, eq=False)
class Cars:
    """Cars with their drivers, on the last axis of numbers and phases.

    off: how far each drawn number is off [its bands], (drawn, cars); what lies beyond `CUT` is held there.
    scatter: standard normal numbers of each car for what a fit leaves open, (`OPEN`, cars); see `weigh`.
    """

    numbers: Numbers
    phases: Phases
    off: Array
    scatter: Array

    @property
    def count(self) -> int:
        """How many cars."""
        return int(self.off.shape[1])


def bands_of(numbers: Numbers, guessed: Collection[str] = ()) -> dict[str, Band]:
    """Name every number that is drawn, with its band; best pressures apart, see `move_best_pressures`."""
    bands = {name: widen(band, name in guessed) for name, band in DRAWN.items()}
    for name in sorted(set(guessed) & set(numbers) - set(bands)):
        bands[name] = OTHER_GUESS
    best = ("best_pressure",) if is_best_known(numbers) else tuple(f"best_pressure_{one}" for one in MEMBERS[4])
    known = BEST_PRESSURE if is_best_known(numbers) else BEST_AT_HAND
    bands |= {name: widen(known, "best_pressure" in guessed) for name in best}
    return {**bands, **{name: band for name, (_, band) in DRIVER.items()}}


def widen(band: Band, guessed: bool) -> Band:
    """Widen the band of a guessed number."""
    wide = GUESSED if guessed else 1.0
    return Band(band.share * wide, band.add * wide)


def is_best_known(numbers: Numbers) -> bool:
    """Whether the tire file knows the pressure of most grip."""
    return bool(numbers["best_pressure_known"].all())


def draw_off(bands: int, cars: int, seed: int = SEED, batch: int = 0) -> tuple[Array, Array]:
    """Draw how far each number of each car is off, and each car's scatter; the first car of the first batch is nominal.

    More batches of one seed go on where the last one ended, so a car is the same however many are drawn.
    """
    draw = np.random.default_rng((seed, batch))
    off = draw.standard_normal((bands, cars))
    scatter = draw.standard_normal((OPEN, cars))
    if batch == 0:
        off[:, 0] = scatter[:, 0] = 0.0
    return off, scatter


def make_cars(numbers: Numbers, bands: Mapping[str, Band], off: Array, scatter: Array, cut: float = CUT) -> Cars:
    """Move the numbers of one car (arrays of one) by `off` bands each; best pressures are left to the drive.

    cut: bands beyond which no car is drawn.
    """
    moved = {name: np.repeat(value, off.shape[1], axis=-1) for name, value in numbers.items()}
    by_name = cut_off(bands, off, cut)
    for name in bands.keys() & numbers.keys():
        if not name.startswith("best_pressure_") or name == "best_pressure_load":
            move_inside(moved, name, bands[name], by_name[name])
            if f"weighed_{name}" in moved:
                moved[f"weighed_{name}"] = moved[name].copy()
    for name, most in SHARES.items():
        full = numbers[name] >= most
        moved[name] = np.minimum(moved[name] * np.where(full, np.exp(-bands[name].share), 1.0), most)
    return Cars(moved, drive_differently(by_name), off, scatter)


def move_inside(numbers: Numbers, name: str, band: Band, off: Array) -> None:
    """Move one number of every car by `off` standard deviations of its band, in place."""
    numbers[name] = numbers[name] * np.exp(band.share * off) + band.add * off


def cut_off(bands: Mapping[str, Band], off: Array, cut: float = CUT) -> dict[str, Array]:
    """Name what each number is off, held within `cut`."""
    return dict(zip(bands, np.clip(off, -cut, cut), strict=True))


def drive_differently(off: Mapping[str, Array]) -> Phases:
    """Give every car a driver of its own."""
    usual = usual_phases()
    scaled = {field: getattr(usual, field) * np.exp(band.share * off[name]) for name, (field, band) in DRIVER.items()}
    return replace(usual, **scaled)


def move_best_pressures(numbers: Numbers, bands: Mapping[str, Band], off: Array) -> Numbers:
    """Move the pressures of most grip of driven cars: together where the tire file knows them, else each alone.

    From then on they count as known, so that the next drive does not look for them again.
    """
    moved, by_name = dict(numbers), cut_off(bands, off)
    for corner in MEMBERS[4]:
        name = f"best_pressure_{corner}"
        source = name if name in bands else "best_pressure"
        move_inside(moved, name, bands[source], by_name[source])
    moved["best_pressure_known"] = np.ones_like(moved["best_pressure_known"])
    return moved


def on_cars(change: Callable[..., Array], counts: Sequence[int], *parts: Any) -> Any:
    """Make one record of several alike, by changing all arrays that have one value for each of their cars.

    counts: cars of each record. What is one for all cars is taken from the first.
    """
    first = parts[0]
    if isinstance(first, tuple):
        return tuple(on_cars(change, counts, *each) for each in zip(*parts, strict=True))
    if isinstance(first, dict):
        return {name: on_cars(change, counts, *(part[name] for part in parts)) for name in first}
    if isinstance(first, np.ndarray):
        own = all(part.shape[-1:] == (count,) for part, count in zip(parts, counts, strict=True))
        return change(*parts) if own else first
    if is_dataclass(first) and not isinstance(first, type):
        names = [one.name for one in fields(first)]
        return replace(
            first, **{name: on_cars(change, counts, *(getattr(one, name) for one in parts)) for name in names}
        )
    return first


def pick_cars(part: Any, count: int, chosen: NDArray[np.intp]) -> Any:
    """Take some cars out of a record of so many."""
    return on_cars(lambda values: values[..., chosen], (count,), part)


def join_cars(counts: Sequence[int], *parts: Any) -> Any:
    """Lay the cars of several records beside one another."""
    return parts[0] if len(parts) == 1 else on_cars(lambda *each: np.concatenate(each, axis=-1), counts, *parts)


def put_cars(old: Array, new: Array, few: NDArray[np.intp]) -> Array:
    """Put new values in the place of those of a few cars."""
    put = np.array(old)
    put[..., few] = new
    return put
