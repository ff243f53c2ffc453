"""The setup in the order a person walks round the car."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.car.setup import GROUPS, Rulebook, Setup
from assistant.shell.amounts import LeverWords, lever_value
from assistant.shell.blocks import Block, Line
from assistant.units import System


def setup_screen(setup: Setup, levers: Mapping[str, LeverWords], rulebook: Rulebook, units: System) -> list[Block]:
    """Show each group on its own paragraph; what was only guessed, or is fixed by the rules, is said."""
    blocks: list[Block] = [Line(f"Setup {setup.name}.")]
    fixed = []
    for group, ids in GROUPS.items():
        said = []
        for lever in ids:
            if lever not in setup.values:
                continue
            title = levers[lever].title if lever in levers else lever
            guess = ", guessed" if lever in setup.guessed else ""
            said.append(f"{title} {lever_value(lever, setup.values[lever], units)}{guess}")
            if lever not in rulebook.limits:
                fixed.append(title)
        if said:
            blocks.append(Line("; ".join(said) + ".", lead=f"{group}:"))
    return [*blocks, Line("Fixed by the rules: " + ", ".join(fixed) + ".")] if fixed else blocks
