"""Plausible cars: the same car with every uncertain number moved inside its band, seeded so that answers repeat.

Bands are one standard deviation; "share" multiplies (log-normal), "add" adds (normal). They are assumptions about how
well such a number is usually known; a number the owner only guessed gets twice its band.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from math import radians

import numpy as np

from assistant.physics.numbers import MEMBERS, Numbers
from assistant.physics.phases import Phases, usual_phases
from assistant.physics.values import Array

CARS = 64
SEED = 20_261
GUESSED = 2.0
"""How much wider a guessed number's band is; assumption."""


@dataclass(frozen=True)
class Band:
    """How far a number may be off: one standard deviation, as a share or added."""

    share: float = 0.0
    add: float = 0.0


BANDS: Mapping[str, Band] = {
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
    "stretch": Band(share=0.5),
    "best_pressure_load": Band(share=0.4),
    "pressure_grip": Band(share=0.5),
    "best_camber": Band(add=radians(0.7)),
    "camber_grip": Band(share=0.4),
    "best_temperature": Band(add=6.0),
    "temperature_grip": Band(share=0.5),
    "worn_grip": Band(share=0.3),
    # the driver
    "limit_used": Band(add=0.01),
}
BEST_PRESSURE, BEST_AT_HAND = Band(share=0.08), Band(add=3.0 * 6894.757)
"""The pressure of most grip: of one tire file for all four corners, and of each corner by itself where it is only taken
to lie near the pressure at hand (3 psi). Assumptions."""
BRAKE, DRIVE, RAMP, BRAKE_RAMP = 0.12, 0.12, 0.25, 0.35
"""Standard deviations (shares) of the driver's brake and drive force and of the wheel and pedal ramps; assumptions."""


def plausible_cars(
    numbers: Numbers, guessed: Collection[str] = (), cars: int = CARS, seed: int = SEED
) -> tuple[Numbers, Phases]:
    """Draw `cars` plausible cars from one (arrays of one car), and how each is driven.

    guessed: names (fields or lever ids) with the wider band; a guessed lever without a band of its own gets 2 %.
    The first car is the nominal one. Returned arrays have `cars` on the last axis.
    """
    draw = np.random.default_rng(seed)
    varied = {name: np.repeat(value, cars, axis=-1) for name, value in numbers.items()}
    for name, band in BANDS.items():
        wide = GUESSED if name in guessed else 1.0
        move_inside(varied, name, Band(band.share * wide, band.add * wide), standard(draw, cars))
    move_best_pressures(varied, GUESSED if "best_pressure" in guessed else 1.0, draw)
    for name in sorted(set(guessed) & set(numbers) - set(BANDS)):
        move_inside(varied, name, Band(share=0.02), standard(draw, cars))
        if f"weighed_{name}" in varied:
            varied[f"weighed_{name}"] = varied[name].copy()
    driver = [np.exp(width * standard(draw, cars)) for width in (BRAKE, DRIVE, RAMP, BRAKE_RAMP)]
    return varied, drive_differently(*driver)


def standard(draw: np.random.Generator, cars: int) -> Array:
    """Draw standard normal numbers, cut at two deviations, the first one zero (the nominal car)."""
    values = np.clip(draw.standard_normal(cars), -2.0, 2.0)
    values[0] = 0.0
    return values


def move_inside(numbers: Numbers, name: str, band: Band, off: Array) -> None:
    """Move one number of every car by `off` standard deviations of its band, in place."""
    numbers[name] = numbers[name] * np.exp(band.share * off) + band.add * off


def move_best_pressures(numbers: Numbers, wide: float, draw: np.random.Generator) -> None:
    """Move the pressures of most grip of every car, in place: together where the tire file knows them."""
    known, cars = numbers["best_pressure_known"].all(), numbers["best_pressure_known"].shape[-1]
    common = standard(draw, cars)
    for corner in MEMBERS[4]:
        band, off = (BEST_PRESSURE, common) if known else (BEST_AT_HAND, standard(draw, cars))
        move_inside(numbers, f"best_pressure_{corner}", Band(band.share * wide, band.add * wide), off)


def drive_differently(brake: Array, drive: Array, ramp: Array, brake_ramp: Array) -> Phases:
    """Scale the usual demands for each car; arguments (cars,)."""
    usual = usual_phases()
    return Phases(
        brake=usual.brake * brake,
        drive=usual.drive * drive,
        roll_rate=usual.roll_rate * ramp,
        pitch_rate=usual.pitch_rate * brake_ramp,
        yaw_acceleration=usual.yaw_acceleration * ramp,
    )
