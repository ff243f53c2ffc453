"""Facts about brakes, gears, fuel and air."""

from __future__ import annotations

from math import pi

import numpy as np

from assistant.advice.computed.standing import SETTLED
from assistant.advice.on_this_car.car_now import MIDDLE, CarNow
from assistant.advice.on_this_car.chassis_facts import of_drive_torque, then
from assistant.advice.run.brakes import Straight, judge_shares
from assistant.physics.braking import axle_loads
from assistant.physics.fuel import efficiency, fuel_mass, laps_in_tank
from assistant.physics.gearing import engine_speed, overall_ratio, road_speed
from assistant.physics.loads import aero_areas
from assistant.physics.values import GRAVITY


def of_brakes(now: CarNow, _: str, change: float) -> list[str]:
    """The share both axles would work equally hard at, and which one locks first."""
    run, share = now.model.run, now.number("brake_bias")
    straight = judge_shares(run, share)
    loads = axle_loads(straight.mass, *straight.arms, -straight.demand * GRAVITY)
    said = [
        (
            f"Braking with {straight.demand:.2f} of the weight the front carries {now.pounds(float(loads[0]))}, "
            f"the rear {now.pounds(float(loads[1]))}: both work equally hard at "
            f"{now.say(straight.share_ideal, 'share')} front."
        ),
        (
            f"Both would lock together at {now.say(straight.share_locking, 'share')}; with {now.say(share, 'share')} "
            f"the {straight.lock_first} locks first, at {first_lock(now, straight)}."
        ),
    ]
    if change:
        after = judge_shares(run, share + change)
        said.append(
            f"With {now.say(share + change, 'share')} it is the {after.lock_first}, at {first_lock(now, after)}."
        )
    return [*said, "All of it straight on a level road; what a step does while turning comes from the whole run."]


def first_lock(now: CarNow, straight: Straight) -> str:
    """Write the deceleration at which the first axle locks."""
    return now.say(min(straight.lock_front, straight.lock_rear), "acceleration")


def of_gear(now: CarNow, lever: str, change: float) -> list[str]:
    """Overall ratio, engine speed at the line, the speed of the limiter, pounds of cross the drive adds."""
    other = "gear" if lever == "final_drive" else "final_drive"
    ratios = [float(overall_ratio(now.number(lever) + step, now.number(other))) for step in (0.0, change)]
    around = 2.0 * pi * float(now.rest().radius[2:, SETTLED, 0].mean())
    fastest = float(road_speed(float(now.model.run.lap.rpm_max[now.knot, 0]), around, ratios[0]))
    turning = [float(engine_speed(fastest, around, ratio)) for ratio in ratios]
    limit = now.model.circuit.engine.rev_limit
    ends = [float(road_speed(limit, around, ratio)) for ratio in ratios]
    said = [
        (
            f"Overall it is {then(now, ratios, 'ratio')}: {then(now, turning, 'rpm')} at the end of the faster "
            f"straight, at {now.say(fastest, 'speed')}; the limiter, {now.say(limit, 'rpm')}, comes at "
            f"{then(now, ends, 'speed')}."
        )
    ]
    return said + (of_drive_torque(now) if lever == "final_drive" else [])


def of_fuel(now: CarNow, lever: str, change: float) -> list[str]:
    """Laps in the tank, what the fuel weighs and where it moves the car, and what the engine makes of it."""
    density, mass = now.number("fuel_density"), now.number("mass") - now.number("fuel_on_scales")
    run = now.model.run
    per_lap = float(np.trapezoid(run.lap.fuel[:, 0], run.laps) / run.laps[-1])
    loads = [float(fuel_mass(now.number(lever) + step, density)) for step in (0.0, change)]
    laps = [float(laps_in_tank(load, per_lap)) for load in loads]
    dry = now.number("mass") * now.number("nose_weight") * now.number("wheelbase")
    dry -= now.number("fuel_on_scales") * now.number("tank_x")
    noses = [(dry + load * now.number("tank_x")) / (mass + load) / now.number("wheelbase") for load in loads]
    work = float(efficiency(now.model.circuit.engine.fuel_use))
    return [
        f"The tank holds {then(now, loads, 'mass')} of fuel, enough for {then(now, laps, 'laps')}.",
        f"At the green flag the nose has {then(now, noses, 'share')} of the weight.",
        (
            f"The engine on file turns {now.say(work, 'share', places=0)} of the heat in gasoline into work; "
            "a quarter to a third is usual."
        ),
    ]


def of_air(now: CarNow, lever: str, change: float) -> list[str]:
    """Downforce in the middle of the corner and drag on the straight."""
    run, place = now.model.run, now.model.circuit.place
    moved = now.moved(**{lever: now.number(lever) + change})
    middle = now.mean(run.limit.point.speed_squared, MIDDLE)
    straight = float(run.lap.straight_speed[now.knot, :, 0].max()) ** 2
    density = float(place.air_density.item())
    drag, front, rear = (
        [0.5 * density * float(aero_areas(one)[which].item()) for one in (now.numbers, moved)] for which in range(3)
    )
    front, rear = ([area * middle for area in areas] for areas in (front, rear))
    pull = [area * straight for area in drag]
    return [
        (
            f"In the middle, at {now.say(middle**0.5, 'speed')}, the air presses {then(now, front, 'force')} on the "
            f"front axle and {then(now, rear, 'force')} on the rear."
        ),
        f"Drag at {now.say(straight**0.5, 'speed')}, the mean of the faster straight, is {then(now, pull, 'force')}.",
    ]
