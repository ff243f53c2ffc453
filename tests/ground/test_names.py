"""Nearest spelling and the grammar of messages."""

import numpy as np
import pytest

from assistant.car.keys import ROW_OF
from assistant.ground.names import (
    PHASES,
    RENAMED,
    STAGES,
    Grid,
    count_of,
    did_you_mean,
    list_words,
    nearest,
    part_at_corners,
    quoted,
    with_article,
)

LEVERS = ("track_bar_left", "track_bar_right", "stagger", "spring_rr", "toe")


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("track_bar_rihgt", "track_bar_right"),
        ("Track Bar Right", "track_bar_right"),
        ("track-bar-left", "track_bar_left"),
        ("staggr", "stagger"),
        ("STAGGER", "stagger"),
        ("teo", "toe"),
    ],
)
def test_a_slip_finds_the_word_that_was_meant(written, meant):
    assert nearest(written, LEVERS) == meant


@pytest.mark.parametrize("written", ["wing", "", "x" * 10_000])
def test_a_word_unlike_all_others_finds_nothing(written):
    assert nearest(written, LEVERS) is None


def test_the_hint_names_the_nearest_word():
    assert did_you_mean("staggr", LEVERS) == "did you mean 'stagger'?"


def test_the_hint_lists_what_is_allowed_when_nothing_is_near():
    assert did_you_mean("wing", LEVERS) == "allowed: track_bar_left, track_bar_right, stagger, spring_rr, toe"


def test_a_long_list_is_cut_and_says_so():
    assert list_words([str(number) for number in range(12)]) == "0, 1, 2, 3, 4, 5, 6, 7 and 4 more"


def test_no_hint_is_made_of_nothing():
    assert did_you_mean("wing", []) == ""
    assert did_you_mean("centre", PHASES) == "it is called 'middle' now"


def test_an_article_fits_its_noun():
    assert [with_article(noun) for noun in ("angle", "spring rate", "engine speed")] == [
        "an angle",
        "a spring rate",
        "an engine speed",
    ]


def test_one_problem_is_not_problems():
    assert (count_of(1, "problem"), count_of(2, "problem"), count_of(0, "box", "boxes")) == (
        "1 problem",
        "2 problems",
        "0 boxes",
    )


def test_what_somebody_typed_is_quoted_in_one_line_and_a_long_one_is_cut():
    assert quoted(" it  pushes\nlate ") == "'it pushes late'"
    assert quoted("x" * 3000) == f"'{'x' * 60} ...'"


@pytest.mark.parametrize(("old", "new"), RENAMED.items())
def test_the_old_name_of_a_lever_leads_to_the_new_one(old, new):
    assert did_you_mean(old, ROW_OF) == f"it is called '{new}' now"
    assert old not in ROW_OF
    assert did_you_mean(f"{old} softer", ["spring_rr softer"]) == f"it is called '{new} softer' now"


# Corners as people name them.


@pytest.mark.parametrize(
    ("text", "parted"),
    [
        ("LF 690, RF: 640", ("", [("LF", "690"), ("RF", "640")])),
        ("right front 1, rear-left=2", ("", [("RF", "1"), ("LR", "2")])),
        ("5 fr 6 rl", ("5 ", [("RF", "6"), ("LR", "")])),
        ("690 640", ("690 640", [])),
        ("free front, surfer", ("free front, surfer", [])),
    ],
)
def test_a_text_is_parted_at_the_corners_it_names(text, parted):
    assert part_at_corners(text) == parted


# Grids are read like tables and reckoned with like numbers; those of unlike axes do not mix.


ONE = Grid(((1.0, 2.0, 3.0), (4.0, 5.0, 6.0), (7.0, 8.0, 9.0)))


def test_a_grid_reads_like_a_table():
    assert ONE["exit"]["worn"] == 9.0
    assert list(ONE) == list(PHASES)
    assert list(ONE["entry"].items()) == list(zip(STAGES, (1.0, 2.0, 3.0), strict=True))
    with pytest.raises(KeyError):
        ONE["straight"]


def test_grids_add_subtract_and_multiply_cell_by_cell():
    assert (ONE + ONE).cells == (2 * ONE).cells == (ONE * 2.0).cells
    assert Grid.level(dict.fromkeys(PHASES, 0.0)) == ONE - ONE
    assert ONE.map(lambda value: -value)["middle"] == {"fresh": -4.0, "settled": -5.0, "worn": -6.0}


def test_a_grid_and_its_array_are_one_thing():
    cells = ONE.array()
    assert cells.shape == (len(STAGES), len(PHASES))
    assert cells[2, 0] == ONE["entry"]["worn"]
    assert Grid.of_array(cells) == ONE
    assert Grid.of_array(np.zeros((3, 3)))["exit"]["fresh"] == 0.0


def test_a_grid_may_have_other_stages():
    four = Grid.of({"entry": {"cold": 1.0, "fresh": 2.0}, "exit": {"cold": 3.0, "fresh": 4.0}})
    assert four.stages == ("cold", "fresh")
    assert (four + four)["exit"]["cold"] == 6.0


def test_grids_of_other_stages_do_not_mix():
    with pytest.raises(ValueError, match="not alike"):
        ONE + Grid.of({"entry": {"cold": 1.0}})
