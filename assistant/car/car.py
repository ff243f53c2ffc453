"""What is bolted together and rarely changed, in SI units: the car, its tire, and the corner weights it stands on.

Plain values only; `files` reads them from YAML. Axes are ISO 8855 (x forward, y left, z up).
Corners are always in the order LF, RF, LR, RR. Heights are above the ground at static ride height.

The track: two ends, two straights, and the air. Left turns are positive.

Shares of the weight: nose = (LF+RF)/W, left = (LF+LR)/W, cross = (RF+LR)/W. Bite = LR - RR.
Source of the definitions: hotrod.com, "About Load Distribution" and "Performance Crossweight and Balance
Configuration"; left and rear share: D. Alexander, "Understanding Corner Weights", Grassroots Motorsports.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple, TypeVar

from assistant.ground.names import CORNER_WORDS, CORNERS
from assistant.ground.quantities import INCH

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


Four = tuple[float, float, float, float]
Three = tuple[float, float, float]


@dataclass(frozen=True)
class Engine:
    """Power at the crankshaft.

    rpm, power: the curve [1/min], [W]. rev_limit [1/min]. driveline: share of the power that reaches the wheels.
    gears: transmission ratios on offer, first to top. fuel_use: specific consumption [kg/J] at full power.
    """

    rpm: tuple[float, ...]
    power: tuple[float, ...]
    rev_limit: float
    driveline: float
    gears: tuple[float, ...]
    fuel_use: float


@dataclass(frozen=True)
class Car:
    """One car, as its file says it (`file_keys.CAR_KEYS` tells what each field means), in SI units, angles [rad].

    fuel_on_scales [kg], part of mass. Per turn, hole, click or strip of tape: bar_lead, jack_lead, link_per_hole,
    click_compression, click_rebound, nose_lift; camber_gain [rad/m] of bump; spoiler_lift and spoiler_drag per rad.
    tank_x: behind the middle of the rear axle it is -. steering_lock: None if unknown.
    locked: in (entry, middle, exit), 1 = spool, 0 = open.
    guessed: names of fields the owner only guessed; their spread is wider.
    """

    name: str
    mass: float
    fuel_on_scales: float
    wheelbase: float
    track_front: float
    track_rear: float
    cg_height: float
    ballast_mass: float
    unsprung_front: float
    unsprung_rear: float
    unsprung_height_front: float
    unsprung_height_rear: float
    spring_ratio_front: float
    shock_ratio_front: float
    spring_base: float
    shock_base: float
    link_base: float
    bar_length: float
    bar_arm: float
    bar_ratio: float
    bar_bore: float
    bar_lead: float
    track_bar_axle_y: float
    track_bar_frame_y: float
    camber_gain: tuple[float, float]
    anti_dive: tuple[float, float]
    link_per_hole: float
    click_compression: Four
    click_rebound: Four
    shock_base_rate: Four
    locked: Three
    drag_area: float
    front_lift_area: float
    rear_lift_area: float
    spoiler_lift: float
    spoiler_drag: float
    nose_lift: float
    tank_x: float
    tank_y: float
    tank_z: float
    tank_volume: float
    fuel_density: float
    steering_lock: float | None
    yaw_radius: float
    engine: Engine
    ackermann: float = 0.0
    jack_lead: float = INCH / 8.0
    guessed: frozenset[str] = field(default_factory=frozenset)


@dataclass(frozen=True)
class Tire:
    """One tire type, the same law at four corners, as its file says it (`file_keys.TIRE_KEYS` tells what each means).

    SI; pressures are gauge [Pa]; temperatures [K].
    radius: free rolling radius of (LF, RF, LR, RR) [m] at `pressure_ref`; the stagger lever then sets RR from LR.
    best_pressure: at load_ref, None if unknown; best_pressure_load: more of it per newton.
    pressure_grip and wear_off_pressure: per (share off)^2; camber_grip per rad^2; temperature_grip per K^2.
    peak_slip: at load_ref and the best pressure [rad]. worn_grip: share of grip lost when the tread is worn out.
    wear_rate: tread used per sliding work [m/J]. cooling_speed [W/K per m/s]. gas_lag [s].
    stretch: share of circumference gained per kelvin of tread temperature.
    """

    name: str
    radius: Four
    pressure_ref: float
    load_ref: float
    grip: float
    load_exponent: float
    grip_long: float
    peak_slip: float
    peak_slip_growth: float
    shape_c: float
    shape_e: float
    stiffness_pressure: float
    rate: float
    rate_pressure: float
    growth: float
    best_pressure: float | None
    best_pressure_load: float
    pressure_grip: float
    wear_pressure: float
    best_camber: float
    camber_grip: float
    best_temperature: float
    temperature_grip: float
    worn_grip: float
    tread: float
    wear_rate: float
    heat_capacity: float
    cooling_still: float
    cooling_speed: float
    heat_share: float
    hysteresis: float
    gas_lag: float
    stretch: float
    wear_off_pressure: float
    wear_overheat: float
    guessed: frozenset[str] = field(default_factory=frozenset)
    gas_share: float = 1.0
    rolling_share: float = 1.0 / 3.0


@dataclass(frozen=True)
class End:
    """One end of the oval: radius of the driven line [m], bank [rad], length of the turn [m], straight after it [m]."""

    id: str
    radius: float
    bank: float
    length: float
    straight: float


@dataclass(frozen=True)
class Track:
    """grip: multiplies every tire's grip. air_density [kg/m3], air_temperature and track_temperature [K]."""

    name: str
    ends: tuple[End, ...]
    grip: float
    air_density: float
    air_temperature: float
    track_temperature: float
    guessed: frozenset[str] = field(default_factory=frozenset)

    @property
    def lap_length(self) -> float:
        """Length of one lap [m]."""
        return sum(end.length + end.straight for end in self.ends)


Number = TypeVar("Number", float, "NDArray[np.float64]")


class Shares(NamedTuple):
    """Front, left and RF+LR share of the weight, 0 to 1."""

    nose: float
    left: float
    cross: float


def corner_loads(weight: Number, nose: Number, left: Number, cross: Number) -> tuple[Number, Number, Number, Number]:
    """Corner loads (LF, RF, LR, RR) of a car on its scales, in the unit of `weight`; numbers, or arrays of them.

    LF = (n+l-c)W/2, RF = (n-l+c)W/2, LR = (l+c-n)W/2, RR = (2-n-l-c)W/2: the three definitions and the sum,
    solved by hand. May come out negative: see `lifted_corners`.
    """
    half = weight / 2
    return (
        (nose + left - cross) * half,
        (nose - left + cross) * half,
        (left + cross - nose) * half,
        (2 - nose - left - cross) * half,
    )


def shares_of(loads: Four) -> Shares:
    """Shares of four corner loads. Raises ValueError when they add up to nothing or less."""
    lf, rf, lr, rr = loads
    weight = lf + rf + lr + rr
    if weight <= 0:
        raise ValueError("four corner loads must add up to more than nothing")
    return Shares((lf + rf) / weight, (lf + lr) / weight, (rf + lr) / weight)


def bite_of(loads: Four) -> float:
    """LR less RR, in the unit of the loads."""
    return loads[2] - loads[3]


def lifted_corners(shares: Shares) -> tuple[tuple[str, str, float], ...]:
    """Wheels that these shares would lift from the scales at rest: (LF.., its name, share of the weight missing)."""
    loads = corner_loads(1.0, *shares)
    return tuple(
        (corner, name, -load)
        for corner, name, load in zip(CORNERS, CORNER_WORDS.values(), loads, strict=True)
        if load <= 0
    )
