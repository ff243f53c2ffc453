"""Advice and levers as plain dicts for `--json`: the keys are a contract, numbers in the units of the system asked for.

Percent of balance, + tighter. What is not computed is None (null), never invented. facts: what a change is on this
car, in sentences; an empty list where nothing is worth a number.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from assistant.advice.fitting import is_fixed, when_of
from assistant.advice.results import Advice
from assistant.advice.severity import derive_scale, read_weights
from assistant.advice.trade import by_the_book, judge_lever
from assistant.belief.as_said import as_said_json
from assistant.car.moves import TRACK_BAR_ENDS, limit_of, neighbors, value_of
from assistant.car.setup import kind_of
from assistant.ground.units import System, to_unit, unit_of
from assistant.ground.words import chance_word, sayable

if TYPE_CHECKING:
    from assistant.advice.results import Cost, Package, Remedy
    from assistant.belief.effects import EffectTable, LeverEffect
    from assistant.belief.model import Model
    from assistant.car.case import Case
    from assistant.ground.results import CauseFound, Complaint, Grid
    from assistant.rules.models_lever import Lever
    from assistant.rules.pack import Knowledge


Plain = dict[str, Any]
"""Only dicts, lists, text, numbers and None, ready for `json.dumps`."""


def advice_json(advice: Advice, case: Case, *, system: System = "trade", model: Model | None = None) -> Plain:
    """Give an advice as the contract of `advise --json` has it.

    model: the case as computed, when the facts of every change are wanted; without it they are None. A reason to stop
    stands alone.
    """
    if advice.stop:
        advice = Advice(advice.complaint, stop=advice.stop)
    return {
        "complaint": _complaint(advice.complaint),
        "stop": None if advice.stop is None else {"reason": advice.stop},
        "guessed_values": advice.guesses,
        "not_legal": list(advice.not_legal),
        "open_questions": [{"id": question.id, "text": question.text} for question in advice.open_questions],
        "causes": [_cause(cause) for cause in advice.causes],
        "remedies": [_remedy(remedy, case, system, model) for remedy in advice.remedies],
        "packages": [_package(package, case, system, model) for package in advice.packages],
        "as_said": as_said_json(advice.model),
    }


def levers_json(effects: EffectTable, case: Case, knowledge: Knowledge, *, system: System = "trade") -> Plain:
    """Give what every lever does, as the contract of `levers --json` has it."""
    known = [(effect, knowledge.levers[lever]) for lever, effect in effects.levers.items() if lever in knowledge.levers]
    found = {lever.lever: _lever(effect, lever, case, effects, system) for effect, lever in known}
    return {"as_said": as_said_json(effects.model), "levers": found}


def severity_json(effects: EffectTable, knowledge: Knowledge) -> Plain:
    """Show how severities are measured on this car, percent of grip: usual changes, units, severities 1 to 5."""
    scale = derive_scale(effects, read_weights(knowledge.ranking))
    return {
        "usual_changes": {change.lever: dict(change.effect) for change in scale.changes},
        "unit": {phase: scale.unit(phase) for phase in effects.phases},
        "percent": {
            phase: {str(severity): scale.percent(phase, severity) for severity in range(1, 6)}
            for phase in effects.phases
        },
    }


def _complaint(complaint: Complaint) -> Plain:
    cells = [
        {
            "phase": cell.phase,
            "stage": cell.stage,
            "end": cell.end,
            "balance": cell.balance,
            "severity": cell.severity,
            "severity_given": cell.severity_given,
        }
        for cell in complaint.cells
    ]
    return {
        "text": complaint.text,
        "cells": cells,
        "other": list(complaint.other),
        "not_understood": list(complaint.not_understood),
    }


def _cause(cause: CauseFound) -> Plain:
    return {
        "id": cause.id,
        "title": cause.title,
        "chance": cause.chance,
        "word": cause.word,
        "for": [sign.text for sign in cause.signs_for],
        "against": [sign.text for sign in cause.signs_against],
    }


def _remedy(remedy: Remedy, case: Case, system: System, model: Model | None) -> Plain:
    lever = remedy.id if remedy.kind == "lever" else None
    kind = None if lever is None else kind_of(lever, case.setup)
    return {
        "rank": remedy.rank,
        "kind": remedy.kind,
        "id": remedy.id,
        "title": remedy.title,
        "change": _number(remedy.change, kind, system),
        "unit": None if kind is None else unit_of(kind, system),
        "steps": remedy.steps,
        "from": _number(remedy.start, kind, system),
        "to": _number(remedy.finish, kind, system),
        "legal": None if lever is None else _legal(lever, case, system),
        "start_is_guessed": remedy.guessed,
        "limited_by": remedy.limited_by,
        "direction": remedy.direction,
        "removes": remedy.removes,
        "spoils": remedy.spoils,
        "each": [{"complaint": name, "removes": share} for name, share in remedy.each],
        "effect": _grid(remedy.effect),
        "ends": [{"id": end, "effect": _grid(grid)} for end, grid in remedy.ends],
        "tire_life_laps": _tire_life(remedy),
        "pace_s": None if remedy.pace_s is None else dict(remedy.pace_s),
        "fuel_laps": None if remedy.fuel_laps is None else _after_and_change(remedy.fuel_laps),
        "hot_pressure": _hot_pressure(remedy, system),
        "confidence": None if remedy.confidence is None else {"share": remedy.confidence, "word": remedy.word},
        "basis": remedy.basis,
        "when": remedy.when,
        "reason": remedy.reason,
        "costs": [_cost(cost, system) for cost in remedy.costs],
        "check_again": list(remedy.check_again),
        "cautions": list(remedy.cautions),
        "sources": list(remedy.sources),
        "facts": None if model is None else _facts(remedy, case, model, system)[0],
    }


def _package(package: Package, case: Case, system: System, model: Model | None) -> Plain:
    told = [None] * len(package.moves) if model is None else _facts(package, case, model, system)
    return {
        "moves": [
            {
                "lever": move.lever,
                "steps": move.steps,
                "from": _number(move.start, kind_of(move.lever, case.setup), system),
                "to": _number(move.finish, kind_of(move.lever, case.setup), system),
                "start_is_guessed": move.guessed,
                "facts": said,
            }
            for move, said in zip(package.moves, told, strict=True)
        ],
        "removes": package.removes,
        "spoils": package.spoils,
        "each": [{"complaint": name, "removes": share} for name, share in package.each],
        "effect": _grid(package.effect),
        "costs": [_cost(cost, system) for cost in package.costs],
        "check_again": list(package.check_again),
        "order": list(package.order),
    }


def _cost(cost: Cost, system: System) -> Plain:
    amount, unit = cost.amount, cost.unit
    if cost.kind == "pressure" and amount is not None:
        unit = unit_of("pressure", system)
        amount = to_unit(amount, unit, "pressure")
    return {"kind": cost.kind, "where": cost.where, "amount": amount, "unit": unit, "text": cost.text}


def _facts(offer: Remedy | Package, case: Case, model: Model, system: System) -> list[list[str]]:
    """What each move of an offer is on this car; one list for each move."""
    from assistant.pages.why import facts_of  # noqa: PLC0415 - only when facts are wanted

    return [list(one.facts) for one in facts_of(offer, case, model, system)] or [[]]


def _facts_of_step(effect: LeverEffect, case: Case, effects: EffectTable, system: System) -> list[str] | None:
    """What one step of a lever is on this car, how it stands when the rules fix it; None without the computed car."""
    from assistant.pages.lever_facts import facts  # noqa: PLC0415 - only when levers are asked for

    if effects.model is None:
        return None
    step = 0.0 if is_fixed(effect.id, case) else effect.step
    return list(facts(case, effect.id, step, model=effects.model, system=system))


def _hot_pressure(remedy: Remedy, system: System) -> Plain | None:
    """Hot pressure late in the run with the change made, and its change."""
    if remedy.hot_pressure is None:
        return None
    unit = unit_of("pressure", system)
    return {
        corner: _after_and_change((to_unit(after, unit, "pressure"), to_unit(change, unit, "pressure")))
        for corner, (after, change) in remedy.hot_pressure.items()
    }


def _tire_life(remedy: Remedy) -> Plain | None:
    if remedy.tire_life_laps is None:
        return None
    return {corner: _after_and_change(pair) for corner, pair in remedy.tire_life_laps.items()}


def _after_and_change(pair: tuple[float, float]) -> Plain:
    return {"after": pair[0], "change": pair[1]}


def _lever(effect: LeverEffect, lever: Lever, case: Case, effects: EffectTable, system: System) -> Plain:
    """One lever of `levers --json`. verdicts: agrees, differs and so on, by phase. facts: of one step.

    The facts of a lever that the rules fix say how it stands.
    """
    name = lever.lever
    effect = by_the_book(effect, lever, effects)
    trade: dict[str, str] = {phase: line.balance for phase, line in lever.trade.items()}
    legal = _legal(name, case, system) or {"min": None, "max": None}
    sure = sayable(mean_sign_share(effect), effects.cars) if effect.basis == "computed" else None
    fixed, kind = is_fixed(name, case), kind_of(name, case.setup)
    return {
        "title": lever.title,
        "unit": unit_of(kind, system),
        "plus_means": lever.plus_word,
        "step": None if fixed else _number(effect.step, kind, system),
        "from": _number(value_of(case.setup, name), kind, system),
        "min": legal["min"],
        "max": legal["max"],
        "effect": _grid(effect.effect),
        "spread": _spread(effect.spread),
        "sign_share": sure,
        "word": None if sure is None else chance_word(sure),
        "basis": effect.basis,
        "trade": trade,
        "verdicts": judge_lever(lever, effect, effects.phases),
        "when": when_of(lever, case),
        "facts": _facts_of_step(effect, case, effects, system),
    }


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


def _legal(lever: str, case: Case, system: System) -> Plain | None:
    """What the rules allow: the range both ends of the track bar share; None for a fixed lever."""
    ends = TRACK_BAR_ENDS if lever == "track_bar" else (lever,)
    limits = [limit_of(case.rulebook, case.car, end) for end in ends]
    known = [limit for limit in limits if limit is not None]
    if len(known) < len(ends):
        return None
    near = [abs(one) for one in neighbors(case.setup, case.rulebook, case.car, lever) if one]
    step, kind = min(near, default=known[0].step), kind_of(lever, case.setup)
    return {
        "min": _number(max(limit.low for limit in known), kind, system),
        "max": _number(min(limit.high for limit in known), kind, system),
        "step": _number(step, kind, system),
    }


def _number(value: float | None, kind: str | None, system: System) -> float | None:
    """Convert an SI value of a lever; rounded where arithmetic noise begins."""
    if value is None or kind is None:
        return None
    return round(to_unit(value, unit_of(kind, system), kind), 9)


def _grid(grid: Grid | None) -> Plain | None:
    return None if grid is None else {phase: dict(row) for phase, row in grid.items()}


def _spread(spread: Mapping[str, Mapping[str, tuple[float, float]]]) -> Plain:
    return {phase: {stage: list(band) for stage, band in row.items()} for phase, row in spread.items()}
