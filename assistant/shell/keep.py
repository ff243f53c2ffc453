"""`make` and `undo` on the disk: the user's own setup file is edited value by value, a demo's is kept as a copy.

Comments and order of an own file stay as they are; every edit is read back before it replaces the file.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from assistant.car.case import Case, Measured
from assistant.car.changes import differences
from assistant.car.file_models import OWN_LEVERS
from assistant.car.files import read_case, read_setup
from assistant.car.keys import write_key, write_value
from assistant.car.own_levers import kind_of
from assistant.car.setup import Setup
from assistant.car.setup_keys import KEY_OF
from assistant.car.write import (
    write_car,
    write_case,
    write_rulebook,
    write_setup,
    write_track,
    write_tyre,
)
from assistant.folders import is_file, is_there, knowledge_folder, user_folder, write_all
from assistant.problems import BadInput
from assistant.reading.yaml_file import parse_yaml, read_yaml
from assistant.shell.folder import writable_folder
from assistant.shell.own_file import ChangedMeanwhileError, read_exactly, replace_own
from assistant.units import System

NOT_SAVED = "Not saved: your own folder cannot be written to; note it by hand."
_CLOSE = 1e-6
_PARTS = ("car", "tyre", "track", "rulebook", "setup")


def keep_setup(case: Case, setup: Setup, talk: str, units: System) -> str:
    """Put the setup on the disk and say where, in one sentence. talk: name of the talk, for the folder of a copy."""
    if is_own(case):
        edited = edit_setup_file(case, setup)
        return f"Saved in {edited}." if edited else "Not saved: the setup file could not be edited; note it by hand."
    folder = writable_folder(str(Path("copies") / talk))
    if folder is None:
        return NOT_SAVED
    known = is_there(folder / "case.yaml")
    held = _measured(folder / "case.yaml" if known else Path(case.file), case)
    try:
        write_copy(replace(case, setup=setup, measured=held), folder, units)
    except OSError:  # a full disk
        return NOT_SAVED
    if known:
        return "Saved in the copy."
    return (
        f"The car here came with the program, so a copy of it is kept; halfturn talk {folder / 'case.yaml'} opens it."
    )


def _measured(file: Path, case: Case) -> Measured:
    """Read what a file holds of measurements: what is kept of those of the talk is asked for when they are typed."""
    with suppress(BadInput):
        return read_case(file, use_fit=False).measured
    return case.measured


def is_own(case: Case) -> bool:
    """Say whether the case is the user's own file, and not one that came with the program."""
    return bool(case.file) and knowledge_folder() not in Path(case.file).resolve().parents


def write_copy(case: Case, folder: Path, units: System, more: Mapping[Path, str] | None = None) -> None:
    """Write a case and every file it names into a folder, and `more` files with them: all or none. Raises OSError."""
    texts = {
        "car": write_car(case.car, units),
        "tyre": write_tyre(case.tyre, units),
        "track": write_track(case.track, units),
        "rulebook": write_rulebook(case.rulebook, units),
        "setup": write_setup(case.setup, case.car.name, units),
        "case": write_case(case, {part: part for part in _PARTS}, units),
    }
    write_all({folder / f"{part}.yaml": text for part, text in texts.items()} | dict(more or {}))


def edit_setup_file(case: Case, setup: Setup) -> Path | None:
    """Put the changed values into the user's setup file; None when that cannot be done without harm."""
    with suppress(OSError, BadInput, UnicodeDecodeError, ChangedMeanwhileError):
        path = _setup_file(case)
        if path is None:
            return None
        before = read_setup(path)
        seen = text = read_exactly(path)
        for lever in (*differences(before, setup), *_own_moved(case, before, setup)):
            changed = _with_value(text, lever, setup)
            if changed is None:
                return None
            text = changed
        return path if replace_own(path, seen, text, lambda trial: _same(read_setup(trial), setup)) else None
    return None


def _setup_file(case: Case) -> Path | None:
    data = read_yaml(case.file).data
    name = str(data["setup"]) if isinstance(data, dict) else ""
    for folder in (Path(case.file).parent, user_folder()):
        for ending in ("", ".yaml", ".yml"):
            if name and is_file(folder / (name + ending)):
                return folder / (name + ending)
    return None  # it lies in the demo: not the user's to edit


def _own_moved(case: Case, before: Setup, setup: Setup) -> list[str]:
    """List the levers of the team's own that the file must state: those it states, and those that were moved."""
    return [
        lever
        for lever in setup.own
        if lever in before.stated_own or setup.values[lever] != case.setup.values.get(lever)
    ]


def _with_value(text: str, lever: str, setup: Setup) -> str | None:
    """Return the text with one value replaced where it stands, up to a comma, a bracket or a comment."""
    document = parse_yaml(text, "the setup")  # as it is by now: values in one row move one another
    system: System = "si" if isinstance(document.data, dict) and document.data.get("units") == "si" else "trade"
    own, value = lever in setup.own, setup.values[lever]
    written = write_value(value, kind_of(lever, setup), system) if own else write_key(KEY_OF[lever], value, system)
    place = document.places.get((OWN_LEVERS, lever) if own else KEY_OF[lever].path)
    if place is None:
        return _with_own(text, lever, written) if own else None
    rows = text.split("\n")
    row, column = rows[place[0] - 1], place[1] - 1
    old = re.match(r"[^,}\]#]*[^,}\]#\s]", row[column:])
    if old is None or old[0][0] in "\"'":
        return None
    rows[place[0] - 1] = row[:column] + written + row[column + old.end() :]
    return "\n".join(rows)


def _with_own(text: str, lever: str, written: str) -> str | None:
    """Add a lever of the team's own to the end of the text, under the block for such levers."""
    head, line = f"{OWN_LEVERS}:", f"  {lever}: {written}"
    end = "\r\n" if "\r\n" in text else "\n"
    rows = text.rstrip().split(end)
    if head in rows:
        at = rows.index(head) + 1
        return end.join([*rows[:at], line, *rows[at:], ""])
    if any(row.startswith(head) for row in rows):
        return None  # written in one line: not to be cut up by a machine
    return end.join([*rows, head, line, ""])


def _same(one: Setup, other: Setup) -> bool:
    """Whether a setup as read again is the one that was kept; what it states of own levers only their pack can read."""
    return one.values.keys() == other.values.keys() - other.own.keys() and all(
        abs(value - other.values[lever]) <= _CLOSE * max(1.0, abs(value)) for lever, value in one.values.items()
    )
