"""All packs together as one frozen value: what the rest of the program knows of the trade, and where it is written."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar, cast

from assistant.ground.problems import Problem
from assistant.rules.conditions import Condition, read_condition
from assistant.rules.facts import Fact
from assistant.rules.models import (
    Caution,
    GlossaryEntry,
    NotUsedRow,
    PackFile,
    PracticeRule,
    Source,
    StageEntry,
    TireRule,
    Weights,
)
from assistant.rules.models_lever import Driving, Lever
from assistant.rules.models_symptom import Cause, ExampleCase, PhrasesFile, Question, Symptom, TradeRemedy

_Made = TypeVar("_Made")
NO_PHRASES = PhrasesFile.model_construct(phrases=[])
NO_WEIGHTS = Weights.model_construct(ranking="together")
WITHOUT_KEY = {"common practice": "common practice, no source", "memory": "from memory"}
"""What stands for a source when there is none to look up."""


@dataclass(frozen=True)
class Origin:
    """Where something is written. note: what a later pack did to it, with its reason."""

    pack: str
    file: str
    line: int
    note: str = ""


@dataclass(frozen=True)
class LoadedCase:
    """An example case of a symptom. no_longer: where a later pack says that it fails on purpose."""

    symptom: str
    case: ExampleCase
    origin: Origin
    no_longer: Origin | None = None


@dataclass(frozen=True)
class Knowledge:
    """Everything by its id or name. ranking: the weights that the packs state; `weights` has them all.

    first_phrases: those of the first pack alone, when there are more packs; its signs of danger stay signs of danger.
    notes: remarks that stop nothing, such as a team pack that was left out because it has problems.
    """

    packs: tuple[PackFile, ...] = ()
    levers: Mapping[str, Lever] = field(default_factory=dict)
    symptoms: Mapping[str, Symptom] = field(default_factory=dict)
    driving: Mapping[str, Driving] = field(default_factory=dict)
    causes: Mapping[str, Cause] = field(default_factory=dict)
    sources: Mapping[str, Source] = field(default_factory=dict)
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    glossary: Mapping[str, GlossaryEntry] = field(default_factory=dict)
    questions: Mapping[str, Question] = field(default_factory=dict)
    stages: Mapping[str, StageEntry] = field(default_factory=dict)
    tire_reading: Mapping[str, TireRule] = field(default_factory=dict)
    phrases: PhrasesFile = NO_PHRASES
    first_phrases: PhrasesFile | None = None
    ranking: Weights = NO_WEIGHTS
    practice: tuple[PracticeRule, ...] = ()
    not_used: tuple[NotUsedRow, ...] = ()
    cases: tuple[LoadedCase, ...] = ()
    facts: Mapping[str, Fact] = field(default_factory=dict)
    conditions: Mapping[str, Condition] = field(default_factory=dict)
    origins: Mapping[tuple[str, ...], Origin] = field(default_factory=dict)
    notes: tuple[Problem, ...] = ()

    def origin(self, kind: str, name: str, remedy: str = "") -> Origin | None:
        """Find where a thing is written: origin("symptom", "loose off") or ("symptom", "loose off", "stagger less")."""
        return self.origins.get((kind, name, remedy) if remedy else (kind, name))

    def where(self, symptom: str) -> tuple[tuple[TradeRemedy, Origin], ...]:
        """List the remedies of a symptom in their order, each with the place it comes from."""
        return tuple(
            (remedy, self.origins[("symptom", symptom, remedy.name)]) for remedy in self.symptoms[symptom].remedies
        )

    def move_sign(self, lever: str, move: str) -> int:
        """Say which way a move goes: +1 or -1. KeyError for a word the lever does not have."""
        words = self.levers[lever]
        return {"+": 1, "-": -1, words.plus_word: 1, words.minus_word: -1}[move]

    def condition(self, text: str) -> Condition:
        """Return a condition of the packs as it was understood when they were loaded; any other is read now."""
        return self.conditions.get(text) or read_condition(text, self.facts)

    def holds(self, condition: str, facts: Mapping[str, object]) -> bool | None:
        """Ask a condition of the packs: yes, no, or None when a fact it needs is missing."""
        return self.condition(condition).holds(facts)

    @property
    def weights(self) -> Weights:
        """The weights of all packs together. ValueError when one is in none of them."""
        if missing := self.ranking.unstated():
            raise ValueError(f"no pack states these weights of the ranking: {', '.join(missing)}")
        return self.ranking

    def once(self, make: Callable[[Knowledge], _Made]) -> _Made:
        """Return what is made of this knowledge, such as an index of its phrases; made once and held here."""
        if make not in self._made:
            self._made[make] = make(self)
        return cast("_Made", self._made[make])

    @cached_property
    def _made(self) -> dict[Callable[[Knowledge], object], object]:
        return {}


def source_key(written: str) -> str:
    """Give the key in a line of `backed_by`: "ct-exit, p. 2" is of ct-exit, "memory: an old book" of memory."""
    return written.partition(",")[0].partition(":")[0].strip()


def say_sources(keys: Sequence[str], knowledge: Knowledge) -> tuple[str, ...]:
    """Write sources for people: who, title, year, the page; a key that is in no list stays as it is."""
    return tuple(dict.fromkeys(_say_source(key, knowledge) for key in keys))


def _say_source(key: str, knowledge: Knowledge) -> str:
    name, comma, page = (part.strip() for part in key.partition(","))
    if name in WITHOUT_KEY:
        return WITHOUT_KEY[name]
    if key.startswith("memory:"):
        return f"from memory: {key.removeprefix('memory:').strip()}"
    source = knowledge.sources.get(name)
    if source is None:
        return key
    year = f", {source.year}" if source.year else ""
    return f"{source.who}, {source.title}{year}" + (f", {page}" if comma else "")
