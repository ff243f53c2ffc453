"""Grids are read like tables and reckoned with like numbers; those of unlike axes do not mix."""

import numpy as np
import pytest

from assistant.ground.names import PHASES, STAGES, Grid

ONE = Grid(((1.0, 2.0, 3.0), (4.0, 5.0, 6.0), (7.0, 8.0, 9.0)))


def test_a_grid_reads_like_a_table():
    assert ONE["exit"]["worn"] == 9.0
    assert list(ONE) == list(PHASES)
    assert list(ONE["entry"].items()) == list(zip(STAGES, (1.0, 2.0, 3.0), strict=True))
    with pytest.raises(KeyError):
        ONE["straight"]


def test_grids_add_subtract_and_multiply_cell_by_cell():
    assert (ONE + ONE).cells == (2 * ONE).cells == (ONE * 2.0).cells
    assert Grid.level(dict.fromkeys(PHASES, 0.0)) == ONE - ONE
    assert ONE.map(lambda value: -value)["middle"] == {"fresh": -4.0, "settled": -5.0, "worn": -6.0}


def test_a_grid_and_its_array_are_one_thing():
    cells = ONE.array()
    assert cells.shape == (len(STAGES), len(PHASES))
    assert cells[2, 0] == ONE["entry"]["worn"]
    assert Grid.of_array(cells) == ONE
    assert Grid.of_array(np.zeros((3, 3)))["exit"]["fresh"] == 0.0


def test_a_grid_may_have_other_stages():
    four = Grid.of({"entry": {"cold": 1.0, "fresh": 2.0}, "exit": {"cold": 3.0, "fresh": 4.0}})
    assert four.stages == ("cold", "fresh")
    assert (four + four)["exit"]["cold"] == 6.0


def test_grids_of_other_stages_do_not_mix():
    with pytest.raises(ValueError, match="not alike"):
        ONE + Grid.of({"entry": {"cold": 1.0}})
