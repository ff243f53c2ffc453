"""The line through a corner, so that a lap is one motion: speeds that braking, coasting and driving lead to.

A corner has three places, entry, middle and exit, each read where it is half done. In the middle the car runs on the
radius of the track file at its limit, and so at an even speed: the throttle makes up for what it loses. Into it the car
slows, so on entry it is faster than in the middle, and out of it it speeds up: at its limit it then runs a wider curve
there. What the line turns less in a meter it makes up with more meters, which the straights give: the corner turns the
same angle, and the lap is as long as it is.
The driver brakes into a corner as hard as he does (`Phases.brake`), but no more than the speed he comes with asks for:
where the straight brings him slower he brakes less, or keeps the throttle down.
Arrays are (moments, phases, ends, cars), without the phases where one holds for a corner.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.physics.formulas import Array

PHASE_SHARES = np.array([0.35, 0.30, 0.35]).reshape(3, 1, 1)
"""Share of a corner's angle that is entry, middle, exit; assumption."""
ENTRY, MIDDLE, EXIT = range(3)
MIDDLE_SHARE = float(PHASE_SHARES[MIDDLE, 0, 0])
FLOOR = 0.25
"""Least square of a speed over that of the middle, and of side force over all force; keeps first guesses in sense."""
WIDEST, TIGHTEST = 0.3, 1.1
"""Curve of entry and exit at the least and at the most, over that of the middle."""
KEPT_THROTTLE = 0.5
"""Drive over weight of a driver who keeps his foot down into the turn; the engine gives less, mostly."""


@dataclass(frozen=True, eq=False)
class Lengths:
    """corner, straight: length of each end and of the straight after it in the track file [m], (ends, 1)."""

    corner: Array
    straight: Array


@dataclass(frozen=True, eq=False)
class CornerLine:
    """curve: of each phase over that of the middle. braking: share of the brake force on entry, below nothing drive.

    holding: acceleration [m/s2] that the drive gives in the middle, as much as the car loses there. yaw: acceleration
    in turn that the line asks for [rad/s2], in +.
    """

    curve: Array
    braking: Array
    holding: Array
    yaw: Array


def first_line(moments: int, cars: int) -> CornerLine:
    """First guess of a lap."""
    curve = np.array([0.75, 1.0, 0.95]).reshape(3, 1, 1)
    yaw = np.array([0.2, 0.0, 0.0]).reshape(3, 1, 1)
    shape = (moments, 3, 1, cars)
    braking, holding = np.full((moments, 1, cars), 0.5), np.full((moments, 1, cars), 1.6)
    return CornerLine(np.broadcast_to(curve, shape), braking, holding, np.broadcast_to(yaw, shape))


def phase_lengths(line: CornerLine, lengths: Lengths) -> Array:
    """Meters driven in each phase."""
    return np.asarray(PHASE_SHARES * lengths.corner / line.curve)


def straight_lengths(line: CornerLine, lengths: Lengths) -> Array:
    """Meters left of each straight (moments, ends, cars): what the exit before and the entry after it do not take."""
    longer = phase_lengths(line, lengths) - PHASE_SHARES * lengths.corner
    taken = longer[:, EXIT] + np.roll(longer[:, ENTRY], -1, axis=1)
    return np.maximum(lengths.straight - taken, 0.0)


@dataclass(frozen=True, eq=False)
class Speeds:
    """Squares of the speeds [m2/s2] of a corner: where it begins, where entry and exit are half done, where it ends."""

    begin: Array
    entry: Array
    exit: Array
    end: Array


def find_speeds(middle: Array, forward: Array, along: Array) -> Speeds:
    """Speeds that follow from that of the middle, (moments, ends, cars), and the accelerations of the phases.

    middle: squared [m2/s2]. forward: acceleration [m/s2]; along: meters, of each phase; v^2 changes by 2 a s.
    """
    work = forward * along
    entry = middle - work[:, MIDDLE] - work[:, ENTRY]
    leaving = middle + work[:, MIDDLE] + work[:, EXIT]
    return Speeds(entry - work[:, ENTRY], entry, leaving, leaving + work[:, EXIT])


@dataclass(frozen=True, eq=False)
class Motion:
    """What was found on a line that was driven, to go on from.

    limit: square of the speed at the limit in each phase [m2/s2]; forward: acceleration there [m/s2]. arrival: square
    of the speed at full throttle at the end of each straight, gain: what a meter more would add to it [m/s2]; straight:
    meters of it.
    """

    limit: Array
    forward: Array
    arrival: Array
    gain: Array
    straight: Array


ROUNDS, PART = 10, 0.5
"""Rounds in which braking and curve of the entry are found from each other, and the part of the way each goes."""


def find_line(old: CornerLine, driven: Motion, brake: Array, lengths: Lengths, radius: Array) -> CornerLine:
    """Go on from a line to one that fits the speeds.

    brake: deceleration of the driver's brakes [m/s2]. radius: of the middle [m], (ends, 1).
    """
    along = phase_lengths(old, lengths)
    speeds = find_speeds(driven.limit[:, MIDDLE], driven.forward, along)
    leaving = np.maximum(speeds.exit, FLOOR * driven.limit[:, MIDDLE])
    out = np.clip(old.curve[:, EXIT] * driven.limit[:, EXIT] / leaving, WIDEST, TIGHTEST)
    curve, braking = find_entry(old, driven, brake, lengths, PHASE_SHARES[EXIT] * lengths.corner / out)
    curves = np.stack([curve, np.ones_like(curve), out], axis=1)
    holding = np.maximum(old.holding - driven.forward[:, MIDDLE], 0.0)
    speed = np.sqrt(driven.limit)
    yaw = turn_along(speed * curves / radius, PHASE_SHARES * lengths.corner / curves / speed)
    return CornerLine(curves, braking, holding, yaw)


def turn_along(rate: Array, time: Array) -> Array:
    """Acceleration in yaw [rad/s2] from the yaw rates [rad/s] and times [s] of the phases.

    All of entry is driven at the limit, what side force leaves is for the brakes: there the car takes on the yaw rate
    of the middle. Out of the corner the engine has not the force to use what a wider line leaves: where the car turns
    out it has grip in hand, and at its limit it turns only as the curve changes from the middle to the middle of exit.
    """
    into = rate[:, MIDDLE] / time[:, ENTRY]
    out_of = (rate[:, EXIT] - rate[:, MIDDLE]) / (0.5 * (time[:, MIDDLE] + time[:, EXIT]))
    return np.stack([into, np.zeros_like(into), out_of], axis=1)


def find_entry(old: CornerLine, driven: Motion, brake: Array, lengths: Lengths, leaving: Array) -> tuple[Array, Array]:
    """Curve and braking of the entry with which the car comes from the straight before to the speed of the middle.

    Braking takes side force after the circle of friction: what the tires gave together stays. leaving: meters of exit.
    """
    short, middle, arc = PHASE_SHARES[ENTRY] * lengths.corner, driven.limit[:, MIDDLE], MIDDLE_SHARE * lengths.corner
    begin_middle = middle - driven.forward[:, MIDDLE] * arc
    held, slowing = driven.limit[:, ENTRY] * old.curve[:, ENTRY] / radius_of(lengths), brake * old.braking
    together = held**2 + slowing**2
    curve, braking = old.curve[:, ENTRY], old.braking
    room = lengths.straight + PHASE_SHARES[EXIT] * lengths.corner - leaving - driven.straight
    for _ in range(ROUNDS):
        forward = driven.forward[:, ENTRY] - brake * (braking - old.braking)
        along = short / curve
        entry = np.maximum(begin_middle - forward * along, FLOOR * middle)
        side = np.sqrt(np.maximum(together - (brake * braking) ** 2, FLOOR * together))
        curve = np.clip(curve + PART * (side * radius_of(lengths) / entry - curve), WIDEST, TIGHTEST)
        longer = room - np.roll(short / curve - short, -1, axis=1)
        arrival = np.roll(driven.arrival + driven.gain * longer, 1, axis=1)
        missing = (arrival - entry + forward * along) / (2.0 * along * brake)
        braking = np.clip(braking + PART * missing, -1.0, 1.0)
    return curve, braking


def radius_of(lengths: Lengths) -> Array:
    """Radius of a half circle as long as the corner [m], (ends, 1)."""
    return np.asarray(lengths.corner / np.pi)
