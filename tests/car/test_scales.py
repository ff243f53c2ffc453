"""Corner weights and shares against their published definitions, and what holds for any of them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.car.car import Shares, bite_of, corner_loads, lifted_corners, shares_of

LOADS = st.tuples(*[st.floats(50, 2000)] * 4)


def test_scale_readings_give_the_shares_the_trade_defines():
    # readings: winenfood.com, race car scales; definitions: hotrod.com, "About Load Distribution"
    loads = (710.0, 695.0, 655.0, 640.0)
    shares = shares_of(loads)
    assert (shares.nose, shares.left, shares.cross) == pytest.approx((0.5204, 0.5056, 0.5), abs=1e-4)
    assert bite_of(loads) == 15


def test_cross_weight_is_right_front_and_left_rear_and_not_the_other_diagonal():
    assert shares_of((400.0, 600.0, 600.0, 400.0)).cross == pytest.approx(0.6)


@given(LOADS)
def test_loads_to_shares_and_back_are_the_same_loads(loads):
    assert corner_loads(sum(loads), *shares_of(loads)) == pytest.approx(loads, rel=1e-9, abs=1e-9)


@given(st.floats(100, 4000), st.floats(0.3, 0.7), st.floats(0.3, 0.7), st.floats(0.3, 0.7))
def test_corner_loads_always_add_up_to_the_weight(weight, nose, left, cross):
    assert sum(corner_loads(weight, *Shares(nose, left, cross))) == pytest.approx(weight)


def test_shares_that_lift_a_wheel_name_it_and_say_by_how_much():
    assert lifted_corners(Shares(0.5, 0.5, 0.5)) == ()
    assert lifted_corners(Shares(0.35, 0.40, 0.78)) == (("LF", "left front", pytest.approx(0.015)),)


def test_four_loads_of_nothing_have_no_shares():
    with pytest.raises(ValueError, match="more than nothing"):
        shares_of((0.0, 0.0, 0.0, 0.0))
