"""Puts the levers a team added by its own rules on a car, so that they are sized, ranked and moved like any other.

Each says in its file where it stands and how far it goes; a setup file may say where it stands on this car
(`own levers: {rear_packers: 1}`).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.car.lever_rows import BOTH_ENDS
from assistant.car.setup import MODEL_KINDS, OF_THE_CAR, LeverLimit, OwnLever
from assistant.ground.problems import BadInput, Problem
from assistant.ground.units import UnitProblem, read
from assistant.ground.words import did_you_mean

if TYPE_CHECKING:
    from assistant.car.case import Case
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models_lever import Lever


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
