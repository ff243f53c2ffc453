"""Gears and brakes of the run ahead: every legal pair ranked by lap time, and what the share of brake force does.

Gears: the run is driven with each pair of gearbox ratio and final drive; one gear for the whole lap, no shifting.

Brakes: straight-line closed forms on the car as it is when settled: level road, no downforce, one friction at both
ends. What a step does while turning in comes from the whole run.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np

from assistant.belief.model import weigh_knots
from assistant.belief.whole_run import Forecast
from assistant.car.car import Engine, Three
from assistant.car.case import Case, Setup
from assistant.car.moves import limit_of, with_step, with_value
from assistant.ground.names import Grid
from assistant.ground.quantities import GRAVITY
from assistant.physics.car_and_driver import usual_phases
from assistant.physics.driven_run import DrivenRun
from assistant.physics.formulas import (
    Array,
    crank_power,
    ideal_front_share,
    locking_decelerations,
    overall_ratio,
)
from assistant.physics.straight import straight_friction

MOST_VALUES = 40
"""Values tried of one ratio where the rules give a range instead of a list of parts."""
SAME_RATIO = 1e-6
LIMITER_FELT = 0.05
"""Seconds a lap at the limiter that are worth saying."""
SAME_TIME = 0.005
"""Seconds of lap time nobody can tell apart; absolute lap times are worth less than that."""
CLEAR_TIME = 0.03
"""Seconds of lap time from which a pair is called wrong instead of near."""
GearVerdict = Literal["quickest", "as quick", "a little tall", "too tall", "on the limiter", "past the peak", "shorter"]
"""Why a pair is where it is in the ranking; past the peak: at the line the engine turns past its most power."""


@dataclass(frozen=True)
class Gear:
    """One pair. overall: turns of the crankshaft per turn of the wheel. rpm_max at the end of the faster straight,
    rpm_min at the slowest point of the lap [1/min], over the whole run. power_low: engine power at rpm_min [W].

    limiter_s: time at the limiter [s a lap]; lap_s: mean lap time; fuel_laps: laps in the tank. now: fitted today.
    """  # noqa: D205 - the first sentence needs the names

    gear: float
    final_drive: float
    overall: float
    rpm_max: float
    rpm_min: float
    power_low: float
    limiter_s: float
    lap_s: float
    fuel_laps: float
    now: bool


def gear_setups(case: Case) -> list[Setup]:
    """List the case's setup with every allowed pair, today's pair included even where the rules forbid it."""
    today = pair_of(case.setup)
    pairs = list(product(allowed_ratios(case, "gear"), allowed_ratios(case, "final_drive")))
    if not any(same_pair(today, pair) for pair in pairs):
        pairs.append(today)
    return [with_value(with_value(case.setup, "gear", gear), "final_drive", final) for gear, final in pairs]


def allowed_ratios(case: Case, lever: str) -> list[float]:
    """List what the rulebook (and the box) allow of one ratio; today's alone when it is fixed."""
    limit = limit_of(case.rulebook, case.car, lever)
    if limit is None:
        return [case.setup.values[lever]]
    every = 1 if limit.parts else max(1, -(-(len(limit.values) - 1) // MOST_VALUES))
    return list(limit.values[::every])


PAIR = ("gear", "final_drive")
"""The levers of a pair: what the next ratio does to the balance is what a wrong ratio does, no adjustment."""


def pair_of(setup: Setup) -> tuple[float, float]:
    """Gearbox ratio and final drive of a setup."""
    gear, final = (setup.values[one] for one in PAIR)
    return gear, final


def same_pair(one: tuple[float, float], other: tuple[float, float]) -> bool:
    """Whether two pairs are the same gears."""
    return all(abs(a - b) < SAME_RATIO for a, b in zip(one, other, strict=True))


def rank_gears(case: Case, setups: Sequence[Setup], forecasts: Sequence[Forecast]) -> tuple[Gear, ...]:
    """Rank the pairs by mean lap time over the run, quickest first.

    Of those nobody can tell from the quickest, the ones clear of the limiter come first: it costs nothing to spare the
    engine.
    """
    today = pair_of(case.setup)
    gears = []
    for setup, forecast in zip(setups, forecasts, strict=True):
        gear, final = pair_of(setup)
        gears.append(
            Gear(
                gear=gear,
                final_drive=final,
                overall=float(overall_ratio(gear, final)),
                rpm_max=forecast.rpm_max,
                rpm_min=forecast.rpm_min,
                power_low=power_at(case.car.engine, forecast.rpm_min),
                limiter_s=forecast.limiter_s,
                lap_s=forecast.pace.average,
                fuel_laps=forecast.fuel_laps,
                now=same_pair(today, (gear, final)),
            )
        )
    quickest = min(one.lap_s for one in gears)

    def place(one: Gear) -> tuple[int, float, float]:
        as_quick = one.lap_s - quickest < SAME_TIME
        return (0 if as_quick and one.limiter_s <= LIMITER_FELT else 1, one.lap_s, one.overall)

    return tuple(sorted(gears, key=place))


def power_at(engine: Engine, rpm: float) -> float:
    """Power at the crankshaft [W] at an engine speed [1/min]."""
    return float(crank_power(engine, rpm))


def power_peak(engine: Engine) -> float:
    """Engine speed of most power [1/min]."""
    return engine.rpm[int(np.argmax(engine.power))]


def judge_gear(one: Gear, best: Gear, engine: Engine) -> GearVerdict:
    """Judge why a pair is where it is in the ranking."""
    if one is best:
        return "quickest"
    if one.overall < best.overall:
        return judge_taller(one.lap_s - best.lap_s)
    if one.limiter_s > LIMITER_FELT:
        return "on the limiter"
    if one.lap_s - best.lap_s < SAME_TIME:
        return "as quick"
    return "past the peak" if one.rpm_max > power_peak(engine) else "shorter"


def judge_taller(lost: float) -> GearVerdict:
    """Judge a pair taller than the best by the time [s] it loses a lap."""
    if lost < SAME_TIME:
        return "as quick"
    return "a little tall" if lost < CLEAR_TIME else "too tall"


def gear_now(gears: Sequence[Gear]) -> tuple[int, Gear]:
    """Rank and numbers of today's pair."""
    return next((rank, one) for rank, one in enumerate(gears, 1) if one.now)


@dataclass(frozen=True)
class Braking:
    """A front share of brake force on a straight. Shares are the front's (0-1); decelerations [m/s2].

    mass [kg]; arms: to the front and the rear axle, height of the center [m]. share_ideal: where both axles work
    equally hard at the entry's demand (share of the weight). share_locking: where both would lock together on this
    grip. lock_first: "front" or "rear". lock_front, lock_rear: deceleration at which each axle would lock.
    friction: brake force over load.
    """

    share_now: float
    mass: float
    arms: Three
    share_ideal: float
    share_locking: float
    demand: float
    friction: float
    lock_first: str
    lock_front: float
    lock_rear: float


@dataclass(frozen=True)
class Brakes(Braking):
    """The share fitted, and what moving it does through the run.

    steps: change of balance [%] per legal step, "front" or "rear" (the way the share moves) to its size and grid; empty
    where the rules fix it.
    """

    steps: Mapping[str, tuple[float, Grid]]


def brake_neighbors(case: Case) -> dict[str, Setup]:
    """The case's setup with the brake share one legal step to the rear and to the front."""
    moved = {
        way: with_step(case.setup, case.rulebook, case.car, "brake_bias", steps)
        for way, steps in (("rear", -1), ("front", 1))
    }
    return {way: setup for way, (setup, stop) in moved.items() if stop is None}


def judge_brakes(
    case: Case, run: DrivenRun, forecast: Forecast, neighbors: Mapping[str, Setup], moved: Sequence[Forecast]
) -> Brakes:
    """Judge the brakes of car 0 of a driven run. moved: the runs of `neighbors`, in their order."""
    share = case.setup.values["brake_bias"]
    steps = {
        way: (setup.values["brake_bias"] - share, other.balance - forecast.balance)
        for (way, setup), other in zip(neighbors.items(), moved, strict=True)
    }
    return Brakes(**vars(judge_shares(run, share)), steps=steps)


def judge_shares(run: DrivenRun, share: float) -> Braking:
    """Judge a front share of brake force on car 0 of a driven run, braking straight when settled."""
    numbers, rest = run.problem.numbers, run.problem.rest
    rear_arm = settled(run, rest.cg[0])
    arms = (float(numbers["wheelbase"][0]) - rear_arm, rear_arm, settled(run, rest.cg[2]))
    friction = settled(run, straight_friction(run.problem).mean(axis=1))
    demand = float(usual_phases().brake[0, 0, 0])
    front, rear = (float(one) for one in locking_decelerations(share, friction, *arms))
    return Braking(
        share_now=share,
        mass=settled(run, rest.mass),
        arms=arms,
        share_ideal=float(ideal_front_share(demand * GRAVITY, *arms)),
        share_locking=float(ideal_front_share(friction * GRAVITY, *arms)),
        demand=demand,
        friction=friction,
        lock_first="front" if front < rear else "rear",
        lock_front=front,
        lock_rear=rear,
    )


def settled(run: DrivenRun, values: Array) -> float:
    """Read values (knots, cars) of car 0 once settled."""
    return float(weigh_knots(run.laps, "settled") @ values[:, 0])
