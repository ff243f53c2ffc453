"""Fifteen complaints on four cars: nothing that is shown of the balance is untrue of the driver's own words."""

import io
import sys

import pytest

from assistant.belief.garage import Garage
from assistant.belief.known import is_any_time
from assistant.belief.picture import Told, believe_told, read_picture
from assistant.car.files import read_case
from assistant.cli import main
from assistant.diagnosis.session import start
from assistant.ground.names import PHASE_WORDS, STAGES
from assistant.pages.balance import FINE, believed_table, doubts_of, stands
from tests.conftest import DRIVEN

WORDS = (
    "loose off late, fine the first ten laps",
    "tight in the middle",
    "loose in",
    "tight off the corner all run long",
    "fine early, then it goes tight in the middle late",
    "a little loose off on fresh tires, better later",
    "it snaps loose on throttle",
    "tight in turns 1 and 2, fine in 3 and 4",
    "loose in and tight off",
    "loose everywhere",
    "tight on cold tires, then it comes in",
    "loose off late in the run, entry is fine",
    "it gets tighter as the run goes on",
    "real bad loose off from lap 20 on",
    "fine on entry, tight center, loose off late",
)
GUESSES = "a car of guesses"
COMPLAINED = 0.8
"""Balance [%] behind a complaint nobody sized: where a cell stands so, it is not fine."""


@pytest.fixture(scope="module", params=("demo", "demo-tight", "demo-snap", GUESSES))
def car(request, tmp_path_factory):
    """A case, and its driven cars."""
    name = request.param
    if name == GUESSES:
        folder = tmp_path_factory.mktemp("own")
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(sys, "stdin", io.StringIO())
            patch.chdir(folder)
            assert main(["new", "case", "mine"]) == 0
        name = str(folder / "mine" / "case.yaml")
    case = read_case(name)
    return case, Garage(case, folder=DRIVEN)


@pytest.mark.parametrize("words", WORDS)
def test_nothing_shown_is_untrue_of_his_own_words(car, knowledge, words):
    case, garage = car
    complaint = start(case, knowledge, words).complaint
    assert complaint.cells
    shown = read_picture(believe_told(case, [Told(case.setup, complaint)], garage))
    told_apart = any(cell.end is not None for cell in complaint.cells)
    assert not shown.shut or told_apart, "only ends that are alike may be said to stand apart in vain"
    if shown.shut:
        assert doubts_of(shown)
        return
    assert doubts_of(shown) == ()
    for there in (shown, *shown.ends.values()):
        for (phase, stage), said in there.said.items():
            value = stands(there, phase, stage).value
            assert stands_as_said(said, value), (phase, stage, said, value)
    for row in believed_table(shown).rows:
        assert_true_to(row, complaint)


def stands_as_said(said, value):
    return {"tight": value > 0.0, "loose": value < 0.0, FINE: abs(value) < COMPLAINED}[said]


def assert_true_to(row, complaint):
    """A word is quoted where it was said and nowhere else, and no other way is told of a corner one way was said of."""
    (phase,) = (one for one, words in PHASE_WORDS.items() if words == row[0])
    mine = [cell for cell in complaint.cells if cell.phase == phase and cell.end is None]
    quoted = {stage for stage, text in zip(STAGES, row[1:], strict=True) if '"' in text}
    cold = {STAGES[0]} if "cold tires" in complaint.moments else set()
    then_fine = any(cell.stage == STAGES[1] and cell.balance == "fine" for cell in mine)
    said = {cell.stage for cell in mine if not is_any_time(cell)}
    assert quoted == (said if then_fine else said - cold)  # what is gone after the cold laps is fine from then on
    ways = {cell.balance for cell in mine if is_any_time(cell)}
    if len(ways) == 1:
        other = {"tight": "loose", "loose": "tight"}[ways.pop()]
        assert not any(text.endswith(other) for text in row[1:]), row
