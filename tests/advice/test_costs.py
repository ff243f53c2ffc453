"""Costs in words: the worst first, neighbouring stages together, nothing invented."""

from math import inf

import numpy as np
import pytest

from assistant.advice.costs import (
    change_tyre_life,
    list_balance_costs,
    list_other_costs,
    list_work,
    price_short_run,
    price_tyre_life,
    say_costs,
)
from assistant.advice.results import Cost
from assistant.advice.sizing import Wanted, spread_over
from tests.advice.synthetic import PHASES, STAGES, grid


def wanted(change=(), fine=(), ends=(None,)):
    places = tuple((end, phase, stage) for end in ends for phase in PHASES for stage in STAGES)
    asked = np.array([dict(change).get(place[1:], 0.0) for place in places])
    good = np.array([place[1:] in fine for place in places])
    return Wanted(
        places, asked, np.where(asked != 0, 1.0, np.where(good, 0.6, 0.15)), asked != 0, good, np.full(len(places), 0.1)
    )


def texts(effect, asked):
    return [cost.text for cost in list_balance_costs(np.array(effect, dtype=float), asked)]


OFF_LATE = {("exit", "worn"): 0.7}


def test_the_worst_cost_comes_first_and_a_cell_called_fine_weighs_more_than_silence():
    effect = [0.2, 0.0, 0.0, 0.3, 0.0, 0.0, 0.0, 0.0, 0.5]
    assert texts(effect, wanted(OFF_LATE, fine={("entry", "fresh")})) == [
        "tighter in by 0.2 % when fresh",
        "tighter in the middle by 0.3 % when fresh",
    ]


def test_stages_with_the_same_tenth_are_one_line():
    assert texts([0.2, 0.21, 0.19, 0, 0, 0, 0, 0, 0], wanted(OFF_LATE)) == ["tighter in by 0.2 % all through the run"]
    assert texts([-0.2, -0.2, 0, 0, 0, 0, 0, 0, 0], wanted(OFF_LATE)) == ["looser in by 0.2 % until the tyres are worn"]
    assert texts([0, 0.4, 0.4, 0, 0, 0, 0, 0, 0], wanted(OFF_LATE)) == ["tighter in by 0.4 % from the settled laps on"]


def test_what_would_be_written_as_nothing_is_no_cost():
    assert texts([0.04] * 9, wanted(OFF_LATE)) == []


def test_the_wanted_change_is_no_cost_until_it_goes_past_the_mark():
    assert texts([0, 0, 0, 0, 0, 0, 0, 0, 0.7], wanted(OFF_LATE)) == []
    assert texts([0, 0, 0, 0, 0, 0, 0, 0, 0.9], wanted(OFF_LATE)) == [
        "tighter off by 0.2 % late in the run, more than asked for"
    ]


def test_a_reported_cell_that_gets_worse_is_a_cost_of_its_whole_size():
    assert texts([0, 0, 0, 0, 0, 0, 0, 0, -0.3], wanted(OFF_LATE)) == ["looser off by 0.3 % late in the run"]


def test_the_end_of_the_track_is_named_when_the_driver_told_them_apart():
    asked = wanted(OFF_LATE, ends=("1", "2"))
    effect = spread_over(asked, grid(0, 0, 0), {"2": grid(0.2, 0, 0)})
    found = list_balance_costs(effect, asked)
    assert [cost.text for cost in found] == ["tighter in by 0.2 % at end 2 all through the run"]
    assert found[0].where == "entry, fresh and settled and worn, end 2"


def test_a_balance_cost_keeps_its_number_and_its_sign():
    cost = list_balance_costs(np.array([-0.24, 0, 0, 0, 0, 0, 0, 0, 0.0]), wanted(OFF_LATE))[0]
    assert cost == Cost("balance", "entry, fresh", -0.2, "%", "looser in by 0.2 % when fresh")


def test_nothing_is_said_of_tyres_pace_and_fuel_before_they_are_computed():
    assert list_other_costs() == ()


def test_lost_tyre_life_pace_and_fuel_are_costs_and_gains_are_not():
    found = list_other_costs(
        {"RR": (58.0, -2.2), "RF": (70.0, -1.0), "LR": (80.0, 3.0)},
        {"first": 0.0, "average": 0.034, "last": 0.1},
        (90.0, -1.4),
    )
    assert [cost.text for cost in found] == [
        "2 laps of RR tyre",
        "1 lap of RF tyre",
        "0.03 s a lap over the run",
        "1 lap of fuel",
    ]
    assert list_other_costs({"RR": (58.0, 2.0)}, {"average": -0.1}, (90.0, 2.0)) == ()


def test_the_work_of_checking_again_is_named():
    assert list_work(["cross weight on the scales"])[0].text == "check again: cross weight on the scales"


@pytest.mark.parametrize(
    ("costs", "text"),
    [
        (
            (
                Cost("balance", "", 0.2, "%", "tighter in by 0.2 % when fresh"),
                Cost("work", "", None, "", "check again: toe"),
            ),
            "Costs: tighter in by 0.2 % when fresh.",
        ),
        ((), "Costs: nothing that shows in the other cells."),
        (tuple(Cost("balance", "", 0.2, "%", word) for word in "abcd"), "Costs: a; b; c."),
    ],
)
def test_costs_are_one_sentence(costs, text):
    assert say_costs(costs) == text


def test_tyre_life_after_a_change_is_now_and_the_change_together():
    life = change_tyre_life({"LF": inf, "RF": 90.0, "RR": 60.0}, {"LF": -1.0, "RF": 2.0, "RR": -1.5}, 2)
    assert life == {"RF": (94.0, 4.0), "RR": (57.0, -3.0)}


def test_losing_all_that_a_tyre_has_to_spare_counts_in_full_and_gaining_counts_nothing():
    assert price_tyre_life({"RR": (80.0, -20.0)}, 80) == 1.0
    assert price_tyre_life({"RR": (90.0, -10.0), "RF": (120.0, -1.0)}, 80) == pytest.approx(0.5)
    assert price_tyre_life({"RR": (120.0, 20.0)}, 80) == 0.0
    assert price_tyre_life({}, 80) == 0.0


def test_a_tyre_with_nothing_to_spare_does_not_make_every_lap_a_whole_one():
    assert price_tyre_life({"RR": (69.0, -1.0)}, 80) == pytest.approx(1 / 8)


def test_a_run_cut_short_is_priced_by_what_is_missing_beyond_what_is_missing_already():
    assert price_short_run({"RR": (70.0, -5.0)}, 80) == pytest.approx(5 / 80)
    assert price_short_run({"RR": (90.0, -5.0)}, 80) == 0.0
    assert price_short_run({"RR": (70.0, 5.0)}, 80) == 0.0
