"""What a talk and a run log leave on the disk: the user's own files are edited, a case of the program gets a copy.

One way of editing: the file is read letter by letter, the edit tried beside it and read back, then put in its place
whole or not at all. Its line ends, comments, rights and a link that leads to it stay; one its owner made read-only is
left alone. A fit lies beside its case, named by a line in it; going back is taking that line out again.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from assistant.car.case import Case, Fit, Measured, Setup
from assistant.car.edit import put_setup, put_values
from assistant.car.file_keys import NOT_HERE
from assistant.car.files import first_key, read_case, read_setup
from assistant.car.moves import differences
from assistant.car.write import measured_values, quote, write_case, write_files, write_fit, write_not_here
from assistant.ground.folders import (
    ChangedMeanwhileError,
    is_file,
    is_there,
    read_exactly,
    replace_own,
    user_folder,
    write_all,
    write_whole,
)
from assistant.ground.problems import BadInput
from assistant.ground.units import System
from assistant.ground.yaml_file import read_yaml
from assistant.notebook.cars import is_own
from assistant.notebook.store import writable_folder
from assistant.pages import sayings

_CLOSE = 1e-6
_PARTS = ("car", "tire", "track", "rulebook", "setup")


def keep_setup(case: Case, setup: Setup, talk: str, system: System, on_file: Setup | None = None) -> str:
    """Put what moved from the case's setup to this one on the disk and say where, in one sentence.

    talk: name of the talk, for the folder of a copy. on_file: what the file is believed to hold, the case's setup when
    left out; raises ChangedMeanwhileError when it holds something else.
    """
    if is_own(case.file):
        edited = edit_setup_file(case, setup, on_file)
        return sayings.SAVED_IN.format(edited) if edited else sayings.SETUP_NOT_SAVED
    held = _measured(user_folder() / "copies" / talk / "case.yaml", case)
    return _keep_in_copy(replace(case, setup=setup, measured=held), talk, system, sayings.SAVED_IN)


def _measured(copy: Path, case: Case) -> Measured:
    """Read what a copy, or else the case, holds of readings: those of the talk are kept when that is asked for."""
    for place in (copy, Path(case.file)):
        with suppress(BadInput):
            return read_case(place, use_fit=False).measured
    return case.measured


def write_copy(case: Case, folder: Path, system: System, more: Mapping[Path, str] | None = None) -> None:
    """Write a case and every file it names into a folder, and `more` files with them: all or none. Raises OSError."""
    texts = write_files(case, system) | {"case": write_case(case, system)}
    write_all({folder / f"{part}.yaml": text for part, text in texts.items()} | dict(more or {}))


def edit_setup_file(case: Case, setup: Setup, on_file: Setup | None = None) -> Path | None:
    """Put the values that moved into the user's setup file, no others; None when that cannot be done without harm.

    Raises ChangedMeanwhileError when the file does not hold what it is believed to.
    """
    with suppress(OSError, BadInput, UnicodeDecodeError):
        path, moved = _setup_file(case), [*differences(case.setup, setup)]
        if path is None:
            return None
        before = read_setup(path)
        if differences(on_file or case.setup, before):
            raise ChangedMeanwhileError
        wanted = {**before.values, **{lever: setup.values[lever] for lever in moved if lever not in setup.own}}
        right = _edit(
            path,
            lambda seen: put_setup(seen, moved, setup),
            lambda trial: _holds(read_setup(trial, case.car), wanted),
        )
        return path if right else None
    return None


def _edit(path: Path, edited: Callable[[str], str | None], is_right: Callable[[Path], bool]) -> bool:
    """Edit a file where that can be done and is read back as it was meant.

    Raises OSError, BadInput, UnicodeDecodeError, ChangedMeanwhileError; the file is as it was then.
    """
    seen = read_exactly(path)
    text = edited(seen)
    return text is not None and replace_own(path, seen, text, is_right)


def _is_edited(path: Path, edited: Callable[[str], str | None], is_right: Callable[[Path], bool]) -> bool:
    """Edit a file; False, and the file as it was, where that cannot be done."""
    with suppress(OSError, BadInput, UnicodeDecodeError, ChangedMeanwhileError):
        return _edit(path, edited, is_right)
    return False


def setup_on_file(case: Case) -> Setup | None:
    """Read the setup the user's own file holds now; None where there is none to read, or the case is a demo."""
    with suppress(OSError, BadInput):
        path = _setup_file(case) if is_own(case.file) else None
        return None if path is None else read_setup(path)
    return None


def prints_of(case: Case) -> dict[str, str]:
    """Give a short mark of each file of a case but the setup, by which a later talk can tell that it was changed."""
    texts = write_files(case)
    del texts["setup"]
    return {part: hashlib.sha256(text.encode()).hexdigest()[:16] for part, text in texts.items()}


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


def fit_name(case: Case) -> str:
    """Name of the fit of a case: after its file."""
    return f"{Path(case.file).stem}-fit"


def keep_fit(case: Case, fit: Fit, system: System, remarks: Mapping[str, str]) -> tuple[bool, list[str]]:
    """Write the fit and let the case use it; whether it was kept, and sentences. case: read without a fit."""
    if is_own(case.file):
        return _keep_beside(case, fit, system, remarks)
    folder = writable_folder(user_folder() / "calibrated" / Path(case.file).stem)
    if folder is None:
        return False, [sayings.FIT_NOT_KEPT]
    try:
        fitted = {folder / f"{fit.name}.yaml": write_fit(fit, system, remarks)}
        write_copy(replace(case, fit=fit), folder, system, fitted)
    except OSError as error:
        return False, [sayings.NOT_WRITTEN.format(folder, error.strerror or error)]
    kept = sayings.KEPT_IN.format(folder / f"{fit.name}.yaml")
    return True, [kept, sayings.FIT_IN_COPY.format(folder / "case.yaml"), sayings.DEMO_STAYS]


def _keep_beside(case: Case, fit: Fit, system: System, remarks: Mapping[str, str]) -> tuple[bool, list[str]]:
    file = Path(case.file)
    place = file.with_name(f"{fit.name}.yaml")
    if not _may_replace(place):
        return False, [sayings.IN_THE_WAY.format(place)]
    try:
        write_whole(place, write_fit(fit, system, remarks))
    except OSError as error:
        return False, [sayings.NOT_WRITTEN.format(place, error.strerror or error)]
    data = read_yaml(file).data
    named = str(data.get("fit", "")) if isinstance(data, dict) else ""
    back = sayings.FIT_BACK.format(fit.name, file.name)
    if named == fit.name:
        return True, [sayings.FIT_IN_USE.format(place), back]
    if named:
        return True, [sayings.KEPT_IN.format(place), sayings.OTHER_FIT.format(named, fit.name)]
    if _name_fit(file, quote(fit.name)):
        return True, [sayings.FIT_ADDED.format(place, fit.name, file.name), back]
    return True, [sayings.KEPT_IN.format(place), sayings.ADD_FIT.format(fit.name, file.name)]


def _may_replace(place: Path) -> bool:
    """Whether nothing stands in the way of a fit but an earlier one, be it a broken one."""
    if not os.path.lexists(place):
        return True
    with suppress(BadInput):
        return first_key(read_yaml(place)) == "fit"
    return False


def _name_fit(file: Path, name: str) -> bool:
    """Let a case file name a fit; False, and the file untouched, when it would not be read as meant."""
    return _is_edited(
        file, lambda seen: put_values(seen, {("fit",): name}), lambda trial: read_case(trial).fit is not None
    )


def keep_not_here(case: Case, system: System) -> str:
    """Write what a car has not into its own case file, nothing else, and say where; that of the program stays."""
    if not is_own(case.file):
        return sayings.ONLY_NOW
    file, kept = Path(case.file), {one for one in case.rulebook.not_here if not one.tonight}
    out = f"[{', '.join(map(quote, write_not_here(case.rulebook, system)))}]"
    saved = _is_edited(
        file,
        lambda seen: put_values(seen, {(NOT_HERE,): out}),
        lambda trial: kept == set(read_case(trial, use_fit=False).rulebook.not_here),
    )
    return sayings.SAVED_IN.format(file) if saved else sayings.CASE_NOT_SAVED.format(file.name, NOT_HERE)


def keep_readings(case: Case, talk: str, system: System) -> str:
    """Write what was read into the user's own case file, or into a copy of a demo, and say where."""
    if not is_own(case.file):
        return _keep_in_copy(case, talk, system, sayings.KEPT_IN)
    file, wanted = Path(case.file), measured_values(case.measured, case.car.fuel_density, system)

    def is_right(trial: Path) -> bool:
        before, after = (read_case(one, use_fit=False) for one in (file, trial))
        written = measured_values(after.measured, after.car.fuel_density, system)
        return written == wanted and before == replace(after, file=before.file, measured=before.measured)

    kept = _is_edited(file, lambda seen: put_values(seen, wanted), is_right)
    return (sayings.KEPT_IN if kept else sayings.READINGS_NOT_KEPT).format(file)


def _keep_in_copy(case: Case, talk: str, system: System, says: str) -> str:
    """Keep a case that came with the program, as it stands, in the copy of this talk. says: how to say where."""
    folder = writable_folder(user_folder() / "copies" / talk)
    known = folder is not None and is_there(folder / "case.yaml")
    try:
        if folder is None:
            return sayings.COPY_NOT_SAVED
        write_copy(case, folder, system)
    except OSError:  # a full disk
        return sayings.COPY_NOT_SAVED
    return says.format(sayings.THE_COPY) if known else sayings.IN_A_COPY.format(folder / "case.yaml")
