"""What the README shows is what a person meets."""

from tests.readme_sample import PICTURE, README, draw, sample, talk


def test_the_sample_conversation_is_what_the_program_says():
    typed, shown = sample()
    assert talk(typed) == shown


def test_the_picture_shows_the_end_of_the_sample():
    _, shown = sample()
    assert PICTURE.read_text(encoding="utf-8") == draw(shown)


def test_the_commands_to_start_and_to_test_are_one_line_each_and_set_everything_up():
    lines = [line for line in README.read_text(encoding="utf-8").splitlines() if line.startswith("python3 -m venv")]
    assert len(lines) == 2
    assert lines[0].endswith("halfturn")
    assert lines[1].endswith("pytest")
    assert all("pip install" in line for line in lines)
