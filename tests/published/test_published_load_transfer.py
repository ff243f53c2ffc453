"""Load transfer across the car, through the whole solver."""

import numpy as np
import pytest
from scipy import constants as si

from assistant.car.car import corner_loads
from assistant.physics.formulas import stagger_for
from assistant.physics.suspension import BODY_ROLL
from tests.physics.rig import NO_AIR, NO_SHOCKS, TWIN, car, load_law, push, solve, turn

BARTON = (
    "Barton and Fieldhouse, Automotive Chassis Engineering (Springer, 2018), p. 174 (read at fliphtml5.com/osspz/szqt)"
)
GRAVITY = 9.80665
LATERAL = 0.6 * GRAVITY


def chassis(**changes):
    """Barton and Fieldhouse's car: 1280 kg sprung, 54/46 %, 140 and 180 kg unsprung, on tires too stiff to matter.

    The split of roll stiffness is not printed; its elastic forces imply 350 to 150 Nm per degree (69.9 % front).
    """
    sprung, front_unsprung, rear_unsprung, wheelbase, track = 1280.0, 140.0, 180.0, 2.6, 1.46
    mass = sprung + front_unsprung + rear_unsprung
    nose = (sprung * 0.54 + front_unsprung) / mass
    body_height = 0.07 + (0.32 - 0.07) * 0.46 + 0.365
    height = (sprung * body_height + front_unsprung * 0.280 + rear_unsprung * 0.300) / mass
    front_rate, rear_rate = (2 * 28_650.0 * share / track**2 for share in (0.699, 0.301))
    names = {
        "mass": mass,
        "wheelbase": wheelbase,
        "track_front": track,
        "track_rear": track,
        "spring_base": track,
        "cg_height": height,
        "nose_weight": nose,
        "unsprung_front": front_unsprung,
        "unsprung_rear": rear_unsprung,
        "unsprung_height_front": 0.280,
        "unsprung_height_rear": 0.300,
        "front_roll_center": 0.07,
        "track_bar_left": 0.32,
        "track_bar_right": 0.32,
        "front_bar": 0.0,
        "spring_ratio_front": 1.0,
        "spring_lf": front_rate,
        "spring_rf": front_rate,
        "spring_lr": rear_rate,
        "spring_rr": rear_rate,
        "rate": 1e9,
        "rate_pressure": 0.0,
    }
    return car(**TWIN | NO_AIR | NO_SHOCKS | names | changes)


def transfer(numbers):
    """Load moved from left to right in front and at the rear [N], half the difference of the pair; and roll [rad]."""
    out, _ = push(load_law(numbers), side=LATERAL)
    return (out[1] - out[0]) / 2, (out[3] - out[2]) / 2, out[BODY_ROLL]


@pytest.mark.published(
    source=BARTON + "; the front total printed there, 1919 N, is a slip for 1556 + 195 + 158 = 1909",
    grade="A",
    tolerance="1 %",
)
def test_the_whole_solver_moves_the_printed_load_at_both_ends():
    front, rear, _ = transfer(chassis())
    assert front == pytest.approx(1909, rel=0.01)
    assert rear == pytest.approx(1649, rel=0.01)


@pytest.mark.published(source=BARTON + "; with the gravity term in the roll moment", grade="A", tolerance="1 %")
def test_the_body_rolls_by_the_printed_gradient():
    _, _, roll = transfer(chassis())
    assert roll / LATERAL == pytest.approx(0.0194, rel=0.01)
    assert roll / 0.6 / si.degree == pytest.approx(10.9, rel=0.01)


@pytest.mark.published(source=BARTON, grade="A", tolerance="1 %")
def test_each_of_the_three_parts_of_the_transfer_is_the_printed_one():
    front, rear, roll = transfer(chassis())
    no_height = {"unsprung_height_front": 0.0, "unsprung_height_rear": 0.0}
    # the same body with its unsprung masses on the road: their part is what is missing
    lowered = chassis()["cg_height"].item() - (140 * 0.280 + 180 * 0.300) / 1600
    front_bare, rear_bare, roll_bare = transfer(chassis(**no_height, cg_height=lowered))
    assert front - front_bare == pytest.approx(158, rel=0.01)
    assert rear - rear_bare == pytest.approx(218, rel=0.01)
    assert roll_bare == pytest.approx(roll, rel=1e-5)
    elastic = 28_650 * roll / 1.46
    assert front_bare - 0.699 * elastic == pytest.approx(195, rel=0.01)
    assert rear_bare - 0.301 * elastic == pytest.approx(760, rel=0.01)
    assert 0.699 * elastic == pytest.approx(1556, rel=0.01)
    assert 0.301 * elastic == pytest.approx(671, rel=0.01)


@pytest.mark.published(
    source=BARTON + "; repeated with a tilted track bar: a two-force member adds no moment",
    grade="A",
    tolerance="1 % and 1e-6 N",
)
def test_tilting_the_track_bar_leaves_every_printed_number_where_it_was():
    level = transfer(chassis(track_bar_axle_y=0.5, track_bar_frame_y=-0.5))
    tilted = transfer(chassis(track_bar_axle_y=0.5, track_bar_frame_y=-0.5, track_bar_left=0.37, track_bar_right=0.27))
    assert tilted[0] + tilted[1] == pytest.approx(level[0] + level[1], abs=1e-6)
    assert tilted[:2] == pytest.approx((1909, 1649), rel=0.01)
    # lower in the middle is something else: load goes from the rear to the front
    lower = transfer(chassis(track_bar_left=0.27, track_bar_right=0.27))
    assert lower[1] < level[1] - 50


@pytest.mark.published(source="moments about the road of the same car, derived by us", grade="B", tolerance="1e-6 N")
def test_both_ends_together_move_what_moments_about_the_road_ask():
    numbers = chassis()
    front, rear, roll = transfer(numbers)
    moment = 1600 * LATERAL * numbers["cg_height"].item() + 1280 * GRAVITY * 0.365 * roll
    assert (front + rear) * 1.46 == pytest.approx(moment, rel=1e-9)


@pytest.mark.published(
    source="ISO 8855:2011, 2.10 and 2.12 (x forward, y left, z up), as restated in NVIDIA's DriveWorks documentation",
    grade="A",
    tolerance="sign",
)
def test_in_a_left_turn_side_acceleration_is_positive_and_the_right_side_gains_load():
    standing, turning = push(load_law(car()))[0], push(load_law(car()), side=5.0)[0]
    assert list(np.sign(turning - standing)[:4]) == [-1.0, 1.0, -1.0, 1.0]
    assert turning[BODY_ROLL] > 0


@pytest.mark.published(
    source="westernracing.com/TURNRADIUS.html for the natural radius; the couple there is zero by definition",
    grade="A",
    tolerance="1e-12 of the tire's grip",
)
def test_at_the_natural_stagger_the_locked_axle_does_not_turn_the_car():
    left = 2 * np.pi * 0.340
    for bank in (0.0, 0.2, 0.5):
        natural = stagger_for(left, 75.0, 1.6, bank).item()
        couples = []
        for stagger in (natural, natural + 0.01, natural - 0.01):
            _, limit = solve(car(stagger=stagger, rolling_share=0.0), turn(75.0, bank))
            push_left, push_right = limit.point.lengthways[2:, 0, 1, 0, 0]
            couples.append(push_right - push_left)
        assert couples[0] == pytest.approx(0.0, abs=1e-8)
        assert couples[1] > 100
        assert couples[2] < -100


@pytest.mark.published(
    source="OpenStax, University Physics vol. 1, sect. 12.1, center of gravity of a car: 2.5 m, 52 % on the front",
    grade="A",
    tolerance="exact",
)
def test_the_center_of_gravity_of_a_car_lies_ahead_of_the_rear_axle_as_the_book_says():
    numbers = car(wheelbase=2.5, nose_weight=0.52)
    problem, _ = solve(numbers)
    assert problem.rest.cg[0].item() == pytest.approx(1.3, rel=1e-12)


@pytest.mark.published(
    source="hotrod.com, About Load Distribution and Performance Crossweight and Balance Configuration; "
    "Grassroots Motorsports, Understanding Corner Weights (D. Alexander)",
    grade="A",
    tolerance="exact",
)
def test_corner_loads_have_the_shares_they_were_made_from():
    nose, left, cross = 0.512, 0.563, 0.521
    lf, rf, lr, rr = corner_loads(np.array(13_000.0), np.array(nose), np.array(left), np.array(cross))
    assert lf + rf + lr + rr == pytest.approx(13_000.0, rel=1e-14)
    assert (lf + rf) / 13_000 == pytest.approx(nose, rel=1e-14)
    assert (lf + lr) / 13_000 == pytest.approx(left, rel=1e-14)
    assert (rf + lr) / 13_000 == pytest.approx(cross, rel=1e-14)  # not LF + RR, as one page has it
