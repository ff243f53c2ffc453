"""`halfturn tires`: what the temperatures, pressures and wear of a case say of air, camber and balance."""

from __future__ import annotations

import argparse

from assistant.commands.common import answer, load_knowledge
from assistant.ground.problems import BadInput, Problem
from assistant.pages.tires import NOTHING_READ, tires_screen


def run(options: argparse.Namespace) -> int:
    """Read the tires. Raises BadInput for a case without readings, and for an earlier case of another car."""
    from assistant.car.files import read_case  # noqa: PLC0415 - same
    from assistant.diagnosis.tire_reading import has_readings, read_tires  # noqa: PLC0415 - imports pydantic
    from assistant.pages.data import Way, plain  # noqa: PLC0415 - same

    case = read_case(options.case)
    knowledge = load_knowledge(options)
    if not has_readings(case.measured):
        hint = "measured: {temperatures: {rf: [205 F, 208 F, 198 F]}}"
        raise BadInput(Problem(case.file, 0, 0, NOTHING_READ[:1].lower() + NOTHING_READ[1:].rstrip("."), hint))
    earlier = [read_case(name) for name in options.earlier]
    for one in earlier:
        if (one.car.name, one.tire.name) != (case.car.name, case.tire.name):
            says = "an earlier case has another car or tire; degrees per psi are measured on one and the same"
            raise BadInput(Problem(one.file, 0, 0, says, f"a case of '{case.car.name}' on '{case.tire.name}'"))
    found = read_tires(case, knowledge, earlier)
    data = plain(found, Way(options.units)) if options.json else None
    answer(tires_screen(found, case, knowledge, options.units), data, options)
    return 0
