"""Where files are looked for, on each platform and from source or installed."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.ground import folders
from assistant.ground.folders import demo_folder, knowledge_folder, user_folder


def test_the_knowledge_is_found_beside_the_package_in_a_source_tree():
    assert knowledge_folder().name == "knowledge"
    assert (demo_folder() / "car.yaml").is_file()


def test_the_knowledge_inside_an_installed_package_comes_first(monkeypatch, tmp_path):
    package = tmp_path / "assistant"
    (package / "knowledge").mkdir(parents=True)
    (tmp_path / "knowledge").mkdir()
    monkeypatch.setattr(folders, "__file__", str(package / "ground" / "folders.py"))
    assert knowledge_folder() == package / "knowledge"


@pytest.mark.parametrize(
    ("environ", "platform", "expected"),
    [
        ({"HALFTURN_FOLDER": "/here"}, "linux", Path("/here")),
        ({"XDG_DATA_HOME": "/data"}, "linux", Path("/data/halfturn")),
        ({"XDG_DATA_HOME": "not/absolute"}, "linux", Path.home() / ".local/share/halfturn"),
        ({}, "linux", Path.home() / ".local/share/halfturn"),
        ({}, "darwin", Path.home() / "Library/Application Support/halfturn"),
        ({"LOCALAPPDATA": "/local"}, "win32", Path("/local/halfturn")),
        ({}, "win32", Path.home() / "AppData/Local/halfturn"),
    ],
)
def test_the_users_folder_follows_the_platforms_rule(environ, platform, expected):
    assert user_folder(environ, platform) == expected
