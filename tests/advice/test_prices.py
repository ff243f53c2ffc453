"""What a change costs: as shares of the complaint, and in words, the worst first; nothing invented."""

import numpy as np
import pytest

from assistant.advice.prices import ShortRun, list_costs, price_run, price_short_run, price_tire_life, share_each
from assistant.advice.results import Cost, Each
from assistant.belief.outcome import RunAfter
from assistant.pages.advice_words import complaint_words, cost_place, each_words, say_cost
from tests.advice.round_numbers import PLACES, PSI, ranking, wanted_on_one_car


def balance_costs(effect, asked):
    return list_costs(np.array(effect, dtype=float)[:, None], None, asked, ranking(), 60)


def texts(effect, asked):
    return [say_cost(cost, "trade") for cost in balance_costs(effect, asked)]


def wanted(said=(), fine=(), **more):
    return wanted_on_one_car(said, fine, **more)


OFF_LATE = {("exit", "worn"): -0.7}


def test_the_worst_cost_comes_first_and_a_cell_called_fine_weighs_more_than_silence():
    asked = wanted(OFF_LATE, fine={("entry", "fresh")})
    assert texts([0.2, 0.0, 0.0, -0.6, 0.0, 0.0, 0.0, 0.0, 0.5], asked) == [
        "tighter by 0.2 % getting in, on fresh tires",
        "looser by 0.6 % in the middle, on fresh tires",
    ]
    assert texts([0.01, 0.0, 0.0, -0.6, 0.0, 0.0, 0.0, 0.0, 0.5], asked)[0].startswith("looser")


def test_stages_with_the_same_way_are_one_line():
    assert texts([0.2, 0.21, 0.19, 0, 0, 0, 0, 0, 0], wanted(OFF_LATE)) == ["tighter by 0.2 % getting in, all run long"]
    assert texts([-0.2, -0.2, 0, 0, 0, 0, 0, 0, 0], wanted(OFF_LATE)) == [
        "looser by 0.2 % getting in, until the tires are worn"
    ]
    assert texts([0, 0.4, 0.4, 0, 0, 0, 0, 0, 0], wanted(OFF_LATE)) == [
        "tighter by 0.4 % getting in, from the settled laps on"
    ]


def test_phases_that_move_alike_are_one_line():
    assert texts([0, 0, 0.4, 0, 0, 0.4, 0, 0, 0], wanted(OFF_LATE)) == [
        "tighter by 0.4 % getting in and in the middle, late in the run"
    ]
    assert texts([0, 0, 0.4, 0, 0, 0.2, 0, 0, 0], wanted(OFF_LATE)) == [
        "tighter by up to 0.4 % getting in and in the middle, late in the run"
    ]
    assert texts([-0.3, 0, 0] * 3, wanted(OFF_LATE)) == ["looser by 0.3 % all through the corner, on fresh tires"]


def test_a_small_cell_beside_a_large_one_is_left_to_the_table():
    assert texts([0.1, 0, 0.6, 0.2, 0, 0, 0, 0, 0], wanted(OFF_LATE)) == [
        "tighter by 0.6 % getting in, late in the run"
    ]


def test_what_would_be_written_as_nothing_is_no_cost():
    assert texts([0.04] * 9, wanted(OFF_LATE)) == []


def test_what_brings_a_cell_nearer_to_even_is_no_cost_and_a_change_of_sign_for_the_good_is_none():
    now = dict(zip([("entry", "fresh"), ("entry", "settled"), ("entry", "worn")], (-1.18, -0.4, -0.1), strict=True))
    loose_elsewhere = wanted(OFF_LATE, now=now)
    assert texts([0.17, 0.6, 0, 0, 0, 0, 0, 0, 0.7], loose_elsewhere) == []
    assert texts([0.17, 0.6, 0.4, 0, 0, 0, 0, 0, 0.7], loose_elsewhere) == [
        "tighter by 0.4 % getting in, late in the run"
    ]
    assert texts([-0.17, 0, 0, 0, 0, 0, 0, 0, 0.7], loose_elsewhere) == ["looser by 0.2 % getting in, on fresh tires"]


def test_the_wanted_change_is_no_cost_until_it_goes_past_the_mark():
    assert texts([0, 0, 0, 0, 0, 0, 0, 0, 0.7], wanted(OFF_LATE)) == []
    assert texts([0, 0, 0, 0, 0, 0, 0, 0, 0.9], wanted(OFF_LATE)) == ["0.2 % tight instead coming off, late in the run"]


def test_in_the_cells_complained_of_only_the_overshoot_is_named_and_the_others_stay_costs():
    assert texts([0, 0, 0, 0, 0, 0, 0.6, 0.6, 0.85], wanted(OFF_LATE)) == [
        "0.2 % tight instead coming off, late in the run",
        "tighter by 0.6 % coming off, until the tires are worn",
    ]
    assert texts([0, 0, 0, 0, 0, 0, 0.6, 0.6, 0.7], wanted(OFF_LATE)) == [
        "tighter by 0.6 % coming off, until the tires are worn"
    ]


def test_a_reported_cell_that_gets_worse_is_a_cost_of_its_whole_size():
    assert texts([0, 0, 0, 0, 0, 0, 0, 0, -0.3], wanted(OFF_LATE)) == ["looser by 0.3 % coming off, late in the run"]


def test_the_end_of_the_track_is_named_when_the_driver_told_them_apart():
    asked = wanted(OFF_LATE, ends=("1", "2"))
    effect = [0.2 if place[:2] == ("2", "entry") else 0.0 for place in asked.places]
    found = balance_costs(effect, asked)
    assert [say_cost(cost, "trade") for cost in found] == ["tighter by 0.2 % getting in at 2, all run long"]
    assert cost_place(found[0]) == "entry, fresh, settled and worn, end 2"


def test_a_balance_cost_keeps_its_number_and_its_sign():
    cost = balance_costs([-0.24, 0, 0, 0, 0, 0, 0, 0, 0.0], wanted(OFF_LATE))[0]
    assert cost == Cost("balance", -0.24, least=-0.24, phases=("entry",), stages=("fresh",))
    assert cost_place(cost) == "entry, fresh"


def over_the_run(life=None, average=0.0, pressure=None, system="trade"):
    run = RunAfter(life or {}, {"average": average}, pressure or {})
    return [say_cost(cost, system) for cost in list_costs(np.zeros((9, 1)), run, wanted(OFF_LATE), ranking(), 60)]


def test_nothing_is_said_of_tires_and_pace_before_they_are_computed():
    assert list_costs(np.zeros((9, 1)), None, wanted(OFF_LATE), ranking(), 60) == ()


def test_lost_tire_life_and_pace_are_costs_the_dearest_first_and_gains_are_not():
    life = {"RR": (78.0, -2.2), "RF": (70.0, -1.0), "LR": (80.0, 3.0)}
    assert over_the_run(life, 0.034) == [
        "0.03 s a lap slower",
        "the right rear lasts 78 laps instead of 80",
        "the right front lasts 70 laps instead of 71",
    ]
    assert over_the_run({"RR": (58.0, 2.0)}, -0.1) == []


def test_the_laps_a_tire_lasts_are_told_as_whole_ones():
    assert over_the_run({"RF": (94.4, -9.4)}) == ["the right front lasts 94 laps instead of 104"]
    assert over_the_run({"LF": (104.6, -11.6)}) == ["the left front lasts 105 laps instead of 116"]


def test_a_tire_that_outlasts_the_run_twice_is_told_of_only_where_it_loses_many_laps():
    assert over_the_run({"RF": (234.4, -9.4), "RR": (1374.0, -30.0)}) == []
    assert over_the_run({"RF": (200.0, -40.0)}) == ["the right front lasts 200 laps instead of 240"]


def test_a_lap_in_two_hundred_is_not_worth_a_word():
    assert over_the_run({"RR": (200.0, -1.1)}) == []


def test_a_tire_that_is_done_before_the_end_comes_before_everything():
    costs = over_the_run({"RF": (56.0, -6.0)}, 0.2)
    assert costs[0] == "the right front would be done 4 laps before the end"


def test_a_run_that_was_short_before_and_gets_no_shorter_is_no_cost():
    assert over_the_run({"RF": (56.0, 1.0)}) == []


def test_a_hot_pressure_that_moves_is_told_in_the_system_of_the_screen():
    hot = {"RR": (30 * PSI, 1.1 * PSI)}
    assert over_the_run(pressure=hot) == ["right rear 1.1 psi up when hot, to 30.0 psi"]
    assert over_the_run(pressure=hot, system="si") == ["right rear 8 kPa up when hot, to 207 kPa"]


def late(entry, leaving):
    """A change of getting in and of coming off late in the run."""
    moved = {("entry", "worn"): entry, ("exit", "worn"): leaving}
    return np.array([moved.get(place[1:], 0.0) for place in PLACES])[:, None]


def test_of_two_complaints_each_has_its_own_share_and_one_alone_has_none():
    both = wanted({("entry", "worn"): 0.8, ("exit", "worn"): -0.6})
    tight, loose = share_each(both, late(0.08, 0.2))
    assert (complaint_words(tight), complaint_words(loose)) == ("tight getting in", "loose coming off")
    assert (tight.removes, loose.removes) == pytest.approx((-0.1, 1 / 3))
    assert each_words((tight, loose)) == (
        "pulls against the other: tight getting in: about a tenth worse; loose coming off: about a third better"
    )
    assert share_each(wanted(OFF_LATE), late(0.08, 0.2)) == ()


def test_a_change_for_the_good_of_both_says_so_and_going_past_the_mark_is_taken_off():
    def said(of_the_entry, of_the_exit):
        return each_words((Each("tight", ("entry",), None, of_the_entry), Each("loose", ("exit",), "2", of_the_exit)))

    helped = "tight getting in: about half better; loose coming off at 2: about a third better"
    assert said(0.5, 0.3) == f"helps both: {helped}"
    assert said(0.5, 0.05) == "tight getting in: about half better; loose coming off at 2: hardly changed"
    both = wanted({("entry", "worn"): -0.5, ("exit", "worn"): 0.5})
    shares = {complaint_words(one): one.removes for one in share_each(both, late(0.75, -1.25))}
    assert shares == pytest.approx({"loose getting in": 0.5, "tight coming off": -0.5})


def run_after(life, average=0.0):
    return RunAfter(life, {"first": 0.0, "average": average, "last": 0.0})


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
    price = price_run(run_after({"RF": (76.0, -8.0)}, 0.02), weights, 80)
    assert price.tires == pytest.approx(0.5 * 1.0 + 4.0 * 4 / 80)
    assert price.pace == pytest.approx(0.12)
    assert price.total == pytest.approx(price.tires + price.pace)
    assert price.short == ShortRun("RF", pytest.approx(4.0))


def test_quicker_laps_and_longer_tires_cost_nothing():
    price = price_run(run_after({"RF": (90.0, 8.0)}, -0.02), ranking(), 80)
    assert (price.tires, price.pace, price.short) == (0.0, 0.0, None)
