"""Levers as plain data for `levers --json`: where each stands, what a step does, what the trade says, what is legal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.advice.sizing import is_fixed, when_of
from assistant.advice.trade import book_row, judge_lever
from assistant.belief.known import SIZE
from assistant.belief.picture import read_picture
from assistant.car.moves import legal_range, setup_faults, value_of
from assistant.car.setup import kind_of
from assistant.ground.grid import PHASES, STAGES, Grid
from assistant.ground.words import chance_word, sayable
from assistant.pages.amounts import fault_texts
from assistant.pages.as_said import as_said_data
from assistant.pages.data import Plain, Way, plain
from assistant.pages.levers import measure_of

if TYPE_CHECKING:
    from assistant.belief.effects import EffectTable, LeverEffect, Spread
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models import Lever


def levers_data(effects: EffectTable, knowledge: Knowledge, way: Way) -> Plain:
    """Give what every lever does, as the contract of `levers --json` has it."""
    known = [(effect, knowledge.levers[lever]) for lever, effect in effects.levers.items() if lever in knowledge.levers]
    found = {lever.lever: _lever(effect, lever, effects, way) for effect, lever in known}
    illegal = fault_texts(setup_faults(way.case, way.system)) if way.case is not None else []
    return {"not_legal": illegal, "as_said": as_said_data(read_picture(effects.belief)), "levers": found}


def severity_data(effects: EffectTable) -> Plain:
    """Show what the severities stand for, percent of grip, and the band of the driver's own factor."""
    percent = {str(severity): size for severity, size in SIZE.items()}
    return {"percent": percent, "driver_factor": list(measure_of(effects.belief))}


def _lever(effect: LeverEffect, lever: Lever, effects: EffectTable, way: Way) -> Plain:
    """One lever. verdicts: agrees, differs and so on, by phase. facts: of a step; of a fixed one, as it stands."""
    name, case = lever.lever, way.its_case
    cells, bands = cells_of(effect, lever)
    least, most, _ = legal_range(case, name) or (None, None, None)
    sure = sayable(mean_sign_share(effect), effects.cars) if effect.basis == "computed" and not effects.shut else None
    fixed = is_fixed(name, case)
    return {
        "title": lever.title,
        "unit": way.unit(kind_of(name, case.setup)),
        "plus_means": lever.plus_word,
        "step": None if fixed else way.lever(effect.step, name),
        "from": way.lever(value_of(case.setup, name), name),
        "min": way.lever(least, name),
        "max": way.lever(most, name),
        "effect": None if effects.shut else plain(cells, way),
        "spread": None if effects.shut else plain(bands, way),
        "sign_share": sure,
        "word": None if sure is None else chance_word(sure),
        "basis": effect.basis,
        "trade": {phase: line.balance for phase, line in lever.trade.items()},
        "verdicts": judge_lever(lever, effect, effects.phases),
        "when": when_of(lever, case),
        "facts": _facts(name, 0.0 if fixed else effect.step, effects, way),
    }


def cells_of(effect: LeverEffect, lever: Lever) -> tuple[Grid, Spread]:
    """What one step does to every cell, with its band; what the pack's table says where it is not computed.

    The band of a table runs from nothing to double (an assumption).
    """
    if effect.basis == "computed":
        return effect.effect, effect.spread
    row = dict.fromkeys(PHASES, 0.0) | book_row(lever, effect.step)
    bands = {phase: dict.fromkeys(STAGES, (min(0.0, 2.0 * x), max(0.0, 2.0 * x))) for phase, x in row.items()}
    return Grid.level(row), bands


def _facts(lever: str, change: float, effects: EffectTable, way: Way) -> list[str]:
    """What a change of a lever is on this car."""
    from assistant.pages.lever_facts import facts  # noqa: PLC0415 - only when levers are asked for

    return list(facts(way.its_case, lever, change, model=effects.model, system=way.system))


def mean_sign_share(effect: LeverEffect) -> float:
    """Share of plausible cars on which the sign holds (0 to 1), cells weighed by what the lever does there."""
    cells = [
        (abs(value), effect.sign_share[phase][stage])
        for phase, row in effect.effect.items()
        for stage, value in row.items()
    ]
    total = sum(size for size, _ in cells)
    if total == 0:
        return sum(share for _, share in cells) / len(cells)
    return sum(size * share for size, share in cells) / total
