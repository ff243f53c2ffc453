"""Writes a JSON Schema for each kind of knowledge file, so that an editor can complete and explain while typing.

`python -m tests.generators.schemas` writes them to knowledge/schema; a test keeps them fresh.
Draft 7, which editors know best.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from assistant.rules.pack import base_folder
from assistant.rules.pack_files import KINDS

DRAFT = "http://json-schema.org/draft-07/schema#"


def make_schemas() -> dict[str, str]:
    """Make every schema: name of the file to its text."""
    return {f"{kind.replace('_', '-')}.json": _make(kind) for kind in KINDS}


def write_schemas(folder: Path) -> tuple[Path, ...]:
    """Write every schema into a folder and give the files."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, text in make_schemas().items():
        (folder / name).write_text(text, encoding="utf-8")
        written.append(folder / name)
    return tuple(written)


def _make(kind: str) -> str:
    model = KINDS[kind]
    schema: dict[str, Any] = {"$schema": DRAFT, **_plain(model.model_json_schema())}
    for name in model.as_written:  # the reader keeps what looks like a number as the text that was written
        schema["properties"][name]["type"] = ["string", "number"]
    return json.dumps(schema, indent=1, ensure_ascii=False, sort_keys=True) + "\n"


def _plain(found: Any) -> Any:
    """Put a schema into draft 7, where `$defs` is called definitions, and leave out what says nothing.

    Titles made from names say nothing; an empty value is refused by the reader, so null is not offered.
    """
    if isinstance(found, dict):
        kept = {name: value for name, value in found.items() if name != "title" or not isinstance(value, str)}
        if kept.get("default", "") is None:
            del kept["default"]
        if {"type": "null"} in kept.get("anyOf", ()):
            (only,) = (one for one in kept.pop("anyOf") if one != {"type": "null"})
            kept = {**only, **kept}
        return {("definitions" if name == "$defs" else name): _plain(value) for name, value in kept.items()}
    if isinstance(found, list):
        return [_plain(value) for value in found]
    if isinstance(found, str):
        return found.replace("#/$defs/", "#/definitions/")
    return found


if __name__ == "__main__":
    for path in write_schemas(base_folder().parent / "schema"):
        sys.stdout.write(f"{path.name}\n")
