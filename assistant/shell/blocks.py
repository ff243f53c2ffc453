"""What a screen is made of before anybody knows how wide it is: lines, tables, numbered choices and pictures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from assistant.shell.gate import in_encoding, shown
from assistant.shell.look import Look
from assistant.shell.wrap import width_of, wrap


@dataclass(frozen=True)
class Line:
    """One paragraph. mark: "", heading, caution or quiet. lead: a number; what follows hangs under the text."""

    text: str
    mark: str = ""
    indent: int = 0
    lead: str = ""


@dataclass(frozen=True)
class Table:
    """A grid, and a sentence under it that says what to see in it or how to read it; "" for none.

    spoken: the same as the rows in whole sentences, for those who hear the screen; rows are read out when left out.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    sentence: str
    spoken: tuple[str, ...] = ()


@dataclass(frozen=True)
class Choices:
    """Numbered answers; in one row when they fit."""

    texts: tuple[str, ...]


@dataclass(frozen=True)
class Picture:
    """A drawing of plain characters, and the sentence that says the same; only the sentence where nobody can see it."""

    rows: tuple[str, ...]
    sentence: str


Block = Line | Table | Choices | Picture
BLANK = Line("")

_COLORS = {"heading": "1", "caution": "33", "quiet": "2"}


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
        case Picture():
            yield from _picture(block, look)


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


def _picture(picture: Picture, look: Look) -> Iterator[str]:
    rows = [_clean(row, look) for row in picture.rows]
    if not look.accessible and max(map(width_of, rows), default=0) <= look.width:
        yield from rows
    yield from wrap(_clean(picture.sentence, look), look.width)


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
