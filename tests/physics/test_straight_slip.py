"""Slip on the straights: closed forms of a locked axle, scipy's root for its curve, and books that close.

The product follows one curve through five forces; here the split of every force is found anew by bisection.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from assistant.physics.car_and_driver import usual_phases
from assistant.physics.driven_run import drive_run
from assistant.physics.heat_and_wear import roll_round
from assistant.physics.lap import drive_straight
from assistant.physics.line import straight_lengths
from assistant.physics.straight import (
    find_slip_loss,
    find_straight_grip,
    larger_right,
    lose_alone,
    lose_together,
    move_loads,
)
from assistant.physics.tire_grip import Grip, follow_curve, follow_force, shape_curve
from tests.physics.rig import car, solve

SHAPE = shape_curve(1.3, -1.4)
_, START, _ = follow_curve(np.array(0.0), SHAPE)


def pair(left=4000.0, right=6000.0, slip=(0.10, 0.11)):
    return Grip(np.array([left, right]), np.array(slip))


def stiffness(grip):
    """Force per slip of tires rolling straight [N]."""
    return START * grip.peak / grip.slip


# closed forms


@settings(max_examples=60)
@given(st.floats(-300.0, 300.0), st.floats(-0.004, 0.004), st.floats(0.5, 2.0))
def test_two_tires_on_one_shaft_lose_what_the_closed_form_says_while_slips_are_small(force, larger, heavier):
    """X^2/(K_L + K_R) + D^2 K_L K_R/(K_L + K_R): linear tires, one shaft speed, worked out by hand."""
    grip = pair(right=4000.0 * heavier)
    left, right = stiffness(grip)
    lost = lose_together(grip, SHAPE, np.array(force), np.array(larger)).sum()
    by_hand = (force**2 + larger**2 * left * right) / (left + right)
    assert lost == pytest.approx(by_hand, rel=0.02, abs=1e-6)


def test_tires_of_one_size_share_a_shaft_without_loss_and_a_staggered_pair_scrubs():
    assert lose_together(pair(), SHAPE, np.array(0.0), np.array(0.0)) == pytest.approx(0.0, abs=1e-9)
    scrub = lose_together(pair(), SHAPE, np.array(0.0), np.array(0.02))
    other = lose_together(pair(6000.0, 4000.0, (0.11, 0.10)), SHAPE, np.array(0.0), np.array(-0.02))
    assert (scrub > 0).all()
    assert scrub == pytest.approx(other[::-1], rel=1e-9)  # the mirrored car


@settings(max_examples=60)
@given(st.floats(-8500.0, 8500.0), st.floats(-0.03, 0.03))
def test_a_shaft_drives_its_two_tires_as_bisection_on_their_curves_says(force, larger):
    grip = pair()

    def tires(slip):
        slips = np.array([slip, slip + larger])
        return slips, grip.peak * np.sign(slips) * follow_force(np.abs(slips) / grip.slip, SHAPE)

    slips, forces = tires(brentq(lambda slip: tires(slip)[1].sum() - force, -0.1, 0.1))
    assert lose_together(grip, SHAPE, np.array(force), np.array(larger)) == pytest.approx(
        np.abs(slips * forces), rel=5e-3, abs=0.05
    )


def test_a_tire_alone_loses_its_force_times_the_slip_that_makes_it():
    grip = pair()
    lost = lose_alone(grip, SHAPE, np.array([-2000.0, 2000.0]))
    slips = [
        brentq(lambda s, i=i: grip.peak[i] * follow_force(np.array(s) / grip.slip[i], SHAPE) - 2000.0, 0, grip.slip[i])
        for i in (0, 1)
    ]
    assert lost == pytest.approx(2000.0 * np.array(slips), rel=1e-4)
    assert lose_alone(grip, SHAPE, np.zeros(2)) == pytest.approx(0.0, abs=1e-12)


def test_an_open_axle_of_unequal_tires_does_not_scrub_and_a_locked_one_does():
    locked, opened = (
        find_slip_loss(solve(car(locked_exit=share, stagger=0.048))[0]).taken[0].item() for share in (1.0, 0.0)
    )
    assert opened == pytest.approx(0.0, abs=1e-6)
    assert locked > 10.0  # newtons of drag


def test_the_loads_on_a_straight_are_the_cars_weight_and_a_pull_moves_them_by_its_height_over_the_wheelbase():
    numbers = car()
    problem, _ = solve(numbers)
    assert problem.standing[:, 0, 0, 0, 0].sum() == pytest.approx(1300.0 * 9.80665, rel=1e-9)
    moved = move_loads(problem, np.array(3000.0)) - problem.standing
    assert moved[:, 0, 0, 0, 0] == pytest.approx(np.array([-1, -1, 1, 1]) * 0.5 * 3000.0 * 0.40 / 2.7, rel=1e-9)


# the curve, against every force worked out for itself


@pytest.mark.parametrize("share", [0.05, 0.2, 0.5, 0.8, 0.95])
def test_the_curve_gives_every_drive_force_the_loss_it_has(model, share):
    problem = model.run.problem
    slip = find_slip_loss(problem)
    force = share * slip.most
    grip = find_straight_grip(problem, move_loads(problem, force[:, None]))
    rear = Grip(grip.peak[2:], grip.slip[2:])
    whole = lose_together(rear, problem.shape, force[:, None], larger_right(problem))[:, :, 0]
    assert slip.of_pull(force).sum(axis=0) == pytest.approx(whole.sum(axis=0), rel=0.02, abs=1.0)


@settings(max_examples=30)
@given(st.floats(0.0, 0.98))
def test_the_force_left_and_what_slip_takes_add_up_to_what_the_engine_gives(model, share):
    slip = find_slip_loss(model.run.problem)
    given_ = share * slip.most
    left = slip.leave_force(given_)
    if (left > 0).all():
        assert left + slip.of_pull(left).sum(axis=0) == pytest.approx(given_, abs=5.0)
    assert (left < given_).all()
    assert slip.leave_force(5.0 * slip.most) == pytest.approx(slip.most, rel=1e-12)


@pytest.mark.parametrize("stagger", [-0.5, 0.3, 0.8])
def test_tires_of_absurd_stagger_fight_each_other_and_everything_stays_a_number(stagger):
    slip = find_slip_loss(solve(car(stagger=stagger))[0])
    assert (slip.most > 0).all()
    for part in (slip.of_pull(0.5 * slip.most), slip.braking, slip.leave_force(0.0 * slip.most)):
        assert np.isfinite(part).all()
    assert (slip.leave_force(0.0 * slip.most) < 0).all()


# conservation over the lap


def test_what_the_lap_loses_to_slip_and_rolling_is_what_the_tires_are_given(model):
    run, circuit = model.run, model.circuit
    lap, point, problem = run.lap, run.limit.point, run.problem
    speed = np.sqrt(point.speed_squared)
    air = 0.5 * problem.place.air_density * problem.drag_area
    in_corners = (air * point.speed_squared * lap.corner_time * speed).sum(axis=(1, 2))
    tires = ((run.sliding + roll_round(problem, circuit, run.attitude, lap, run.moments.line)) * lap.time).sum(axis=0)
    on_straights = lap.loss_work - tires - in_corners
    assert (on_straights > 0).all()  # what is left is the air on the straights, at their mean speed or a little more
    fast = (air * lap.straight_speed**2 * straight_lengths(run.moments.line, circuit.lengths)).sum(axis=1)
    assert on_straights == pytest.approx(fast, rel=0.04)
    assert lap.engine_work == pytest.approx(lap.loss_work + lap.brake_work, rel=1e-3)


def test_stagger_costs_time_and_heat_on_the_straights(model):
    """The same corners left and entered alike; only the right rear is another size."""
    problem, speed = model.run.problem, np.sqrt(model.run.limit.point.speed_squared)
    lengths, engine = model.circuit.lengths.straight, model.circuit.engine

    def drive(inches):
        radius = problem.rear_free.copy()
        radius[1] = radius[0] + inches * 0.0254 / (2.0 * np.pi)
        staggered = replace(problem, rear_free=radius)
        return drive_straight(staggered, engine, speed[:, 2], np.roll(speed[:, 0], -1, axis=1), lengths)

    none, some, much = map(drive, (0.0, 2.0, 4.0))
    assert (none.slip_work.sum(axis=0) < some.slip_work.sum(axis=0)).all()
    assert (some.slip_work.sum(axis=0) < much.slip_work.sum(axis=0)).all()
    assert (none.time < some.time).all()
    assert (some.time < much.time).all()


def test_a_driver_whose_brakes_are_too_weak_for_the_turn_alone_brakes_on_the_straight_and_works_the_front_tires_there(
    model,
):
    """With the usual brakes all the slowing there is to do is done in the turn."""
    weak = replace(usual_phases(), brake=0.3 * usual_phases().brake)
    usual, more = (drive_run(model.numbers, phases, model.circuit, 40) for phases in (usual_phases(), weak))
    assert (usual.moments.line.braking[-1] < 1.0).all()
    assert more.moments.line.braking[-1] == pytest.approx(1.0)
    assert more.lap.straight_slip[:2, -1].sum() > usual.lap.straight_slip[:2, -1].sum() > 0.0
