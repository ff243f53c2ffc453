"""Reads the files of one pack folder, each by its own model; knows nothing of what they say to one another.

Every mistake becomes a problem: a stray file, a file whose name is not that of its content, two files of one name.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from assistant.folders import is_file, is_folder
from assistant.problems import BadInput, Problem
from assistant.reading.blocks import Block
from assistant.reading.document import Document
from assistant.reading.explain import build
from assistant.reading.yaml_file import read_yaml
from assistant.rules.models import KINDS, NAMED, PackFile
from assistant.words import did_you_mean

MOST_FILES = 2_000
"""More files than this are no pack but a wrong folder."""
LARGEST_PACK = 20_000_000
"""Bytes of all files together; the base pack is a fortieth of it."""
_ENDINGS = (".yaml", ".yml")
_LEFT_ALONE = ("README.md", "README.txt", "LICENSE", "LICENCE")


@dataclass(frozen=True)
class Loaded:
    """One file that could be read. kind: its first name. name: what stands there, for files that hold one thing."""

    kind: str
    name: str
    block: Block
    document: Document
    pack: str


@dataclass(frozen=True)
class Pack:
    """One folder of knowledge."""

    folder: str
    cover: PackFile
    files: tuple[Loaded, ...]

    @property
    def id(self) -> str:
        """The name of the pack."""
        return self.cover.pack


def read_pack(folder: Path | str) -> tuple[Pack | None, list[Problem]]:
    """Read a pack. Gives what could be read, None without a cover, and every problem found."""
    top = Path(folder)
    shown = str(folder)
    if not is_folder(top):
        return None, [Problem(shown, 0, 0, "there is no such folder", "name a folder that holds a pack.yaml")]
    problems: list[Problem] = []
    cover = _read_cover(top, shown, problems)
    files: list[Loaded] = []
    size = 0
    for path in _walk(top, problems):
        size += path.stat().st_size if is_file(path) else 0
        if size > LARGEST_PACK:
            problems.append(Problem(shown, 0, 0, "all files together are larger than 20 MB", "is it a pack?"))
            break
        try:
            files.append(_read_file(path, str(Path(shown) / path.relative_to(top)), cover))
        except BadInput as bad:
            problems.extend(bad.problems)
    problems.extend(_find_doubles(files))
    return (Pack(shown, cover, tuple(files)) if cover is not None else None), sorted(problems)


def _read_cover(top: Path, shown: str, problems: list[Problem]) -> PackFile | None:
    found = [name for name in ("pack.yaml", "pack.yml") if is_file(top / name)]
    if not found:
        hint = "write one with pack, title, edition and rule_format"
        problems.append(Problem(shown, 0, 0, "this folder is no pack: it has no pack.yaml", hint))
        return None
    try:
        return build(PackFile, read_yaml(top / found[0], str(Path(shown) / found[0])))
    except BadInput:
        return None  # reported when its turn comes


def _walk(top: Path, problems: list[Problem]) -> Iterator[Path]:
    """Give the files to read, in order; report what does not belong."""
    count = 0
    inside = top.resolve()
    for folder, folders, names in os.walk(top):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        links = [name for name in folders if (Path(folder) / name).is_symlink()]
        for name in sorted(name for name in (*names, *links) if not name.startswith(".")):
            path = Path(folder) / name
            count += 1
            if count > MOST_FILES:
                problems.append(Problem(str(top), 0, 0, f"more than {MOST_FILES} files stand here", "is it a pack?"))
                return
            if wrong := _find_stray(path, inside):
                problems.append(Problem(str(path), 0, 0, *wrong))
            elif name not in _LEFT_ALONE:
                yield path


def _find_stray(path: Path, inside: Path) -> tuple[str, str] | None:
    if path.is_symlink() and not path.resolve().is_relative_to(inside):
        return "this link leads out of the pack", "copy the file here"
    if path.is_symlink() and path.is_dir():
        return "this link to a folder is not followed", "copy the folder here"
    if path.name in _LEFT_ALONE or path.suffix in _ENDINGS:
        return None
    if path.suffix.lower() in _ENDINGS:
        return "this file is not read", "end its name in .yaml, in small letters"
    return "this file is not read", "a pack holds .yaml files only; move it elsewhere"


def _read_file(path: Path, shown: str, cover: PackFile | None) -> Loaded:
    document = read_yaml(path, shown)
    kind = find_kind(document)
    block = build(KINDS[kind], document)
    name = str(getattr(block, kind)) if kind in NAMED else ""
    if wrong := _check_file_name(path, kind, name):
        raise BadInput(document.problem((kind,), *wrong))
    return Loaded(kind, name, block, document, cover.pack if cover is not None else "")


def find_kind(document: Document) -> str:
    """Tell the kind of a file by its first name. Raises BadInput when it has none."""
    kind = next(iter(document.data), "") if isinstance(document.data, dict) else ""
    if kind not in KINDS:
        raise BadInput(_say_unknown_kind(document, kind))
    return kind


def _say_unknown_kind(document: Document, kind: str) -> Problem:
    if not kind:
        return document.problem((), "this file must be lines of 'name: value'", "the first name says its kind")
    misplaced = next((one for one in KINDS if isinstance(document.data, dict) and one in document.data), None)
    if misplaced is not None:
        hint = f"put the line '{misplaced}: ...' first"
        return document.problem(
            (kind,), f"the first line must say what kind of file this is, not '{kind}'", hint, key=True
        )
    return document.problem((kind,), f"no file starts with '{kind}'", did_you_mean(kind, KINDS), key=True)


def _check_file_name(path: Path, kind: str, name: str) -> tuple[str, str] | None:
    """A file is called after what it holds, so that it can be found."""
    if kind == "pack" and path.stem != "pack":
        return "a second cover of the pack", "keep pack.yaml alone"
    if kind not in NAMED or kind in {"pack", "ranking"}:
        return None
    wanted = {name_file(kind, name)}
    if kind == "changes_to":
        wanted.add(name_file("symptom", name))
    if path.name.removesuffix(path.suffix) in wanted:
        return None
    return f"'{name}' stands in a file called {path.name}", f"call the file {name_file(kind, name)}.yaml"


def name_file(kind: str, name: str) -> str:
    """Give the name of a file, without its ending: "loose off" stands in loose-off."""
    plain = name.replace(" ", "-")
    return plain + {"cases_for": ".cases", "changes_to": ".changes"}.get(kind, "")


def _find_doubles(files: list[Loaded]) -> Iterator[Problem]:
    """Find files that hold the same thing as another one of the pack."""
    first: dict[tuple[str, str], Loaded] = {}
    for loaded in files:
        if loaded.kind not in NAMED:
            continue
        name = "" if loaded.kind == "ranking" else loaded.name
        earlier = first.setdefault((loaded.kind, name), loaded)
        if earlier is not loaded:
            says = f"'{name or loaded.kind}' is written twice in this pack"
            yield loaded.document.problem((loaded.kind,), says, f"first in {earlier.document.file}; keep one")
