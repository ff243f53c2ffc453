"""The prompt in a terminal that can move its cursor: Tab completion, history, and nothing that breaks on a resize.

No toolbar, no full-width lines, no mouse, no cursor queries. The only module that imports prompt_toolkit.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import CompleteEvent, Completer, Completion
from prompt_toolkit.document import Document
from prompt_toolkit.history import FileHistory, History, InMemoryHistory
from prompt_toolkit.input import Input
from prompt_toolkit.output import Output
from prompt_toolkit.output.defaults import create_output
from prompt_toolkit.output.vt100 import Vt100_Output
from prompt_toolkit.shortcuts import CompleteStyle

from assistant.ground.names import count_of
from assistant.ground.problems import shown
from assistant.notebook.store import own_folder
from assistant.pages import sayings
from assistant.pages.blocks import Block, Choices
from assistant.pages.terminal import Look, look_of, render
from assistant.shell.dialogs import MARK

if TYPE_CHECKING:
    from assistant.ground.background import Later
    from assistant.shell.talk import Conversation


ON_A_QUESTION = ("?", "back", "enough")
"""What may be typed at a numbered question besides its answers, as far as a list should name it."""


MOST_BESIDE = 3
"""Rows kept free under a part of a long screen: a blank one, the prompt and where it is typed."""


class Words(Completer):
    """Complete the whole line: the answers of an open question first, then what else fits the prompt.

    words: all that may be typed. answers: those of the open question, in the order of their numbers.
    """

    def __init__(self, words: Callable[[], Iterable[str]], answers: Callable[[], Sequence[str]] = tuple) -> None:
        self._words = words
        self._answers = answers

    def get_completions(self, document: Document, complete_event: CompleteEvent) -> Iterable[Completion]:
        """Offer every phrase that goes on from what is typed; case does not matter.

        When nothing is typed: the numbers of the answers with their words, or single words where nothing is asked.
        """
        del complete_event  # the same for Tab and for typing
        typed = document.text_before_cursor.lstrip()
        answers = self._answers()
        if answers and not typed:
            for number, text in enumerate(answers, 1):
                yield Completion(str(number), display=shown(f"{number} {text}"))
            also = set(self._words())
            yield from (Completion(word) for word in ON_A_QUESTION if word == "?" or word in also)
            return
        for word in dict.fromkeys((*answers, *self._words())):
            if word.lower().startswith(typed.lower()) and (typed or " " not in word):
                yield Completion(word, start_position=-len(typed), display=shown(word))


def terminal_output() -> Output | None:
    """Return the terminal to write to, None where there is none: some Windows consoles only look like one."""
    try:
        output = create_output(sys.stdout)
    except Exception as problem:
        if type(problem).__name__ == "NoConsoleScreenBufferError":
            return None
        raise
    if isinstance(output, Vt100_Output):
        output.enable_cpr = False  # nobody may answer, and we do not need to know
    return output


def pages_of(blocks: Sequence[Block], look: Look, room: int) -> list[list[str]]:
    """Cut a screen into pages of so many rows, between paragraphs where it can; choices stay with their question."""
    pages: list[list[str]] = [[]]
    groups: list[list[Block]] = []
    for block in blocks:
        if isinstance(block, Choices) and groups:
            groups[-1].append(block)
        else:
            groups.append([block])
    for group in groups:
        rows = render(group, look)
        if pages[-1] and len(pages[-1]) + len(rows) > room >= len(rows):
            pages.append([])
        for row in rows:
            if len(pages[-1]) == room:
                pages.append([])
            pages[-1].append(row)
    return pages


class PromptFrontEnd:
    """Lines from a terminal that can move its cursor; its width is looked up anew for each screen."""

    is_typed_here = True

    def __init__(
        self,
        conversation: Later[Conversation],
        look: Look,
        *,
        source: Input | None = None,
        output: Output | None = None,
    ) -> None:
        self.conversation = conversation
        self.look = look
        talk = conversation.get_quietly
        self._prompt: PromptSession[str] = PromptSession(
            completer=Words(lambda: talk().completions(), lambda: talk().answers()),
            complete_style=CompleteStyle.READLINE_LIKE,
            complete_while_typing=False,
            history=_history(),
            mouse_support=False,
            input=source,
            output=output,
        )
        self._typed_ahead = ""

    def show(self, blocks: list[Block]) -> None:
        """Show a screen; one longer than the terminal waits at each screenful for Enter, and q leaves the rest."""
        size = self._prompt.output.get_size().rows
        first, *others = pages_of(blocks, self.look, max(MOST_BESIDE, size) - MOST_BESIDE)
        self._write(first)
        while others:
            if not self._goes_on(sum(map(len, others))):
                return
            self._write(others.pop(0))

    def _write(self, rows: list[str]) -> None:
        sys.stdout.write("".join(f"{row}\n" for row in rows))
        sys.stdout.flush()

    def _goes_on(self, left: int) -> bool:
        """Ask whether to go on with a long screen; anything but Enter and q is the next line of the talk."""
        try:
            pause: PromptSession[str] = PromptSession(input=self._prompt.input, output=self._prompt.output)
            typed = pause.prompt(sayings.MORE.format(count_of(left, "row"))).strip()
        except (EOFError, KeyboardInterrupt):
            return False
        self._typed_ahead = "" if typed.lower() == "q" else typed
        return not typed

    def read(self) -> str:
        """Read one line."""
        text, self._typed_ahead = self._typed_ahead, ""
        text = text or self._prompt.prompt(MARK, pre_run=self.conversation.begin)
        self.look = look_of(sys.stdout, system=self.look.system, color="always" if self.look.color else "never")
        return text


def _history() -> History:
    folder = own_folder()
    return FileHistory(str(folder / "history")) if folder else InMemoryHistory()
