"""The setup in the order a person walks round the car."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.car.car import CORNERS
from assistant.car.setup import Rulebook, Setup, groups_of
from assistant.ground.units import System
from assistant.pages.amounts import LeverWords, lever_value
from assistant.pages.blocks import Block, Line


def setup_screen(setup: Setup, levers: Mapping[str, LeverWords], rulebook: Rulebook, system: System) -> list[Block]:
    """Show one paragraph for each group; what was only guessed, or is fixed by the rules, is said."""
    blocks: list[Block] = [Line(f"Setup {setup.name}.")]
    for group, ids in groups_of(setup).items():
        said: list[str] = []
        shown = [lever for lever in ids if lever in setup.values]
        all_guessed = len(shown) > 1 and setup.guessed.issuperset(shown)
        for lever in shown:
            value = lever_value(lever, setup.values[lever], system, setup=setup)
            family, corner = _family(lever)
            text = f"{corner} {value}" if corner else f"{_title(lever, levers)} {value}"
            if lever in setup.guessed and not all_guessed:
                text += " guessed"
            if corner and corner != _first_corner(lever, setup):
                said[-1] += f", {text}"
            else:
                said.append(f"{family} {text}".strip() if corner else text)
        if said:
            blocks.append(Line("; ".join([*said, "all guessed"] if all_guessed else said) + ".", lead=f"{group}:"))
    fixed = [_title(lever, levers) for lever in setup.values if lever not in rulebook.limits]
    return [*blocks, Line("Fixed by the rules: " + ", ".join(fixed) + ".")] if fixed else blocks


def _title(lever: str, levers: Mapping[str, LeverWords]) -> str:
    return levers[lever].title if lever in levers else lever


def _family(lever: str) -> tuple[str, str]:
    """Split "bump_lf" into "bump" and "LF"; the group says it for springs and air; no corner is an empty one."""
    name, _, corner = lever.rpartition("_")
    if corner.upper() not in CORNERS:
        return lever, ""
    return {"spring": "", "pressure": "", "link_angle": "trailing arm, front pivot"}.get(name, name), corner.upper()


def _first_corner(lever: str, setup: Setup) -> str:
    """Which corner of the family comes first in this setup; it carries the family's name."""
    name = lever.rpartition("_")[0]
    return next(corner for corner in CORNERS if f"{name}_{corner.lower()}" in setup.values)
