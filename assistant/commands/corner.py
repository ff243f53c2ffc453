"""`halfturn corner`: how the car sits at its limit, every end in every phase at one stage of the run."""

from __future__ import annotations

import argparse

from assistant.commands.common import answer, load_knowledge, work
from assistant.commands.run_options import standing_of

WORKING = "Solving the corners"


def run(options: argparse.Namespace) -> int:
    """Solve the corners where the complaint of the case puts the car. Raises BadInput."""
    from assistant.belief.corners import corners_json, model_ahead, read_corners  # noqa: PLC0415 - imports numpy
    from assistant.car.files import read_case  # noqa: PLC0415 - imports pydantic
    from assistant.pages.as_said import as_said_data, doubts_of  # noqa: PLC0415 - imports numpy
    from assistant.pages.corner import WITH_FACTS, corner_screen  # noqa: PLC0415 - imports the car
    from assistant.pages.corner_facts import circle_json, corner_facts  # noqa: PLC0415 - imports numpy
    from assistant.rules.own_levers import equip  # noqa: PLC0415 - imports the keys of every file

    knowledge = load_knowledge(options)
    case = equip(read_case(options.case), knowledge)
    standing = standing_of(case, knowledge)
    model = work(WORKING, lambda: model_ahead(case, standing), options)
    found = read_corners(case, options.stage, standing, model)
    data = None
    if options.json:
        data = corners_json(found, options.stage, system=options.units) | {
            "circle": circle_json(model),
            "as_said": as_said_data(model),
        }
    part = options.part or ""
    facts = corner_facts(case, options.stage, model=model, system=options.units) if part in WITH_FACTS else ()
    ask = f"halfturn corner {options.case}"
    answer(corner_screen(found, options.stage, options.units, facts, part, ask, doubts_of(model)), data, options)
    return 0
