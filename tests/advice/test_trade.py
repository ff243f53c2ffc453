"""The trade's view beside the computed one: agreement, contradiction beyond the spread, and nothing to compare."""

from types import SimpleNamespace

import pytest

from assistant.advice.trade import (
    book_row,
    flip,
    judge,
    judge_all,
    judge_lever,
)
from assistant.ground.names import PHASES
from assistant.pages.amounts import say_sources
from assistant.rules.knowledge import cite
from tests.advice.round_numbers import IN, LB_IN, STEPS, grid
from tests.advice.small_pack import lever_file, pack


def lever_effect(lever, *, scale=1.0, basis="computed"):
    """What one step of a lever does, by the orientation numbers."""
    step, row = STEPS[lever]
    return SimpleNamespace(step=step, effect=grid(*(scale * value for value in row)), basis=basis)


def with_trade(**lines):
    """A lever of which the trade says this, phase by phase."""
    entry = lever_file("cross_weight")
    line = entry.trade["exit"]
    return entry.model_copy(
        update={"trade": {p: line.model_copy(update={"balance": says}) for p, says in lines.items()}}
    )


@pytest.mark.parametrize(
    ("says", "change", "usual", "verdict"),
    [
        ("tighter", 0.2, 0.4, "agrees"),
        ("looser", 0.2, 0.4, "differs"),
        ("looser", -0.001, 0.4, "nothing computed"),
        ("looser", None, 0.0, "nothing computed"),
        ("none", 0.01, 0.09, "agrees"),
        ("none", 0.01, -0.2, "differs"),
        ("depends", 0.2, 0.4, "trade says it depends"),
        ("depends", None, 0.0, "trade says it depends"),
    ],
)
def test_one_line_of_the_trade_comes_to_one_of_four_words(says, change, usual, verdict):
    assert judge(says, change, usual) == verdict


def test_a_lever_that_does_nothing_never_agrees_with_a_direction():
    still = lever_effect("cross_weight", scale=0.0)
    said = judge_lever(with_trade(entry="looser", middle="none"), still, PHASES)
    assert said == {"entry": "nothing computed", "middle": "agrees"}
    assert judge_all(with_trade(entry="looser", middle="none"), said) == "nothing computed"


def test_a_line_that_differs_is_never_hidden_by_one_that_agrees_or_depends():
    lever = with_trade(entry="depends", middle="looser", exit="tighter")
    said = judge_lever(lever, lever_effect("cross_weight"), PHASES)
    assert said == {"entry": "trade says it depends", "middle": "differs", "exit": "agrees"}
    assert judge_all(lever, said) == "differs"
    assert judge_all(lever, {"exit": "agrees"}) == "agrees"
    assert judge_all(lever, {}) == ""


def test_a_lever_by_the_book_has_nothing_computed():
    said = judge_lever(with_trade(exit="tighter"), lever_effect("cross_weight", basis="by the book"), PHASES)
    assert said == {"exit": "nothing computed"}


def test_the_word_for_the_other_direction():
    assert [flip(word) for word in ("tighter", "looser", "none", "depends")] == ["looser", "tighter", "none", "depends"]


def test_the_table_of_the_book_is_scaled_from_the_usual_change_to_one_step():
    lever = lever_file("toe", by_the_book={"per_usual_change": {"entry": -0.4}})
    assert book_row(lever, 0.03125 * IN) == {"entry": pytest.approx(-0.2)}  # usual 1/16 in is two steps
    assert book_row(lever_file("toe"), 0.03125 * IN) == {}


def test_changes_in_a_lever_file_are_read_in_its_own_unit():
    assert lever_file("track_bar").in_si("1/4 in") == pytest.approx(0.25 * IN)
    assert lever_file("spring_rr").in_si("50") == pytest.approx(50 * LB_IN)


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("book", "A writer, A book, 1999"),
        ("book, p. 3", "A writer, A book, 1999, p. 3"),
        ("common practice", "common practice, no source"),
        ("memory: handbook", "from memory: handbook"),
        ("memory", "from memory"),
        ("nobody", "nobody"),
    ],
)
def test_sources_are_written_for_people(key, text):
    assert say_sources(cite([key, key], pack())) == (text,)


def test_cautions_are_said_once_and_unknown_ones_left_out():
    assert pack().cautions_for(["stands", "stands", "unknown"]) == ("Car on stands.",)
