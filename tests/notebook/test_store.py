"""The file of the notebook: two programs at once, full disks, damage, and what somebody else does to it."""

import os
import resource
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from assistant.notebook.book import SAID, TYPED, Notebook
from assistant.notebook.store import FILE, VERSION

ROOT = Path(__file__).parents[2]
MANY = 300


def filled(folder, count=MANY):
    book = Notebook(folder)
    for number in range(count):
        assert book.add("demo", 1, SAID, f"loose off, run {number}, {'x' * 100}") is not None
    book.store.close()
    return folder / FILE


def spoil(path, offset, size=64):
    with path.open("r+b") as stream:
        stream.seek(offset)
        stream.write(os.urandom(size))


def test_every_write_is_synchronous(tmp_path):
    book = Notebook(tmp_path)
    book.add("demo", 1, SAID, "loose off")
    assert book.store._connection.execute("PRAGMA synchronous").fetchone()[0] == 2
    assert book.store._connection.execute("PRAGMA journal_mode").fetchone()[0] == "wal"


def test_two_programs_that_write_at_once_lose_nothing(tmp_path):
    code = (
        "import sys; from pathlib import Path; from assistant.notebook.book import Notebook;"
        "book = Notebook(Path(sys.argv[1]));"
        "[book.add('demo', 1, 'said', f'{sys.argv[2]} {n}') or sys.exit(3) for n in range(200)]"
    )
    children = [subprocess.Popen([sys.executable, "-c", code, str(tmp_path), who], cwd=ROOT) for who in "ab"]
    assert [child.wait(timeout=60) for child in children] == [0, 0]
    texts = [one.text for one in Notebook(tmp_path).entries()]
    assert sorted(texts) == sorted(f"{who} {number}" for who in "ab" for number in range(200))


def test_a_full_disk_is_told_and_what_was_kept_stays(tmp_path):
    book = Notebook(tmp_path)
    book.add("demo", 1, SAID, "loose off")
    pages = book.store._connection.execute("PRAGMA page_count").fetchone()[0]
    book.store._connection.execute(f"PRAGMA max_page_count={pages}")
    assert book.add("demo", 1, SAID, "x" * 100_000) is None
    assert not book.is_kept
    book.store.close()
    assert [one.text for one in Notebook(tmp_path).entries()] == ["loose off"]


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit on the size of files")
def test_a_disk_that_takes_no_more_says_so_to_a_program_of_its_own(tmp_path):
    def limit():
        resource.setrlimit(resource.RLIMIT_FSIZE, (150_000, 150_000))

    code = (
        "import signal, sys; from pathlib import Path; from assistant.notebook.book import Notebook;"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN);"
        "book = Notebook(Path(sys.argv[1]));"
        "kept = [n for n in range(60) if book.add('demo', 1, 'said', f'{n} ' + 'x' * 4000)];"
        "print(len(kept), book.is_kept)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)],
        cwd=ROOT,
        preexec_fn=limit,
        capture_output=True,
        text=True,
        check=True,
    )
    count, whole = done.stdout.split()
    assert whole == "False"
    assert 0 < int(count) < 60
    assert len(Notebook(tmp_path).entries()) == int(count)


@pytest.mark.parametrize("text", [b"", b"no database at all " * 100, b"SQLite format 3\x00" + b"\xff" * 5000])
def test_a_file_that_is_no_database_is_set_aside_and_a_new_one_begun(tmp_path, text):
    (tmp_path / FILE).write_bytes(text)
    book = Notebook(tmp_path)
    assert book.add("demo", 1, SAID, "loose off") is not None
    if text:
        assert book.set_aside.place.read_bytes() == text
    assert [one.text for one in book.entries()] == ["loose off"]
    assert book.is_kept


@pytest.mark.parametrize("share", [0.3, 0.5, 0.8])
def test_of_a_damaged_file_what_can_be_read_is_taken_over(tmp_path, share):
    path = filled(tmp_path)
    spoil(path, int(path.stat().st_size * share) // 4096 * 4096, 4096)
    book = Notebook(tmp_path)
    texts = [one.text for one in book.entries()]
    if book.set_aside is None:
        assert len(texts) == MANY  # the page held nothing but an index or was empty
    else:
        assert book.set_aside.saved == len(texts) > MANY // 2
        assert book.set_aside.place.exists()
    assert len(set(texts)) == len(texts)


def test_a_file_cut_in_half_is_set_aside_and_its_first_half_saved(tmp_path):
    path = filled(tmp_path)
    with path.open("r+b") as stream:
        stream.truncate(path.stat().st_size // 2)
    book = Notebook(tmp_path)
    book.entries()
    assert book.set_aside is not None
    assert 0 < book.set_aside.saved < MANY


def test_a_file_damaged_while_it_is_open_is_set_aside_and_the_entry_kept(tmp_path):
    path = filled(tmp_path)
    book = Notebook(tmp_path)
    assert len(book.entries()) == MANY
    book.store._connection.execute("PRAGMA cache_size=0")
    path.write_bytes(b"\x00" * path.stat().st_size)
    added = book.add("demo", 1, SAID, "tight in")
    assert added is None or "tight in" in [one.text for one in Notebook(tmp_path).entries()]
    assert book.is_kept is (added is not None)


def test_a_file_somebody_took_away_is_made_anew_and_nothing_goes_into_the_old_one(tmp_path):
    book = Notebook(tmp_path)
    book.add("demo", 1, SAID, "loose off")
    for path in tmp_path.glob(f"{FILE}*"):
        path.unlink()
    book.add("demo", 1, SAID, "tight in")
    assert [one.text for one in Notebook(tmp_path).entries()] == ["tight in"]


def test_a_file_of_a_later_form_is_left_alone(tmp_path):
    filled(tmp_path, 1)
    with closing(sqlite3.connect(tmp_path / FILE)) as connection:
        connection.execute(f"PRAGMA user_version={VERSION + 1}")
    book = Notebook(tmp_path)
    assert book.add("demo", 1, SAID, "tight in") is None
    assert book.set_aside is None
    assert not book.is_kept


def test_a_folder_that_cannot_be_made_keeps_nothing_and_says_so(tmp_path):
    (tmp_path / "file").write_text("")
    book = Notebook(tmp_path / "file")
    assert book.add("demo", 1, SAID, "loose off") is None
    assert book.entries() == ()
    assert not book.is_kept


def test_a_folder_in_the_place_of_the_file_is_no_notebook_and_stays(tmp_path):
    (tmp_path / FILE).mkdir()
    book = Notebook(tmp_path)
    assert book.add("demo", 1, SAID, "loose off") is None
    assert (tmp_path / FILE).is_dir()


def test_an_entry_taken_back_stays_and_is_not_listed(tmp_path):
    book = Notebook(tmp_path)
    number = book.add("demo", 1, SAID, "loose off")
    book.take_back(number)
    assert book.entries() == ()
    assert book.entries(gone=True)[0].gone
    book.take_back(number, gone=False)
    assert book.entry(number).text == "loose off"


def test_a_search_takes_signs_as_they_stand(tmp_path):
    book = Notebook(tmp_path)
    book.add("demo", 1, SAID, "loose off, 50 % throttle")
    book.add("demo", 1, SAID, "loose off, half throttle")
    assert [one.text for one in book.entries(words="% loose")] == ["loose off, 50 % throttle"]
    assert book.entries(words="' OR 1=1 --") == ()
    assert len(book.entries(words="THROTTLE")) == 2


def test_data_that_cannot_be_read_is_left_out(tmp_path):
    book = Notebook(tmp_path)
    for data in ("[" * 100_000, '{"setup": NaN', "3", "null"):
        book.store.write(
            ("INSERT INTO entries (car, talk, kind, text, data) VALUES ('demo', 1, ?, 'x', ?)", (TYPED, data))
        )
    assert [one.data for one in book.entries("demo", (TYPED,))] == [{}] * 4
