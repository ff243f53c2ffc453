"""The numbers in lever and driving files: checked, and the levers a team added put on a car to be moved like any other.

Each of those says in its file where it stands and how far it goes; a setup file may say where it stands on this car
(`own levers: {rear_packers: 1}`).
"""

from __future__ import annotations

from collections.abc import Generator, Iterator
from dataclasses import replace
from math import isnan, nan
from typing import TYPE_CHECKING, NamedTuple

from assistant.car.case import MODEL_KINDS, OF_THE_CAR, Case, LeverLimit, OwnLever, Setup, numbers_moved
from assistant.car.lever_rows import BOTH_ENDS, LEVER_KIND, LEVERS, NOT_COMPUTED
from assistant.car.records import TOO_FINE, too_fine
from assistant.ground.problems import BadInput, Problem
from assistant.ground.quantities import QUANTITIES
from assistant.ground.units import UnitProblem, find_unit, read
from assistant.ground.words import RENAMED, did_you_mean
from assistant.ground.yaml_file import KeyPath
from assistant.rules.models import Driving, Lever, OwnRange

if TYPE_CHECKING:
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models_symptom import Cause


def equip(case: Case, knowledge: Knowledge) -> Case:
    """Put the packs' own levers on the car of a case, each where the setup file says, else where its own file does.

    As it is when no pack has any, or when they are on the car. What a setup states is skipped while no pack with levers
    of its own is loaded: nobody can tell then what it means. Raises BadInput for a value that cannot be read or cannot
    be, and for a lever none of the packs has.
    """
    own = {name: lever for name, lever in knowledge.levers.items() if lever.is_own and lever.range is not None}
    if not own or own.keys() == case.setup.own.keys():
        return case
    if unknown := [name for name in case.setup.stated_own if name not in own]:
        says = "no pack has a lever of its own called"
        raise BadInput(_fault(case, f"{says} '{name}'", did_you_mean(name, own)) for name in unknown)
    limits = {name: _limit(lever) for name, lever in own.items()}
    values = {name: _value(lever, case, limits[name]) for name, lever in own.items()}
    setup = replace(
        case.setup,
        values={**case.setup.values, **values},
        own={name: _own(lever, values[name], limits[name].step) for name, lever in own.items()},
    )
    return replace(case, setup=setup, rulebook=replace(case.rulebook, limits={**case.rulebook.limits, **limits}))


def _own(lever: Lever, now: float, step: float) -> OwnLever:
    moves, held = dict[str, float](), now
    if lever.model is not None and lever.model_change is not None:
        change = read(lever.model_change, MODEL_KINDS[lever.model]).value
        names = BOTH_ENDS.get(lever.model, (lever.model.removeprefix(OF_THE_CAR),))
        moves = dict.fromkeys(names, change / step)
        if lever.model.startswith(OF_THE_CAR) and lever.range is not None:
            held = _read(lever.range.now, lever)  # nobody measures the car anew for it, while the scales are read anew
    return OwnLever(lever.title, _kind(lever), lever.group, held, moves)


def _limit(lever: Lever) -> LeverLimit:
    assert lever.range is not None, "only such levers are asked for"  # noqa: S101
    low, high, step = (_read(text, lever) for text in (lever.range.low, lever.range.high, lever.range.step))
    return LeverLimit(low, high, step, lever.when)


def _value(lever: Lever, case: Case, limit: LeverLimit) -> float:
    """Read where a lever stands. Raises BadInput naming the setup."""
    assert lever.range is not None, "only such levers are asked for"  # noqa: S101
    stated = case.setup.stated_own.get(lever.lever)
    if stated is None:
        return _read(lever.range.now, lever)
    try:
        value = _read(stated, lever)
    except UnitProblem as mistake:
        raise BadInput(_fault(case, f"{lever.lever}: {mistake.says}", mistake.hint)) from mistake
    slack = 1e-6 * limit.step
    if not limit.low - slack <= value <= limit.high + slack:
        says = f"{lever.lever}: {stated} is outside its range, {lever.range.low} to {lever.range.high}"
        raise BadInput(_fault(case, says, "the lever's file says it"))
    return value


def _read(text: str | float, lever: Lever) -> float:
    return read(text, _kind(lever), default_unit=lever.unit).value


def _kind(lever: Lever) -> str:
    return lever.quantity or "count"


def _fault(case: Case, says: str, hint: str) -> Problem:
    return Problem(f"setup {case.setup.name}: own levers", 0, 0, says, hint)


class Mistake(NamedTuple):
    """One mistake in a file: where, what is wrong, what to do. missing: the thing that it says is not there."""

    path: KeyPath
    says: str
    hint: str
    missing: str = ""


def _size(text: str | float, kind: str, path: KeyPath, unit: str | None = None) -> Generator[Mistake, None, float]:
    """Read a number of a file into SI; one that cannot be read is a mistake, and no number."""
    try:
        return read(text, kind, default_unit=unit).value
    except UnitProblem as problem:
        yield Mistake(path, problem.says, problem.hint)
    return nan


RANGE_EXAMPLE = "add 'range: {from: 0, to: 4, step: 1, now: 2}' in the lever's unit"
_WORDS = {"low": "from", "high": "to", "step": "step", "now": "now"}


def check_own(lever: Lever) -> Iterator[Mistake]:
    """Find what a lever of a team's own lacks, and what of it does not go together."""
    if lever.range is None:
        yield Mistake(("lever",), "nothing says how far this lever goes and where it stands", RANGE_EXAMPLE)
    else:
        yield from _check_range(lever, lever.range)
    if lever.model is None:
        if lever.model_change is not None:
            yield Mistake(("model_change",), "'model_change' stands without 'model'", "say what it changes")
        return
    if lever.by_the_book is not None:
        yield Mistake(("by_the_book",), "'model' and 'by_the_book' both say what this lever does", "keep one")
    if lever.model in LEVER_KIND and lever.model in NOT_COMPUTED:
        says = f"the vehicle model does not compute '{lever.model}'"
        yield Mistake(("model",), says, "give its sizes in a 'by_the_book:' block")
    elif lever.model not in MODEL_KINDS:
        yield Mistake(("model",), f"the vehicle model has no '{lever.model}'", did_you_mean(lever.model, MODEL_KINDS))
    else:
        yield from _check_change(lever, MODEL_KINDS[lever.model])


def _check_range(lever: Lever, ends: OwnRange) -> Iterator[Mistake]:
    sizes = []
    for name, word in _WORDS.items():
        sizes.append((yield from _size(getattr(ends, name), _kind(lever), ("range", word), lever.unit)))
    low, high, step, now = sizes
    if isnan(sum(sizes)):
        return
    if step <= 0:
        yield Mistake(
            ("range", "step"), "the step must be more than nothing", "write the smallest change that can be made"
        )
    elif high - low < step * (1 - 1e-9):
        yield Mistake(("range", "to"), "there is not one step between 'from' and 'to'", "check all three")
    elif too_fine(low, high, step):
        yield Mistake(("range", "step"), TOO_FINE, "write the smallest change anybody would make")
    slack = 1e-6 * step
    if not low - slack <= now <= high + slack:
        yield Mistake(("range", "now"), "it stands outside its own range", "check 'from' and 'to'")


def _check_change(lever: Lever, kind: str) -> Iterator[Mistake]:
    if lever.model_change is None:
        says = f"nothing says how far one step moves '{lever.model}'"
        yield Mistake(("model",), says, "add 'model_change:', for example 0.1 with its unit; with - when it goes down")
        return
    if (yield from _size(lever.model_change, kind, ("model_change",))) == 0:
        yield Mistake(("model_change",), "a change of nothing does nothing", "write how far one step moves it")


def check_shifts(cause: Cause) -> Iterator[Mistake]:
    """Find what is wrong with how far levers are off under a cause."""
    for lever, band in cause.model.items():
        if lever not in MODEL_KINDS or lever not in LEVER_KIND:
            says = f"the vehicle model does not compute '{lever}'"
            yield Mistake(
                ("model", lever), says, did_you_mean(lever, [one for one in MODEL_KINDS if one in LEVER_KIND])
            )
            continue
        sizes = []
        for place, text in enumerate(band):
            sizes.append((yield from _size(text, LEVER_KIND[lever], ("model", lever, place))))
        if not any(map(isnan, sizes)) and not sizes[0] < sizes[1]:
            yield Mistake(("model", lever), "the band ends before it begins", "from the lower to the higher number")


def shifts_of(cause: Cause, setup: Setup) -> dict[str, tuple[float, float]]:
    """Say which numbers of the model are off under a cause, from and to (SI)."""
    shifts: dict[str, tuple[float, float]] = {}
    for lever, band in cause.model.items():
        low, high = (read(text, LEVER_KIND[lever]).value for text in band)
        starts, ends = (numbers_moved(lever, by, setup) for by in (low, high))
        shifts |= {name: (starts[name], ends[name]) for name in starts}
    return shifts


MOST_USUAL = 1000.0
"""Usual changes in the largest sensible one; those of the base pack hold a dozen at most."""


def check_lever(lever: Lever) -> Iterator[Mistake]:
    """Find everything wrong with the numbers of a lever."""
    if lever.model is None and lever.by_the_book is None:
        yield Mistake(("lever",), "nothing says what this lever does", "add 'model: ...' or a 'by_the_book:' block")
    if lever.plus_word == lever.minus_word:
        yield Mistake(("minus_word",), "'plus_word' and 'minus_word' are the same", "one word for each way")
    if lever.lever in RENAMED:
        yield Mistake(
            ("lever",), f"no lever is called '{lever.lever}' any more", f"it is called '{RENAMED[lever.lever]}' now"
        )
    kind = lever.quantity
    if kind is None:
        yield Mistake(("unit",), f"'{lever.unit}' is no unit", "use a unit such as in, lb/in, psi, deg or turns")
        return
    try:
        find_unit(lever.unit, QUANTITIES[kind])
    except UnitProblem as problem:
        yield Mistake(("unit",), problem.says, problem.hint)
        return
    yield from _check_sizes(lever, kind)
    yield from check_own(lever) if lever.is_own else _check_known(lever)


def _check_known(lever: Lever) -> Iterator[Mistake]:
    """Find what a lever of the setup must not say: its range is the rulebook's, its effect the model's."""
    if lever.model is not None and lever.model not in LEVERS:
        yield Mistake(("model",), f"the vehicle model has no lever '{lever.model}'", did_you_mean(lever.model, LEVERS))
    for name in ("range", "model_change"):
        if getattr(lever, name) is not None:
            says = f"'{name}' is for levers of a team's own; '{lever.lever}' is a lever of every setup"
            yield Mistake((name,), says, "leave it out: rulebook and setup file say it")


def _check_sizes(lever: Lever, kind: str) -> Iterator[Mistake]:
    usual = yield from _size(lever.usual_change, kind, ("usual_change",), lever.unit)
    largest = yield from _size(lever.largest_change, kind, ("largest_change",), lever.unit)
    for name, size in (("usual_change", usual), ("largest_change", largest)):
        if size <= 0:
            yield Mistake((name,), f"'{name}' must be more than nothing", "write it without a sign")
    if usual > largest > 0:
        yield Mistake(("usual_change",), "the usual change is larger than the largest sensible one", "check both")
    if largest > MOST_USUAL * usual > 0:
        yield Mistake(
            ("usual_change",), "the usual change is next to nothing beside the largest sensible one", "check both"
        )


def check_driving(driving: Driving) -> Iterator[Mistake]:
    """Find everything wrong with the numbers of a driving habit."""
    if driving.computed is None:
        return
    if driving.by_the_book:
        yield Mistake(("by_the_book",), "'computed' and 'by_the_book' both say what this does", "keep one")
    for name, text in driving.computed.model_dump(exclude_none=True).items():
        yield from _size(text, "share", ("computed", name))
