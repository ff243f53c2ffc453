"""`halfturn forecast`: the run ahead with the setup at hand, as words, JSON or a table of laps."""

from __future__ import annotations

import argparse
import csv
import io
import sys
from typing import TYPE_CHECKING

from assistant.commands.common import answer, load_knowledge, work
from assistant.commands.run_options import laps_of, standing_of, stops_of
from assistant.ground.gate import shown
from assistant.ground.problems import BadInput, Problem

if TYPE_CHECKING:
    from assistant.belief.run_ahead import RunAhead
    from assistant.ground.units import System

WORKING = "Driving the run"


def run(options: argparse.Namespace) -> int:
    """Drive the run; what ends it early is an answer, not a mistake."""
    from assistant.belief.run_ahead import (  # noqa: PLC0415 - imports numpy
        look_ahead,
        weigh_air,
    )
    from assistant.car.files import read_case  # noqa: PLC0415 - imports pydantic
    from assistant.pages.data import Way, plain  # noqa: PLC0415 - same
    from assistant.pages.forecast import part_screen  # noqa: PLC0415 - imports numpy
    from assistant.rules.own_levers import equip  # noqa: PLC0415 - imports the keys of every file

    if options.json and options.csv:
        raise BadInput(Problem("command line", 0, 0, "--json and --csv are two answers", "choose one of them"))
    knowledge = load_knowledge(options)
    case = equip(read_case(options.case), knowledge)
    laps = laps_of(options, case)
    stops = stops_of(options, laps)
    standing = standing_of(case, knowledge)
    ahead = work(WORKING, lambda: look_ahead(case, laps, stops, standing), options)
    if options.csv:
        sys.stdout.write(csv_text(ahead, options.units))
    elif options.json:
        answer([], plain(ahead, Way(options.units)), options)
    else:
        blocks = part_screen(
            options.part or "",
            ahead,
            knowledge,
            options.units,
            air=lambda: work(WORKING, lambda: weigh_air(ahead.model, case.setup), options),
            ask=f"halfturn forecast {options.case}",
        )
        answer(blocks, None, options)
    return 0


def csv_text(ahead: RunAhead, system: System) -> str:
    """Write the table of laps with a head of names; four significant decimals, a line end of one character."""
    from assistant.belief.run_ahead import lap_table  # noqa: PLC0415 - imports numpy

    head, rows = lap_table(ahead, system)
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(map(shown, head))
    writer.writerows([f"{row[0]:.0f}", *(f"{value:.4f}" for value in row[1:])] for row in rows)
    return text.getvalue()
