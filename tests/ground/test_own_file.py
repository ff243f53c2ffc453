"""A file of the user's own is replaced whole or not at all, and keeps its line ends, its rights and the link to it."""

import pytest

from assistant.ground.folders import ChangedMeanwhileError, read_exactly, replace_own


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "case.yaml"
    path.write_bytes(b"old\r\n")
    return path


def names(folder):
    return sorted(one.name for one in folder.iterdir())


def test_it_is_read_letter_by_letter_and_the_old_one_can_be_kept(file, tmp_path):
    file.chmod(0o640)
    assert read_exactly(file) == "old\r\n"
    assert replace_own(file, "old\r\n", "new\r\n", lambda trial: trial.read_bytes() == b"new\r\n")
    assert file.read_bytes() == b"new\r\n"
    assert file.stat().st_mode & 0o777 == 0o640
    assert names(tmp_path) == ["case.yaml"]


def test_a_link_goes_on_leading_to_it(file, tmp_path):
    link = tmp_path / "link.yaml"
    link.symlink_to(file)
    assert replace_own(link, "old\r\n", "new\n", lambda _: True)
    assert link.is_symlink()
    assert file.read_bytes() == b"new\n"


def test_what_does_not_read_back_right_is_not_put_in_place(file, tmp_path):
    assert not replace_own(file, "old\r\n", "new\n", lambda _: False)
    assert file.read_bytes() == b"old\r\n"
    assert names(tmp_path) == ["case.yaml"]


def test_a_file_that_changed_while_the_trial_was_read_is_left_as_it_is_now(file, tmp_path):
    def change(_):
        file.write_text("theirs\n")
        return True

    with pytest.raises(ChangedMeanwhileError):
        replace_own(file, "old\r\n", "new\n", change)
    assert file.read_text() == "theirs\n"
    assert names(tmp_path) == ["case.yaml"]


def test_a_file_its_owner_made_read_only_is_left_alone(file, tmp_path):
    file.chmod(0o444)
    with pytest.raises(PermissionError):
        replace_own(file, "old\r\n", "new\n", lambda _: True)
    assert file.read_bytes() == b"old\r\n"
    assert names(tmp_path) == ["case.yaml"]


def test_a_file_that_is_gone_is_not_made_anew(file, tmp_path):
    file.unlink()
    with pytest.raises(FileNotFoundError):
        replace_own(file, "old\r\n", "new\n", lambda _: True)
    assert names(tmp_path) == []


def test_a_stop_while_the_trial_is_read_leaves_nothing_behind(file, tmp_path):
    def stop(_):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        replace_own(file, "old\r\n", "new\n", stop)
    assert file.read_bytes() == b"old\r\n"
    assert names(tmp_path) == ["case.yaml"]
