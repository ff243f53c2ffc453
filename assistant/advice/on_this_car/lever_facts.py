"""Facts a crew chief reads beside the advice: what a change of one lever is in pounds, turns, inches and degrees here.

All of them are computed from the case, the car as it stands once settled; the closed forms are those of
`assistant.physics`, named in docs/model.md. None of them takes part in the ranking.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from assistant.advice.computed.model import Model, read_model
from assistant.advice.on_this_car import chassis_facts, power_facts, tire_facts
from assistant.advice.on_this_car.car_now import CarNow
from assistant.car.case import Case
from assistant.units import System

Facts = Callable[[CarNow, str, float], list[str]]
CORNERS = ("lf", "rf", "lr", "rr")
OF_LEVER: Mapping[str, Facts] = {
    "cross_weight": chassis_facts.of_cross_weight,
    **dict.fromkeys(("nose_weight", "left_weight", "ballast_rise"), chassis_facts.of_mass),
    **dict.fromkeys(("ride_height_front", "ride_height_rear"), chassis_facts.of_ride_height),
    **{f"spring_{corner}": chassis_facts.of_spring for corner in CORNERS},
    "front_bar": chassis_facts.of_front_bar,
    "bar_screw": chassis_facts.of_bar_preload,
    **{f"{way}_{corner}": chassis_facts.of_shock for way in ("bump", "rebound") for corner in CORNERS},
    **dict.fromkeys(("track_bar", "track_bar_left", "track_bar_right"), chassis_facts.of_track_bar),
    "rear_axle_lead": chassis_facts.of_axle_lead,
    **dict.fromkeys(("link_angle_lr", "link_angle_rr"), chassis_facts.of_link),
    "front_roll_center": chassis_facts.of_front_roll_center,
    "stagger": tire_facts.of_stagger,
    **{f"pressure_{corner}": tire_facts.of_pressure for corner in CORNERS},
    **dict.fromkeys(("camber_lf", "camber_rf"), tire_facts.of_camber),
    "toe": tire_facts.of_toe,
    "steering_box": tire_facts.of_steering,
    "brake_bias": power_facts.of_brakes,
    **dict.fromkeys(("gear", "final_drive"), power_facts.of_gear),
    "fuel_at_green": power_facts.of_fuel,
    **dict.fromkeys(("rear_spoiler", "nose_tape"), power_facts.of_air),
}
"""Lever id to what is said of it; a lever that is not here has nothing worth a number."""


def facts(
    case: Case, lever: str, change: float, *, model: Model | None = None, system: System = "trade"
) -> tuple[str, ...]:
    """Say what moving `lever` by `change` [SI] is on this car, in short sentences; empty for a lever without any.

    model: the case as computed already; it is computed anew when left out (about half a second). change 0 says how
    things stand.
    """
    say = OF_LEVER.get(lever)
    if say is None:
        return ()
    return tuple(say(CarNow(read_model(case) if model is None else model, system), lever, change))
