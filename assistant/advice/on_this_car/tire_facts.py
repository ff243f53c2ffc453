"""Facts about tires: stagger, air, camber to the road, and where the front wheels point."""

from __future__ import annotations

from math import degrees, pi, sin

from assistant.advice.computed.standing import SETTLED
from assistant.advice.on_this_car.car_now import MIDDLE, CarNow
from assistant.advice.on_this_car.chassis_facts import say_cross, then
from assistant.car.case import PHASES
from assistant.physics.corner import road_lean
from assistant.physics.gas import pressure_at, pressure_per_kelvin
from assistant.physics.rolling import natural_radius, stagger, stagger_for
from assistant.physics.steering import rolling_angles

CORNERS = ("lf", "rf", "lr", "rr")
TEN_F, TEN_C = 10.0 / 1.8, 10.0


def of_stagger(now: CarNow, _: str, change: float) -> list[str]:
    """The stagger each end rolls true on at its bank, the setup's as it is hot, and the circle the pair rolls."""
    left, right = (2.0 * pi * float(radius) for radius in now.rest().radius[2:, SETTLED, 0])
    track, ends = now.number("track_rear"), now.model.case.track.ends
    asked = {end.id: float(stagger_for(left, end.radius, track, end.bank)) for end in ends}
    cold = now.number("stagger")
    hot = float(stagger(left, right))
    words = ", ".join(f"{end} on {now.say(value, 'short_length')}" for end, value in asked.items())
    rolls = float(natural_radius(left, right, track)) + track / 2.0
    turn = f"a circle of {now.say(abs(rolls), 'length', places=0)} to the {'left' if rolls > 0 else 'right'}"
    hots = then(now, [hot, hot + change], "short_length")
    return [
        f"Without slip the axle rolls {words}.",
        (
            f"Set at {now.say(cold, 'short_length')} cold, it is {hots} hot once settled; "
            "more than a turn asks for pulls the car in."
        ),
        f"By itself the pair now rolls {turn} on the flat."
        if abs(rolls) < 1e4
        else "By itself the pair rolls straight.",
    ]


def of_pressure(now: CarNow, lever: str, change: float) -> list[str]:
    """Hot pressure at each stage, what ten degrees are here, and the cross the air makes."""
    corner, moments = CORNERS.index(lever[-2:]), now.model.moments
    gas = [float(moments.gas[corner, stage, 0]) for stage in range(moments.gas.shape[1])]
    cold = now.number(lever)

    def hot(air: float) -> str:
        stages = now.by_stage(lambda stage: float(pressure_at(gas[stage], air, moments.cold)))
        return ", ".join(f"{now.say(value, 'pressure')} {stage}" for stage, value in stages.items())

    said = [f"Now it is {hot(cold)}." if change else f"It is {hot(cold)}."]
    said += [f"With the change it is {hot(cold + change)}."] if change else []
    settled = float(pressure_at(gas[SETTLED], cold + change, moments.cold))
    step = TEN_F if now.system == "trade" else TEN_C
    slope = now.say(float(pressure_per_kelvin(settled, gas[SETTLED])) * step, "pressure", places=2)
    said.append(f"Ten degrees {'F' if now.system == 'trade' else 'C'} of the air inside are {slope} here.")
    return [*said, *say_cross(now, lever, change)]


def of_camber(now: CarNow, lever: str, change: float) -> list[str]:
    """Lean to the road in each phase against the lean with most grip."""
    corner = CORNERS.index(lever[-2:])
    outputs = now.model.run.limit.point.outputs
    lean = road_lean(now.numbers, outputs)[corner]
    words = [f"{degrees(now.mean(lean, p)):+.1f} deg {phase}" for p, phase in enumerate(PHASES)]
    turned = degrees(change if corner == 0 else -change)
    said = f"To the road, top into the turn +, it leans {', '.join(words)}; most grip is at "
    said += f"{degrees(now.number('best_camber')):+.1f} deg."
    return [
        said,
        *(
            [f"The change turns it {abs(turned):.2f} deg {'into' if turned > 0 else 'out of'} the turn."]
            if change
            else []
        ),
    ]


def of_toe(now: CarNow, _: str, change: float) -> list[str]:
    """Toe as an angle, and the toe-out with which both front wheels would roll free through each end."""
    across = now.number("radius_lf") + now.number("radius_rf")
    apart = {}
    for end in now.model.case.track.ends:
        inner, outer = rolling_angles(now.number("wheelbase"), now.number("track_front"), end.radius)
        apart[end.id] = across * sin(float(inner - outer))
    free = ", ".join(f"{now.say(value, 'short_length')} through {end}" for end, value in apart.items())
    angles = [degrees((now.number("toe") + step) / (2.0 * across)) for step in (0.0, change)]
    words = " then ".join(dict.fromkeys(f"{angle:+.2f} deg" for angle in angles))
    return [f"Each front wheel is toed out by {words}; free of slip they would be by {free}."]


def of_steering(now: CarNow, lever: str, change: float) -> list[str]:
    """Angle of the steering wheel in the middle of each end."""
    old = now.number(lever)
    steer = now.each_end(now.model.run.attitude.steer, MIDDLE)
    said = ", ".join(f"{degrees(angle) * old:.0f} deg in {end}" for end, angle in steer.items())
    after = ", ".join(f"{degrees(angle) * (old + change):.0f} deg" for angle in steer.values())
    return [f"In the middle the steering wheel is turned {said}{f'; with the change {after}' if change else ''}."]
