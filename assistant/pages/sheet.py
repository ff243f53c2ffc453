"""The page as a file: which format, where to, and never over somebody else's page; and the setup it is laid beside.

`write_sheet` is what the command and the conversation both call.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.car.case import Case
from assistant.car.files import kind_of, read_case, read_setup
from assistant.ground.folders import is_file, is_folder, is_there, write_whole
from assistant.ground.problems import BadInput, Problem
from assistant.ground.units import System
from assistant.pages.advice import Offer
from assistant.pages.paper import Format, write_page
from assistant.pages.sheet_page import make_page
from assistant.pages.sheet_run import Other

if TYPE_CHECKING:
    from assistant.advice.results import Advice
    from assistant.diagnosis.session import Session
    from assistant.rules.knowledge import Knowledge


ENDINGS: dict[str, Format] = {".html": "html", ".htm": "html", ".md": "markdown", ".markdown": "markdown"}
OTHER_CAR = "That setup was written for another car, {name}; what it does is computed on this one."
ONLY_SETUPS = "Only the two setups are compared: car, tire, track and air are those of this page."


def write_sheet(
    path: Path,
    case: Case,
    knowledge: Knowledge,
    session: Session,
    advice: Advice,
    offers: Sequence[Offer],
    *,
    system: System = "trade",
    against: Other | None = None,
    made: Sequence[int] = (),
    form: Format | None = None,
    force: bool = False,
) -> Path:
    """Write the page of an advice into a file and return where it is.

    offers: what is listed, in the order of the numbers the reader has seen.
    made: numbers that are made since. form: by the ending of the file when left
    out. Raises BadInput when the folder is missing, the file is there and `force` is not given, or the ending tells no
    format.
    """
    chosen = form or format_of(path)
    refuse_place(path, force=force)
    page = make_page(case, knowledge, session, advice, offers, system=system, against=against, made=made)
    put(path, write_page(page, chosen), force=force)
    return path


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
