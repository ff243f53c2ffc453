"""Checks what files say to one another: every lever, source, caution, symptom, habit, cause and fact must exist.

`lay_packs` has put everything on its shelf before; here nothing is changed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import singledispatchmethod

from assistant.ground.read_model import Block
from assistant.ground.words import did_you_mean
from assistant.ground.yaml_file import Data, KeyPath
from assistant.rules.conditions import ConditionProblem, read_condition
from assistant.rules.facts import Fact, name_fact
from assistant.rules.knowledge import WITHOUT_KEY, source_key
from assistant.rules.layers import Shelves
from assistant.rules.models import GlossaryFile, TireReadingFile, Weights
from assistant.rules.models_lever import Driving, Lever
from assistant.rules.models_symptom import (
    CasesFile,
    Cause,
    CauseSign,
    ChangesFile,
    ExampleCase,
    PhrasesFile,
    QuestionsFile,
    Symptom,
    TradeRemedy,
)
from assistant.rules.own_levers import Mistake, check_driving, check_lever, check_shifts
from assistant.rules.pack_files import Loaded, Pack

FELT = "feel"
"""Topic of the questions that only the driver's feeling answers."""


def check_references(shelves: Shelves, packs: Iterable[Pack], facts: Mapping[str, Fact]) -> None:
    """Add a problem to the shelves for everything that points at nothing."""
    checker = _Checker(shelves, facts)
    for pack in packs:
        sentences: dict[str, str] = {}
        for loaded in pack.files:
            for one in (*checker.check(loaded), *_find_repeats(loaded, sentences)):
                shelves.refuse(loaded, one.path, one.says, one.hint, missing=one.missing)


def _walk(data: Data, path: KeyPath = ()) -> Iterator[tuple[KeyPath, Data]]:
    """Give every value of a file with the way to it."""
    yield path, data
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for step, value in inner:
        yield from _walk(value, (*path, step))


def _is_unfilled(value: Data) -> bool:
    """Tell whether a text still stands in < >, as `halfturn new` writes what must be filled in."""
    return isinstance(value, str) and value.startswith("<") and value.endswith(">")


class _Checker:
    """Holds the names that may be used while the files are gone through."""

    def __init__(self, shelves: Shelves, facts: Mapping[str, Fact]) -> None:
        self.shelves = shelves
        self.facts = facts
        self.sources = {*shelves.sources, *WITHOUT_KEY}
        self.remedies = set(_remedy_names(shelves))

    def check(self, loaded: Loaded) -> Iterator[Mistake]:
        """Find everything wrong with one file."""
        for path, value in _walk(loaded.document.data):
            if _is_unfilled(value):
                says, hint = "this is not filled in yet", "write your own words in its place, without the < >"
                yield Mistake(path, says, hint)
            if path and path[-1] == "backed_by" and isinstance(value, list):
                yield from self._check_sources(value, path)
        yield from self._check_block(loaded.block)

    @singledispatchmethod
    def _check_block(self, _: Block) -> Iterator[Mistake]:
        """Check what a file of one kind says; what is registered below is chosen by the model of the file."""
        return iter(())

    def _check_sources(self, written: Sequence[Data], path: KeyPath) -> Iterator[Mistake]:
        for index, one in enumerate(written):
            key = source_key(str(one))
            if key not in self.sources:
                hint = did_you_mean(key, sorted(self.sources))
                yield Mistake((*path, index), f"no source has the key '{key}'", hint)

    def _known(self, kind: str, name: str, path: KeyPath, what: str = "") -> Iterator[Mistake]:
        """Refuse a name that is on no shelf of its kind. what: the kind in words where they are others."""
        shelf = self.shelves.of(kind)
        if name not in shelf:
            yield Mistake(path, f"no {what or kind} is called '{name}'", did_you_mean(name, shelf), name)

    def _check_cautions(self, names: Iterable[str], path: KeyPath = ()) -> Iterator[Mistake]:
        for index, name in enumerate(names):
            yield from self._known("cautions", name, (*path, "cautions", index), "caution")

    def _check_condition(self, text: str | None, path: KeyPath) -> Iterator[Mistake]:
        if text is None or text in self.shelves.conditions:
            return
        try:
            self.shelves.conditions[text] = read_condition(text, self.facts)
        except ConditionProblem as problem:
            where = f"in '{text}' at letter {problem.column}" if len(text) > 25 else f"in '{text}'"
            yield Mistake(path, f"{problem.says} ({where})", problem.hint)

    @_check_block.register
    def _check_lever(self, lever: Lever) -> Iterator[Mistake]:
        yield from check_lever(lever)
        yield from self._check_cautions(lever.cautions)
        yield from self._check_condition(lever.only_if, ("only_if",))

    @_check_block.register
    def _check_symptom(self, symptom: Symptom) -> Iterator[Mistake]:
        yield from self._check_cautions(symptom.cautions)
        for index, mix_up in enumerate(symptom.not_to_mix_up_with):
            for kind, name in (("symptom", mix_up.symptom), ("cause", mix_up.cause)):
                if name is not None:
                    yield from self._known(kind, name, ("not_to_mix_up_with", index, kind))
        yield from self._check_remedies(symptom.remedies, "remedies")

    @_check_block.register
    def _check_cause(self, cause: Cause) -> Iterator[Mistake]:
        yield from self._check_cautions(cause.cautions)
        if cause.instead is not None:
            yield from self._known("symptom", cause.instead, ("instead",))
        for name, signs in (("signs_for", cause.signs_for), ("signs_against", cause.signs_against)):
            for index, sign in enumerate(signs):
                yield from self._check_condition(sign.condition, (name, index, "if"))
                yield from self._check_strength(sign, (name, index, "strength"))
        for index, one in enumerate(cause.explains):
            if one.symptom is not None:
                yield from self._known("symptom", one.symptom, ("explains", index, "symptom"))
        yield from check_shifts(cause)
        yield from self._check_remedies(cause.remedies, "remedies")

    def _check_strength(self, sign: CauseSign, path: KeyPath) -> Iterator[Mistake]:
        """Refuse that a feeling decides."""
        condition = self.shelves.conditions.get(sign.condition)
        felt = {name_fact(qid) for qid, one in self.shelves.questions.items() if one.block.topic == FELT}
        if sign.strength == "decides" and condition is not None and not felt.isdisjoint(condition.names):
            yield Mistake(path, "a feeling cannot decide", "write strong; only what is seen or measured decides")

    @_check_block.register
    def _check_driving(self, driving: Driving) -> Iterator[Mistake]:
        yield from check_driving(driving)
        yield from self._check_cautions(driving.cautions)

    def _check_remedies(self, remedies: Sequence[TradeRemedy], name: str) -> Iterator[Mistake]:
        for index, remedy in enumerate(remedies):
            path: KeyPath = (name, index)
            if remedy.driving is not None:
                yield from self._known("driving", remedy.driving, (*path, "driving"), "driving habit")
            if remedy.lever is not None:
                yield from self._check_move(remedy.lever, str(remedy.move), path, ("+", "-"))
            for place, question in enumerate(remedy.answers):
                yield from self._check_question(question, (*path, "answers", place))
            yield from self._check_cautions(remedy.cautions, path)
            yield from self._check_condition(remedy.only_if, (*path, "only_if"))

    def _check_move(self, name: str, move: str, path: KeyPath, signs: tuple[str, ...] = ()) -> Iterator[Mistake]:
        """Refuse an unknown lever, and a move that is none of its words and of the signs."""
        yield from self._known("lever", name, (*path, "lever"))
        if name in self.shelves.lever:
            lever = self.shelves.lever[name].block
            allowed = (lever.plus_word, lever.minus_word, *signs)
            if move not in allowed:
                yield Mistake((*path, "move"), f"'{name}' cannot be moved '{move}'", did_you_mean(move, allowed))

    @_check_block.register
    def _check_cases(self, file: CasesFile) -> Iterator[Mistake]:
        yield from self._known("symptom", file.cases_for, ("cases_for",))
        for index, case in enumerate(file.cases):
            yield from self._check_case(case, ("cases", index))

    def _check_case(self, case: ExampleCase, path: KeyPath) -> Iterator[Mistake]:
        for question, choice in case.answers.items():
            yield from self._check_answer(question, choice, (*path, "answers", question))
        expect, below = case.expect, (*path, "expect")
        for name, symptom in (("found", expect.found), ("not_found", expect.not_found)):
            if symptom is not None:
                yield from self._known("symptom", symptom, (*below, name))
        for name, remedies in (("in_top_three", expect.in_top_three), ("never", expect.never)):
            for place, remedy in enumerate(remedies):
                yield from self._check_remedy_name(remedy, (*below, name, place))
        for remedy in expect.moves:
            yield from self._check_remedy_name(remedy, (*below, "moves", remedy))
        if expect.first is not None:
            yield from self._check_remedy_name(expect.first, (*below, "first"))

    def _check_question(self, question: str, path: KeyPath) -> Iterator[Mistake]:
        if question.replace("_", "-") not in self.shelves.questions:
            yield from self._known("questions", question, path, "question")

    def _check_answer(self, question: str, choice: str, path: KeyPath) -> Iterator[Mistake]:
        asked = self.shelves.questions
        standing = asked.get(question) or asked.get(question.replace("_", "-"))
        if standing is None:
            yield from self._check_question(question, path)
            return
        choices = [one.id for one in standing.block.choices]
        if choice not in choices:
            yield Mistake(path, f"'{choice}' is no answer to '{question}'", did_you_mean(choice, choices))

    def _check_remedy_name(self, name: str, path: KeyPath) -> Iterator[Mistake]:
        if self.shelves.remedy_name(name) not in self.remedies:
            hint = did_you_mean(name, sorted(self.remedies))
            yield Mistake(path, f"no remedy is called '{name}'", hint, name)

    @_check_block.register
    def _check_changes(self, changes: ChangesFile) -> Iterator[Mistake]:
        for index, line in enumerate(changes.reword):
            yield from self._check_condition(line.only_if, ("reword", index, "only_if"))
        yield from self._check_remedies(changes.add, "add")

    @_check_block.register
    def _check_ranking(self, weights: Weights) -> Iterator[Mistake]:
        for name in self.shelves.ranking.unstated():
            yield Mistake(("ranking",), f"'{name}' is missing in this file", "the first pack states every weight")
        for index, family in enumerate(weights.families or ()):
            for place, lever in enumerate(family):
                yield from self._known("lever", lever, ("families", index, place))

    @_check_block.register
    def _check_phrases(self, file: PhrasesFile) -> Iterator[Mistake]:
        for index, phrase in enumerate(file.phrases):
            if phrase.symptom is not None:
                yield from self._known("symptom", phrase.symptom, ("phrases", index, "symptom"))
            yield from self._check_answers(phrase.answers or {}, ("phrases", index, "answers"))
        for index, one in enumerate(file.changed):
            yield from self._check_answers(one.answers, ("changed", index, "answers"))

    def _check_answers(self, answers: Mapping[str, str], path: KeyPath) -> Iterator[Mistake]:
        for question, choice in answers.items():
            yield from self._check_answer(question, choice, (*path, question))

    @_check_block.register
    def _check_questions(self, file: QuestionsFile) -> Iterator[Mistake]:
        for name, question in file.questions.items():
            path: KeyPath = ("questions", name)
            yield from self._check_condition(question.when, (*path, "when"))
            seen: set[str] = set()
            for index, choice in enumerate(question.choices):
                if choice.id in seen:
                    yield Mistake((*path, "choices", index, "id"), f"two choices have the id '{choice.id}'", "keep one")
                seen.add(choice.id)

    @_check_block.register
    def _check_tire_rules(self, file: TireReadingFile) -> Iterator[Mistake]:
        for name, rule in file.tire_reading.items():
            path: KeyPath = ("tire_reading", name)
            yield from self._check_condition(rule.condition, (*path, "if"))
            if rule.lever is not None:
                yield from self._check_move(rule.lever, str(rule.move), path)

    @_check_block.register
    def _check_glossary(self, file: GlossaryFile) -> Iterator[Mistake]:
        shelves = self.shelves
        allowed = [*shelves.glossary, *shelves.lever, *shelves.symptom, *shelves.cause, *shelves.driving]
        for name, entry in file.glossary.items():
            for index, word in enumerate(entry.see):
                if word not in allowed:
                    says, hint = f"no word, lever, symptom or cause is called '{word}'", did_you_mean(word, allowed)
                    yield Mistake(("glossary", name, "see", index), says, hint, word)


def _remedy_names(shelves: Shelves) -> Iterator[str]:
    for name, standing in shelves.lever.items():
        yield f"{name} {standing.block.plus_word}"
        yield f"{name} {standing.block.minus_word}"
    yield from shelves.driving
    for placed in shelves.remedies.values():
        yield from (one.remedy.id for one in placed if one.remedy.kind not in {"lever", "driving"})
    for cause in shelves.cause.values():
        yield from (one.id for one in cause.block.remedies if one.kind not in {"lever", "driving"})


def _find_repeats(loaded: Loaded, seen: dict[str, str]) -> Iterator[Mistake]:
    """Find a reason that was given word for word before: it cannot be the reason for both."""
    match loaded.block:
        case Symptom(remedies=remedies) | Cause(remedies=remedies):
            name = "remedies"
        case ChangesFile(add=remedies):
            name = "add"
        case _:
            return
    for index, remedy in enumerate(remedies):
        sentence = " ".join(remedy.because.casefold().split())
        path: KeyPath = (name, index, "because")
        if sentence in seen:
            says = "this reason is word for word that of another remedy"
            yield Mistake(path, says, f"see {seen[sentence]}; say it anew")
        else:
            line, _ = loaded.document.place(path)
            seen[sentence] = f"{loaded.document.file}, line {line}"
