"""Blocks on a terminal: how wide, in which colors, wrapped and through the gate, one item a line for who hears it."""

from __future__ import annotations

import os
import shutil
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TextIO

from assistant.ground.problems import in_encoding, shown
from assistant.pages.blocks import Block, Choices, Line, LineChart, Table


def width_of(text: str) -> int:
    """Columns the text takes on a terminal."""
    if text.isascii():
        return len(text)
    return sum(_columns(letter) for letter in text)


def wrap(text: str, width: int) -> list[str]:
    """Break at spaces into rows no wider than `width`; only a longer word is cut. An empty text is one row.

    A path is never cut, so that it can be copied; the terminal goes on in the next row by itself.
    """
    rows: list[str] = []
    row = ""
    for word in text.split():
        for piece in _cut(word, width):
            if row and width_of(row) + 1 + width_of(piece) > width:
                rows.append(row)
                row = piece
            else:
                row = f"{row} {piece}" if row else piece
    return [*rows, row]


def _cut(word: str, width: int) -> list[str]:
    if "/" in word or "\\" in word:
        return [word]
    pieces = [""]
    for letter in word:
        if pieces[-1] and width_of(pieces[-1]) + _columns(letter) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces


def _columns(letter: str) -> int:
    if unicodedata.combining(letter):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in "WF" else 1


WIDEST, NARROWEST = 80, 24
"""Lines are wrapped to the terminal between these; longer lines are hard to read."""


@dataclass(frozen=True)
class Look:
    """system: "trade" or "si". accessible: one item a line, nothing redrawn. encoding: of the stream written to."""

    width: int = WIDEST
    system: str = "trade"
    color: bool = False
    accessible: bool = False
    encoding: str = "utf-8"


def look_of(
    stream: TextIO,
    *,
    system: str = "trade",
    color: str = "auto",
    accessible: bool = False,
    environ: Mapping[str, str] | None = None,
) -> Look:
    """Find out how to write on this stream; `accessible` is also asked for by ACCESSIBLE in the environment."""
    env = os.environ if environ is None else environ
    plain = accessible or bool(env.get("ACCESSIBLE"))
    return Look(
        width=_width_of(stream),
        system=system,
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


_COLORS = {"heading": "1", "act": "1;36", "caution": "33", "quiet": "2"}


def render(blocks: list[Block], look: Look) -> list[str]:
    """Turn blocks into finished lines: gated, in the stream's encoding, wrapped, colored last."""
    return [line for block in blocks for line in _lines_of(block, look)]


def _lines_of(block: Block, look: Look) -> Iterator[str]:
    match block:
        case Line():
            yield from _line(block, look)
        case Choices():
            yield from _choices(block, look)
        case Table():
            yield from _table(block, look)
        case LineChart():
            yield from _chart(block, look)


def _clean(text: str, look: Look) -> str:
    return in_encoding(shown(text), look.encoding)


def _line(line: Line, look: Look) -> Iterator[str]:
    lead = f"{_clean(line.lead, look)}  " if line.lead else ""
    first = " " * line.indent + lead
    rest = " " * width_of(first)
    for place, row in enumerate(wrap(_clean(line.text, look), look.width - len(rest))):
        yield _colored((first if place == 0 else rest) + row, line.mark, look).rstrip()


def _choices(block: Choices, look: Look) -> Iterator[str]:
    numbered = [f"{number} {_clean(text, look)}" for number, text in enumerate(block.texts, 1)]
    row = "   ".join(numbered)
    if look.accessible or width_of(row) > look.width:
        for number, text in enumerate(block.texts, 1):
            yield from _line(Line(text, lead=str(number)), look)
    else:
        yield row


def _table(table: Table, look: Look) -> Iterator[str]:
    yield from wrap(_clean(f"{table.caption}:", look), look.width) if table.caption else ()
    head = [_clean(cell, look) for cell in table.head]
    rows = [[_clean(cell, look) for cell in row] for row in table.rows]
    widths = [max(width_of(row[column]) for row in [head, *rows]) for column in range(len(head))]
    if look.accessible and table.spoken:
        yield from (row for text in table.spoken for row in wrap(_clean(text, look), look.width))
    elif look.accessible:
        yield from _spoken(head, rows, look)
    elif sum(widths) + 2 * (len(widths) - 1) <= look.width:
        yield _colored(_row(head, widths), "heading", look)
        yield from (_row(row, widths) for row in rows)
    else:
        yield from _stacked(head, rows, look)
    yield from wrap(_clean(table.sentence, look), look.width) if table.sentence else ()


ROWS, COLUMNS = 9, 60
"""Size of a chart of plain characters without its labels: fits 80 columns."""
CROSSING = "*"


def _chart(chart: LineChart, look: Look) -> Iterator[str]:
    """Draw the lines and say the same; only the words where nobody can see a drawing."""
    ways = [f"+ {chart.over}", f"- {chart.under}"] if chart.under else []
    letters = [f"{letter} {name}" for letter, name in zip(chart.letters, chart.lines, strict=True)]
    head = f"{', '.join([chart.title, *ways])}: {', '.join(letters)}, {CROSSING} where they meet:"
    rows = [_clean(row, look) for row in draw_lines(chart)]
    yield from wrap(_clean(head, look), look.width)
    if not look.accessible and max(map(width_of, rows)) <= look.width:
        yield from rows
    yield from wrap(_clean(chart.says, look), look.width)


def draw_lines(chart: LineChart) -> tuple[str, ...]:
    """Draw a chart of plain characters, each line by its letter; lines that meet share a star."""
    (low, high), laps = chart.reach, chart.laps
    canvas = [[" "] * COLUMNS for _ in range(ROWS)]
    for letter, name in zip(chart.letters, chart.lines, strict=True):
        for column in range(COLUMNS):
            value = chart.at(name, laps[0] + (laps[-1] - laps[0]) * column / (COLUMNS - 1))
            row = round((high - value) / (high - low) * (ROWS - 1))
            canvas[row][column] = letter if canvas[row][column] == " " else CROSSING
    levels = {0: high, ROWS // 2: (high + low) / 2.0, ROWS - 1: low}
    labels = {row: chart.form.format(value) for row, value in levels.items()}
    wide = max(map(len, labels.values()))
    rows = [f"{labels.get(row, ''):>{wide}} |{''.join(cells)}".rstrip() for row, cells in enumerate(canvas)]
    first, middle, last = f"{laps[0]:.0f}", f"{(laps[0] + laps[-1]) / 2:.0f}", f"lap {laps[-1]:.0f}"
    gap = COLUMNS - len(first) - len(last) - len(middle)
    axis = first + " " * (gap // 2) + middle + " " * (gap - gap // 2) + last
    return (*rows, f"{'':>{wide}} +{'-' * COLUMNS}", f"{'':>{wide}}  {axis}")


def _row(cells: list[str], widths: list[int]) -> str:
    padded = [cell + " " * (width - width_of(cell)) for cell, width in zip(cells, widths, strict=True)]
    return "  ".join(padded).rstrip()


def _spoken(head: list[str], rows: list[list[str]], look: Look) -> Iterator[str]:
    for row in rows:
        said = [f"{name} {cell}" for name, cell in zip(head[1:], row[1:], strict=True) if cell]
        yield from wrap(f"{row[0]}: " + ", ".join(said), look.width)


def _stacked(head: list[str], rows: list[list[str]], look: Look) -> Iterator[str]:
    for row in rows:
        yield from wrap(row[0], look.width)
        said = "; ".join(f"{name} {cell}".strip() for name, cell in zip(head[1:], row[1:], strict=True) if cell)
        yield from ("  " + part for part in wrap(said, look.width - 2))


def _colored(text: str, mark: str, look: Look) -> str:
    code = _COLORS.get(mark)
    return f"\x1b[{code}m{text}\x1b[0m" if look.color and code and text.strip() else text


def say(blocks: list[Block], look: Look, stream: TextIO) -> None:
    """Write the blocks and flush, so that a screen reader or a pipe has them at once."""
    rows = render(blocks, look)
    if rows:
        stream.write("\n".join(rows) + "\n")
    stream.flush()


def say_line(text: str, look: Look, stream: TextIO) -> None:
    """Write one line."""
    say([Line(text)], look, stream)


def say_progress(text: str, look: Look, stream: TextIO) -> None:
    """Say what is being worked on, "" when it is done: one line that goes again where the cursor can be moved."""
    if stream.isatty() and not look.accessible and not is_dumb(os.environ):
        wide = look.width - 1
        stream.write(f"\r{_clean(text, look)[:wide]:<{wide}}" + ("" if text else "\r"))
        stream.flush()
    elif text:
        say_line(text, look, stream)
