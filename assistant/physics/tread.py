"""Temperature across the tread: inside edge, middle, outside edge; inside = the edge toward the car's centerline.

A tire that leans into the turn works its edge on that side; in the corner the two edges share alike at the lean with
most grip, on the straights (no side force) at no lean at all. A tire with more air than its load wants works its
middle. Both sizes are assumptions from memory (`knowledge/base/tire-reading.yaml` states the same and a test holds
them together); they hold for a tire at its best temperature and shrink with the rise over the air.
The mean of the three is the tread temperature of the run. Range: a few degrees of lean and about 8 psi off; the
three never fall below the air.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.ground.quantities import PSI
from assistant.physics.cornering import road_lean
from assistant.physics.driven_run import DrivenRun
from assistant.physics.formulas import Array
from assistant.physics.straight import standing_lean
from assistant.physics.suspension import fill_air
from assistant.physics.tire_grip import find_best_pressure

EDGES_PER_RADIAN = 10.0 / 1.8 * 180.0 / np.pi
"""Edge that leans into the turn less the other edge, per radian of lean [K/rad]: 10 F per degree; assumption."""
MIDDLE_PER_PASCAL = 2.5 / 1.8 / PSI
"""Middle less the mean of the edges, per pascal above the load's best [K/Pa]: 2.5 F per psi; assumption."""
EVEN_TILT = 0.8
"""Largest share of the rise over the air that a difference across the tread may reach; keeps absurd set-ups sane."""
OUTWARD = np.array([-1.0, 1.0, -1.0, 1.0]).reshape(4, 1, 1)
"""+1 where the edge toward the turn is the tire's inside edge (right tires), -1 on the left."""


@dataclass(frozen=True, eq=False)
class Tread:
    """Temperatures of the three strips [K], (4, knots, cars)."""

    inside: Array
    middle: Array
    outside: Array


def read_tread(
    run: DrivenRun, air: float, edges_per_radian: float = EDGES_PER_RADIAN, middle_per_pascal: float = MIDDLE_PER_PASCAL
) -> Tread:
    """Temperatures across every tread at every knot of a run. air [K]."""
    numbers, attitude, lap = run.problem.numbers, run.attitude, run.lap
    rolled = numbers["hysteresis"] * attitude.load * np.sqrt(run.limit.point.speed_squared)
    heat = (numbers["heat_share"] * attitude.sliding + rolled) * lap.corner_time
    in_corner = heat.sum(axis=(2, 3))
    lean = (road_lean(numbers, run.limit.point.outputs) * heat).sum(axis=(2, 3)) / in_corner
    load = (attitude.load * heat).sum(axis=(2, 3)) / in_corner
    on_straight = straight_heat(run)
    share = in_corner / (in_corner + on_straight)
    tilt = share * (lean - numbers["best_camber"]) + (1.0 - share) * standing_lean(numbers)
    even = find_best_pressure(numbers, fill_air(numbers, run.tires.pressure), load)
    return spread_across(
        run.moments.tread,
        air,
        scale=(run.moments.tread - air) / (numbers["best_temperature"] - air),
        edges=edges_per_radian * OUTWARD * tilt,
        crown=middle_per_pascal * (run.tires.pressure - even),
    )


def spread_across(mean: Array, air: float, scale: Array, edges: Array, crown: Array) -> Tread:
    """Three temperatures with this mean: inside less outside = scale x edges, middle less edges = scale x crown."""
    room = EVEN_TILT * np.maximum(mean - air, 0.0)
    tilt, bulge = np.clip(scale * edges, -room, room), np.clip(scale * crown, -room, room)
    return Tread(
        inside=mean - bulge / 3.0 + tilt / 2.0,
        middle=mean + bulge * (2.0 / 3.0),
        outside=mean - bulge / 3.0 - tilt / 2.0,
    )


def straight_heat(run: DrivenRun) -> Array:
    """Heat of each tire on the straights of one lap [J], (4, knots, cars): rolling at the load standing, and slip."""
    numbers, lap = run.problem.numbers, run.lap
    length = (lap.straight_time * lap.straight_speed).sum(axis=1)
    rolled = numbers["hysteresis"] * run.problem.standing[:, :, 0, 0] * length
    return np.asarray(rolled + numbers["heat_share"] * lap.straight_slip.sum(axis=2))
