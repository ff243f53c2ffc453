"""`halfturn`, `talk`, `help`, `explain` and `where`: the conversation, how to use the program, what a word means."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.commands import BANNER
from assistant.commands.parsers import build_parsers
from assistant.commands.runner import Runner, refused
from assistant.ground.problems import BadInput, Problem
from assistant.ground.words import did_you_mean
from assistant.pages.blocks import Block, Line
from assistant.pages.lookup import explain as look_up
from assistant.pages.lookup import known_words
from assistant.pages.terminal import Look, is_dumb, look_of, say_line

if TYPE_CHECKING:
    from assistant.rules.knowledge import Knowledge, Origin


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
        listed = ", ".join(pages())
        say_line(f"Pages: {listed}. Type halfturn help and a command, a page or a word.", look, sys.stdout)
    elif topic in commands:
        commands[topic].print_help()
    elif topic in pages():
        for row in pages()[topic].read_text(encoding="utf-8").splitlines():
            say_line(row, look, sys.stdout)
    else:
        _explain(topic, options, commands)
    return 0


def _explain(topic: str, options: argparse.Namespace, commands: Iterable[str]) -> None:
    from assistant.commands.runner import Runner  # noqa: PLC0415 - reads the rules, which other help can do without
    from assistant.pages.lookup import explain, known_words  # noqa: PLC0415 - same

    run = Runner(options)
    found = explain(topic, run.knowledge)
    if found is None:
        names = [*commands, *pages(), *known_words(run.knowledge)]
        raise BadInput(Problem("help", 0, 0, f"there is no help on {options.topic!r}", did_you_mean(topic, names)))
    run.show(found.blocks)


def pages() -> dict[str, Path]:
    """Return the pages of the documentation by name: beside the installed package, or in the repository."""
    package = Path(__file__).resolve().parents[1]
    folders = [folder for folder in (package / "docs", package.parent / "docs") if folder.is_dir()]
    return {page.stem: page for page in sorted(folders[0].glob("*.md"))} if folders else {}


def _look(options: argparse.Namespace) -> Look:
    return look_of(sys.stdout, system=options.units, color=options.color, accessible=options.accessible)


KINDS = ("symptom", "lever", "cause", "driving", "glossary", "question", "source", "caution")


def explain(options: argparse.Namespace) -> int:
    """Explain the word, with its sources. Raises BadInput for one nobody knows, with the nearest one."""
    run = Runner(options)
    word = " ".join(options.word)
    found = look_up(word, run.knowledge)
    if found is None:
        hint = did_you_mean(word, known_words(run.knowledge))
        raise refused(f"nothing is known about {word!r}", hint, "explain")
    run.answer(lambda: found.blocks, lambda: found.data)
    return 0


def where(options: argparse.Namespace) -> int:
    """Say where a rule is written; of a symptom, where each remedy is. Raises BadInput."""
    run = Runner(options)
    kind, name = _rule_called(" ".join(options.symptom), run.knowledge)
    places = [(name, run.knowledge.origin(kind, name))]
    if kind == "symptom":
        places += [(remedy.name, origin) for remedy, origin in run.knowledge.where(name)]
    known = [(said, origin) for said, origin in places if origin is not None]

    def screen() -> list[Block]:
        return [Line(f"{said}: {_place(origin)}", indent=2 * bool(at)) for at, (said, origin) in enumerate(known)]

    def data() -> object:
        return {"kind": kind, "name": name, "lines": [{"name": said, **asdict(origin)} for said, origin in known]}

    run.answer(screen, data)
    return 0


def _rule_called(word: str, knowledge: Knowledge) -> tuple[str, str]:
    plain = word.lower().strip()
    names = {(kind, name) for kind, name, *rest in knowledge.origins if not rest and kind in KINDS}
    for kind in KINDS:
        for name in (plain, plain.replace(" ", "_"), plain.replace(" ", "-")):
            if (kind, name) in names:
                return kind, name
    also = {said.lower(): name for name, symptom in knowledge.symptoms.items() for said in symptom.also_said}
    if plain in also:
        return "symptom", also[plain]
    known = sorted({name for _, name in names} | set(also))
    raise refused(f"nothing is called {word!r}", did_you_mean(plain, known), "where")


def _place(origin: Origin) -> str:
    note = f" ({origin.note})" if origin.note else ""
    return f"{origin.file}:{origin.line}, pack {origin.pack}{note}"
