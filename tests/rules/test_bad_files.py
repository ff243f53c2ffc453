"""Each file in tests/bad_files has one mistake (or a few) and, beside it, the exact message a person must see.

`python -m tests.rules.test_bad_files` writes the messages anew; read each change before keeping it.
"""

from pathlib import Path

import pytest
import yaml

from assistant.ground.problems import BadInput
from assistant.ground.read_model import build
from assistant.ground.yaml_file import parse_yaml, read_text
from assistant.rules.pack_files import KINDS, find_kind

FOLDER = Path(__file__).parent.parent / "bad_files"
FILES = sorted(FOLDER.glob("*.yaml"))
LOADERS = [yaml.SafeLoader, *([yaml.CSafeLoader] if yaml.__with_libyaml__ else [])]


def message_of(path, loader):
    try:
        document = parse_yaml(read_text(path, path.name), path.name, loader=loader)
        build(KINDS[find_kind(document)], document)
    except BadInput as bad:
        return str(bad) + "\n"
    return "no mistake was found\n"


@pytest.mark.parametrize("loader", LOADERS, ids=lambda loader: loader.__name__)
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_bad_file_says_what_is_wrong(path, loader):
    assert message_of(path, loader) == path.with_suffix(".txt").read_text(encoding="utf-8")


def test_no_bad_file_passes():
    assert not [path.stem for path in FILES if "no mistake" in path.with_suffix(".txt").read_text(encoding="utf-8")]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_message_has_no_word_of_the_parser_or_of_pydantic(path):
    rows = path.with_suffix(".txt").read_text(encoding="utf-8").lower().splitlines()
    said = " ".join(row for row in rows if not row.startswith("    ") or "^" in row)
    for word in (
        "mapping",
        "scalar",
        "sequence",
        "pydantic",
        "validation",
        "nonetype",
        "str ",
        "dict",
        "token",
        "flow",
    ):
        assert word not in said


if __name__ == "__main__":
    for file in FILES:
        file.with_suffix(".txt").write_text(message_of(file, LOADERS[-1]), encoding="utf-8")
