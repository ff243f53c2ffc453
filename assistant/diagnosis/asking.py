"""Which of the open questions to ask: the one whose answer would change the list of moves most, for its price."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from typing import TYPE_CHECKING

from assistant.diagnosis.calls import Board, general_levers
from assistant.diagnosis.causes import COMPUTED, WORDS, Weighing, facts_behind, model_answers, signs_of
from assistant.diagnosis.plan import Evidence, Patience, Plan, plan_questions
from assistant.ground.names import plain_id

if TYPE_CHECKING:
    from assistant.diagnosis.evidence import Fact
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models_symptom import Cause


def make_plan(
    board: Board,
    facts: Mapping[str, Fact],
    knowledge: Knowledge,
    answered: AbstractSet[str],
    patience: Patience,
) -> Plan:
    """Work out which open question to ask next, and whether any is worth its price.

    answered: questions that are never asked again. patience: what asking costs this person now.
    """
    if not board.weighing.causes:
        return Plan(nothing="no cause")
    evidence = list(_open_evidence(board.weighing, facts, knowledge, answered))
    options = [*(call.option for call in board.calls), *general_levers(board)]
    return plan_questions(board.chances, board.titles, evidence, options, patience)


def _open_evidence(
    weighing: Weighing, facts: Mapping[str, Fact], knowledge: Knowledge, answered: AbstractSet[str]
) -> Iterator[Evidence]:
    """Give the questions that are open, make sense here and would tell something."""
    models = knowledge.once(model_answers)
    for name, question in knowledge.questions.items():
        qid = plain_id(name)
        if qid in facts or qid in answered or (question.when and knowledge.holds(question.when, facts) is not True):
            continue
        model = models[qid]
        if all(cause.cause not in model.signs for cause in weighing.causes):
            continue
        swings = tuple(_swing(weighing, facts, {qid: choice}, knowledge) for choice in model.usual)
        if any(abs(swing) > 1e-9 for row in swings for swing in row):
            usual = tuple(model.usual.values())
            decides = frozenset(at for at, cause in enumerate(weighing.causes) if _decides(cause, qid, knowledge))
            yield Evidence(qid, swings, usual, question.answerable, decides)


def _decides(cause: Cause, qid: str, knowledge: Knowledge) -> bool:
    """Tell whether an answer to this question alone would name the cause."""
    return any(
        one.strength == "decides" and knowledge.condition(one.condition).names == {qid} for one in cause.signs_for
    )


def _swing(
    weighing: Weighing, facts: Mapping[str, Fact], told: Mapping[str, Fact], knowledge: Knowledge
) -> tuple[float, ...]:
    """Return what one answer would add to each cause's score (log-odds), and nothing to "none of these"."""
    merged = {**facts, **told}
    touched = knowledge.once(facts_behind)
    added = []
    for cause, before in zip(weighing.causes, weighing.signs, strict=True):
        if touched[cause.cause].isdisjoint(told):
            added.append(0.0)
            continue
        after = signs_of(cause, merged, knowledge, weighing.reckoned)
        kept = [one for one in before if one.group in {WORDS, COMPUTED}]
        added.append(sum(one.weight for one in (*after, *kept)) - sum(one.weight for one in before))
    return (*added, 0.0)
