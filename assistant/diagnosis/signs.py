"""Reads the conditions of a pack against facts: true, false, or None where a fact is missing.

The signs that speak for and against one cause: which hold, and how much each weighs, in log-odds.

A sign resting on an answer is weighed against the other answers the question could have had. An answer that a cause
makes likely speaks for it by less than its bare strength, and every other answer speaks a little against it; otherwise
chances would be claimed too high, since only what fits would ever count.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from math import exp, log
from typing import Any, Protocol

from assistant.diagnosis.evidence import Fact, facts_of_answers
from assistant.diagnosis.questions import plain_id
from assistant.rules.conditions import Condition, read_condition
from assistant.rules.facts import facts_with_answers


class Judge(Protocol):
    """Reads conditions of the pack."""

    def holds(self, condition: str, facts: Mapping[str, Fact]) -> bool | None:
        """Tell whether a condition is true or false; None when a fact it needs is not known."""

    def names(self, condition: str) -> frozenset[str]:
        """Return the names of the facts a condition speaks of."""


class PackJudge:
    """Conditions of a pack, each understood once."""

    def __init__(self, questions: Mapping[str, Any]) -> None:
        answers = {plain_id(qid): [choice.id for choice in entry.choices] for qid, entry in questions.items()}
        self._known = facts_with_answers(answers)
        self._read: dict[str, Condition] = {}

    def holds(self, condition: str, facts: Mapping[str, Fact]) -> bool | None:
        """See Judge. Raises ConditionProblem for a condition the pack should have refused."""
        return self._condition(condition).holds(facts)

    def names(self, condition: str) -> frozenset[str]:
        """See Judge."""
        return self._condition(condition).names

    def _condition(self, text: str) -> Condition:
        if text not in self._read:
            self._read[text] = read_condition(text, self._known)
        return self._read[text]


_JUDGES: dict[int, tuple[object, PackJudge]] = {}


def judge_of(knowledge: Any) -> Judge:
    """Return the reader of this pack's conditions, made once."""
    kept = _JUDGES.get(id(knowledge))
    if kept is None or kept[0] is not knowledge:
        kept = _JUDGES[id(knowledge)] = (knowledge, PackJudge(knowledge.questions))
    return kept[1]


STRENGTH = {"strong": 2.6, "fair": 1.7, "weak": 0.9}
"""Log-odds of one sign. Three steps are enough: finer ones gain 0.4 points of hit rate on simulated cars."""
WRONG_ANSWERS = 0.1
"""Share of answers that are wrong (assumption)."""
LEAST = 0.05
"""Log-odds below this are not shown and not counted."""


@dataclass(frozen=True)
class Fired:
    """A sign that holds: weight in log-odds, + for the cause; group: the signs it repeats."""

    text: str
    weight: float
    group: str = ""


@dataclass(frozen=True)
class AnswerModel:
    """One question. usual: chance of each telling answer when the question has nothing to do with the cause (sum 1).

    signs: cause id -> answer -> what that answer says of the cause; the chance of an answer under a cause is
    usual x e^weight, and these sum to 1 as well.
    """

    usual: Mapping[str, float]
    signs: Mapping[str, Mapping[str, Fired]]


@dataclass(frozen=True)
class Scale:
    """What signs are weighed with: the pack's conditions and its questions. touched: cause id -> facts it hangs on."""

    judge: Judge
    questions: Mapping[str, AnswerModel]
    touched: Mapping[str, frozenset[str]]


def doubt(weight: float, wrong: float = WRONG_ANSWERS) -> float:
    """Return what a sign of this weight (log-odds) is worth when a share of the answers is wrong.

    The sign is taken as seen with chance p under the cause and 1 - p without it, p / (1 - p) = e^weight; with a share
    `wrong` of answers flipped, p becomes p (1 - wrong) + (1 - p) wrong.
    """
    seen = 1 / (1 + exp(-weight))
    noisy = seen * (1 - wrong) + (1 - seen) * wrong
    return log(noisy / (1 - noisy))


def signs_of(cause: Any, facts: Mapping[str, Fact], answered: AbstractSet[str], scale: Scale) -> list[Fired]:
    """List the signs that hold, strongest first, one for each group of signs that repeat each other."""
    fired = [*_from_answers(cause, facts, scale), *_from_facts(cause, facts, answered, scale)]
    fired.sort(key=lambda one: -abs(one.weight))  # stable: of equals the first in the file
    kept: list[Fired] = []
    for one in fired:
        if abs(one.weight) >= LEAST and (not one.group or all(other.group != one.group for other in kept)):
            kept.append(one)
    return kept


def _from_answers(cause: Any, facts: Mapping[str, Fact], scale: Scale) -> list[Fired]:
    told = ((model.signs.get(cause.cause, {}), facts.get(qid)) for qid, model in scale.questions.items())
    return [signs[str(answer)] for signs, answer in told if answer is not None and str(answer) in signs]


def _from_facts(cause: Any, facts: Mapping[str, Fact], answered: AbstractSet[str], scale: Scale) -> list[Fired]:
    """List the signs that rest on measurements, the setup or several answers together."""
    fired = []
    for signs, way in ((cause.signs_for, 1.0), (cause.signs_against, -1.0)):
        for sign in signs:
            names = scale.judge.names(sign.condition)
            if _one_question(names, scale.questions) or scale.judge.holds(sign.condition, facts) is not True:
                continue
            bare = STRENGTH[sign.strength]
            weight = bare if answered.isdisjoint(names) else doubt(bare)
            fired.append(Fired(sign.text, way * weight, sign.same_as or ""))
    return fired


def _one_question(names: frozenset[str], questions: Mapping[str, object]) -> bool:
    return len(names) == 1 and next(iter(names)) in questions


_SCALES: dict[int, tuple[object, Scale]] = {}


def scale_of(knowledge: Any) -> Scale:
    """Return what signs of this pack are weighed with, made once."""
    kept = _SCALES.get(id(knowledge))
    if kept is None or kept[0] is not knowledge:
        judge = judge_of(knowledge)
        models = {
            plain_id(qid): _model_question(plain_id(qid), entry, tuple(knowledge.causes.values()), judge)
            for qid, entry in knowledge.questions.items()
        }
        touched = {cause.cause: _facts_behind(cause, judge) for cause in knowledge.causes.values()}
        kept = _SCALES[id(knowledge)] = (knowledge, Scale(judge, models, touched))
    return kept[1]


def _facts_behind(cause: Any, judge: Judge) -> frozenset[str]:
    signs = (*cause.signs_for, *cause.signs_against)
    return frozenset[str]().union(*(judge.names(sign.condition) for sign in signs))


def _model_question(qid: str, entry: Any, causes: Sequence[Any], judge: Judge) -> AnswerModel:
    """Work out how likely each answer is, without a cause and under each.

    usual: an answer that is a strong sign of some cause is seldom given without it. With chance 1 / (1 + e^w), w its
    weight for the cause it speaks for most (or against, when for none), a question with one sign for and one against
    keeps exactly the weights of the pack.
    """
    choices = [choice.id for choice in entry.choices if facts_of_answers({qid: choice.id})]
    told = {cause.cause: _signs_on(cause, qid, choices, judge) for cause in causes}
    told = {name: signs for name, signs in told.items() if signs}
    shares = {choice: 1 / (1 + exp(_most_telling(choice, told))) for choice in choices}
    usual = {choice: share / sum(shares.values()) for choice, share in shares.items()}
    says = {choice.id: choice.says for choice in entry.choices}
    signs = {}
    for name, found in told.items():
        likely = log(sum(usual[choice] * exp(found[choice].weight if choice in found else 0.0) for choice in choices))
        group = _shared_group(found)
        missing = {choice: Fired(f"You said '{says[choice]}' ({entry.asks})", 0.0, group) for choice in choices}
        signs[name] = {
            choice: Fired(one.text, one.weight - likely, one.group) for choice, one in {**missing, **found}.items()
        }
    return AnswerModel(usual, signs)


def _signs_on(cause: Any, qid: str, choices: Sequence[str], judge: Judge) -> dict[str, Fired]:
    """Return, for each answer that is a sign of this cause, the strongest such sign."""
    found: dict[str, Fired] = {}
    for signs, way in ((cause.signs_for, 1.0), (cause.signs_against, -1.0)):
        for sign in signs:
            if judge.names(sign.condition) != {qid}:
                continue
            weight = way * doubt(STRENGTH[sign.strength])
            for choice in choices:
                stronger = choice not in found or abs(found[choice].weight) < abs(weight)
                if stronger and judge.holds(sign.condition, {qid: choice}):
                    found[choice] = Fired(sign.text, weight, sign.same_as or "")
    return found


def _most_telling(choice: str, told: Mapping[str, Mapping[str, Fired]]) -> float:
    weights = [signs[choice].weight for signs in told.values() if choice in signs]
    if not weights:
        return 0.0
    return max(weights) if max(weights) > 0 else min(weights)


def _shared_group(found: Mapping[str, Fired]) -> str:
    groups = {one.group for one in found.values()}
    return groups.pop() if len(groups) == 1 else ""
