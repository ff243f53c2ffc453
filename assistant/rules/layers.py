"""A team's changes to a symptom or cause of an earlier pack: four verbs, always in the order drop, move, reword, add.

Nothing merges silently: what a change speaks of must be there, and what it was written over is looked at.

Lays packs over one another, the first at the bottom; a later pack adds things or changes them by name.

Every thing keeps the place it was written in. The same name twice is a problem, never a silent win.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from assistant.ground.words import did_you_mean
from assistant.ground.yaml_file import KeyPath
from assistant.rules.models import SHELVED, NotUsedFile, PracticeFile, Weights
from assistant.rules.models_symptom import CasesFile, Cause, ChangesFile, PhrasesFile, Symptom, TradeRemedy
from assistant.rules.pack_files import InPlace, Loaded, Pack, PlacedRemedy, Shelves, say_move, say_remedy_name


def apply_changes(shelves: Shelves, loaded: Loaded, changes: ChangesFile, packs: Sequence[Pack]) -> None:
    """Apply one team file: drop, move, reword, add."""
    name = changes.changes_to
    target = next(((kind, name) for kind in ("symptom", "cause") if name in shelves.of(kind)), None)
    if target is None:
        known = [*shelves.of("symptom"), *shelves.of("cause")]
        shelves.refuse(loaded, ("changes_to",), f"no earlier pack has '{name}'", did_you_mean(name, known))
        return
    _look_at_edition(shelves, loaded, changes, shelves.of(target[0])[name], packs)
    editor = _Editor(shelves, loaded, target, shelves.remedies[target])
    editor.drop(changes)
    editor.move(changes)
    editor.reword(changes)
    editor.add(changes)
    shelves.also_said.setdefault(name, []).extend(changes.also_said)
    _retire_cases(shelves, loaded, changes)


def _retire_cases(shelves: Shelves, loaded: Loaded, changes: ChangesFile) -> None:
    cases = [case.case for symptom, case, _ in shelves.cases if symptom == changes.changes_to]
    for index, case in enumerate(changes.no_longer):
        if case not in cases:
            says = f"no case of '{changes.changes_to}' is called '{case}'"
            shelves.refuse(loaded, ("no_longer", index), says, did_you_mean(case, cases))
        shelves.no_longer[case] = InPlace(changes, loaded, ("no_longer", index)).origin()


def _look_at_edition(
    shelves: Shelves, loaded: Loaded, changes: ChangesFile, target: InPlace, packs: Sequence[Pack]
) -> None:
    """Warn when what a change was written over has changed since."""
    below, _, edition = changes.written_for.partition(" ")
    covers = {pack.id: pack.cover for pack in packs}
    if below not in covers or not edition:
        hint = did_you_mean(below, covers) if edition else "write the pack and its edition, such as 'base 2026.1'"
        shelves.refuse(loaded, ("written_for",), f"no pack '{changes.written_for}' is below this one", hint)
        return
    last = getattr(target.block, "last_changed", None) or covers[below].edition
    if _order(last) > _order(edition):
        says = f"'{changes.changes_to}' changed in {below} {last}, after this was written for {below} {edition}"
        hint = "look again, then set written_for"
        shelves.notes.append(loaded.document.problem(("written_for",), says, hint))


def _order(edition: str) -> tuple[tuple[int, str], ...]:
    """Put editions in order by their numbers: 2026.2 comes before 2026.10."""
    return tuple((int(part), "") if part.isdecimal() else (0, part) for part in edition.split("."))


@dataclass
class _Editor:
    """The list of remedies of one symptom while a team file changes it."""

    shelves: Shelves
    loaded: Loaded
    target: tuple[str, str]
    placed: list[PlacedRemedy]

    def drop(self, changes: ChangesFile) -> None:
        for index, name in enumerate(changes.drop):
            found = self._find(name, ("drop", index))
            if found is not None:
                self.placed.remove(found)

    def move(self, changes: ChangesFile) -> None:
        for index, line in enumerate(changes.move):
            found = self._find(line.remedy, ("move", index, "remedy"))
            if found is None:
                continue
            self.placed.remove(found)
            note = f"moved by {self.loaded.pack}: {changes.why}"
            moved = replace(found, origin=replace(found.origin, note=note))
            self.placed.insert(self._place(line.to, ("move", index, "to")), moved)

    def reword(self, changes: ChangesFile) -> None:
        for index, line in enumerate(changes.reword):
            found = self._find(line.remedy, ("reword", index, "remedy"))
            if found is None:
                continue
            new = {name: value for name, value in line.model_dump(exclude_none=True).items() if name != "remedy"}
            if not new:
                self._refuse(("reword", index), "this rewords nothing", "give a new because, watch_for or undo_if")
            remedy = found.remedy.model_copy(update=new)
            origin = InPlace(remedy, self.loaded, ("reword", index)).origin(f"reworded: {changes.why}")
            self.placed[self.placed.index(found)] = PlacedRemedy(remedy, origin)

    def add(self, changes: ChangesFile) -> None:
        for index, line in enumerate(changes.add):
            path: KeyPath = ("add", index)
            fields = line.model_dump(exclude={"after", "before"})
            remedy = say_move(self.shelves, TradeRemedy.model_validate(fields))
            if any(one.remedy.name == remedy.name for one in self.placed):
                self._refuse(path, f"'{self.target[1]}' already has '{remedy.name}'", "use move or reword")
                continue
            to = f"after {line.after}" if line.after else f"before {line.before}" if line.before else "last"
            origin = InPlace(remedy, self.loaded, path).origin(f"added: {changes.why}")
            at = self._place(to, (*path, "after" if line.after else "before"))
            self.placed.insert(at, PlacedRemedy(remedy, origin))

    def _find(self, name: str, path: KeyPath) -> PlacedRemedy | None:
        wanted = say_remedy_name(self.shelves, name)
        found = next((one for one in self.placed if one.remedy.name == wanted), None)
        if found is None:
            names = [one.remedy.name for one in self.placed]
            self._refuse(path, f"'{self.target[1]}' has no remedy '{name}'", did_you_mean(name, names))
        return found

    def _place(self, to: str, path: KeyPath) -> int:
        """Turn 'first', 'last', 'after X' and 'before X' into a place in the list."""
        word, _, name = to.partition(" ")
        if to in {"first", "last"}:
            return 0 if to == "first" else len(self.placed)
        if word not in {"after", "before"} or not name:
            self._refuse(
                path, f"'{to}' cannot be used for 'to'", did_you_mean(to, ("first", "last", "after X", "before X"))
            )
            return len(self.placed)
        found = self._find(name, path)
        at = self.placed.index(found) if found is not None else len(self.placed)
        return at + (1 if word == "after" and found is not None else 0)

    def _refuse(self, path: KeyPath, says: str, hint: str) -> None:
        self.shelves.refuse(self.loaded, path, says, hint)


def lay_packs(packs: Sequence[Pack]) -> Shelves:
    """Lay packs over one another, the first at the bottom."""
    shelves = Shelves()
    for at, pack in enumerate(packs):
        if at == 1:
            shelves.first_phrases = shelves.phrases
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
        _stand(shelves, loaded.kind, loaded.name, InPlace(block, loaded, (loaded.kind,)))
    elif loaded.kind in SHELVED:
        for name, entry in getattr(block, loaded.kind).items():
            _stand(shelves, loaded.kind, name, InPlace(entry, loaded, (loaded.kind, name)))
    elif isinstance(block, CasesFile):
        for index, case in enumerate(block.cases):
            shelves.cases.append((block.cases_for, case, InPlace(case, loaded, ("cases", index))))
    elif isinstance(block, PhrasesFile):
        shelves.phrases = block if shelves.phrases is None else _with_phrases(shelves.phrases, block)
    elif isinstance(block, Weights):
        _add_weights(shelves.ranking, block.model_dump(exclude_none=True, exclude={"ranking"}))
    elif isinstance(block, PracticeFile):
        shelves.practice.extend(block.practice)
    elif isinstance(block, NotUsedFile):
        shelves.not_used.extend(block.not_used)


def _stand(shelves: Shelves, kind: str, name: str, standing: InPlace) -> None:
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


def _with_phrases(earlier: PhrasesFile, later: PhrasesFile) -> PhrasesFile:
    """Put a later pack's phrases first: of two that fit alike the first one wins."""
    lists = {
        name: [*getattr(later, name), *getattr(earlier, name)]
        for name in ("phrases", "dangers", "skipped", "ordinary", "listed")
    }
    parts = {
        name: [*later.parts.get(name, ()), *earlier.parts.get(name, ())] for name in {**earlier.parts, **later.parts}
    }
    laps, short = {**earlier.laps, **later.laps}, {**earlier.short, **later.short}
    return later.model_copy(update={**lists, "parts": parts, "laps": laps, "short": short})


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
                path: KeyPath = ("remedies", index)
                if any(one.remedy.name == said.name for one in placed):
                    shelves.refuse(standing.loaded, path, f"'{said.name}' stands twice in this list", "keep one")
                placed.append(PlacedRemedy(said, InPlace(said, standing.loaded, path).origin()))


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
