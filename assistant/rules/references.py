"""Checks what files say to one another: every lever, source, caution, symptom, habit, cause and fact must exist.

Which field names what, its type says (`models.Refers`). `lay_packs` has put everything on its shelf before; here
nothing is changed.
"""

from __future__ import annotations

from collections.abc import Collection, Generator, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from math import isnan, nan
from typing import Any, NamedTuple, get_args, get_origin

from pydantic import BaseModel

from assistant.car.case import MODEL_KINDS
from assistant.car.keys import LEVER_KIND, LEVERS, NOT_COMPUTED
from assistant.car.records import TOO_FINE, too_fine
from assistant.ground.names import RENAMED, did_you_mean, entry_of, plain_id
from assistant.ground.problems import Data, KeyPath
from assistant.ground.quantities import QUANTITIES
from assistant.ground.read_model import is_model, peel
from assistant.ground.units import UnitProblem, find_unit, read
from assistant.rules.conditions import read_condition
from assistant.rules.facts import ConditionProblem, Fact
from assistant.rules.knowledge import WITHOUT_KEY, source_key
from assistant.rules.layers import Shelves
from assistant.rules.models import Driving, Lever, OwnRange, Refers, TireRule, Weights
from assistant.rules.models_symptom import Cause, CauseSign, Question, TradeRemedy
from assistant.rules.pack_files import Loaded, Pack

FELT = "feel"
"""Topic of the questions that only the driver's feeling answers."""


class Mistake(NamedTuple):
    """One mistake in a file: where, what is wrong, what to do. missing: the thing that it says is not there."""

    path: KeyPath
    says: str
    hint: str
    missing: str = ""


def check_references(shelves: Shelves, packs: Iterable[Pack], facts: Mapping[str, Fact]) -> None:
    """Add a problem to the shelves for everything that points at nothing."""
    for pack in packs:
        checker = _Checker(shelves, facts)
        for loaded in pack.files:
            for one in checker.check(loaded):
                shelves.refuse(loaded, one.path, one.says, one.hint, missing=one.missing)


@dataclass(frozen=True)
class _MayHold:
    """What may stand in a field. kinds: what it names. key, inner: of what is in it, when it is a block or a list."""

    kinds: tuple[str, ...]
    key: _MayHold | None = None
    inner: _MayHold | None = None


def _may_hold(annotation: Any, marks: Iterable[object] = ()) -> _MayHold | None:
    """Find out what a type may hold that names something; None when it holds neither that nor a block."""
    plain, beside = peel(annotation)
    kinds = tuple(mark.kind for mark in (*marks, *beside) if isinstance(mark, Refers))
    inside = [_may_hold(one) for one in get_args(plain)] if get_origin(plain) in {list, dict} else [None]
    if not kinds and not any(inside) and not is_model(plain):
        return None
    return _MayHold(kinds, inside[0] if len(inside) > 1 else None, inside[-1])


@cache
def _fields_of(model: type[BaseModel]) -> tuple[tuple[str, str, _MayHold], ...]:
    """List the fields of a model that matter here: name in code, name in files, what it may hold."""
    found = (
        (name, info.alias or name, _may_hold(info.annotation, info.metadata))
        for name, info in model.model_fields.items()
    )
    return tuple((name, written, inner) for name, written, inner in found if inner is not None)


def _walk(found: Any, shape: _MayHold, path: KeyPath = ()) -> Iterator[tuple[KeyPath, str, Any]]:
    """Give all that names a thing, with the way to it and the kind of thing; then every block, which is of no kind."""
    yield from ((path, kind, found) for kind in shape.kinds)
    if isinstance(found, BaseModel):
        for name, written, inner in _fields_of(type(found)):
            if value := getattr(found, name):
                yield from _walk(value, inner, (*path, written))
        yield path, "", found
        return
    for at, part in ((0, shape.key), (1, shape.inner)):
        if part is not None:
            for pair in found.items() if isinstance(found, dict) else enumerate(found):
                yield from _walk(pair[at], part, (*path, pair[0]))


def _find_unfilled(data: Data, path: KeyPath = ()) -> Iterator[Mistake]:
    """Find the texts that still stand in < >, as `halfturn new` writes what must be filled in."""
    if isinstance(data, dict | list):
        for step, value in data.items() if isinstance(data, dict) else enumerate(data):
            yield from _find_unfilled(value, (*path, step))
    elif isinstance(data, str) and data.startswith("<") and data.endswith(">"):
        yield Mistake(path, "this is not filled in yet", "write your own words in its place, without the < >")


class _Checker:
    """Holds the names that may be used while the files of one pack are gone through, and the reasons seen so far."""

    def __init__(self, shelves: Shelves, facts: Mapping[str, Fact]) -> None:
        self.shelves = shelves
        self.facts = facts
        self.sources = {*shelves.sources, *WITHOUT_KEY}
        self.felt = {plain_id(qid) for qid, one in shelves.questions.items() if one.block.topic == FELT}
        self.reasons: dict[str, str] = {}
        things = (*shelves.lever, *shelves.symptom, *shelves.cause, *shelves.driving)
        self.named: Mapping[str, tuple[str, Collection[str]]] = {
            "lever": ("lever", shelves.lever),
            "symptom": ("symptom", shelves.symptom),
            "cause": ("cause", shelves.cause),
            "symptom or cause": ("symptom or cause", [*shelves.symptom, *shelves.cause]),
            "driving": ("driving habit", shelves.driving),
            "caution": ("caution", shelves.cautions),
            "remedy": ("remedy", sorted(set(_remedy_names(shelves)))),
            "word": ("word, lever, symptom or cause", [*shelves.glossary, *things]),
        }

    def check(self, loaded: Loaded) -> Iterator[Mistake]:
        """Find everything wrong with one file."""
        yield from _find_unfilled(loaded.document.data)
        for path, kind, found in _walk(loaded.block, _MayHold(())):
            match kind:
                case "":
                    yield from self._check_block(found, path, loaded)
                case "condition":
                    yield from self._check_condition(found, path)
                case "source":
                    yield from self._check_source(source_key(found), path)
                case "question":
                    yield from self._check_question(found, path)
                case "answers":
                    for question, choice in found.items():
                        yield from self._check_answer(question, choice, (*path, question))
                case _:
                    yield from self._check_name(kind, found, path)

    def _check_name(self, kind: str, name: str, path: KeyPath) -> Iterator[Mistake]:
        what, allowed = self.named[kind]
        if (self.shelves.remedy_name(name) if kind == "remedy" else name) not in allowed:
            yield Mistake(path, f"no {what} is called '{name}'", did_you_mean(name, allowed), name)

    def _check_source(self, key: str, path: KeyPath) -> Iterator[Mistake]:
        if key not in self.sources:
            yield Mistake(path, f"no source has the key '{key}'", did_you_mean(key, sorted(self.sources)))

    def _check_question(self, question: str, path: KeyPath) -> Iterator[Mistake]:
        asked = self.shelves.questions
        if entry_of(question, asked) is None:
            yield Mistake(path, f"no question is called '{question}'", did_you_mean(question, asked), question)

    def _check_answer(self, question: str, choice: str, path: KeyPath) -> Iterator[Mistake]:
        asked = self.shelves.questions
        standing = entry_of(question, asked)
        if standing is None:
            yield from self._check_question(question, path)
            return
        choices = [one.id for one in standing.block.choices]
        if choice not in choices:
            yield Mistake(path, f"'{choice}' is no answer to '{question}'", did_you_mean(choice, choices))

    def _check_condition(self, text: str, path: KeyPath) -> Iterator[Mistake]:
        """Refuse a condition nobody understands; keep one that was understood."""
        if text in self.shelves.conditions:
            return
        try:
            self.shelves.conditions[text] = read_condition(text, self.facts)
        except ConditionProblem as problem:
            where = f"in '{text}' at letter {problem.column}" if len(text) > 25 else f"in '{text}'"
            yield Mistake(path, f"{problem.says} ({where})", problem.hint)

    def _check_block(self, block: BaseModel, path: KeyPath, loaded: Loaded) -> Iterator[Mistake]:
        """Check what no single name in a block shows."""
        match block:
            case Lever():
                yield from check_lever(block)
            case Driving():
                yield from check_driving(block)
            case TireRule():
                yield from self._check_move(block, path)
            case TradeRemedy():
                yield from self._check_move(block, path, "+", "-")
                yield from self._check_reason(block, (*path, "because"), loaded)
            case Cause():
                yield from check_shifts(block)
            case CauseSign():
                yield from self._check_strength(block, path)
            case Question():
                yield from _check_choices(block, path)
            case Weights():
                for name in self.shelves.ranking.unstated():
                    says, hint = f"'{name}' is missing in this file", "the first pack states every weight"
                    yield Mistake(("ranking",), says, hint)

    def _check_move(self, said: TradeRemedy | TireRule, path: KeyPath, *signs: str) -> Iterator[Mistake]:
        """Refuse a move that is none of the words of its lever and none of the signs."""
        if said.lever in self.shelves.lever:
            lever = self.shelves.lever[said.lever].block
            allowed = (lever.plus_word, lever.minus_word, *signs)
            if said.move not in allowed:
                says, hint = f"'{said.lever}' cannot be moved '{said.move}'", did_you_mean(str(said.move), allowed)
                yield Mistake((*path, "move"), says, hint)

    def _check_reason(self, remedy: TradeRemedy, path: KeyPath, loaded: Loaded) -> Iterator[Mistake]:
        """Refuse a reason that was given word for word before: it cannot be the reason for both."""
        sentence = " ".join(remedy.because.casefold().split())
        if (first := self.reasons.get(sentence)) is not None:
            says = "this reason is word for word that of another remedy"
            yield Mistake(path, says, f"see {first}; say it anew")
        else:
            self.reasons[sentence] = f"{loaded.document.file}, line {loaded.document.place(path)[0]}"

    def _check_strength(self, sign: CauseSign, path: KeyPath) -> Iterator[Mistake]:
        condition = self.shelves.conditions.get(sign.condition)
        if sign.strength == "decides" and condition is not None and not self.felt.isdisjoint(condition.names):
            hint = "write fair; only what is seen or measured decides"
            yield Mistake((*path, "strength"), "a feeling cannot decide", hint)


def _check_choices(question: Question, path: KeyPath) -> Iterator[Mistake]:
    ids = [choice.id for choice in question.choices]
    for index, one in enumerate(ids):
        if one in ids[:index]:
            yield Mistake((*path, "choices", index, "id"), f"two choices have the id '{one}'", "keep one")


def _remedy_names(shelves: Shelves) -> Iterator[str]:
    for name, standing in shelves.lever.items():
        yield f"{name} {standing.block.plus_word}"
        yield f"{name} {standing.block.minus_word}"
    yield from shelves.driving
    remedies = [one.remedy for placed in shelves.remedies.values() for one in placed]
    remedies += [one for cause in shelves.cause.values() for one in cause.block.remedies]
    yield from (one.id for one in remedies if one.kind not in {"lever", "driving"})


def _size(text: str | float, kind: str, path: KeyPath, unit: str | None = None) -> Generator[Mistake, None, float]:
    """Read a number of a file into SI; one that cannot be read is a mistake, and no number."""
    try:
        return read(text, kind, default_unit=unit).value
    except UnitProblem as problem:
        yield Mistake(path, problem.says, problem.hint)
    return nan


RANGE_EXAMPLE = "add 'range: {from: 0, to: 4, step: 1, now: 2}' in the lever's unit"
_WORDS = {"low": "from", "high": "to", "step": "step", "now": "now"}


def check_own(lever: Lever) -> Iterator[Mistake]:
    """Find what a lever of a team's own lacks, and what of it does not go together."""
    if lever.range is None:
        yield Mistake(("lever",), "nothing says how far this lever goes and where it stands", RANGE_EXAMPLE)
    else:
        yield from _check_range(lever, lever.range)
    if lever.model is None:
        if lever.model_change is not None:
            yield Mistake(("model_change",), "'model_change' stands without 'model'", "say what it changes")
        return
    if lever.by_the_book is not None:
        yield Mistake(("by_the_book",), "'model' and 'by_the_book' both say what this lever does", "keep one")
    if lever.model in LEVER_KIND and lever.model in NOT_COMPUTED:
        says = f"the vehicle model does not compute '{lever.model}'"
        yield Mistake(("model",), says, "give its sizes in a 'by_the_book:' block")
    elif lever.model not in MODEL_KINDS:
        yield Mistake(("model",), f"the vehicle model has no '{lever.model}'", did_you_mean(lever.model, MODEL_KINDS))
    else:
        yield from _check_change(lever, MODEL_KINDS[lever.model])


def _check_range(lever: Lever, ends: OwnRange) -> Iterator[Mistake]:
    sizes = []
    for name, word in _WORDS.items():
        sizes.append((yield from _size(getattr(ends, name), lever.quantity or "count", ("range", word), lever.unit)))
    low, high, step, now = sizes
    if isnan(sum(sizes)):
        return
    if step <= 0:
        yield Mistake(
            ("range", "step"), "the step must be more than nothing", "write the smallest change that can be made"
        )
    elif high - low < step * (1 - 1e-9):
        yield Mistake(("range", "to"), "there is not one step between 'from' and 'to'", "check all three")
    elif too_fine(low, high, step):
        yield Mistake(("range", "step"), TOO_FINE, "write the smallest change anybody would make")
    slack = 1e-6 * step
    if not low - slack <= now <= high + slack:
        yield Mistake(("range", "now"), "it stands outside its own range", "check 'from' and 'to'")


def _check_change(lever: Lever, kind: str) -> Iterator[Mistake]:
    if lever.model_change is None:
        says = f"nothing says how far one step moves '{lever.model}'"
        yield Mistake(("model",), says, "add 'model_change:', for example 0.1 with its unit; with - when it goes down")
        return
    if (yield from _size(lever.model_change, kind, ("model_change",))) == 0:
        yield Mistake(("model_change",), "a change of nothing does nothing", "write how far one step moves it")


def check_shifts(cause: Cause) -> Iterator[Mistake]:
    """Find what is wrong with how far levers are off under a cause."""
    for lever, band in cause.model.items():
        if lever not in MODEL_KINDS or lever not in LEVER_KIND:
            says = f"the vehicle model does not compute '{lever}'"
            yield Mistake(
                ("model", lever), says, did_you_mean(lever, [one for one in MODEL_KINDS if one in LEVER_KIND])
            )
            continue
        sizes = []
        for place, text in enumerate(band):
            sizes.append((yield from _size(text, LEVER_KIND[lever], ("model", lever, place))))
        if not any(map(isnan, sizes)) and not sizes[0] < sizes[1]:
            yield Mistake(("model", lever), "the band ends before it begins", "from the lower to the higher number")


MOST_USUAL = 1000.0
"""Usual changes in the largest sensible one; those of the base pack hold a dozen at most."""


def check_lever(lever: Lever) -> Iterator[Mistake]:
    """Find everything wrong with the numbers of a lever."""
    is_computed = lever.lever in LEVERS and lever.lever not in NOT_COMPUTED
    if not (is_computed or lever.model or lever.by_the_book):
        yield Mistake(("lever",), "nothing says what this lever does", "add 'model: ...' or a 'by_the_book:' block")
    if lever.plus_word == lever.minus_word:
        yield Mistake(("minus_word",), "'plus_word' and 'minus_word' are the same", "one word for each way")
    if lever.lever in RENAMED:
        yield Mistake(
            ("lever",), f"no lever is called '{lever.lever}' any more", f"it is called '{RENAMED[lever.lever]}' now"
        )
    kind = lever.quantity
    if kind is None:
        yield Mistake(("unit",), f"'{lever.unit}' is no unit", "use a unit such as in, lb/in, psi, deg or turns")
        return
    try:
        find_unit(lever.unit, QUANTITIES[kind])
    except UnitProblem as problem:
        yield Mistake(("unit",), problem.says, problem.hint)
        return
    yield from _check_sizes(lever, kind)
    yield from check_own(lever) if lever.is_own else _check_known(lever)


def _check_known(lever: Lever) -> Iterator[Mistake]:
    """Find what a lever of the setup must not say: its range is the rulebook's, its effect the model's."""
    if lever.model is not None and lever.model not in LEVERS:
        yield Mistake(("model",), f"the vehicle model has no lever '{lever.model}'", did_you_mean(lever.model, LEVERS))
    for name in ("range", "model_change"):
        if getattr(lever, name) is not None:
            says = f"'{name}' is for levers of a team's own; '{lever.lever}' is a lever of every setup"
            yield Mistake((name,), says, "leave it out: rulebook and setup file say it")


def _check_sizes(lever: Lever, kind: str) -> Iterator[Mistake]:
    usual = yield from _size(lever.usual_change, kind, ("usual_change",), lever.unit)
    largest = yield from _size(lever.largest_change, kind, ("largest_change",), lever.unit)
    for name, size in (("usual_change", usual), ("largest_change", largest)):
        if size <= 0:
            yield Mistake((name,), f"'{name}' must be more than nothing", "write it without a sign")
    if usual > largest > 0:
        yield Mistake(("usual_change",), "the usual change is larger than the largest sensible one", "check both")
    if largest > MOST_USUAL * usual > 0:
        yield Mistake(
            ("usual_change",), "the usual change is next to nothing beside the largest sensible one", "check both"
        )


def check_driving(driving: Driving) -> Iterator[Mistake]:
    """Find everything wrong with the numbers of a driving habit."""
    if driving.computed is None:
        return
    if driving.by_the_book:
        yield Mistake(("by_the_book",), "'computed' and 'by_the_book' both say what this does", "keep one")
    for name, text in driving.computed.model_dump(exclude_none=True).items():
        yield from _size(text, "share", ("computed", name))
