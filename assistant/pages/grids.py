"""Balance grids as tables: phases down, stages across, each with the one cell to look at first."""

from __future__ import annotations

from collections.abc import Callable

from assistant.ground.grid import Grid
from assistant.ground.words import PHASE_WORDS, STAGE_WORDS, when_words
from assistant.pages.amounts import NOTHING, capital, change_words, state_words
from assistant.pages.blocks import Table

EVEN = state_words(0.0)
WORST_WORSE = "So the worst of it gets worse."


def balance_table(grid: Grid, *, short: bool = False) -> Table:
    """Show how the car stands, in percent of grip. short: without the cell that is furthest off."""
    return grid_table(grid, lambda phase, stage: state_words(grid[phase][stage]), "" if short else _furthest(grid))


def change_table(grid: Grid, *, short: bool = False) -> Table:
    """Show what a change does to the balance, in percent of grip. short: without the cell that changes most."""
    most, where = _most(grid, change_words)
    said = "No change anywhere." if most == change_words(0.0) else f"Most: {most} {where}."
    return grid_table(grid, lambda phase, stage: change_words(grid[phase][stage]), "" if short else said)


def before_after_table(before: Grid, after: Grid) -> Table:
    """Show both in each cell."""

    def cell(phase: str, stage: str) -> str:
        return _then(before[phase][stage], after[phase][stage])

    said = _furthest_then(before, after)
    table = grid_table(before, cell, said)
    return Table(table.head, table.rows, said, tuple(_both_sentence(phase, before, after) for phase in before))


def _furthest(grid: Grid) -> str:
    """Name the cell that is furthest from even."""
    most, where = _most(grid, state_words)
    return "Even all through." if most == EVEN else f"Furthest off: {most} {where}."


def _furthest_then(before: Grid, after: Grid) -> str:
    """Name the cell that is furthest from even before, and then; the same one only once."""
    (old, old_where), (new, new_where) = _most(before, state_words), _most(after, state_words)
    if (old, old_where) == (new, new_where):
        return "Even all through." if old == EVEN else f"Furthest off: {old} {old_where}, as before."
    place = "" if old_where == new_where or new == EVEN else f" {new_where}"
    was = f"Furthest off: {old} {old_where}" if old != EVEN else "Even all through before"
    worse = f" {WORST_WORSE}" if old != EVEN and _size(after) - _size(before) >= NOTHING else ""
    return f"{was}; then {new}{place}.{worse}"


def _size(grid: Grid) -> float:
    """How far the cell furthest from even is off [%]."""
    return max(abs(value) for row in grid.values() for value in row.values())


def _most(grid: Grid, words: Callable[[float], str]) -> tuple[str, str]:
    """Say the largest cell and where it is; "all through the run" where its whole row reads the same."""
    cells = [(phase, stage) for phase, row in grid.items() for stage in row]
    phase, stage = max(cells, key=lambda cell: abs(grid[cell[0]][cell[1]]))
    said = words(grid[phase][stage])
    alike = {words(value) for value in grid[phase].values()} == {said}
    when = when_words(tuple(STAGE_WORDS)) if alike else STAGE_WORDS.get(stage, stage)
    return said, f"{PHASE_WORDS.get(phase, phase)}, {when}"


def _then(before: float, after: float) -> str:
    """Say both, the word only once where both have it: "0.85 -> 0.72 loose"."""
    old, new = state_words(before), state_words(after)
    if old == new:
        return f"{old}, stays"
    alike = EVEN not in (old, new) and (before > 0) is (after > 0)
    return f"{abs(before):.2f} -> {new}" if alike else f"{old} -> {new}"


def grid_table(grid: Grid, cell: Callable[[str, str], str], said: str) -> Table:
    """Lay the words of every cell out, with what is said under it."""
    stages = list(next(iter(grid.values())))
    rows = tuple((PHASE_WORDS.get(phase, phase), *(cell(phase, stage) for stage in stages)) for phase in grid)
    spoken = tuple(_sentence(phase, [(stage, cell(phase, stage)) for stage in stages]) for phase in grid)
    return Table(("", *stages), rows, said, spoken)


def _sentence(phase: str, cells: list[tuple[str, str]]) -> str:
    """Say one row: the same words only once when they hold all through the run."""
    where = PHASE_WORDS.get(phase, phase)
    if len({words for _, words in cells}) == 1:
        return f"{capital(where)}: {cells[0][1]} {when_words(tuple(STAGE_WORDS))}."
    parts = ", ".join(f"{words} {STAGE_WORDS.get(stage, stage)}" for stage, words in cells)
    return f"{capital(where)}: {parts}."


def _both_sentence(phase: str, before: Grid, after: Grid) -> str:
    cells = []
    for stage in before[phase]:
        old, new = state_words(before[phase][stage]), state_words(after[phase][stage])
        cells.append((stage, f"{old} as before" if old == new else f"from {old} to {new}"))
    return _sentence(phase, cells)
