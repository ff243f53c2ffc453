"""`halfturn new`: describe your own car by questions, or start a commented file. Nothing is ever replaced."""

from __future__ import annotations

import argparse
import os
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.commands.common import look_for
from assistant.ground.folders import is_there, write_all
from assistant.ground.problems import BadInput, Problem
from assistant.pages.terminal import say_line

if TYPE_CHECKING:
    from assistant.ground.units import System

ASKED = ("car", "case")
CAR_FILES = ("car", "tire", "track", "rulebook", "setup")
STARTERS = Path(__file__).parent / "starters"


def run(options: argparse.Namespace) -> int:
    """Ask about the car, or write a starter file."""
    if options.kind in ASKED and not options.starter and not options.output:
        from assistant.commands.ask_about_car import ask_about_car  # noqa: PLC0415 - imports the car's files

        return ask_about_car(options)
    name = (options.name or f"my {options.kind}").strip()
    files = new_files(options.kind, name, Path(options.output) if options.output else None, options.units)
    write_new(files)
    for path in files:
        say_line(f"Written: {path}", look_for(options), sys.stdout)
    if options.kind not in {*CAR_FILES, "case"}:
        say_line(_say_next(next(iter(files)).parent), look_for(options), sys.stdout)
    return 0


def _say_next(folder: Path) -> str:
    """Say how a file of a pack is checked: by the pack around it, which must be there first."""
    pack = next((one for one in (folder, *folder.parents) if is_there(one / "pack.yaml")), None)
    if pack is None:
        return f"Rules are read from a pack, and this folder is none yet: halfturn new pack -o {folder} makes it one."
    return f"Fill it in, then look for mistakes: halfturn check {pack}"


def new_files(kind: str, name: str, output: Path | None, system: System) -> dict[Path, str]:
    """Return the files to write and their text. A case brings all the files it names."""
    stem = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or kind
    if kind in CAR_FILES:
        return {output or Path(f"{stem}.yaml"): car_file(kind, stem, system)}
    if kind == "case":
        folder = output or Path(stem)
        files = {folder / f"{part}.yaml": car_file(part, stem, system) for part in (*CAR_FILES, "case")}
        files[folder / "case.yaml"] = files[folder / "case.yaml"].replace("setup: setup-demo", "setup: setup")
        return files
    if kind == "pack":
        return {(output or Path(stem)) / "pack.yaml": filled("pack", stem)}
    path = output or Path(f"{stem.replace('-', '_') if kind == 'lever' else stem}.yaml")
    files = {path: filled(kind, name.lower())}
    if kind == "symptom":
        files[path.with_suffix("").with_suffix(".cases.yaml")] = filled("symptom.cases", name.lower())
    return files


def filled(template: str, name: str) -> str:
    """Fill the name into a template."""
    text = (STARTERS / f"{template}.yaml").read_text(encoding="utf-8")
    return text.replace("{name}", name).replace(
        "{id}", re.sub(r"[^a-z0-9]+", "_" if template == "lever" else "-", name).strip("_-")
    )


def car_file(kind: str, name: str, system: System) -> str:
    """Return a commented file of the car's kind under its own name; a case names the files beside it."""
    from assistant.car.starters import starter  # noqa: PLC0415 - imports pydantic

    text = re.sub(rf"^{kind}: .*$", f"{kind}: {name}", starter(kind, system), count=1, flags=re.MULTILINE)
    if kind == "setup":
        text = re.sub(r"^car: .*$", f"car: {name}", text, count=1, flags=re.MULTILINE)
    return text


def write_new(texts: dict[Path, str]) -> None:
    """Write files that are not there yet, all or none. Raises BadInput when one is, or cannot be written."""
    for path in texts:
        if os.path.lexists(path):
            raise BadInput(Problem(str(path), 0, 0, "is there already", "give another name, or -o FILE"))
    try:
        for folder in {path.parent for path in texts}:
            folder.mkdir(parents=True, exist_ok=True)
        write_all(texts, over=False)
    except OSError as mistake:
        first = str(next(iter(texts)))
        raise BadInput(
            Problem(first, 0, 0, f"cannot be written: {mistake.strerror}", "give another place with -o FILE")
        ) from mistake
