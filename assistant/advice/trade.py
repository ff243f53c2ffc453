"""What the trade says, in values: its direction beside the computed one, its table for some levers, its sources."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from assistant.ground.grid import Grid
from assistant.ground.units import read
from assistant.ground.words import sayable

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from assistant.advice.sizing import Wanted
    from assistant.belief.effects import EffectTable, LeverEffect
    from assistant.rules.models_lever import Lever
    from assistant.rules.pack import Knowledge


AGREES, DIFFERS, NOTHING, TRADE_DEPENDS = "agrees", "differs", "nothing computed", "trade says it depends"
VERDICTS = (DIFFERS, AGREES, NOTHING, TRADE_DEPENDS)
"""What the trade's word for a lever comes to beside the computation, what is to be told first."""
SETTLED = "settled"
FELT = 0.1
"""Change of balance [%] by a usual single change below which a driver feels nothing; from memory."""
NIL = 0.002
"""Change of balance [%] per step that is nothing, whatever its sign: a fiftieth of what a driver feels."""
_OPPOSITE = {"tighter": "looser", "looser": "tighter"}


def judge(says: str, change: float | None, usual: float) -> str:
    """Hold one line of the trade against the car at hand; the one verdict of the whole program.

    says: tighter, looser, none or depends. change: percent a step, + tighter, once settled, None when nothing is
    computed. usual: what a usual change does there [%]; less than a driver feels is none.
    """
    if says == "depends":
        return TRADE_DEPENDS
    if change is None:
        return NOTHING
    if says == "none":
        return AGREES if abs(usual) < FELT else DIFFERS
    if abs(change) < NIL:
        return NOTHING
    return AGREES if (change > 0) == (says == "tighter") else DIFFERS


def judge_lever(lever: Lever, effect: LeverEffect, phases: Iterable[str]) -> dict[str, str]:
    """Judge the trade's line for every one of the phases it speaks of, once settled."""
    usual = read_change(lever.usual_change, lever) / effect.step if effect.step else 0.0
    found = {}
    for phase in phases:
        if phase in lever.trade:
            size = effect.effect[phase][SETTLED]
            change = size if effect.basis == "computed" else None
            found[str(phase)] = judge(lever.trade[phase].balance, change, size * usual)
    return found


def judge_all(lever: Lever, verdicts: Mapping[str, str]) -> str:
    """Take one word for several lines: of those with a direction where there are any, one that differs first."""
    pointed = {phase: word for phase, word in verdicts.items() if _points(lever, phase)} or verdicts
    return next((word for word in VERDICTS if word in pointed.values()), "")


def _points(lever: Lever, phase: str) -> bool:
    return any(one == phase and line.balance in _OPPOSITE for one, line in lever.trade.items())


def flip(view: str) -> str:
    """Turn the trade's word for the + direction into the word for the - direction; "none" and "depends" stay."""
    return _OPPOSITE.get(view, view)


def by_the_book(effect: LeverEffect, lever: Lever, effects: EffectTable) -> LeverEffect:
    """Fill in the pack's table for a lever the model does not compute; a computed lever stays as it is.

    The table is per usual change, the same at every stage; its band runs from nothing to double (an assumption).
    """
    if effect.basis == "computed" or lever.by_the_book is None:
        return effect
    usual = abs(read_change(lever.usual_change, lever))
    row = dict.fromkeys(effects.phases, 0.0) | {
        str(phase): value * abs(effect.step) / usual for phase, value in lever.by_the_book.per_usual_change.items()
    }
    grid = Grid.level(row)
    band = {phase: dict.fromkeys(effects.stages, (min(0.0, 2 * x), max(0.0, 2 * x))) for phase, x in row.items()}
    return replace(effect, effect=grid, ends=dict.fromkeys(effects.ends, grid), spread=band)


def likely_side(wanted: Wanted, slope: NDArray[np.float64], share: NDArray[np.float64], cars: int) -> float:
    """Chance (0 to 1) that the sign holds where it was complained of, cells weighed by what the lever does there.

    cars: how many plausible cars were asked; no chance is said beyond what they can carry.
    """
    weight = wanted.weight * np.abs(wanted.change * slope)
    total = float(weight.sum())
    return sayable(float(weight @ share / total) if total > 0 else float(share.mean()), cars)


def is_decided(spread: Mapping[str, Mapping[str, tuple[float, float]]], wanted: Wanted) -> bool:
    """Whether the 10 to 90 % band over plausible cars keeps clear of zero in every cell complained of."""
    bands = [
        spread.get(phase, {}).get(stage, (0.0, 0.0))
        for reported, (_, phase, stage) in zip(wanted.reported, wanted.places, strict=True)
        if reported
    ]
    return bool(bands) and all(low > 0 or high < 0 for low, high in bands)


def read_change(text: str, lever: Lever) -> float:
    """Read a change of a lever from its file [SI]; a bare number is in the file's own unit."""
    return read(text, lever.quantity or "count", default_unit=lever.unit).value


def read_share(text: str) -> float:
    """Read a share of a force demand: "-10 %" is -0.1."""
    return read(text, "share").value


def scale_spread(
    spread: Mapping[str, Mapping[str, tuple[float, float]]], factor: float
) -> dict[str, dict[str, tuple[float, float]]]:
    """Multiply every band; a negative factor swaps its ends."""
    return {
        phase: {
            stage: (min(factor * low, factor * high), max(factor * low, factor * high))
            for stage, (low, high) in row.items()
        }
        for phase, row in spread.items()
    }


def shift_spread(
    spread: Mapping[str, Mapping[str, tuple[float, float]]], slope: Grid, multiple: float, exact: Grid
) -> dict[str, dict[str, tuple[float, float]]]:
    """Move every band by what the exact change differs from `multiple` times the slope."""
    off = exact - multiple * slope
    return {
        phase: {stage: (low + off[phase][stage], high + off[phase][stage]) for stage, (low, high) in row.items()}
        for phase, row in spread.items()
    }


def cautions_of(keys: Iterable[str], knowledge: Knowledge) -> tuple[str, ...]:
    """Give the words of cautions, each once."""
    return tuple(knowledge.cautions[key].says for key in dict.fromkeys(keys) if key in knowledge.cautions)
