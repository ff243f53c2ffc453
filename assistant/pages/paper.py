"""The document of a page as text: HTML with everything in it, or Markdown, and where it is written.

Whatever is put in passes the output gate and is escaped. The marks of HTML are in `page.html.jinja` and `page.css`.
No page goes over somebody else's file; a setup may be laid beside the page's own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from markupsafe import Markup

from assistant.car.case import Case
from assistant.car.files import kind_of, read_case, read_setup
from assistant.ground.folders import is_file, is_folder, is_there, write_whole
from assistant.ground.problems import BadInput, Problem, shown
from assistant.ground.quantities import QUANTITIES
from assistant.pages.blocks import (
    Charts,
    Groups,
    Items,
    Line,
    Page,
    Pairs,
    PaperBlock,
    Points,
    Steps,
    Table,
)
from assistant.pages.charts import draw_chart
from assistant.pages.data import Way, plain
from assistant.pages.setups import Other

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
    return template().render(page=page) if form == "html" else _markdown(page)


def page_data(page: Page) -> dict[str, Any]:
    """Give the page as plain dicts and lists, for JSON."""
    return dict(plain(page, Way()))


@cache
def template() -> Template:
    """Read the template of HTML; it stops at a name that it does not know."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # noqa: PLC0415 - only for who writes a page

    templates = Environment(
        loader=FileSystemLoader(Path(__file__).parent),
        autoescape=True,
        finalize=_gated,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    templates.filters |= {"kind": lambda block: type(block).__name__, "drawn": draw_chart}
    return templates.get_template("page.html.jinja")


def _gated(value: object) -> object:
    """Pass a text through the output gate, with a number, its fraction and its unit on one line."""
    return _BESIDE.sub("\u00a0", shown(value)) if isinstance(value, str) and not isinstance(value, Markup) else value


def escape_markdown(text: str) -> str:
    """Write a text so that Markdown shows it as it is, and no HTML in it is HTML.

    A mark that means something only at the start of a line is escaped there; no text of others is written in the
    middle of a word.
    """
    return _AT_START.sub(r"\1\\\2", _MARKS.sub(r"\\\1", shown(text)))


def _markdown(page: Page) -> str:
    """Write the page as paragraphs with an empty line between."""
    head = f"{escape_markdown(page.about)} Written on {escape_markdown(page.date)}."
    parts = [f"# {escape_markdown(page.title)}", head]
    for section in (*page.main, *page.foot):
        parts += [f"## {escape_markdown(section.title)}", *_paragraphs(section.blocks)]
    return "\n\n".join([*parts, escape_markdown(page.made)]) + "\n"


def _paragraphs(blocks: Iterable[PaperBlock]) -> Iterator[str]:
    """Write blocks in Markdown, each a paragraph or more; every text is escaped as it is put in."""
    for block in blocks:
        match block:
            case Line():
                lead = f"**{escape_markdown(block.lead)}** " if block.lead else ""
                yield f"{'> ' if block.mark == 'quote' else ''}{lead}{escape_markdown(block.text)}".strip()
            case Table():
                yield from _table(block)
            case Charts():
                for chart in map(draw_chart, block.charts):
                    yield f"**{escape_markdown(chart.of.title)}.** {escape_markdown(chart.of.says)}"
                    yield from _table(chart.table)
            case Items():
                for item in block.items:
                    yield f"### {escape_markdown(item.id)}. {escape_markdown(item.title)}"
                    yield from _paragraphs(item.blocks)
            case _:
                yield "\n".join(_entries(block))


def _entries(block: Points | Steps | Pairs | Groups) -> Iterator[str]:
    """Write the entries of a list, a line each; a value of which something is said stands out."""
    put_in = escape_markdown
    match block:
        case Points():
            yield from (f"- {put_in(text)}" for text in block.texts)
        case Steps():
            rows = enumerate(block.rows, 1)
            yield from (f"{number}. {put_in(order)} ({put_in(alone)})" for number, (order, alone) in rows)
        case Pairs():
            colon = "" if block.kind == "asked" else ":"
            yield from (f"- {put_in(name)}{colon} {put_in(said)}" for name, said in block.rows)
        case Groups():
            for group in block.groups:
                values = [(f"{put_in(one.name)} {put_in(one.value)}", put_in(one.note)) for one in group.values]
                said = "; ".join(f"**{value}** ({note})" if note else value for value, note in values)
                yield f"- {put_in(group.title.capitalize())}: {said}."


def _table(table: Table) -> Iterator[str]:
    rule = f"|{' --- |' * len(table.head)}"
    head, *rows = (f"| {' | '.join(map(escape_markdown, cells))} |" for cells in (table.head, *table.rows))
    yield f"{escape_markdown(table.caption)}:"
    yield "\n".join([head, rule, *rows])
    yield from map(escape_markdown, filter(None, [table.sentence]))


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
