"""Surface of the tread, a skin that follows the slip of every place of the lap in seconds, over a carcass in minutes.

The places of a lap are entry, middle and exit of each end and the straight after it. What a tire's slip makes there
goes into the skin, which passes it on to the air and the road, and to the carcass below. A lap is periodic, so the skin
at its start is what it is at its end; between, it follows in closed form.
Grip goes with the skin; pressure, growth and what a probe reads after the run with the carcass.
Arrays are (4, moments, places, ends, cars) unless said.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.physics.attitude import Attitude
from assistant.physics.car_and_driver import Numbers
from assistant.physics.formulas import Array
from assistant.physics.lap import Lap

SHORTEST_TIME = 1e-9
"""Time [s] that keeps a place nobody is at in its sense."""
WEAR_POWER = 15e3
"""Slip power [W] at which wear per work is what the tire file says: a right tire's through a corner; assumption."""


@dataclass(frozen=True, eq=False)
class Slip:
    """Power of each tire's slip at every place of a lap [W], and the time there [s], (moments, places, ends, cars)."""

    power: Array
    time: Array

    def mean(self) -> Array:
        """Mean power over the lap [W], (4, moments, cars)."""
        return mean_round(self.power, self.time)


def slip_round(attitude: Attitude, lap: Lap) -> Slip:
    """Lay the slip of a lap out by its places."""
    time = np.concatenate([lap.corner_time, lap.straight_time[:, None]], axis=1)
    straight = lap.straight_slip / np.maximum(lap.straight_time, SHORTEST_TIME)
    return Slip(np.concatenate([attitude.sliding, straight[:, :, None]], axis=2), time)


def mean_round(values: Array, time: Array) -> Array:
    """Mean over the lap by time, (4, moments, cars)."""
    return np.asarray((values * time).sum(axis=(2, 3)) / time.sum(axis=(1, 2)))


@dataclass(frozen=True, eq=False)
class Cooling:
    """Where heat goes [W/K]: from the skin to air and road, from the sidewalls to the air, (moments, cars).

    sink: temperature the skin is cooled toward [K].
    """

    skin: Array
    sidewall: Array
    sink: Array

    def down(self, numbers: Numbers) -> Array:
        """Share of the slip's heat that goes down into the carcass while it is as cool as the sink."""
        inside = numbers["skin_conductance"]
        return np.asarray(inside / (inside + self.skin))

    def carcass(self, numbers: Numbers) -> Array:
        """What the carcass loses per kelvin, through the skin and the sidewalls [W/K]."""
        return np.asarray(self.skin * self.down(numbers) + self.sidewall)


def cool_tires(numbers: Numbers, speed: Array | float, air: float, road: float) -> Cooling:
    """Split what cools a tire at a mean speed [m/s]; air, road [K]."""
    both = numbers["cooling_still"] + numbers["cooling_speed"] * speed
    sidewall = numbers["sidewall_cooling"] * both
    return Cooling(both - sidewall, sidewall, air + numbers["road_cooling"] * (road - air))


def carcass_target(numbers: Numbers, cooling: Cooling, slip: Array, rolling: Array, air: float) -> Array:
    """Temperature the carcass goes to [K] with mean powers of slip and rolling [W], (4, moments, cars)."""
    heat = cooling.down(numbers) * (numbers["heat_share"] * slip + cooling.skin * (cooling.sink - air)) + rolling
    return np.asarray(air + heat / cooling.carcass(numbers))


def find_surface(numbers: Numbers, cooling: Cooling, slip: Slip, carcass: Array) -> Array:
    """Temperature of the skin at every place of the lap, mean over the time there [K]."""
    inside = numbers["skin_conductance"]
    both = (inside + cooling.skin)[:, None, None]
    carried = (inside * carcass + cooling.skin * cooling.sink)[:, :, None, None]
    goal = (numbers["heat_share"] * slip.power + carried) / both
    spent = np.maximum(slip.time * both / numbers["skin_capacity"], SHORTEST_TIME)
    kept = np.exp(-spent)
    start, means = find_start(goal, kept), np.empty_like(goal)
    for place, end in lap_order(goal):
        here, left = goal[:, :, place, end], kept[:, place, end]
        means[:, :, place, end] = here + (start - here) * (1.0 - left) / spent[:, place, end]
        start = here + (start - here) * left
    return means


def find_start(goal: Array, kept: Array) -> Array:
    """Skin at the start of a lap that ends as it begins [K], (4, moments, cars)."""
    reached, of_start = np.zeros_like(goal[:, :, 0, 0]), np.ones_like(kept[:, 0, 0])
    for place, end in lap_order(goal):
        left = kept[:, place, end]
        reached = goal[:, :, place, end] + (reached - goal[:, :, place, end]) * left
        of_start = of_start * left
    return np.asarray(reached / (1.0 - of_start))


def lap_order(values: Array) -> list[tuple[int, int]]:
    """Places in the order they are driven: (place, end)."""
    return [(place, end) for end in range(values.shape[3]) for place in range(values.shape[2])]


def wear_power(numbers: Numbers, slip: Slip, surface: Array) -> Array:
    """Slip power as the tread feels it [W], mean over the lap, (4, moments, cars).

    Rubber wears faster than in step with the power: P (P / P_ref)^(n - 1), n `wear_exponent` (abrasion grows with the
    work of slip to the power 1.5 to 2: Schallamach, Grosch; from memory). More by `wear_overheat` for each kelvin the
    skin is above its best temperature. Assumptions all.
    """
    hot = np.maximum(surface - numbers["best_temperature"], 0.0)
    steep = (np.maximum(slip.power, 0.0) / WEAR_POWER) ** (numbers["wear_exponent"] - 1.0)
    return mean_round(slip.power * steep * (1.0 + numbers["wear_overheat"] * hot), slip.time)
