"""Line charts over the laps of a run: for paper with nice ticks and a table, for the terminal of plain characters.

Nothing here knows of cars. Places are in units of the picture, which a template scales to the page; y goes down.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import floor, log10
from typing import ClassVar

from assistant.pages.blocks import LineChart, Table

WIDTH, HEIGHT = 360.0, 240.0
"""Units of the picture: as wide as a small telephone, so that writing of 12 units can be read there."""
LEFT, RIGHT, TOP, BOTTOM = 38.0, 80.0, 24.0, 34.0
"""Room around the drawing: numbers on the left, names on the right, what up means above, laps below."""
NAME_HEIGHT = 14.0
"""Least distance of two names at the ends of the lines."""
MOST_TICKS = 6
SAME = "The same in numbers"
ROWS, COLUMNS = 9, 60
"""Size of a drawing of plain characters without its labels: fits 80 columns."""
CROSSING = "*"


def nice_ticks(low: float, high: float, most: int = MOST_TICKS) -> tuple[float, ...]:
    """Choose at most `most` round numbers (1, 2 or 5 times a power of ten apart) that span low to high.

    The first is at or below `low` and the last at or above `high`. Equal ends are taken as half a unit to each side.
    """
    low, high = _apart(low, high)
    step = _nice_step((high - low) / (most - 1))
    while _count(low, high, step) > most:
        step = _nice_step(step * 1.01)
    first = floor(low / step + 1e-9)
    return tuple(round((first + number) * step, 12) + 0.0 for number in range(_count(low, high, step)))


@dataclass(frozen=True)
class Tick:
    """A place on an axis [units of the picture] and what is written there."""

    at: float
    label: str


@dataclass(frozen=True)
class Curve:
    """One line of a chart: an SVG path, the dash pattern and color of its number, and where its name stands."""

    name: str
    path: str
    number: int
    label_at: float


@dataclass(frozen=True)
class Chart:
    """A line chart as a template draws it; places in units of the picture, y down. table: the same in numbers.

    of: what is drawn. level: where zero is, None when it is not inside.
    """

    of: LineChart
    x_ticks: tuple[Tick, ...]
    y_ticks: tuple[Tick, ...]
    lines: tuple[Curve, ...]
    level: float | None
    table: Table
    width: ClassVar = WIDTH
    height: ClassVar = HEIGHT
    left: ClassVar = LEFT
    right: ClassVar = WIDTH - RIGHT
    top: ClassVar = TOP
    bottom: ClassVar = HEIGHT - BOTTOM


def say_lines(chart: LineChart) -> str:
    """Say what a drawing of plain characters shows, and which letter is what."""
    ways = [f"+ {chart.over}", f"- {chart.under}"] if chart.under else []
    letters = [f"{letter} {name}" for letter, name in zip(chart.letters, chart.lines, strict=True)]
    return f"{', '.join([chart.title, *ways])}: {', '.join(letters)}, {CROSSING} where they meet:"


def draw_chart(chart: LineChart) -> Chart:
    """Lay out the chart for paper."""
    laps, lines = chart.laps, chart.lines
    low, high = _reach(lines)
    y_ticks = nice_ticks(0.0 if chart.from_zero else low, high)
    x_ticks = [lap for lap in nice_ticks(laps[0], laps[-1]) if laps[0] <= lap <= laps[-1]]

    def across(lap: float) -> float:
        return _between(lap, laps[0], laps[-1], Chart.left, Chart.right)

    def down(value: float) -> float:
        return _between(value, y_ticks[0], y_ticks[-1], Chart.bottom, Chart.top)

    def path(values: Sequence[float]) -> str:
        points = [f"{across(lap):.1f} {down(value):.1f}" for lap, value in zip(laps, values, strict=True)]
        return f"M{' L'.join(points)}"

    ends = {one: down(values[-1]) for one, values in lines.items()}
    places = spread_names(ends, Chart.top, Chart.bottom)
    return Chart(
        of=chart,
        x_ticks=tuple(Tick(round(across(lap), 1), f"{lap:g}") for lap in x_ticks),
        y_ticks=tuple(Tick(round(down(value), 1), chart.write(value)) for value in y_ticks),
        lines=tuple(
            Curve(one, path(values), number, places[one]) for number, (one, values) in enumerate(lines.items(), 1)
        ),
        level=round(down(0.0), 1) if y_ticks[0] < 0.0 < y_ticks[-1] else None,
        table=tabulate(chart, x_ticks),
    )


def spread_names(ends: Mapping[str, float], top: float, bottom: float) -> dict[str, float]:
    """Place the names at the ends of their lines, pushed apart where lines end together, inside top and bottom."""
    order = sorted(ends, key=lambda name: ends[name])
    places: list[float] = []
    for name in order:
        lowest = places[-1] + NAME_HEIGHT if places else top
        places.append(max(ends[name], lowest))
    limit = bottom
    for index in range(len(places) - 1, -1, -1):
        places[index] = min(places[index], limit)
        limit = places[index] - NAME_HEIGHT
    return {name: round(place, 1) for name, place in zip(order, places, strict=True)}


def tabulate(chart: LineChart, at: Sequence[float]) -> Table:
    """Give the numbers of a chart at the laps written below it, one row a lap."""
    lines = chart.lines.values()
    rows = tuple((f"{lap:g}", *(chart.write(value_at(chart.laps, values, lap)) for values in lines)) for lap in at)
    return Table(("lap", *chart.lines), rows, caption=SAME)


def value_at(laps: Sequence[float], values: Sequence[float], lap: float) -> float:
    """Read between the points; outside them the nearest end; where a lap stands twice (a stop), the later value."""
    for (begin, first), (end, last) in reversed(list(pairwise(zip(laps, values, strict=True)))):
        if lap >= begin and end > begin:
            return first + (last - first) * min(1.0, (lap - begin) / (end - begin))
    return values[0]


def _between(value: float, low: float, high: float, start: float, end: float) -> float:
    return start + (value - low) / (high - low) * (end - start) if high > low else start


def _nice_step(least: float) -> float:
    """Return the smallest of 1, 2 and 5 times a power of ten that is not below `least`."""
    power: float = 10.0 ** floor(log10(least))
    return next(round(factor, 0) * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= least * (1 - 1e-9))


def _count(low: float, high: float, step: float) -> int:
    first, last = floor(low / step + 1e-9), -floor(-high / step + 1e-9)
    return int(last - first + 1)


def draw_lines(laps: Sequence[float], lines: Mapping[str, Sequence[float]], form: str) -> tuple[str, ...]:
    """Draw values along the laps; the key of each line is the one letter that draws it.

    form: how a value is written on the left, such as "{:+.1f}". Lines that meet share a star.
    """
    low, high = _apart(*_reach(lines))
    canvas = [[" "] * COLUMNS for _ in range(ROWS)]
    for letter, values in lines.items():
        for column in range(COLUMNS):
            lap = laps[0] + (laps[-1] - laps[0]) * column / (COLUMNS - 1)
            row = round((high - value_at(laps, values, lap)) / (high - low) * (ROWS - 1))
            canvas[row][column] = letter if canvas[row][column] == " " else CROSSING
    labels = {0: form.format(high), ROWS // 2: form.format((high + low) / 2.0), ROWS - 1: form.format(low)}
    wide = max(map(len, labels.values()))
    rows = [f"{labels.get(row, ''):>{wide}} |{''.join(cells)}".rstrip() for row, cells in enumerate(canvas)]
    middle = f"{(laps[0] + laps[-1]) / 2:.0f}"
    first, last = f"{laps[0]:.0f}", f"lap {laps[-1]:.0f}"
    gap = COLUMNS - len(first) - len(last) - len(middle)
    axis = first + " " * (gap // 2) + middle + " " * (gap - gap // 2) + last
    return (*rows, f"{'':>{wide}} +{'-' * COLUMNS}", f"{'':>{wide}}  {axis}")


def _reach(lines: Mapping[str, Sequence[float]]) -> tuple[float, float]:
    return min(map(min, lines.values())), max(map(max, lines.values()))


def _apart(low: float, high: float) -> tuple[float, float]:
    """The same ends, half a unit to each side where they are one."""
    return (low, high) if high - low > 1e-9 * max(1.0, abs(low)) else (low - 0.5, high + 0.5)
