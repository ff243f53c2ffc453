"""Write blocks to a stream, through the gate."""

from __future__ import annotations

from typing import TextIO

from assistant.shell.blocks import Block, Line, render
from assistant.shell.look import Look


def say(blocks: list[Block], look: Look, stream: TextIO) -> None:
    """Write the blocks and flush, so that a screen reader or a pipe has them at once."""
    rows = render(blocks, look)
    if rows:
        stream.write("\n".join(rows) + "\n")
    stream.flush()


def say_line(text: str, look: Look, stream: TextIO) -> None:
    """Write one line, such as what is being worked on."""
    say([Line(text)], look, stream)
