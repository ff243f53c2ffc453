"""How much asking this person will bear: the pack's prices of questions, and how often they have been unsure so far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import log
from typing import Any

from assistant.advice.interview.plan import Patience
from assistant.advice.interview.questions import COMPLAINT, FIXED, HOW_BAD_EACH, is_unsure, plain_id

IN_A_ROW = 2
"""From so many "not sure" in a row on, the next answer is taken to be one too, with the chance `unsure_again`."""
_NOT_ABOUT_CAUSES = frozenset({COMPLAINT.id, *HOW_BAD_EACH, *(question.id for question in FIXED)})


@dataclass(frozen=True)
class InterviewWeights:
    """One field for each key of `interview` in ranking.yaml, where each is explained."""

    question_price: float
    price_growth: float
    minute_price: float
    topic_price: float
    unsure: float
    unsure_again: float
    none_of_these: float

    @property
    def none_score(self) -> float:
        """Log-weight of "none of these" against a usual cause without any sign."""
        return log(self.none_of_these)


def read_interview_weights(knowledge: Any) -> InterviewWeights:
    """Take the weights of the interview out of the ranking of all packs. ValueError when one is in none of them."""
    stated = knowledge.ranking.get("interview") or {}
    missing = [name for name in InterviewWeights.__dataclass_fields__ if stated.get(name) is None]
    if missing:
        raise ValueError(f"no pack states these weights of the interview: {', '.join(missing)}")
    return InterviewWeights(**{name: float(stated[name]) for name in InterviewWeights.__dataclass_fields__})


def patience_of(weights: InterviewWeights, given: Sequence[tuple[str, str]], *, eager: bool = False) -> Patience:
    """Say what one more question costs somebody who has answered these (question id, choice id).

    eager: has asked for more questions, so that none costs anything.
    """
    asked = sum(plain_id(qid) not in _NOT_ABOUT_CAUSES for qid, _ in given)
    unsure = weights.unsure_again if _unsure_in_a_row(given) >= IN_A_ROW else weights.unsure
    known = Patience(
        weights.question_price, weights.price_growth, weights.minute_price, weights.topic_price, unsure, asked
    )
    return replace(known, question=0.0, growth=0.0, minute=0.0) if eager else known


def _unsure_in_a_row(given: Sequence[tuple[str, str]]) -> int:
    """Count the answers at the end that say "not sure"; an unchecked car is no sign of not knowing."""
    count = 0
    for qid, choice in reversed(given):
        if qid == "safety":
            continue
        if not is_unsure(choice):
            break
        count += 1
    return count
