"""Driven cars on disk: what is not whole, not of this key or not of this program is made again."""

import os

import numpy as np
import pytest

from assistant.belief import kept

ARRAYS = {"a": np.arange(12.0).reshape(3, 4), "b": np.array([np.nan, 1.0])}


def test_what_is_kept_is_found_again_to_the_bit(tmp_path):
    kept.keep(tmp_path, "k", ARRAYS)
    found = kept.find(tmp_path, "k")
    assert found.keys() == ARRAYS.keys()
    for name, values in ARRAYS.items():
        np.testing.assert_array_equal(found[name], values)


def test_nothing_is_found_where_nothing_is_kept(tmp_path):
    assert kept.find(tmp_path, "k") is None
    assert kept.find(None, "k") is None
    kept.keep(None, "k", ARRAYS)


@pytest.mark.parametrize("left", range(0, 700, 23))
def test_a_torn_file_counts_as_missing(tmp_path, left):
    kept.keep(tmp_path, "k", ARRAYS)
    file = tmp_path / "k.npz"
    assert left < file.stat().st_size
    file.write_bytes(file.read_bytes()[:left])
    assert kept.find(tmp_path, "k") is None


def test_a_flipped_bit_is_found_out_or_changes_nothing(tmp_path):
    kept.keep(tmp_path, "k", ARRAYS)
    file = tmp_path / "k.npz"
    whole = file.read_bytes()
    for at in range(0, len(whole), 7):
        file.write_bytes(whole[:at] + bytes([whole[at] ^ 16]) + whole[at + 1 :])
        found = kept.find(tmp_path, "k")
        if found is not None:
            assert found.keys() <= ARRAYS.keys()
            for name, values in found.items():
                np.testing.assert_array_equal(values, ARRAYS[name])


def test_a_file_of_another_key_counts_as_missing(tmp_path):
    kept.keep(tmp_path, "k", ARRAYS)
    (tmp_path / "k.npz").rename(tmp_path / "other.npz")
    assert kept.find(tmp_path, "other") is None


def test_the_oldest_go_when_there_is_no_room(tmp_path, monkeypatch):
    for at, key in enumerate("abc"):
        kept.keep(tmp_path, key, ARRAYS)
        os.utime(tmp_path / f"{key}.npz", (at, at))
    size = (tmp_path / "a.npz").stat().st_size
    monkeypatch.setattr(kept, "MOST_BYTES", 2 * size + 10)
    kept.keep(tmp_path, "d", ARRAYS)
    kept.make_room(tmp_path)
    assert sorted(file.stem for file in tmp_path.iterdir()) == ["c", "d"]


def test_a_folder_that_is_only_linked_to_is_not_emptied(tmp_path, monkeypatch):
    kept.keep(tmp_path / "theirs", "a", ARRAYS)
    (tmp_path / "ours").symlink_to(tmp_path / "theirs")
    monkeypatch.setattr(kept, "MOST_BYTES", 0)
    kept.make_room(tmp_path / "ours")
    assert kept.find(tmp_path / "theirs", "a") is not None


def test_a_folder_that_takes_nothing_keeps_nothing(tmp_path):
    (tmp_path / "file").write_text("")
    kept.keep(tmp_path / "file", "k", ARRAYS)
    assert kept.find(tmp_path / "file", "k") is None


def test_keys_hang_on_content_and_on_the_code(monkeypatch):
    one = kept.key_of({"b": 1.0, "a": (1, 2)}, frozenset({"x", "y"}))
    assert kept.key_of({"a": (1, 2), "b": 1.0}, frozenset({"y", "x"})) == one
    assert kept.key_of({"a": (1, 2), "b": 1.0000001}, frozenset({"y", "x"})) != one
    monkeypatch.setattr(kept, "version", lambda: "another program")
    assert kept.key_of({"b": 1.0, "a": (1, 2)}, frozenset({"x", "y"})) != one
