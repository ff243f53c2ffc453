"""Talks are named by time, and clocks are set back, stop, jump and change their zone; a talk's file may be damaged."""

import json
import os
from datetime import UTC, datetime, timedelta, timezone

import pytest

from assistant.shell.record import LARGEST, Record, last_cut_off, name_after_all

NOON = datetime(2026, 11, 25, 12, 0, 0, tzinfo=UTC)
HEAD = json.dumps({"talk": 3, "case": "demo", "began": "25 Nov 12:00"}) + "\n"
TYPED = json.dumps({"typed": "loose off"}) + "\n"


def talked(folder, moment, *lines, ended=False):
    """A talk that began at this moment by the clock of the machine; returns its name."""
    record = Record("demo", folder, moment=moment)
    for line in lines:
        record.typed(line)
    record.ended() if ended else record.close()
    return record.name


def test_a_talk_is_named_by_its_time(tmp_path):
    assert talked(tmp_path, NOON, "loose off") == f"2026-11-25-120000-{os.getpid()}"


@pytest.mark.parametrize(
    "later",
    [
        NOON,  # the same second
        NOON - timedelta(hours=1),  # the hour that comes twice in autumn
        NOON - timedelta(days=4000),  # a battery ran empty
        NOON.astimezone(timezone(timedelta(hours=-7))),  # carried over a border
    ],
)
def test_the_talk_that_came_last_is_the_last_whatever_the_clock_says(tmp_path, later):
    talked(tmp_path, NOON, "loose off", ended=True)
    name = talked(tmp_path, later, "tight in")
    assert name == f"2026-11-25-120001-{os.getpid()}"
    assert last_cut_off("demo", tmp_path).typed == ("tight in",)


def test_a_talk_that_ended_last_leaves_nothing_to_go_on_with_whatever_the_clock_says(tmp_path):
    talked(tmp_path, NOON, "loose off")
    talked(tmp_path, NOON - timedelta(hours=2), "tight in", ended=True)
    assert last_cut_off("demo", tmp_path) is None


def test_two_talks_in_the_same_second_under_the_same_number_keep_files_of_their_own(tmp_path):
    first, second = Record("demo", tmp_path, moment=NOON), Record("demo", tmp_path, moment=NOON)
    first.typed("loose off")
    second.typed("tight in")
    first.typed("3")
    first.close()
    second.close()
    assert last_cut_off("demo", tmp_path).typed == ("tight in",)
    texts = [file.read_text(encoding="utf-8") for file in sorted(tmp_path.iterdir())]
    assert [text.count('"talk"') for text in texts] == [1, 1]
    assert "loose off" in texts[0]
    assert '"3"' in texts[0]


def test_the_hour_shown_is_that_of_the_clock_and_not_that_of_the_name(tmp_path):
    talked(tmp_path, NOON, "loose off", ended=True)
    talked(tmp_path, NOON - timedelta(hours=1), "tight in")
    assert last_cut_off("demo", tmp_path).began == "25 Nov 11:00"


@pytest.mark.parametrize("name", ["9999-12-31-235959-1", "9999-99-99-999999-1", "2026-13-45-120000-1"])
def test_a_file_from_beyond_the_calendar_does_not_stop_a_talk(tmp_path, name):
    (tmp_path / f"{name}.jsonl").write_text(HEAD, encoding="utf-8")
    assert name_after_all(NOON, tmp_path) == f"2026-11-25-120000-{os.getpid()}"
    assert talked(tmp_path, NOON, "loose off") == f"2026-11-25-120000-{os.getpid()}"


def test_files_of_other_names_do_not_count(tmp_path):
    (tmp_path / "zzz.jsonl").write_text("", encoding="utf-8")
    assert name_after_all(NOON, tmp_path) == f"2026-11-25-120000-{os.getpid()}"


@pytest.mark.parametrize(
    "damage",
    [
        "[" * 100_000 + "\n",
        '{"ended": ' + "[" * 50_000 + "]" * 50_000 + "}\n",
        '{"typed": ' + "9" * 5_000 + "}\n",
        "\x00\x00\x00\n",
        '{"setup": 3}\n',
        '{"setup": {"stagger": NaN, "gear": 1e999, "caster_rf": true, "spring_rr": ' + "9" * 400 + "}}\n",
    ],
)
def test_a_damaged_line_is_left_out_and_the_others_are_taken_up(tmp_path, damage):
    (tmp_path / "2026-11-25-120000-1.jsonl").write_text(HEAD + damage + TYPED, encoding="utf-8")
    found = last_cut_off("demo", tmp_path)
    assert (found.typed, found.setup) == (("loose off",), {})


@pytest.mark.skipif(os.name == "nt", reason="pipes are made differently there")
def test_a_pipe_and_a_file_too_large_for_a_talk_are_passed_over(tmp_path):
    talked(tmp_path, NOON, "loose off")
    os.mkfifo(tmp_path / "2027-01-01-000000-1.jsonl")
    with (tmp_path / "2027-01-01-000001-1.jsonl").open("w", encoding="utf-8") as stream:
        stream.write(HEAD + TYPED)
        stream.truncate(LARGEST + 1)
    assert last_cut_off("demo", tmp_path).typed == ("loose off",)
