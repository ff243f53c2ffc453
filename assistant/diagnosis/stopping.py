"""What stops the talk before any advice, and whether a look at the car lifts it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from assistant.diagnosis.questions import NONE_FOUND, NONE_NOTICED, SAFETY, is_unsure, question_of
from assistant.ground.understood import AT_ONCE, BROKEN_PART, CauseFound, StopReason

if TYPE_CHECKING:
    from assistant.diagnosis.hearing import Heard
    from assistant.diagnosis.match import Match
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models_symptom import Question

LEADS = 0.55
"""From this chance on a cause leads ("more likely than not")."""
A_HIT, CONTACT, LOOKED_OVER = "a hit", "contact", "checked"
"""The sign of a hit, the question about it, and the answer that the car was looked over since and is sound."""
NOT_ASKED = AT_ONCE | {BROKEN_PART}
"""Dangers that are a stop whatever else was found. For all others it is asked whether the car was looked over since."""
STOPS = {"pedal": frozenset({"longer", "shakes", "pulls"}), "tread_look": frozenset({"cord"})}
"""Answers to other questions than that of safety that stop the car."""


def stop_said(reading: Heard, known: Mapping[str, str], questions: Mapping[str, Question]) -> StopReason | None:
    """Return what was said that must be inspected first, None when the car may be adjusted."""
    if reading.said.safety:
        return StopReason(reading.said.safety)
    if known.get("safety") == "yes":
        return StopReason(_said_to("safety_kind", known, questions), "safety_kind")
    stopped = next((qid for qid, choices in STOPS.items() if known.get(qid) in choices), "")
    return StopReason(_said_to(stopped, known, questions) or (known[stopped],), stopped) if stopped else None


def _said_to(qid: str, known: Mapping[str, str], questions: Mapping[str, Question]) -> tuple[str, ...]:
    """Return the words of the answer to a question; none where there is no answer that tells something."""
    question = question_of(qid, questions)
    choice = question.choice(known.get(qid, "")) if question else None
    return () if choice is None or is_unsure(choice.id) else (choice.says,)


def stop_found(symptoms: Sequence[Match], causes: Sequence[CauseFound], knowledge: Knowledge) -> StopReason | None:
    """Stop for the nearest symptom, any that was named outright, or a likely cause that is a matter of safety."""
    for place, match in enumerate(symptoms):
        symptom = knowledge.symptoms[match.symptom]
        if symptom.safety and (place == 0 or symptom.balance == "none"):
            return StopReason((match.symptom,))
    if causes and knowledge.causes[causes[0].id].safety and causes[0].chance >= LEADS:
        return StopReason((causes[0].title,), chance=causes[0].chance)
    return None


def looks_at(reading: Heard) -> list[str]:
    """List the questions whether the car was looked over for the dangers told of."""
    hit = [CONTACT] if A_HIT in reading.said.safety else []
    return hit if set(reading.said.safety) == {A_HIT} else [*hit, SAFETY]


def is_unsafe(reading: Heard, known: Mapping[str, str]) -> bool:
    """Tell whether a danger told of is a stop that no look lifts, or a look has not lifted it."""
    looked = {CONTACT: LOOKED_OVER, SAFETY: NONE_FOUND}
    return bool(NOT_ASKED.intersection(reading.said.safety)) or any(
        known.get(qid, looked[qid]) != looked[qid] for qid in looks_at(reading)
    )


def is_looked_over(reading: Heard, known: Mapping[str, str]) -> bool:
    """Tell whether the car was looked over for the dangers told of and found sound."""
    return not is_unsafe(reading, known) and all(qid in known for qid in looks_at(reading))


def is_unchecked(known: Mapping[str, str]) -> bool:
    """Tell whether nobody has looked the car over yet, as far as was said."""
    return known.get("safety", "not-checked") in {"not-checked", NONE_NOTICED}
