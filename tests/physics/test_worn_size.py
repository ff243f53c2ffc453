"""Tread worn off makes a tire smaller: by its depth, at every corner, and the car stands and rolls on what is left."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.physics.formulas import engine_speed
from assistant.physics.lap import revs_per_meter
from assistant.physics.suspension import stand_still
from tests.physics.rig import CORNERS, EQUAL_BASES, TIRE, answers, balance, car, cold_tires, corner_rates, solve, turn

TREAD = TIRE["tread"]


def worn(numbers, **corners):
    """Cold tires with shares of their tread gone, by corner."""
    shares = np.array([corners.get(corner, 0.0) for corner in CORNERS])[:, None, None]
    return cold_tires(numbers, wear=shares)


@settings(max_examples=40)
@given(st.sampled_from(CORNERS), st.floats(0.0, 1.0))
def test_a_tire_is_smaller_by_the_tread_that_is_gone_and_the_others_stay(corner, share):
    numbers = car()
    new, used = (stand_still(numbers, tires) for tires in (worn(numbers), worn(numbers, **{corner: share})))
    lost = np.array([share * TREAD * (one == corner) for one in CORNERS])
    assert (new.radius - used.radius)[:, 0, 0] == pytest.approx(lost, abs=1e-12)
    assert (new.lift - used.lift)[:, 0, 0] == pytest.approx(lost, abs=1e-12)


def test_a_tire_used_up_gets_no_smaller():
    numbers = car()
    gone, more = (stand_still(numbers, worn(numbers, rr=share)).radius for share in (1.0, 1.4))
    assert more == pytest.approx(gone, rel=1e-15)


def test_a_right_rear_that_wears_a_millimeter_more_takes_two_pi_millimeters_of_stagger():
    numbers = car()
    tires = worn(numbers, lr=0.2, rr=0.2 + 1e-3 / TREAD)
    _, _, left, right = stand_still(numbers, tires).radius[:, 0, 0]
    assert 2.0 * np.pi * (right - left) == pytest.approx(0.048 - 2.0 * np.pi * 1e-3, rel=1e-9)


def test_wear_at_one_corner_lowers_it_like_its_jack_bolt_turned_back():
    """Half the load a sunk corner loses goes to each neighbor: P = d / sum(1/k), equal tracks and no bar."""
    numbers = car(**EQUAL_BASES)
    new, used = (answers(numbers, tires).at_rest[:4, 0, 0] for tires in (worn(numbers), worn(numbers, lr=0.4)))
    lost = 0.4 * TREAD / (1.0 / corner_rates(numbers)).sum()
    assert used - new == pytest.approx(lost * np.array([1.0, -1.0, -1.0, 1.0]), rel=1e-6)


def test_even_wear_all_round_moves_no_load_of_a_car_at_rest():
    """Four corners sunk alike are a heave: only the sums of loads and moments could move, and they cannot."""
    numbers = car(**EQUAL_BASES)
    new, used = (
        answers(numbers, tires).at_rest[:4, 0, 0]
        for tires in (worn(numbers), worn(numbers, **dict.fromkeys(CORNERS, 0.5)))
    )
    assert used == pytest.approx(new, abs=1e-6)


def test_wear_of_the_right_rear_alone_tightens_by_its_size_whatever_it_takes_of_grip():
    numbers = car(worn_grip=0.0, locked_entry=1.0)
    place = turn(bank=0.2)
    new, used = (balance(numbers, place=place, tires=tires) for tires in (worn(numbers), worn(numbers, rr=0.4)))
    assert used > new + 0.1


def test_worn_rear_tires_turn_the_engine_faster_at_the_same_speed():
    numbers = car(rolling_share=0.0)
    new, used = (
        revs_per_meter(solve(numbers, tires=tires)[0]).item()
        for tires in (worn(numbers), worn(numbers, lr=0.5, rr=0.5))
    )
    radius = (0.340 + 0.340 + 0.048 / (2.0 * np.pi)) / 2.0
    assert used / new == pytest.approx(radius / (radius - 0.5 * TREAD), rel=1e-9)
    assert new == pytest.approx(engine_speed(1.0, 2.0 * np.pi * radius, 5.43), rel=1e-9)
