"""How the output should look: width, units, color, one item a line or tables, and what the terminal can show."""

from __future__ import annotations

import os
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TextIO

WIDEST, NARROWEST = 80, 24
"""Lines are wrapped to the terminal between these; longer lines are hard to read."""


@dataclass(frozen=True)
class Look:
    """units: "trade" or "si". accessible: one item a line, nothing redrawn. encoding: of the stream written to."""

    width: int = WIDEST
    units: str = "trade"
    color: bool = False
    accessible: bool = False
    encoding: str = "utf-8"


def look_of(
    stream: TextIO,
    *,
    units: str = "trade",
    color: str = "auto",
    accessible: bool = False,
    environ: Mapping[str, str] | None = None,
) -> Look:
    """Find out how to write on this stream; `accessible` is also asked for by ACCESSIBLE in the environment."""
    env = os.environ if environ is None else environ
    plain = accessible or bool(env.get("ACCESSIBLE"))
    return Look(
        width=_width_of(stream),
        units=units,
        color=wants_color(color, terminal=stream.isatty(), accessible=plain, environ=env),
        accessible=plain,
        encoding=getattr(stream, "encoding", None) or "ascii",
    )


def wants_color(color: str, *, terminal: bool, accessible: bool, environ: Mapping[str, str]) -> bool:
    """Decide on color: the option first, then NO_COLOR (present and not empty), a dumb terminal, or no terminal."""
    if color != "auto":
        return color == "always"
    return terminal and not accessible and not environ.get("NO_COLOR") and not is_dumb(environ)


def is_dumb(environ: Mapping[str, str]) -> bool:
    """Say whether the terminal cannot move a cursor, or nobody said what it is."""
    return os.name != "nt" and environ.get("TERM", "").lower() in {"", "dumb", "unknown"}


def _width_of(stream: TextIO) -> int:
    """Columns of the terminal, WIDEST when the output goes to a file or a pipe."""
    columns = shutil.get_terminal_size((WIDEST, 24)).columns if stream.isatty() else WIDEST
    return max(NARROWEST, min(columns, WIDEST))
