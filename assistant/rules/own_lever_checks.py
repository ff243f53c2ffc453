"""Checks a lever of a team's own: how far it goes, where it stands, and what it moves in the vehicle model."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.car.file_models import TOO_FINE, too_fine
from assistant.car.own_levers import MODEL_KINDS, NOT_COMPUTED
from assistant.car.setup_kinds import LEVER_KIND
from assistant.reading.document import Path
from assistant.rules.models_lever import Lever, OwnRange
from assistant.units import UnitProblem, read
from assistant.words import did_you_mean

Wrong = tuple[Path, str, str]
RANGE_EXAMPLE = "add 'range: {from: 0, to: 4, step: 1, now: 2}' in the lever's unit"
_WORDS = {"low": "from", "high": "to", "step": "step", "now": "now"}


def check_own(lever: Lever) -> Iterator[Wrong]:
    """Find what a lever of a team's own lacks, and what of it does not go together."""
    if lever.range is None:
        yield ("lever",), "nothing says how far this lever goes and where it stands", RANGE_EXAMPLE
    else:
        yield from _check_range(lever, lever.range)
    if lever.model is None:
        if lever.model_change is not None:
            yield ("model_change",), "'model_change' stands without 'model'", "say what it changes"
        return
    if lever.by_the_book is not None:
        yield ("by_the_book",), "'model' and 'by_the_book' both say what this lever does", "keep one"
    if lever.model in LEVER_KIND and lever.model in NOT_COMPUTED:
        says = f"the vehicle model does not compute '{lever.model}'"
        yield ("model",), says, "give its sizes in a 'by_the_book:' block"
    elif lever.model not in MODEL_KINDS:
        yield ("model",), f"the vehicle model has no '{lever.model}'", did_you_mean(lever.model, MODEL_KINDS)
    else:
        yield from _check_change(lever, MODEL_KINDS[lever.model])


def _check_range(lever: Lever, ends: OwnRange) -> Iterator[Wrong]:
    sizes = {}
    for name, word in _WORDS.items():
        try:
            sizes[name] = read(getattr(ends, name), lever.quantity or "count", default_unit=lever.unit).value
        except UnitProblem as problem:
            yield ("range", word), problem.says, problem.hint
    if len(sizes) < len(_WORDS):
        return
    if sizes["step"] <= 0:
        yield ("range", "step"), "the step must be more than nothing", "write the smallest change that can be made"
    elif sizes["high"] - sizes["low"] < sizes["step"] * (1 - 1e-9):
        yield ("range", "to"), "there is not one step between 'from' and 'to'", "check all three"
    elif too_fine(sizes["low"], sizes["high"], sizes["step"]):
        yield ("range", "step"), TOO_FINE, "write the smallest change anybody would make"
    slack = 1e-6 * sizes["step"]
    if not sizes["low"] - slack <= sizes["now"] <= sizes["high"] + slack:
        yield ("range", "now"), "it stands outside its own range", "check 'from' and 'to'"


def _check_change(lever: Lever, kind: str) -> Iterator[Wrong]:
    if lever.model_change is None:
        says = f"nothing says how far one step moves '{lever.model}'"
        yield ("model",), says, "add 'model_change:', for example 0.1 with its unit; with - when it goes down"
        return
    try:
        if read(lever.model_change, kind).value == 0:
            yield ("model_change",), "a change of nothing does nothing", "write how far one step moves it"
    except UnitProblem as problem:
        yield ("model_change",), problem.says, problem.hint
