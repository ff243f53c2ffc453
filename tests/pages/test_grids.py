"""Under each grid stands one line: the cell to look at first."""

from dataclasses import replace

import pytest

from assistant.belief.picture import Picture
from assistant.ground.names import PHASES, Grid
from assistant.pages.balance import believed_table, believed_then_table, change_table, doubts_of, known_words, stands


def grid(*rows):
    entry, leaving = rows
    return Grid((entry, (0.0, 0.0, 0.0), leaving))


NOW = grid((0.1, 0.0, 0.4), (-0.2, 0.0, -0.9))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (NOW, "Most: 0.90 looser coming off, late in the run."),
        (grid((0.2, 0.2, 0.2), (0.0, 0.0, 0.0)), "Most: 0.20 tighter getting in, all run long."),
        (grid((0.0, 0.0, 0.0), (0.0, 0.0, 0.001)), "No change anywhere."),
    ],
)
def test_the_cell_to_look_at_first_is_named(change, says):
    assert change_table(change).sentence == says


def picture(value, said):
    return Picture(value, value, value, said=said)


def test_who_hears_the_screen_gets_every_cell_in_whole_sentences():
    before = picture(NOW, {("exit", "worn"): "loose"})
    *_, coming_off = believed_table(before).spoken
    assert coming_off == 'Coming off: even on fresh tires, even once settled, "loose" 0.9 +-0.0 late in the run.'
    after = picture(grid((0.1, 0.0, 0.8), (0.0, 0.0, -0.5)), {})
    getting_in, *_, coming_off = believed_then_table(before, after).spoken
    assert getting_in.startswith("Getting in: 0.1 tight, stays on fresh tires, even, stays once settled, 0.4 tight -> ")
    assert coming_off.endswith('"loose" 0.9 -> 0.5 loose late in the run.')


def test_a_time_that_nobody_said_is_not_put_into_the_drivers_mouth():
    said = {("exit", stage): "loose" for stage in ("fresh", "settled", "worn")}
    assert believed_table(picture(NOW, said)).sentence == "In quotes what the driver said."
    left_open = replace(picture(NOW, said), left_open=True)
    assert "where that was left open, it is taken for the whole corner" in believed_table(left_open).sentence


def test_a_cell_that_may_as_well_be_tight_as_loose_is_not_known():
    assert known_words(0.4, -1.0, 1.4) == "not known"
    assert known_words(-0.8, -1.2, -0.3) == "0.8 loose"


def test_a_cell_that_was_spoken_of_is_known_however_wide_its_band():
    wide = Picture(NOW, NOW + Grid.level(dict.fromkeys(PHASES, -2.0)), NOW + Grid.level(dict.fromkeys(PHASES, 2.0)))
    assert not stands(wide, "exit", "worn").is_known
    assert stands(replace(wide, said={("exit", "worn"): "loose"}), "exit", "worn").is_known


def test_a_complaint_of_one_time_that_is_computed_worse_at_another_is_said_to_be_so():
    now = grid((0.0, 0.0, 0.0), (0.6, 0.6, 1.4))
    said = {("exit", "fresh"): "tight"}
    told = "You said tight coming off on fresh tires; computed it is worse late, 1.4 tight: the sizes are less sure."
    assert doubts_of(picture(now, said)) == (told,)
    assert doubts_of(picture(grid((0.0, 0.0, 0.0), (0.6, 0.6, 0.7)), said)) == ()
