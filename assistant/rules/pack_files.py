"""Reads the files of one pack folder, each by its own model; knows nothing of what they say to one another.

Every mistake becomes a problem: a stray file, a file whose name is not that of its content, two files of one name.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path

from pydantic import Field, create_model

from assistant.ground.folders import is_file, is_folder, is_there
from assistant.ground.names import did_you_mean, nearest
from assistant.ground.problems import BadInput, Document, KeyPath, Problem
from assistant.ground.read_model import FileBlock, build
from assistant.ground.yaml_file import LARGEST_FILE, read_yaml
from assistant.rules.knowledge import Origin
from assistant.rules.models import (
    Caution,
    Driving,
    GlossaryEntry,
    Id,
    Lever,
    NotUsedFile,
    PackFile,
    PracticeFile,
    Source,
    SourceKey,
    TireRule,
    Weights,
)
from assistant.rules.models_symptom import CasesFile, Cause, ChangesFile, PhrasesFile, Question, Symptom


def _file_of(kind: str, key: object, block: type[FileBlock], about: str) -> type[FileBlock]:
    many = (dict[key, block], Field(min_length=1))  # type: ignore[valid-type]
    name = "".join(word.title() for word in kind.split("_")) + "File"
    return create_model(name, __base__=FileBlock, __doc__=about, **{kind: many})  # type: ignore[call-overload, no-any-return]


KINDS: dict[str, type[FileBlock]] = {
    "pack": PackFile,
    "sources": _file_of("sources", SourceKey, Source, "All sources of a pack, by key."),
    "cautions": _file_of("cautions", Id, Caution, "All cautions, by key."),
    "glossary": _file_of("glossary", str, GlossaryEntry, "Words explained."),
    "practice": PracticeFile,
    "not_used": NotUsedFile,
    "ranking": Weights,
    "lever": Lever,
    "symptom": Symptom,
    "cases_for": CasesFile,
    "changes_to": ChangesFile,
    "driving": Driving,
    "cause": Cause,
    "questions": _file_of("questions", Id, Question, "The questions of the interview, by id."),
    "phrases": PhrasesFile,
    "tire_reading": _file_of("tire_reading", Id, TireRule, "All rules of reading tires, by key."),
}
"""First name in a file to the model of such a file."""
NAMED = ("pack", "ranking", "lever", "symptom", "cases_for", "changes_to", "driving", "cause")
"""Kinds that hold one thing, whose name stands in the first line; the file is called after it."""
SHELVED = ("sources", "cautions", "glossary", "questions", "tire_reading")
"""Kinds that hold many things by name."""
MOST_FILES = 2_000
"""More files and folders than this are no pack but a wrong folder."""
LARGEST_PACK = 20_000_000
"""Bytes of all files together; the base pack is a fortieth of it."""
_COVERS = ("pack.yaml", "pack.yml")
_ENDINGS = (".yaml", ".yml")
_LEFT_ALONE = ("README.md", "README.txt", "LICENSE")


@dataclass(frozen=True)
class Loaded:
    """One file that could be read. kind: its first name. name: what stands there, for files that hold one thing."""

    kind: str
    name: str
    block: FileBlock
    document: Document
    pack: str = ""

    def origin(self, path: KeyPath, note: str = "") -> Origin:
        """Say where something of it is written."""
        return Origin(self.pack, self.document.file, self.document.place(path)[0], note)


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
    """Read a pack. Gives what could be read, None without a cover, and every problem found.

    A folder that is no pack is not looked through: it may be a whole disk.
    """
    top = Path(folder)
    shown = str(folder)
    if not is_folder(top):
        return None, [Problem(shown, 0, 0, "there is no such folder", "name a folder that holds a pack.yaml")]
    covers = [name for name in _COVERS if is_there(top / name) and not is_folder(top / name)]
    if not covers:
        return None, [Problem(shown, 0, 0, "this folder is no pack: it has no pack.yaml", _find_cover_elsewhere(top))]
    problems: list[Problem] = []
    try:
        paths = list(_walk(top, problems))
        _check_size(paths, shown)
    except BadInput as bad:
        return None, list(bad.problems)
    files: list[Loaded] = []
    for path in paths:
        try:
            files.append(_read_file(path, str(Path(shown) / path.relative_to(top))))
        except BadInput as bad:
            problems.extend(bad.problems)
    problems.extend(_find_doubles(files))
    cover = next((one.block for one in files if isinstance(one.block, PackFile)), None)
    if cover is None:
        return None, sorted(problems)
    return Pack(shown, cover, tuple(replace(one, pack=cover.pack) for one in files)), sorted(problems)


def _find_cover_elsewhere(top: Path) -> str:
    """Say what was probably meant: a cover under another name, or a folder in this one."""
    with suppress(OSError), os.scandir(top) as found:
        names = sorted(one.name for one in islice(found, MOST_FILES))
        named = [name for name in names if name.lower().removesuffix(".txt") in _COVERS]
        renamed = next((name for name in named if is_file(top / name)), None)
        if renamed is not None:
            return f"rename {renamed} to pack.yaml"
        inside = next((name for name in names if any(is_file(top / name / cover) for cover in _COVERS)), None)
        if inside is not None:
            return f"the folder {inside} in it is one; name that"
    return "write one with pack, title, edition and rule_format"


def _check_size(paths: Sequence[Path], shown: str) -> None:
    """Raise BadInput when nobody would want to read so much; one huge file is refused when its turn comes."""
    if sum(min(path.stat().st_size, LARGEST_FILE) for path in paths if is_file(path)) > LARGEST_PACK:
        raise BadInput(Problem(shown, 0, 0, "all files together are larger than 20 MB", "is it a pack?"))


def _walk(top: Path, problems: list[Problem]) -> Iterator[Path]:
    """Give the files to read, in order; report what does not belong. Raises BadInput when there is no end of them."""
    inside, left, waiting = top.resolve(), MOST_FILES, [top]
    while waiting:
        folder = waiting.pop()
        try:
            with os.scandir(folder) as found:
                entries = sorted(islice(found, left + 1), key=lambda one: one.name)
        except OSError as error:
            says = f"this folder cannot be looked into: {error.strerror}"
            problems.append(Problem(str(folder), 0, 0, says, "check who may read it"))
            continue
        left -= len(entries)
        if left < 0:
            says = f"more than {MOST_FILES} files stand here"
            raise BadInput(Problem(str(top), 0, 0, says, "is it a pack?"))
        seen = [one for one in entries if not one.name.startswith(".")]
        waiting += [Path(one.path) for one in reversed(seen) if one.is_dir(follow_symlinks=False)]
        for path in [Path(one.path) for one in seen if not one.is_dir(follow_symlinks=False)]:
            if wrong := _find_stray(path, inside):
                problems.append(Problem(str(path), 0, 0, *wrong))
            elif path.name not in _LEFT_ALONE:
                yield path


def _find_stray(path: Path, inside: Path) -> tuple[str, str] | None:
    if path.is_symlink():
        try:
            target = path.resolve()
        except (OSError, RuntimeError):  # Python 3.11 and 3.12 raise RuntimeError
            return "this link leads round in a circle", "copy the file here"
        if not target.is_relative_to(inside):
            return "this link leads out of the pack", "copy the file here"
    if path.is_symlink() and path.is_dir():
        return "this link to a folder is not followed", "copy the folder here"
    if path.name in _LEFT_ALONE or path.suffix in _ENDINGS:
        return None
    if path.suffix.lower() in _ENDINGS:
        return "this file is not read", "end its name in .yaml, in small letters"
    return "this file is not read", "a pack holds .yaml files only; move it elsewhere"


def _read_file(path: Path, shown: str) -> Loaded:
    document = read_yaml(path, shown)
    kind = find_kind(document)
    block = build(KINDS[kind], document)
    name = str(getattr(block, kind)) if kind in NAMED else ""
    if wrong := _check_file_name(path, kind, name):
        raise BadInput(document.problem((kind,), *wrong))
    return Loaded(kind, name, block, document)


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
    says, hint = f"'{name}' stands in a file called {path.name}", f"call the file {name_file(kind, name)}.yaml"
    called = path.name.partition(".")[0].replace("-", " " if " " in name else "-")
    return says, f"did you mean '{called}'? Else {hint}" if nearest(name, (called,)) else hint


def name_file(kind: str, name: str) -> str:
    """Give the name of a file, without its ending: "loose off" stands in loose-off."""
    plain = name.replace(" ", "-")
    return plain + {"cases_for": ".cases", "changes_to": ".changes"}.get(kind, "")


def _find_doubles(files: list[Loaded]) -> Iterator[Problem]:
    first: dict[tuple[str, str], Loaded] = {}
    for loaded in files:
        if loaded.kind not in NAMED:
            continue
        name = "" if loaded.kind == "ranking" else loaded.name
        earlier = first.setdefault((loaded.kind, name), loaded)
        if earlier is not loaded:
            says = f"'{name or loaded.kind}' is written twice in this pack"
            yield loaded.document.problem((loaded.kind,), says, f"first in {earlier.document.file}; keep one")
