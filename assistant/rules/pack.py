"""Loads packs into one `Knowledge`, and checks them. The first pack is the base; the others are laid over it.

A mistake in the base pack stops the program, since nothing can be said without it. A later pack with mistakes is left
out with one note, and everything else goes on; `check_packs` shows all of its mistakes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

from assistant.ground.folders import is_file, is_folder, knowledge_folder
from assistant.ground.names import count_of, did_you_mean, plain_id
from assistant.ground.problems import BadInput, Problem
from assistant.ground.read_model import FileBlock
from assistant.ground.yaml_file import LARGEST_FILE, pause_collector
from assistant.rules.facts import Fact, facts_with_answers
from assistant.rules.knowledge import Knowledge, LoadedCase, Origin
from assistant.rules.layers import SHELF_KINDS, InPlace, Shelves, finish, lay_packs
from assistant.rules.pack_files import SHELVED, Pack, name_file, read_pack
from assistant.rules.references import check_references

_B = TypeVar("_B", bound=FileBlock)


@dataclass(frozen=True)
class Checked:
    """What a check found. faults: must be mended. notes: worth a look. knowledge: None when the base has faults."""

    faults: tuple[Problem, ...]
    notes: tuple[Problem, ...]
    knowledge: Knowledge | None


def base_folder() -> Path:
    """Find the base pack: inside an installed program, or beside the code."""
    return knowledge_folder() / "base"


def load_packs(folders: Sequence[Path | str] = ()) -> Knowledge:
    """Load packs, the base first; without folders the base alone. Raises BadInput when the base cannot be used."""
    checked = check_packs(folders or (base_folder(),))
    if checked.knowledge is None:
        raise BadInput(checked.faults)
    return checked.knowledge


def load_with(names: Sequence[str]) -> Knowledge:
    """Load the base pack with others over it. Raises BadInput for a folder that is not there."""
    return load_packs([base_folder(), *pack_folders(names)])


def pack_folders(names: Sequence[str]) -> list[Path]:
    """Return the folders. Raises BadInput for those that are not there."""
    missing = [name for name in names if not is_folder(name)]
    if missing:
        raise BadInput(
            [Problem(name, 0, 0, "there is no such folder", "the folder with a pack.yaml") for name in missing]
        )
    return [Path(name) for name in names]


def check_packs(folders: Sequence[Path | str]) -> Checked:
    """Read and check packs, the base first. A later pack with faults is left out of the knowledge."""
    with pause_collector():
        read = [(str(folder), *read_pack(folder)) for folder in folders]
        faults = {folder: list(problems) for folder, _, problems in read}
        packs = _refuse_doubles([(folder, pack) for folder, pack, _ in read if pack is not None], faults)
        shelves = _lay_and_check(list(packs.values()))
        _sort_problems(shelves, packs, faults)
        left_out = {folder for folder, problems in faults.items() if problems}
        knowledge = None
        while str(folders[0]) not in left_out:
            _leave_out_above(packs, left_out)
            standing = [pack for folder, pack in packs.items() if folder not in left_out]
            shelves = _lay_and_check(standing) if left_out else shelves
            if not shelves.refused:
                knowledge = build_knowledge(standing, shelves)
                break
            left_out |= {folder for folder, pack in packs.items() if pack.id in {one.pack for one in shelves.refused}}
    without = [folder for folder in map(str, folders[1:]) if folder in left_out]
    notes = (*(_say_left_out(folder, faults[folder]) for folder in without), *sorted(shelves.notes))
    all_faults = tuple(sorted({problem for problems in faults.values() for problem in problems}))
    return Checked(all_faults, notes, replace(knowledge, notes=notes) if knowledge is not None else None)


def _refuse_doubles(packs: Iterable[tuple[str, Pack]], faults: dict[str, list[Problem]]) -> dict[str, Pack]:
    """Keep packs of different names only, each on top of the one it builds on."""
    kept: dict[str, Pack] = {}
    for folder, pack in packs:
        names = [other.id for other in kept.values()]
        cover = next((loaded.document for loaded in pack.files if loaded.kind == "pack"), None)
        if cover is None:
            continue
        if pack.id in names:
            faults[folder].append(cover.problem(("pack",), f"two packs are called '{pack.id}'", "rename one"))
            continue
        below = pack.cover.builds_on
        if below is not None and below not in names:
            hint = did_you_mean(below, names) if names else "name the packs in order, the lowest first"
            faults[folder].append(cover.problem(("builds_on",), f"no pack '{below}' is below this one", hint))
        kept[folder] = pack
    return kept


def _leave_out_above(packs: dict[str, Pack], left_out: set[str]) -> None:
    """Leave out what builds on a pack that is left out."""
    for folder, pack in packs.items():  # in order, so that one pass is enough
        names = {one.id for other, one in packs.items() if other not in left_out}
        if pack.cover.builds_on is not None and pack.cover.builds_on not in names:
            left_out.add(folder)


def _lay_and_check(packs: Sequence[Pack]) -> Shelves:
    shelves = lay_packs(packs)
    check_references(shelves, packs, known_facts(shelves))
    return shelves


def _sort_problems(shelves: Shelves, packs: dict[str, Pack], faults: dict[str, list[Problem]]) -> None:
    """Put each problem to its pack, but none that only follows from a file that could not be read."""
    broken = {Path(problem.file).name.rpartition(".")[0] for problems in faults.values() for problem in problems}
    if set(map(plain_id, broken)) & {*SHELVED, "ranking"}:
        return
    folders = {pack.id: folder for folder, pack in packs.items()}
    broken.discard("")
    unread = _words_in({problem.file for problems in faults.values() for problem in problems})
    for one in shelves.refused:
        if broken.isdisjoint({name_file("", one.missing), one.missing.partition(" ")[0]}) and one.missing not in unread:
            faults[folders[one.pack]].append(one.problem)


def _words_in(files: Iterable[str]) -> set[str]:
    """Give every word of files with faults: what one of them names is not unknown."""
    read = [Path(name) for name in files if is_file(name) and Path(name).stat().st_size <= LARGEST_FILE]
    texts = (path.read_text(encoding="utf-8", errors="ignore") for path in read)
    return {word for text in texts for word in re.findall(r"[\w-]+", text)}


def _say_left_out(folder: str, problems: Sequence[Problem]) -> Problem:
    why = f"it has {count_of(len(problems), 'problem')}" if problems else "a pack it needs is left out"
    return Problem(folder, 0, 0, f"this pack is left out: {why}", f"'halfturn check {folder}' shows what is wrong")


def known_facts(shelves: Shelves) -> Mapping[str, Fact]:
    """Give every fact a condition may name, the answers to the packs' questions included."""
    asked = shelves.questions.items()
    return facts_with_answers({name: [choice.id for choice in one.block.choices] for name, one in asked})


def build_knowledge(packs: Sequence[Pack], shelves: Shelves) -> Knowledge:
    """Freeze what the shelves hold, once it was checked."""
    shelved: dict[str, Any] = {kind: _blocks(shelves.of(kind)) for kind in SHELVED}
    return Knowledge(
        packs=tuple(pack.cover for pack in packs),
        levers=_blocks(shelves.lever),
        symptoms=finish(shelves, "symptom"),
        driving=_blocks(shelves.driving),
        causes=finish(shelves, "cause"),
        **shelved,
        phrases=shelves.phrases,
        first_phrases=shelves.first_phrases,
        ranking=shelves.ranking,
        practice=tuple(shelves.practice),
        not_used=tuple(shelves.not_used),
        cases=_cases(shelves),
        facts=known_facts(shelves),
        conditions=shelves.conditions,
        origins=_origins(shelves),
        dropped=shelves.dropped,
    )


def _blocks(shelf: Mapping[str, InPlace[_B]]) -> dict[str, _B]:
    return {name: standing.block for name, standing in shelf.items()}


def _cases(shelves: Shelves) -> tuple[LoadedCase, ...]:
    return tuple(
        LoadedCase(one.loaded.name, one.block, one.origin(), shelves.no_longer.get(one.block.case))
        for one in shelves.cases
    )


def _origins(shelves: Shelves) -> dict[tuple[str, ...], Origin]:
    origins: dict[tuple[str, ...], Origin] = {
        (kind, name): one.origin() for kind in SHELF_KINDS for name, one in shelves.of(kind).items()
    }
    for of, placed in shelves.remedies.items():
        origins |= {(*of, one.remedy.name): one.origin for one in placed}
    return origins
