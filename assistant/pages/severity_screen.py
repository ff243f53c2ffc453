"""`severity`: what severities 1 to 5 mean on this car, and how that came about."""

from __future__ import annotations

from math import ceil, floor
from typing import TYPE_CHECKING

from assistant.advice.wanted import derive_scale
from assistant.ground.words import PHASE_WORDS, count_of
from assistant.pages.amounts import lever_change
from assistant.pages.blocks import Block, Line

if TYPE_CHECKING:
    from assistant.advice.wanted import SeverityScale
    from assistant.belief.effects import EffectTable
    from assistant.ground.units import System
    from assistant.rules.knowledge import Knowledge

WHOLE = 0.02
"""Share of a step within which a change counts as whole steps."""


def severity_screen(effects: EffectTable, knowledge: Knowledge, system: System) -> list[Block]:
    """Show what the trade's usual changes do on this car, in its legal steps, and the unit that makes of them."""
    scale = derive_scale(effects, knowledge.weights)
    blocks: list[Block] = [Line("What the usual single changes do on this car once settled (percent of grip):")]
    for change in scale.changes:
        title = knowledge.levers[change.lever].title if change.lever in knowledge.levers else change.lever
        usual = lever_change(change.lever, change.change, system)
        steps = steps_words(change.change, effects, change.lever)
        numbers = ", ".join(f"{PHASE_WORDS[phase]} {change.effect[phase]:.2f}" for phase in effects.phases)
        blocks.append(Line(f"{title}, {usual} ({steps}): {numbers}", indent=2))
    return [*blocks, *(Line(_say_unit(scale, phase)) for phase in effects.phases)]


def _say_unit(scale: SeverityScale, phase: str) -> str:
    row = ", ".join(f"{scale.percent(phase, severity):.2f}" for severity in range(1, 6))
    source = "the middle one of these" if phase in scale.units else "not computed, the usual figures are taken"
    return f"One unit {PHASE_WORDS[phase]}: {scale.unit(phase):.2f} % ({source}); severities 1 to 5: {row} %."


def steps_words(change: float, effects: EffectTable, lever: str) -> str:
    """Say a change [SI] in legal steps of this car: "2 legal steps", "between 2 and 3 legal steps"."""
    steps = abs(change / effects.levers[lever].step)
    whole = round(steps)
    if abs(steps - whole) < WHOLE:
        return count_of(whole, "legal step")
    return f"between {floor(steps)} and {ceil(steps)} legal steps" if steps > 1 else "less than a legal step"
