"""Gears."""

import numpy as np
import pytest
from scipy import constants as si

from assistant.physics import formulas


def rolls(diameter_in_inches):
    return np.pi * diameter_in_inches * si.inch


@pytest.mark.published(
    source="rpm = mph x ratio x 336 / diameter in inches, thedirtforum.com/carmath.htm; exactly 63 360 / (60 pi)",
    grade="A",
    tolerance="0.05 %",
)
def test_the_trades_constant_336_comes_out():
    constant = formulas.engine_speed(si.mph, rolls(1.0), 1.0)
    assert constant == pytest.approx(63_360 / (60 * np.pi), rel=1e-12)
    assert constant == pytest.approx(336, rel=5e-4)


@pytest.mark.published(
    source="gear table at dustinszelong.blogspot.com: 26.13 in, 2.97 x 3.73", grade="A", tolerance="0.1 %"
)
def test_a_printed_gear_table_comes_out_of_the_product_of_gear_and_final_drive():
    overall = formulas.overall_ratio(2.97, 3.73)
    speeds = formulas.road_speed(np.array([8000.0, 5000.0, 1000.0]), rolls(26.13), overall)
    assert overall == pytest.approx(11.078, rel=1e-4)
    assert speeds / si.mph == pytest.approx([56.14, 35.09, 7.02], rel=1e-3)


@pytest.mark.published(source="docslib.org/doc/13816045: 65 mph, 3.08, 30 in: 2242 rpm", grade="A", tolerance="0.2 %")
def test_a_printed_engine_speed_comes_out():
    assert formulas.engine_speed(65 * si.mph, rolls(30.0), 3.08) == pytest.approx(2242, rel=0.002)


@pytest.mark.published(
    source="askmehelpdesk.com 404774 gives 4.2 for 29/30 x 88/20, which does not recompute; answer computed by us",
    grade="B",
    tolerance="exact",
)
def test_tooth_counts_in_series_multiply():
    assert formulas.overall_ratio(29 / 30, 88 / 20) == pytest.approx(4.25333, rel=1e-5)
    assert formulas.overall_ratio(1.2, 3.4) == pytest.approx(4.08, rel=1e-15)
