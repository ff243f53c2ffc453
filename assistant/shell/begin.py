"""Put a conversation together: the car on the bench, the record, the offer to go on, and the front end that fits."""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from assistant.ground.folders import DEMO_CASES
from assistant.pages.terminal import Look, say, say_line
from assistant.shell.bench import Bench
from assistant.shell.conversation import Conversation
from assistant.shell.folder import last_car, remember_car
from assistant.shell.in_use import NO_FIT, say_in_use
from assistant.shell.line_mode import talk_by_lines
from assistant.shell.packs import notes_of
from assistant.shell.record import Record, last_cut_off, talks_folder
from assistant.shell.scene import Scene

if TYPE_CHECKING:
    from assistant.ground.units import System

DEMO = "demo"
UNSAID = f"Case {DEMO}, {NO_FIT}."
"""What is in use before anything is read: so that the first prompt need not wait."""
ON_A_DEMO = "The car here is invented. Type mine to describe yours, or go on and look around."
LAST = "Your car used last: {0}, in {1}. halfturn demo opens the invented one."
NO_CONSOLE = "This console cannot move its cursor; going on line by line."
NOT_SAVED = "Your own folder cannot be written to; nothing of this talk will be saved."


def talk(case_name: str | None, packs: Sequence[str], look: Look, *, by_lines: bool, fresh: bool) -> int:
    """Talk until the user leaves; returns the exit code. Raises BadInput for a case or a pack that cannot be read."""
    read_anything(sys.stdin)
    last = last_car() if case_name is None else None
    name = case_name or (DEMO if last is None else str(last[1]))
    bench = Bench(name, packs, progress=lambda words: say_line(words, look, sys.stdout))
    if case_name is not None or packs:
        bench.warm()
        say(notes_of(bench.knowledge), look, sys.stdout)
        say_line(say_in_use(bench.case), look, sys.stdout)
    if last is not None:
        say_line(LAST.format(*last), look, sys.stdout)
    if case_name is not None and is_own_case(bench):
        name = str(Path(bench.case.file).resolve())
        remember_car(bench.case.name, Path(name))
    if name in DEMO_CASES:
        say_line(ON_A_DEMO if case_name or packs else f"{UNSAID} {ON_A_DEMO}", look, sys.stdout)
    folder = talks_folder()
    if folder is None:
        say_line(NOT_SAVED, look, sys.stdout)
    units: System = "si" if look.system == "si" else "trade"
    cut_off = None if fresh or not sys.stdin.isatty() else last_cut_off(name, folder)
    record = Record(name, folder)
    conversation = Conversation(Scene(bench, units, record.name), record, cut_off)
    if not by_lines:
        from assistant.shell import app  # noqa: PLC0415 - prompt_toolkit, which line mode does not need

        output = app.terminal_output()
        if output is not None:
            return app.talk_in_terminal(
                conversation, look, first=conversation.opening(), ready=bench.warm, output=output
            )
        say_line(NO_CONSOLE, look, sys.stdout)
    return talk_by_lines(
        conversation, look, source=sys.stdin, sink=sys.stdout, first=conversation.opening(), ready=bench.warm
    )


def is_own_case(bench: Bench) -> bool:
    """Whether the car on the bench is the user's own, and not one that came with the program."""
    from assistant.shell.keep import is_own  # noqa: PLC0415 - imports pydantic

    return is_own(bench.case)


def read_anything(source: TextIO) -> None:
    """Read letters that are none in this encoding as a mark: what is piped in may come from anywhere."""
    if isinstance(source, io.TextIOWrapper):
        source.reconfigure(errors="replace")
