"""From the view of a page to its text, by our own templates: HTML with everything in it, Markdown, or plain data.

Both templates escape whatever they are given; a name that no view has is an error.
"""

from __future__ import annotations

import re
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any, Literal

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from assistant.pages.sheet_view import Page

Format = Literal["html", "markdown"]
FORMATS: tuple[Format, ...] = ("html", "markdown")
TEMPLATES = Path(__file__).parent / "templates"
_FILES: dict[Format, str] = {"html": "page.html", "markdown": "page.md"}
_MARKS = re.compile(r"([\\`*_\[\]<>|~&$])")
_AT_START = re.compile(r"^(\d{0,9})([-+#=.)])(?=[-#=\s]|$)")
"""What begins a list, a heading or a rule when it stands first in a line."""
_GAPS = re.compile(r"\n{3,}")
"""Empty lines that the template leaves where it has nothing to say."""


def write_page(page: Page, form: Format = "html") -> str:
    """Write the page as one text: HTML without script or outside reference, or Markdown."""
    written = _environment(form).get_template(_FILES[form]).render(page=page)
    return _GAPS.sub("\n\n", written)


def page_data(page: Page) -> dict[str, Any]:
    """Give the page as plain dicts and lists, for JSON."""
    return asdict(page)


def escape_markdown(value: object) -> str:
    """Write a text so that Markdown shows it as it is, and no HTML in it is HTML.

    A mark that means something only at the start of a line is escaped there; the templates write no text of others
    in the middle of a word.
    """
    return _AT_START.sub(r"\1\\\2", _MARKS.sub(r"\\\1", str(value)))


def _as_html(value: object) -> object:
    """Keep a number and its percent sign on one line; escaping is the template's."""
    tied = isinstance(value, str) and not isinstance(value, Markup)
    return str(value).replace(" %", "\u00a0%") if tied else value


def _as_markdown(value: object) -> object:
    """Escape for Markdown, and tell the template that no more is to be done."""
    return value if isinstance(value, Markup) else Markup(escape_markdown(value))  # noqa: S704 - escaped just here


@cache
def _environment(form: Format) -> Environment:
    """Make the templates' surroundings: escaping always on, unknown names refused."""
    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_as_markdown if form == "markdown" else _as_html,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
