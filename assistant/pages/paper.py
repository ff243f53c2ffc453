"""The document of a page as text: HTML with everything in it, or Markdown. Whatever is put in is escaped.

The texts themselves are in `page.html.jinja`, `page.md.jinja` and `page.css`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from markupsafe import Markup

from assistant.pages.blocks import Strong
from assistant.pages.charts import draw_chart
from assistant.pages.data import Way, plain
from assistant.pages.sheet_document import Page, foot_sections, main_sections

if TYPE_CHECKING:
    from jinja2 import Template

Format = Literal["html", "markdown"]
FORMATS: tuple[Format, ...] = ("html", "markdown")
_MARKS = re.compile(r"([\\`*_\[\]<>|~&$])")
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
    templates.tests["strong"] = lambda piece: isinstance(piece, Strong)
    return templates.get_template(name)


def _tied(value: object) -> object:
    """Keep a number and its percent sign on one line."""
    return value.replace(" %", "\u00a0%") if isinstance(value, str) and not isinstance(value, Markup) else value


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
