"""The page as a file: which format, where to, and never over somebody else's page; and the setup it is laid beside."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from assistant.car.case import Case
from assistant.car.files import kind_of, read_case, read_setup
from assistant.ground.folders import is_file, is_folder, is_there, write_whole
from assistant.ground.problems import BadInput, Problem
from assistant.pages.paper import Format, write_page
from assistant.pages.sheet_document import Page
from assistant.pages.sheet_run import Other

HOW_TO_OPEN: Mapping[Format, str] = {
    "html": "any browser opens it, and it prints.",
    "markdown": "it reads as it is, and any Markdown reader shows it.",
}
ENDINGS: Mapping[str, Format] = {".html": "html", ".htm": "html", ".md": "markdown", ".markdown": "markdown"}
OTHER_CAR = "That setup was written for another car, {name}; what it does is computed on this one."
ONLY_SETUPS = "Only the two setups are compared: car, tire, track and air are those of this page."


def write_sheet(path: Path, make: Callable[[], Page]) -> None:
    """Make a page and write it, in the format its ending tells, where no file is yet.

    Raises BadInput before anything is made when that cannot be.
    """
    form = format_of(path)
    refuse_place(path, force=False)
    put(path, write_page(make(), form), force=False)


def format_of(path: Path) -> Format:
    """Tell the format by the ending of a file. Raises BadInput for one that tells none."""
    form = ENDINGS.get(path.suffix.lower())
    if form is None:
        says = f"its ending {path.suffix!r} tells no format" if path.suffix else "has no ending that tells the format"
        raise BadInput(Problem(str(path), 0, 0, says, "end it with .html or .md, or add --format html or markdown"))
    return form


def refuse_place(path: Path, *, force: bool) -> None:
    """Raise BadInput when nothing can be written there, before anything is computed."""
    if not is_folder(path.parent):
        raise BadInput(Problem(str(path), 0, 0, f"there is no folder {str(path.parent)!r}", "make it first"))
    if is_folder(path):
        raise BadInput(Problem(str(path), 0, 0, "is a folder", "give the name of a file in it"))
    if is_there(path) and not force:
        raise BadInput(_there_already(path))


def put(path: Path, text: str, *, force: bool) -> None:
    """Write the text; a file that is there is replaced only with `force`. Raises BadInput."""
    try:
        write_whole(path, text, over=force)
    except FileExistsError as mistake:
        raise BadInput(_there_already(path)) from mistake
    except OSError as mistake:
        says = f"cannot be written: {mistake.strerror}"
        raise BadInput(Problem(str(path), 0, 0, says, "give another place with -o FILE")) from mistake


def read_other(path_or_name: str, case: Case) -> Other:
    """Read the setup to lay beside a case's own: a setup file, a case file, or the name of a case. Raises BadInput."""
    if is_file(path_or_name):
        kind = kind_of(path_or_name)
        if kind == "setup":
            return Other((setup := read_setup(path_or_name)).name, setup, (ONLY_SETUPS,))
        if kind != "case":
            raise BadInput(Problem(path_or_name, 0, 0, f"this is a {kind} file, a setup or a case is wanted"))
    other = read_case(path_or_name)
    same = other.car.name == case.car.name
    return Other(other.setup.name, other.setup, (ONLY_SETUPS if same else OTHER_CAR.format(name=other.car.name),))


def _there_already(path: Path) -> Problem:
    return Problem(str(path), 0, 0, "is there already", "give another name with -o FILE, or add --force to replace it")
