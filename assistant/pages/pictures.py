"""Line pictures made of plain characters: several lines over the laps of a run, one letter each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

HEIGHT, WIDTH = 9, 60
"""Rows and columns of the drawing, without its labels: fits 80 columns."""
CROSSING = "*"


def draw_lines(laps: Sequence[float], lines: Mapping[str, Sequence[float]], form: str) -> tuple[str, ...]:
    """Draw values along the laps; the key of each line is the one letter that draws it.

    form: how a value is written on the left, such as "{:+.1f}". Lines that meet share a star.
    """
    low, high = bounds([value for values in lines.values() for value in values])
    canvas = [[" "] * WIDTH for _ in range(HEIGHT)]
    for letter, values in lines.items():
        for column in range(WIDTH):
            lap = laps[0] + (laps[-1] - laps[0]) * column / (WIDTH - 1)
            row = round((high - value_at(laps, values, lap)) / (high - low) * (HEIGHT - 1))
            canvas[row][column] = letter if canvas[row][column] == " " else CROSSING
    labels = {0: form.format(high), HEIGHT // 2: form.format((high + low) / 2.0), HEIGHT - 1: form.format(low)}
    wide = max(map(len, labels.values()))
    rows = [f"{labels.get(row, ''):>{wide}} |{''.join(cells)}".rstrip() for row, cells in enumerate(canvas)]
    middle = f"{(laps[0] + laps[-1]) / 2:.0f}"
    first, last = f"{laps[0]:.0f}", f"lap {laps[-1]:.0f}"
    gap = WIDTH - len(first) - len(last) - len(middle)
    axis = first + " " * (gap // 2) + middle + " " * (gap - gap // 2) + last
    return (*rows, f"{'':>{wide}} +{'-' * WIDTH}", f"{'':>{wide}}  {axis}")


def bounds(values: Sequence[float]) -> tuple[float, float]:
    """Lowest and highest value, a little apart where they are the same."""
    low, high = min(values), max(values)
    return (low, high) if high - low > 1e-9 else (low - 0.5, high + 0.5)


def value_at(laps: Sequence[float], values: Sequence[float], lap: float) -> float:
    """Read between the knots; where a lap stands twice (a stop), the later value."""
    for (begin, first), (end, last) in reversed(list(pairwise(zip(laps, values, strict=True)))):
        if lap >= begin and end > begin:
            return first + (last - first) * min(1.0, (lap - begin) / (end - begin))
    return values[0]
