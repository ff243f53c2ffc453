"""What the README shows is what a person meets."""

import re

from tests.conftest import share_driven
from tests.readme_sample import PICTURE, README, draw, sample, talk


def test_the_sample_conversation_is_what_the_program_says():
    typed, shown = sample()
    assert talk(typed, share_driven) == shown


def test_the_picture_shows_the_longest_answer_of_the_sample():
    _, shown = sample()
    assert PICTURE.read_text(encoding="utf-8") == draw(shown)


def test_the_picture_begins_with_what_was_typed_and_keeps_every_space():
    picture = PICTURE.read_text(encoding="utf-8")
    rows = re.findall(r"<text ([^>]*)>([^<]*)</text>", picture)
    assert rows[0][1].startswith("&gt; ")
    assert any(text.startswith("  ") for _, text in rows)  # indented, which is lost where spaces fall together
    assert all('xml:space="preserve"' in how for how, _ in rows)
    assert "text { white-space: pre;" in picture


def test_the_sample_shows_no_table_that_a_driver_who_was_fine_early_would_not_believe():
    """The computed car may be loose early where he said fine; changes are shown, not where the car stands."""
    _, shown = sample()
    assert "before and after" not in shown


def test_the_commands_to_start_and_to_test_are_one_line_each_and_set_everything_up():
    lines = [line for line in README.read_text(encoding="utf-8").splitlines() if line.startswith("python3 -m venv")]
    assert len(lines) == 2
    assert lines[0].endswith("halfturn")
    assert lines[1].endswith("pytest -n auto")
    assert all("pip install" in line for line in lines)
