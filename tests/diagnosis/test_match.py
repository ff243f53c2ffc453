"""Which symptoms a complaint is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.diagnosis.match import find_symptoms
from tests.diagnosis.interview_pack import PACK, read_complaint, symptom


def names(text: str, pack=PACK) -> list[str]:
    return [match.symptom for match in find_symptoms(read_complaint(text, pack, ("turns 1-2", "turns 3-4")), pack)]


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("loose off", "loose off"),
        ("loose off late in the run", "loose off"),
        ("loose on long runs", "getting looser through the run"),
        ("loose all the way around", "loose all the way"),
        ("tight in the middle, snaps off", "tight middle snaps loose"),
        ("it bites itself", "tight middle snaps loose"),
        ("loose when I turn in", "loose at turn-in"),
        ("it hammers the floor", "wheel hop"),
        ("pushes in the center", "tight in the middle"),
    ],
)
def test_the_nearest_symptom_comes_first(text, first):
    assert names(text)[0] == first


@pytest.mark.parametrize(
    ("text", "absent"),
    [
        ("loose in", "loose at turn-in"),  # it says more than was said
        ("loose off all run long", "getting looser through the run"),
        ("loose off", "tight middle snaps loose"),
        ("tight in the middle", "tight middle snaps loose"),
        ("tight off", "loose off"),
        ("loose off", "loose all the way"),
        ("loose off", "wheel hop"),
        ("hello", "loose off"),
    ],
)
def test_what_was_not_said_is_not_found(text, absent):
    assert absent not in names(text)


def test_a_symptom_of_two_halves_is_marked_as_whole():
    found = find_symptoms(read_complaint("tight in the middle, snaps off", PACK), PACK)
    assert [match.symptom for match in found if match.whole] == ["tight middle snaps loose"]


def test_a_symptom_at_one_end_is_found_when_an_end_is_named():
    one_end = symptom("loose at one end only", "loose", "all", also_said=["loose in three and four only"])
    pack = replace(PACK, symptoms={**PACK.symptoms, one_end.symptom: one_end})
    assert "loose at one end only" in names("free off in one and two", pack)
    assert "loose at one end only" not in names("loose all the way around", pack)
