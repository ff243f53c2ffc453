"""A fit on the disk: beside the user's own case, named by a line in the case; a demo gets a copy to hold it.

Going back is taking that line out again. Every edit of a case is read back before it replaces the file.
"""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.car.case import Fit
from assistant.car.edit import put_values
from assistant.car.files import first_key, read_case
from assistant.car.write import quote, write_fit
from assistant.ground.folders import write_whole
from assistant.ground.problems import BadInput
from assistant.ground.yaml_file import read_yaml
from assistant.shell.folder import writable_folder
from assistant.shell.keep import is_own, write_copy
from assistant.shell.own_file import ChangedMeanwhileError, read_exactly, replace_own

if TYPE_CHECKING:
    from collections.abc import Mapping

    from assistant.car.case import Case
    from assistant.ground.units import System


def fit_name(case: Case) -> str:
    """Name of the fit of a case: after its file."""
    return f"{Path(case.file).stem}-fit"


def keep_fit(case: Case, fit: Fit, units: System, remarks: Mapping[str, str]) -> tuple[bool, list[str]]:
    """Write the fit and let the case use it; whether it was kept, and sentences. case: read without a fit."""
    if is_own(case):
        return _keep_beside(case, fit, units, remarks)
    folder = writable_folder(str(Path("calibrated") / Path(case.file).stem))
    if folder is None:
        return False, ["Not kept: your own folder cannot be written to."]
    try:
        fitted = {folder / f"{fit.name}.yaml": write_fit(fit, units, remarks)}
        write_copy(replace(case, fit=fit), folder, units, fitted)
    except OSError as error:
        return False, [f"Not kept: {folder} cannot be written to ({error.strerror or error})."]
    place = folder / "case.yaml"
    return True, [
        f"Kept in {folder / (fit.name + '.yaml')}.",
        f"The car here came with the program, so a copy of it uses the fit: halfturn talk {place}.",
        "The demo itself stays as it was.",
    ]


def _keep_beside(case: Case, fit: Fit, units: System, remarks: Mapping[str, str]) -> tuple[bool, list[str]]:
    file = Path(case.file)
    place = file.with_name(f"{fit.name}.yaml")
    if not _may_replace(place):
        return False, [f"Not kept: {place} is there already and is no fit; rename it or take it away."]
    try:
        write_whole(place, write_fit(fit, units, remarks))
    except OSError as error:
        return False, [f"Not kept: {place} cannot be written ({error.strerror or error})."]
    data = read_yaml(file).data
    named = str(data.get("fit", "")) if isinstance(data, dict) else ""
    back = f"Take the line 'fit: {fit.name}' out of {file.name} to go back to the files as they are."
    if named == fit.name:
        return True, [f"Kept in {place}, which the case already uses.", back]
    if named:
        return True, [
            f"Kept in {place}.",
            f"The case uses another fit, '{named}'; write 'fit: {fit.name}' there to use this one.",
        ]
    if _name_fit(file, quote(fit.name)):
        return True, [f"Kept in {place}; the line 'fit: {fit.name}' was added to {file.name}.", back]
    return True, [f"Kept in {place}.", f"Add the line 'fit: {fit.name}' to {file.name} to use it."]


def _may_replace(place: Path) -> bool:
    """Whether nothing stands in the way of a fit but an earlier one, be it a broken one."""
    if not os.path.lexists(place):
        return True
    with suppress(BadInput):
        return first_key(read_yaml(place)) == "fit"
    return False


def _name_fit(file: Path, name: str) -> bool:
    """Let a case file name a fit; False, and the file untouched, when it would not be read as meant."""
    with suppress(OSError, BadInput, UnicodeDecodeError, ChangedMeanwhileError):
        seen = read_exactly(file)
        text = put_values(seen, {("fit",): name})
        return text is not None and replace_own(file, seen, text, lambda trial: read_case(trial).fit is not None)
    return False
