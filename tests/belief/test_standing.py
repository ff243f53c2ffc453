"""Where a complaint anchors the model."""

import pytest

from assistant.belief.standing import NEUTRAL, read_standing
from assistant.ground.understood import Cell, Complaint


def said(*cells):
    return Complaint(
        "", tuple(Cell(phase, stage, balance, severity, True) for phase, stage, balance, severity in cells)
    )


def test_without_a_complaint_every_phase_is_neutral_when_settled():
    assert read_standing(None) == NEUTRAL
    assert read_standing(said(("exit", "worn", "fine", 3))) == NEUTRAL


def test_a_phase_stands_where_and_as_badly_as_it_was_reported():
    standing = read_standing(said(("exit", "worn", "loose", 3), ("middle", "fresh", "tight", 1)))
    assert standing.stages == (1, 0, 2)
    assert standing.targets == (0.0, 0.2, -0.8)


@pytest.mark.parametrize(
    ("cells", "stage", "target"),
    [
        ([("exit", "fresh", "tight", 2), ("exit", "worn", "loose", 2)], 2, -0.4),
        ([("exit", "fresh", "loose", 3), ("exit", "settled", "loose", 3), ("exit", "worn", "loose", 3)], 1, -0.8),
        ([("exit", "settled", "loose", 2), ("exit", "worn", "loose", 5)], 2, -2.0),
    ],
    ids=["of two equal reports the later one", "all run long is settled", "the worst report"],
)
def test_of_several_reports_of_a_phase(cells, stage, target):
    standing = read_standing(said(*cells))
    assert (standing.stages[2], standing.targets[2]) == (stage, target)
