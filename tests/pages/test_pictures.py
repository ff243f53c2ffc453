"""Line pictures: what is drawn is where the numbers are, and those who cannot see it hear a sentence."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.pages import terminal
from assistant.pages.blocks import LineChart
from assistant.pages.terminal import COLUMNS, CROSSING, ROWS, Look, render

LAPS = (0.0, 10.0, 40.0)


def draw_lines(laps, lines, form):
    return terminal.draw_lines(LineChart("x", "Title", "Says.", laps, lines, form, "".join(lines)))


def canvas(rows):
    return [row.partition("|")[2].ljust(COLUMNS) for row in rows[:ROWS]]


def test_a_rising_line_goes_from_the_lower_left_to_the_upper_right():
    rows = draw_lines((0.0, 40.0), {"a": (0.0, 1.0)}, "{:+.1f}")
    cells = canvas(rows)
    assert cells[-1][0] == "a"
    assert cells[0][-1] == "a"
    assert rows[0].startswith("+1.0 |")
    assert rows[ROWS - 1].startswith("+0.0 |a")
    assert rows[-1].strip().startswith("0 ")
    assert rows[-1].endswith("lap 40")


def test_lines_that_meet_share_a_star():
    cells = canvas(draw_lines(LAPS, {"a": (0.0, 0.0, 0.0), "b": (0.0, 0.0, 9.0)}, "{:.0f}"))
    assert cells[-1].startswith(CROSSING * 5)
    assert cells[0].rstrip().endswith("b")


@given(st.lists(st.floats(-50, 50), min_size=3, max_size=3), st.lists(st.floats(-50, 50), min_size=3, max_size=3))
def test_every_column_shows_every_line_and_fits_eighty_columns(one, other):
    rows = draw_lines(LAPS, {"a": one, "b": other}, "{:+.1f}")
    assert all(len(row) <= 80 for row in rows)
    for column in zip(*canvas(rows), strict=True):
        marks = "".join(column).replace(" ", "")
        assert marks == CROSSING or sorted(marks) == ["a", "b"]


def test_where_a_lap_stands_twice_the_value_after_the_stop_is_read():
    stopped = LineChart("x", "Title", "Says.", (0.0, 20.0, 20.0, 40.0), {"a": (0.0, 0.8, 0.0, 0.5)}, "{:.1f}", "a")
    assert stopped.at("a", 20.0) == pytest.approx(0.0)
    assert stopped.at("a", 10.0) == pytest.approx(0.4)


RISING = LineChart("x", "Wear", "It rises.", LAPS, {"left": (0.0, 1.0, 2.0)}, "{:.0f}", "l", over="worn")
HEAD = "Wear: l left, * where they meet:"


def test_a_chart_is_drawn_and_then_said():
    rows = render([RISING], Look())
    assert rows[0] == HEAD
    assert rows[1:-1] == list(draw_lines(LAPS, {"l": (0.0, 1.0, 2.0)}, "{:.0f}"))
    assert rows[-1] == "It rises."


def test_a_chart_nobody_can_see_is_only_said():
    assert render([RISING], Look(accessible=True)) == [HEAD, "It rises."]
    assert render([RISING], Look(width=40)) == [HEAD, "It rises."]
