"""Lays packs over one another, the first at the bottom; a later pack adds things or changes them by name.

Every thing keeps the place it was written in. The same name twice is a problem, never a silent win.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from typing import Any

from assistant.reading.document import Path
from assistant.rules.changes import apply_changes
from assistant.rules.models import SHELVED, NotUsedFile, PracticeFile, RankingFile
from assistant.rules.models_symptom import CasesFile, ChangesFile, Symptom
from assistant.rules.models_talk import Cause, PhrasesFile
from assistant.rules.pack_files import Loaded, Pack
from assistant.rules.shelves import PlacedRemedy, Shelves, Standing, say_move


def lay_packs(packs: Sequence[Pack]) -> Shelves:
    """Lay packs over one another, the first at the bottom."""
    shelves = Shelves()
    for at, pack in enumerate(packs):
        if at == 1:
            shelves.first_phrases = deepcopy(shelves.phrases)
        for loaded in pack.files:
            _add_file(shelves, loaded)
    _place_remedies(shelves)
    for pack in packs:
        for loaded in pack.files:
            if isinstance(loaded.block, ChangesFile):
                apply_changes(shelves, loaded, loaded.block, packs)
    return shelves


def _add_file(shelves: Shelves, loaded: Loaded) -> None:
    block = loaded.block
    if loaded.kind in {"lever", "symptom", "driving", "cause"}:
        _stand(shelves, loaded.kind, loaded.name, Standing(block, loaded, (loaded.kind,)))
    elif loaded.kind in SHELVED:
        for name, entry in getattr(block, loaded.kind).items():
            _stand(shelves, loaded.kind, name, Standing(entry, loaded, (loaded.kind, name)))
    elif isinstance(block, CasesFile):
        for index, case in enumerate(block.cases):
            shelves.cases.append((block.cases_for, case, Standing(case, loaded, ("cases", index))))
    elif isinstance(block, PhrasesFile):
        _add_phrases(shelves.phrases, block.model_dump(exclude_none=True))
    elif isinstance(block, RankingFile):
        _add_weights(shelves.ranking, block.model_dump(exclude_none=True, exclude={"ranking"}))
    elif isinstance(block, PracticeFile):
        shelves.practice.extend(block.practice)
    elif isinstance(block, NotUsedFile):
        shelves.not_used.extend(block.not_used)


def _stand(shelves: Shelves, kind: str, name: str, standing: Standing) -> None:
    """Put a thing on its shelf; the same name twice is a problem, except that a later pack may set the stages."""
    earlier = shelves.of(kind).get(name)
    if earlier is not None and not (kind == "stages" and earlier.loaded.pack != standing.loaded.pack):
        place = earlier.origin()
        if place.pack == standing.loaded.pack:
            says, hint = f"'{name}' is written twice in this pack", f"first in {place.file}, line {place.line}"
        else:
            says = f"{place.pack} already has '{name}'"
            hint = f"write 'changes_to: {name}' to alter it" if kind == "symptom" else "choose another name"
        shelves.refuse(standing.loaded, standing.path, says, hint, key=True)
        return
    shelves.of(kind)[name] = standing


def _add_phrases(phrases: dict[str, Any], more: Mapping[str, Any]) -> None:
    """Put a later pack's phrases first: of two that fit alike the first one wins."""
    for name in ("phrases", "dangers", "skipped", "ordinary", "listed"):
        phrases[name] = [*more.get(name, ()), *phrases.get(name, ())]
    parts = phrases.setdefault("parts", {})
    for part, words in more.get("parts", {}).items():
        parts[part] = [*words, *parts.get(part, ())]
    for name in ("laps", "short"):
        phrases[name] = {**phrases.get(name, {}), **more.get(name, {})}


def _add_weights(ranking: dict[str, Any], more: Mapping[str, Any]) -> None:
    """Let a later pack's number win, line by line; a list is replaced as a whole."""
    for name, value in more.items():
        ranking[name] = {**ranking.get(name, {}), **value} if isinstance(value, dict) else value


def _place_remedies(shelves: Shelves) -> None:
    for kind in ("symptom", "cause"):
        for name, standing in shelves.of(kind).items():
            placed = shelves.remedies.setdefault((kind, name), [])
            for index, remedy in enumerate(standing.block.remedies):
                said = say_move(shelves, remedy)
                path: Path = ("remedies", index)
                if any(one.remedy.name == said.name for one in placed):
                    shelves.refuse(standing.loaded, path, f"'{said.name}' stands twice in this list", "keep one")
                placed.append(PlacedRemedy(said, Standing(said, standing.loaded, path).origin()))


def finish_symptoms(shelves: Shelves) -> Iterator[tuple[str, Symptom]]:
    """Give every symptom with its final list of remedies and phrases."""
    for name, standing in shelves.of("symptom").items():
        remedies = [one.remedy for one in shelves.remedies[("symptom", name)]]
        said = [*standing.block.also_said, *shelves.also_said.get(name, ())]
        yield name, standing.block.model_copy(update={"remedies": remedies, "also_said": said})


def finish_causes(shelves: Shelves) -> Iterator[tuple[str, Cause]]:
    """Give every cause with its final list of remedies."""
    for name, standing in shelves.of("cause").items():
        remedies = [one.remedy for one in shelves.remedies[("cause", name)]]
        yield name, standing.block.model_copy(update={"remedies": remedies})
