"""Corrections from the solved base against full solves, and what the plausible cars tell."""

import numpy as np
import pytest

from assistant.belief import neighbors as moves
from assistant.belief.effects import effect_table
from assistant.belief.model import read_model, set_up
from assistant.belief.neighbors import change_habits, habit_phases, move_lever, solve_base
from assistant.car.files import read_case
from assistant.car.lever_rows import BOTH_ENDS
from assistant.car.moves import neighbors
from assistant.physics.car_and_driver import move_levers
from assistant.physics.cornering import solve_limit, solve_near

CASE = read_case("demo")


@pytest.fixture(scope="module")
def base():
    return solve_base(read_model(CASE), 16, 7)


def moved(base, lever, way):
    """The base with the lever a step down (0) or up (1)."""
    size = neighbors(CASE.setup, CASE.rulebook, CASE.car, lever)[way]
    names = BOTH_ENDS.get(lever, (lever,))
    return set_up(base.model, move_levers(base.numbers, dict.fromkeys(names, size)), base.phases)


@pytest.mark.parametrize("way", [0, 1], ids=["down", "up"])
@pytest.mark.parametrize(
    "lever", ["stagger", "pressure_rr", "pressure_lr", "front_bar", "cross_weight", "track_bar", "spring_rr"]
)
def test_the_corrections_agree_with_a_full_solve_to_a_hundredth_of_a_point(base, lever, way):
    problem = moved(base, lever, way)
    full, quick = solve_limit(problem), solve_near(problem, base.near, moves.CORRECTIONS)
    assert full.steady.all()
    assert np.abs(full.balance - quick.balance).max() < 0.01


def test_the_corrections_of_a_habit_agree_with_a_full_solve_too(base):
    problem = set_up(base.model, base.numbers, habit_phases(base.phases, {"exit_drive": -0.1, "entry_brake": 0.1}))
    full, quick = solve_limit(problem), solve_near(problem, base.near, moves.HABIT_CORRECTIONS)
    assert np.abs(full.balance - quick.balance)[..., base.usable].max() < 0.01


def test_no_correction_is_not_enough_so_the_check_can_fail(base):
    problem = moved(base, "stagger", 1)
    full, quick = solve_limit(problem), solve_near(problem, base.near, 0)
    assert np.abs(full.balance - quick.balance).max() > 0.01


def test_every_plausible_car_is_neutral_when_settled(base):
    settled = (base.cells * base.weights).sum(axis=2)[1]
    assert np.abs(settled[:, base.usable]).max() < 0.05


def test_a_slope_taken_over_half_the_step_is_the_same_to_a_tenth(base):
    whole = move_lever(base, "cross_weight", 0.0025)
    half = move_lever(base, "cross_weight", 0.00125)
    assert np.abs(whole - half)[..., base.usable].max() < 0.1 * np.abs(whole).max()


@pytest.mark.parametrize("lever", ["cross_weight", "stagger", "pressure_rr", "spring_rr", "track_bar_right"])
def test_a_step_down_tells_the_same_slope_as_a_step_up(base, lever):
    down, up = neighbors(CASE.setup, CASE.rulebook, CASE.car, lever)
    above, below = move_lever(base, lever, up), move_lever(base, lever, down)
    assert np.abs(above - below)[..., base.usable].max() < 0.2 * np.abs(above).max()


def test_less_drive_tightens_the_exit_and_leaves_entry_alone(base):
    change = change_habits(base, [{"exit_drive": -0.1}])[0]
    assert (change[:, 2, :, 0] > 0).all()
    assert np.abs(change[:, 0]).max() < 1e-6


def test_the_table_says_how_many_legal_steps_are_left(base):
    table = effect_table(CASE, levers=["front_bar", "toe"], cars=4)
    assert table.levers["front_bar"].steps_up == 3
    assert table.levers["toe"].basis == "by the book"
