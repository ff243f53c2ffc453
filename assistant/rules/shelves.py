"""What the packs hold so far, each thing with the place it was written in."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from assistant.problems import Problem
from assistant.reading.document import Path
from assistant.rules.conditions import Condition
from assistant.rules.knowledge import Origin
from assistant.rules.models import NotUsedRow, PracticeRule
from assistant.rules.models_symptom import ExampleCase, Remedy
from assistant.rules.pack_files import Loaded


@dataclass(frozen=True)
class Standing:
    """One thing in its place: the model, its file, and the way to it inside the file."""

    block: Any
    loaded: Loaded
    path: Path

    def origin(self, note: str = "") -> Origin:
        """Say where it is written."""
        line, _ = self.loaded.document.place(self.path)
        return Origin(self.loaded.pack, self.loaded.document.file, line, note)


@dataclass(frozen=True)
class PlacedRemedy:
    """A remedy in the list of a symptom or cause, with the place it comes from."""

    remedy: Remedy
    origin: Origin


@dataclass
class Shelves:
    """What the packs hold so far. things: kind and name to where it stands. remedies: by symptom or cause.

    conditions: those that were understood while checking, by their text. no_longer: case to where a pack names it.
    """

    things: dict[str, dict[str, Standing]] = field(default_factory=dict)
    remedies: dict[tuple[str, str], list[PlacedRemedy]] = field(default_factory=dict)
    cases: list[tuple[str, ExampleCase, Standing]] = field(default_factory=list)
    no_longer: dict[str, Origin] = field(default_factory=dict)
    phrases: dict[str, Any] = field(default_factory=dict)
    first_phrases: dict[str, Any] = field(default_factory=dict)
    ranking: dict[str, Any] = field(default_factory=dict)
    practice: list[PracticeRule] = field(default_factory=list)
    not_used: list[NotUsedRow] = field(default_factory=list)
    also_said: dict[str, list[str]] = field(default_factory=dict)
    conditions: dict[str, Condition] = field(default_factory=dict)
    problems: list[tuple[str, Problem]] = field(default_factory=list)
    notes: list[Problem] = field(default_factory=list)

    def of(self, kind: str) -> dict[str, Standing]:
        """Give all things of a kind by name."""
        return self.things.setdefault(kind, {})

    def refuse(self, loaded: Loaded, path: Path, says: str, hint: str = "", *, key: bool = False) -> None:
        """Note a problem against the pack of a file."""
        self.problems.append((loaded.pack, loaded.document.problem(path, says, hint, key=key)))


def say_move(shelves: Shelves, remedy: Remedy) -> Remedy:
    """Write a remedy's '+' or '-' as the lever's own word; an unknown lever or word is left for the checks."""
    lever = shelves.of("lever").get(remedy.lever or "")
    if lever is None or remedy.move not in {"+", "-"}:
        return remedy
    word = lever.block.plus_word if remedy.move == "+" else lever.block.minus_word
    return remedy.model_copy(update={"move": word})


def say_remedy_name(shelves: Shelves, name: str) -> str:
    """Write 'stagger -' as 'stagger less'."""
    lever, _, move = name.partition(" ")
    known = shelves.of("lever").get(lever)
    if known is None or move not in {"+", "-"}:
        return name
    return f"{lever} {known.block.plus_word if move == '+' else known.block.minus_word}"
