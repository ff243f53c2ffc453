"""How bad each complaint is: one question for a single complaint, one each for the first two of several.

Two complaints are two when they differ in balance or in where they are felt. Beyond the second nobody is asked, so that
the interview stays short; those stay unsaid. `how_bad` answers for all that have no answer of their own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from assistant.advice.hearing.claim import PHASES, STAGES, Claim
from assistant.advice.hearing.say_back import Part
from assistant.advice.interview.questions import HOW_BAD, HOW_BAD_EACH, Question

_Key = tuple[str, tuple[str, ...]]
_NUMBERS = frozenset({"1", "2", "3", "4", "5"})


def fold_severities(claims: tuple[Claim, ...], known: Mapping[str, str]) -> tuple[Claim, ...]:
    """Note which question asks how bad each claim is, and put the answers in. Claims have their places already."""
    unsaid = list(dict.fromkeys(_key(claim) for claim in claims if is_complaint(claim) and claim.severity is None))
    asked = dict(zip(unsaid, HOW_BAD_EACH, strict=False)) if len(unsaid) > 1 else dict.fromkeys(unsaid, HOW_BAD)
    return tuple(
        _fold(claim, asked.get(_key(claim), ""), known) if is_complaint(claim) and claim.severity is None else claim
        for claim in claims
    )


def _fold(claim: Claim, qid: str, known: Mapping[str, str]) -> Claim:
    claim = replace(claim, severity_by=qid)
    said = [known[name] for name in (qid, HOW_BAD) if known.get(name) in _NUMBERS]
    return replace(claim, severity=float(said[0])) if said else claim


def asks_how_bad(qid: str, claims: list[Claim], known: Mapping[str, str]) -> bool:
    """Whether this question about how bad it is comes up; one answer for all makes the single ones needless."""
    if qid != HOW_BAD:
        return HOW_BAD not in known and any(claim.severity_by == qid for claim in claims)
    return any(claim.severity_by == qid for claim in claims)


def name_complaint(question: Question, claims: list[Claim]) -> Question:
    """Say in the question which complaint is meant, when there are several and it is about one of them."""
    meant = [claim for claim in claims if claim.severity_by == question.id]
    if not meant or len({_key(claim) for claim in claims}) < 2:
        return question
    first = meant[0]
    stages = tuple(stage for stage in STAGES if any(stage in (one.stages or one.usual_stages) for one in meant))
    part = Part(first.balance, _where(first), stages or STAGES, None, None)
    named = part.where if part.stages == STAGES else part.where_and_when
    return replace(question, text=f"{named[0].upper()}{named[1:]}: {question.text[0].lower()}{question.text[1:]}")


def is_complaint(claim: Claim) -> bool:
    """Whether a claim complains of something."""
    return claim.balance in {"loose", "tight"} and not claim.denied


def _key(claim: Claim) -> _Key:
    return claim.balance, _where(claim)


def _where(claim: Claim) -> tuple[str, ...]:
    return claim.phases or claim.usual_phases or PHASES
