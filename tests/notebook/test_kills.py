"""Programs killed while they write: nothing they said was kept is lost. `python -m tests.notebook.kills` is longer."""

import sys

import pytest

from assistant.notebook.book import SAID, TYPED, Notebook
from tests.notebook import killed_talks
from tests.notebook.killed_talks import LINES
from tests.notebook.kills import count_lost


@pytest.mark.skipif(sys.platform == "win32", reason="programs are killed differently there")
def test_two_writers_killed_a_few_times_lose_nothing_they_said_was_kept(tmp_path):
    said, lost, damaged = count_lost(6, tmp_path)
    assert said >= 12
    assert (lost, damaged) == (0, 0)


@pytest.mark.skipif(sys.platform == "win32", reason="there are no pseudo terminals there")
def test_a_talk_killed_loses_no_line_that_was_answered_and_is_taken_up_again(tmp_path):
    count = killed_talks.count_lost(1, tmp_path)
    assert count.answered >= 1
    assert (count.lost, count.closed) == (0, 0)


def test_a_line_that_left_nothing_in_the_notebook_is_found(tmp_path):
    lines = [line for line, _ in LINES]
    book = Notebook(tmp_path)
    talk = book.begin_talk("demo", "1", "now")
    for text, kind in ((lines[0], TYPED), (lines[0], SAID), (lines[1], TYPED)):
        book.add("demo", talk, kind, text)
    assert killed_talks.find_lost(tmp_path, lines, 1) == []
    assert killed_talks.find_lost(tmp_path, lines, 3) == [lines[2], lines[1], lines[2]]
