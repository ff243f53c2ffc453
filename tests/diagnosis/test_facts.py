"""Facts of a complaint, for the conditions of the packs."""

import pytest

from assistant.diagnosis.evidence import facts_of_answers, facts_of_complaint
from assistant.ground.understood import Cell, Complaint


def complaint(*cells):
    return Complaint(
        "", tuple(Cell(phase, stage, balance, 3.0, severity_given=True) for phase, stage, balance in cells)
    )


@pytest.mark.parametrize(
    ("cells", "entry", "middle", "leaving"),
    [
        ((("middle", "worn", "tight"), ("exit", "worn", "loose")), "none", "tight", "loose"),
        ((("exit", "fresh", "loose"), ("exit", "worn", "tight")), "none", "none", "both"),
        ((("entry", "fresh", "fine"),), "none", "none", "none"),
    ],
)
def test_what_is_reported_in_each_phase_is_a_fact_of_its_own(cells, entry, middle, leaving):
    facts = facts_of_complaint(complaint(*cells))
    assert [facts[f"balance_{phase}"] for phase in ("entry", "middle", "exit")] == [entry, middle, leaving]


@pytest.mark.parametrize(
    ("told", "blamed"),
    [
        ({"was_right": "never", "what_changed": "suspension"}, None),
        ({"was_right": "never", "what_changed": "nothing"}, "nothing"),
        ({"was_right": "never", "what_changed": "front", "which_front": "hit"}, "front"),
        ({"was_right": "yes", "what_changed": "suspension"}, "suspension"),
        ({"was_right": "new", "what_changed": "suspension"}, "suspension"),
    ],
)
def test_a_car_that_never_was_right_has_no_change_but_a_hit_to_blame(told, blamed):
    assert facts_of_answers(told).get("what_changed") == blamed
