"""A run and a lap keep the books: energy, fuel, heat, pressure and wear; and the shortcuts agree with the long way."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from assistant.car.files import read_case
from assistant.physics import lap as lap_module
from assistant.physics.attitude import find_attitude
from assistant.physics.car_and_driver import collect_numbers, usual_phases
from assistant.physics.corner_problem import Place
from assistant.physics.driven_run import drive_run
from assistant.physics.heat_and_wear import (
    Circuit,
    Moments,
    Stop,
    place_knots,
    relax,
    slip_round,
    tires_at,
    wear_rate,
)
from assistant.physics.lap import Lengths, drive_lap
from assistant.physics.suspension import stand_still
from assistant.physics.tire_grip import shape_curve
from tests.physics.rig import CORNERS, EVEN_LINE, NO_AIR, TWIN, car, cold_tires, solve, turn


@pytest.fixture(scope="module")
def demo():
    """Named numbers of the demo car and the demo track."""
    case = read_case("demo")
    ends = case.track.ends
    circuit = Circuit(
        place=Place(
            radius=np.array([[end.radius] for end in ends]),
            bank=np.array([[end.bank] for end in ends]),
            grip=np.array([case.track.grip]),
            air_density=np.array([case.track.air_density]),
        ),
        lengths=Lengths(np.array([[end.length] for end in ends]), np.array([[end.straight] for end in ends])),
        curve=shape_curve(case.tire.shape_c, case.tire.shape_e),
        engine=case.car.engine,
        air=case.track.air_temperature,
        road=case.track.track_temperature,
    )
    return collect_numbers(case.car, case.tire, case.setup), circuit


@pytest.fixture(scope="module")
def run(demo):
    return drive_run(demo[0], usual_phases(), demo[1], 40)


# energy and fuel


def test_the_engines_work_over_a_lap_is_what_drag_and_brakes_take(run):
    lap = run.lap
    assert (lap.engine_work > 0).all()
    assert (lap.brake_work > 0).all()
    assert lap.engine_work == pytest.approx(lap.loss_work + lap.brake_work, rel=1e-3)


def test_a_car_that_drag_would_stop_on_the_straight_creeps_round_and_nothing_overflows(run, demo):
    heavy = run.problem.numbers | {"hysteresis": np.full_like(run.problem.numbers["hysteresis"], 3.0)}
    problem = dataclasses.replace(run.problem, numbers=heavy)
    lap = drive_lap(problem, run.limit, run.attitude, run.moments.line, demo[1].lengths, demo[1].engine)
    assert np.isfinite(lap.time).all()
    assert (lap.time > 3 * run.lap.time).all()


def test_fuel_burned_is_the_engines_work_times_its_specific_consumption(demo, run):
    engine = demo[1].engine
    assert run.lap.fuel * engine.driveline == pytest.approx(run.lap.engine_work * engine.fuel_use, rel=1e-12)
    used = np.trapezoid(run.lap.fuel[:, 0], run.laps)
    assert run.moments.fuel_used[-1, 0] == pytest.approx(used, rel=0.01)
    assert 0.2 < run.lap.fuel[0, 0] < 1.0  # kg a lap of half a mile: order of magnitude, common practice, no source


def test_finer_slices_of_the_straights_move_the_lap_by_less_than_a_thousandth(run, demo, monkeypatch):
    coarse = run.lap.time
    monkeypatch.setattr(lap_module, "SLICES", 2 * lap_module.SLICES)
    fine = drive_lap(run.problem, run.limit, run.attitude, run.moments.line, demo[1].lengths, demo[1].engine).time
    assert np.abs(fine - coarse).max() < 1e-3
    assert np.abs(fine - coarse).max() > 0


def test_a_lap_is_as_long_as_its_mean_speed_says_and_the_revs_fit_the_road_speed(run, demo):
    _, circuit = demo
    speed = np.sqrt(run.limit.point.speed_squared)
    turned = run.lap.corner_time * speed / run.problem.place.radius  # every end turns half a circle
    assert turned.sum(axis=1) == pytest.approx(np.pi, rel=1e-3)
    driven = (run.lap.corner_time * speed).sum(axis=(1, 2)) + (run.lap.straight_time * run.lap.straight_speed).sum(
        axis=1
    )
    assert driven == pytest.approx((circuit.lengths.corner + circuit.lengths.straight).sum(), rel=1e-4)
    circumference = 2 * np.pi * run.problem.rear_radius[0, 0, 0, 0]
    slowest = 60 * speed[0].min() / circumference * 5.43
    assert run.lap.rpm_min[0, 0] == pytest.approx(slowest, rel=1e-6)


# fuel in the tank and the center of gravity


def at_rest(numbers, burned):
    return stand_still(numbers, cold_tires(numbers, fuel_burned=np.array([[burned]])))


def test_burning_fuel_and_filling_it_again_gives_the_same_car():
    numbers = car()
    full, empty = at_rest(numbers, 0.0), at_rest(numbers, 40.0)
    mass = empty.mass.item()
    x, y, z = empty.cg[:, 0, 0]
    lighter = car(mass=mass, nose_weight=x / 2.7, left_weight=0.5 + y / 1.6, cg_height=z)
    filled = at_rest(lighter, -40.0)
    assert filled.mass == pytest.approx(full.mass, rel=1e-12)
    assert filled.cg == pytest.approx(full.cg, rel=1e-12)
    assert filled.body == pytest.approx(full.body, rel=1e-12)
    assert np.abs(empty.cg - full.cg).max() > 0.01


def test_burning_fuel_at_the_center_of_gravity_changes_no_share():
    numbers = car()
    x, y, z = at_rest(numbers, 0.0).cg[:, 0, 0]
    middle = car(tank_x=x, tank_y=y, tank_z=z)
    assert at_rest(middle, 40.0).cg == pytest.approx(at_rest(middle, 0.0).cg, rel=1e-12)
    assert at_rest(numbers, 40.0).cg[0] > at_rest(numbers, 0.0).cg[0]  # from behind the axle the nose gains


# heat, pressure and wear


def test_tires_at_the_temperature_they_were_set_at_have_the_pressure_they_were_set_to():
    numbers = car()
    shape = (4, 1, 1)
    moments = Moments(
        gas=np.full(shape, 297.0),
        tread=np.full(shape, 297.0),
        surface=np.full((4, 1, 1, 1, 1), 297.0),
        wear=np.zeros(shape),
        age=np.zeros(shape),
        fuel_used=np.zeros((1, 1)),
        line=EVEN_LINE,
        cold=297.0,
    )
    cold = np.array([numbers[f"pressure_{corner}"].item() for corner in CORNERS])
    assert tires_at(numbers, moments).pressure[:, 0, 0] == pytest.approx(cold, rel=1e-12)
    hot = tires_at(numbers, dataclasses.replace(moments, gas=np.full(shape, 297.0 * 1.1))).pressure[:, 0, 0]
    assert hot == pytest.approx(cold + 0.1 * (cold + 101_325.0), rel=1e-12)


@settings(max_examples=40, deadline=None)
@given(st.floats(280, 400), st.floats(280, 400), st.floats(280, 400), st.floats(1.0, 2000.0), st.floats(20.0, 1000.0))
def test_a_temperature_follows_its_target_as_its_differential_equation_says(start, first, last, time, lag):
    exact = solve_ivp(
        lambda t, y: (first + (last - first) * t / time - y) / lag,
        (0, time),
        [start],
        rtol=1e-9,
        atol=1e-9,
        method="LSODA",
    ).y[0, -1]
    assert relax(start, first, last, time, lag) == pytest.approx(exact, abs=1e-4)


def test_wear_and_sliding_power_are_never_negative_and_nothing_without_slip(run, demo):
    assert (run.attitude.sliding >= 0).all()
    assert (run.sliding > 0).all()
    assert (np.diff(run.moments.wear, axis=1) > 0).all()
    slip = slip_round(run.attitude, run.lap)
    none = dataclasses.replace(slip, power=0.0 * slip.power)
    still = wear_rate(demo[0], run.tires, none, run.moments.surface, np.full_like(run.sliding, 3000.0))
    assert (still == 0).all()
    # a car that needs next to nothing sideways slides next to nothing
    straight = car(**TWIN | NO_AIR | {"grip": 1e-3, "hysteresis": 0.0, "locked_middle": 0.0})
    problem, limit = solve(straight, turn(1e5))
    gentle = find_attitude(problem, limit).sliding
    assert gentle.max() < 1e-3 * run.attitude.sliding.max()


def test_sliding_power_is_force_times_sliding_speed(run):
    point, attitude = run.limit.point, run.attitude
    rear = attitude.side[3] * np.sin(attitude.slip_rear), point.lengthways[3] * attitude.slide[3]
    power = np.sqrt(point.speed_squared) * (np.abs(rear[0]) + np.abs(rear[1]))
    assert attitude.sliding[3] == pytest.approx(power, rel=1e-12)
    # combined slip: the force points against the sliding, F_x : F_y = slip ratio : tan(slip angle)
    assert attitude.slide[3] * attitude.side[3] == pytest.approx(
        point.lengthways[3] * np.tan(attitude.slip_rear), rel=1e-9
    )


def test_a_run_starts_cold_and_its_pressures_rise(run):
    assert (run.tires.pressure[:, -1] > run.tires.pressure[:, 0]).all()
    assert (run.moments.tread[:, 0] < run.moments.tread[:, -1]).all()


# shortcuts against the long way


def test_a_dozen_knots_agree_with_every_lap(demo, run):
    every = drive_run(demo[0], usual_phases(), demo[1], 40, every_lap=True)
    for knot, laps in enumerate(run.laps):
        if laps == round(laps):
            assert run.balance[knot] == pytest.approx(every.balance[round(laps)], abs=0.1)
    assert run.moments.wear[:, -1] == pytest.approx(every.moments.wear[:, -1], rel=0.01)
    assert run.moments.fuel_used[-1] == pytest.approx(every.moments.fuel_used[-1], rel=0.01)


def test_one_more_pass_over_the_run_changes_nothing_that_matters(demo, run):
    longer = drive_run(demo[0], usual_phases(), demo[1], 40, passes=12)
    assert np.abs(longer.balance - run.balance).max() < 0.02
    assert run.moments.wear[:, -1] == pytest.approx(longer.moments.wear[:, -1], rel=2e-3)


def test_every_point_of_the_run_is_solved(run):
    assert run.limit.steady.all()
    assert np.abs(run.limit.point.margins.min(axis=0)).max() < 1e-6


def test_new_tires_and_fuel_put_a_stint_back_to_its_beginning(demo):
    knots, _ = place_knots(40, [Stop(20)])
    assert (knots == 20).sum() == 2
    stop = Stop(20, new_tires=(True,) * 4, fuel=True)
    stopped = drive_run(demo[0], usual_phases(), demo[1], 40, [stop])
    again = int(np.flatnonzero(stopped.laps == 20)[1])
    assert stopped.moments.wear[:, again] == pytest.approx(0.0, abs=1e-12)
    assert stopped.balance[again] == pytest.approx(stopped.balance[0], abs=1e-6)
    assert stopped.balance[-1] == pytest.approx(stopped.balance[again - 1], abs=1e-3)
