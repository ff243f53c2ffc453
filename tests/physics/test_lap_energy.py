"""A lap's books by another road: equations of motion integrated in time by scipy, work summed from power.

The product walks each straight in 48 slices of distance and takes work from kinetic energy; here the same car is driven
in time with forces written out again from the numbers of the case, and work is force times speed over time.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from assistant.advice.computed.model import read_model
from assistant.car.files import read_case
from assistant.physics.braking import traction_limits
from assistant.physics.lap import straight_friction, traction

G = 9.80665
KNOT = 7  # settled


@pytest.fixture(scope="module", params=["demo", "demo-tight"])
def model(request):
    return read_model(read_case(request.param))


def constants(model):
    """Mass, drag, rolling drag, gearing and brake of the settled car in plain floats, from the case itself."""
    case, run = model.case, model.run
    car, tyre, setup = case.car, case.tyre, case.setup.values
    used = float(run.moments.fuel_used[KNOT, 0])
    start = setup["fuel_start"] * car.fuel_density
    mass = car.mass - car.fuel_on_scales + start - used
    radius = float(run.problem.rear_radius[KNOT, 0, 0, 0])
    return {
        "mass": mass,
        "drag": 0.5 * case.track.air_density * (car.drag_area + car.spoiler_drag * setup["rear_spoiler"]),
        "rolling": tyre.hysteresis * mass * G,
        "rpm": setup["gear"] * setup["final_drive"] * 30.0 / np.pi / radius,
        "brake": 0.38 * car.mass * G,
        "grip": float(traction(run.problem)[KNOT, 0, 0]),
    }


def pull(model, k, speed):
    """Full throttle [N]: power at the wheels over speed, no more than the tyres put down; well below the limiter."""
    engine = model.case.car.engine
    assert speed * k["rpm"] < engine.rev_limit
    return min(engine.driveline * np.interp(speed * k["rpm"], engine.rpm, engine.power) / speed, k["grip"])


def drive(model, k, start, end, length):
    """Drive one straight in time; returns time, engine work, brake work, loss work and top speed."""

    def resist(speed):
        return k["drag"] * speed**2 + k["rolling"]

    def ahead(_, y):  # place, speed, engine work, loss
        force = pull(model, k, y[1])
        return [y[1], (force - resist(y[1])) / k["mass"], force * y[1], resist(y[1]) * y[1]]

    def back(_, y):  # from the end of the straight backwards in time: place, speed, brake work, loss
        return [-y[1], (k["brake"] + resist(y[1])) / k["mass"], k["brake"] * y[1], resist(y[1]) * y[1]]

    options = {"rtol": 1e-9, "atol": 1e-9, "dense_output": True, "max_step": 0.05}
    braking = solve_ivp(back, (0, 8), [length, end, 0.0, 0.0], **options)

    def brake_point(_, y):
        place = np.clip(y[0], braking.y[0, -1], length)
        return y[1] - np.interp(place, braking.y[0][::-1], braking.y[1][::-1])

    brake_point.terminal = True
    brake_point.direction = 1
    rising = solve_ivp(ahead, (0, 30), [0.0, start, 0.0, 0.0], events=brake_point, **options)
    place, top, engine, loss = rising.y[:, -1]
    stop_time = float(np.interp(-place, -braking.y[0], braking.t))
    braked = braking.sol(stop_time)
    return rising.t[-1] + stop_time, engine, braked[2], loss + braked[3], top


def straights(model):
    k = constants(model)
    speed = np.sqrt(model.run.limit.point.speed_squared[KNOT, :, :, 0])
    ends = model.case.track.ends
    return k, [drive(model, k, speed[2, e], speed[0, (e + 1) % len(ends)], end.straight) for e, end in enumerate(ends)]


def test_every_straight_takes_the_time_scipy_gives_it(model):
    _, driven = straights(model)
    assert model.run.lap.straight_time[KNOT, :, 0] == pytest.approx([one[0] for one in driven], rel=2e-3)


def test_the_highest_revs_are_those_of_the_fastest_straight(model):
    k, driven = straights(model)
    assert model.run.lap.rpm_max[KNOT, 0] == pytest.approx(max(one[4] for one in driven) * k["rpm"], rel=3e-3)


def test_energy_of_a_lap_closes_to_one_percent_by_integration_in_time(model):
    """Corners at their three constant speeds, straights from scipy; engine = brakes + losses once round."""
    k, driven = straights(model)
    engine, brake, loss = (sum(one[place] for one in driven) for place in (1, 2, 3))
    point = model.run.limit.point
    for e, end in enumerate(model.case.track.ends):
        speed = np.sqrt(point.speed_squared[KNOT, :, e, 0])
        drag = point.lengthways[:, KNOT, :, e, 0].sum(axis=0) - k["mass"] * point.forward[KNOT, :, e, 0]
        time = np.array([0.35, 0.30, 0.35]) * end.length / speed
        work = drag * speed * time  # drag and slip take this much at constant speed
        kinetic = 0.5 * k["mass"] * np.diff(speed**2)
        for part in (work[0] + work[1] / 2 + kinetic[0], work[2] + work[1] / 2 + kinetic[1]):
            engine, brake = engine + max(part, 0.0), brake + max(-part, 0.0)
        loss += work.sum()
    assert engine == pytest.approx(brake + loss, rel=0.01)
    lap = model.run.lap
    assert lap.engine_work[KNOT, 0] == pytest.approx(engine, rel=0.01)
    assert lap.brake_work[KNOT, 0] == pytest.approx(brake, rel=0.01)
    assert lap.loss_work[KNOT, 0] == pytest.approx(loss, rel=0.01)


def test_fuel_of_a_lap_is_the_work_of_the_independent_lap_times_the_engines_consumption(model):
    engine = model.case.car.engine
    per_lap = model.run.lap.engine_work[KNOT, 0] / engine.driveline * engine.fuel_use
    assert model.run.lap.fuel[KNOT, 0] == pytest.approx(per_lap, rel=1e-12)


def test_the_rear_tyres_limit_the_drive_by_the_closed_form(model):
    """Balance of moments with the car's own arms; friction in a straight line, nothing sideways."""
    run = model.run
    x, height = (run.problem.rest.cg[axis][KNOT, 0] for axis in (0, 2))
    mass, friction = run.problem.mass[KNOT, 0, 0, 0], straight_friction(run.problem)[KNOT, 0, 0]
    wheelbase = model.case.car.wheelbase
    force = traction(run.problem)[KNOT, 0, 0]
    rear = (mass * G * (wheelbase - x) + force * height) / wheelbase  # load on the rear axle under that force
    assert force == pytest.approx(friction * rear, rel=1e-9)
    assert force == pytest.approx(mass * traction_limits(friction, wheelbase - x, x, height)[1], rel=1e-9)
