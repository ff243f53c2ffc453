"""One talk written down: found again with its lines, whoever was killed, whatever the clock says."""

import os
from datetime import UTC, datetime, timedelta, timezone

import pytest

from assistant.notebook.book import SAID, STANDS, TYPED, Notebook
from assistant.notebook.record import Record

NOON = datetime(2026, 11, 25, 12, 0, 0, tzinfo=UTC)


@pytest.fixture
def book(tmp_path):
    return Notebook(tmp_path)


def talked(book, *lines, car="demo", moment=NOON, ended=False):
    record = Record(car, book, moment=moment)
    for line in lines:
        record.typed(line)
    record.ended() if ended else record.close()
    return record


def test_every_line_is_on_the_disk_before_it_is_answered(book, tmp_path):
    record = Record("demo", book)
    record.typed("loose off")
    record.typed("3")
    other = Notebook(tmp_path)
    assert [one.text for one in other.entries("demo", (TYPED,))] == ["loose off", "3"]


def test_a_talk_that_was_cut_off_is_found_with_its_lines_where_it_stands_and_what_was_not_answered(book):
    record = Record("demo", book, moment=NOON)
    record.typed("loose off")
    record.write(SAID, "loose off")
    record.stands({"began": 1})
    record.stands({"began": 2})
    record.typed("3")
    record.close()
    found = book.last_cut_off("demo")
    assert (found.typed, found.said, found.began) == (("loose off", "3"), "loose off", "25 Nov 12:00")
    assert (found.stands, found.unanswered) == ({"began": 2}, "3")
    assert len(book.entries("demo", (STANDS,), gone=True)) == 1


def test_a_talk_that_ended_is_not_offered_again(book):
    talked(book, "loose off", ended=True)
    assert book.last_cut_off("demo") is None


def test_a_talk_that_ended_last_leaves_nothing_to_go_on_with(book):
    talked(book, "loose off")
    talked(book, "tight in", ended=True)
    assert book.last_cut_off("demo") is None


def test_a_talk_about_another_car_is_not_offered(book):
    talked(book, "loose off", car="mine")
    assert book.last_cut_off("demo") is None


@pytest.mark.skipif(os.name == "nt", reason="two programs at once are not told apart there")
def test_a_talk_somebody_is_still_in_is_not_offered(book, tmp_path):
    record = Record("demo", book)
    record.typed("loose off")
    assert Notebook(tmp_path).last_cut_off("demo") is None
    record.close()
    assert Notebook(tmp_path).last_cut_off("demo") is not None


def test_a_talk_turned_down_is_forgotten_but_kept(book):
    talked(book, "loose off")
    Record("demo", book).forget(book.last_cut_off("demo"))
    assert book.last_cut_off("demo") is None
    assert book.entries("demo", (TYPED,))[0].text == "loose off"


def test_a_talk_taken_up_again_goes_on_as_the_same_talk(book):
    talked(book, "loose off")
    second = Record("demo", book)
    second.go_on_with(book.last_cut_off("demo"))
    second.typed("3")
    second.close()
    assert book.last_cut_off("demo").typed == ("loose off", "3")
    assert len({one.talk for one in book.entries("demo", (TYPED,))}) == 1


def test_nothing_is_written_before_there_is_something_to_keep(book, tmp_path):
    Record("demo", book).ended()
    assert book.entries() == ()
    assert list(tmp_path.iterdir()) == []


def test_a_talk_that_was_let_go_leaves_no_lock_behind(book, tmp_path):
    talked(book, "loose off")
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".talk")] == []


def test_where_nothing_can_be_written_the_talk_goes_on_and_is_not_called_kept(tmp_path):
    (tmp_path / "file").write_text("")
    for book in (None, Notebook(tmp_path / "file")):
        record = Record("demo", book)
        record.typed("loose off")
        record.ended()
        assert record.has_lines
        assert not record.is_kept


@pytest.mark.parametrize(
    "later",
    [
        NOON,  # the same second
        NOON - timedelta(hours=1),  # the hour that comes twice in autumn
        NOON - timedelta(days=4000),  # a battery ran empty
        NOON.astimezone(timezone(timedelta(hours=-7))),  # carried over a border
    ],
)
def test_the_talk_that_came_last_is_the_last_whatever_the_clock_says(book, later):
    talked(book, "loose off", ended=True)
    talked(book, "tight in", moment=later)
    assert book.last_cut_off("demo").typed == ("tight in",)
    assert book.last_cut_off("demo").began == f"{later:%d %b %H:%M}"


def test_a_line_with_half_a_letter_in_it_is_kept_with_a_mark_for_it(book):
    talked(book, "loose \ud83d off")
    assert book.last_cut_off("demo").typed == ("loose ? off",)
