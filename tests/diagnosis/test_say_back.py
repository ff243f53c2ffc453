"""What was read, said back as a person would say it: one thing, or two, three and four at once."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.diagnosis.session import start
from assistant.pages.hearing_words import say_back
from tests.diagnosis.interview_pack import ENDS, PACK, demo_case, read_complaint
from tests.diagnosis.vignettes import read_file

TYPED = read_file("said_back")
UNSAID = "; how bad was not said, so I take 3 of 5."


@pytest.mark.parametrize("rule", TYPED)
def test_what_was_read_is_said_back(rule):
    assert {text: say_back(read_complaint(text, PACK, ENDS)) for text in TYPED[rule]} == TYPED[rule]


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
        ("rf goes away", "I read: tight, late in the run; it is the RF that goes away; "),
        ("rr falls off late", "I read: loose, late in the run; it is the RR that goes away; "),
        ("the rear goes away", "I read: loose, late in the run; how bad"),
    ],
)
def test_the_tire_that_goes_away_is_said_back(text, sentence):
    assert say_back(read_complaint(text, PACK, ENDS)).startswith(sentence)
