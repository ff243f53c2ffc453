"""The loop of a talk, and its plain front end: one line in, lines out, nothing redrawn.

The plain one is for pipes, dumb terminals and screen readers; `prompt` reads from a terminal that can move its cursor.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import TYPE_CHECKING, TextIO

from assistant.ground.problems import in_encoding, shown
from assistant.pages.blocks import BLANK, Block, Line
from assistant.pages.terminal import Look, say
from assistant.shell.dialogs import LEFT, MARK, Reply

if TYPE_CHECKING:
    from assistant.shell.background import Later
    from assistant.shell.talk import Conversation


class FrontEnd(ABC):
    """Where lines come from and screens go to; the conversation is made once the first prompt stands."""

    def __init__(self, conversation: Later[Conversation], look: Look, sink: TextIO) -> None:
        self.conversation = conversation
        self.look = look
        self.sink = sink

    @abstractmethod
    def read(self) -> str:
        """Return the next line. Raises KeyboardInterrupt, and EOFError where no more will come."""

    def show(self, blocks: list[Block]) -> None:
        """Show a screen."""
        say(blocks, self.look, self.sink)

    def end_of_lines(self, reply: Reply, *, is_first: bool) -> int:
        """Say goodbye where no more lines come; returns the exit code. reply: what was shown last."""
        self.show([*reply.goodbye])
        return 0 if is_first else self._let_go()

    def drive(self, first: Reply) -> int:
        """Drive the conversation to its end; returns the exit code."""
        reply, leaving = first, False
        self.show(reply.blocks)
        while not reply.over:
            self.show([BLANK, Line(reply.prompt)])
            try:
                text = self.read()
                reply, leaving = self.conversation.get().say(text), False
            except EOFError:
                return self.end_of_lines(reply, is_first=reply is first)
            except KeyboardInterrupt:
                talk = self.conversation.get()
                if leaving and not talk.is_asked:
                    return self._let_go(LEFT)
                leaving, reply = not talk.is_asked, talk.leave()
            self.show(reply.blocks)
        return self._let_go()

    def _let_go(self, code: int = 0) -> int:
        """Close the record of the talk."""
        self.conversation.get().record.close()
        return code


class LineFrontEnd(FrontEnd):
    """Lines from a stream; those that nobody types here are written back, so that a transcript can be read."""

    def __init__(self, conversation: Later[Conversation], look: Look, source: TextIO, sink: TextIO) -> None:
        super().__init__(conversation, look, sink)
        self._source = source
        self._typed_here = source.isatty()
        self._any_line = False

    def read(self) -> str:
        """Read one line."""
        self.sink.write(MARK)
        self.sink.flush()
        self.conversation.begin()
        try:
            row = self._source.readline()
        except KeyboardInterrupt:
            self.sink.write("\n")
            raise
        if not row:
            self.sink.write("\n")
            raise EOFError
        self._any_line, text = True, row.rstrip("\r\n")
        if not self._typed_here:
            self.sink.write(in_encoding(shown(text), self.look.encoding) + "\n")
        return text

    def end_of_lines(self, reply: Reply, *, is_first: bool) -> int:
        """Say goodbye to Ctrl-D; lines from elsewhere were the whole talk, and no lines at all show the advice."""
        if self._typed_here:
            return super().end_of_lines(reply, is_first=is_first)
        talk = self.conversation.get()
        if not self._any_line:
            self.show(talk.advise_at_once().blocks)
        talk.record.ended()
        return 0
