"""Nearest spelling and the grammar of messages."""

import pytest

from assistant.car.keys import ROW_OF
from assistant.ground.names import RENAMED, count_of, did_you_mean, list_words, nearest, quoted, with_article

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
