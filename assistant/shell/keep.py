"""`make` and `undo` on the disk: the user's own setup file is edited value by value, a demo's is kept as a copy.

Comments and order of an own file stay as they are; every edit is read back before it replaces the file.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from assistant.car.case import Case, Measured
from assistant.car.edit import put_setup
from assistant.car.files import read_case, read_setup
from assistant.car.lever_rows import lever_name
from assistant.car.moves import differences
from assistant.car.setup import Setup, kind_of
from assistant.car.write import write_car, write_case, write_rulebook, write_setup, write_tire, write_track
from assistant.ground.folders import is_file, is_there, knowledge_folder, user_folder, write_all
from assistant.ground.problems import BadInput
from assistant.ground.units import System, show
from assistant.ground.yaml_file import read_yaml
from assistant.shell.folder import writable_folder
from assistant.shell.own_file import ChangedMeanwhileError, read_exactly, replace_own

NOT_SAVED = "Not saved: your own folder cannot be written to; note it by hand."
_CLOSE = 1e-6
_PARTS = ("car", "tire", "track", "rulebook", "setup")


def keep_setup(case: Case, setup: Setup, talk: str, units: System, on_file: Setup | None = None) -> str:
    """Put what moved from the case's setup to this one on the disk and say where, in one sentence.

    talk: name of the talk, for the folder of a copy. on_file: what the file is believed to hold, the case's setup when
    left out; raises ChangedMeanwhileError when it holds something else.
    """
    if is_own(case):
        edited = edit_setup_file(case, setup, on_file)
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
        "tire": write_tire(case.tire, units),
        "track": write_track(case.track, units),
        "rulebook": write_rulebook(case.rulebook, units),
        "setup": write_setup(case.setup, case.car.name, units),
        "case": write_case(case, {part: part for part in _PARTS}, units),
    }
    write_all({folder / f"{part}.yaml": text for part, text in texts.items()} | dict(more or {}))


def edit_setup_file(case: Case, setup: Setup, on_file: Setup | None = None) -> Path | None:
    """Put the values that moved into the user's setup file, no others; None when that cannot be done without harm.

    Raises ChangedMeanwhileError when the file does not hold what it is believed to.
    """
    with suppress(OSError, BadInput, UnicodeDecodeError):
        path = _setup_file(case)
        if path is None:
            return None
        seen = read_exactly(path)
        before = read_setup(path)
        if is_changed(on_file or case.setup, before):
            raise ChangedMeanwhileError
        moved = [*differences(case.setup, setup)]
        text = put_setup(seen, moved, setup)
        if text is None:
            return None
        wanted = {**before.values, **{lever: setup.values[lever] for lever in moved if lever not in setup.own}}
        right = replace_own(path, seen, text, lambda trial: _holds(read_setup(trial, case.car), wanted))
        return path if right else None
    return None


def setup_on_file(case: Case) -> Setup | None:
    """Read the setup the user's own file holds now; None where there is none to read, or the case is a demo."""
    with suppress(OSError, BadInput):
        path = _setup_file(case) if is_own(case) else None
        return None if path is None else read_setup(path)
    return None


def prints_of(case: Case) -> dict[str, str]:
    """Give a short mark of each file of a case but the setup, by which a later talk can tell that it was changed."""
    texts = {
        "car": write_car(case.car),
        "tire": write_tire(case.tire),
        "track": write_track(case.track),
        "rulebook": write_rulebook(case.rulebook),
    }
    return {part: hashlib.sha256(text.encode()).hexdigest()[:16] for part, text in texts.items()}


def say_changes(before: Mapping[str, float], now: Setup, units: System) -> list[str]:
    """Say which values of a setup are not what they were: "rear stagger 1 7/8 in, now 2 in"."""
    old = replace(now, values={**now.values, **{name: value for name, value in before.items() if name in now.values}})
    return [
        f"{now.own[lever].name if lever in now.own else lever_name(lever)} "
        + ", now ".join(show(value, kind_of(lever, now), system=units, fraction=True) for value in pair)
        for lever, pair in differences(old, now).items()
    ]


def is_changed(believed: Setup, now: Setup) -> bool:
    """Whether a setup file holds something else than it is believed to; levers of the team's own are not looked at."""
    return bool(differences(believed, now))


def _setup_file(case: Case) -> Path | None:
    data = read_yaml(case.file).data
    name = str(data["setup"]) if isinstance(data, dict) else ""
    for folder in (Path(case.file).parent, user_folder()):
        for ending in ("", ".yaml", ".yml"):
            if name and is_file(folder / (name + ending)):
                return folder / (name + ending)
    return None  # it lies in the demo: not the user's to edit


def _holds(setup: Setup, wanted: Mapping[str, float]) -> bool:
    """Whether a setup as read again has these values; what it states of own levers only their pack can read."""
    return setup.values.keys() == wanted.keys() and all(
        abs(value - wanted[lever]) <= _CLOSE * max(1.0, abs(value)) for lever, value in setup.values.items()
    )
