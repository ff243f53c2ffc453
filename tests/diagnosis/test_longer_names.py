"""Whose name it is: the longer exact name wins, whichever pack it is from, and no name talks a danger away."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.diagnosis.hearing import read
from assistant.diagnosis.match import find_symptoms
from assistant.diagnosis.session import start
from assistant.rules.knowledge import Knowledge
from tests.diagnosis.interview_pack import PACK, demo_case, phrases, read_complaint, symptom

TEAM = [
    symptom("hops off the last bump", "loose", "exit"),
    symptom("spins the right rear over the tunnel", "loose", "exit"),
    symptom("loose in like a shopping trolley", "loose", "all"),
    symptom("tight middle snaps loose over the seam", "loose", "exit"),
    symptom("rear hops over the tunnel seam", "none", "entry"),
    symptom("loose off once the tank is nearly empty", "loose", "exit", stages=["worn"], trend="looser"),
    symptom("pushes like a sofa", "tight", "all", also_said=["pulls to one side of the sofa"]),
    symptom("shakes its tail off the corner", "loose", "exit"),
    symptom("loose on the drive down the pit wall side", "loose", "exit"),
]
DANGER = symptom("pulls to one side", "none", "all", safety=True)


def team_pack() -> Knowledge:
    named = {one.symptom: one for one in (*PACK.symptoms.values(), DANGER, *TEAM)}
    return replace(PACK, symptoms=named, first_phrases=phrases())


PACK_OF_TEAM = team_pack()


def names(text: str) -> list[str]:
    return [match.symptom for match in find_symptoms(read_complaint(text, PACK_OF_TEAM), PACK_OF_TEAM)]


@pytest.mark.parametrize(
    "name", [one.symptom for one in TEAM if one.symptom not in {"pushes like a sofa", "shakes its tail off the corner"}]
)
def test_a_symptom_whose_exact_name_was_typed_comes_first(name):
    assert names(f"it {name}")[0] == name
    assert names(f"{name.upper()}!")[0] == name


@pytest.mark.parametrize("text", ["the rear hops off the last bump", "the car snaps, hops off the last bump"])
def test_a_name_may_begin_inside_a_shorter_phrase_of_the_base(text):
    assert names(text)[0] == "hops off the last bump"
    assert "wheel hop" not in read_complaint(text, PACK_OF_TEAM).other


def test_with_a_second_complaint_the_longer_name_still_beats_the_shorter_one():
    found = names("loose on the drive down the pit wall side, and it is tight in the middle")
    assert found.index("loose on the drive down the pit wall side") < found.index("loose off")


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("loose off", "loose off"),
        ("the rear hops", "wheel hop"),
        ("loose in", "loose in"),
        ("tight in the middle, snaps off", "tight middle snaps loose"),
        ("tight middle snaps loose", "tight middle snaps loose"),
    ],
)
def test_a_longer_name_that_was_not_typed_wins_nothing(text, first):
    assert names(text)[0] == first


def test_a_name_of_two_halves_that_says_more_is_found_only_when_it_was_said():
    assert "tight middle snaps loose over the seam" not in names("tight in the middle, snaps off")


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("it shakes its tail off the corner", "vibration"),
        ("hops off the last bump with no brakes", "a fault in the brakes"),
    ],
)
def test_a_sign_to_stop_for_stays_one_inside_and_beside_a_teams_name(text, sign):
    assert sign in read(text, PACK_OF_TEAM).said.safety


@pytest.mark.parametrize(
    "text",
    [
        "pulls to one side of the sofa",
        "hops off the last bump and pulls to one side",
        "loose off, 5, and it pulls to one side",
    ],
)
def test_a_symptom_to_stop_for_stops_whatever_longer_name_was_typed_with_it(text):
    stop = start(demo_case(), PACK_OF_TEAM, text).stop
    assert stop is not None
    assert "pulls to one side" in stop.signs


def test_the_words_of_a_name_that_was_typed_are_not_called_not_understood():
    assert read_complaint("loose in like a shopping trolley, flurb", PACK_OF_TEAM).not_understood == ("flurb",)
    assert "shopping" in read_complaint("loose in, shopping", PACK_OF_TEAM).not_understood
