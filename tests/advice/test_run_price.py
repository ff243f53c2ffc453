"""What a change costs over the run, as shares of the complaint."""

from math import inf

import pytest

from assistant.advice.prices import ShortRun, price_run, price_short_run, price_tire_life
from assistant.belief.outcome import RunAfter, change_tire_laps
from tests.advice.round_numbers import ranking


def run(life, average=0.0, fuel=(120.0, 0.0)):
    return RunAfter(life, {"first": 0.0, "average": average, "last": 0.0}, fuel)


def test_tire_life_after_a_change_is_now_and_the_change_together():
    life = change_tire_laps({"LF": inf, "RF": 90.0, "RR": 60.0}, {"LF": -1.0, "RF": 2.0, "RR": -1.5}, 2)
    assert life == {"RF": (94.0, 4.0), "RR": (57.0, -3.0)}


def test_losing_all_that_a_tire_has_to_spare_counts_in_full_and_gaining_counts_nothing():
    assert price_tire_life({"RR": (80.0, -20.0)}, 80) == 1.0
    assert price_tire_life({"RR": (90.0, -10.0), "RF": (120.0, -1.0)}, 80) == pytest.approx(0.5)
    assert price_tire_life({"RR": (120.0, 20.0)}, 80) == 0.0
    assert price_tire_life({}, 80) == 0.0


def test_a_tire_with_nothing_to_spare_does_not_make_every_lap_a_whole_one():
    assert price_tire_life({"RR": (69.0, -1.0)}, 80) == pytest.approx(1 / 8)


def test_a_run_cut_short_is_priced_by_what_is_missing_beyond_what_is_missing_already():
    assert price_short_run({"RR": (70.0, -5.0)}, 80) == pytest.approx(5 / 80)
    assert price_short_run({"RR": (90.0, -5.0)}, 80) == 0.0
    assert price_short_run({"RR": (70.0, 5.0)}, 80) == 0.0


def test_what_was_not_computed_has_no_price():
    assert price_run(None, ranking(), 80) is None


def test_tires_laps_of_the_run_and_pace_are_priced_by_the_weights_of_the_pack():
    weights = ranking(tire_price=0.5, short_run_price=4.0, pace_price=6.0)
    price = price_run(run({"RF": (76.0, -8.0)}, 0.02), weights, 80)
    assert price.tires == pytest.approx(0.5 * 1.0 + 4.0 * 4 / 80)
    assert price.pace == pytest.approx(0.12)
    assert price.total == pytest.approx(price.tires + price.pace)
    assert price.short == ShortRun("RF", pytest.approx(4.0))


def test_quicker_laps_and_longer_tires_cost_nothing():
    price = price_run(run({"RF": (90.0, 8.0)}, -0.02), ranking(), 80)
    assert (price.tires, price.pace, price.short) == (0.0, 0.0, None)


def test_fuel_that_no_longer_lasts_cuts_a_run_short_as_well():
    price = price_run(run({}, fuel=(78.0, -3.0)), ranking(), 80)
    assert price.short == ShortRun("fuel", pytest.approx(2.0))
    assert price.tires > 0
