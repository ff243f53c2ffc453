"""Tires and tank along a run: where it is driven and stops, heat, hot pressure, wear and fuel from lap to lap.

A run is solved at knots; between them the state follows in closed form.
Corner arrays are (4, knots, cars), others (knots, cars).

The tread has a skin that follows the slip of every place of the lap in seconds, over a carcass in minutes. The places
of a lap are entry, middle and exit of each end and the straight after it. What a tire's slip makes there goes into the
skin, which passes it on to the air and the road, and to the carcass below. A lap is periodic, so the skin at its start
is what it is at its end; between, it follows in closed form. Grip goes with the skin; pressure, growth and what a probe
reads after the run with the carcass. Arrays of the skin are (4, moments, places, ends, cars) unless said.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from assistant.car.car import Engine
from assistant.physics.attitude import Attitude
from assistant.physics.car_and_driver import Numbers
from assistant.physics.corner_problem import CornerProblem, Place
from assistant.physics.formulas import Array, pressure_at
from assistant.physics.lap import Lap
from assistant.physics.line import CornerLine, Lengths, find_line, first_line, phase_lengths, straight_lengths
from assistant.physics.suspension import TireState, fill_air, per_corner
from assistant.physics.tire_grip import CurveShape, find_best_pressure


@dataclass(frozen=True, eq=False)
class Moments:
    """Moments of a run along the second-last axis; corner arrays (4, moments, cars or 1), others (moments, cars or 1).

    gas, tread: temperatures [K], the tread's of the carcass. surface: of its skin at every place of the lap, (4,
    moments, places, ends, cars) or with ones. wear: share of the usable tread gone. age: time it was run at its best
    temperature [s], or longer cooler. fuel_used: since the start of the run [kg]. line: driven then.
    cold: temperature at which the tires were set and the car stood on the scales [K].
    """

    gas: Array
    tread: Array
    surface: Array
    wear: Array
    age: Array
    fuel_used: Array
    line: CornerLine
    cold: float


def tires_at(numbers: Numbers, moments: Moments) -> TireState:
    """Tires and fuel of every car at every moment: hot pressure by the gas law from the cold pressure of the setup."""
    cold = per_corner(numbers, "pressure")[:, None, :]
    pressure = pressure_at(moments.gas, cold, moments.cold)
    start = numbers["fuel_on_scales"] - numbers["fuel_at_green"] * numbers["fuel_density"]
    shape = pressure.shape

    def spread(values: Array) -> Array:
        return np.broadcast_to(values, shape)

    return TireState(
        pressure=pressure,
        temperature=moments.surface[:, :, :CORNER_PLACES],
        wear=spread(moments.wear),
        age=spread(moments.age),
        warmth=spread(moments.tread - moments.cold),
        fuel_burned=np.broadcast_to(start + moments.fuel_used, shape[1:]),
        line=moments.line,
    )


def pick_moments(moments: Moments, weights: Array) -> Moments:
    """Read the mean state over parts of a run. weights: what each moment counts in each part, (parts, moments)."""
    surface = np.tensordot(weights, moments.surface, axes=(1, 1))
    return Moments(
        gas=weights @ moments.gas,
        tread=weights @ moments.tread,
        surface=np.moveaxis(surface, 0, 1),
        wear=weights @ moments.wear,
        age=weights @ moments.age,
        fuel_used=weights @ moments.fuel_used,
        line=CornerLine(*(np.tensordot(weights, part, axes=1) for part in vars(moments.line).values())),
        cold=moments.cold,
    )


Span = tuple[float, float]
"""Part of a run, from one number of laps done to another; the two may be the same."""


def weigh_span(knots: Array, span: Span) -> Array:
    """What each knot counts in the mean over a part of a run, values going evenly between knots, (knots,); sum 1.

    A single lap at which a stop makes two knots stand is read after the stop.
    """
    first, last = span
    weights, width = np.zeros(len(knots)), np.diff(knots)
    if first == last:
        before = int(np.clip(np.searchsorted(knots, first, side="right") - 1, 0, len(knots) - 2))
        counts = np.arange(len(width)) == before
        middle = np.full(len(width), first)
    else:
        start, end = np.clip(knots[:-1], first, last), np.clip(knots[1:], first, last)
        counts, middle = (end - start) / (last - first), 0.5 * (start + end)
    share = np.clip((middle - knots[:-1]) / np.where(width > 0.0, width, 1.0), 0.0, 1.0)
    weights[:-1] += counts * (1.0 - share)
    weights[1:] += counts * share
    return weights


@dataclass(frozen=True)
class Stop:
    """What happens after a lap: new tires at some corners (LF RF LR RR), fuel to the start amount, slow laps."""

    after_lap: int
    new_tires: tuple[bool, bool, bool, bool] = (False, False, False, False)
    fuel: bool = False
    slow_laps: int = 0


@dataclass(frozen=True, eq=False)
class Circuit:
    """Where the run is driven. lengths: of corners and straights; air, road: temperatures [K]."""

    place: Place
    lengths: Lengths
    curve: CurveShape
    engine: Engine
    air: float
    road: float


def place_knots(laps: int, stops: Sequence[Stop] = ()) -> tuple[Array, tuple[Stop | None, ...]]:
    """Choose the knots of a run: dense at the start of every stint, then a third of it and by sixths to its end.

    Returns the laps done at each knot, and for each knot the stop made just before it (None where driving went on).
    """
    knots: list[float] = []
    before: list[Stop | None] = []
    begin, last = 0.0, None
    for stop in [*sorted(stops, key=lambda stop: stop.after_lap), Stop(laps)]:
        length = min(float(stop.after_lap), float(laps)) - begin
        if length > 0.0:
            early = [lap for lap in (0.0, 1.0, 2.0, 4.0, 8.0, 13.0, 20.0) if lap < 0.9 * length / 3.0]
            stint = sorted({*early, *(sixths * length / 6.0 for sixths in (2, 3, 4, 5, 6))})
            knots += [begin + lap for lap in stint]
            before += [last, *[None] * (len(stint) - 1)]
            begin += length
        last = stop
    return np.array(knots), tuple(before)


CORNER_PLACES = 3
"""Places of a lap that are phases of a corner; the straight comes behind them."""
WARM_START = 20.0
"""Tread above air temperature when the green flag falls [K]: one or two slow laps; assumption."""
SLOW_SPEED = 20.0
"""Pace under caution [m/s]; assumption."""


def start_moments(air: float, knots: int, cars: int) -> Moments:
    """First guess: tires as at the green flag all the way, no fuel used."""
    shape = (4, knots, cars)
    return Moments(
        gas=np.full(shape, air + WARM_START / 2.0),
        tread=np.full(shape, air + 70.0),
        surface=np.full((*shape[:2], 1, 1, cars), air + 70.0),
        wear=np.zeros(shape),
        age=np.zeros(shape),
        fuel_used=np.zeros(shape[1:]),
        line=first_line(knots, cars),
        cold=air,
    )


def follow(
    problem: CornerProblem,
    circuit: Circuit,
    knots: Array,
    before: Sequence[Stop | None],
    tires: TireState,
    moments: Moments,
    slip: Slip,
    attitude: Attitude,
    lap: Lap,
) -> Moments:
    """Integrate temperatures, wear and fuel from knot to knot with the heat and wear rates found at the knots.

    moments: those the knots were solved with. The line is found from the speeds there.
    """
    numbers = problem.numbers
    speed = sum_ends(circuit.lengths.corner + circuit.lengths.straight) / lap.time
    cooling = cool_tires(numbers, speed, circuit.air, circuit.road)
    carcass_loss = cooling.carcass(numbers)
    rolling = roll_round(problem, circuit, attitude, lap, moments.line)
    target = carcass_target(numbers, cooling, slip.mean(), rolling, circuit.air)
    wearing = wear_rate(numbers, tires, slip, moments.surface, corner_load(attitude, lap))
    state = start_moments(circuit.air, len(knots), lap.time.shape[-1])
    tread, gas, wear, age, fuel = state.tread, state.gas, state.wear, state.age, state.fuel_used
    tread[:, 0], gas[:, 0] = circuit.air + WARM_START, circuit.air + WARM_START / 4.0
    for k in range(1, len(knots)):
        stop = before[k]
        if stop is None:
            time = (knots[k] - knots[k - 1]) * 0.5 * (lap.time[k] + lap.time[k - 1])
            lag = numbers["heat_capacity"] / (0.5 * (carcass_loss[k] + carcass_loss[k - 1]))
            tread[:, k] = relax(tread[:, k - 1], target[:, k - 1], target[:, k], time, lag)
            # a tread is well on its way to the target before the gas has moved; tests hold knots against every lap
            first = warm_gas(numbers, circuit.air, 0.5 * (tread[:, k - 1] + target[:, k - 1]))
            last = warm_gas(numbers, circuit.air, tread[:, k])
            gas[:, k] = relax(gas[:, k - 1], first, last, time, numbers["gas_lag"])
            wear[:, k] = wear[:, k - 1] + 0.5 * time * (wearing[:, k - 1] + wearing[:, k])
            age[:, k] = age[:, k - 1] + time * warmth(numbers, circuit.air, 0.5 * (tread[:, k - 1] + tread[:, k]))
            fuel[k] = fuel[k - 1] + 0.5 * (knots[k] - knots[k - 1]) * (lap.fuel[k] + lap.fuel[k - 1])
        else:
            lap_length = float(sum_ends(circuit.lengths.corner + circuit.lengths.straight).item())
            slow = stop.slow_laps * lap_length / SLOW_SPEED
            quiet = cool_tires(numbers, SLOW_SPEED, circuit.air, circuit.road)
            none = np.zeros_like(tread[:, :1])
            rest = carcass_target(numbers, quiet, none, none, circuit.air)[:, 0]
            cooled = relax(tread[:, k - 1], rest, rest, slow, numbers["heat_capacity"] / quiet.carcass(numbers))
            new = np.array(stop.new_tires)[:, None]
            goal = warm_gas(numbers, circuit.air, cooled)
            tread[:, k] = np.where(new, circuit.air + WARM_START, cooled)
            gas[:, k] = np.where(
                new, circuit.air + WARM_START / 4.0, relax(gas[:, k - 1], goal, goal, slow, numbers["gas_lag"])
            )
            wear[:, k], age[:, k] = np.where(new, 0.0, wear[:, k - 1]), np.where(new, 0.0, age[:, k - 1])
            fuel[k] = 0.0 if stop.fuel else fuel[k - 1]
    surface = find_surface(numbers, cooling, slip, tread)
    line = follow_line(problem, circuit, moments.line, lap)
    return replace(state, tread=tread, surface=surface, gas=gas, wear=wear, age=age, fuel_used=fuel, line=line)


def follow_line(problem: CornerProblem, circuit: Circuit, line: CornerLine, lap: Lap) -> CornerLine:
    """Go on to a line that fits the speeds of a lap."""
    brake = -problem.full_brake.sum(axis=0)[:, 0] / problem.mass[:, 0]
    return find_line(line, lap.driven, brake, circuit.lengths, circuit.place.radius)


def warmth(numbers: Numbers, air: float, tread: Array) -> Array:
    """How fast a tread ages: 1 at its best temperature, nothing at that of the air."""
    return np.asarray(np.maximum(tread - air, 0.0) / (numbers["best_temperature"] - air))


def corner_load(attitude: Attitude, lap: Lap) -> Array:
    """Mean load of each tire in the corners by time [N], (4, moments, cars)."""
    return np.asarray((attitude.load * lap.corner_time).sum(axis=(2, 3)) / lap.corner_time.sum(axis=(1, 2)))


def roll_round(problem: CornerProblem, circuit: Circuit, attitude: Attitude, lap: Lap, line: CornerLine) -> Array:
    """Mean power of each tire's rolling loss over a lap [W], (4, moments, cars), at the loads of every place.

    Corners at the loads there, straights at those standing: what driving moves to the rear braking moves back.
    """
    corner = (attitude.load * phase_lengths(line, circuit.lengths)).sum(axis=(2, 3))
    straight = problem.standing[:, :, 0, 0] * straight_lengths(line, circuit.lengths).sum(axis=1)
    return np.asarray(problem.numbers["hysteresis"] * (corner + straight) / lap.time)


def warm_gas(numbers: Numbers, air: float, tread: Array) -> Array:
    """Temperature the gas goes to beside a tread [K]: `gas_share` of the tread's rise over the air outside."""
    return np.asarray(air + numbers["gas_share"] * (tread - air))


def sum_ends(values: Array) -> Array:
    """Sum (ends, 1) over the ends."""
    return np.asarray(values.sum(axis=0))


def relax(start: Array, first: Array | float, last: Array | float, time: Array | float, lag: Array | float) -> Array:
    """Value after `time` of something that follows with time constant `lag` a target moving evenly from first to last.

    Exact solution of y' = (target - y)/lag: y = last - s lag + (start - first + s lag) exp(-time/lag), with s the
    slope of the target.
    """
    time = np.maximum(time, 1e-9)
    drift = (np.asarray(last) - first) / time * lag
    return np.asarray(last - drift + (start - first + drift) * np.exp(-time / lag))


def wear_rate(numbers: Numbers, tires: TireState, slip: Slip, surface: Array, load: Array) -> Array:
    """Share of the usable tread worn per second: the power of slip (`wear_power`), more off the wear-best pressure.

    The wear-best pressure lies `wear_pressure` above the grip-best one. Assumptions.
    """
    best = find_best_pressure(numbers, fill_air(numbers, tires.pressure), load) + numbers["wear_pressure"]
    off = tires.pressure / best - 1.0
    factor = 1.0 + numbers["wear_off_pressure"] * off**2
    return np.asarray(numbers["wear_rate"] * wear_power(numbers, slip, surface) * factor / numbers["tread"])


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
