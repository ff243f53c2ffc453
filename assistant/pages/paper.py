"""The document of a page as text: HTML with everything in it, or Markdown, and where it is written.

Whatever is put in passes the output gate and is escaped. The marks and styles of HTML are in `page.html.jinja`.
No page goes over somebody else's file; a setup may be laid beside the page's own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from math import floor, log10
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Literal

from markupsafe import Markup

from assistant.car.case import Case
from assistant.car.files import kind_of, read_case, read_setup
from assistant.ground.folders import is_file, is_folder, is_there, write_whole
from assistant.ground.problems import BadInput, Problem, shown
from assistant.ground.quantities import QUANTITIES
from assistant.pages.blocks import Charts, Group, Items, Line, LineChart, Page, PaperBlock, Points, Table
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
            case Points():
                yield "\n".join(f"- {escape_markdown(text)}" for text in block.texts)
            case Group():
                values = [tuple(map(escape_markdown, pair)) for pair in block.values]
                said = "; ".join(f"**{value}** ({note})" if note else value for value, note in values)
                yield f"**{escape_markdown(block.title.capitalize())}:** {said}."


def _table(table: Table) -> Iterator[str]:
    rule = f"|{' --- |' * len(table.head)}"
    head, *rows = (f"| {' | '.join(map(escape_markdown, cells))} |" for cells in (table.head, *table.rows))
    yield f"{escape_markdown(table.caption)}:"
    yield "\n".join([head, rule, *rows])
    yield from map(escape_markdown, filter(None, [table.sentence]))


# charts: places are in units of the picture, which the template scales to the page; y goes down

WIDTH, HEIGHT = 360.0, 240.0
"""Units of the picture: as wide as a small telephone, so that writing of 12 units can be read there."""
LEFT, RIGHT, TOP, BOTTOM = 38.0, 80.0, 24.0, 34.0
"""Room around the drawing: numbers on the left, names on the right, what up means above, laps below."""
NAME_HEIGHT = 14.0
"""Least distance of two names at the ends of the lines."""
MOST_TICKS = 6
SAME = "The same in numbers"


def nice_ticks(low: float, high: float, most: int = MOST_TICKS) -> tuple[float, ...]:
    """Choose at most `most` round numbers (1, 2 or 5 times a power of ten apart) that span low to high.

    The first is at or below `low` and the last at or above `high`, which is more.
    """
    step = _nice_step((high - low) / (most - 1))
    while _count(low, high, step) > most:
        step = _nice_step(step * 1.01)
    first = floor(low / step + 1e-9)
    return tuple(round((first + number) * step, 12) + 0.0 for number in range(_count(low, high, step)))


@dataclass(frozen=True)
class Tick:
    """A place on an axis [units of the picture] and what is written there."""

    at: float
    label: str


@dataclass(frozen=True)
class Curve:
    """One line of a chart: an SVG path, the dash pattern and color of its number, and where its name stands."""

    name: str
    path: str
    number: int
    label_at: float


@dataclass(frozen=True)
class Chart:
    """A line chart as a template draws it; places in units of the picture, y down. table: the same in numbers.

    of: what is drawn. level: where zero is, None when it is not inside.
    """

    of: LineChart
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]
    lines: tuple[Curve, ...]
    level: float | None
    table: Table
    width: ClassVar = WIDTH
    height: ClassVar = HEIGHT
    left: ClassVar = LEFT
    right: ClassVar = WIDTH - RIGHT
    top: ClassVar = TOP
    bottom: ClassVar = HEIGHT - BOTTOM


def draw_chart(chart: LineChart) -> Chart:
    """Lay out the chart."""
    laps, lines, (low, high) = chart.laps, chart.lines, chart.reach
    y_ticks = nice_ticks(0.0 if chart.from_zero else low, high)
    x_ticks = [lap for lap in nice_ticks(laps[0], laps[-1]) if laps[0] <= lap <= laps[-1]]

    def across(lap: float) -> float:
        return _between(lap, laps[0], laps[-1], Chart.left, Chart.right)

    def down(value: float) -> float:
        return _between(value, y_ticks[0], y_ticks[-1], Chart.bottom, Chart.top)

    def path(values: Sequence[float]) -> str:
        points = [f"{across(lap):.1f} {down(value):.1f}" for lap, value in zip(laps, values, strict=True)]
        return f"M{' L'.join(points)}"

    places = spread_names({one: down(values[-1]) for one, values in lines.items()}, Chart.top, Chart.bottom)
    rows = tuple((f"{lap:g}", *(chart.tell(name, lap) for name in lines)) for lap in x_ticks)
    return Chart(
        of=chart,
        x_ticks=tuple(Tick(round(across(lap), 1), f"{lap:g}") for lap in x_ticks),
        y_ticks=tuple(Tick(round(down(value), 1), chart.write(value)) for value in y_ticks),
        lines=tuple(
            Curve(one, path(values), number, places[one]) for number, (one, values) in enumerate(lines.items(), 1)
        ),
        level=round(down(0.0), 1) if y_ticks[0] < 0.0 < y_ticks[-1] else None,
        table=Table(("lap", *lines), rows, caption=SAME),
    )


def spread_names(ends: Mapping[str, float], top: float, bottom: float) -> dict[str, float]:
    """Place the names at the ends of their lines, pushed apart where lines end together, inside top and bottom."""
    order = sorted(ends, key=lambda name: ends[name])
    places: list[float] = []
    for name in order:
        lowest = places[-1] + NAME_HEIGHT if places else top
        places.append(max(ends[name], lowest))
    limit = bottom
    for index in range(len(places) - 1, -1, -1):
        places[index] = min(places[index], limit)
        limit = places[index] - NAME_HEIGHT
    return {name: round(place, 1) for name, place in zip(order, places, strict=True)}


def _between(value: float, low: float, high: float, start: float, end: float) -> float:
    return start + (value - low) / (high - low) * (end - start) if high > low else start


def _nice_step(least: float) -> float:
    """Return the smallest of 1, 2 and 5 times a power of ten that is not below `least`."""
    power: float = 10.0 ** floor(log10(least))
    return next(round(factor, 0) * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= least * (1 - 1e-9))


def _count(low: float, high: float, step: float) -> int:
    first, last = floor(low / step + 1e-9), -floor(-high / step + 1e-9)
    return int(last - first + 1)


# where a page is written

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
