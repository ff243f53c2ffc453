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
from typing import TYPE_CHECKING, TypeVar

from assistant.ground.words import CORNER_WORDS

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


CORNERS = ("LF", "RF", "LR", "RR")
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
    """One car. Masses [kg], lengths [m], rates [N/m], angles [rad].

    mass: on the scales, with driver and `fuel_on_scales` [kg]. unsprung_front, unsprung_rear: both wheels together.
    cg_height: whole car. ballast_mass: lead that can be moved up or down [kg].
    unsprung_height_front, unsprung_height_rear: centers of the unsprung masses.
    spring_ratio_front: spring travel per wheel travel; shock_ratio_front likewise.
    spring_base, shock_base, link_base: distance between the left and right rear springs, shocks, trailing links.
    bar_length, bar_arm: of the front sway bar; bar_ratio: arm-end travel per wheel travel;
    bar_bore: inside diameter; bar_lead: preload travel at the arm end per turn.
    track_bar_axle_y, track_bar_frame_y: sideways place of the axle end and of the frame end (left is +).
    camber_gain: change of camber per meter of bump of (LF, RF) [rad/m]; positive leans the top in as the wheel rises.
    anti_dive: share of the pitch moment carried by the links at (LF, RF).
    ackermann: share of full Ackermann in the steering, beside toe.
    jack_lead: travel of a rear weight-jack bolt, at the spring, per turn.
    link_per_hole: change of link angle [rad] per hole; hole 0 leaves the link level.
    click_bump, click_rebound: shock rate [N s/m] per click at each corner, at the shock; shock_base_rate at click 0.
    locked: share of the axle lock in (entry, middle, exit): 1 = spool, 0 = open.
    drag_area, front_lift_area, rear_lift_area: c A [m2], down is +, with the spoiler flat and no tape;
    spoiler_lift, spoiler_drag: change of rear c A and drag c A per rad of spoiler;
    nose_lift: change of front c A per strip of tape (the nose_tape lever).
    tank_x: tank behind (-) the middle of the rear axle; tank_y, tank_z. tank_volume [m3]; fuel_density [kg/m3].
    steering_lock: largest mean front-wheel angle, None if unknown. yaw_radius: yaw radius of gyration squared over a b.
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
    click_bump: Four
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
    jack_lead: float = 0.0254 / 8.0
    guessed: frozenset[str] = field(default_factory=frozenset)


@dataclass(frozen=True)
class Tire:
    """One tire type, the same law at four corners. SI; pressures are gauge [Pa]; temperatures [K].

    radius: free rolling radius of (LF, RF, LR, RR) [m] at `pressure_ref`; the stagger lever then sets RR from LR.
    load_ref [N] is where grip, peak_slip and cornering stiffness are stated.
    grip: peak sideways force over load. load_exponent: peak force grows as load**load_exponent (0.7 to 1).
    grip_long: peak lengthways grip over sideways grip.
    peak_slip: slip angle at the peak [rad] at load_ref and the best pressure.
    peak_slip_growth: change of peak_slip, as a share, from load_ref to twice that load.
    shape_c, shape_e: C and E of the Magic Formula curve.
    stiffness_pressure: share of cornering stiffness per share of pressure.
    rate, rate_pressure: vertical rate [N/m] at pressure_ref and per pascal. growth: radius per pascal [m/Pa].
    best_pressure, best_pressure_load: hot pressure with most grip at load_ref, None if unknown, and per newton.
    pressure_grip: loss per (share off)^2.
    wear_pressure: wear is least this much above the best pressure [Pa].
    best_camber: lean into the turn, to the road, with most grip [rad]; camber_grip: loss per rad^2.
    best_temperature, temperature_grip: tread temperature with most grip [K] and loss per K^2.
    worn_grip: share of grip lost when the tread is worn out. tread: usable depth [m].
    wear_rate: tread used per joule of sliding work [m/J].
    heat_capacity [J/K] of the tread; cooling_still, cooling_speed: W/K and W/K per m/s;
    heat_share: of sliding work, kept by the tread.
    hysteresis: share of rolling load times speed that becomes heat (rolling resistance coefficient).
    gas_lag: time constant of the gas temperature behind the tread [s]. gas_share: of the tread's rise over the air that
    the gas reaches in the end; wheel and sidewalls keep it cooler than the tread.
    wear_off_pressure: more wear per (share off the wear-best pressure)^2, assumption: 10 % off wears 6 % more.
    wear_overheat: more wear per kelvin above best_temperature, assumption: 1 %.
    stretch: share of circumference gained per kelvin of tread temperature (tire growth through a run).
    rolling_share: of its deflection under load, by which the radius it rolls on is less than the free one.
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


@dataclass(frozen=True)
class Shares:
    """Front, left and RF+LR share of the weight, 0 to 1."""

    nose: float
    left: float
    cross: float


def corner_loads(weight: float, shares: Shares) -> Four:
    """Corner loads (LF, RF, LR, RR) of a car on its scales, in the unit of `weight`.

    LF = (n+l-c)W/2, RF = (n-l+c)W/2, LR = (l+c-n)W/2, RR = (2-n-l-c)W/2: the three definitions and the sum,
    solved by hand. May come out negative: see `lifted_corners`.
    """
    return loads_of_shares(weight, shares.nose, shares.left, shares.cross)


def loads_of_shares(weight: Number, nose: Number, left: Number, cross: Number) -> tuple[Number, Number, Number, Number]:
    """Do the same for plain numbers or for arrays of them, shares one by one."""
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
    loads = corner_loads(1.0, shares)
    return tuple(
        (corner, name, -load)
        for corner, name, load in zip(CORNERS, CORNER_WORDS.values(), loads, strict=True)
        if load <= 0
    )
