"""What a file may hold, told by its first key."""

from __future__ import annotations

from pathlib import Path

from assistant.problems import BadInput
from assistant.reading.document import Document
from assistant.reading.yaml_file import read_yaml

KINDS = ("car", "tire", "track", "rulebook", "setup", "case", "fit")


def first_key(document: Document) -> str:
    """Return the first name of a file, "" when it has none."""
    return next(iter(document.data), "") if isinstance(document.data, dict) else ""


def read_kind(kind: str, path: Path | str) -> Document:
    """Read a file and refuse one of another kind, which would give a page of unknown names."""
    document = read_yaml(path)
    first = first_key(document)
    if first != kind and first in KINDS:
        raise BadInput(document.problem((first,), f"this is a {first} file, a {kind} file is wanted", key=True))
    return document
