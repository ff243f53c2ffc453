"""`halfturn corner`: how the car sits at its limit, every end in every phase at one stage of the run."""

from __future__ import annotations

import argparse

from assistant.commands.common import answer, load_knowledge, work
from assistant.commands.run_options import standing_of

WORKING = "Solving the corners"


def run(options: argparse.Namespace) -> int:
    """Solve the corners where the complaint of the case puts the car. Raises BadInput."""
    from assistant.advice.corners import corners_json, read_corners  # noqa: PLC0415 - imports numpy
    from assistant.car.files import read_case  # noqa: PLC0415 - imports pydantic
    from assistant.shell.screen_corner import corner_screen  # noqa: PLC0415 - imports the car

    case = read_case(options.case)
    standing = standing_of(case, load_knowledge(options))
    found = work(WORKING, lambda: read_corners(case, options.stage, standing), options)
    data = corners_json(found, options.stage, system=options.units) if options.json else None
    answer(corner_screen(found, options.stage, options.units), data, options)
    return 0
