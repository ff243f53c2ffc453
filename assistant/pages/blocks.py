"""What a screen or a page is made of before anybody knows how it is written: lines, tables, choices, pictures.

`terminal` writes them for a terminal, `paper` as HTML and Markdown. A section, a numbered item and what stands in them
are of paper alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from assistant.pages.charts import Chart


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
    caption: what stands over it on paper; on a screen the line before says so.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    sentence: str = ""
    spoken: tuple[str, ...] = ()
    caption: str = ""


@dataclass(frozen=True)
class Choices:
    """Numbered answers; in one row when they fit."""

    texts: tuple[str, ...]


@dataclass(frozen=True)
class Picture:
    """A drawing of plain characters, and the sentence that says the same; only the sentence where nobody can see it."""

    rows: tuple[str, ...]
    sentence: str


@dataclass(frozen=True)
class Quote:
    """What somebody said."""

    text: str


@dataclass(frozen=True)
class Points:
    """A list without an order."""

    texts: tuple[str, ...]


@dataclass(frozen=True)
class Steps:
    """What is done one after the other, each with a word on it."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Strong:
    """A piece of a text that stands out."""

    text: str


@dataclass(frozen=True)
class Pairs:
    """Names and what is to be said of each, in pieces. kind: "asked" for questions with their answers, "setup", ""."""

    rows: tuple[tuple[str, tuple[str | Strong, ...]], ...]
    kind: str = ""


@dataclass(frozen=True)
class Charts:
    """Line charts side by side."""

    charts: tuple[Chart, ...]


@dataclass(frozen=True)
class Item:
    """One entry of a numbered list: its order in one sentence, and what is said of it."""

    number: int
    order: str
    blocks: tuple[PaperBlock, ...]


@dataclass(frozen=True)
class Section:
    """A part of a page under its heading; id: its name in the page."""

    id: str
    title: str
    blocks: Sequence[PaperBlock]


Block = Line | Table | Choices | Picture
PaperBlock = Line | Table | Quote | Points | Steps | Pairs | Charts | Item
BLANK = Line("")
