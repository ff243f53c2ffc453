"""Checks what files say to one another: every lever, source, caution, symptom, habit, cause and fact must exist.

`lay_packs` has put everything on its shelf before; here nothing is changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, cast

from assistant.ground.words import did_you_mean
from assistant.ground.yaml_file import Data, Document, KeyPath
from assistant.rules.conditions import ConditionProblem, read_condition
from assistant.rules.facts import Fact
from assistant.rules.knowledge import source_key
from assistant.rules.lever_checks import check_driving, check_lever, check_unit_changes
from assistant.rules.models import GlossaryEntry, TireRule, Weights
from assistant.rules.models_lever import Driving, Lever
from assistant.rules.models_symptom import (
    AddedRemedy,
    CasesFile,
    Cause,
    ChangesFile,
    PhrasesFile,
    Question,
    Symptom,
    TradeRemedy,
)
from assistant.rules.pack_files import Loaded, Pack, Shelves, say_move, say_remedy_name

RESERVED = ("common practice", "memory")
"""Sources that need no entry."""
Wrong = tuple[KeyPath, str, str]
"""Where in the file, what is wrong, what to do."""


def check_references(shelves: Shelves, packs: Iterable[Pack], facts: Mapping[str, Fact]) -> None:
    """Add a problem to the shelves for everything that points at nothing."""
    checker = _Checker(shelves, facts)
    for pack in packs:
        sentences: dict[str, str] = {}
        for loaded in pack.files:
            for path, says, hint in checker.check(loaded):
                shelves.refuse(loaded, path, says, hint)
            for path, says, hint in _find_repeats(loaded, sentences):
                shelves.refuse(loaded, path, says, hint)


def _value_at(data: Any, path: KeyPath) -> Data:
    """Return the value a path leads to."""
    for step in path:
        data = data[step]
    return cast("Data", data)


def _find_unfilled(data: Data, path: KeyPath = ()) -> Iterator[Wrong]:
    """Find every text that still stands in < >, as `halfturn new` writes what must be filled in."""
    if isinstance(data, str) and data.startswith("<") and data.endswith(">"):
        yield path, "this is not filled in yet", "write your own words in its place, without the < >"
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for step, value in inner:
        yield from _find_unfilled(value, (*path, step))


class _Checker:
    """Holds the names that may be used while the files are gone through."""

    def __init__(self, shelves: Shelves, facts: Mapping[str, Fact]) -> None:
        self.shelves = shelves
        self.facts = facts
        self.sources = {*shelves.of("sources"), *RESERVED}
        self.remedies = set(_remedy_names(shelves))

    def check(self, loaded: Loaded) -> Iterator[Wrong]:
        """Find everything wrong with one file."""
        yield from _find_unfilled(loaded.document.data)
        yield from self._check_sources(loaded.document)
        block = loaded.block
        checks: Mapping[type, Callable[[Loaded], Iterator[Wrong]]] = {
            Lever: self._check_lever,
            Symptom: self._check_symptom,
            Cause: self._check_cause,
            Driving: self._check_driving,
            CasesFile: self._check_cases,
            ChangesFile: self._check_changes,
            Weights: self._check_ranking,
            PhrasesFile: self._check_phrases,
        }
        if type(block) in checks:
            yield from checks[type(block)](loaded)
        elif loaded.kind == "questions":
            for name, question in getattr(block, "questions", {}).items():
                yield from self._check_question(("questions", name), question)
        elif loaded.kind == "tire_reading":
            for name, rule in getattr(block, "tire_reading", {}).items():
                yield from self._check_tire_rule(("tire_reading", name), rule)
        elif loaded.kind == "glossary":
            for name, entry in getattr(block, "glossary", {}).items():
                yield from self._check_see(("glossary", name), entry)

    def _check_sources(self, document: Document) -> Iterator[Wrong]:
        """Look at every `backed_by`, wherever it stands."""
        for path in document.keys:
            if path[-1] == "backed_by":
                value = _value_at(document.data, path)
                if isinstance(value, list):
                    yield from self._check_source_list(value, path)

    def _check_source_list(self, keys: list[Data], path: KeyPath) -> Iterator[Wrong]:
        for index, written in enumerate(keys):
            key = source_key(str(written))
            if key not in self.sources:
                yield (*path, index), f"no source has the key '{key}'", did_you_mean(key, sorted(self.sources))

    def _known(self, kind: str, name: str, path: KeyPath, what: str) -> Iterator[Wrong]:
        if name not in self.shelves.of(kind):
            yield path, f"no {what} is called '{name}'", did_you_mean(name, self.shelves.of(kind))

    def _all_known(self, kind: str, names: Iterable[str], path: KeyPath, what: str) -> Iterator[Wrong]:
        for index, name in enumerate(names):
            yield from self._known(kind, name, (*path, index), what)

    def _check_condition(self, text: str | None, path: KeyPath) -> Iterator[Wrong]:
        if text is None or text in self.shelves.conditions:
            return
        try:
            self.shelves.conditions[text] = read_condition(text, self.facts)
        except ConditionProblem as problem:
            where = f"in '{text}' at letter {problem.column}" if len(text) > 25 else f"in '{text}'"
            yield path, f"{problem.says} ({where})", problem.hint

    def _check_lever(self, loaded: Loaded) -> Iterator[Wrong]:
        lever = loaded.block
        assert isinstance(lever, Lever)  # noqa: S101 - the table of checks says so
        yield from check_lever(lever)
        yield from self._all_known("cautions", lever.cautions, ("cautions",), "caution")
        yield from self._check_condition(lever.only_if, ("only_if",))

    def _check_symptom(self, loaded: Loaded) -> Iterator[Wrong]:
        symptom = loaded.block
        assert isinstance(symptom, Symptom)  # noqa: S101 - the table of checks says so
        yield from self._all_known("cautions", symptom.cautions, ("cautions",), "caution")
        for index, mix_up in enumerate(symptom.not_to_mix_up_with):
            kind = "symptom" if mix_up.symptom is not None else "cause"
            yield from self._known(
                kind, mix_up.symptom or mix_up.cause or "", ("not_to_mix_up_with", index, kind), kind
            )
        for index, remedy in enumerate(symptom.remedies):
            yield from self._check_remedy(remedy, ("remedies", index))

    def _check_cause(self, loaded: Loaded) -> Iterator[Wrong]:
        cause = loaded.block
        assert isinstance(cause, Cause)  # noqa: S101 - the table of checks says so
        yield from self._all_known("cautions", cause.cautions, ("cautions",), "caution")
        if cause.instead is not None:
            yield from self._known("symptom", cause.instead, ("instead",), "symptom")
        for name, signs in (("signs_for", cause.signs_for), ("signs_against", cause.signs_against)):
            for index, sign in enumerate(signs):
                yield from self._check_condition(sign.condition, (name, index, "if"))
        for index, remedy in enumerate(cause.remedies):
            yield from self._check_remedy(remedy, ("remedies", index))

    def _check_driving(self, loaded: Loaded) -> Iterator[Wrong]:
        driving = loaded.block
        assert isinstance(driving, Driving)  # noqa: S101 - the table of checks says so
        yield from check_driving(driving)
        yield from self._all_known("cautions", driving.cautions, ("cautions",), "caution")

    def _check_remedy(self, remedy: TradeRemedy, path: KeyPath) -> Iterator[Wrong]:
        if remedy.driving is not None:
            yield from self._known("driving", remedy.driving, (*path, "driving"), "driving habit")
        if remedy.lever is not None:
            lever = self.shelves.of("lever").get(remedy.lever)
            if lever is None:
                yield from self._known("lever", remedy.lever, (*path, "lever"), "lever")
            elif say_move(self.shelves, remedy).move not in (lever.block.plus_word, lever.block.minus_word):
                allowed = (lever.block.plus_word, lever.block.minus_word, "+", "-")
                hint = did_you_mean(str(remedy.move), allowed)
                yield (*path, "move"), f"'{remedy.lever}' cannot be moved '{remedy.move}'", hint
        yield from self._all_known("cautions", remedy.cautions, (*path, "cautions"), "caution")
        yield from self._check_condition(remedy.only_if, (*path, "only_if"))

    def _check_cases(self, loaded: Loaded) -> Iterator[Wrong]:
        file = loaded.block
        assert isinstance(file, CasesFile)  # noqa: S101 - the table of checks says so
        yield from self._known("symptom", file.cases_for, ("cases_for",), "symptom")
        for index, case in enumerate(file.cases):
            path: KeyPath = ("cases", index)
            for question, choice in case.answers.items():
                yield from self._check_answer(question, choice, (*path, "answers", question))
            for name in ("found", "not_found"):
                if symptom := getattr(case.expect, name):
                    yield from self._known("symptom", symptom, (*path, "expect", name), "symptom")
            for name in ("in_top_three", "never"):
                for place, remedy in enumerate(getattr(case.expect, name)):
                    yield from self._check_remedy_name(remedy, (*path, "expect", name, place))
            for remedy in case.expect.moves:
                yield from self._check_remedy_name(remedy, (*path, "expect", "moves", remedy))
            if case.expect.first is not None:
                yield from self._check_remedy_name(case.expect.first, (*path, "expect", "first"))

    def _check_answer(self, question: str, choice: str, path: KeyPath) -> Iterator[Wrong]:
        asked = self.shelves.of("questions")
        standing = asked.get(question) or asked.get(question.replace("_", "-"))
        if standing is None:
            yield from self._known("questions", question, path, "question")
            return
        choices = [one.id for one in standing.block.choices]
        if choice not in choices:
            yield path, f"'{choice}' is no answer to '{question}'", did_you_mean(choice, choices)

    def _check_remedy_name(self, name: str, path: KeyPath) -> Iterator[Wrong]:
        if say_remedy_name(self.shelves, name) not in self.remedies:
            yield path, f"no remedy is called '{name}'", did_you_mean(name, sorted(self.remedies))

    def _check_changes(self, loaded: Loaded) -> Iterator[Wrong]:
        changes = loaded.block
        assert isinstance(changes, ChangesFile)  # noqa: S101 - the table of checks says so
        for index, line in enumerate(changes.reword):
            yield from self._check_condition(line.only_if, ("reword", index, "only_if"))
        for index, added in enumerate(changes.add):
            yield from self._check_remedy(added, ("add", index))

    def _check_ranking(self, loaded: Loaded) -> Iterator[Wrong]:
        file = loaded.block
        assert isinstance(file, Weights)  # noqa: S101 - the table of checks says so
        for name in Weights.model_fields:
            if name not in self.shelves.ranking and name != "ranking":
                yield ("ranking",), f"'{name}' is missing in this file", "the first pack states every weight"
        for index, family in enumerate(file.families or ()):
            yield from self._all_known("lever", family, ("families", index), "lever")
        yield from check_unit_changes(file.unit_changes or {})

    def _check_phrases(self, loaded: Loaded) -> Iterator[Wrong]:
        file = loaded.block
        assert isinstance(file, PhrasesFile)  # noqa: S101 - the table of checks says so
        for index, phrase in enumerate(file.phrases):
            if phrase.symptom is not None:
                yield from self._known("symptom", phrase.symptom, ("phrases", index, "symptom"), "symptom")

    def _check_question(self, path: KeyPath, question: Question) -> Iterator[Wrong]:
        yield from self._check_condition(question.when, (*path, "when"))
        seen: set[str] = set()
        for index, choice in enumerate(question.choices):
            if choice.id in seen:
                yield (*path, "choices", index, "id"), f"two choices have the id '{choice.id}'", "keep one"
            seen.add(choice.id)

    def _check_tire_rule(self, path: KeyPath, rule: TireRule) -> Iterator[Wrong]:
        yield from self._check_condition(rule.condition, (*path, "if"))
        if rule.lever is None:
            return
        yield from self._known("lever", rule.lever, (*path, "lever"), "lever")
        lever = self.shelves.of("lever").get(rule.lever)
        if lever is not None and rule.move not in (lever.block.plus_word, lever.block.minus_word):
            hint = did_you_mean(str(rule.move), (lever.block.plus_word, lever.block.minus_word))
            yield (*path, "move"), f"'{rule.lever}' cannot be moved '{rule.move}'", hint

    def _check_see(self, path: KeyPath, entry: GlossaryEntry) -> Iterator[Wrong]:
        allowed = [
            word for kind in ("glossary", "lever", "symptom", "cause", "driving") for word in self.shelves.of(kind)
        ]
        for index, word in enumerate(entry.see):
            if word not in allowed:
                yield (
                    (*path, "see", index),
                    f"no word, lever, symptom or cause is called '{word}'",
                    did_you_mean(word, allowed),
                )


def _remedy_names(shelves: Shelves) -> Iterator[str]:
    for lever, standing in shelves.of("lever").items():
        yield f"{lever} {standing.block.plus_word}"
        yield f"{lever} {standing.block.minus_word}"
    yield from shelves.of("driving")
    for placed in shelves.remedies.values():
        yield from (one.remedy.id for one in placed if one.remedy.inspect)


def _find_repeats(loaded: Loaded, seen: dict[str, str]) -> Iterator[Wrong]:
    """Find a reason that was given word for word before: it cannot be the reason for both."""
    block = loaded.block
    remedies: list[TradeRemedy] | list[AddedRemedy] = (
        block.remedies if isinstance(block, Symptom | Cause) else block.add if isinstance(block, ChangesFile) else []
    )
    name = "add" if isinstance(block, ChangesFile) else "remedies"
    for index, remedy in enumerate(remedies):
        sentence = " ".join(remedy.because.casefold().split())
        path: KeyPath = (name, index, "because")
        if sentence in seen:
            yield path, "this reason is word for word that of another remedy", f"see {seen[sentence]}; say it anew"
        else:
            line, _ = loaded.document.place(path)
            seen[sentence] = f"{loaded.document.file}, line {line}"
