"""The run ahead a screen at a time: what matters most first, the rest by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from assistant.advice.computed.standing import NEUTRAL
from assistant.advice.run.run_ends import whole_laps
from assistant.advice.run.run_words import WHEN, WHERE, say_air, say_brakes, say_end, say_fuel
from assistant.car.case import PHASES, STAGES
from assistant.shell.blocks import Block, Line
from assistant.shell.grids import balance_table
from assistant.shell.parts import ALL, FORECAST, more_of
from assistant.shell.screen_forecast import (
    AIR,
    BRAKES,
    LIMITS,
    across_blocks,
    as_said_blocks,
    caution_blocks,
    doubt_blocks,
    drift_blocks,
    end_blocks,
    forecast_screen,
    gear_blocks,
    hot_table,
    steering_blocks,
    stop_blocks,
    title_line,
    wear_blocks,
)
from assistant.units import System

if TYPE_CHECKING:
    from assistant.advice.computed.standing import Standing
    from assistant.advice.run.air_conflict import AirEffect
    from assistant.advice.run.run_ahead import RunAhead
    from assistant.rules.knowledge import Knowledge

MOST_GEARS = 10
"""Pairs shown on a screen of their own; the others are slower still."""
TRUST = "Trust differences, not absolute balance or lap times."


def part_screen(
    part: str,
    ahead: RunAhead,
    knowledge: Knowledge,
    units: System,
    *,
    air: Callable[[], Sequence[AirEffect]],
    ask: str = "forecast",
) -> list[Block]:
    """Show one part of the run ahead, everything for "all", what matters most for "".

    air: right-rear air, driven only where it is shown. ask: what shows a part.
    """
    if part == ALL:
        return forecast_screen(ahead, air(), knowledge, units)
    if part == "air":
        said = [Line(text) for text in say_air(air(), units)]
        return [*as_said_blocks(ahead.model), *said, *caution_blocks(knowledge, (AIR,))]
    if part:
        return [*stop_blocks(ahead), *as_said_blocks(ahead.model), *_PARTS[part](ahead, knowledge, units)]
    return short_screen(ahead, knowledge, units, ask)


def short_screen(ahead: RunAhead, knowledge: Knowledge, units: System, ask: str) -> list[Block]:
    """Show what matters most: how far the run goes, balance, tread and hot pressures, fuel."""
    doubted = as_said_blocks(ahead.model)
    return [
        title_line(ahead),
        *(Line(text) for text in _ends(ahead)),
        *stop_blocks(ahead),
        Line(judged_from(ahead.model.standing)),
        *doubted,
        *doubt_blocks(ahead.forecast, ahead.case, units),
        Line(f"Balance in percent of grip, mean of both ends{'; trust differences only' * bool(doubted)}:"),
        balance_table(ahead.forecast.balance, short=bool(doubted)),
        Line("Tires: tread used at the end, when it is gone, hot pressure:"),
        hot_table(ahead.forecast, units),
        Line(say_fuel(ahead, units)),
        *caution_blocks(knowledge, (AIR,)),
        Line(more_of(ask, FORECAST) if doubted else f"{TRUST} {more_of(ask, FORECAST)}"),
    ]


def _ends(ahead: RunAhead) -> list[str]:
    """Say in one line what ends a run that can be driven; a shorter one in full."""
    if ahead.cut_short:
        return say_end(ahead)
    forecast = ahead.forecast
    by = "the fuel" if forecast.run_ends_by == "fuel" else f"the {forecast.run_ends_by} tire"
    first = f"first to be used up: {by}, after lap {whole_laps(forecast.run_ends_at)}"
    return [f"All {ahead.planned} laps can be driven; {first}."]


def judged_from(standing: Standing) -> str:
    """Say in one line where the balance is anchored."""
    told = [
        f"{WHERE[phase]} {abs(target):.1f} {'tight' if target > 0 else 'loose'} {WHEN[STAGES[stage]]}"
        for phase, stage, target in zip(PHASES, standing.stages, standing.targets, strict=True)
        if target
    ]
    if standing == NEUTRAL or not told:
        return "Nobody said how it handles: it is taken as neutral once settled."
    return f"Taken from what was said: {', '.join(told)}{'' if len(told) == len(PHASES) else '; else neutral'}."


def _tires(ahead: RunAhead, knowledge: Knowledge, units: System) -> list[Block]:
    return [*across_blocks(ahead, units), *caution_blocks(knowledge, (AIR,))]


def _brakes(ahead: RunAhead, knowledge: Knowledge, units: System) -> list[Block]:
    return [*(Line(text) for text in say_brakes(ahead.brakes, units)), *caution_blocks(knowledge, (BRAKES,))]


_PARTS: Mapping[str, Callable[[RunAhead, Knowledge, System], list[Block]]] = {
    "ends": lambda ahead, _, __: [*end_blocks(ahead), Line(LIMITS, mark="quiet")],
    "drift": lambda ahead, _, __: drift_blocks(ahead),
    "tires": _tires,
    "wear": lambda ahead, _, __: wear_blocks(ahead),
    "steering": lambda ahead, _, __: steering_blocks(ahead),
    "gears": lambda ahead, _, __: gear_blocks(ahead, MOST_GEARS),
    "brakes": _brakes,
}
