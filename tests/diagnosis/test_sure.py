"""What is claimed and what came true: the error is the mean distance of claim and outcome, part by part."""

import pytest

from tests.diagnosis.sure import Claim, draw_cars, error_of


def test_claims_that_are_kept_have_no_error_and_those_that_are_not_have_theirs():
    kept = [Claim(0.25, float(at == 0)) for at in range(4)]
    assert error_of(kept) == pytest.approx(0.0)
    assert error_of([*kept, *(Claim(0.9, 0.4) for _ in range(4))]) == pytest.approx(0.25)


def test_a_car_is_drawn_with_a_fault_of_the_pack_that_can_make_its_complaint_and_answers_for_itself():
    drawn = list(draw_cars(6))
    assert {session.text for _, session in drawn} == {
        f"{balance} {where}" for balance in ("loose", "tight") for where in ("in", "in the middle", "off")
    }
    for fault, session in drawn:
        assert fault in session.knowledge.causes
        assert session.next_question() is None
        assert session.given
