"""`halfturn levers`: what one step of every lever does on this car, with its spread, beside what the trade says."""

from __future__ import annotations

import argparse

from assistant.commands.common import WORKING_OUT, answer, load_knowledge, work
from assistant.pages.levers import STRONGEST, lever_named, lever_screen, table_screen
from assistant.pages.screen_parts import ALL


def run(options: argparse.Namespace) -> int:
    """Show the levers; with names, only those, in full; or how the severities 1 to 5 are measured on this car."""
    from assistant.advice.lever_table import table_for  # noqa: PLC0415 - same
    from assistant.car.files import read_case  # noqa: PLC0415 - imports pydantic
    from assistant.pages.data import Way  # noqa: PLC0415 - same
    from assistant.pages.lever_data import levers_data, severity_data  # noqa: PLC0415 - imports numpy
    from assistant.pages.severity import severity_screen  # noqa: PLC0415 - same
    from assistant.rules.own_levers import equip  # noqa: PLC0415 - imports the keys of every file

    knowledge = load_knowledge(options)
    case = equip(read_case(options.case), knowledge)
    everything = options.lever == [ALL]
    wanted = [] if everything else [lever_named(word, knowledge) for word in options.lever]
    some = None if options.severity else wanted or None
    table = work(WORKING_OUT, lambda: table_for(case, knowledge, levers=some), options)
    if options.severity:
        blocks = severity_screen(table, knowledge)
    elif wanted:
        explain = "halfturn explain"
        blocks = [
            block for lever in wanted for block in lever_screen(lever, table, case, knowledge, options.units, explain)
        ]
    else:
        most, ask = None if everything else STRONGEST, f"halfturn levers {options.case}"
        blocks = table_screen(table, case, knowledge, options.units, most=most, ask=ask)
    data = None
    if options.json:
        data = levers_data(table, knowledge, Way(options.units, case))
        data |= {"severity": severity_data(table, knowledge)} if options.severity else {}
    answer(blocks, data, options)
    return 0
