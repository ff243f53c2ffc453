"""The trade's view beside the computed one: agreement, contradiction beyond the spread, and nothing to compare."""

from dataclasses import replace

import pytest

from assistant.advice.offers.trade import (
    by_the_book,
    compare_with_trade,
    flip,
    is_decided,
    read_change,
    read_share,
    say_cautions,
    scale_spread,
)
from assistant.rules.knowledge import say_sources
from tests.advice.small_pack import lever_file, pack
from tests.advice.synthetic import IN, LB_IN, PHASES, STAGES, effect_table, grid, lever_effect


def with_bands(low, high, value):
    band = {phase: dict.fromkeys(STAGES, (low, high)) for phase in PHASES}
    return replace(lever_effect("cross_weight"), effect=grid(value, value, value), spread=band)


@pytest.mark.parametrize(
    ("trade", "low", "high", "value", "agrees"),
    [
        ({"exit": "tighter"}, 0.1, 0.3, 0.2, True),
        ({"exit": "looser"}, 0.1, 0.3, 0.2, False),
        ({"exit": "looser"}, -0.1, 0.3, 0.2, None),  # differs, but not on all cars
        ({"exit": "tighter", "middle": "looser"}, 0.1, 0.3, 0.2, False),
        ({"exit": "tighter", "middle": "looser"}, -0.1, 0.3, 0.2, None),
        ({"exit": "depends", "middle": "none"}, 0.1, 0.3, 0.2, None),
        ({}, 0.1, 0.3, 0.2, None),
    ],
)
def test_agreement_is_broken_only_beyond_the_spread(trade, low, high, value, agrees):
    assert compare_with_trade(trade, with_bands(low, high, value), PHASES) is agrees


def test_only_the_phases_asked_about_are_compared():
    effect = with_bands(0.1, 0.3, 0.2)
    assert compare_with_trade({"exit": "looser", "middle": "tighter"}, effect, ("middle",)) is True


def test_what_was_not_computed_cannot_agree():
    assert compare_with_trade({"exit": "tighter"}, lever_effect("cross_weight", basis="by the book"), PHASES) is None


def test_the_word_for_the_other_direction():
    assert [flip(word) for word in ("tighter", "looser", "none", "depends")] == ["looser", "tighter", "none", "depends"]


def test_the_table_of_the_book_is_scaled_from_the_usual_change_to_one_step():
    lever = lever_file("toe", by_the_book={"per_usual_change": {"entry": -0.4}})
    effect = replace(lever_effect("spring_rf", basis="by the book"), id="toe", step=0.03125 * IN)
    booked = by_the_book(effect, lever, effect_table())
    assert booked.effect["entry"]["worn"] == pytest.approx(-0.2)  # usual 1/16 in is two steps
    assert booked.effect["exit"]["worn"] == 0
    assert booked.spread["entry"]["worn"] == (pytest.approx(-0.4), 0.0)


def test_the_table_of_the_book_never_replaces_what_is_computed():
    effect = lever_effect("spring_rf")
    assert (
        by_the_book(effect, lever_file("toe", by_the_book={"per_usual_change": {"entry": 9}}), effect_table()) is effect
    )


def test_decided_means_clear_of_zero_in_every_cell_complained_of():
    from tests.advice.test_costs import wanted

    asked = wanted({("exit", "worn"): 0.7})
    clear, across = (0.1, 0.3), (-0.1, 0.3)
    band = {phase: dict.fromkeys(STAGES, across) for phase in PHASES}
    assert not is_decided(band, asked)
    assert is_decided(band | {"exit": {"fresh": across, "settled": across, "worn": clear}}, asked)
    assert not is_decided({}, asked)


def test_changes_in_a_lever_file_are_read_in_its_own_unit():
    assert read_change("1/4 in", lever_file("track_bar")) == pytest.approx(0.25 * IN)
    assert read_change("50", lever_file("spring_rr")) == pytest.approx(50 * LB_IN)
    assert read_share("-10 %") == pytest.approx(-0.1)


def test_a_negative_factor_swaps_the_ends_of_a_band():
    assert scale_spread({"exit": {"worn": (-1.0, 3.0)}}, -2) == {"exit": {"worn": (-6.0, 2.0)}}


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
    assert say_sources([key, key], pack()) == (text,)


def test_cautions_are_said_once_and_unknown_ones_left_out():
    assert say_cautions(["stands", "stands", "unknown"], pack()) == ("Car on stands.",)
