"""What the run ahead says in sentences: what ends it, how it drifts, what air, brakes and steering come to.

And the run as a table, a row for every lap, in the units asked for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from assistant.belief.gears_and_brakes import LIMITER_FELT, Brakes, Braking, Gear, GearVerdict, judge_gear, power_peak
from assistant.belief.look_ahead import MOVE, AirEffect, RunAhead
from assistant.belief.whole_run import Forecast, start_fuel, whole_laps
from assistant.car.car import Engine
from assistant.ground.names import CORNER_WORDS, CORNERS, PHASE_WORDS, PHASES, STAGE_WORDS, count_of, listed
from assistant.ground.units import System, show, to_unit, unit_of
from assistant.pages.amounts import cars_words
from assistant.pages.balance import EITHER_WAY, HARDLY, change_band_words, change_words
from assistant.physics.driven_run import read_tread
from assistant.physics.formulas import Array
from assistant.physics.heat_and_wear import Stop

if TYPE_CHECKING:
    from assistant.belief.believe import Shown

FAR = 1000
"""Laps beyond which nobody cares when a tread is gone."""
NEAR_LAPS = 3
"""Laps between the end of a run and what ends it: nearer it is not looked for."""
MOST_LAST, FEW_LAST = 0.75, 0.05
"""Shares of the plausible cars that drive a run to its end: from the first on it is not worth a word."""
LEAST_SHARE = 0.0005
"""Change of the front share of the brakes that is worth a word."""
RUNS_AWAY = 25.0
"""Tread this far above its best temperature [K] is far off the range any tire is used in; assumption."""
AHEAD = 0.002
"""Share of tread by which one tire must be ahead of another to be called so."""
NO_AIR = "What right-rear air does is not told: no plausible car does all that is known."
OUT_OF_REACH = (
    "In some corner this car cannot be at its tires' limit: engine, limiter or straight bring it there too slow, or "
    "leave no room to brake. It is computed there all the same: laps come out too quick, and the driver never meets "
    "that balance. See forecast gears."
)
LOCK_NOTE = (
    "Common practice, no source: use only 75 to 80 % of the lock and the car keeps its speed. An oval asks for little "
    "of the full lock, so take it as the share of what the front can take."
)
ACROSS_NOTE = (
    "Inside is the edge toward the middle of the car. Sizes across the tread are assumptions: 10 F per degree of "
    "lean, 2.5 F per psi. The right rear computes hottest outside since a solid axle leans outward; the trade has it "
    "coolest there (common practice, no source): believe a probe."
)


def gear_words(verdict: GearVerdict) -> str:
    """Say in a table why a pair of gears is where it is in the ranking."""
    return "too short" if verdict == "past the peak" else verdict


def gone_by(laps: float) -> str:
    """Say by which lap a tread is gone; nobody cares for one that outlives every run."""
    return f"lap {coarse(laps)}" if laps < FAR else f"beyond lap {FAR}"


def coarse(laps: float) -> int:
    """Round laps to what is known of them: tens from a hundred on."""
    return whole_laps(laps) if laps < 100.0 else 10 * round(laps / 10.0)


def span_words(laps: tuple[float, float]) -> str:
    """Say between which laps something is used up: "180 to 470", "300 on" where it may outlive every run."""
    near, far = laps
    return f"{coarse(near)} to {coarse(far)}" if far < FAR else f"{coarse(near)} on"


def say_stop(stop: Stop) -> str:
    """Say a stop: "after lap 30: new RF and RR, fuel"."""
    new = [corner for corner, fresh in zip(CORNERS, stop.new_tires, strict=True) if fresh]
    jobs = [f"new {listed(new)}"] if new else []
    jobs += ["fuel"] if stop.fuel else []
    jobs += [f"{stop.slow_laps} slow laps"] if stop.slow_laps else []
    return f"after lap {stop.after_lap}: {', '.join(jobs)}"


def say_gear(one: Gear, best: Gear, engine: Engine, system: System) -> str:
    """Say why a pair is where it is in the ranking."""
    power = show(best.power_low, "power", system=system)
    pulls = f"{one.rpm_min:,.0f} rpm and {show(one.power_low, 'power', system=system)} at the slowest point"
    limiter = f"{one.limiter_s:.1f} s a lap"
    top = f"{limiter} on the limiter" if one.limiter_s > LIMITER_FELT else "clear of the limiter"
    peak = f"{power_peak(engine):,.0f}"
    said: Mapping[GearVerdict, str] = {
        "quickest": f"quickest: {pulls}, and {top}",
        "as quick": "no slower than the best that anybody could tell",
        "a little tall": f"a little tall: {pulls}",
        "too tall": f"too tall to pull off the corner: {pulls}, where the best has {power}",
        "on the limiter": f"too short: on the limiter {limiter}, well before the line",
        "past the peak": f"too short: {one.rpm_max:,.0f} rpm at the line, past the power peak at {peak}",
        "shorter": "shorter, with nothing to gain from it",
    }
    return said[judge_gear(one, best, engine)]


def say_end(ahead: RunAhead) -> list[str]:
    """Say whether a run can be driven, what ends it first, and of how many cars like this one that is told."""
    forecast, planned, driven = ahead.forecast, ahead.planned, ahead.driven
    by = "the fuel" if forecast.run_ends_by == "fuel" else f"the {forecast.run_ends_by} tire"
    laps, few = whole_laps(forecast.run_ends_at), ahead.lasting < MOST_LAST
    last = f"{round(10 * ahead.lasting)} of 10" if ahead.lasting >= FEW_LAST else "few"
    lasting = [f"Only {last} cars like this one last so long on their tires: the numbers are of those."] if few else []
    if not ahead.cut_short and few:
        gone = f"{10 - round(10 * ahead.lasting)} of 10" if ahead.lasting >= FEW_LAST else "most"
        first = f"On {gone} cars like this one a tire is gone before lap {planned}; the numbers are of the others."
        return [first, f"There all {planned} laps can be driven, and first to be used up is {by}, after lap {laps}."]
    if not ahead.cut_short:
        return [f"All {planned} laps can be driven; first to be used up: {by}, after lap {laps}."]
    said = f"The run ends after lap {driven} of {planned}: {by} is used up, {planned - driven} laps short."
    if planned - driven == 1:
        said = f"One lap short: {by} is used up after lap {driven} of {planned}."
    if laps > driven + NEAR_LAPS:
        said = f"Of the {planned} laps {driven} can be told of: hardly a car like this one lasts longer on its tires."
    return [said, f"What follows is about the {count_of(driven, 'lap')} that can be driven.", *lasting]


def say_reach(forecast: Forecast) -> list[str]:
    """Say that the lap cannot be driven as it is computed: a corner flat out, or one too near to brake for."""
    return [] if forecast.reaches else [OUT_OF_REACH]


def say_heat(forecast: Forecast, best: float, system: System) -> list[str]:
    """Say which tires end the run far above the temperature with most grip; best: that temperature [K].

    There the law of grip over heat is steep, and every size computed hangs on numbers nobody knows that well.
    """
    over = {corner: forecast.tread[corner]["worn"] - best for corner in CORNERS}
    hottest = max(over, key=lambda corner: over[corner])
    hot = [corner for corner in CORNERS if over[corner] > RUNS_AWAY]
    if not hot:
        return []
    above = show(over[hottest], "temperature_change", system=system, places=0)
    run, at_most = ("runs", above) if len(hot) == 1 else ("run", f"up to {above}")
    named = listed([CORNER_WORDS[corner] for corner in hot])
    said = f"The {named} {run} away hot: {at_most} above the best temperature of the tread at the end of the run."
    return [f"{said} Every size is uncertain here, late in the run most of all."]


def say_fuel(ahead: RunAhead, system: System) -> str:
    """Say fuel per lap and laps in the tank, against the laps asked for."""
    forecast, car = ahead.forecast, ahead.case.car
    per_lap = show(forecast.fuel_per_lap / car.fuel_density, "volume", system=system, places=3)
    start = show(ahead.case.setup.values["fuel_at_green"], "volume", system=system)
    laps = whole_laps(forecast.fuel_laps)
    said = f"Fuel: {per_lap} a lap; {start} at the start last {count_of(laps, 'lap')}"
    if ahead.bands is not None:
        said = f"Fuel: {per_lap} a lap; {start} last {count_of(laps, 'lap')} ({span_words(ahead.bands.fuel_laps)})"
    if any(stop.fuel for stop in ahead.stops):
        return f"{said} with the stops as planned."
    short = ahead.planned - laps
    if short == 1:
        return f"{said}: one lap short of the {ahead.planned}."
    if short > 1:
        return f"{said}: {short} laps short of the {ahead.planned}."
    return f"{said}, {count_of(-short, 'lap')} over." if short else f"{said}, exactly the run and not a lap more."


def say_drift(forecast: Forecast, believed: Mapping[str, Shown]) -> str:
    """Say how balance drifts from settled to the end, in each phase where the believed cars agree; "" where in none."""
    ways: dict[str, list[str]] = {}
    for phase, drift in believed.items():
        ways.setdefault(change_band_words(drift.low, drift.high), []).append(PHASE_WORDS[phase])
    ways.pop(EITHER_WAY, None)
    if not ways:
        return ""
    surest = sorted(ways.items(), key=lambda way: way[0] == HARDLY)
    said = "; ".join(f"{listed(where)} {way}" for way, where in surest)
    return f"From lap {forecast.laps[-1] / 3.0:.0f} to lap {forecast.laps[-1]:.0f} the car goes: {said}."


def say_wear(forecast: Forecast) -> str:
    """Say how much tread each tire has used, and which was ahead when."""
    used = sorted(CORNERS, key=lambda corner: -forecast.wear_end[corner])
    shares = ", ".join(f"{corner} {100 * forecast.wear_end[corner]:.0f} %" for corner in used)
    return f"Tread used at the end: {shares}. {say_leader(forecast.laps, forecast.wear_line)}"


def say_leader(laps: Sequence[float], wear: Mapping[str, Sequence[float]]) -> str:
    """Say which tire is used most, and from which lap on another one is."""
    turns: list[tuple[float, str]] = []
    for place, lap in enumerate(laps):
        now = max(CORNERS, key=lambda corner: wear[corner][place])
        if lap and (not turns or (now != turns[-1][1] and wear[now][place] - wear[turns[-1][1]][place] > AHEAD)):
            turns.append((lap, now))
    if len(turns) < 2:
        last = max(CORNERS, key=lambda corner: wear[corner][-1])
        level = "all the way" if turns and last == turns[0][1] else f"until the {last} is level with it at the end"
        return f"The {turns[0][1]} is used most {level}." if turns else ""
    until = [f"the {corner} until lap {later:.0f}" for (_, corner), (later, _) in pairwise(turns)]
    return f"Used most: {', then '.join(until)}, then the {turns[-1][1]}."


def say_brakes(brakes: Brakes, system: System) -> list[str]:
    """Say how the brakes are shared, and what a step does."""
    said = say_braking(brakes, system)
    for way, (step, change) in brakes.steps.items():
        how = change_words(change["entry"]["settled"])
        said.append(f"One step to the {way} ({100 * abs(step):.1f} points): {how} getting in once settled.")
    return said if brakes.steps else [*said, "The rules do not let it be changed."]


def say_braking(brakes: Braking, system: System) -> list[str]:
    """Say the ideal share, and which axle locks first, on a straight."""
    share, ideal, locking = (
        f"{100 * one:.1f} %" for one in (brakes.share_now, brakes.share_ideal, brakes.share_locking)
    )
    harder = "front" if brakes.share_now > brakes.share_ideal else "rear"
    meaning = "straight on" if brakes.lock_first == "front" else "round"
    demand = f"{brakes.demand:.2f} of the weight"
    pull = first_lock(brakes, system)
    turned = harder == "front" and brakes.lock_first == "rear"
    braked = "The harder the braking, the less weight stays on the rear: braked" if turned else "Braked"
    return [
        f"Brakes: {share} in front. Braking as hard as on entry ({demand}), both ends would work equally with {ideal}.",
        f"So the {harder} works harder now.",
        f"{braked} until something locks, the {brakes.lock_first} goes first, at {pull}, and the car goes {meaning}.",
        f"Both would lock together with {locking} in front.",
        f"All this is for a straight line without downforce, at a friction of {brakes.friction:.2f}.",
    ]


def first_lock(brakes: Braking, system: System) -> str:
    """Write the deceleration at which the first axle locks."""
    return show(min(brakes.lock_front, brakes.lock_rear), "acceleration", system=system)


def say_air(air: AirEffect | None, system: System) -> list[str]:
    """Say what more right-rear air does to tread and balance, and where saving the one costs the other."""
    if air is None:
        return [NO_AIR]
    move = show(MOVE, "pressure", system=system, places=0)
    felt = ", ".join(
        f"{change_band_words(one.low, one.high)} {STAGE_WORDS[stage]}" for stage, one in air.balance.items()
    )
    cars = ", ".join(f"{STAGE_WORDS[stage]} in {cars_words(chance)}" for stage, chance in air.conflict.items())
    return [
        f"Right-rear air, for {move} more (half of what {move} less to {move} more does), on 8 of 10 plausible cars:",
        f"{_say_saved(air.tread)} by the end; coming off {felt}.",
        f"Life against balance, more air that saves the tire and loosens the car: {cars}.",
    ]


def _say_saved(tread: Shown) -> str:
    low, high = 100.0 * tread.low, 100.0 * tread.high
    if low < 0.0 < high:
        return f"between {-low:.1f} points of tread lost and {high:.1f} saved"
    near, far = sorted((abs(low), abs(high)))
    return f"{near:.1f} to {far:.1f} points of tread {'saved' if high > 0.0 else 'lost'}"


def say_changes(before: RunAhead, after: RunAhead, system: System) -> list[str]:
    """Say what else a change does: steering, engine speeds and braking, each only where it moves."""
    old, new = before.forecast, after.forecast
    pairs = {phase: [f"{100 * run.useful_share[phase]['settled']:.0f}" for run in (old, new)] for phase in PHASES}
    moved = [f"{PHASE_WORDS[phase]} {was} -> {now} %" for phase, (was, now) in pairs.items() if was != now]
    said = [f"Share of what the front can take, once settled: {', '.join(moved)}."] if moved else []
    if _overall(before) != _overall(after):
        said.append(
            f"Engine: {old.rpm_max:,.0f} -> {new.rpm_max:,.0f} rpm at the line, "
            f"{old.rpm_min:,.0f} -> {new.rpm_min:,.0f} at the slowest point, "
            f"{old.limiter_s:.1f} -> {new.limiter_s:.1f} s a lap on the limiter."
        )
    if abs(before.brakes.share_now - after.brakes.share_now) > LEAST_SHARE:
        brakes = (before.brakes, after.brakes)
        was, now = (f"the {one.lock_first} at {first_lock(one, system)}" for one in brakes)
        said.append(f"Braked in a straight line until something locks: {was} before, {now} after.")
    return said


def _overall(ahead: RunAhead) -> float:
    return next(one.overall for one in ahead.gears if one.now)


JUST_BEFORE = 1e-6
"""Part of a lap before its end: what is read there is the state before a stop on that lap."""


def lap_table(ahead: RunAhead, system: System = "trade") -> tuple[tuple[str, ...], list[tuple[float, ...]]]:
    """Return the names of the columns, each with its unit, and a row for every lap.

    lap time: of this lap (at its middle); the rest: at its end, before any stop. balance in percent, + tight. tread:
    share used. Temperatures inside, middle, outside; inside = the edge toward the car's centerline.
    """
    run, laps = ahead.run, np.arange(1.0, ahead.driven + 1.0)
    ends = laps - JUST_BEFORE
    pressure, temperature, volume = (unit_of(kind, system) for kind in ("pressure", "temperature", "volume"))
    columns: dict[str, Array] = {"lap": laps, "lap_time_s": _read(ahead, run.lap.time[:, 0], laps - 0.5)}
    felt = ahead.forecast.balance_line
    columns |= {f"balance_{phase}_percent": _read(ahead, np.array(felt[phase]), ends) for phase in PHASES}
    tread = read_tread(run, ahead.model.circuit.air)
    for c, corner in enumerate(CORNERS):
        columns[f"{corner}_tread_used_share"] = _read(ahead, run.moments.wear[c, :, 0], ends)
        hot = _read(ahead, run.tires.pressure[c, :, 0], ends)
        columns[f"{corner}_hot_pressure_{pressure}"] = _to_units(hot, pressure, "pressure")
        for name, strip in (("inside", tread.inside), ("middle", tread.middle), ("outside", tread.outside)):
            warm = _read(ahead, strip[c, :, 0], ends)
            columns[f"{corner}_{name}_{temperature}"] = _to_units(warm, temperature, "temperature")
    density = float(run.problem.numbers["fuel_density"][0])
    left = (float(start_fuel(run)[0]) - _read(ahead, run.moments.fuel_used[:, 0], ends)) / density
    columns[f"fuel_left_{volume}"] = _to_units(left, volume, "volume")
    rows = [tuple(float(column[row]) for column in columns.values()) for row in range(len(laps))]
    return tuple(columns), rows


def _read(ahead: RunAhead, values: Array, wanted: Array) -> Array:
    return np.interp(wanted, ahead.run.laps, values)


def _to_units(values: Array, unit: str, kind: str) -> Array:
    return np.array([to_unit(float(value), unit, kind) for value in values])
