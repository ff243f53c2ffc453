"""The car at rest: masses, center of gravity and scale loads, with fuel burned off and pressures as they are now.

Reference point: on the ground, on the centerline, under the rear axle; x forward, y left, z up (ISO 8855).
Corner arrays carry the corner (LF, RF, LR, RR) on the first axis and the cars on the last.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.car.scales import loads_of_shares
from assistant.physics.numbers import Numbers
from assistant.physics.tires import Air
from assistant.physics.values import GRAVITY, Array


@dataclass(frozen=True, eq=False)
class TireState:
    """Tires and fuel at one moment of the run; corner arrays are (4, ..., cars) and may broadcast.

    pressure: hot gauge pressure [Pa]. temperature: tread [K]. wear: share of the usable tread gone (0-1).
    warmth: tread temperature above that at the scales [K] (makes tires grow). fuel_burned: since the scales [kg].
    """

    pressure: Array
    temperature: Array
    wear: Array
    warmth: Array
    fuel_burned: Array


@dataclass(frozen=True, eq=False)
class Rest:
    """The car at rest. Arrays are (..., cars), corner arrays (4, ..., cars).

    mass, sprung, unsprung_front, unsprung_rear [kg]; cg: x, y, z of the whole car [m]; body: of the sprung mass.
    scale_loads: on the scales [N], before fuel and pressures changed. tire_rate [N/m].
    lift: how far each tire has grown, stiffened and worn since the scales: displacement it forces on its corner [m].
    radius: free rolling radius now [m]. fuel: burned since the scales [kg].
    """

    mass: Array
    sprung: Array
    cg: Array
    body: Array
    scale_loads: Array
    tire_rate: Array
    lift: Array
    radius: Array
    fuel: Array


def front_end_raised(numbers: Numbers) -> tuple[Array, Array]:
    """How far the front and rear frame heights were raised since the scales [m]."""
    return (
        numbers["ride_height_front"] - numbers["weighed_ride_height_front"],
        numbers["ride_height_rear"] - numbers["weighed_ride_height_rear"],
    )


def per_corner(numbers: Numbers, name: str) -> Array:
    """Stack a per-corner number as (4, cars)."""
    return np.stack([numbers[f"{name}_{corner}"] for corner in ("lf", "rf", "lr", "rr")])


def tire_radius(numbers: Numbers) -> Array:
    """Free radius at cold pressure as the car was set up [m], (4, cars): RR from LR and the stagger lever.

    Stagger is a difference of circumferences, so the radii differ by stagger / 2 pi. The other sizes are stated at
    `pressure_ref`; the tenths of a millimeter from there to the cold pressure are left out.
    """
    radius = per_corner(numbers, "radius")
    radius[3] = radius[2] + numbers["stagger"] / (2.0 * np.pi)
    return radius


def spread_out(values: Array, ndim: int) -> Array:
    """Put length-1 axes between the corner axis and the car axis until there are `ndim` axes."""
    return values.reshape(values.shape[0], *(1,) * (ndim - values.ndim), *values.shape[1:])


def fill_air(numbers: Numbers, pressure: Array) -> Air:
    """Put hot pressures [Pa], (4, ..., cars), beside the best ones of the same tires."""
    best, load = (spread_out(per_corner(numbers, name), pressure.ndim) for name in ("best_pressure", "best_load"))
    return Air(pressure, best, load)


def stand_still(numbers: Numbers, tires: TireState) -> Rest:
    """Find masses, centers of gravity and what the tires have done to the corners since the scales.

    Fuel burned takes its mass away at the tank, so m, x, y and z of the whole car and of the body move together. Tread
    worn off makes a tire smaller by its depth; one worn past its tread stays as it is.
    """
    wheelbase, mass0 = numbers["wheelbase"], numbers["mass"]
    shares = (numbers["nose_weight"], numbers["left_weight"], numbers["cross_weight"])
    loads = np.stack(loads_of_shares(mass0 * GRAVITY, *shares))
    front_up, rear_up = front_end_raised(numbers)
    x0 = numbers["nose_weight"] * wheelbase
    y0 = (numbers["track_front"] * (loads[0] - loads[1]) + numbers["track_rear"] * (loads[2] - loads[3])) / (
        2.0 * mass0 * GRAVITY
    )
    ballast_up = numbers["ballast_rise"] - numbers["weighed_ballast_rise"]
    z0 = numbers["cg_height"] + numbers["ballast_mass"] / mass0 * ballast_up
    unsprung_front, unsprung_rear = numbers["unsprung_front"], numbers["unsprung_rear"]
    sprung0 = mass0 - unsprung_front - unsprung_rear
    lifted = (front_up * x0 + rear_up * (wheelbase - x0)) / wheelbase
    z0 = z0 + lifted * sprung0 / mass0

    burned = tires.fuel_burned
    mass = mass0 - burned
    tank = (numbers["tank_x"], numbers["tank_y"], numbers["tank_z"])
    cg = np.stack(
        np.broadcast_arrays(*[(mass0 * at - burned * spot) / mass for at, spot in zip((x0, y0, z0), tank, strict=True)])
    )
    sprung = mass - unsprung_front - unsprung_rear
    body = np.stack(
        [
            (mass * cg[0] - unsprung_front * wheelbase) / sprung,
            mass * cg[1] / sprung,
            (
                mass * cg[2]
                - unsprung_front * numbers["unsprung_height_front"]
                - unsprung_rear * numbers["unsprung_height_rear"]
            )
            / sprung,
        ]
    )
    cold = spread_out(per_corner(numbers, "weighed_pressure"), tires.pressure.ndim)
    rate_cold = numbers["rate"] + numbers["rate_pressure"] * (cold - numbers["pressure_ref"])
    rate = numbers["rate"] + numbers["rate_pressure"] * (tires.pressure - numbers["pressure_ref"])
    free = spread_out(tire_radius(numbers), tires.pressure.ndim)
    worn = numbers["tread"] * np.minimum(tires.wear, 1.0)
    grown = numbers["growth"] * (tires.pressure - cold) + free * numbers["stretch"] * tires.warmth - worn
    grown_all = np.broadcast_arrays(grown, rate)[0]
    loads_all = spread_out(loads, grown_all.ndim)
    return Rest(
        mass=mass,
        sprung=sprung,
        cg=cg,
        body=body,
        scale_loads=loads_all,
        tire_rate=rate,
        lift=grown_all + loads_all / rate_cold - loads_all / rate,
        radius=free + grown,
        fuel=burned,
    )
