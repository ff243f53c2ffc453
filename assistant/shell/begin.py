"""Put a conversation together: the car on the bench, the record, the offer to go on, and the front end that fits."""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from assistant.ground.folders import DEMO_CASES
from assistant.notebook.book import Notebook
from assistant.notebook.cars import enter_car, find_car, last_car, remember_file
from assistant.notebook.felt_entries import felt_before
from assistant.notebook.record import Record
from assistant.pages import sayings
from assistant.pages.terminal import Look, say, say_line
from assistant.shell.background import Later
from assistant.shell.dialogs import cut_off_about, first_reply
from assistant.shell.line_mode import LineFrontEnd

if TYPE_CHECKING:
    from assistant.ground.units import System
    from assistant.shell.background import Progress
    from assistant.shell.bench import Bench
    from assistant.shell.talk import Conversation

DEMO = "demo"


def talk(case_name: str | None, packs: Sequence[str], look: Look, *, by_lines: bool, fresh: bool) -> int:
    """Talk until the user leaves; returns the exit code. Raises BadInput for a case or a pack that cannot be read."""
    read_anything(sys.stdin)

    def progress(words: str) -> None:
        say_line(words, look, sys.stdout)

    book = Notebook()
    last = last_car(book) if case_name is None else None
    name = case_name or (DEMO if last is None else last.file)
    bench = _open_bench(name, packs, progress) if case_name is not None or packs else None
    if bench is not None:
        say(bench.said(), look, sys.stdout)
    if last is not None:
        say_line(sayings.LAST.format(last.name, last.file), look, sys.stdout)
    if case_name is not None and bench is not None and bench.is_own:
        name = str(Path(bench.case.file).resolve())
        remember_file(book, find_car(book, name), Path(name))
    if name in DEMO_CASES:
        unread = sayings.UNREAD.format(DEMO) if bench is None else ""
        say_line(f"{unread} {sayings.ON_A_DEMO}".strip(), look, sys.stdout)
    for words in warnings(book):
        say_line(words, look, sys.stdout)
    system: System = "si" if look.system == "si" else "trade"
    cut_off = None if fresh or not sys.stdin.isatty() else cut_off_about(book, name)
    record = Record(partial(enter_car, file=name), book)

    def make() -> Conversation:
        from assistant.shell import talk, talk_state  # noqa: PLC0415 - most of the program, read behind the prompt

        opened = _open_bench(name, packs, progress) if bench is None else bench
        opened.learned = felt_before(book, find_car(book, name), None if cut_off is None else cut_off.id)
        return talk.Conversation(talk_state.TalkState(bench=opened, system=system, name=record.name), record, cut_off)

    conversation = Later(make, sayings.READING_PROGRAM, progress)
    if not by_lines:
        from assistant.shell import prompt  # noqa: PLC0415 - prompt_toolkit, which line mode does not need

        output = prompt.terminal_output()
        if output is not None:
            return prompt.PromptFrontEnd(conversation, look, output=output).drive(first_reply(cut_off))
        say_line(sayings.NO_CONSOLE, look, sys.stdout)
    return LineFrontEnd(conversation, look, sys.stdin, sys.stdout).drive(first_reply(cut_off))


def _open_bench(name: str, packs: Sequence[str], progress: Progress) -> Bench:
    from assistant.shell.bench import Bench  # noqa: PLC0415 - most of the program, read behind the prompt

    bench = Bench(name, packs, progress)
    bench.warm()
    return bench


def warnings(book: Notebook) -> list[str]:
    """Say where nothing can be kept, and what was found damaged."""
    if book.store.folder is None:
        return [sayings.BEGIN_NOT_SAVED]
    aside = book.set_aside
    return [] if aside is None else [sayings.SET_ASIDE.format(aside.place, aside.saved)]


def read_anything(source: TextIO) -> None:
    """Read letters that are none in this encoding as a mark: what is piped in may come from anywhere."""
    if isinstance(source, io.TextIOWrapper):
        source.reconfigure(errors="replace")
