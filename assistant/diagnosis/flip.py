"""Why one cause stands before another, and the smallest change of answers that would turn them round."""

from __future__ import annotations

from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from itertools import combinations
from typing import Any

from assistant.diagnosis.causes import PRIOR, candidate_causes
from assistant.diagnosis.evidence import Fact, facts_of_answers
from assistant.diagnosis.questions import plain_id
from assistant.diagnosis.signs import scale_of, signs_of
from assistant.ground.results import CauseFound, Complaint
from assistant.ground.words import say_number


def find_flip(
    first: str,
    other: str,
    complaint: Complaint,
    facts: Mapping[str, Fact],
    knowledge: Any,
    answered: AbstractSet[str],
) -> tuple[tuple[str, str], ...] | None:
    """Return the smallest set of other answers (question id, choice id) that puts `other` before `first`, or None.

    One changed answer before two; a question not asked yet before one already answered; then the largest swing.
    """
    scale = scale_of(knowledge)
    swings: list[tuple[float, bool, tuple[str, str]]] = []
    named = {cause.cause: cause for cause in candidate_causes(complaint, knowledge)}
    if first not in named or other not in named:
        return None

    def lead(new: Mapping[str, Fact]) -> float:
        merged = {**facts, **new}
        asked = set(answered) | set(new)
        sums = [
            PRIOR[named[one].prior] + sum(sign.weight for sign in signs_of(named[one], merged, asked, scale))
            for one in (first, other)
        ]
        return sums[0] - sums[1]

    now = lead({})
    for name, question in knowledge.questions.items():
        qid = plain_id(name)
        for choice in question.choices:
            if facts.get(qid) != choice.id and facts_of_answers({qid: choice.id}):
                swing = now - lead({qid: choice.id})
                if swing > 0:
                    swings.append((swing, qid in facts, (qid, choice.id)))
    swings.sort(key=lambda one: (one[1], -one[0]))
    for size in (1, 2):
        for group in combinations(swings[:40], size):
            answers = {qid: choice for _, _, (qid, choice) in group}
            if len(answers) == size and lead(answers) < 0:
                return tuple(pair for _, _, pair in group)
    return None


def say_flip(flip: tuple[tuple[str, str], ...] | None, first: CauseFound, other: CauseFound, questions: Any) -> str:
    """Say why one cause stands before the other, and the smallest change that would turn them round."""
    gap = f"{first.title} stands before {other.title} ({say_number(first.chance)} against {say_number(other.chance)})"
    if flip is None:
        return gap + "; no two answers would turn them round."
    parts = []
    for qid, choice_id in flip:
        question = questions.get(qid) or questions[qid.replace("_", "-")]
        says = next(choice.says for choice in question.choices if choice.id == choice_id)
        parts.append(f"'{question.asks}' were answered '{says}'")
    return gap + "; they would change places if " + " and ".join(parts) + "."
