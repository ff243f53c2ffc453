"""Sizing one lever: whole legal steps, never past a limit, nothing asked means nothing done."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.advice.results import PassedOver
from assistant.advice.sizing import Moves, lay_moves, size_lever
from assistant.advice.wanted import derive_scale, measure_relief, miss, spoils_more, spread_over, want
from assistant.ground.understood import Cell, Complaint
from assistant.pages.advice_words import say_passed
from tests.advice.round_numbers import ENDS, effect_table, grid, ranking


def complaint(*cells):
    return Complaint(
        "", tuple(Cell(*cell[:3], severity=cell[3], severity_given=True, end=(*cell, None)[4]) for cell in cells)
    )


def wanted(*cells, table=None):
    table = table or effect_table()
    return want(complaint(*cells), table, derive_scale(table, ranking()), ranking())


def moves(down=8, up=8, largest=None, step=1.0):
    return lay_moves("x", 0.0, step, (down, up), lambda steps: steps * step, largest)


LOOSE_OFF_WORN = ("exit", "worn", "loose", 2)


def test_a_loose_cell_wants_to_be_tighter_and_silence_wants_nothing():
    asked = wanted(LOOSE_OFF_WORN, ("entry", "fresh", "fine", 0))
    by_place = dict(zip(asked.places, zip(asked.change, asked.weight, strict=True), strict=True))
    assert by_place[None, "exit", "worn"] == pytest.approx((0.72, 1.0))
    assert by_place[None, "entry", "fresh"] == (0, 0.7)
    assert by_place[None, "middle", "settled"] == (0, 0.25)


def test_ends_are_told_apart_only_when_the_driver_does():
    assert len(wanted(LOOSE_OFF_WORN).places) == 9
    asked = wanted((*LOOSE_OFF_WORN, ENDS[1]))
    assert len(asked.places) == 18
    assert asked.change[asked.places.index((ENDS[1], "exit", "worn"))] > 0
    assert asked.change[asked.places.index((ENDS[0], "exit", "worn"))] == 0
    row = spread_over(asked, grid(0, 0, 0), {ENDS[0]: grid(1, 1, 1)})
    assert row[asked.places.index((ENDS[0], "exit", "worn"))] == 1
    assert row[asked.places.index((ENDS[1], "exit", "worn"))] == 0


def test_words_for_one_end_come_before_words_for_both():
    asked = wanted(("exit", "worn", "fine", 0, ENDS[0]), ("exit", "worn", "loose", 3))
    assert asked.change[asked.places.index((ENDS[0], "exit", "worn"))] == 0
    assert asked.change[asked.places.index((ENDS[1], "exit", "worn"))] > 0


@pytest.mark.parametrize(
    ("effect", "more"),
    [((-0.2, -0.1, 0.0), True), ((-0.1, -0.2, 0.0), False), ((0.0, -0.2, 0.9), False), ((0.0, 0.2, 0.0), True)],
)
def test_only_in_the_cells_complained_of_is_harm_held_against_cure_cell_by_cell(effect, more):
    asked = wanted(("middle", "fresh", "tight", 5), ("entry", "fresh", "loose", 1))
    assert spoils_more(asked, spread_over(asked, grid(*effect), {})) is more


def only_exit(size=0.1):
    """A lever that works on worn exit alone."""
    asked = wanted(LOOSE_OFF_WORN)
    return np.where(asked.reported, size, 0.0)


def test_the_step_count_is_the_whole_number_nearest_to_the_wanted_change():
    sized = size_lever(moves(), only_exit(0.2), wanted(LOOSE_OFF_WORN), step_price=0.002)
    assert sized.steps == 4  # 0.72 wanted, 4 x 0.2 misses by 0.08, 3 x 0.2 by 0.12
    assert sized.relief == 1.0  # all that was asked goes, and what goes past the mark is spoiled
    assert sized.harm == pytest.approx(0.08 / 0.72)
    assert sized.limited_by is None
    assert sized.felt


def test_a_loosening_lever_is_moved_down_for_a_loose_car():
    assert size_lever(moves(), only_exit(-0.2), wanted(LOOSE_OFF_WORN), step_price=0.002).steps == -4


def test_half_the_wanted_change_in_every_reported_cell_is_half_of_the_complaint():
    asked = wanted(LOOSE_OFF_WORN, ("middle", "worn", "loose", 4))
    assert measure_relief(asked, asked.change / 2) == pytest.approx((0.5, 0.0))


def test_harm_elsewhere_stands_beside_what_is_removed():
    asked = wanted(LOOSE_OFF_WORN)
    relief, harm = measure_relief(asked, asked.change / 2 + np.where(asked.reported, 0, 0.3))
    assert relief == pytest.approx(0.5)
    assert 0 < harm < 0.5


def test_more_than_was_asked_takes_all_of_it_away_and_spoils_the_rest():
    asked = wanted(LOOSE_OFF_WORN)
    assert measure_relief(asked, asked.change * 1.38) == pytest.approx((1.0, 0.38))
    assert measure_relief(asked, -asked.change / 2) == pytest.approx((0.0, 0.5))


def test_a_cell_nobody_spoke_of_that_comes_nearer_to_even_spoils_nothing():
    asked = wanted(LOOSE_OFF_WORN)
    loose_elsewhere = replace(asked, now=np.where(asked.reported, -0.7, -0.4))
    better = asked.change / 2 + np.where(asked.reported, 0, 0.3)
    assert measure_relief(loose_elsewhere, better) == pytest.approx((0.5, 0.0))
    crossing = asked.change / 2 + np.where(asked.reported, 0, 0.7)  # from 0.4 loose to 0.3 tight
    assert measure_relief(loose_elsewhere, crossing) == pytest.approx((0.5, 0.0))
    worse = asked.change / 2 + np.where(asked.reported, 0, 1.1)  # from 0.4 loose to 0.7 tight: 0.3 further
    from_even = measure_relief(asked, asked.change / 2 + np.where(asked.reported, 0, 0.3))
    assert measure_relief(loose_elsewhere, worse) == pytest.approx(from_even)


def test_a_lever_is_stopped_by_the_rules_and_says_so():
    sized = size_lever(moves(up=2), only_exit(0.2), wanted(LOOSE_OFF_WORN), step_price=0.002)
    assert (sized.steps, sized.limited_by) == (2, "max")
    sized = size_lever(moves(down=1), only_exit(-0.2), wanted(LOOSE_OFF_WORN), step_price=0.002)
    assert (sized.steps, sized.limited_by) == (-1, "min")


def test_a_lever_is_stopped_by_the_largest_sensible_change_and_says_so():
    sized = size_lever(moves(largest=3.0), only_exit(0.1), wanted(LOOSE_OFF_WORN), step_price=0.002)
    assert (sized.steps, sized.limited_by) == (3, "largest_change")


def test_a_lever_at_its_stop_does_not_move_and_names_the_stop():
    sized = size_lever(moves(up=0), only_exit(0.2), wanted(LOOSE_OFF_WORN), step_price=0.002)
    assert (sized.steps, sized.stop, sized.helps) == (0, "max", False)


def test_a_step_larger_than_the_largest_sensible_change_is_not_made():
    sized = size_lever(moves(step=2.0, largest=1.0), only_exit(0.2), wanted(LOOSE_OFF_WORN), step_price=0.002)
    assert (sized.steps, sized.stop) == (0, "largest_change")


def test_parts_on_the_shelf_are_unevenly_spaced_and_sized_by_their_real_difference():
    shelf = {0: 0.0, 1: 1.0, 2: 5.0}
    sized = size_lever(
        lay_moves("spring_rr", 10.0, 1.0, (0, 2), lambda steps: shelf[steps]),
        only_exit(0.14),
        wanted(LOOSE_OFF_WORN),
        step_price=0.002,
    )
    assert (sized.steps, sized.shift, sized.multiple) == (2, 5.0, 5.0)
    assert sized.effect.max() == pytest.approx(0.7)


def test_a_change_nobody_feels_is_marked():
    assert not size_lever(moves(up=1), only_exit(0.05), wanted(LOOSE_OFF_WORN), step_price=0.0).felt


def test_a_lever_that_does_more_harm_than_good_is_left_alone():
    slope = np.where(wanted(LOOSE_OFF_WORN).reported, 0.01, -0.5)
    sized = size_lever(moves(), slope, wanted(LOOSE_OFF_WORN), step_price=0.002)
    assert (sized.steps, sized.stop) == (0, None)


def test_a_penalty_for_tire_life_shortens_the_move():
    sized = size_lever(
        moves(), only_exit(0.2), wanted(LOOSE_OFF_WORN), step_price=0.002, extra=lambda steps: 0.3 * abs(steps)
    )
    assert 0 < sized.steps < 4


@pytest.mark.parametrize(
    ("title", "stop", "word", "text"),
    [
        ("LR spring", "max", "stiffer", "LR spring is already the stiffest allowed."),
        (
            "right end of the track bar",
            "min",
            "down",
            "Right end of the track bar is already the lowest allowed.",
        ),
        ("toe", "max", "out", "Toe is already as far out as the rules allow."),
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
slopes = st.lists(small, min_size=9, max_size=9).map(np.array)
reach = st.integers(0, 8)
severity = st.floats(0.5, 5)


@given(slopes, reach, reach, severity, st.floats(0.5, 9))
def test_no_move_ever_goes_past_a_limit(slope, down, up, hard, largest):
    sized = size_lever(moves(down, up, largest), slope, wanted(("exit", "worn", "loose", hard)), step_price=0.002)
    assert -down <= sized.steps <= up
    assert abs(sized.shift) <= largest + 1e-9


@given(slopes)
def test_no_complaint_means_no_steps(slope):
    sized = size_lever(moves(), slope, wanted(("exit", "worn", "fine", 0)), step_price=0.002)
    assert (sized.steps, sized.relief, sized.stop, sized.limited_by) == (0, 0.0, None, None)


@given(slopes, st.floats(0.1, 10))
def test_the_answer_does_not_depend_on_the_models_overall_scale(slope, factor):
    once = size_lever(moves(), slope, wanted(LOOSE_OFF_WORN), step_price=0.002)
    table = effect_table(scale=factor)
    scaled = size_lever(moves(), factor * slope, wanted(LOOSE_OFF_WORN, table=table), step_price=0.002)
    assert scaled.steps == once.steps
    assert (scaled.relief, scaled.harm) == pytest.approx((once.relief, once.harm), abs=1e-9)


@given(st.lists(st.floats(0.02, 0.6), min_size=9, max_size=9).map(np.array))
def test_a_worse_complaint_never_asks_for_a_smaller_move(slope):
    counts = [
        size_lever(moves(), slope, wanted(("exit", "worn", "loose", hard)), step_price=0.0).steps
        for hard in range(1, 6)
    ]
    assert counts == sorted(counts)


@given(slopes, severity)
def test_the_chosen_step_is_the_best_of_all_legal_ones(slope, hard):
    asked = wanted(("exit", "worn", "loose", hard))
    sized = size_lever(moves(), slope, asked, step_price=0.0)
    best = min(float(miss(asked, steps * slope)) for steps in range(-8, 9))
    assert float(miss(asked, sized.effect)) == pytest.approx(best, abs=1e-9)
    assert sized.relief - sized.harm >= -1e-9


def test_moves_list_every_legal_step_in_rising_order():
    assert moves(2, 1) == Moves("x", 0.0, (-2, -1, 0, 1), (-2, -1, 0, 1), (-2, -1, 0, 1), "min", "max")


def test_a_lever_whose_plus_makes_the_number_smaller_names_the_end_of_the_number():
    quicker = lay_moves("steering_box", 10.0, -1.0, (3, 0), lambda steps: -1.0 * steps)
    assert quicker.multiple == (-3, -2, -1, 0)
    assert (quicker.low_stop, quicker.high_stop) == ("max", "min")
    sized = size_lever(quicker, only_exit(0.2), wanted(LOOSE_OFF_WORN), step_price=0.002)
    assert (sized.side, sized.stop) == (1, "min")
