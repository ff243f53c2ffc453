"""Facts a crew chief reads beside the advice: what a change of one lever is in pounds, turns, inches and degrees here.

All of them are computed from the case, the car as it stands once settled; the closed forms are those of
`assistant.physics`, named in docs/model.md. None of them takes part in the ranking.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from math import degrees, pi, sin

import numpy as np

from assistant.belief.corners import MIDDLE
from assistant.belief.gears_and_brakes import judge_shares
from assistant.belief.model import Model
from assistant.car.keys import LEVERS
from assistant.ground.names import CORNER_KEYS, PHASE_WORDS, PHASES, SETTLED, STAGE_WORDS, STAGES
from assistant.ground.units import System
from assistant.pages import chassis_facts
from assistant.pages.chassis_facts import CarNow, of_drive_torque, once, say_cross, then
from assistant.pages.run_words import first_lock, say_braking
from assistant.physics.corner_problem import air_forces
from assistant.physics.cornering import road_lean
from assistant.physics.formulas import (
    efficiency,
    engine_speed,
    fuel_mass,
    laps_in_tank,
    natural_radius,
    overall_ratio,
    pressure_at,
    pressure_per_kelvin,
    road_speed,
    rolling_angles,
    stagger,
    stagger_for,
)


def of_brakes(now: CarNow, _: str, change: float) -> Iterator[str]:
    """The share both axles would work equally hard at, and which one locks first, before and after."""
    share, moved = now.pair("brake_bias", change)
    yield from say_braking(judge_shares(now.model.run, share), now.system)
    if change:
        after = judge_shares(now.model.run, moved)
        yield f"With {now.say(moved, 'share')} it is the {after.lock_first}, at {first_lock(after, now.system)}."


def of_gear(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Overall ratio, engine speed at the line, the speed of the limiter, pounds of cross the drive adds."""
    other = "gear" if lever == "final_drive" else "final_drive"
    ratios = [float(overall_ratio(ratio, now.number(other))) for ratio in now.pair(lever, change)]
    around = 2.0 * pi * float(now.rest().radius[2:, SETTLED, 0].mean())
    fastest = float(road_speed(float(now.model.run.lap.rpm_max[now.knot, 0]), around, ratios[0]))
    turning = [float(engine_speed(fastest, around, ratio)) for ratio in ratios]
    limit = now.model.circuit.engine.rev_limit
    ends = [float(road_speed(limit, around, ratio)) for ratio in ratios]
    yield (
        f"Overall it is {then(now, ratios, 'ratio')}: {then(now, turning, 'rpm')} at the end of the faster "
        f"straight, at {now.say(fastest, 'speed')}; the limiter, {now.say(limit, 'rpm')}, comes at "
        f"{then(now, ends, 'speed')}."
    )
    if lever == "final_drive":
        yield from of_drive_torque(now)


def of_fuel(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Laps in the tank, what the fuel weighs and where it moves the car, and what the engine makes of it."""
    run, density = now.model.run, now.number("fuel_density")
    per_lap = float(np.trapezoid(run.lap.fuel[:, 0], run.laps) / run.laps[-1])
    loads = [float(fuel_mass(volume, density)) for volume in now.pair(lever, change)]
    laps = [float(laps_in_tank(load, per_lap)) for load in loads]
    noses = [now.nose_with(load) for load in loads]
    work = float(efficiency(now.model.circuit.engine.fuel_use))
    yield f"The tank holds {then(now, loads, 'mass')} of fuel, enough for {then(now, laps, 'laps')}."
    yield f"At the green flag the nose has {then(now, noses, 'share')} of the weight."
    yield (
        f"The engine on file turns {now.say(work, 'share', places=0)} of the heat in gasoline into work; "
        "a quarter to a third is usual."
    )


def of_air(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Downforce in the middle of the corner and drag on the straight."""
    run, place = now.model.run, now.model.circuit.place
    moved = now.moved(change, lever)
    middle = now.mean(run.limit.point.speed_squared, MIDDLE)
    straight = float(run.lap.straight_speed[now.knot, :, 0].max()) ** 2
    before, after = air_forces(now.numbers, place), air_forces(moved, place)
    pull, front, rear = (
        [float(force.item()) * speed for force in pair]
        for pair, speed in zip(zip(before, after, strict=True), (straight, middle, middle), strict=True)
    )
    yield (
        f"In the middle, at {now.say(middle**0.5, 'speed')}, the air presses {then(now, front, 'force')} on the "
        f"front axle and {then(now, rear, 'force')} on the rear."
    )
    yield f"Drag at {now.say(straight**0.5, 'speed')}, the mean of the faster straight, is {then(now, pull, 'force')}."


TEN_F, TEN_C = 10.0 / 1.8, 10.0
"""Ten degrees [K]."""
STRAIGHT = 1e4
"""Radius [m] from which a circle is called straight."""


def of_stagger(now: CarNow, _: str, change: float) -> Iterator[str]:
    """The stagger each end rolls true on at its bank, the setup's as it is hot, and the circle the pair rolls."""
    left, right = (2.0 * pi * float(radius) for radius in now.rest().radius[2:, SETTLED, 0])
    track, ends = now.number("track_rear"), now.model.case.track.ends
    asked = {end.id: float(stagger_for(left, end.radius, track, end.bank)) for end in ends}
    cold = now.number("stagger")
    hot = float(stagger(left, right))
    words = ", ".join(f"{end} on {now.say(value, 'short_length')}" for end, value in asked.items())
    hots = then(now, [hot, hot + change], "short_length")
    yield f"Without slip the axle rolls {words}."
    yield (
        f"Set at {now.say(cold, 'short_length')} cold, it is {hots} hot once settled; "
        "more than a turn asks for pulls the car in."
    )
    radius = float(natural_radius(left, right, track)) + track / 2.0
    circle = f"a circle of {now.say(abs(radius), 'length', places=0)} to the {'left' if radius > 0 else 'right'}"
    straight = "By itself the pair rolls straight."
    yield straight if abs(radius) >= STRAIGHT else f"By itself the pair now rolls {circle} on the flat."


def of_pressure(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """What becomes of a change once hot, what ten degrees are, and the cross it makes.

    How hot a tire gets is believed of many cars, and told with the run: the one car here would have figures of its own.
    """
    corner, moments = CORNER_KEYS.index(lever[-2:]), now.model.moments
    gas = dict(zip(STAGES, map(float, moments.gas[corner, :, 0]), strict=True))
    before, after = (
        {stage: float(pressure_at(warm, cold, moments.cold)) for stage, warm in gas.items()}
        for cold in now.pair(lever, change)
    )
    if change:
        moved = {stage: now.say(abs(after[stage] - before[stage]), "pressure") for stage in STAGES}
        said = ", ".join(f"{by} {STAGE_WORDS[stage]}" for stage, by in moved.items())
        yield f"Hot it goes {'up' if change > 0 else 'down'} {said}."
    step = TEN_F if now.system == "trade" else TEN_C
    settled = STAGES[SETTLED]
    slope = now.say(float(pressure_per_kelvin(after[settled], gas[settled])) * step, "pressure", places=2)
    yield f"Ten degrees {'F' if now.system == 'trade' else 'C'} of the air inside are {slope} here."
    yield from say_cross(now, lever, change)


def of_camber(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Lean to the road in each phase against the lean with most grip."""
    corner = CORNER_KEYS.index(lever[-2:])
    outputs = now.model.run.limit.point.outputs
    lean = road_lean(now.numbers, outputs)[corner]
    words = [f"{degrees(now.mean(lean, p)):+.1f} deg {PHASE_WORDS[phase]}" for p, phase in enumerate(PHASES)]
    best = f"most grip is at {degrees(now.number('best_camber')):+.1f} deg"
    yield f"To the road, top into the turn +, it leans {', '.join(words)}; {best}."
    if change:
        turned = degrees(change if corner == 0 else -change)
        yield f"The change turns it {abs(turned):.2f} deg {'into' if turned > 0 else 'out of'} the turn."


def of_toe(now: CarNow, _: str, change: float) -> Iterator[str]:
    """Toe as an angle, and the toe-out with which both front wheels would roll free through each end."""
    across = now.number("radius_lf") + now.number("radius_rf")
    apart = {}
    for end in now.model.case.track.ends:
        inner, outer = rolling_angles(now.number("wheelbase"), now.number("track_front"), end.radius)
        apart[end.id] = across * sin(float(inner - outer))
    free = ", ".join(f"{now.say(value, 'short_length')} through {end}" for end, value in apart.items())
    angles = [degrees(toe / (2.0 * across)) for toe in now.pair("toe", change)]
    words = once(*(f"{angle:+.2f} deg" for angle in angles))
    yield f"Each front wheel is toed out by {words}; free of slip they would be by {free}."


def of_steering(now: CarNow, lever: str, change: float) -> Iterator[str]:
    """Angle of the steering wheel in the middle of each end."""
    old, new = now.pair(lever, change)
    steer = now.each_end(now.model.run.attitude.steer, MIDDLE)
    said = ", ".join(f"{degrees(angle) * old:.0f} deg in {end}" for end, angle in steer.items())
    after = ", ".join(f"{degrees(angle) * new:.0f} deg" for angle in steer.values())
    yield f"In the middle the steering wheel is turned {said}{f'; with the change {after}' if change else ''}."


FactsOf = Callable[[CarNow, str, float], Iterator[str]]
_SAID_OF: Mapping[str, FactsOf] = {
    "cross_weight": chassis_facts.of_cross_weight,
    "nose_weight left_weight ballast_rise": chassis_facts.of_mass,
    "ride_height": chassis_facts.of_ride_height,
    "spring": chassis_facts.of_spring,
    "front_bar": chassis_facts.of_front_bar,
    "bar_screw": chassis_facts.of_bar_preload,
    "compression rebound": chassis_facts.of_shock,
    "track_bar": chassis_facts.of_track_bar,
    "rear_axle_lead": chassis_facts.of_axle_lead,
    "link_angle": chassis_facts.of_link,
    "front_roll_center": chassis_facts.of_front_roll_center,
    "stagger": of_stagger,
    "pressure": of_pressure,
    "camber": of_camber,
    "toe": of_toe,
    "steering_box": of_steering,
    "brake_bias": of_brakes,
    "gear final_drive": of_gear,
    "fuel_at_green": of_fuel,
    "rear_spoiler nose_tape": of_air,
}
"""What is said of levers, by their ids, or by what stands before a corner, an end or a side in them."""
_PLACES = "|".join((*CORNER_KEYS, "front", "rear", "left", "right"))
OF_LEVER: Mapping[str, FactsOf] = {
    lever: say
    for names, say in _SAID_OF.items()
    for name in names.split()
    for lever in LEVERS
    if re.fullmatch(f"{name}(?:_(?:{_PLACES}))?", lever)
}
"""Lever id to what is said of it; a lever that is not here has nothing worth a number."""
NEEDED: Mapping[str, int] = {"cross_weight": 2, **dict.fromkeys(("camber_lf", "camber_rf"), 2)}
"""How many of a lever's facts a mechanic needs, counted from the first; one of the others."""


def facts(model: Model, lever: str, change: float, system: System = "trade") -> tuple[str, ...]:
    """Say what moving `lever` by `change` [SI] is on this car, in short sentences; empty for a lever without any.

    change 0 says how things stand.
    """
    return tuple(OF_LEVER[lever](CarNow(model, system), lever, change)) if lever in OF_LEVER else ()
