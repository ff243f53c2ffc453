"""Every file of the packs that come with the program: no fault, and a first line by which an editor can help."""

import json
from pathlib import Path

import pytest

from tests.knowledge.packs import BASE, TEAM, checked_base, checked_team, files_of, name_of

FILES = [*files_of(BASE), *files_of(TEAM)]


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_a_file_of_the_packs_has_no_fault(path):
    checked = checked_base() if BASE in path.parents else checked_team()
    assert [one.text() for one in checked.faults if Path(one.file).resolve() == path.resolve()] == []


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_the_first_line_points_to_the_schema_of_the_files_kind(path):
    text = path.read_text(encoding="utf-8")
    kind = next(line for line in text.splitlines() if line and not line.startswith("#")).partition(":")[0]
    first = text.splitlines()[0]
    assert first.startswith("# yaml-language-server: $schema=")
    schema = (path.parent / first.partition("$schema=")[2]).resolve()
    assert schema.name == f"{kind.replace('_', '-')}.json"
    assert kind in json.loads(schema.read_text(encoding="utf-8"))["properties"]


def test_no_pack_has_a_fault_that_belongs_to_no_file():
    assert checked_base().faults == checked_team().faults == ()
    assert checked_team().notes == ()
