"""Tire size, stagger and Ackermann."""

import numpy as np
import pytest
from scipy import constants as si

from assistant.physics import formulas


@pytest.mark.published(
    source="Circle Track, April 2004, tire article: RR 86 in, LR 83.5 in", grade="A", tolerance="exact"
)
def test_stagger_is_right_less_left():
    assert formulas.stagger(left=83.5, right=86.0) == 2.5


@pytest.mark.published(
    source="westernracing.com/TURNRADIUS.html: 27.91 and 29.38 in, track 60 in: 1140 in", grade="A", tolerance="0.2 %"
)
def test_two_joined_tires_roll_the_printed_circle():
    assert formulas.natural_radius(27.91, 29.38, 60.0) == pytest.approx(1140, rel=0.002)
    assert formulas.natural_radius(27.91 * np.pi, 29.38 * np.pi, 60.0) == pytest.approx(1140, rel=0.002)


@pytest.mark.published(
    source="westernracing.com/TURNRADIUS.html read backward: the radius asks for the stagger it came from",
    grade="A",
    tolerance="1e-12",
)
def test_a_turn_asks_for_the_stagger_whose_natural_circle_it_is():
    to_left_tire = formulas.natural_radius(27.91, 29.38, 60.0)
    asked = formulas.stagger_for(27.91, to_left_tire + 30.0, 60.0)
    assert asked == pytest.approx(29.38 - 27.91, rel=1e-12)
    assert formulas.locked_axle_slip(27.91, 29.38, to_left_tire + 30.0, 60.0) == pytest.approx(0.0, abs=1e-15)


@pytest.mark.published(
    source="geometry of two circles around one axis, wheel paths R -+ (t/2) cos(bank) in plan view; derived by us",
    grade="B",
    tolerance="1e-12",
)
def test_on_a_bank_the_plan_view_of_both_wheel_paths_sets_the_stagger():
    radius, track, bank, left = 75.0, 1.6, np.array([0.0, 12.0, 30.0]) * si.degree, 2.1
    inner, outer = radius - track / 2 * np.cos(bank), radius + track / 2 * np.cos(bank)
    asked = formulas.stagger_for(left, radius, track, bank)
    assert asked == pytest.approx(left * (outer / inner - 1), rel=1e-12)
    assert asked[0] / asked[2] == pytest.approx(1 / np.cos(30 * si.degree), rel=0.01)
    assert formulas.locked_axle_slip(left, left + asked, radius, track, bank) == pytest.approx(np.zeros(3), abs=1e-15)


@pytest.mark.published(source="sign of the couple of a locked axle; derived by us", grade="B", tolerance="sign")
def test_more_stagger_than_the_turn_wants_is_positive_and_less_is_negative():
    asked = formulas.stagger_for(2.1, 75.0, 1.6, 0.2)
    assert formulas.locked_axle_slip(2.1, 2.1 + 1.5 * asked, 75.0, 1.6, 0.2) > 0
    assert formulas.locked_axle_slip(2.1, 2.1 + 0.5 * asked, 75.0, 1.6, 0.2) < 0


@pytest.mark.published(
    source="UW Midnight Sun design note (uwmidsun.atlassian.net 36052240): 2600 mm, 1600 mm, 6.2 m: 25.71 degrees",
    grade="A",
    tolerance="0.05 degrees",
)
def test_the_inner_wheel_of_a_tight_turn_points_where_the_design_note_says():
    inner, outer = formulas.rolling_angles(2.6, 1.6, 6.2)
    assert inner / si.degree == pytest.approx(25.71, abs=0.05)
    # both wheels' axes meet the rear axle in one point (cotangents differ by track over wheelbase)
    assert 1 / np.tan(outer) - 1 / np.tan(inner) == pytest.approx(1.6 / 2.6, rel=1e-12)
