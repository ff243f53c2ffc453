"""The setup by corner of the car, then its front, its rear and its middle."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.car.lever_rows import ROW_OF
from assistant.car.setup import Rulebook, Setup, places_of
from assistant.ground.units import System
from assistant.pages.amounts import LeverWords, lever_value
from assistant.pages.blocks import Block, Line


def setup_screen(setup: Setup, levers: Mapping[str, LeverWords], rulebook: Rulebook, system: System) -> list[Block]:
    """Show one paragraph for each place; what was only guessed, or is fixed by the rules, is said."""
    blocks: list[Block] = [Line(f"Setup {setup.name}.")]
    for place, ids in places_of(setup).items():
        if not ids:
            continue
        all_guessed = len(ids) > 1 and setup.guessed.issuperset(ids)
        said = [_value(lever, setup, system, mark=not all_guessed) for lever in ids]
        blocks.append(Line("; ".join([*said, "all guessed"] if all_guessed else said) + ".", lead=f"{place}:"))
    fixed = [_title(lever, levers) for lever in setup.values if lever not in rulebook.limits]
    return [*blocks, Line("Fixed by the rules: " + ", ".join(fixed) + ".")] if fixed else blocks


def word_of(lever: str, setup: Setup) -> str:
    """Name a lever at its place on the car."""
    return setup.own[lever].name if lever in setup.own else ROW_OF[lever].word


def _value(lever: str, setup: Setup, system: System, *, mark: bool) -> str:
    text = f"{word_of(lever, setup)} {lever_value(lever, setup.values[lever], system, setup=setup)}"
    return f"{text} guessed" if mark and lever in setup.guessed else text


def _title(lever: str, levers: Mapping[str, LeverWords]) -> str:
    return levers[lever].title if lever in levers else lever
