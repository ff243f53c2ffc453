"""A lap's books by another road: equations of motion integrated in time by scipy, work summed from power.

The product walks each straight in slices of distance and takes work from kinetic energy; here the same car is driven
in time with forces written out again from the numbers of the case, and work is force times speed over time. What slip
takes comes from the tires' curves by bisection at many forces; the product follows one curve through five.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from assistant.belief.model import read_model
from assistant.car.files import read_case
from assistant.physics.corner_problem import roll_rear
from assistant.physics.formulas import traction_limits
from assistant.physics.straight import find_straight_grip, move_loads, straight_friction, traction
from assistant.physics.tire_grip import follow_force

G = 9.80665
KNOT = 7  # settled


@pytest.fixture(scope="module", params=["demo", "demo-tight"])
def model(request):
    return read_model(read_case(request.param))


def constants(model):
    """Mass, drag, rolling drag, gearing and brake of the settled car in plain floats, from the case itself."""
    case, run = model.case, model.run
    car, tire, setup = case.car, case.tire, case.setup.values
    used = float(run.moments.fuel_used[KNOT, 0])
    start = setup["fuel_at_green"] * car.fuel_density
    mass = car.mass - car.fuel_on_scales + start - used
    radius = float(run.problem.rear_radius[KNOT, 0, 0, 0])
    return {
        "mass": mass,
        "drag": 0.5 * case.track.air_density * (car.drag_area + car.spoiler_drag * setup["rear_spoiler"]),
        "rolling": tire.hysteresis * mass * G,
        "rpm": setup["gear"] * setup["final_drive"] * 30.0 / np.pi / radius,
        "brake": 0.38 * car.mass * G,
        **take_by_slip(run, car, setup),
    }


def take_by_slip(run, car, setup):
    """What slip takes on a meter while driving, at many forces, and under the brakes [N]; and the most there is."""
    problem = run.problem
    left, right = roll_rear(problem, problem.standing[2:])[:, KNOT, 0, 0, 0]

    def tires(force):
        grip = find_straight_grip(problem, move_loads(problem, np.array(force)))
        return grip.peak[:, KNOT, 0, 0, 0], grip.slip[:, KNOT, 0, 0, 0]

    def make(peak, best, slip):
        return peak * np.sign(slip) * follow_force(np.abs(slip) / best, problem.shape)

    def shaft(force, rear):
        peak, best = tires(force)
        larger = right / left - 1.0

        def both(slip):
            slips = np.array([slip, slip + larger])
            return slips, make(peak[2:], best[2:], slips)

        most = max((both(slip)[1].sum(), slip) for slip in np.linspace(0.0, 0.12, 1201))
        if rear > most[0]:
            return None
        slips, forces = both(brentq(lambda slip: both(slip)[1].sum() - rear, -0.08, most[1]))
        return float(np.abs(slips * forces).sum())

    # the product moves the loads for its limit by the closed form for one friction, and uses 0.97 of it
    peak, best = tires(float(traction(problem)[KNOT, 0, 0]))
    grip = max(
        sum(make(peak[i], best[i], slip + (i - 2) * (right / left - 1.0)) for i in (2, 3))
        for slip in np.linspace(0.0, 0.12, 1201)
    )
    grip = 0.97 * min(grip, float(traction(problem)[KNOT, 0, 0]))
    pulls = np.linspace(0.0, grip, 60)
    brake = -0.38 * car.mass * G
    front = 0.5 * brake * setup["brake_bias"]
    peak, best = tires(brake)
    alone = [brentq(lambda slip, i=i: make(peak[i], best[i], slip) - front, -best[i], 0.0) for i in (0, 1)]
    return {
        "grip": grip,
        "pulls": pulls,
        "lost": np.array([shaft(pull, pull) for pull in pulls]),
        "lost_braking": sum(front * slip for slip in alone) + shaft(brake, brake * (1.0 - setup["brake_bias"])),
    }


def pull(model, k, speed):
    """Full throttle [N]: power at the wheels over speed less slip, no more than the tires put down; off the limiter.

    Returns the force at the road and what slip takes beside it.
    """
    engine = model.case.car.engine
    assert speed * k["rpm"] < engine.rev_limit
    power = engine.driveline * np.interp(speed * k["rpm"], engine.rpm, engine.power) / speed
    force = float(np.interp(power, k["pulls"] + k["lost"], k["pulls"]))
    return force, float(np.interp(force, k["pulls"], k["lost"]))


def drive(model, k, start, end, length):
    """Drive one straight in time; returns time, engine work, brake work, loss work and top speed."""

    def resist(speed):
        return k["drag"] * speed**2 + k["rolling"]

    def ahead(_, y):  # place, speed, engine work, loss
        force, lost = pull(model, k, y[1])
        return [y[1], (force - resist(y[1])) / k["mass"], (force + lost) * y[1], (resist(y[1]) + lost) * y[1]]

    def back(_, y):  # from the end of the straight backward in time: place, speed, brake work, loss
        lost = k["lost_braking"]
        work = (k["brake"] - lost) * y[1], (resist(y[1]) + lost) * y[1]
        return [-y[1], (k["brake"] + resist(y[1])) / k["mass"], *work]

    options = {"rtol": 1e-9, "atol": 1e-9, "dense_output": True, "max_step": 0.05}
    braking = solve_ivp(back, (0, 8), [length, end, 0.0, 0.0], **options)

    def brake_point(_, y):
        place = np.clip(y[0], braking.y[0, -1], length)
        return y[1] - np.interp(place, braking.y[0][::-1], braking.y[1][::-1])

    brake_point.terminal = True
    brake_point.direction = 1

    def straight_end(_, y):
        return y[0] - length

    straight_end.terminal = True
    rising = solve_ivp(ahead, (0, 30), [0.0, start, 0.0, 0.0], events=[brake_point, straight_end], **options)
    place, top, engine, loss = rising.y[:, -1]
    stop_time = float(np.interp(-place, -braking.y[0], braking.t))
    braked = braking.sol(stop_time)
    return rising.t[-1] + stop_time, engine, braked[2], loss + braked[3], top


def straights(model):
    """Drive every straight from the end of its corner to the beginning of the next, over what they leave of it."""
    k, ends = constants(model), model.case.track.ends
    turns = [turn_of(model, k, e) for e in range(len(ends))]
    driven = []
    for e, end in enumerate(ends):
        here, ahead = turns[e], turns[(e + 1) % len(ends)]
        length = end.straight - here["longer"][2] - ahead["longer"][0]
        driven.append(drive(model, k, here["end"], ahead["begin"], length))
    return k, driven


def turn_of(model, k, e):
    """Meters, drag and pull of the phases of a corner, and the speeds at its ends: v^2 changes by 2 a s."""
    run, point, length = model.run, model.run.limit.point, model.case.track.ends[e].length
    speed = np.sqrt(point.speed_squared[KNOT, :, e, 0])
    # air, rolling at the loads there, and what every tire's own slip takes: force times sliding speed, over speed
    at = (slice(None), KNOT, slice(None), e, 0)
    sideways = np.abs(run.attitude.side[at] * np.sin(slip_angles(run, at))).sum(axis=0)
    lengthways = np.abs(point.lengthways[at] * run.attitude.slide[at]).sum(axis=0)
    rolling = model.case.tire.hysteresis * run.attitude.load[at].sum(axis=0)
    plain = np.array([0.35, 0.30, 0.35]) * length
    along = plain / run.moments.line.curve[KNOT, :, min(e, run.moments.line.curve.shape[2] - 1), 0]
    drag = k["drag"] * speed**2 + rolling + sideways
    forward = (point.lengthways[at].sum(axis=0) - drag) / k["mass"]
    middle, gained = speed[1] ** 2, 2.0 * forward * along
    return {
        "along": along,
        "longer": along - plain,
        "drag": drag + lengthways,
        "push": k["mass"] * forward,
        "begin": np.sqrt(middle - 0.5 * gained[1] - gained[0]),
        "end": np.sqrt(middle + 0.5 * gained[1] + gained[2]),
    }


def test_every_straight_takes_the_time_scipy_gives_it(model):
    _, driven = straights(model)
    assert model.run.lap.straight_time[KNOT, :, 0] == pytest.approx([one[0] for one in driven], rel=2e-3)


def test_the_highest_revs_are_those_of_the_fastest_straight(model):
    k, driven = straights(model)
    assert model.run.lap.rpm_max[KNOT, 0] == pytest.approx(max(one[4] for one in driven) * k["rpm"], rel=3e-3)


def slip_angles(run, at):
    """Slip angle of each tire [rad]: front ones with their toe."""
    _, *place = at
    front, rear = run.attitude.slip_front[*place], run.attitude.slip_rear[*place]
    toe = np.broadcast_to(run.problem.toe, (2, *run.limit.balance.shape))[at]
    return np.stack([front + toe[0], front + toe[1], rear, rear])


def test_energy_of_a_lap_closes_to_one_percent_by_integration_in_time(model):
    """Corners by the forces of their three phases, straights from scipy; engine = brakes + losses once round."""
    k, driven = straights(model)
    engine, brake, loss = (sum(one[place] for one in driven) for place in (1, 2, 3))
    for e in range(len(model.case.track.ends)):
        turn = turn_of(model, k, e)
        for work in (turn["push"] + turn["drag"]) * turn["along"]:
            engine, brake = engine + max(work, 0.0), brake + max(-work, 0.0)
        loss += (turn["drag"] * turn["along"]).sum()
    assert engine == pytest.approx(brake + loss, rel=0.01)
    lap = model.run.lap
    assert lap.engine_work[KNOT, 0] == pytest.approx(engine, rel=0.01)
    assert lap.brake_work[KNOT, 0] == pytest.approx(brake, rel=0.01)
    assert lap.loss_work[KNOT, 0] == pytest.approx(loss, rel=0.01)


def test_fuel_of_a_lap_is_the_work_of_the_independent_lap_times_the_engines_consumption(model):
    engine = model.case.car.engine
    per_lap = model.run.lap.engine_work[KNOT, 0] / engine.driveline * engine.fuel_use
    assert model.run.lap.fuel[KNOT, 0] == pytest.approx(per_lap, rel=1e-12)


def test_the_rear_tires_limit_the_drive_by_the_closed_form(model):
    """Balance of moments with the car's own arms; friction in a straight line, nothing sideways."""
    run = model.run
    x, height = (run.problem.rest.cg[axis][KNOT, 0] for axis in (0, 2))
    mass, friction = run.problem.mass[KNOT, 0, 0, 0], straight_friction(run.problem)[KNOT, 0, 0]
    wheelbase = model.case.car.wheelbase
    force = traction(run.problem)[KNOT, 0, 0]
    rear = (mass * G * (wheelbase - x) + force * height) / wheelbase  # load on the rear axle under that force
    assert force == pytest.approx(friction * rear, rel=1e-9)
    assert force == pytest.approx(mass * traction_limits(friction, wheelbase - x, x, height)[1], rel=1e-9)
