"""Balance grids as tables: phases down, stages across, each with the one cell to look at first."""

from __future__ import annotations

from collections.abc import Callable

from assistant.advice.results import Grid
from assistant.shell.amounts import PHASE_WORDS, STAGE_WORDS, change_words, state_words
from assistant.shell.blocks import Table

_HEADS = {"fresh": "fresh", "settled": "settled", "worn": "worn"}


def balance_table(grid: Grid) -> Table:
    """Show how the car stands, in percent of grip."""
    return _table(grid, lambda phase, stage: state_words(grid[phase][stage]), _furthest(grid))


def change_table(grid: Grid) -> Table:
    """Show what a change does to the balance, in percent of grip."""
    phase, stage = _largest(grid)
    most = change_words(grid[phase][stage])
    said = "No change anywhere." if most == change_words(0.0) else f"Most: {most} {_where(phase, stage)}."
    return _table(grid, lambda phase, stage: change_words(grid[phase][stage]), said)


def before_after_table(before: Grid, after: Grid) -> Table:
    """Show both in each cell."""

    def cell(phase: str, stage: str) -> str:
        old, new = state_words(before[phase][stage]), state_words(after[phase][stage])
        return f"{old}, stays" if old == new else f"{_shared(old, new)} -> {new}"

    old, new = _furthest(before), _furthest(after)
    said = f"{old[:-1]}, as before." if old == new else f"{old[:-1]}; then {new[:1].lower()}{new[1:]}"
    table = _table(before, cell, said)
    return Table(table.head, table.rows, said, tuple(_both_sentence(phase, before, after) for phase in before))


def _furthest(grid: Grid) -> str:
    """Name the cell that is furthest from even."""
    phase, stage = _largest(grid)
    most = state_words(grid[phase][stage])
    return "Even all through." if most == state_words(0.0) else f"Furthest off: {most} {_where(phase, stage)}."


def _largest(grid: Grid) -> tuple[str, str]:
    cells = [(phase, stage) for phase, row in grid.items() for stage in row]
    return max(cells, key=lambda cell: abs(grid[cell[0]][cell[1]]))


def _where(phase: str, stage: str) -> str:
    return f"{PHASE_WORDS.get(phase, phase)}, {STAGE_WORDS.get(stage, stage)}"


def _shared(old: str, new: str) -> str:
    """Leave out the word both have: "0.85 -> 0.72 loose"."""
    number, _, word = old.partition(" ")
    return number if word and new.endswith(word) else old


def _table(grid: Grid, cell: Callable[[str, str], str], said: str) -> Table:
    stages = list(next(iter(grid.values())))
    rows = tuple((phase, *(cell(phase, stage) for stage in stages)) for phase in grid)
    spoken = tuple(_sentence(phase, [(stage, cell(phase, stage)) for stage in stages]) for phase in grid)
    return Table(("", *(_HEADS.get(stage, stage) for stage in stages)), rows, said, spoken)


def _sentence(phase: str, cells: list[tuple[str, str]]) -> str:
    """Say one row: the same words only once when they hold all through the run."""
    where = PHASE_WORDS.get(phase, phase)
    if len({words for _, words in cells}) == 1:
        return f"{where[0].upper()}{where[1:]}: {cells[0][1]} all through the run."
    parts = ", ".join(f"{words} {STAGE_WORDS.get(stage, stage)}" for stage, words in cells)
    return f"{where[0].upper()}{where[1:]}: {parts}."


def _both_sentence(phase: str, before: Grid, after: Grid) -> str:
    cells = []
    for stage in before[phase]:
        old, new = state_words(before[phase][stage]), state_words(after[phase][stage])
        cells.append((stage, f"{old} as before" if old == new else f"from {old} to {new}"))
    return _sentence(phase, cells)
