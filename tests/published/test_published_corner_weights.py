"""Corner weights."""

import pytest

from assistant.car.car import Shares, bite_of, corner_loads, shares_of

SCALES = (710.0, 695.0, 655.0, 640.0)
"""LF, RF, LR, RR [lb] as printed."""


@pytest.mark.published(
    source="hotrod.com, About Load Distribution and Performance Crossweight and Balance Configuration (cross, bite); "
    "Grassroots Motorsports, Understanding Corner Weights, D. Alexander (left, rear)",
    grade="A",
    tolerance="exact",
)
def test_cross_is_right_front_and_left_rear_and_bite_is_left_rear_less_right_rear():
    shares = shares_of(SCALES)
    assert shares.cross == (695 + 655) / 2700
    assert shares.left == (710 + 655) / 2700
    assert 1 - shares.nose == pytest.approx((655 + 640) / 2700, rel=1e-14)
    assert bite_of(SCALES) == 655 - 640


@pytest.mark.published(
    source="hotrod.com for RF + LR; a page in circulation calls LF + RR the cross weight",
    grade="A",
    tolerance="exact",
)
def test_cross_is_not_the_other_diagonal():
    heavy_diagonal = (600.0, 800.0, 750.0, 550.0)
    assert shares_of(heavy_diagonal).cross == 1550 / 2700


@pytest.mark.published(
    source=(
        "scale readings LF 710, RF 695, LR 655, RR 640 lb from winenfood.com, race car scales; shares computed by us"
    ),
    grade="B",
    tolerance="0.01 points",
)
def test_printed_scale_readings_have_the_shares_computed_from_them():
    shares = shares_of(SCALES)
    assert 100 * shares.nose == pytest.approx(52.04, abs=0.01)
    assert 100 * shares.left == pytest.approx(50.56, abs=0.01)
    assert 100 * shares.cross == pytest.approx(50.00, abs=0.01)
    assert bite_of(SCALES) == 15


@pytest.mark.published(
    source="the definitions above, solved for the loads; derived by us", grade="B", tolerance="1e-12"
)
def test_shares_lead_back_to_the_readings():
    assert corner_loads(2700.0, *shares_of(SCALES)) == pytest.approx(SCALES, rel=1e-12)
    assert corner_loads(13_000.0, *Shares(0.512, 0.563, 0.521)) == pytest.approx(
        (0.554 * 6500, 0.470 * 6500, 0.572 * 6500, 0.404 * 6500), rel=1e-12
    )
