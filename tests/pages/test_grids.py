"""Under each grid stands one line: the cell to look at first."""

import pytest

from assistant.ground.grid import Grid
from assistant.pages.amounts import balance_table, before_after_table, change_table


def grid(*rows):
    return Grid(rows, ("entry", "exit"))


NOW = grid((0.1, 0.0, 0.4), (-0.2, 0.0, -0.9))


@pytest.mark.parametrize(
    ("table", "says"),
    [
        (balance_table(NOW), "Furthest off: 0.90 loose coming off, late in the run."),
        (balance_table(grid((0.01, 0.0, 0.0), (0.0, 0.0, 0.0))), "Even all through."),
        (change_table(NOW), "Most: 0.90 looser coming off, late in the run."),
        (change_table(grid((0.2, 0.2, 0.2), (0.0, 0.0, 0.0))), "Most: 0.20 tighter getting in, all run long."),
        (change_table(grid((0.0, 0.0, 0.0), (0.0, 0.0, 0.001))), "No change anywhere."),
        (
            before_after_table(NOW, grid((0.5, 0.0, 0.8), (0.0, 0.0, -0.3))),
            "Furthest off: 0.90 loose coming off, late in the run; then 0.80 tight getting in, late in the run.",
        ),
        (
            before_after_table(NOW, grid((0.1, 0.0, 0.4), (-0.2, 0.0, -0.7))),
            "Furthest off: 0.90 loose coming off, late in the run; then 0.70 loose.",
        ),
        (
            before_after_table(NOW, grid((0.5, 0.0, 1.2), (0.0, 0.0, -0.3))),
            (
                "Furthest off: 0.90 loose coming off, late in the run; then 1.20 tight getting in, late in the run. "
                "So the worst of it gets worse."
            ),
        ),
        (before_after_table(NOW, NOW), "Furthest off: 0.90 loose coming off, late in the run, as before."),
        (
            before_after_table(NOW, grid((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))),
            "Furthest off: 0.90 loose coming off, late in the run; then even.",
        ),
        (
            before_after_table(grid((0.0, 0.0, 0.0), (0.0, 0.0, 0.0)), NOW),
            "Even all through before; then 0.90 loose coming off, late in the run.",
        ),
    ],
)
def test_the_cell_to_look_at_first_is_named(table, says):
    assert table.sentence == says


def test_who_hears_the_screen_gets_every_cell_in_whole_sentences():
    assert (
        balance_table(NOW).spoken[1]
        == "Coming off: 0.20 loose on fresh tires, even once settled, 0.90 loose late in the run."
    )
    both = before_after_table(NOW, grid((0.1, 0.0, 0.4), (-0.2, 0.0, -0.7)))
    wanted = (
        "Getting in: 0.10 tight as before on fresh tires, even as before once settled, 0.40 tight as before late in"
    )
    assert both.spoken[0] == f"{wanted} the run."
