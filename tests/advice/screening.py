"""Whether a list made by way of a few cars is the one that all cars make: `python -m tests.advice.screening [CASE]`.

Fifteen complaints on each of the demo cases. It takes some minutes; a few of them are in the tests.
"""

from __future__ import annotations

import sys
from contextlib import ExitStack
from unittest.mock import patch

from assistant.advice import offers, packages
from assistant.advice.offers import advise
from assistant.advice.results import Advice
from assistant.belief.believe import Belief
from assistant.belief.garage import Garage
from assistant.belief.picture import Told, believe_told
from assistant.car.files import read_case
from assistant.diagnosis.session import start
from assistant.rules.pack import load_packs

CASES = ("demo", "demo-tight", "demo-snap")
COMPLAINTS = (
    "loose off late",
    "tight in the middle",
    "loose in",
    "tight off",
    "loose all through the corner late in the run",
    "tight everywhere",
    "loose on entry and tight in the middle",
    "tight in the middle early, loose off late",
    "loose off at the start of the run",
    "a little tight in",
    "very loose off late",
    "tight off turn 2, fine at the other end",
    "loose in and off, good in the middle",
    "pushes all through the corner all run long",
    "good early then goes very tight",
)
Listed = tuple[str, str, int | None]


def list_of(advice: Advice) -> list[Listed]:
    """Name what is on a list, in its order, each with its steps; a package by its levers."""
    offered = sorted(advice.offers, key=lambda one: one.rank)
    return [
        ("package", " ".join(f"{move.lever} {move.steps}" for move in one.moves), None)
        if one.kind == "package"
        else (one.kind, one.id, one.steps)
        for one in offered
    ]


def both_lists(name: str, words: str, garage: Garage) -> tuple[list[Listed], list[Listed]]:
    """Make the list of a complaint by way of a few cars, and with everything driven on all of them."""
    case, knowledge = read_case(name), load_packs()
    session = start(case, knowledge, words)
    belief = believe_told(case, [Told(case.setup, session.complaint)], garage)
    quick = list_of(advise(case, knowledge, session, belief))
    with ExitStack() as stack:
        stack.enter_context(patch.object(Belief, "few", property(lambda belief: belief)))
        stack.enter_context(patch.object(offers, "CLOSE", 1000))
        stack.enter_context(patch.object(packages, "FEW_OFF", 1000.0))
        return quick, list_of(advise(case, knowledge, session, belief))


def main(names: list[str]) -> None:
    """Print every complaint with what is on one list only."""
    alike = first = count = 0
    for name in names or CASES:
        garage = Garage(read_case(name))
        for words in COMPLAINTS:
            quick, full = both_lists(name, words, garage)
            same = [one[:2] for one in quick] == [one[:2] for one in full]
            count, alike, first = count + 1, alike + same, first + (quick[:1] == full[:1])
            sizes = "" if quick == full or not same else ", but for a size"
            print(f"{name}: {words}: {f'the same{sizes}' if same else f'{quick} but {full}'}", flush=True)
    print(f"{alike} of {count} lists the same, {first} with the same first offer in the same size")


if __name__ == "__main__":
    main(sys.argv[1:])
