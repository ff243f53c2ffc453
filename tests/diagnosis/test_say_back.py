"""What was read, said back as a person would say it: one thing, or two, three and four at once."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.diagnosis.session import start
from assistant.pages.hearing_words import say_back
from tests.diagnosis.interview_pack import PACK, demo_case, read_complaint

ENDS = ("turns 1-2", "turns 3-4")
UNSAID = "; how bad was not said, so I take 3 of 5."
UNSAID_OFF = "; how bad was not said for loose coming off, so I take 3 of 5 there."


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "tight in, loose off",
            "I read: tight getting in and loose coming off" + UNSAID,
        ),
        (
            "loose off but fine in the middle",
            "I read: fine in the middle and loose coming off" + UNSAID,
        ),
        (
            "loose off late, tight in the middle",
            "I read: loose coming off late in the run and tight in the middle" + UNSAID,
        ),
        (
            "tight early loose late",
            "I read: tight on fresh tires and loose late in the run" + UNSAID,
        ),
        ("loose in, tight off", "I read: loose getting in and tight coming off" + UNSAID),
        ("loose off, tight in", "I read: loose coming off and tight getting in" + UNSAID),
        (
            "loose off, and it hops",
            "I read: loose coming off, and wheel hop as well" + UNSAID,
        ),
        ("it hops and it is on the limiter", "I read: wheel hop and on the limiter."),
        (
            "tight at first and loose late",
            "I read: tight on fresh tires and loose late in the run" + UNSAID,
        ),
        (
            "tight in 1 and 2, loose in 3 and 4",
            "I read: tight at turns 1-2 and loose at turns 3-4" + UNSAID,
        ),
        (
            "tight in and in the middle, loose off",
            "I read: tight getting in and in the middle, and loose coming off" + UNSAID,
        ),
    ],
)
def test_two_things_said_at_once_are_said_back_one_after_the_other(text, sentence):
    assert say_back(read_complaint(text, PACK, ENDS)) == sentence


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "loose in, tight middle, loose off",
            "I read: loose getting in, tight in the middle and loose coming off" + UNSAID,
        ),
        (
            "tight in the middle early, loose off late and it hops under brakes",
            "I read: tight in the middle on fresh tires and loose coming off late in the run, and wheel hop as well"
            + UNSAID,
        ),
        (
            "free on entry, neutral center, tight exit",
            "I read: loose getting in, fine in the middle and tight coming off" + UNSAID,
        ),
    ],
)
def test_three_things_said_at_once_are_said_back_in_the_order_of_the_corner(text, sentence):
    assert say_back(read_complaint(text, PACK, ENDS)) == sentence


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "tight in early, loose in late, loose off early, tight off late",
            "I read: tight getting in on fresh tires, loose coming off on fresh tires, "
            "loose getting in late in the run and tight coming off late in the run" + UNSAID,
        ),
        (
            "tight in early, tight middle late, loose off late and it hops",
            "I read: tight getting in on fresh tires, tight in the middle late in the run and "
            "loose coming off late in the run, and wheel hop as well" + UNSAID,
        ),
    ],
)
def test_four_things_said_at_once_are_each_said_back_whole(text, sentence):
    assert say_back(read_complaint(text, PACK, ENDS)) == sentence


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("tight in, loose off, 4", "I read: tight getting in and loose coming off, both 4 of 5."),
        (
            "loose in, tight middle, loose off, 4",
            "I read: loose getting in, tight in the middle and loose coming off, all 4 of 5.",
        ),
        (
            "a little tight in and very loose off",
            "I read: tight getting in (2 of 5) and loose coming off (4 of 5).",
        ),
        (
            "a little tight in, loose off",
            "I read: tight getting in (2 of 5) and loose coming off" + UNSAID_OFF,
        ),
    ],
)
def test_how_bad_is_said_once_when_it_is_the_same_for_all_and_with_each_when_not(text, sentence):
    assert say_back(read_complaint(text, PACK, ENDS)) == sentence


def test_the_end_is_said_once_when_all_of_it_is_at_one():
    said = say_back(read_complaint("loose into 3, tight off 4", PACK, ENDS))
    assert said == "I read: loose getting in and tight coming off, at turns 3-4" + UNSAID


def test_a_teams_own_figure_for_an_unsaid_severity_is_the_one_said_back():
    pack = replace(PACK, ranking=PACK.ranking.model_copy(update={"severity_unsaid": 2.0}))
    session = start(replace(demo_case(), answers={}, complaint=""), pack, "loose off")
    said = say_back(session.complaint, session.severity_unsaid)
    assert said == "I read: loose coming off; how bad was not said, so I take 2 of 5."


def test_the_time_tells_apart_two_complaints_of_one_place_when_only_one_lacks_how_bad():
    said = say_back(read_complaint("a little loose off early, then loose off late", PACK, ENDS))
    assert said == (
        "I read: loose coming off on fresh tires (2 of 5) and loose coming off late in the run; how bad was not "
        "said for loose coming off late in the run, so I take 3 of 5 there."
    )


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("loose", "I read: loose" + UNSAID),
        ("loose all run long", "I read: loose, all run long" + UNSAID),
        ("loose all the way through the corner", "I read: loose all through the corner" + UNSAID),
        (
            "loose, but tight in the middle",
            "I read: loose getting in, tight in the middle and loose coming off" + UNSAID,
        ),
    ],
)
def test_a_place_or_time_nobody_said_is_not_said_back(text, sentence):
    assert say_back(read_complaint(text, PACK, ENDS)) == sentence


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("rf goes away", "I read: tight, late in the run; it is the RF that goes away; "),
        ("rr falls off late", "I read: loose, late in the run; it is the RR that goes away; "),
        ("the rear goes away", "I read: loose, late in the run; how bad"),
    ],
)
def test_the_tire_that_goes_away_is_said_back(text, sentence):
    assert say_back(read_complaint(text, PACK, ENDS)).startswith(sentence)
