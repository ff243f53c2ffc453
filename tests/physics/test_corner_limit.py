"""The solved limit of a corner: forces and moments balance, and balance means what it says."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.physics import formulas
from assistant.physics.attitude import find_attitude
from assistant.physics.car_and_driver import stack_numbers
from assistant.physics.suspension import fill_air
from assistant.physics.tire_grip import (
    LARGEST_ELLIPSE_SHARE,
    Grip,
    find_axle_peak,
    find_grip,
    follow_curve,
    follow_force,
    shape_curve,
    share_axle_force,
    slip_for_force,
)
from tests.physics.rig import NO_AIR, TWIN, G, balance, car, cold_tires, loads, phases, solve, turn

MIDDLE = (0, 1, 0, 0)
ENTRY = phases(brake=0.3, roll_rate=0.1, pitch_rate=0.05, turning=0.3)
EXIT = phases(drive=0.2, roll_rate=-0.08, pitch_rate=-0.04, turning=-0.25)
SETUPS = st.fixed_dictionaries(
    {
        "cross_weight": st.floats(0.48, 0.55),
        "nose_weight": st.floats(0.48, 0.53),
        "left_weight": st.floats(0.52, 0.58),
        "stagger": st.floats(0.0, 0.09),
        "cg_height": st.floats(0.35, 0.46),
        "load_exponent": st.floats(0.8, 0.92),
    }
)


# forces and moments


@settings(max_examples=40, deadline=None)
@given(SETUPS, st.sampled_from([ENTRY, phases(), EXIT]), st.floats(0.0, 0.3))
def test_a_solved_point_keeps_newtons_law_forwards_sideways_and_in_yaw(setup, demand, bank):
    numbers = car(**setup)
    _, limit = solve(numbers, turn(75.0, bank), demand)
    assert limit.steady.all()
    point = limit.point
    mass, wheelbase, x_cg = 1300.0, 2.7, setup["nose_weight"] * 2.7
    side, forward = point.side[MIDDLE], point.forward[MIDDLE]
    front_need, rear_need = point.needs[(slice(None), *MIDDLE)]
    left_x, right_x = point.lengthways[(slice(2, 4), *MIDDLE)]
    sides = point.front.sides[(slice(None), *MIDDLE)]
    slips = point.front.slip[MIDDLE], point.rear.slip[MIDDLE]
    steer = wheelbase / (75.0 / np.cos(bank)) + slips[0] - slips[1]
    turned = x_cg * (wheelbase - x_cg) * mass * demand.turning[1, 0, 0]
    moment = 0.8 * (right_x - left_x) - 0.8 * (sides[1] - sides[0]) * np.sin(steer)
    speed = 75.0 * (side + G * np.sin(bank)) / np.cos(bank)  # squared
    demand_x = mass * G * (demand.drive - demand.brake)[1, 0, 0]
    rolling_drag = 0.015 * point.outputs[(slice(0, 4), *MIDDLE)].sum()
    drag = 0.5 * 1.2 * 1.15 * speed + rolling_drag + front_need * np.sin(slips[0]) + rear_need * np.sin(slips[1])
    assert front_need + rear_need == pytest.approx(mass * side, rel=1e-12)
    assert front_need * (wheelbase - x_cg) - rear_need * x_cg + moment == pytest.approx(turned, abs=1e-8 * mass * G)
    assert mass * forward == pytest.approx(demand_x - drag, abs=1e-8 * mass * G)
    assert min(point.front.capacity[MIDDLE] / front_need, point.rear.capacity[MIDDLE] / rear_need) == pytest.approx(
        1.0, abs=1e-8
    )
    assert limit.balance[MIDDLE] == pytest.approx(
        100 * np.log(point.rear.capacity[MIDDLE] / rear_need) - 100 * np.log(point.front.capacity[MIDDLE] / front_need)
    )


@settings(max_examples=40, deadline=None)
@given(SETUPS, st.sampled_from([ENTRY, phases(), EXIT]), st.floats(0.0, 0.3))
def test_no_tire_gives_more_than_its_friction_ellipse(setup, demand, bank):
    problem, limit = solve(car(**setup), turn(75.0, bank), demand)
    attitude = find_attitude(problem, limit)
    point = limit.point
    lean_left = np.concatenate(
        [point.front_grip.peak, point.rear_grip.peak]
    )  # side grip left beside the lengthways force
    assert (np.abs(attitude.side) <= lean_left * (1 + 1e-9)).all()
    whole = np.sqrt(lean_left**2 + (point.lengthways / 1.05) ** 2)
    bare = find_bare_grip(problem, point)
    assert whole == pytest.approx(bare, rel=1e-9)


@pytest.mark.parametrize(
    ("demand", "stagger"),
    [(phases(drive=0.9), 0.048), (phases(drive=0.6), 0.2), (phases(brake=1.2), 0.048)],
    ids=["wheelspin", "far too much stagger", "locked brakes"],
)
def test_a_point_that_asks_a_tire_for_more_than_its_friction_is_not_called_steady(demand, stagger):
    problem, limit = solve(car(stagger=stagger), turn(75.0), demand)
    used = np.abs(limit.point.lengthways) / (1.05 * find_bare_grip(problem, limit.point))
    assert (used <= LARGEST_ELLIPSE_SHARE + 1e-9).all()
    assert limit.point.sliding.any(axis=0)[MIDDLE]
    assert not limit.steady[MIDDLE]


def find_bare_grip(problem, point):
    """Peak side force of each tire without lengthways force, found again from the loads of the solution."""
    numbers, out = problem.numbers, point.outputs
    lean = np.stack(
        [
            numbers["camber_lf"] - out[4] - numbers["camber_gain_lf"] * out[6],
            -numbers["camber_rf"] - out[4] + numbers["camber_gain_rf"] * out[7],
            -out[5],
            -out[5],
        ]
    )
    return find_grip(numbers, out[:4], problem.air, lean, problem.fixed_grip).peak


def test_a_batch_of_cars_and_ends_is_solved_as_each_car_at_each_end_alone():
    cars = [car(), car(cross_weight=0.54, spring_rr=60e3, cg_height=0.45), car(stagger=0.08, grip=0.8)]
    ends = [(60.0, 0.05), (90.0, 0.3)]
    both = dataclasses.replace(turn(), radius=np.array([[60.0], [90.0]]), bank=np.array([[0.05], [0.3]]))
    stacked = stack_numbers(cars)
    _, together = solve(stacked, both, EXIT, tires=cold_tires(stacked))
    alone = [[balance(numbers, place=turn(*end), demand=EXIT) for numbers in cars] for end in ends]
    assert together.steady.all()
    assert together.balance[0, 1] == pytest.approx(np.array(alone), abs=1e-5)


# the locked rear axle


def two_tires(left, right):
    return Grip(np.array([[left], [right]]), np.array([[0.10], [0.11]]))


@settings(max_examples=100)
@given(
    st.floats(500.0, 8000.0),
    st.floats(500.0, 8000.0),
    st.floats(-4000.0, 4000.0),
    st.floats(-0.03, 0.03),
    st.sampled_from([0.0, 0.3, 1.0]),
)
def test_a_locked_axle_shares_out_exactly_what_it_is_given_and_turns_the_car_by_stagger_alone(
    left, right, force, slip, lock
):
    grip, stiffness = two_tires(left, right), np.array([1.1])
    pushed = share_axle_force(grip, stiffness, np.array([force]), np.array([slip]), np.array([lock]))
    other_way = share_axle_force(grip, stiffness, np.array([force]), np.array([-slip]), np.array([lock]))
    no_slip = share_axle_force(grip, stiffness, np.array([force]), np.array([0.0]), np.array([lock]))
    couple, opposite, base = (pair[1] - pair[0] for pair in (pushed, other_way, no_slip))
    assert pushed[0] + pushed[1] == pytest.approx(np.array([force]), abs=1e-9)
    assert couple - base == pytest.approx(base - opposite, abs=1e-9)
    assert ((couple - base) * slip >= 0).all()
    assert np.abs(couple - base)[0] > 0 or abs(slip * lock) < 1e-9


def test_alike_tires_turn_the_car_by_nothing_but_stagger_whatever_the_drive():
    grip = Grip(np.array([[3000.0], [3000.0]]), np.array([[0.1], [0.1]]))
    one = np.array([1.0])
    for force in (-2000.0, 0.0, 2000.0):
        left, right = share_axle_force(grip, one, np.array([force]), np.array([0.0]), one)
        assert left == pytest.approx(right)
    idle, driven = (share_axle_force(grip, one, np.array([force]), np.array([0.01]), one) for force in (0.0, 2000.0))
    assert driven[1] - driven[0] == pytest.approx(idle[1] - idle[0])


def test_the_heavier_tire_takes_more_of_drive_and_of_brake():
    grip, one = two_tires(2000.0, 4000.0), np.array([1.0])
    for force in (-1500.0, 1500.0):
        left, right = share_axle_force(grip, one, np.array([force]), np.array([0.0]), one)
        assert abs(right[0]) > abs(left[0])
        halves = share_axle_force(grip, one, np.array([force]), np.array([0.0]), np.array([0.0]))
        assert halves[0] == pytest.approx(halves[1])


def test_the_axle_ratio_matters_under_power_only_and_a_taller_one_tightens():
    # a taller ratio needs more shaft torque for the same push, and shaft torque adds cross
    coasting, driven = (
        [balance(car(final_drive=ratio), place=turn(75.0, 0.2), demand=demand) for ratio in (6.0, 4.0)]
        for demand in (phases(), phases(drive=0.2))
    )
    assert coasting[0] == pytest.approx(coasting[1], abs=1e-7)
    assert driven[1] > driven[0] + 0.05


# balance


def worn(numbers, front=0.0, rear=0.0):
    """Tires whose grip is changed by a share at each end (through wear; negative wear adds grip)."""
    wear = -np.array([front, front, rear, rear])[:, None, None] / numbers["worn_grip"]
    return cold_tires(numbers, wear=wear)


FLAT_ON_THE_ROAD = {
    "cg_height": 0.0,
    "unsprung_height_front": 0.0,
    "unsprung_height_rear": 0.0,
    "front_roll_center": 0.0,
    "track_bar_left": 0.0,
    "track_bar_right": 0.0,
    "locked_middle": 0.0,
}
"""Every height nought: nothing moves load."""


@settings(max_examples=25, deadline=None)
@given(st.floats(-0.2, 0.2), st.floats(-0.2, 0.2))
def test_where_loads_do_not_move_balance_is_the_logarithm_of_front_and_rear_grip(front, rear):
    numbers = car(**TWIN | NO_AIR | FLAT_ON_THE_ROAD)
    level = balance(numbers)
    changed = balance(numbers, tires=worn(numbers, front, rear))
    assert changed - level == pytest.approx(100 * np.log1p(rear) - 100 * np.log1p(front), abs=1e-5)


def test_grip_lost_everywhere_does_not_change_balance_when_friction_does_not_depend_on_load():
    plain = {"load_exponent": 1.0, "pressure_grip": 0.0, "camber_grip": 0.0, "hysteresis": 0.0}
    open_axle = {"locked_entry": 0.0, "locked_middle": 0.0, "locked_exit": 0.0}
    no_drag = {"peak_slip": 1e-9, "peak_slip_growth": 0.0} | open_axle
    numbers = car(**TWIN | NO_AIR | plain | no_drag)
    place = turn(1e9)
    good, bad = (balance(numbers, place=place, tires=worn(numbers, share, share)) for share in (0.0, -0.2))
    assert bad == pytest.approx(good, abs=1e-5)
    sensitive = numbers | {"load_exponent": np.array([0.83])}
    good, bad = (balance(sensitive, place=place, tires=worn(numbers, share, share)) for share in (0.0, -0.2))
    assert abs(bad - good) > 0.05  # and it does change when friction falls with load


def near_neutral(**changes):
    """Front grip that makes the banked car neutral in the middle, found by bisection."""
    numbers = car(**changes)
    low, high = -0.4, 0.4
    for _ in range(40):
        front = (low + high) / 2
        if balance(numbers, place=turn(75.0, 0.2), tires=worn(numbers, front)) > 0:
            low = front
        else:
            high = front
    return numbers, front


@pytest.mark.parametrize("lever", ["cross_weight", "nose_weight", "front grip", "rear grip"])
@pytest.mark.parametrize("bank", [0.2])
def test_balance_is_smooth_and_monotone_through_neutral(lever, bank):
    numbers, front = near_neutral()
    sweep = np.linspace(-0.03, 0.03, 25)
    values = []
    for change in sweep:
        moved = car(**{lever: numbers[lever].item() + change}) if lever in numbers else numbers
        grip = {
            "front": front + (change if lever == "front grip" else 0),
            "rear": change if lever == "rear grip" else 0,
        }
        values.append(balance(moved, place=turn(75.0, bank), tires=worn(numbers, **grip)))
    steps = np.diff(values)
    assert min(values) < -0.1
    assert max(values) > 0.1
    assert (np.sign(steps) == (-1 if lever == "front grip" else 1)).all()
    assert np.abs(np.diff(steps)).max() < 0.15 * np.abs(steps).mean()


# slip


@settings(max_examples=100, deadline=None)
@given(
    st.floats(500.0, 9000.0),
    st.floats(500.0, 9000.0),
    st.floats(0.06, 0.2),
    st.sampled_from([(0.7, 1e-4), (1.0, 1e-4), (1.4, 1e-4), (3.0, 1e-3)]),
    st.floats(0.02, 1.0),
    st.floats(-3.0, 0.5),
)
def test_the_slip_found_for_a_force_makes_that_force_and_stays_before_the_peak(left, right, slip_l, other, share, e):
    grip = Grip(np.array([[left], [right]]), np.array([[slip_l], [slip_l * other[0]]]))
    shape = shape_curve(1.3, e)
    peak = find_axle_peak(grip, shape)
    need = share * peak.capacity
    slip = slip_for_force(grip, shape, peak, need)
    made = (grip.peak * follow_force(slip / grip.slip, shape)).sum(axis=0)
    assert made == pytest.approx(need, rel=other[1])
    assert (slip <= peak.slip * (1 + 1e-12)).all()


@settings(max_examples=60, deadline=None)
@given(st.floats(300.0, 9000.0), st.floats(2000.0, 9000.0), st.floats(0.0, 0.3), st.floats(-0.004, 0.004))
def test_the_capacity_of_an_axle_is_the_top_of_the_summed_curve(left, right, growth, toe):
    # slip at the peak grows with load as far as the spread of plausible tires lets it
    slips = [0.105 * (1 + growth * (force / 6000 - 1)) for force in (left, right)]
    grip = Grip(np.array([[left], [right]]), np.array(slips)[:, None])
    offset = np.array([[toe], [-toe]])
    shape = shape_curve(1.3, -1.4)
    grid = np.linspace(0.03, 0.25, 22_001)
    total = (grip.peak * follow_force((grid + offset) / grip.slip, shape)).sum(axis=0)
    peak = find_axle_peak(grip, shape, offset)
    assert peak.capacity == pytest.approx(total.max(), rel=1e-6)
    assert peak.capacity <= left + right


@settings(max_examples=60)
@given(st.floats(1.05, 1.9), st.floats(-4.0, 0.8), st.floats(0.05, 3.0))
def test_the_curve_has_its_peak_at_slip_one_and_the_slopes_it_says(c, e, slip):
    shape = shape_curve(c, e)
    assert follow_force(np.array(1.0), shape) == pytest.approx(1.0, abs=1e-12)
    _, slope, _ = follow_curve(np.array(1.0), shape)
    assert slope == pytest.approx(0.0, abs=1e-8)
    h = 1e-5
    before, here, after = follow_force(np.array([slip - h, slip, slip + h]), shape)
    value, slope, bend = follow_curve(np.array(slip), shape)
    assert value == pytest.approx(here, abs=1e-12)
    assert slope == pytest.approx((after - before) / (2 * h), abs=1e-6 * (1 + abs(bend)))
    assert bend == pytest.approx((after - 2 * here + before) / h**2, abs=1e-3 * (1 + abs(bend)))


# far below the limit


@settings(max_examples=20, deadline=None)
@given(st.floats(0.46, 0.56), st.floats(0.85, 1.15))
def test_far_below_the_limit_the_tires_steer_the_car_as_the_closed_form_of_the_bicycle_says(nose, rear_share):
    numbers = car(**TWIN | NO_AIR | {"nose_weight": nose})
    shape = shape_curve(1.3, -1.4)
    lateral = 0.01 * G
    tires = worn(numbers, rear=rear_share - 1)
    fixed = 1 - numbers["worn_grip"] * tires.wear[:, 0]

    def axles(side):
        air = fill_air(numbers, tires.pressure[:, 0])
        grip = find_grip(numbers, loads(numbers, side=side)[:, None], air, np.zeros((4, 1)), fixed)
        return Grip(grip.peak[:2], grip.slip[:2]), Grip(grip.peak[2:], grip.slip[2:])

    front, rear = axles(lateral)
    need = 1300.0 * lateral
    slips = [
        slip_for_force(axle, shape, find_axle_peak(axle, shape), np.array([need * share])).item()
        for axle, share in ((front, nose), (rear, 1 - nose))
    ]
    _, start, _ = follow_curve(np.array(0.0), shape)
    stiffness = [(axle.peak / axle.slip).sum() * start for axle in axles(0.0)]
    gradient = formulas.understeer_gradient(1300.0, (1 - nose) * 2.7, nose * 2.7, *stiffness)
    by_tires = slips[0] - slips[1]
    assert by_tires == pytest.approx(gradient * lateral, rel=0.01, abs=1e-6)
