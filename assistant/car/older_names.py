"""Reads a file of the car in which names stand as they were spelled once, as if it had those that count now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from assistant.ground.yaml_file import Data, Document, KeyPath, read_yaml

OLDER_NAMES = {
    "tyre": "tire",
    "dampers": "shocks",
    "damper ratio": "shock ratio",
    "damper base": "shock base",
    "off the centreline": "off the centerline",
    "front bar preload": "bar screw",
    "roll centre": "roll center",
}
"""The older spelling of a name to the newer one. Blocks of levers by the kind of work are in `lever_rows`."""
FREE_BLOCKS = ("answers", "own levers")
"""Blocks whose names are the user's own affair."""
T = TypeVar("T")


def read_document(path: Path | str) -> Document:
    """Read a YAML file of the car; its problems stand where the older names are."""
    return with_newer_names(read_yaml(path))


def with_newer_names(document: Document) -> Document:
    """Return a document as if it had been written with the names that count now."""
    if OLDER_NAMES.keys().isdisjoint(name for key in document.keys for name in key):
        return document
    return replace(
        document,
        data=_renamed(document.data, ()),
        places=_moved(document.places),
        keys=_moved(document.keys),
        written=_moved(document.written),
        empty=tuple(newer_path(path) for path in document.empty),
    )


def _renamed(data: Data, path: KeyPath) -> Data:
    """Rename inside blocks and lists; where both names stand the older one stays, and is refused later."""
    if isinstance(data, list):
        return [_renamed(one, (*path, at)) for at, one in enumerate(data)]
    if not isinstance(data, dict):
        return data
    names = {name: newer_path((*path, name))[-1] for name in data}
    return {name if new in data else str(new): _renamed(data[name], (*path, name)) for name, new in names.items()}


def _moved(found: Mapping[KeyPath, T]) -> dict[KeyPath, T]:
    return {path if newer_path(path) in found else newer_path(path): one for path, one in found.items()}


def newer_path(path: KeyPath) -> KeyPath:
    """Spell a path with the names that count now."""
    if path[:1] and path[0] in FREE_BLOCKS:
        return path
    return tuple(OLDER_NAMES.get(part, part) if isinstance(part, str) else part for part in path)
