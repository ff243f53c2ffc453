"""What a screen or a page is made of before anybody knows how it is written: lines, tables, choices, charts.

`terminal` writes them for a terminal, `paper` as HTML and Markdown. A section, a numbered item and what stands in them
are of paper alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

ALL = "all"
FORECAST = ("ends", "drift", "tires", "wear", "steering", "gears", "brakes", "air", ALL)
CORNER = ("loads", "steering", "circle", ALL)
"""Names of the parts of a long screen."""


@dataclass(frozen=True)
class Line:
    """One paragraph. mark: heading, act, caution, quiet, quote or "".

    lead: a number, or a name of what is said; on a screen the rest hangs under the text.
    """

    text: str
    mark: str = ""
    indent: int = 0
    lead: str = ""


@dataclass(frozen=True)
class Table:
    """A grid, and a sentence under it that says what to see in it or how to read it; "" for none.

    spoken: the same as the rows in whole sentences, for those who hear the screen; rows are read out when left out.
    caption: what stands over it, "" where the line before says so.
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
class LineChart:
    """Values along the laps of a run, a line for each name.

    form: how a number is written, such as "{:+.1f}". letters: what draws each line where there are only characters.
    over, under: what up and down mean. from_zero: the axis begins at zero. unknown: of each line the thirds of the run,
    0 to 2, where it is not known: no number of it is written there.
    """

    id: str
    title: str
    says: str
    laps: Sequence[float]
    lines: Mapping[str, Sequence[float]]
    form: str
    letters: str
    over: str = ""
    under: str = ""
    from_zero: bool = False
    unknown: Mapping[str, Sequence[int]] = field(default_factory=dict)

    def tell(self, name: str, lap: float) -> str:
        """Write a line at a lap; nothing where it is not known."""
        third = min(2, int(3.0 * lap / self.laps[-1]))
        return "" if third in self.unknown.get(name, ()) else self.write(self.at(name, lap))

    def write(self, value: float) -> str:
        """Write a number on the axis or in the table; nothing has no sign."""
        said = self.form.format(value)
        return "0" if "+" in self.form and float(said) == 0 else said

    @property
    def reach(self) -> tuple[float, float]:
        """The lowest and the highest value; half a unit to each side where they are one."""
        low, high = min(map(min, self.lines.values())), max(map(max, self.lines.values()))
        return (low, high) if high - low > 1e-9 * max(1.0, abs(low)) else (low - 0.5, high + 0.5)

    def at(self, name: str, lap: float) -> float:
        """Read a line between its points; outside them the nearest end; where a lap stands twice, the later value."""
        points = pairwise(zip(self.laps, self.lines[name], strict=True))
        for (begin, first), (end, last) in reversed(list(points)):
            if lap >= begin and end > begin:
                return first + (last - first) * min(1.0, (lap - begin) / (end - begin))
        return self.lines[name][0]


@dataclass(frozen=True)
class Points:
    """A list without an order."""

    texts: tuple[str, ...]


@dataclass(frozen=True)
class Group:
    """The values of one part of the car, each with what is said of it; one of which something is said stands out."""

    title: str
    values: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Charts:
    """Line charts side by side."""

    charts: tuple[LineChart, ...]


@dataclass(frozen=True)
class Section:
    """A part of a page under its heading, or an entry of a numbered list; id: its name in the page, or its number."""

    id: str
    title: str
    blocks: Sequence[PaperBlock]


@dataclass(frozen=True)
class Items:
    """A numbered list."""

    items: tuple[Section, ...]


@dataclass(frozen=True)
class Page:
    """What is handed on: about, the day and what it was made with, its sections, and what stands below them."""

    title: str
    about: str
    date: str
    made: str
    main: tuple[Section, ...] = ()
    foot: tuple[Section, ...] = ()


Block = Line | Table | Choices | LineChart
PaperBlock = Line | Table | Points | Group | Charts | Items
BLANK = Line("")


def lines(texts: Iterable[str], mark: str = "", indent: int = 0) -> list[Line]:
    """Make a paragraph of every text that says something."""
    return [Line(text, mark, indent) for text in texts if text]


def apart(*parts: Sequence[Block]) -> list[Block]:
    """Put parts of a screen one under the other with an empty line between; one that holds nothing is left out."""
    after = [block for part in parts if part for block in (BLANK, *part)]
    return after[1:]


def under(heading: str, texts: Iterable[str]) -> list[Line]:
    """Make paragraphs under a line that says what they are; nothing where there are none."""
    below = lines(texts, indent=2)
    return [Line(heading), *below] if below else []


def more_of(ask: str, parts: tuple[str, ...]) -> str:
    """Say what shows the rest: "More: corner loads, steering or all."."""
    return f"More: {ask} {', '.join(parts[:-1])} or {parts[-1]}."
