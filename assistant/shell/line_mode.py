"""The plain front end: one line in, lines out, nothing redrawn. For pipes, dumb terminals and screen readers."""

from __future__ import annotations

from typing import TYPE_CHECKING, TextIO

from assistant.ground.gate import in_encoding, shown
from assistant.pages.blocks import BLANK, Line
from assistant.pages.terminal import Look, say
from assistant.shell.dialogs import LEFT, MARK, Reply

if TYPE_CHECKING:
    from assistant.shell.background import Later
    from assistant.shell.talk import Conversation


def talk_by_lines(conversation: Later[Conversation], look: Look, *, source: TextIO, sink: TextIO, first: Reply) -> int:
    """Drive the conversation to its end; it is made once the first prompt stands. Returns the exit code."""
    typed_here = source.isatty()
    reply, leaving = first, False
    say(reply.blocks, look, sink)
    any_line = False
    while not reply.over:
        _prompt(reply.prompt, look, sink)
        conversation.begin()
        try:
            row = source.readline()
            if not row:
                sink.write("\n")
                if typed_here:  # with a terminal it is Ctrl-D
                    say([*reply.goodbye], look, sink)
                    return _let_go(None if reply is first else conversation.get())
                return _end_of_input(conversation.get(), look, sink, any_line=any_line)
            any_line = True
            text = row.rstrip("\r\n")
            if not typed_here:
                sink.write(in_encoding(shown(text), look.encoding) + "\n")  # so that a transcript can be read
            reply, leaving = conversation.get().say(text), False
        except KeyboardInterrupt:
            sink.write("\n")
            talk = conversation.get()
            if leaving and not talk.is_asked:
                talk.record.close()
                return LEFT
            leaving = not talk.is_asked
            reply = talk.leave()
        say(reply.blocks, look, sink)
    return _let_go(conversation.get())


def _prompt(text: str, look: Look, sink: TextIO) -> None:
    say([BLANK, Line(text)], look, sink)
    sink.write(MARK)
    sink.flush()


def _end_of_input(talk: Conversation, look: Look, sink: TextIO, *, any_line: bool) -> int:
    """End a talk whose lines came from elsewhere; with none at all, show what the program does."""
    if not any_line:
        say(talk.advise_at_once().blocks, look, sink)
    talk.record.ended()
    return 0


def _let_go(talk: Conversation | None) -> int:
    """Close the record of a talk, where anything was said."""
    if talk is not None:
        talk.record.close()
    return 0
