"""Checks that the amounts in lever and driving files can be read and make sense together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from assistant.car.setup import LEVERS
from assistant.car.setup_kinds import LEVER_KIND
from assistant.quantities import QUANTITIES
from assistant.reading.document import Path
from assistant.rules.models_lever import Driving, Lever
from assistant.rules.own_lever_checks import Wrong, check_own
from assistant.units import UnitProblem, find_unit, read
from assistant.words import did_you_mean

MOST_USUAL = 1000.0
"""Usual changes in the largest sensible one; those of the base pack hold a dozen at most."""


def check_lever(lever: Lever) -> Iterator[Wrong]:
    """Find everything wrong with the numbers of a lever."""
    if lever.model is None and lever.by_the_book is None:
        yield ("lever",), "nothing says what this lever does", "add 'model: ...' or a 'by_the_book:' block"
    if lever.plus_word == lever.minus_word:
        yield ("minus_word",), "'plus_word' and 'minus_word' are the same", "one word for each way"
    kind = lever.quantity
    if kind is None:
        yield ("unit",), f"'{lever.unit}' is no unit", "use a unit such as in, lb/in, psi, deg or turns"
        return
    try:
        find_unit(lever.unit, QUANTITIES[kind])
    except UnitProblem as problem:
        yield ("unit",), problem.says, problem.hint
        return
    yield from _check_sizes(lever, kind)
    yield from check_own(lever) if lever.is_own else _check_known(lever)


def _check_known(lever: Lever) -> Iterator[Wrong]:
    """Find what a lever of the setup must not say: its range is the rulebook's, its effect the model's."""
    if lever.model is not None and lever.model not in LEVERS:
        yield ("model",), f"the vehicle model has no lever '{lever.model}'", did_you_mean(lever.model, LEVERS)
    for name in ("range", "model_change"):
        if getattr(lever, name) is not None:
            says = f"'{name}' is for levers of a team's own; '{lever.lever}' is a lever of every setup"
            yield (name,), says, "leave it out: rulebook and setup file say it"


def _check_sizes(lever: Lever, kind: str) -> Iterator[Wrong]:
    sizes = {}
    for name in ("usual_change", "largest_change"):
        try:
            sizes[name] = read(getattr(lever, name), kind, default_unit=lever.unit).value
        except UnitProblem as problem:
            yield (name,), problem.says, problem.hint
    for name, size in sizes.items():
        if size <= 0:
            yield (name,), f"'{name}' must be more than nothing", "write it without a sign"
    if len(sizes) == 2 and sizes["usual_change"] > sizes["largest_change"] > 0:
        yield ("usual_change",), "the usual change is larger than the largest sensible one", "check both"
    if len(sizes) == 2 and sizes["largest_change"] > MOST_USUAL * sizes["usual_change"] > 0:
        yield ("usual_change",), "the usual change is next to nothing beside the largest sensible one", "check both"


def check_driving(driving: Driving) -> Iterator[Wrong]:
    """Find everything wrong with the numbers of a driving habit."""
    if driving.computed is None:
        return
    if driving.by_the_book:
        yield ("by_the_book",), "'computed' and 'by_the_book' both say what this does", "keep one"
    for name, text in driving.computed.model_dump(exclude_none=True).items():
        try:
            read(text, "share")
        except UnitProblem as problem:
            yield ("computed", name), problem.says, problem.hint


def check_unit_changes(changes: Mapping[str, str]) -> Iterator[Wrong]:
    """Find everything wrong with the usual single changes of the ranking."""
    for lever, text in changes.items():
        path: Path = ("unit_changes", lever)
        if lever not in LEVERS:
            yield path, f"the vehicle model has no lever '{lever}'", did_you_mean(lever, LEVERS)
            continue
        try:
            read(text, LEVER_KIND[lever])
        except UnitProblem as problem:
            yield path, problem.says, problem.hint
