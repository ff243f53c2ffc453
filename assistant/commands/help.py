"""`halfturn help`: a command, a page of the documentation, or a word of the trade."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from assistant.commands.common import load_knowledge, look_for
from assistant.commands.parsers import build_parsers
from assistant.ground.problems import BadInput, Problem
from assistant.ground.words import did_you_mean
from assistant.pages.lookup import explain, known_words
from assistant.pages.terminal import say, say_line


def run(options: argparse.Namespace) -> int:
    """Print help on the topic."""
    parser, commands = build_parsers()
    topic = (options.topic or "").lower()
    if not topic:
        parser.print_help()
        say_line(
            f"Pages: {', '.join(pages())}. Type halfturn help and a command, a page or a word.",
            look_for(options),
            sys.stdout,
        )
        return 0
    if topic in commands:
        commands[topic].print_help()
        return 0
    if (page := pages().get(topic)) is not None:
        for row in page.read_text(encoding="utf-8").splitlines():
            say_line(row, look_for(options), sys.stdout)
        return 0
    knowledge = load_knowledge(options)
    found = explain(topic, knowledge)
    if found is None:
        names = [*commands, *pages(), *known_words(knowledge)]
        raise BadInput(Problem("help", 0, 0, f"there is no help on {options.topic!r}", did_you_mean(topic, names)))
    say(found.blocks, look_for(options), sys.stdout)
    return 0


def pages() -> dict[str, Path]:
    """Return the pages of the documentation by name: beside the installed package, or in the repository."""
    package = Path(__file__).resolve().parents[1]
    folders = [folder for folder in (package / "docs", package.parent / "docs") if folder.is_dir()]
    return {page.stem: page for page in sorted(folders[0].glob("*.md"))} if folders else {}
