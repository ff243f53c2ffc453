"""The textbook formulas, in SI units: banked turns, braking, the bicycle model, springs, gas, axle torque, tire sizes.

Plain numbers or arrays that broadcast. Axes ISO 8855 for a left turn: x forward, y left toward the center, z up.
- Banked turn, by Newton's law in axes of the road: `bank` leans the road into the turn when positive [rad], below 90
  degrees; `radius` is horizontal [m]; both of the driven line.
- Straight-line braking and driving of a rigid car on a level road, no aero, by balance of forces and moments:
  `front_arm` a and `rear_arm` b from the center of gravity to each axle, L = a + b, `cg_height` h [m];
  accelerations [m/s^2] positive forward; `friction` mu is tire force over load, the same at both axles.
- Bicycle model, far below the limit only: each axle one wheel, force proportional to slip angle; stiffness per AXLE
  (both tires) [N/rad], where books may state it per tire. Source: the steady state of m a_y = F_f + F_r,
  a F_f = b F_r, F = C alpha, delta = L/R + alpha_f - alpha_r; definitions as in ISO 8855 and SAE J670.
- Springs: from the spring to the wheel, springs that share a load, bars of steel, roll and twist.
- Air in a tire at constant volume, by the ideal gas law. Pressures are **gauge** [Pa], temperatures absolute [K]; the
  air outside is added before the law is used and taken off after. Scaling the gauge pressure itself is a common
  mistake: it loses about a third of the rise near 30 psi. Dry gas, no leak; growth of the tire is left out.
- Engine and gears: from the tank to the road, at full throttle with the limiter, and the fuel that the work burns.
- Tire sizes and stagger: left and right as seen from the seat; the right tire runs on the outside. On a bank the axle
  lies along the road: R' = R / cos(bank), left path R' - t/2, right R' + t/2.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from assistant.car.car import Engine
from assistant.ground.quantities import GRAVITY

Array: TypeAlias = NDArray[np.float64]
Real: TypeAlias = float | Array
"""A float or an array of floats; arrays of different shapes combine by numpy broadcasting."""


def normal_acceleration(speed: Real, radius: Real, bank: Real, gravity: float = GRAVITY) -> Array:
    """Find how hard the car is pressed into the road: a_n = g cos(bank) + v^2/R sin(bank) [m/s^2].

    Times mass this is the sum of the tire loads (without downforce). speed [m/s].
    """
    return np.asarray(gravity * np.cos(bank) + np.square(speed) / radius * np.sin(bank))


def lateral_acceleration(speed: Real, radius: Real, bank: Real, gravity: float = GRAVITY) -> Array:
    """Find what the tires must give sideways: a_y = v^2/R cos(bank) - g sin(bank) [m/s^2].

    Positive toward the center of the turn; negative when the car would slide down the bank. speed [m/s].
    """
    return np.asarray(np.square(speed) / radius * np.cos(bank) - gravity * np.sin(bank))


def speed_squared(lateral: Real, radius: Real, bank: Real, gravity: float = GRAVITY) -> Array:
    """Find the speed at which the tires give `lateral` [m/s^2]: v^2 = R (a_y + g sin(bank)) / cos(bank) [m^2/s^2].

    The inverse of `lateral_acceleration`. Negative where no speed is low enough: the car would slide down even at rest.
    """
    return np.asarray(radius * (lateral + gravity * np.sin(bank)) / np.cos(bank))


def normal_line(bank: Real, gravity: float = GRAVITY) -> tuple[Array, Array]:
    """Write a_n as a straight line in a_y: a_n = g / cos(bank) + a_y tan(bank), as (constant [m/s^2], slope).

    `normal_acceleration` with the speed of `speed_squared` put in.
    """
    return np.asarray(gravity / np.cos(bank)), np.asarray(np.tan(bank))


def neutral_speed(radius: Real, bank: Real, gravity: float = GRAVITY) -> Array:
    """Find the speed [m/s] at which the tires need give nothing sideways: v^2 = g R tan(bank); bank not negative."""
    return np.sqrt(speed_squared(0.0, radius, bank, gravity))


def axle_loads(
    mass: Real, front_arm: Real, rear_arm: Real, cg_height: Real, acceleration: Real, gravity: float = GRAVITY
) -> tuple[Array, Array]:
    """Find the loads on both axles: m (g b - a_x h) / L and m (g a + a_x h) / L, as (front, rear) [N].

    acceleration a_x: negative under braking, which loads the front. Range: both loads positive.
    """
    wheelbase = np.asarray(front_arm + rear_arm)
    front = mass * (gravity * rear_arm - acceleration * cg_height) / wheelbase
    rear = mass * (gravity * front_arm + acceleration * cg_height) / wheelbase
    return np.asarray(front), np.asarray(rear)


def ideal_front_share(
    deceleration: Real, front_arm: Real, rear_arm: Real, cg_height: Real, gravity: float = GRAVITY
) -> Array:
    """Find the front share of brake force with which both axles work equally hard: (b + z h) / L, z = deceleration / g.

    deceleration [m/s^2], positive when braking. Dimensionless, 0 to 1.
    """
    wheelbase = np.asarray(front_arm + rear_arm)
    return (rear_arm + deceleration / gravity * cg_height) / wheelbase


def locking_decelerations(
    front_share: Real, friction: Real, front_arm: Real, rear_arm: Real, cg_height: Real, gravity: float = GRAVITY
) -> tuple[Array, Array]:
    """Find the decelerations [m/s^2] at which the front and the rear wheels would lock, as (front, rear).

    front: mu b g / (s L - mu h); rear: mu a g / ((1 - s) L + mu h), s = front_share of brake force. The lower of the
    two comes first: front lower means the car goes straight on, rear lower means it turns round. Infinite where an
    axle cannot lock. Equal, at mu g, when s is the ideal share for mu g.
    """
    wheelbase = np.asarray(front_arm + rear_arm)
    front_room = np.asarray(front_share * wheelbase - friction * cg_height)
    rear_room = np.asarray((1.0 - front_share) * wheelbase + friction * cg_height)
    with np.errstate(divide="ignore", invalid="ignore"):
        front = np.where(front_room > 0.0, friction * rear_arm * gravity / front_room, np.inf)
        rear = np.where(rear_room > 0.0, friction * front_arm * gravity / rear_room, np.inf)
    return front, rear


def traction_limits(
    friction: Real, front_arm: Real, rear_arm: Real, cg_height: Real, gravity: float = GRAVITY
) -> tuple[Array, Array]:
    """Find the largest accelerations [m/s^2] with the front or with the rear axle driven, as (front, rear).

    front: mu g b / (L + mu h); rear: mu g a / (L - mu h), or g b / h where the front wheels lift before that.
    cg_height 0 leaves the static loads.
    """
    wheelbase = np.asarray(front_arm + rear_arm)
    front = friction * gravity * rear_arm / (wheelbase + friction * cg_height)
    lifts = np.asarray(friction * cg_height > rear_arm)
    with np.errstate(divide="ignore", invalid="ignore"):
        gripping = friction * gravity * front_arm / (wheelbase - friction * cg_height)
        rear = np.where(lifts, gravity * rear_arm / np.asarray(cg_height, dtype=float), gripping)
    return np.asarray(front), rear


def understeer_gradient(
    mass: Real, front_arm: Real, rear_arm: Real, front_stiffness: Real, rear_stiffness: Real
) -> Array:
    """Find how much more steer each m/s^2 takes: K = (m/L) (b/C_f - a/C_r) [rad per m/s^2].

    Positive: understeer (tight); negative: oversteer (loose). Times 9.80665 and 180/pi it is in degrees per g.
    """
    wheelbase = np.asarray(front_arm + rear_arm)
    return mass / wheelbase * (rear_arm / np.asarray(front_stiffness) - front_arm / np.asarray(rear_stiffness))


def steer_needed(wheelbase: Real, radius: Real, lateral: Real, gradient: Real) -> Array:
    """Find the mean front-wheel angle that holds a circle: delta = L/R + K a_y [rad].

    lateral: a_y [m/s^2], as the tires give it.
    """
    return np.asarray(wheelbase / radius + gradient * lateral)


def characteristic_speed(wheelbase: Real, gradient: Real) -> Array:
    """Find the speed [m/s] at which an understeering car needs twice the steer of a slow one: sqrt(L/K).

    Infinite for K <= 0.
    """
    return _square_root_of_ratio(wheelbase, np.asarray(gradient, dtype=float))


def critical_speed(wheelbase: Real, gradient: Real) -> Array:
    """Find the speed [m/s] above which an oversteering car is unstable: sqrt(L/-K).

    Infinite for K >= 0.
    """
    return _square_root_of_ratio(wheelbase, -np.asarray(gradient, dtype=float))


def body_slip(speed: Real, turning: Real, rear_arm: Real, rear_slip: Real) -> Array:
    """Find the body slip angle at the center of gravity: beta = b r/v - alpha_r [rad].

    In a left turn: negative when the nose points into the turn, as it does near the limit; b/R when crawling.
    turning: yaw rate r [rad/s]. rear_slip: alpha_r [rad], positive when the rear tires push toward the center.
    """
    return np.asarray(rear_arm * turning / speed - rear_slip)


def _square_root_of_ratio(above: Real, below: Array) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(below > 0.0, np.sqrt(above / below), np.inf)


STEEL_SHEAR_MODULUS = 7.93e10
"""Shear modulus of spring steel [Pa] (11.5 million psi; common handbook value, from memory, good to about 2 %)."""


def wheel_rate(spring_rate: Real, ratio: Real) -> Array:
    """Carry a spring rate to the wheel: k ratio^2 [N/m].

    ratio: spring travel per wheel travel; force and travel each take it once, hence the square (virtual work).
    """
    return np.asarray(spring_rate * np.square(ratio))


def rate_in_series(*rates: Real) -> Array:
    """Join springs that carry the same force, such as a spring on its tire: 1 / sum(1/k) [N/m]; a rate of 0 gives 0."""
    with np.errstate(divide="ignore"):
        return 1.0 / np.asarray(sum(1.0 / np.asarray(rate, dtype=float) for rate in rates))


def torsion_bar_rate(
    diameter: Real, bore: Real, length: Real, arm: Real, shear_modulus: float = STEEL_SHEAR_MODULUS
) -> Array:
    """Find the rate of a torsion bar at the end of its arm: k = G pi (D^4 - d^4) / (32 L l^2) [N/m].

    diameter D, bore d (0 for a solid bar), length L that twists, arm l square to the bar [m]. For an sway bar it
    is the force at each arm end per meter of **difference** between the two ends. Range: small angles, rigid arms;
    flexible arms and bushes make a real bar softer. Source: torsion of a round shaft.
    """
    area_moment = np.pi * (np.power(diameter, 4) - np.power(bore, 4)) / 32.0
    return np.asarray(shear_modulus * area_moment / (length * np.square(arm)))


def roll_stiffness(base: Real, left: Real, right: Real, bar: Real = 0.0) -> Array:
    """Find the roll moment per angle of a pair of springs: b^2 (k_l k_r / (k_l + k_r) + k_bar) [N m/rad].

    base b: distance between them [m]; left, right: rates there; bar: of an sway bar, force at each end per meter
    of difference between both [N/m]. The end is free to rise: with equal springs k it is k b^2 / 2. For a pair of
    tires likewise; a spring pair on a tire pair is `rate_in_series` of both. Source: equilibrium, derived here.
    """
    return np.asarray(np.square(base) * (rate_in_series(left, right) + bar))


def jack_load(raised: Real, *rates: Real) -> Array:
    """Find the load [N] a jack screw brings on its corner and on its diagonal, and takes off the other two.

    d / sum(1/k): raised d is how far it lifts its corner at the wheel [m] (screw travel over the motion ratio);
    rates: everything that twists when one diagonal is loaded more [N/m at the wheel]: four springs and four tires, or
    for each end the roll stiffness over its track squared (bar included) and its two tires. Cross weight changes by
    twice this load when LR or RF is raised, by minus twice this load for LF or RR. Range: equal track widths, four
    wheels on the ground. Source: the four corners carry the same load, up or down, so their travels add up; derived
    here.
    """
    return np.asarray(raised / sum(1.0 / np.asarray(rate, dtype=float) for rate in rates))


STANDARD_AIR_PRESSURE = 101_325.0
"""Standard atmosphere [Pa], exact by definition (tenth General Conference on Weights and Measures, 1954)."""


def pressure_at(temperature: Real, pressure: Real, measured_at: Real, air: float = STANDARD_AIR_PRESSURE) -> Array:
    """Carry a gauge pressure [Pa] measured at one gas temperature to another: (p + air) T / T_measured - air.

    temperature, measured_at [K]; air: pressure outside [Pa], absolute. Cold to hot or hot to cold, any broadcasting
    shapes.
    """
    return np.asarray((pressure + air) * np.asarray(temperature) / measured_at - air)


def pressure_per_kelvin(pressure: Real, temperature: Real, air: float = STANDARD_AIR_PRESSURE) -> Array:
    """Find how fast gauge pressure rises with gas temperature: (p + air) / T [Pa/K]."""
    return np.asarray((pressure + air) / temperature)


def cross_load(drive_force: Real, rolling_radius: Real, axle_ratio: Real, track: Real, front_roll_share: Real) -> Array:
    """Find the load [N] the drive adds to the RF and to the LR and takes from the LF and the RR: F r / N x phi_f / t.

    drive_force F of both rear tires [N]; rolling_radius r [m]; axle_ratio N: shaft turns per wheel turn; track t [m],
    the same at both ends; front_roll_share phi_f: front roll stiffness over the whole car's, 0 to 1. For an engine
    turning the usual way (clockwise from the front) and links that are alike left and right. Zero when coasting.
    Range: tires taken as rigid; soft ones leave K_t / (K_t + K_s) of it, K_t and K_s the roll stiffness of the rear
    tires and of the rear springs.
    Source: T. D. Gillespie, Fundamentals of Vehicle Dynamics, ch. 2 (from memory), and derived again here.
    """
    return np.asarray(drive_force * rolling_radius / axle_ratio * front_roll_share / track)


def rolling_angles(wheelbase: Real, track: Real, radius: Real) -> tuple[Array, Array]:
    """Find the angles at which both front wheels roll freely: atan(L / (R -+ t/2)), as (inner, outer) [rad].

    wheelbase L, track t [m]; radius R [m] to the middle of the rear axle. Ackermann geometry, very low speed.
    """
    inner = np.arctan(wheelbase / np.asarray(radius - track / 2.0))
    outer = np.arctan(wheelbase / np.asarray(radius + track / 2.0))
    return inner, outer


def stagger(left: Real, right: Real) -> Array:
    """Find how much larger the right tire is: right less left circumference [m]; positive helps a left turn."""
    return np.asarray(right - left)


def natural_radius(left: Real, right: Real, track: Real) -> Array:
    """Find the radius of the circle a cone of two joined tires rolls, to the LEFT tire: t left / (right - left) [m].

    left, right: both circumferences or both diameters. Flat ground; negative when the pair turns right; infinite when
    equal.
    """
    with np.errstate(divide="ignore"):
        return np.asarray(track * np.asarray(left) / np.asarray(right - left, dtype=float))


def stagger_for(left: Real, radius: Real, track: Real, bank: Real = 0.0) -> Array:
    """Find the stagger with which a locked axle rolls a turn without slip: c_L t / (R' - t/2) [m].

    left: circumference of the left tire; radius: horizontal, to the middle of the axle. About c t cos(bank) / R.
    """
    along_road = np.asarray(radius / np.cos(bank))
    return np.asarray(left * track / (along_road - track / 2.0))


def rolling_radius(free: Real, load: Real, rate: Real, share: Real) -> Array:
    """Find the radius a loaded tire rolls on: free - share load / rate, the share of its deflection that shortens it.

    0 for a belt that cannot shorten, 1 for a solid disk cut down to the road; about a third for bias ply, about a tenth
    for radials (from memory). Radii [m], load [N], rate [N/m].
    """
    return np.asarray(free - share * load / rate)


def locked_axle_slip(left: Real, right: Real, radius: Real, track: Real, bank: Real = 0.0) -> Array:
    """Find what a locked axle must slip between its tires: D = (right/left) (R' - t/2) / (R' + t/2) - 1.

    left, right: both circumferences or both radii. Positive: more stagger than the turn wants, so the right tire
    pushes, the left one drags, and the pair turns the car in (looser). 0 for `stagger_for` and for an open axle's
    free wheels.
    """
    along_road = np.asarray(radius / np.cos(bank))
    return np.asarray(right / np.asarray(left) * (along_road - track / 2.0) / (along_road + track / 2.0) - 1.0)


LIMITER_BAND = 0.01
"""The limiter takes all power away within this share beyond the rev limit, so that solvers meet no step; assumption."""

STANDING = 1.0
"""Engine speed [1/min] below which it as good as stands, also where a power curve begins at nothing."""


def crank_power(engine: Engine, rpm: Real) -> Array:
    """Power at the crankshaft at full throttle [W] from engine speed [1/min], without the limiter.

    Below the curve's first point the torque stays what it is there, beyond its last the power; assumptions.
    """
    first = max(engine.rpm[0], STANDING)
    return np.asarray(np.minimum(np.asarray(rpm) / first, 1.0) * np.interp(rpm, engine.rpm, engine.power))


def full_power(engine: Engine, rpm: Array) -> Array:
    """Power at the driven wheels at full throttle [W] from engine speed [1/min], without the limiter."""
    return engine.driveline * crank_power(engine, rpm)


def wheel_power(engine: Engine, rpm: Array) -> Array:
    """Power at the driven wheels at full throttle [W] from engine speed [1/min]; nothing beyond the limiter's band."""
    left = np.clip((1.0 + LIMITER_BAND - rpm / engine.rev_limit) / LIMITER_BAND, 0.0, 1.0)
    return np.asarray(full_power(engine, rpm) * left)


def overall_ratio(gear: Real, final_drive: Real) -> Array:
    """Multiply transmission ratio and final drive: crankshaft turns per turn of the wheel."""
    return np.asarray(gear * final_drive)


def engine_speed(speed: Real, circumference: Real, overall: Real) -> Array:
    """Find engine speed [1/min] from road speed [m/s]: 60 v overall / circumference.

    circumference: the rolling one [m]. No wheelspin.
    """
    return np.asarray(60.0 * speed * overall / circumference)


def road_speed(engine: Real, circumference: Real, overall: Real) -> Array:
    """Find road speed [m/s] from engine speed [1/min]: the inverse of `engine_speed`."""
    return np.asarray(engine * circumference / (60.0 * overall))


GASOLINE_HEAT = 44.0e6
"""Heat in gasoline [J/kg], lower value (0.0122 kWh/g; common handbook value, from memory)."""


def fuel_mass(volume: Real, density: Real) -> Array:
    """Weigh a volume of fuel: rho V [kg]; volume [m^3], density [kg/m^3]."""
    return np.asarray(volume * density)


def fuel_burned(work: Real, specific_use: Real) -> Array:
    """Find the fuel [kg] burned for work at the crankshaft [J].

    specific_use [kg/J]; 1 lb/(hp h) is 1.68966e-7 kg/J.
    """
    return np.asarray(work * specific_use)


def laps_in_tank(mass: Real, mass_per_lap: Real) -> Array:
    """Count the whole laps a fuel mass [kg] is enough for, at mass_per_lap [kg]; a lap that runs dry does not count."""
    return np.asarray(np.floor(mass / np.asarray(mass_per_lap)))


def efficiency(specific_use: Real, heat: float = GASOLINE_HEAT) -> Array:
    """Find the share of the fuel's heat that reaches the crankshaft: 1 / (use x heat).

    specific_use [kg/J], heat [J/kg]. A racing gasoline engine gives about 0.25 to 0.35 (common practice, no source).
    """
    return 1.0 / np.asarray(specific_use * heat)
