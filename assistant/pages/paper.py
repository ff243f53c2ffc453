"""The document of a page as text: HTML with everything in it, or Markdown, and where it is written.

Whatever is put in is escaped. The texts themselves are in `page.html.jinja`, `page.md.jinja` and `page.css`.
No page goes over somebody else's file; a setup may be laid beside the page's own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from markupsafe import Markup

from assistant.car.case import Case
from assistant.car.files import kind_of, read_case, read_setup
from assistant.ground.folders import is_file, is_folder, is_there, write_whole
from assistant.ground.problems import BadInput, Problem
from assistant.ground.quantities import QUANTITIES
from assistant.pages.charts import draw_chart
from assistant.pages.data import Way, plain
from assistant.pages.setups import Other
from assistant.pages.sheet_document import Page, foot_sections, main_sections

if TYPE_CHECKING:
    from jinja2 import Template


Format = Literal["html", "markdown"]
_MARKS = re.compile(r"([\\`*_\[\]<>|~&$])")
_UNITS = "|".join(
    sorted({re.escape(unit) for one in QUANTITIES.values() for unit in (one.trade_unit, one.metric_unit) if unit})
)
_BESIDE = re.compile(rf"(?<=\d) (?=(?:\d/\d+|{_UNITS})(?![\w/]))")
"""The space between a number and its fraction or unit."""
_AT_START = re.compile(r"^(\d{0,9})([-+#=.)])(?=[-#=\s]|$)")
"""What begins a list, a heading or a rule when it stands first in a line."""


def write_page(page: Page, form: Format = "html") -> str:
    """Write the page as one text: HTML without script or outside reference, or Markdown."""
    return template_of(form).render(page=page, main=main_sections(page), foot=foot_sections(page))


def page_data(page: Page) -> dict[str, Any]:
    """Give the page as plain dicts and lists, for JSON."""
    drawn = [draw_chart(chart) for chart in page.charts]
    return dict(plain(page, Way())) | {"charts": plain(drawn, Way())}


@cache
def template_of(form: Format) -> Template:
    """Read the template of a format; it stops at a name that it does not know."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # noqa: PLC0415 - only for who writes a page

    name, put_in = _WRITTEN_BY[form]
    templates = Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        finalize=put_in,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    templates.filters |= {"kind": lambda block: type(block).__name__, "drawn": draw_chart}
    return templates.get_template(name)


def _tied(value: object) -> object:
    """Keep a number, its fraction and its unit on one line."""
    return _BESIDE.sub("\u00a0", value) if isinstance(value, str) and not isinstance(value, Markup) else value


def escape_markdown(value: object) -> Markup:
    """Write a text so that Markdown shows it as it is, and no HTML in it is HTML; what is written already stays.

    A mark that means something only at the start of a line is escaped there; no text of others is written in the
    middle of a word.
    """
    if isinstance(value, Markup):
        return value
    return Markup(_AT_START.sub(r"\1\\\2", _MARKS.sub(r"\\\1", str(value))))  # noqa: S704 - it is escaped


_WRITTEN_BY: Mapping[Format, tuple[str, Callable[[object], object]]] = {
    "html": ("page.html.jinja", _tied),
    "markdown": ("page.md.jinja", escape_markdown),
}
"""The template of a format, and what is done with each value put into it before it is escaped for HTML."""


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
