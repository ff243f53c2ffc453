"""Full disks, closed streams, no home, names no system takes: a message and an exit code, nothing half-written."""

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.car.files import find_case
from assistant.cli import main
from assistant.ground.folders import is_file, is_folder, user_folder, write_all, write_whole
from assistant.ground.problems import LONGEST, BadInput
from assistant.notebook.store import writable_folder

NO_POSIX = pytest.mark.skipif(os.name == "nt", reason="needs a POSIX system")
LONG_NAME = "x" * 5000


@pytest.fixture
def disk_is_full(monkeypatch):
    def refuse(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", refuse)


def said_by(capsys, words):
    code = main(words)
    return code, capsys.readouterr().err


def test_a_full_disk_leaves_the_old_file_and_nothing_else(tmp_path, disk_is_full):
    file = tmp_path / "setup.yaml"
    file.write_text("old", encoding="utf-8")
    with pytest.raises(OSError, match="No space left"):
        write_whole(file, "new")
    assert file.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [file]


def test_of_files_that_belong_together_all_are_written_or_none(tmp_path):
    (tmp_path / "b.yaml").mkdir()
    with pytest.raises(OSError, match="directory"):
        write_all({tmp_path / "a.yaml": "a", tmp_path / "b.yaml": "b"})
    assert sorted(path.name for path in tmp_path.iterdir()) == ["b.yaml"]


@pytest.mark.usefixtures("disk_is_full")
def test_a_page_that_does_not_fit_is_said_and_not_half_there(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert said_by(capsys, ["new", "case", "mine", "--starter"])[0] == 2
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


@NO_POSIX
def test_a_device_is_written_to_and_never_replaced():
    write_whole(Path("/dev/null"), "x")
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)


@NO_POSIX
def test_a_link_stays_a_link_and_its_target_is_written(tmp_path):
    (tmp_path / "there.yaml").write_text("old", encoding="utf-8")
    (tmp_path / "link.yaml").symlink_to(tmp_path / "there.yaml")
    write_whole(tmp_path / "link.yaml", "new")
    assert (tmp_path / "link.yaml").is_symlink()
    assert (tmp_path / "there.yaml").read_text(encoding="utf-8") == "new"


@pytest.mark.parametrize("chosen", ["~nobody-of-that-name/x", "/dev/null/x", LONG_NAME])
def test_a_folder_nobody_can_make_is_no_error(monkeypatch, chosen):
    monkeypatch.setenv("HALFTURN_FOLDER", chosen)
    assert writable_folder(user_folder()) is None


def test_a_person_without_a_home_has_no_folder_and_no_error(monkeypatch):
    def nobody(_):
        raise RuntimeError("Could not determine home directory.")

    monkeypatch.setattr(Path, "expanduser", nobody)
    assert user_folder({}, "linux") == Path(os.devnull) / "halfturn" / ".local" / "share" / "halfturn"


def test_a_name_no_system_takes_is_a_file_that_is_not_there():
    assert not is_file(LONG_NAME)
    assert not is_folder("a\0b")
    with pytest.raises(BadInput, match="there is no such case file"):
        find_case(LONG_NAME)


@NO_POSIX
@pytest.mark.parametrize("closed", ["0<&-", "1>&-", "2>&-", "0<&- 1>&- 2>&-"])
def test_a_closed_standard_stream_is_no_error(closed, tmp_path):
    command = f'exec {closed}; "{sys.executable}" -m assistant help'
    root = Path(__file__).parents[2]
    done = subprocess.run(["sh", "-c", command], cwd=root, capture_output=True, text=True, timeout=20, check=False)
    assert done.returncode == 0
    assert done.stderr == ""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_an_output_with_no_room_says_so():
    root = Path(__file__).parents[2]
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "assistant", "help"],
            cwd=root,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=20,
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr == "the output cannot be written: No space left on device\n"


@NO_POSIX
def test_a_device_is_no_run_log(capsys):
    code, said = said_by(capsys, ["calibrate", "demo", "/dev/zero"])
    assert code == 2
    assert said == "/dev/zero: this is not an ordinary file\n    check the name and the folder it stands in\n"


@pytest.mark.parametrize(
    "words",
    [
        ["forecast", LONG_NAME * 20],
        ["try", "demo", LONG_NAME * 20 + "=5"],
        ["forecast", "demo", "--laps", "9" * 100_000],
        ["forecast", "demo", "--stop", LONG_NAME * 20],
        ["help", LONG_NAME * 20],
        ["new", "cause", LONG_NAME],
    ],
)
def test_a_message_does_not_repeat_all_of_what_was_typed(words, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, said = said_by(capsys, words)
    assert code == 2
    assert "Traceback" not in said
    assert all(len(row) < 3 * LONGEST for row in said.split("\n"))
