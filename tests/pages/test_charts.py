from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.pages.blocks import LineChart
from assistant.pages.paper import HEIGHT, MOST_TICKS, NAME_HEIGHT, WIDTH, draw_chart, nice_ticks, spread_names

LAPS = (0.0, 10.0, 40.0, 80.0)
FINITE = st.floats(-1e6, 1e6, allow_nan=False)


@pytest.mark.parametrize(
    ("low", "high", "ticks"),
    [
        (0.0, 80.0, (0, 20, 40, 60, 80)),
        (0.0, 0.39, (0.0, 0.1, 0.2, 0.3, 0.4)),
        (-0.7, 1.2, (-1.0, -0.5, 0.0, 0.5, 1.0, 1.5)),
        (-3.0, -1.0, (-3.0, -2.5, -2.0, -1.5, -1.0)),
        (0.0, 1e6, (0, 200000, 400000, 600000, 800000, 1000000)),
    ],
)
def test_ticks_are_the_round_numbers_a_person_would_choose(low, high, ticks):
    assert nice_ticks(low, high) == pytest.approx(ticks)


@given(FINITE, FINITE)
def test_ticks_span_the_values_are_few_and_stand_evenly(one, other):
    low, high = sorted((one, other))
    assume(high - low > 1e-9 * max(1.0, abs(low)))
    ticks = nice_ticks(low, high)
    step = ticks[1] - ticks[0]
    assert 2 <= len(ticks) <= MOST_TICKS
    assert ticks[0] <= low + 1e-6 * step
    assert ticks[-1] >= high - 1e-6 * step
    assert all(b - a == pytest.approx(step, rel=1e-3) for a, b in pairwise(ticks))


def test_a_line_that_is_level_still_has_an_axis():
    assert [tick.label for tick in chart(a=(3.0, 3.0, 3.0, 3.0)).y_ticks] == ["2.5", "3.0", "3.5"]


@given(st.lists(st.floats(20, 200), min_size=1, max_size=6))
def test_names_at_the_ends_never_stand_on_each_other(ends):
    places = sorted(spread_names({str(n): end for n, end in enumerate(ends)}, 20.0, 206.0).values())
    assert all(b - a >= NAME_HEIGHT - 0.2 for a, b in pairwise(places))
    assert places[0] >= 20.0
    assert places[-1] <= 206.0


def chart(**lines):
    return draw_chart(
        LineChart("x", "Title", "Says.", LAPS, lines, "{:.1f}", "abcd"[: len(lines)], over="up", under="down")
    )


def test_every_point_lies_inside_the_picture():
    drawn = chart(a=(-1.0, 0.0, 2.0, 3.0), b=(0.0, 0.0, 0.0, -2.0))
    for line in drawn.lines:
        numbers = [float(part.strip("ML")) for part in line.path.split()]
        assert all(drawn.left <= x <= drawn.right for x in numbers[::2])
        assert all(drawn.top <= y <= drawn.bottom for y in numbers[1::2])
    assert (drawn.width, drawn.height) == (WIDTH, HEIGHT)


def test_up_is_more():
    first, second = chart(a=(0.0, 0.0, 0.0, 1.0)).lines[0].path.split()[1], chart(a=(0.0, 0.0, 0.0, 1.0)).lines[0].path
    assert float(second.split()[-1]) < float(first)


def test_zero_is_marked_only_inside_the_picture():
    assert chart(a=(-1.0, 0.0, 1.0, 1.0)).level is not None
    assert chart(a=(1.0, 2.0, 3.0, 3.0)).level is None


def test_the_table_says_what_the_picture_shows():
    table = chart(a=(0.0, 1.0, 4.0, 8.0)).table
    assert table.head == ("lap", "a")
    assert table.rows == (("0", "0.0"), ("20", "2.0"), ("40", "4.0"), ("60", "6.0"), ("80", "8.0"))


def test_values_are_read_between_the_points_and_held_outside():
    rising = LineChart("x", "Title", "Says.", LAPS, {"a": (0.0, 1.0, 4.0, 8.0)}, "{:.1f}", "a")
    assert [rising.at("a", lap) for lap in (25.0, -1.0, 99.0)] == [2.5, 0.0, 8.0]


def test_no_number_is_written_where_a_line_is_not_known():
    chart = LineChart("a", "A", "", (0.0, 60.0), {"x": (0.0, 6.0)}, "{:.0f}", "x", unknown={"x": (0,)})
    assert [chart.tell("x", lap) for lap in (0.0, 19.0, 20.0, 60.0)] == ["", "", "2", "6"]
    assert draw_chart(chart).table.rows[0] == ("0", "")
