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

from assistant.ground.gate import shown
from assistant.pages.blocks import BLANK, Line
from assistant.pages.terminal import Look, look_of, say
from assistant.shell.dialogs import LEFT, MARK, Reply
from assistant.shell.record import writable_folder

if TYPE_CHECKING:
    from assistant.shell.background import Later
    from assistant.shell.talk import Conversation


ON_A_QUESTION = ("?", "back", "enough")
"""What may be typed at a numbered question besides its answers, as far as a list should name it."""


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


def talk_in_terminal(
    conversation: Later[Conversation],
    look: Look,
    *,
    first: Reply,
    source: Input | None = None,
    output: Output | None = None,
) -> int:
    """Drive the conversation to its end; it is made once the first prompt stands. Returns the exit code."""
    prompt: PromptSession[str] = PromptSession(
        completer=Words(lambda: conversation.get_quietly().completions(), lambda: conversation.get_quietly().answers()),
        complete_style=CompleteStyle.READLINE_LIKE,
        complete_while_typing=False,
        history=_history(),
        mouse_support=False,
        input=source,
        output=output,
    )
    reply, leaving = first, False
    while True:
        say(reply.blocks, look, sys.stdout)
        if reply.over:
            conversation.get().record.close()
            return 0
        try:
            say([BLANK, Line(reply.prompt)], look, sys.stdout)
            text = prompt.prompt(MARK, pre_run=conversation.begin)
            reply, leaving = conversation.get().say(text), False
        except KeyboardInterrupt:
            talk = conversation.get()
            if leaving and not talk.is_asked:
                talk.record.close()
                return LEFT
            leaving = not talk.is_asked
            reply = talk.leave()
        except EOFError:
            say([*reply.goodbye], look, sys.stdout)
            if reply is not first:
                conversation.get().record.close()
            return 0
        look = look_of(sys.stdout, system=look.system, color="always" if look.color else "never")


def _history() -> History:
    folder = writable_folder()
    return FileHistory(str(folder / "history")) if folder else InMemoryHistory()
