"""`halfturn`, `halfturn talk` and `halfturn help`: the conversation, and how to use the program."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterable

from assistant.commands import BANNER
from assistant.commands.table import build_parsers
from assistant.ground.folders import doc_pages
from assistant.ground.names import did_you_mean
from assistant.ground.problems import BadInput, Problem
from assistant.pages import sayings
from assistant.pages.terminal import Look, is_dumb, look_of, say_line


def talk(options: argparse.Namespace) -> int:
    """Talk until the user leaves; the first words come before the heavy imports."""
    look = _look(options)
    if not options.greeted:
        say_line(BANNER, look, sys.stdout)
    by_lines = look.accessible or not (sys.stdin.isatty() and sys.stdout.isatty()) or is_dumb(os.environ)
    from assistant.shell.begin import talk  # noqa: PLC0415 - half of the time to the first prompt

    return talk(options.case, options.pack or (), look, by_lines=by_lines, fresh=options.fresh)


def help_on(options: argparse.Namespace) -> int:
    """Print help on a command, a page of the documentation, or a word of the trade. Raises BadInput."""
    look = _look(options)
    parser, commands = build_parsers()
    topic = (options.topic or "").lower()
    if not topic:
        parser.print_help()
        say_line(sayings.HELP_PAGES.format(", ".join(doc_pages())), look, sys.stdout)
    elif topic in commands:
        commands[topic].print_help()
    elif topic in doc_pages():
        for row in doc_pages()[topic].read_text(encoding="utf-8").splitlines():
            say_line(row, look, sys.stdout)
    else:
        _explain(topic, options, commands)
    return 0


def _explain(topic: str, options: argparse.Namespace, commands: Iterable[str]) -> None:
    from assistant.commands.runner import Runner  # noqa: PLC0415 - reads the rules, which other help can do without
    from assistant.pages.packs import explain, known_words  # noqa: PLC0415 - same

    run = Runner(options)
    found = explain(topic, run.knowledge)
    if found is None:
        names = [*commands, *doc_pages(), *known_words(run.knowledge)]
        raise BadInput(Problem("help", 0, 0, f"there is no help on {options.topic!r}", did_you_mean(topic, names)))
    run.show(found.blocks)


def _look(options: argparse.Namespace) -> Look:
    return look_of(sys.stdout, system=options.units, color=options.color, accessible=options.accessible)
