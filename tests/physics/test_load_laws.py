"""Closed forms and symmetries the loads must obey: jack screw, springs, track bar, propeller shaft, shocks, mirror."""

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.physics.corner_problem import shock_forces
from assistant.physics.formulas import cross_load, jack_load, torsion_bar_rate
from assistant.physics.suspension import RISE_LF, stand_still
from tests.physics.rig import (
    CORNERS,
    EQUAL_BASES,
    NO_AIR,
    NO_SHOCKS,
    TWIN,
    G,
    answers,
    car,
    cold_tires,
    corner_rates,
    load_law,
    loads,
    move,
    phases,
    push,
    tire_rates,
    turn,
)

SPRINGS = {f"spring_{corner}": st.floats(20e3, 200e3) for corner in CORNERS}
CROSS = np.array([-1.0, 1.0, 1.0, -1.0])


# jack screw and springs


@settings(max_examples=60, deadline=None)
@given(st.fixed_dictionaries(SPRINGS), st.sampled_from(range(4)))
def test_a_jack_screw_moves_its_length_over_the_summed_softness_onto_its_corner_and_its_diagonal(springs, corner):
    numbers = car(**EQUAL_BASES, **springs)
    rate = numbers[f"spring_{CORNERS[corner]}"] * (numbers["spring_ratio_front"] ** 2 if corner < 2 else 1.0)
    raised = 0.01  # at the wheel [m]
    moved = (answers(numbers).shocks[corner] * rate * raised)[:4, 0, 0]
    sign = 1.0 if corner in (1, 2) else -1.0
    # raising LF or RR takes cross out, raising RF or LR puts it in
    assert moved == pytest.approx(sign * CROSS * jack_load(raised, *corner_rates(numbers)), rel=1e-9)


@pytest.mark.parametrize("corner", range(4))
@pytest.mark.parametrize("growth", [0.0, 5e-8])
def test_more_air_raises_its_corner_by_growth_and_by_what_the_tire_no_longer_gives_way(corner, growth):
    numbers = car(**EQUAL_BASES, growth=growth)
    tires = cold_tires(numbers)
    scales = answers(numbers).at_rest[:4, 0, 0]
    more = 14_000.0
    pressure = tires.pressure.copy()
    pressure[corner] += more
    moved = answers(numbers, cold_tires(numbers, pressure=pressure)).at_rest[:4, 0, 0] - scales
    before = tire_rates(numbers)[corner]
    after = before + 0.6 * more
    raised = growth * more + scales[corner] * (1 / before - 1 / after)
    softness = 1 / corner_rates(numbers)
    softness[corner] += 1 / after - 1 / before
    sign = 1.0 if corner in (1, 2) else -1.0
    assert moved == pytest.approx(sign * CROSS * jack_load(raised, *1 / softness), rel=1e-9)


def test_doubling_every_rate_moves_the_same_load_with_half_the_jack():
    soft = car(**EQUAL_BASES, rate_pressure=0.0)
    stiff = soft | {name: 2 * soft[name] for name in soft if name.startswith("spring_") and name[7:] in CORNERS}
    stiff |= {"rate": 2 * soft["rate"]}
    by_soft = answers(soft).shocks[2] * soft["spring_lr"] * 0.010
    by_stiff = answers(stiff).shocks[2] * stiff["spring_lr"] * 0.005
    assert by_stiff[:4] == pytest.approx(by_soft[:4], rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(st.fixed_dictionaries(SPRINGS), st.floats(0.0, 8000.0), st.floats(0.0, 8000.0))
def test_pressing_the_car_down_adds_cross_only_through_unequal_pairs(springs, front, rear):
    numbers = car(**TWIN | EQUAL_BASES | springs)
    aero = answers(numbers).aero
    moved = (aero[0] * front + aero[1] * rear)[:4, 0, 0]
    soft = 1 / corner_rates(numbers)
    wanted = (front * (soft[0] - soft[1]) - rear * (soft[2] - soft[3])) / soft.sum()
    assert moved.sum() == pytest.approx(front + rear, abs=1e-6)
    assert moved[1] + moved[2] - (front + rear) / 2 == pytest.approx(wanted, abs=1e-6)


def test_a_push_of_four_kilonewtons_adds_the_cross_an_independent_derivation_found():
    # the formula above with numbers of its own, solved by hand: 1/k in um/N: 25, 20, 40, 25; 2 kN on each axle
    softness = np.array([25.0, 20.0, 40.0, 25.0]) * 1e-6
    rate = 2.5e5
    springs = 1 / (softness - 1 / rate)
    springs[:2] /= 0.7**2
    names = dict(zip((f"spring_{corner}" for corner in CORNERS), springs, strict=True))
    aero = answers(car(**TWIN | EQUAL_BASES | names | {"rate": rate, "rate_pressure": 0.0})).aero
    moved = (2000.0 * (aero[0] + aero[1]))[:4, 0, 0]
    assert moved[1] + moved[2] - 2000.0 == pytest.approx(2000.0 * (5.0 - 15.0) / 110.0, abs=1e-6)


@pytest.mark.parametrize("corner", range(4))
def test_a_stiffer_spring_with_the_scales_held_acts_as_a_preload_of_its_travel(corner):
    bases = {"shock_base": 1.1}  # shocks beside the springs, so that their unit answers are the springs'
    numbers = car(**NO_SHOCKS, **bases)
    place, pushed = turn(75.0, 0.2), {"side": 9.0, "yaw": 300.0, "forward": -2.0, "prop": 100.0}
    name, step = f"spring_{CORNERS[corner]}", 50.0
    stiffer, softer = (
        push(load_law(numbers | {name: numbers[name] + sign * step}, place), **pushed)[0] for sign in (1, -1)
    )
    law = load_law(numbers, place)
    here = push(law, **pushed)[0]
    pair = answers(numbers).shocks[corner][:, :, None, None, :]
    preloaded = push(dataclasses.replace(law, fixed=law.fixed + pair), **pushed)[0]
    ratio = numbers["spring_ratio_front"].item() ** 2 if corner < 2 else 1.0
    by_spring = (stiffer - softer)[:4] / (2 * step)
    by_preload = (preloaded - here)[:4] * ratio * here[RISE_LF + corner]
    assert np.abs(by_preload).max() > 1e-5
    assert by_spring == pytest.approx(by_preload, rel=1e-6, abs=1e-6 * np.abs(by_preload).max())


def test_an_sway_bar_acts_in_roll_as_two_stiffer_springs_and_in_heave_not_at_all():
    twin = TWIN | EQUAL_BASES
    # both springs closing by z take 2 k z apart; the bar, on the difference 2 z, takes k_bar 2 z at each end
    with_bar = car(**twin | {"front_bar": 0.026, "bar_bore": 0.010})
    bar = torsion_bar_rate(0.026, 0.010, 0.95, 0.3) * 0.6**2
    stiffer = 60e3 + 2 * bar / 0.7**2
    with_springs = car(**twin | {"spring_lf": stiffer, "spring_rf": stiffer})
    bare = car(**twin)
    rolled, by_springs, alone = (loads(numbers, side=8.0) for numbers in (with_bar, with_springs, bare))
    assert rolled == pytest.approx(by_springs, abs=1e-6)
    assert rolled[1] - alone[1] > 100
    assert answers(with_bar).aero[0][:4] == pytest.approx(answers(bare).aero[0][:4], abs=1e-12)


def test_a_spring_that_has_not_moved_since_the_scales_has_no_effect():
    numbers = car(**NO_AIR)
    assert loads(move(numbers, spring_rf=30e3)) == pytest.approx(loads(numbers), abs=1e-8)


# track bar


def rear_answer(**bar):
    return answers(car(**bar)).rear_side[:, 0, 0]


def test_only_the_line_of_the_track_bar_counts_not_which_end_is_on_the_axle():
    left_axle = rear_answer(track_bar_axle_y=0.4, track_bar_frame_y=-0.5, track_bar_left=0.30, track_bar_right=0.22)
    right_axle = rear_answer(track_bar_axle_y=-0.5, track_bar_frame_y=0.4, track_bar_left=0.30, track_bar_right=0.22)
    assert right_axle == pytest.approx(left_axle, rel=1e-9)
    tilted_back = rear_answer(track_bar_axle_y=0.4, track_bar_frame_y=-0.5, track_bar_left=0.22, track_bar_right=0.30)
    assert np.abs(tilted_back - left_axle).max() > 1e-3


def test_raising_both_ends_of_the_bar_raises_the_rear_transfer_by_force_times_rise_over_track():
    # with hardly any rear roll stiffness of its own the body leans on the front alone, and only geometry is left behind
    soft = {"spring_lr": 1e-3, "spring_rr": 1e-3, "track_bar_left": 0.25, "track_bar_right": 0.25}
    low, high = rear_answer(**soft), rear_answer(**soft | {"track_bar_left": 0.30, "track_bar_right": 0.30})
    assert (high - low)[3] == pytest.approx(0.05 / 1.6, rel=1e-5)
    assert (high - low)[2] == pytest.approx(-0.05 / 1.6, rel=1e-5)
    assert (high - low)[1] == pytest.approx(-0.05 / 1.6, rel=1e-5)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.15, 0.4), st.floats(0.15, 0.4), st.floats(0.2, 0.6), st.floats(-0.6, -0.2))
def test_the_track_bar_adds_no_roll_moment_to_the_whole_car_at_any_tilt(left, right, axle_y, frame_y):
    moved = rear_answer(track_bar_left=left, track_bar_right=right, track_bar_axle_y=axle_y, track_bar_frame_y=frame_y)
    y = np.array([0.8, -0.8, 0.8, -0.8])
    assert (y * moved[:4]).sum() == pytest.approx(0.0, abs=1e-10)
    assert moved[:4].sum() == pytest.approx(0.0, abs=1e-10)


def bar_cross(left_spring, right_spring):
    """Cross [N] a tilt about the centerline adds per newton of rear side force."""
    springs = {
        "spring_lr": left_spring,
        "spring_rr": right_spring,
        "track_bar_axle_y": 0.45,
        "track_bar_frame_y": -0.45,
    }
    level = rear_answer(**TWIN | springs | {"track_bar_left": 0.26, "track_bar_right": 0.26})
    tilted = rear_answer(**TWIN | springs | {"track_bar_left": 0.31, "track_bar_right": 0.21})
    return (CROSS * (tilted - level)[:4]).sum()


def test_a_tilted_bar_adds_cross_only_with_unequal_rear_springs():
    # M. Ortiz, Chassis Newsletter: slope adds cross with the right rear stiffer, nothing with equal springs
    assert bar_cross(40e3, 40e3) == pytest.approx(0.0, abs=1e-10)
    assert bar_cross(30e3, 60e3) > 1e-3
    assert bar_cross(60e3, 30e3) < -1e-3


# propeller shaft


def roll_stiffness(numbers):
    """Front roll stiffness with its tires, rear springs, rear tires [N m/rad], for TWIN cars with equal bases."""
    halves = numbers["track_front"].item() ** 2 / 2
    rates = corner_rates(numbers)
    return rates[0] * halves, numbers["spring_lr"].item() * halves, numbers["rate"].item() * halves


@settings(max_examples=40, deadline=None)
@given(st.floats(20e3, 200e3), st.floats(20e3, 200e3), st.floats(1.5e5, 1e9))
def test_drive_torque_adds_equal_loads_to_rf_and_lr_as_the_closed_form_says(front, rear, tire):
    springs = {"spring_lf": front, "spring_rf": front, "spring_lr": rear, "spring_rr": rear}
    numbers = car(**TWIN | EQUAL_BASES | springs | {"rate": tire, "rate_pressure": 0.0})
    force, radius, ratio = 3000.0, 0.34, 5.43
    moved = (answers(numbers).prop * force * radius / ratio)[:4, 0, 0]
    front_roll, rear_springs, rear_tires = roll_stiffness(numbers)
    rear_roll = rear_springs * rear_tires / (rear_springs + rear_tires)
    rigid = cross_load(force, radius, ratio, 1.6, front_roll / (front_roll + rear_roll))
    assert moved == pytest.approx(CROSS * rigid * rear_tires / (rear_springs + rear_tires), rel=1e-6)


def test_the_closed_form_of_drive_torque_gives_the_numbers_of_an_independent_solution():
    assert cross_load(200.0 / 0.34 * 5.43, 0.34, 5.43, 1.6, 0.6) == pytest.approx(75.0, rel=1e-12)


# shocks


RATES = {
    f"{kind}_{corner}": st.floats(0.0, 3000.0)
    for corner in CORNERS
    for kind in ("shock_base_rate", "click_compression")
}


@settings(max_examples=60, deadline=None)
@given(st.fixed_dictionaries(RATES), st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
def test_shocks_only_ever_take_energy_out(rates, roll_rate, pitch_rate):
    numbers = car(**rates)
    rest = stand_still(numbers, cold_tires(numbers))
    force = shock_forces(numbers, rest, phases(roll_rate=roll_rate, pitch_rate=pitch_rate))[:, 0, 1, 0, 0]
    x_cg = rest.cg[0].item()
    y = np.array([0.8, -0.8, 0.575, -0.575])
    x = np.array([2.7, 2.7, 0.0, 0.0]) - x_cg
    closing = -(y * roll_rate - x * pitch_rate)  # the body's point goes down: the shock shortens
    assert (force * closing >= -1e-9).all()


def test_a_front_shock_works_through_its_ratio_squared_and_a_rear_one_at_its_own_base():
    numbers = car()
    rest = stand_still(numbers, cold_tires(numbers))
    force = shock_forces(numbers, rest, phases(roll_rate=0.1))[:, 0, 1, 0, 0]
    bump, rebound = 1500 + 4 * 110, 1500 + 5 * 190  # rolling right: RF and RR in bump, LF and LR in rebound
    front, rear = 0.1 * 0.8 * 0.7**2, 0.1 * 1.15 / 2
    assert force == pytest.approx([-rebound * front, bump * front, -rebound * rear, bump * rear], rel=1e-12)


def test_a_body_that_does_not_move_feels_no_shock():
    stiff = car(**{f"shock_base_rate_{corner}": 9000.0 for corner in CORNERS})
    assert loads(stiff, side=8.0, demand=phases()) == pytest.approx(loads(car(), side=8.0, demand=phases()), abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.02, 0.3), st.floats(-0.2, 0.2))
def test_the_same_motion_backwards_moves_the_same_load_the_other_way_when_bump_equals_rebound(roll_rate, pitch_rate):
    even = {f"click_{way}_{corner}": 0.0 for corner in CORNERS for way in ("compression", "rebound")}
    numbers = car(**even)
    still = loads(numbers, side=8.0)
    there, back = (
        loads(numbers, side=8.0, demand=phases(roll_rate=sign * roll_rate, pitch_rate=sign * pitch_rate)) - still
        for sign in (1, -1)
    )
    assert np.abs(there).max() > 0.1
    assert there == pytest.approx(-back, abs=1e-8)


# mirror


SWAPS = {"lf": "rf", "rf": "lf", "lr": "rr", "rr": "lr"}
NEGATED = ("track_bar_axle_y", "track_bar_frame_y", "tank_y", "bar_screw")


def mirrored(numbers):
    """Return the same car seen in a mirror along its length."""
    image = {}
    for name, value in numbers.items():
        stem, _, corner = name.rpartition("_")
        image[f"{stem}_{SWAPS[corner]}" if corner in SWAPS else name] = value
    for prefix in ("", "weighed_"):
        for share in ("left_weight", "cross_weight"):
            image[prefix + share] = 1.0 - numbers[prefix + share]
        image[prefix + "track_bar_left"] = numbers[prefix + "track_bar_right"]
        image[prefix + "track_bar_right"] = numbers[prefix + "track_bar_left"]
    for name in NEGATED:
        image[name] = -numbers[name]
    return image


@settings(max_examples=60, deadline=None)
@given(
    st.fixed_dictionaries(SPRINGS | {"left_weight": st.floats(0.5, 0.58), "cross_weight": st.floats(0.48, 0.56)}),
    st.floats(0.0, 20.0),
    st.floats(0.0, 0.3),
    st.floats(-800.0, 800.0),
)
def test_a_mirrored_car_in_a_right_turn_has_mirrored_loads(change, side, bank, yaw):
    numbers = move(car(stagger=0.0, radius_rr=0.34, **change), track_bar_left=0.02, bar_screw=1.0)
    moving = phases(brake=0.2, roll_rate=0.1, pitch_rate=0.05)
    there = push(load_law(numbers, turn(75.0, bank), moving), side, yaw, -2.0, 150.0)[0]
    moving = phases(brake=0.2, roll_rate=-0.1, pitch_rate=0.05)
    back = push(load_law(mirrored(numbers), turn(-75.0, -bank), moving), -side, -yaw, -2.0, -150.0)[0]
    assert back[[1, 0, 3, 2]] == pytest.approx(there[:4], abs=1e-7 * 1300 * G)
