"""Sizing one lever: whole legal steps, never past a limit, nothing asked means nothing done, the best on the mean."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.advice.results import PassedOver
from assistant.advice.sizing import Moves, lay_moves, size_lever
from assistant.belief.cures import judge, share_out, value_moves, want
from assistant.ground.understood import Cell, Complaint
from assistant.pages.advice_words import say_passed
from tests.advice.round_numbers import CARS, ENDS, PLACES, few_cars, wanted_on_one_car


def complaint(*cells):
    return Complaint(
        "", tuple(Cell(*cell[:3], severity=cell[3], severity_given=True, end=(*cell, None)[4]) for cell in cells)
    )


def wanted(*cells):
    said = complaint(*cells)
    return want(few_cars(said), said)


def moves(down=8, up=8, largest=None, step=1.0):
    return lay_moves("x", 0.0, step, (down, up), lambda steps: steps * step, largest)


def alone(balance=-0.72, **more):
    """One car that is loose (-) off the corner late."""
    return wanted_on_one_car({("exit", "worn"): balance}, **more)


def row(otherwise=0.0, **cells):
    """A change of every place of one car; cells: phase_stage."""
    return np.array([cells.get(f"{phase}_{stage}", otherwise) for _, phase, stage in PLACES])[:, None]


def size(step, asked=None, *, legal=None, price=0.002, **more):
    return size_lever(legal or moves(), step, asked or alone(), step_price=price, **more)


LOOSE_OFF_WORN = ("exit", "worn", "loose", 2)


def test_ends_are_told_apart_only_when_the_driver_does():
    assert len(wanted(LOOSE_OFF_WORN).places) == 9
    asked = wanted((*LOOSE_OFF_WORN, ENDS[1]))
    assert len(asked.places) == 18
    assert asked.signs[asked.places.index((ENDS[1], "exit", "worn"))] == -1
    assert asked.signs[asked.places.index((ENDS[0], "exit", "worn"))] == 0


def test_words_for_one_end_come_before_words_for_both():
    asked = wanted(("exit", "worn", "fine", 0, ENDS[0]), ("exit", "worn", "loose", 3))
    assert asked.signs[asked.places.index((ENDS[0], "exit", "worn"))] == 0
    assert asked.signs[asked.places.index((ENDS[1], "exit", "worn"))] == -1


def test_cells_nobody_spoke_of_count_together_half_of_those_complained_of():
    asked = wanted(LOOSE_OFF_WORN, ("entry", "fresh", "fine", 0))
    assert asked.weights[asked.places.index((None, "entry", "fresh"))] == 0.7
    assert asked.weights[~asked.spoken].sum() == pytest.approx(0.5)


def test_the_step_count_is_the_whole_number_that_leaves_least():
    sized = size(row(exit_worn=0.2))
    assert sized.steps == 4  # from 0.72 loose to 0.08 tight; three steps leave 0.12 loose
    assert sized.verdict.removes == pytest.approx(1.0 - 0.08 / 0.72)
    assert (sized.verdict.spoils, sized.limited_by, sized.verdict.felt) == (0.0, None, True)


def test_a_loosening_lever_is_moved_down_for_a_loose_car():
    assert size(row(exit_worn=-0.2)).steps == -4


def test_half_the_balance_in_every_cell_complained_of_is_half_of_the_complaint():
    asked = wanted_on_one_car({("exit", "worn"): -0.4, ("middle", "worn"): -1.3})
    verdict = judge(asked, -asked.before / 2)
    assert (verdict.removes, verdict.spoils) == pytest.approx((0.5, 0.0))


def test_harm_elsewhere_stands_beside_what_is_removed():
    asked = alone()
    verdict = judge(asked, row(0.3, exit_worn=0.36))
    assert verdict.removes == pytest.approx(0.5)
    assert verdict.spoils == pytest.approx(0.5 * (0.3 - 0.1) / 0.72)  # what can be felt, half in all, of the complaint


def test_what_goes_past_neutral_is_as_bad_there_as_it_was_here():
    assert judge(alone(), row(exit_worn=1.38 * 0.72)).removes == pytest.approx(1.0 - 0.38)
    wrong = judge(alone(), row(exit_worn=-0.36))
    assert (wrong.removes, wrong.spoils) == pytest.approx((0.0, 0.5))
    twice = judge(alone(), row(exit_worn=2.5 * 0.72))
    assert (twice.removes, twice.spoils) == pytest.approx((0.0, 0.5))


def test_a_cell_that_comes_nearer_to_even_spoils_nothing_and_a_change_of_sign_for_the_good_is_no_harm():
    now = dict.fromkeys([place[1:] for place in PLACES], -0.4)
    asked = alone(now=now)
    assert judge(asked, row(0.3, exit_worn=0.36)).spoils == 0.0
    assert judge(asked, row(0.7, exit_worn=0.36)).spoils == 0.0  # from 0.4 loose to 0.3 tight
    from_even = judge(alone(), row(0.3, exit_worn=0.36)).spoils
    assert judge(asked, row(1.1, exit_worn=0.36)).spoils == pytest.approx(from_even)  # to 0.7 tight: 0.3 further


def test_a_cure_that_spoils_a_cell_spoken_of_is_none():
    asked = wanted_on_one_car({("exit", "worn"): -0.72}, fine={("exit", "fresh")})
    assert judge(asked, row(exit_worn=0.6)).cures == pytest.approx(0.99)
    assert judge(asked, row(exit_worn=0.6, exit_fresh=0.05)).cures == pytest.approx(0.99)
    assert judge(asked, row(exit_worn=0.6, exit_fresh=0.15)).cures == pytest.approx(0.01)


def test_chances_are_of_the_cars_on_which_it_is_so():
    asked = wanted(LOOSE_OFF_WORN)
    moved = np.zeros((9, CARS))
    moved[8] = np.where(np.arange(CARS) < 70, 0.3, -0.1)
    verdict = judge(asked, moved)
    assert (verdict.cures, verdict.direction) == pytest.approx((0.7, 0.7))


def test_a_lever_is_stopped_by_the_rules_and_says_so():
    sized = size(row(exit_worn=0.2), legal=moves(up=2))
    assert (sized.steps, sized.limited_by) == (2, "max")
    sized = size(row(exit_worn=-0.2), legal=moves(down=1))
    assert (sized.steps, sized.limited_by) == (-1, "min")


def test_a_lever_is_stopped_by_the_largest_sensible_change_and_says_so():
    sized = size(row(exit_worn=0.1), legal=moves(largest=3.0))
    assert (sized.steps, sized.limited_by) == (3, "largest_change")


def test_a_lever_at_its_stop_does_not_move_and_names_the_stop():
    sized = size(row(exit_worn=0.2), legal=moves(up=0))
    assert (sized.steps, sized.stop, sized.helps) == (0, "max", False)


def test_a_step_larger_than_the_largest_sensible_change_is_not_made():
    sized = size(row(exit_worn=0.2), legal=moves(step=2.0, largest=1.0))
    assert (sized.steps, sized.stop) == (0, "largest_change")


def test_parts_on_the_shelf_are_unevenly_spaced_and_sized_by_their_real_difference():
    shelf = {0: 0.0, 1: 1.0, 2: 5.0}
    legal = lay_moves("spring_rr", 10.0, 1.0, (0, 2), lambda steps: shelf[steps])
    sized = size(row(exit_worn=0.14), legal=legal)
    assert (sized.steps, sized.shift, sized.multiple) == (2, 5.0, 5.0)
    assert sized.verdict.removes == pytest.approx(0.7 / 0.72)


def test_a_change_nobody_feels_is_marked():
    assert not size(row(exit_worn=0.05), legal=moves(up=1), price=0.0).verdict.felt


def test_a_lever_that_does_more_harm_than_good_is_left_alone():
    sized = size(row(-0.5, exit_worn=0.01))
    assert (sized.steps, sized.stop) == (0, None)


def test_a_penalty_for_tire_life_shortens_the_move():
    sized = size(row(exit_worn=0.2), extra=lambda steps: 0.2 * abs(steps))
    assert 0 < sized.steps < 4


def test_where_cars_differ_the_size_is_the_one_that_is_best_on_their_mean():
    asked = wanted(LOOSE_OFF_WORN)
    step = np.zeros((9, CARS))
    step[8] = np.linspace(0.05, 0.15, CARS)
    sized = size(step, asked, price=0.0)
    values = [float(value_moves(asked, (steps * step)[None])[0]) for steps in range(-8, 9)]
    assert sized.steps == range(-8, 9)[int(np.argmax(values))]
    gone, spoiled = share_out(asked, sized.steps * step)
    assert sized.verdict.removes == pytest.approx(gone.mean())
    assert sized.verdict.spoils == pytest.approx(spoiled.mean())


def test_the_mildest_complaint_asks_for_one_small_step_of_a_strong_lever():
    sized = size(row(exit_worn=0.18), alone(-0.2))
    assert sized.steps == 1


@pytest.mark.parametrize(
    ("title", "stop", "word", "text"),
    [
        ("LR spring", "max", "stiffer", "LR spring, stiffer: already as far as the rules allow."),
        (
            "right end of the track bar",
            "min",
            "down",
            "Right end of the track bar, down: already as far as the rules allow.",
        ),
        ("toe", "max", "out", "Toe, out: already as far as the rules allow."),
        (
            "final drive",
            "largest_change",
            "more",
            "The next step of the final drive is more than the largest sensible single change.",
        ),
    ],
)
def test_the_words_for_a_stop(title, stop, word, text):
    assert say_passed([PassedOver("", title, stop, word)]) == (text,)


small = st.floats(-0.6, 0.6, allow_nan=False)
slopes = st.lists(small, min_size=9, max_size=9).map(lambda values: np.array(values)[:, None])
reach = st.integers(0, 8)
severity = st.floats(0.1, 2.0)


@given(slopes, reach, reach, severity, st.floats(0.5, 9))
def test_no_move_ever_goes_past_a_limit(slope, down, up, hard, largest):
    sized = size(slope, alone(-hard), legal=moves(down, up, largest))
    assert -down <= sized.steps <= up
    assert abs(sized.shift) <= largest + 1e-9


@given(slopes)
def test_no_complaint_means_no_steps(slope):
    asked = wanted_on_one_car({}, fine={("exit", "worn")})
    assert not asked.asks
    sized = size(slope, asked)
    assert (sized.steps, sized.verdict.removes, sized.stop, sized.limited_by) == (0, 0.0, None, None)


@given(st.lists(st.floats(0.02, 0.6), min_size=9, max_size=9).map(lambda values: np.array(values)[:, None]))
def test_a_worse_complaint_never_asks_for_a_smaller_move(slope):
    only = slope * (np.array([place[1:] == ("exit", "worn") for place in PLACES])[:, None])
    counts = [size(only, alone(-hard), price=0.0).steps for hard in (0.2, 0.4, 0.8, 1.3, 2.0)]
    assert counts == sorted(counts)


@given(slopes, severity)
def test_the_chosen_step_is_the_best_of_all_legal_ones(slope, hard):
    asked = alone(-hard)
    sized = size(slope, asked, price=0.0)
    best = max(float(value_moves(asked, (steps * slope)[None])[0]) for steps in range(-8, 9))
    assert sized.verdict.gain == pytest.approx(best, abs=1e-9)
    assert sized.verdict.gain >= -1e-9


def test_moves_list_every_legal_step_in_rising_order():
    assert moves(2, 1) == Moves("x", 0.0, (-2, -1, 0, 1), (-2, -1, 0, 1), (-2, -1, 0, 1), "min", "max")


def test_a_lever_whose_plus_makes_the_number_smaller_names_the_end_of_the_number():
    quicker = lay_moves("steering_box", 10.0, -1.0, (3, 0), lambda steps: -1.0 * steps)
    assert quicker.multiple == (-3, -2, -1, 0)
    assert (quicker.low_stop, quicker.high_stop) == ("max", "min")
    sized = size(row(exit_worn=0.2), legal=quicker)
    assert (sized.side, sized.stop) == (1, "min")
