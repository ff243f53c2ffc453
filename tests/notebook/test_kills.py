"""Programs killed while they write: nothing they said was kept is lost. `python -m tests.notebook.kills` is longer."""

import sys

import pytest

from tests.notebook.kills import count_lost


@pytest.mark.skipif(sys.platform == "win32", reason="programs are killed differently there")
def test_two_writers_killed_a_few_times_lose_nothing_they_said_was_kept(tmp_path):
    said, lost, damaged = count_lost(6, tmp_path)
    assert said >= 12
    assert (lost, damaged) == (0, 0)
