"""Put a conversation together, and drive it: the car on the bench, the record, the offer to go on, the front end.

Lines come from a terminal that can move its cursor (`prompt`), or one by one, with nothing redrawn: from pipes, dumb
terminals and screen readers.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from assistant.ground.background import Later
from assistant.ground.folders import DEMO_CASES
from assistant.ground.problems import in_encoding, shown
from assistant.notebook.book import Notebook, felt_before
from assistant.notebook.cars import enter_car, find_car, last_car, remember_file
from assistant.notebook.record import Record
from assistant.pages import sayings
from assistant.pages.blocks import BLANK, Block, Line
from assistant.pages.terminal import Look, say, say_line, say_progress
from assistant.shell.dialogs import LEFT, MARK, Reply, cut_off_about, first_reply

if TYPE_CHECKING:
    from assistant.ground.background import Progress
    from assistant.ground.units import System
    from assistant.shell.bench import Bench
    from assistant.shell.prompt import PromptFrontEnd
    from assistant.shell.talk import Conversation

DEMO = "demo"


def talk(case_name: str | None, packs: Sequence[str], look: Look, *, by_lines: bool, fresh: bool) -> int:
    """Talk until the user leaves; returns the exit code. Raises BadInput for a case or a pack that cannot be read."""
    read_anything(sys.stdin)

    def progress(words: str) -> None:
        say_progress(words, look, sys.stdout)

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
            return drive(prompt.PromptFrontEnd(conversation, look, output=output), first_reply(cut_off))
        say_line(sayings.NO_CONSOLE, look, sys.stdout)
    return drive(LineFrontEnd(conversation, look, sys.stdin, sys.stdout), first_reply(cut_off))


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


class LineFrontEnd:
    """Lines from a stream; those that nobody types here are written back, so that a transcript can be read."""

    def __init__(self, conversation: Later[Conversation], look: Look, source: TextIO, sink: TextIO) -> None:
        self.conversation = conversation
        self.is_typed_here = source.isatty()
        self._look = look
        self._source = source
        self._sink = sink

    def show(self, blocks: list[Block]) -> None:
        """Show a screen."""
        say(blocks, self._look, self._sink)

    def read(self) -> str:
        """Return the next line. Raises KeyboardInterrupt, and EOFError where no more will come."""
        self._sink.write(MARK)
        self._sink.flush()
        self.conversation.begin()
        try:
            row = self._source.readline()
        except KeyboardInterrupt:
            self._sink.write("\n")
            raise
        if not row:
            self._sink.write("\n")
            raise EOFError
        text = row.rstrip("\r\n")
        if not self.is_typed_here:
            self._sink.write(in_encoding(shown(text), self._look.encoding) + "\n")
        return text


def drive(lines: LineFrontEnd | PromptFrontEnd, first: Reply) -> int:
    """Drive a conversation to its end; returns the exit code."""
    reply, leaving = first, False
    lines.show(reply.blocks)
    while not reply.over:
        lines.show([BLANK, Line(reply.prompt)])
        try:
            text = lines.read()
            reply, leaving = lines.conversation.get().say(text), False
        except EOFError:
            return _end(lines, reply, is_first=reply is first)
        except KeyboardInterrupt:
            talk = lines.conversation.get()
            if leaving and not talk.is_asked:
                talk.record.close()
                return LEFT
            leaving, reply = not talk.is_asked, talk.leave()
        lines.show(reply.blocks)
    lines.conversation.get().record.close()
    return 0


def _end(lines: LineFrontEnd | PromptFrontEnd, reply: Reply, *, is_first: bool) -> int:
    """Say goodbye to Ctrl-D; lines from elsewhere were the whole talk, and no lines at all show the advice."""
    if lines.is_typed_here:
        lines.show([*reply.goodbye])
        if not is_first:
            lines.conversation.get().record.close()
        return 0
    talk = lines.conversation.get()
    if is_first:
        lines.show(talk.advise_at_once().blocks)
    talk.record.ended()
    return 0
