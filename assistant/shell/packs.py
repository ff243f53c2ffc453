"""The packs a person asked for, and what to say of one that was left out."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.ground.folders import is_folder
from assistant.ground.problems import BadInput, Problem
from assistant.pages.blocks import Block, Line

if TYPE_CHECKING:
    from assistant.rules.knowledge import Knowledge


def load_with(names: Sequence[str]) -> Knowledge:
    """Load the base pack with others over it. Raises BadInput for a folder that is not there."""
    from assistant.rules.pack import base_folder, load_packs  # noqa: PLC0415 - 100 ms of imports

    return load_packs([base_folder(), *pack_folders(names)])


def pack_folders(names: Sequence[str]) -> list[Path]:
    """Return the folders. Raises BadInput for those that are not there."""
    missing = [name for name in names if not is_folder(name)]
    if missing:
        raise BadInput(
            [Problem(name, 0, 0, "there is no such folder", "the folder with a pack.yaml") for name in missing]
        )
    return [Path(name) for name in names]


def notes_of(knowledge: Knowledge) -> list[Block]:
    """Say which packs were left out, and how to see why."""
    rows = [row.strip() for note in knowledge.notes for row in note.text().split("\n")]
    return [Line(row) for row in rows]
