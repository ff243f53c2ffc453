"""`halfturn sheet`: one page to hand to somebody else, HTML or Markdown, with what to change and why."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.commands.advise import advised, can_help
from assistant.commands.common import answer, work
from assistant.pages.advice import offers_of
from assistant.pages.blocks import Line

if TYPE_CHECKING:
    from assistant.pages.paper import Format
    from assistant.pages.sheet_view import Page

SCREEN = "-"
WRITING = "Driving the run ahead for the page"


def run(options: argparse.Namespace) -> int:
    """Write the page; the code is 1 when nothing can help, which the page then says."""
    from assistant.pages.paper import page_data, write_page  # noqa: PLC0415 - imports markupsafe
    from assistant.pages.sheet import format_of, put, read_other, refuse_place  # noqa: PLC0415 - imports numpy

    path = place_of(options)
    form: Format = "html"
    if path is not None:
        form = options.format or format_of(path)
        refuse_place(path, force=options.force)
    done = advised(options)
    against = read_other(options.against, done.case) if options.against else None

    def make() -> Page:
        from assistant.pages.sheet_page import make_page  # noqa: PLC0415 - imports numpy

        offers = offers_of(done.advice)
        return make_page(
            done.case, done.knowledge, done.session, done.advice, offers, system=options.units, against=against
        )

    page = work(WRITING, make, options)
    if options.json:
        answer([], page_data(page), options)
    elif path is None:
        sys.stdout.write(write_page(page, options.format or form))
    else:
        put(path, write_page(page, form), force=options.force)
        answer([Line(f"Written to {path}; {HOW_TO_OPEN[form]}")], None, options)
    return 0 if can_help(done.advice) else 1


HOW_TO_OPEN: dict[str, str] = {
    "html": "any browser opens it, and it prints.",
    "markdown": "it reads as it is, and any Markdown reader shows it.",
}


def place_of(options: argparse.Namespace) -> Path | None:
    """Say where the page goes: None for the screen, a file named after the case when nothing was said."""
    if options.json or options.output == SCREEN:
        return None
    if options.output is not None:
        return Path(options.output)
    ending = ".md" if options.format == "markdown" else ".html"
    return Path(f"{Path(options.case).stem}-sheet{ending}")
