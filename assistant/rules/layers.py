"""Lays packs over one another, the first at the bottom; a later pack adds things or changes them by name.

Every thing keeps the place it was written in. The same name twice is a problem, never a silent win.
A team's changes to a symptom or cause of an earlier pack are four verbs, always in the order drop, move, reword, add;
what a change speaks of must be there, and what it was written over is looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Generic, TypeVar, cast

from assistant.ground.names import did_you_mean
from assistant.ground.problems import KeyPath, Problem
from assistant.ground.read_model import FileBlock
from assistant.rules.conditions import Condition
from assistant.rules.knowledge import NO_PHRASES, NO_WEIGHTS, Origin
from assistant.rules.models import (
    Caution,
    Driving,
    GlossaryEntry,
    Lever,
    NotUsedFile,
    NotUsedRow,
    PracticeFile,
    PracticeRule,
    Source,
    TireRule,
    Weights,
)
from assistant.rules.models_symptom import (
    CasesFile,
    Cause,
    ChangesFile,
    ExampleCase,
    PhrasesFile,
    Question,
    Symptom,
    TradeRemedy,
)
from assistant.rules.pack_files import SHELVED, Loaded, Pack

_B_co = TypeVar("_B_co", bound=FileBlock, covariant=True)


@dataclass(frozen=True)
class InPlace(Generic[_B_co]):
    """One thing in its place: the model, its file, and the way to it inside the file."""

    block: _B_co
    loaded: Loaded
    path: KeyPath

    def origin(self) -> Origin:
        """Say where it is written."""
        return self.loaded.origin(self.path)


@dataclass(frozen=True)
class PlacedRemedy:
    """A remedy in the list of a symptom or cause, with the place it comes from."""

    remedy: TradeRemedy
    origin: Origin


@dataclass(frozen=True)
class Refused:
    """A problem of a pack. missing: the thing it says is not there; it may stand in a file that could not be read."""

    pack: str
    problem: Problem
    missing: str = ""


SHELF_KINDS = ("lever", "symptom", "driving", "cause", *SHELVED)
"""Kinds of things that others name: each has a shelf."""


@dataclass
class Shelves:
    """What the packs hold so far: a shelf for each kind of thing, by name. remedies: by symptom or cause.

    conditions: those that were understood while checking, by their text. no_longer: case to where a pack names it.
    dropped: symptom and remedy to where a pack takes it out.
    """

    lever: dict[str, InPlace[Lever]] = field(default_factory=dict)
    symptom: dict[str, InPlace[Symptom]] = field(default_factory=dict)
    driving: dict[str, InPlace[Driving]] = field(default_factory=dict)
    cause: dict[str, InPlace[Cause]] = field(default_factory=dict)
    sources: dict[str, InPlace[Source]] = field(default_factory=dict)
    cautions: dict[str, InPlace[Caution]] = field(default_factory=dict)
    glossary: dict[str, InPlace[GlossaryEntry]] = field(default_factory=dict)
    questions: dict[str, InPlace[Question]] = field(default_factory=dict)
    tire_reading: dict[str, InPlace[TireRule]] = field(default_factory=dict)
    remedies: dict[tuple[str, str], list[PlacedRemedy]] = field(default_factory=dict)
    cases: list[InPlace[ExampleCase]] = field(default_factory=list)
    no_longer: dict[str, Origin] = field(default_factory=dict)
    dropped: dict[tuple[str, str], Origin] = field(default_factory=dict)
    phrases: PhrasesFile = NO_PHRASES
    first_phrases: PhrasesFile | None = None
    ranking: Weights = NO_WEIGHTS
    practice: list[PracticeRule] = field(default_factory=list)
    not_used: list[NotUsedRow] = field(default_factory=list)
    also_said: dict[str, list[str]] = field(default_factory=dict)
    conditions: dict[str, Condition] = field(default_factory=dict)
    refused: list[Refused] = field(default_factory=list)
    notes: list[Problem] = field(default_factory=list)

    def of(self, kind: str) -> dict[str, InPlace[FileBlock]]:
        """Give the shelf of a kind."""
        return cast("dict[str, InPlace[FileBlock]]", getattr(self, kind))

    def remedy_holders(self) -> Iterator[tuple[str, str, InPlace[Symptom] | InPlace[Cause]]]:
        """Give what has a list of remedies: kind, name, the thing in its place."""
        yield from (("symptom", name, one) for name, one in self.symptom.items())
        yield from (("cause", name, one) for name, one in self.cause.items())

    def refuse(
        self, loaded: Loaded, path: KeyPath, says: str, hint: str = "", *, missing: str = "", key: bool = False
    ) -> None:
        """Note a problem against the pack of a file."""
        problem = loaded.document.problem(path, says, hint, key=key)
        self.refused.append(Refused(loaded.pack, problem, missing))

    def in_words(self, lever: str, move: str) -> str:
        """Write the move '+' or '-' as the lever's own word; any other, and that of an unknown lever, stays."""
        if lever not in self.lever or move not in {"+", "-"}:
            return move
        known = self.lever[lever].block
        return known.plus_word if move == "+" else known.minus_word

    def remedy_name(self, written: str) -> str:
        """Write 'stagger -' as 'stagger less'."""
        lever, space, move = written.partition(" ")
        return f"{lever}{space}{self.in_words(lever, move)}"

    def remedy_in_words(self, remedy: TradeRemedy) -> TradeRemedy:
        """Give a remedy with its move in the lever's own word."""
        if remedy.lever is None or remedy.move not in {"+", "-"}:
            return remedy
        return remedy.model_copy(update={"move": self.in_words(remedy.lever, remedy.move)})


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
                _apply_changes(shelves, loaded, loaded.block, packs)
    return shelves


def _add_file(shelves: Shelves, loaded: Loaded) -> None:
    block = loaded.block
    if loaded.kind in SHELVED:
        for name, entry in getattr(block, loaded.kind).items():
            _stand(shelves, loaded.kind, name, InPlace(entry, loaded, (loaded.kind, name)))
    elif loaded.kind in SHELF_KINDS:
        _stand(shelves, loaded.kind, loaded.name, InPlace(block, loaded, (loaded.kind,)))
    elif isinstance(block, CasesFile):
        shelves.cases += (InPlace(case, loaded, ("cases", index)) for index, case in enumerate(block.cases))
    elif isinstance(block, PhrasesFile):
        shelves.phrases = block if shelves.phrases is NO_PHRASES else _with_phrases(shelves.phrases, block)
    elif isinstance(block, Weights):
        shelves.ranking = _with_weights(shelves.ranking, block)
    elif isinstance(block, PracticeFile):
        shelves.practice.extend(block.practice)
    elif isinstance(block, NotUsedFile):
        shelves.not_used.extend(block.not_used)


def _stand(shelves: Shelves, kind: str, name: str, standing: InPlace[FileBlock]) -> None:
    """Put a thing on its shelf; the same name twice is a problem."""
    earlier = shelves.of(kind).get(name)
    if earlier is not None:
        place = earlier.origin()
        if place.pack == standing.loaded.pack:
            if kind not in SHELVED:
                return  # two files of one thing: that was found when they were read
            says, hint = f"'{name}' is written twice in this pack", f"first in {place.file}, line {place.line}"
        else:
            says = f"{place.pack} already has '{name}'"
            hint = f"write 'changes_to: {name}' to alter it" if kind == "symptom" else "choose another name"
        shelves.refuse(standing.loaded, standing.path, says, hint, key=True)
        return
    shelves.of(kind)[name] = standing


def _with_phrases(earlier: PhrasesFile, later: PhrasesFile) -> PhrasesFile:
    """Put a later pack's phrases first: of two that fit alike the first one wins."""
    before = dict(earlier)
    together = {name: [*new, *before[name]] if isinstance(new, list) else before[name] | new for name, new in later}
    parts = {name: [*later.parts.get(name, ()), *earlier.parts.get(name, ())] for name in together["parts"]}
    return later.model_copy(update={**together, "parts": parts})


def _with_weights(earlier: Weights, later: Weights) -> Weights:
    """Let a later pack's number win, line by line; a list is replaced as a whole."""
    stated = {name: value for name, value in later if value is not None and name != "ranking"}
    tables = {name: {**(getattr(earlier, name) or {}), **new} for name, new in stated.items() if isinstance(new, dict)}
    return earlier.model_copy(update={**stated, **tables})


def _place_remedies(shelves: Shelves) -> None:
    for kind, name, standing in shelves.remedy_holders():
        placed = shelves.remedies.setdefault((kind, name), [])
        for index, remedy in enumerate(standing.block.remedies):
            said = shelves.remedy_in_words(remedy)
            path: KeyPath = ("remedies", index)
            if any(one.remedy.name == said.name for one in placed):
                shelves.refuse(standing.loaded, path, f"'{said.name}' stands twice in this list", "keep one")
            placed.append(PlacedRemedy(said, standing.loaded.origin(path)))


def _apply_changes(shelves: Shelves, loaded: Loaded, changes: ChangesFile, packs: Sequence[Pack]) -> None:
    name = changes.changes_to
    target = shelves.symptom.get(name) or shelves.cause.get(name)
    if target is None:
        hint = did_you_mean(name, [*shelves.symptom, *shelves.cause])
        shelves.refuse(loaded, ("changes_to",), f"no earlier pack has '{name}'", hint, missing=name)
        return
    _look_at_edition(shelves, loaded, changes, target.block, packs)
    kind = "symptom" if name in shelves.symptom else "cause"
    editor = _Editor(shelves, loaded, name, shelves.remedies[kind, name])
    editor.drop(changes)
    editor.move(changes)
    editor.reword(changes)
    editor.add(changes)
    shelves.also_said.setdefault(name, []).extend(changes.also_said)
    _retire_cases(shelves, loaded, changes)


def _retire_cases(shelves: Shelves, loaded: Loaded, changes: ChangesFile) -> None:
    cases = [one.block.case for one in shelves.cases if one.loaded.name == changes.changes_to]
    for index, case in enumerate(changes.no_longer):
        if case not in cases:
            says = f"no case of '{changes.changes_to}' is called '{case}'"
            shelves.refuse(loaded, ("no_longer", index), says, did_you_mean(case, cases))
        shelves.no_longer[case] = loaded.origin(("no_longer", index))


def _look_at_edition(
    shelves: Shelves, loaded: Loaded, changes: ChangesFile, target: Symptom | Cause, packs: Sequence[Pack]
) -> None:
    """Warn when what a change was written over has changed since."""
    below, _, edition = changes.written_for.partition(" ")
    covers = {pack.id: pack.cover for pack in packs}
    if below not in covers or not edition:
        hint = did_you_mean(below, covers) if edition else "write the pack and its edition, such as 'base 2026.1'"
        shelves.refuse(loaded, ("written_for",), f"no pack '{changes.written_for}' is below this one", hint)
        return
    last = (target.last_changed if isinstance(target, Symptom) else None) or covers[below].edition
    if _order(last) > _order(edition):
        says = f"'{changes.changes_to}' changed in {below} {last}, after this was written for {below} {edition}"
        kind = "symptom" if isinstance(target, Symptom) else "cause"
        now = ", ".join(one.remedy.name for one in shelves.remedies[kind, changes.changes_to])
        hint = f"its answers there are now {now}; look again, then set written_for to '{below} {last}'"
        shelves.notes.append(loaded.document.problem(("written_for",), says, hint))


def _order(edition: str) -> tuple[tuple[int, str], ...]:
    """Put editions in order by their numbers: 2026.2 comes before 2026.10."""
    return tuple((int(part), "") if part.isdecimal() else (0, part) for part in edition.split("."))


@dataclass
class _Editor:
    """The list of remedies of one symptom or cause while a team file changes it. target: its name."""

    shelves: Shelves
    loaded: Loaded
    target: str
    placed: list[PlacedRemedy]

    def drop(self, changes: ChangesFile) -> None:
        for index, name in enumerate(changes.drop):
            found = self._find(name, ("drop", index))
            if found is not None:
                self.placed.remove(found)
                origin = self.loaded.origin(("drop", index), changes.why)
                self.shelves.dropped[self.target, found.remedy.name] = origin

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
            origin = self.loaded.origin(("reword", index), f"reworded: {changes.why}")
            self.placed[self.placed.index(found)] = PlacedRemedy(remedy, origin)

    def add(self, changes: ChangesFile) -> None:
        for index, line in enumerate(changes.add):
            path: KeyPath = ("add", index)
            fields = line.model_dump(exclude={"after", "before"})
            remedy = self.shelves.remedy_in_words(TradeRemedy.model_validate(fields))
            if any(one.remedy.name == remedy.name for one in self.placed):
                self._refuse(path, f"'{self.target}' already has '{remedy.name}'", "use move or reword")
                continue
            to = f"after {line.after}" if line.after else f"before {line.before}" if line.before else "last"
            origin = self.loaded.origin(path, f"added: {changes.why}")
            at = self._place(to, (*path, "after" if line.after else "before"))
            self.placed.insert(at, PlacedRemedy(remedy, origin))

    def _find(self, name: str, path: KeyPath) -> PlacedRemedy | None:
        wanted = self.shelves.remedy_name(name)
        found = next((one for one in self.placed if one.remedy.name == wanted), None)
        if found is None:
            names = [one.remedy.name for one in self.placed]
            says, hint = f"'{self.target}' has no remedy '{name}'", did_you_mean(name, names)
            self.shelves.refuse(self.loaded, path, says, hint, missing=name)
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


def finish(shelves: Shelves, wanted: str) -> dict[str, Any]:
    """Give every symptom, or every cause, with its final list of remedies and what else it is called."""
    finished = {}
    for kind, name, one in shelves.remedy_holders():
        if kind == wanted:
            remedies = [placed.remedy for placed in shelves.remedies[kind, name]]
            also_said = [*dict.fromkeys([*one.block.also_said, *shelves.also_said.get(name, ())])]
            finished[name] = one.block.model_copy(update={"remedies": remedies, "also_said": also_said})
    return finished
