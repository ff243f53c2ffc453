"""`halfturn whatif`: the balance before and after moving one or more levers, solved in full. Nothing is saved."""

from __future__ import annotations

import argparse
import re
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.car.setup_kinds import LEVER_KIND
from assistant.commands.common import answer, load_knowledge, work
from assistant.commands.levers import lever_named
from assistant.problems import BadInput, Problem
from assistant.shell.amounts import lever_value, sentence
from assistant.shell.blocks import Block, Line
from assistant.shell.grids import before_after_table
from assistant.units import UnitProblem, read, unit_of

if TYPE_CHECKING:
    from assistant.advice.results import Grid
    from assistant.car.case import Case
    from assistant.car.setup import Setup
    from assistant.rules.pack import Knowledge
    from assistant.units import System

BOTH_ENDS = {"track_bar": ("track_bar_left", "track_bar_right")}
_CHANGE = re.compile(r"\s*([^=+]+?)\s*(\+=|-=|=)\s*(.+?)\s*")


def run(options: argparse.Namespace) -> int:
    """Solve both setups and show them beside each other."""
    from assistant.advice.model import read_model, solve_setup  # noqa: PLC0415 - imports numpy
    from assistant.car.files import read_case  # noqa: PLC0415 - imports pydantic

    case = read_case(options.case)
    knowledge = load_knowledge(options)
    setup, blocks = case.setup, list[Block]()
    for text in options.change:
        setup, said = changed(setup, text, case, knowledge, options.units)
        blocks += said
    model = read_model(case)
    before, after = work(
        "Solving both setups", lambda: (solve_setup(model, case.setup).grid, solve_setup(model, setup).grid), options
    )
    blocks += [Line("Balance in percent of grip, before and after:"), before_after_table(before, after)]
    data = {"before": {"balance": before}, "after": {"balance": after}, "change": {"balance": take_away(after, before)}}
    answer(blocks, data, options)
    return 0


def changed(setup: Setup, text: str, case: Case, knowledge: Knowledge, units: System) -> tuple[Setup, list[Block]]:
    """Apply one change such as stagger=2in or stagger+=1/4in, legal or not, and say it. Raises BadInput."""
    found = _CHANGE.fullmatch(text)
    if found is None:
        raise BadInput(Problem("command line", 0, 0, f"{text!r} is no change", "write LEVER=VALUE, or LEVER+=CHANGE"))
    lever = lever_named(found[1], knowledge)
    value = _read(lever, found[3], units)
    parts = BOTH_ENDS.get(lever, (lever,))
    if found[2] == "=" and parts != (lever,):
        raise BadInput(Problem("command line", 0, 0, f"{lever} is both ends together and has no value of its own", f"write {lever}+=CHANGE"))
    blocks: list[Block] = []
    for part in parts:
        if part not in setup.values:
            raise BadInput(Problem("command line", 0, 0, f"the setup has no {part}"))
        old = setup.values[part]
        new = value if found[2] == "=" else old + value if found[2] == "+=" else old - value
        setup = replace(setup, values={**setup.values, part: new})
        title = knowledge.levers[part].title if part in knowledge.levers else part
        blocks.append(Line(f"{sentence(title)[:-1]}: from {lever_value(part, old, units)} to {lever_value(part, new, units)}."))
        blocks += _not_legal(part, new, case, units)
    return setup, blocks


def take_away(one: Grid, other: Grid) -> Grid:
    """Subtract two grids cell by cell."""
    return {phase: {stage: value - other[phase][stage] for stage, value in row.items()} for phase, row in one.items()}


def _read(lever: str, text: str, units: System) -> float:
    kind = LEVER_KIND[lever]
    try:
        return read(text, kind, default_unit=unit_of(kind, units)).value
    except UnitProblem as mistake:
        raise BadInput(Problem("command line", 0, 0, f"{lever}: {mistake.says}", mistake.hint)) from mistake


def _not_legal(lever: str, value: float, case: Case, units: System) -> list[Block]:
    limit = case.rulebook.limits.get(lever)
    if limit is None:
        return [Line("The rules do not allow it to be changed.", mark="caution")]
    slack = 1e-9 * max(abs(limit.low), abs(limit.high))
    if limit.low - slack <= value <= limit.high + slack:
        return []
    low, high = lever_value(lever, limit.low, units), lever_value(lever, limit.high, units)
    return [Line(f"Not legal: allowed from {low} to {high}.", mark="caution")]
