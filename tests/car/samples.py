"""The demo's files as texts, with one thing changed, and what the reader says about it."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.car.file_keys import (
    CAR_KEYS,
    END_KEYS,
    ENGINE_KEYS,
    GEAR,
    LAP_TIME_KEY,
    MEASURED_KEYS,
    POWER,
    TIRE_KEYS,
    TRACK_KEYS,
    TREAD_KEY,
)
from assistant.car.keys import SETUP_BY_WEIGHTS, SETUP_KEYS
from assistant.ground.folders import demo_folder
from assistant.ground.problems import BadInput

TABLES = {
    "car": (*CAR_KEYS, *ENGINE_KEYS, GEAR, POWER),
    "tire": TIRE_KEYS,
    "track": TRACK_KEYS,
    "end": END_KEYS,
    "setup": SETUP_KEYS,
    "setup by corners": SETUP_BY_WEIGHTS,
    "measured": (*MEASURED_KEYS, TREAD_KEY, LAP_TIME_KEY),
}
"""The keys of each file, and of the lists inside one."""


def demo_text(name: str) -> str:
    return (demo_folder() / f"{name}.yaml").read_text(encoding="utf-8")


def changed(name: str, *changes: tuple[str, str]) -> str:
    """Give the demo's text with each first part replaced by the second; the first part must be there."""
    text = demo_text(name)
    for old, new in changes:
        assert old in text, f"'{old}' is not in {name}.yaml any more"
        text = text.replace(old, new, 1)
    return text


def written(folder: Path, text: str, name: str = "file") -> Path:
    path = folder / f"{name}.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def complaints(reader, path) -> list[str]:
    """Read a bad file and give each problem as "name in its row: what it says / hint"; "-" without a row."""
    with pytest.raises(BadInput) as bad:
        reader(path)
    return [" / ".join([f"{_row(one)}: {one.says}", one.hint]).removesuffix(" / ") for one in bad.value.problems]


def _row(problem) -> str:
    return problem.row.split(":")[0].strip(" -\t") or "-"
