"""`halfturn check` on what is no pack: a disk, a home folder, pipes, circles of links, endless and huge files."""

import json
import os
import time
from pathlib import Path

import pytest

from assistant.cli import main
from assistant.commands.packs import MOST_SHOWN
from assistant.rules.pack_files import MOST_FILES

MORE = "More may show then: the examples of a pack left out were not run."
COVER = "pack: ours\ntitle: Ours\nedition: 2026.1\nrule_format: 1\nbuilds_on: base\n"
SECONDS = 5
"""Of processor time; reading the base pack takes a tenth of it."""
pytestmark = pytest.mark.skipif(os.name == "nt", reason="links and pipes are made differently there")


@pytest.fixture
def check(monkeypatch, capsys):
    """`halfturn check` without the example cases, which have tests of their own."""
    monkeypatch.setattr("assistant.commands.packs.run_cases", lambda *_: ())

    def run_check(*words):
        began = time.process_time()
        code = main(["check", *map(str, words)])
        assert time.process_time() - began < SECONDS
        return code, capsys.readouterr().out

    return run_check


@pytest.fixture
def here(tmp_path, monkeypatch):
    """An empty folder to stand in; its own name is told in short."""
    monkeypatch.chdir(tmp_path)
    return Path()


@pytest.fixture
def pack(here):
    (here / "ours").mkdir()
    (here / "ours" / "pack.yaml").write_text(COVER, encoding="utf-8")
    return here / "ours"


def no_pack(folder, hint="write one with pack, title, edition and rule_format"):
    return (
        f"{folder}: this folder is no pack: it has no pack.yaml\n    {hint}\n"
        f"{folder}: note: this pack is left out: it has 1 problem\n1 fault to mend.\n{MORE}\n"
    )


@pytest.mark.parametrize("folder", ["/", "/proc", "/dev", "/usr"])
def test_a_whole_disk_is_told_in_four_lines(check, folder):
    assert check(folder) == (1, no_pack(folder))


def test_a_folder_without_a_cover_is_not_looked_through(check, here):
    os.mkfifo(here / "pipe.yaml")
    (here / "bad.yaml").write_text("symptom: [", encoding="utf-8")
    assert check(here) == (1, no_pack(here))


@pytest.mark.parametrize("name", ["Pack.yaml", "pack.yaml.txt", "PACK.YML"])
def test_a_cover_under_another_name_is_told(check, here, name):
    (here / name).write_text(COVER, encoding="utf-8")
    assert check(here) == (1, no_pack(here, f"rename {name} to pack.yaml"))


def test_the_folder_above_a_pack_points_to_it(check, pack):
    assert check(pack.parent) == (1, no_pack(pack.parent, "the folder ours in it is one; name that"))


def test_a_folder_called_pack_yaml_is_no_cover(check, here):
    (here / "pack.yaml").mkdir()
    assert check(here) == (1, no_pack(here))


def test_a_home_folder_with_a_cover_and_thousands_of_files_is_one_fault(check, pack):
    for number in range(MOST_FILES):
        (pack / f"{number}.txt").touch()
    said = f"{pack}: more than 2000 files stand here\n    is it a pack?\n"
    assert check(pack) == (
        1,
        f"{said}{pack}: note: this pack is left out: it has 1 problem\n1 fault to mend.\n{MORE}\n",
    )


def test_folders_without_end_are_one_fault_too(check, pack):
    for number in range(MOST_FILES):
        (pack / str(number)).mkdir()
    assert f"{pack}: more than 2000 files stand here" in check(pack)[1]


def test_of_many_faults_a_screen_is_shown_and_how_to_see_the_rest(check, pack):
    for number in range(300):
        (pack / f"{number}.txt").touch()
    (pack / "z.yaml").write_text("\n", encoding="utf-8")
    code, said = check(pack)
    assert code == 1
    assert said.count("this file is not read") == MOST_SHOWN - 1
    assert f"{pack}/z.yaml: the file is empty" in said  # what is said once goes before what is said 300 times
    assert said.endswith(
        f"{pack}: note: this pack is left out: it has 301 problems\n"
        "Not shown: 281 more faults; --all shows everything.\n301 faults to mend.\n"
        f"{MORE}\n"
    )
    every = check(pack, "--all")[1]
    assert every.count("this file is not read") == 300
    assert "Not shown" not in every
    assert len(json.loads(check(pack, "--json")[1])["faults"]) == 301


def test_as_many_faults_as_a_screen_takes_are_all_shown(check, pack):
    for number in range(MOST_SHOWN):
        (pack / f"{number}.txt").touch()
    said = check(pack)[1]
    assert said.count("this file is not read") == MOST_SHOWN
    assert "Not shown" not in said


def test_faults_are_shown_in_the_order_of_their_files(check, pack):
    for number in range(30):
        (pack / f"{number:02}.txt").touch()
    (pack / "05.yaml").write_text("\n", encoding="utf-8")
    shown = [line for line in check(pack)[1].splitlines() if line.startswith(str(pack / "0"))]
    assert shown == sorted(shown)


def test_circles_of_links_end(check, pack):
    (pack / "a.yaml").symlink_to("b.yaml")
    (pack / "b.yaml").symlink_to("a.yaml")
    (pack / "round").symlink_to(".")
    assert check(pack)[1].startswith(
        f"{pack}/a.yaml: this link leads round in a circle\n    copy the file here\n"
        f"{pack}/b.yaml: this link leads round in a circle\n    copy the file here\n"
        f"{pack}/round: this link to a folder is not followed\n    copy the folder here\n"
    )


def test_a_file_of_two_gigabytes_is_named_and_not_read(check, pack):
    for name in ("huge.yaml", "film.mp4"):
        with (pack / name).open("wb") as stream:
            stream.truncate(2 * 1024**3)  # takes no room on the disk
    assert check(pack)[1].startswith(
        f"{pack}/film.mp4: this file is not read\n    a pack holds .yaml files only; move it elsewhere\n"
        f"{pack}/huge.yaml: the file is larger than 1 MB\n    split it into several files\n"
    )


def test_a_pipe_and_an_endless_device_in_place_of_the_cover_are_not_opened(check, here):
    os.mkfifo(here / "pack.yaml")
    said = "pack.yaml: this is not an ordinary file\n    check the name and the folder it stands in\n"
    assert check(here)[1].startswith(said)
    (here / "pack.yaml").unlink()
    (here / "pack.yaml").symlink_to("/dev/zero")
    said = "pack.yaml: this link leads out of the pack\n    copy the file here\n"
    assert check(here)[1].startswith(said)


def test_a_folder_one_may_not_look_into_is_a_fault(check, pack, monkeypatch):
    (pack / "closed").mkdir()
    scan = os.scandir

    def refuse(path):
        if str(path).endswith("closed"):
            raise PermissionError(13, "Permission denied")
        return scan(path)

    monkeypatch.setattr("os.scandir", refuse)
    assert check(pack)[1].startswith(
        f"{pack}/closed: this folder cannot be looked into: Permission denied\n    check who may read it\n"
    )


def test_a_pack_of_the_base_alone_has_nothing_to_hide(check):
    code, said = check()
    assert code == 0
    assert said.endswith(": no fault.\n")
