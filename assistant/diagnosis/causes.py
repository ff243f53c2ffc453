"""Causes before cures: which cause is likely, the sum behind it line by line, and what would turn it over.

Score = prior + signs, in log-odds; how signs are weighed is in `signs`, which question to ask next in `plan`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from math import exp
from typing import Any

from assistant.diagnosis.evidence import Fact
from assistant.diagnosis.plan import Evidence, Patience, Plan, plan_questions
from assistant.diagnosis.questions import patience_of, plain_id, read_interview_weights
from assistant.diagnosis.signs import STRENGTH, Fired, Scale, doubt, scale_of, signs_of
from assistant.ground.results import CauseFound, Complaint, Sign
from assistant.ground.words import chance_word, say_number

PRIOR = {"common": 1.1, "usual": 0.0, "rare": -1.6}
"""Log of how often against "usual": three times, and one fifth (assumption, until the notebook has learned better)."""
UNLIKE = 0.4
"""From this chance of "none of these" the case is said to be unlike the pack's."""
UNLIKE_NOTE = (
    "This case is unlike anything in the pack: no cause it knows is well supported. Treat the advice as a guess."
)


def find_causes(
    complaint: Complaint,
    facts: Mapping[str, Fact],
    knowledge: Any,
    answered: AbstractSet[str],
    said: AbstractSet[str] = frozenset(),
) -> tuple[CauseFound, ...]:
    """Return the causes that explain the complaint, most likely first.

    said: symptoms of two halves that the driver described whole; a cause to be treated as one of them gains by it.

    answered: names of the facts that are a person's answers (they may be wrong). With "none of these" chances sum to 1.
    """
    scale = scale_of(knowledge)
    causes = candidate_causes(complaint, knowledge)
    if not causes:
        return ()
    signs = [[*signs_of(cause, facts, answered, scale), *_signs_in_words(cause, complaint, said)] for cause in causes]
    scores = [PRIOR[cause.prior] + sum(one.weight for one in fired) for cause, fired in zip(causes, signs, strict=True)]
    chances = to_chances([*scores, read_interview_weights(knowledge).none_score])
    found = [_found(cause, fired, chance) for cause, fired, chance in zip(causes, signs, chances, strict=False)]
    return tuple(sorted(found, key=lambda one: -one.chance))


def is_unlike_the_pack(causes: Sequence[CauseFound]) -> bool:
    """Tell whether "none of these" is so likely that the case must be said to be unlike anything in the pack."""
    return bool(causes) and 1 - sum(cause.chance for cause in causes) >= UNLIKE


def candidate_causes(complaint: Complaint, knowledge: Any) -> list[Any]:
    """Return the causes that can make such a complaint, in the order of the pack."""
    return [cause for cause in knowledge.causes.values() if any(explains(one, complaint) for one in cause.explains)]


def explains(one: Any, complaint: Complaint) -> bool:
    """Tell whether an entry of `explains` meets a cell of the complaint, or one without balance a symptom without."""
    if one.balance == "none":
        return bool(complaint.other)
    stages = getattr(one, "stages", ("fresh", "settled", "worn"))
    return any(
        cell.balance == one.balance and one.phase in {"all", "none", cell.phase} and cell.stage in stages
        for cell in complaint.cells
    )


_WORDS = "words of the complaint"


def _signs_in_words(cause: Any, complaint: Complaint, said: AbstractSet[str]) -> list[Fired]:
    """Weigh what the complaint itself says: described whole, or with a half this cause does not explain."""
    if cause.instead and cause.instead in said:
        return [Fired(f"You described it yourself: {cause.instead}.", doubt(STRENGTH["strong"]), _WORDS)]
    balances = {cell.balance for cell in complaint.cells if cell.balance in {"loose", "tight"}}
    missed = balances - {one.balance for one in cause.explains}
    if balances == {"loose", "tight"} and len(missed) == 1:
        return [Fired(f"It does not explain the {missed.pop()} half of the complaint.", -STRENGTH["weak"], _WORDS)]
    return []


def to_chances(scores: Sequence[float]) -> list[float]:
    """Turn log-weights into chances that sum to 1."""
    top = max(scores)
    shares = [exp(score - top) for score in scores]
    return [share / sum(shares) for share in shares]


def _found(cause: Any, fired: Sequence[Fired], chance: float) -> CauseFound:
    return CauseFound(
        cause.cause,
        cause.title,
        chance,
        chance_word(chance),
        tuple(Sign(one.text, one.weight) for one in fired if one.weight > 0),
        tuple(Sign(one.text, one.weight) for one in fired if one.weight < 0),
        cause.instead or "",
        PRIOR[cause.prior],
    )


def say_why(cause: CauseFound) -> tuple[str, ...]:
    """Show the sum of one cause line by line, what speaks against it included."""
    before = {1.1: "common", 0.0: "usual", -1.6: "rare"}.get(cause.prior, "by the notebook")
    lines = [f"{cause.prior:+.1f}  before any sign ({before})"]
    lines += [f"{sign.weight:+.1f}  {sign.text}" for sign in cause.signs_for]
    lines += [f"{sign.weight:+.1f}  against: {sign.text}" for sign in cause.signs_against]
    if not cause.signs_against:
        lines.append("      nothing speaks against it so far")
    total = cause.prior + sum(sign.weight for sign in (*cause.signs_for, *cause.signs_against))
    lines.append(f"{total:+.1f}  in all: {cause.word} ({say_number(cause.chance)})")
    return tuple(lines)


def make_plan(
    complaint: Complaint,
    facts: Mapping[str, Fact],
    knowledge: Any,
    answered: AbstractSet[str],
    topic: str = "",
    said: AbstractSet[str] = frozenset(),
    patience: Patience | None = None,
) -> Plan:
    """Work out which open cause question to ask next, and whether any is worth its price.

    patience: what asking costs this person now; when left out, somebody who has not been asked anything.
    """
    weights = read_interview_weights(knowledge)
    scale = scale_of(knowledge)
    causes = candidate_causes(complaint, knowledge)
    if not causes:
        return Plan()
    signs = [[*signs_of(cause, facts, answered, scale), *_signs_in_words(cause, complaint, said)] for cause in causes]
    scores = [PRIOR[cause.prior] + sum(one.weight for one in fired) for cause, fired in zip(causes, signs, strict=True)]
    evidence = []
    for name, question in knowledge.questions.items():
        qid = plain_id(name)
        if qid in facts or qid in answered or (question.when and scale.judge.holds(question.when, facts) is not True):
            continue
        model = scale.questions[qid]
        if all(cause.cause not in model.signs for cause in causes):
            continue
        swings = tuple(_swing(causes, signs, facts, {qid: choice}, answered, scale) for choice in model.usual)
        if any(abs(swing) > 1e-9 for row in swings for swing in row):
            usual = tuple(model.usual.values())
            evidence.append(Evidence(qid, question.topic, swings, question.minutes or 0.0, usual))
    titles = [cause.title for cause in causes]
    return plan_questions(
        to_chances([*scores, weights.none_score]),
        [*titles, "none of these"],
        evidence,
        patience or patience_of(weights, ()),
        topic,
    )


def _swing(
    causes: Sequence[Any],
    signs: Sequence[Sequence[Fired]],
    facts: Mapping[str, Fact],
    told: Mapping[str, Fact],
    answered: AbstractSet[str],
    scale: Scale,
) -> tuple[float, ...]:
    """Return what one answer would add to each cause's score (log-odds), and nothing to "none of these"."""
    merged, asked = {**facts, **told}, set(answered) | set(told)
    added = []
    for cause, before in zip(causes, signs, strict=True):
        if scale.touched[cause.cause].isdisjoint(told):
            added.append(0.0)
            continue
        after = signs_of(cause, merged, asked, scale)
        kept = [one for one in before if one.group == _WORDS]
        added.append(sum(one.weight for one in (*after, *kept)) - sum(one.weight for one in before))
    return (*added, 0.0)
