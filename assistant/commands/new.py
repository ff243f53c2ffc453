"""`halfturn new`: describe your own car by questions, or start a commented file. Nothing is ever replaced."""

from __future__ import annotations

import argparse
import os
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.car.write import starter
from assistant.commands.runner import Runner, refused
from assistant.ground.folders import is_there, write_all
from assistant.pages import sayings
from assistant.shell.begin import read_anything
from assistant.shell.own_car_dialog import OwnCarDialog

if TYPE_CHECKING:
    from assistant.ground.units import System

ASKED = ("car", "case")
CAR_FILES = ("car", "tire", "track", "rulebook", "setup")
STARTERS = Path(__file__).parent / "starters"


def new(options: argparse.Namespace) -> int:
    """Ask about the car, or write a starter file. Raises BadInput."""
    run = Runner(options)
    if options.kind in ASKED and not options.starter and not options.output:
        return _ask_about_car(run)
    name = (options.name or f"my {options.kind}").strip()
    files = new_files(options.kind, name, Path(options.output) if options.output else None, run.system)
    write_new(files)
    run.tell(*(f"Written: {path}" for path in files))
    if options.kind not in {*CAR_FILES, "case"}:
        run.tell(_say_next(next(iter(files)).parent))
    return 0


def _ask_about_car(run: Runner) -> int:
    """Ask by plain lines until all is answered; the end of the input takes every default that is left."""
    read_anything(sys.stdin)
    asked = OwnCarDialog(run.system, Path())
    run.show(asked.opening())
    if run.options.name:
        run.show(asked.say(run.options.name))
    while asked.case is None:
        run.tell(asked.prompt)
        row = sys.stdin.readline().strip()
        if row.lower() in {"quit", "exit", "q", ":q"}:
            run.tell(sayings.LEFT_UNWRITTEN)
            return 0
        run.show(asked.say(row))
    if asked.folder is None:
        raise refused("cannot be written to", "go to another folder", "this folder")
    return 0


def _say_next(folder: Path) -> str:
    """Say how a file of a pack is checked: by the pack around it, which must be there first."""
    pack = next((one for one in (folder, *folder.parents) if is_there(one / "pack.yaml")), None)
    return sayings.NO_PACK_YET.format(folder) if pack is None else sayings.FILL_IN.format(pack)


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
    if kind in {"symptom", "cause"}:
        files[path.with_suffix("").with_suffix(".cases.yaml")] = filled(f"{kind}.cases", name.lower())
    return files


def filled(template: str, name: str) -> str:
    """Fill the name into a template."""
    text = (STARTERS / f"{template}.yaml").read_text(encoding="utf-8")
    return text.replace("{name}", name).replace(
        "{id}", re.sub(r"[^a-z0-9]+", "_" if template == "lever" else "-", name).strip("_-")
    )


def car_file(kind: str, name: str, system: System) -> str:
    """Return a commented file of the car's kind under its own name; a case names the files beside it."""
    text = re.sub(rf"^{kind}: .*$", f"{kind}: {name}", starter(kind, system), count=1, flags=re.MULTILINE)
    if kind == "setup":
        text = re.sub(r"^car: .*$", f"car: {name}", text, count=1, flags=re.MULTILINE)
    return text


def write_new(texts: dict[Path, str]) -> None:
    """Write files that are not there yet, all or none. Raises BadInput when one is, or cannot be written."""
    for path in texts:
        if os.path.lexists(path):
            raise refused("is there already", "give another name, or -o FILE", str(path))
    try:
        for folder in {path.parent for path in texts}:
            folder.mkdir(parents=True, exist_ok=True)
        write_all(texts, over=False)
    except OSError as mistake:
        first = str(next(iter(texts)))
        raise refused(f"cannot be written: {mistake.strerror}", "give another place with -o FILE", first) from mistake
