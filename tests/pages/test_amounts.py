"""Sentences about amounts and chances that several screens share."""

import pytest

from assistant.pages.amounts import no_cause_words


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
