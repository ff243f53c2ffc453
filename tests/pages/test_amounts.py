"""Sentences about amounts and chances that several screens share."""

import pytest

from assistant.ground.quantities import PSI
from assistant.pages.amounts import move_words, no_cause_words, opposite_words


@pytest.mark.parametrize(
    ("chance", "says"),
    [
        (0.2, "No cause stands out (likeliest, about 2 in 10: the axle is bent)."),
        (0.5, "No cause is certain yet (likeliest, about 5 in 10: the axle is bent)."),
    ],
)
def test_a_cause_that_is_half_likely_is_not_said_to_be_none(chance, says):
    assert no_cause_words("the axle is bent", chance) == says
    assert no_cause_words("the axle is bent", chance, "loose in") == f"{says} Levers treat 'loose in'."


@pytest.mark.parametrize(
    ("system", "says"),
    [
        ("trade", "lower the right rear pressure 0.5 psi, from 22.0 to 21.5"),
        ("si", "lower the right rear pressure 3.5 kPa, from 151.7 to 148.2"),
    ],
)
def test_what_a_move_is_said_to_be_is_what_lies_between_its_ends_as_they_are_said(knowledge, system, says):
    words = knowledge.levers["pressure_rr"]
    assert move_words(words, 22.0 * PSI, 21.5 * PSI, -0.5 * PSI, system) == says


def test_two_causes_that_want_opposite_changes_are_said_in_one_line_with_what_tells_which_it_is():
    says = opposite_words("off balance", "tight in the middle", "Watch the front wheels.")
    assert (
        says
        == "Off balance, or tight in the middle: these want opposite changes. Before either: Watch the front wheels."
    )
