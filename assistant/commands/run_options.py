"""What `forecast` and `try` read alike: the length of the run, its stops, and where the driver says the car is."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from assistant.ground.problems import BadInput, Problem

if TYPE_CHECKING:
    from assistant.belief.standing import Standing
    from assistant.car.case import Case
    from assistant.physics.heat_and_wear import Stop
    from assistant.rules.knowledge import Knowledge


def laps_of(options: argparse.Namespace, case: Case) -> int:
    """Laps of the run: as asked for, else the case's. Raises BadInput."""
    from assistant.belief.run_ahead import FEWEST_LAPS, MOST_LAPS  # noqa: PLC0415 - imports numpy

    if options.laps is None:
        return case.run_laps
    text = options.laps.strip()
    laps = int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 0
    if not FEWEST_LAPS <= laps <= MOST_LAPS:
        hint = f"a whole number from {FEWEST_LAPS} to {MOST_LAPS}"
        raise BadInput(Problem("command line", 0, 0, f"--laps cannot be {options.laps!r}", hint))
    return laps


def stops_of(options: argparse.Namespace, laps: int) -> tuple[Stop, ...]:
    """Read the stops of the run. Raises BadInput."""
    from assistant.belief.stops import read_stops  # noqa: PLC0415 - imports numpy

    return read_stops(options.stop, laps)


def standing_of(case: Case, knowledge: Knowledge) -> Standing:
    """Where complaint and answers of the case put the car; neutral when settled where they say nothing of balance."""
    from assistant.belief.standing import read_standing  # noqa: PLC0415 - not needed for help
    from assistant.diagnosis.session import start  # noqa: PLC0415 - same

    return read_standing(start(case, knowledge).complaint)
