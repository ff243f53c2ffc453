"""Reads the conditions of a pack against facts: true, false, or None where a fact is missing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Protocol

from assistant.advice.interview.facts import Fact
from assistant.advice.interview.questions import plain_id
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
