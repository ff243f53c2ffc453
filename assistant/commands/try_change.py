"""`halfturn try`: the run before and after moving one or more levers, driven in full. Nothing is saved."""

from __future__ import annotations

import argparse
import re
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.car.levers import ROW_OF, is_possible
from assistant.car.moves import setup_faults, value_of, with_value
from assistant.car.setup import is_computed, kind_of, levers_of
from assistant.commands.common import answer, load_knowledge, work
from assistant.commands.run_options import laps_of, standing_of, stops_of
from assistant.ground.problems import BadInput, Problem
from assistant.ground.units import UnitProblem, read, unit_of
from assistant.pages.amounts import lever_value, sentence
from assistant.pages.blocks import Block, Line
from assistant.pages.levers import lever_named

if TYPE_CHECKING:
    from assistant.car.case import Case
    from assistant.car.setup import Setup
    from assistant.ground.units import System
    from assistant.rules.knowledge import Knowledge

NOT_COMPUTED_SAYS = (
    "The model does not compute this lever, so both runs are driven alike; "
    "halfturn levers CASE LEVER says what it does by the book."
)
SEATS_ALONE = (
    "Springs swapped, seats left alone: the car is not scaled again, so a stiffer one adds load at its corner."
)
_CHANGE = re.compile(r"([^=+]+?)(\+=|-=|=)(.+)")


def run(options: argparse.Namespace) -> int:
    """Drive the run with both setups and show them beside each other."""
    from assistant.belief.run_ahead import compare_ahead  # noqa: PLC0415 - same
    from assistant.car.files import read_case  # noqa: PLC0415 - imports pydantic
    from assistant.pages.data import Way, try_data  # noqa: PLC0415 - only for JSON
    from assistant.pages.try_change import try_screen  # noqa: PLC0415 - imports numpy
    from assistant.rules.own_levers import equip  # noqa: PLC0415 - imports the keys of every file

    knowledge = load_knowledge(options)
    case = equip(read_case(options.case), knowledge)
    laps = laps_of(options, case)
    stops = stops_of(options, laps)
    setup, blocks = case.setup, list[Block]()
    for text in options.change:
        setup, said = changed(setup, text, case, knowledge, options.units)
        blocks += said
    if options.seats_alone:
        setup = replace(setup, seats_alone=True)
        blocks.append(Line(SEATS_ALONE))
    standing = standing_of(case, knowledge)
    before, after = work("Driving both runs", lambda: compare_ahead(case, setup, laps, stops, standing), options)
    if options.json:
        answer([], try_data(before, after, Way(options.units)), options)
    else:
        answer([*blocks, *try_screen(before, after, options.units)], None, options)
    return 0


def changed(setup: Setup, text: str, case: Case, knowledge: Knowledge, system: System) -> tuple[Setup, list[Block]]:
    """Apply one change such as stagger=2in or stagger+=1/4in, legal or not, and say it. Raises BadInput."""
    found = _CHANGE.fullmatch(text)
    if found is None:
        raise BadInput(Problem("command line", 0, 0, f"{text!r} is no change", "write LEVER=VALUE, or LEVER+=CHANGE"))
    lever = lever_named(found[1].strip(), knowledge)
    _refuse_absent(lever, setup)
    value, old = _read(lever, found[3].strip(), setup, system), value_of(setup, lever)
    new = value if found[2] == "=" else old + value if found[2] == "+=" else old - value
    title = knowledge.levers[lever].title
    before, after = (lever_value(lever, one, system, setup=setup) for one in (old, new))
    said = f"{sentence(title)[:-1]}: from {before} to {after}."
    moved = with_value(setup, lever, new)
    _refuse_impossible(setup, moved, system)
    book = [] if is_computed(lever, setup) else [Line(NOT_COMPUTED_SAYS)]
    return moved, [Line(said), *book, *_not_legal(moved, case, system)]


def _refuse_absent(lever: str, setup: Setup) -> None:
    if lever not in levers_of(setup):
        raise BadInput(Problem("command line", 0, 0, f"{lever}: this car has no such lever", "see halfturn levers"))


def _read(lever: str, text: str, setup: Setup, system: System) -> float:
    kind = kind_of(lever, setup)
    try:
        return read(text, kind, default_unit=unit_of(kind, system)).value
    except UnitProblem as mistake:
        raise BadInput(Problem("command line", 0, 0, f"{lever}: {mistake.says}", mistake.hint)) from mistake


def _refuse_impossible(old: Setup, new: Setup, system: System) -> None:
    """Raise BadInput for what no setup file may hold either; what is only against the rules is computed."""
    for lever, value in new.values.items():
        if lever in new.own:
            continue  # its range is that of its own file, and held against it as the rules are
        key = ROW_OF[lever]
        if value != old.values[lever] and not is_possible(lever, value):
            says = f"{lever}: {lever_value(lever, value, system)} is not possible, only {key.low} to {key.high}"
            raise BadInput(Problem("command line", 0, 0, says, key.why or "check the unit"))


def _not_legal(setup: Setup, case: Case, system: System) -> list[Block]:
    """Say what the move takes outside the rules; it is computed all the same."""
    before = {fault.says for fault in setup_faults(case, system)}
    faults = setup_faults(replace(case, setup=setup), system)
    return [
        Line(f"Not legal: {fault.says}; {fault.hint}.", mark="caution") for fault in faults if fault.says not in before
    ]
