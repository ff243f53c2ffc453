"""What comes before any advice: a stop, whether a look at the car lifts it, and why nobody could tell what to do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.diagnosis.evidence import NO_SHEET, WAS_RIGHT, WHAT_CHANGED
from assistant.diagnosis.gauges_read import is_below_cold, is_losing_air
from assistant.diagnosis.hearing import but_numbers
from assistant.diagnosis.questions import (
    NONE_FOUND,
    NONE_NOTICED,
    SAFETY,
    SEVERAL_CHANGED,
    SLIDES,
    is_unsure,
    question_of,
)
from assistant.diagnosis.sentences import TRAFFIC
from assistant.ground.understood import (
    AT_ONCE,
    BROKEN_PART,
    LOSES_AIR,
    UNDER_A_CAR,
    UNWELL,
    CauseFound,
    Complaint,
    StopReason,
)

if TYPE_CHECKING:
    from assistant.car.case import Case, Setup
    from assistant.diagnosis.calls import Board
    from assistant.diagnosis.hearing import Heard
    from assistant.diagnosis.match import Match
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models_symptom import Question

LEADS = 0.55
"""From this chance on a cause leads ("more likely than not")."""
LITTLE_TOLD = 2
"""So many of where, when and since when are not known where nobody could tell what to do."""
TOLD_ALL_THE_SAME = {
    "no sheet": LEADS,
    "too little": LEADS,
    "unknown change": 0.3,
    "many changes": 0.3,
    "conflict": 0.3,
}
"""Why nobody could tell, and the chance of a cause from which it can be told all the same (assumption)."""
SETTLED = frozenset({"no sheet", "question", "many changes", "few laps"})
"""Why nobody could tell, where no further answer about the car would change that."""
A_HIT, CONTACT, LOOKED_OVER, NO_HIT = "a hit", "contact", "checked", "none"
"""The sign of a hit, the question about it, and the answers that the car was looked over since, and that none was."""
SHAKE, ON_RESTARTS, RESTARTS, QUIT = "vibration", "cold tires", "restart_only", "only-then"
"""A shake that was told of a restart, the question whether it is only there, and the answer that it quit by itself."""
SOUND = {CONTACT: {LOOKED_OVER, NO_HIT}, SAFETY: {NONE_FOUND}, RESTARTS: {QUIT}}
"""Answers that find a car sound for which a danger was told."""
NOT_ASKED = AT_ONCE | {BROKEN_PART}
"""Dangers that are a stop whatever else was found. For all others it is asked whether the car was looked over since."""
STOPS = {
    "pedal": frozenset({"longer", "shakes", "pulls"}),
    "tread_look": frozenset({"cord"}),
    "pressures_hot": frozenset({"low"}),
}
"""Answers to other questions than that of safety that stop the car."""
SIGN_OF = {"driver": UNWELL, "under": UNDER_A_CAR, "low": LOSES_AIR}
"""Answers that stop the car and are a sign of danger of its own in the packs."""


def stop_said(reading: Heard, known: Mapping[str, str], questions: Mapping[str, Question]) -> StopReason | None:
    """Return what was said that must be inspected first, None when the car may be adjusted."""
    if reading.said.safety:
        return StopReason(reading.said.safety)
    if known.get("safety") == "yes":
        return StopReason(_said_to("safety_kind", known, questions), "safety_kind")
    stopped = next((qid for qid, choices in STOPS.items() if known.get(qid) in choices), "")
    return StopReason(_said_to(stopped, known, questions) or (known[stopped],), stopped) if stopped else None


def told_by_gauge(case: Case, cold: Setup) -> dict[str, str]:
    """Return what a hot pressure answers that was read below the cold one. cold: the setup it was read on."""
    return {SAFETY: "yes", "safety_kind": "air"} if is_below_cold(case.measured.hot_pressure, cold) else {}


def with_air_lost(heard: Heard, case: Case) -> Heard:
    """Add the sign of danger where the words tell of a hot pressure below the cold one."""
    if not is_losing_air(heard.text, case.setup):
        return heard
    safety = tuple(dict.fromkeys((*heard.said.safety, LOSES_AIR)))
    return replace(heard, said=replace(heard.said, safety=safety, unread=but_numbers(heard.said.unread)))


def _said_to(qid: str, known: Mapping[str, str], questions: Mapping[str, Question]) -> tuple[str, ...]:
    """Return the words of the answer to a question; none where there is no answer that tells something."""
    question = question_of(qid, questions)
    choice = question.choice(known.get(qid, "")) if question else None
    return () if choice is None or is_unsure(choice.id) else (SIGN_OF.get(choice.id, choice.says),)


def stop_found(symptoms: Sequence[Match], causes: Sequence[CauseFound], knowledge: Knowledge) -> StopReason | None:
    """Stop for the nearest symptom, any that was named outright, or a likely cause that is a matter of safety."""
    for place, match in enumerate(symptoms):
        symptom = knowledge.symptoms[match.symptom]
        if symptom.safety and (place == 0 or symptom.balance == "none"):
            return StopReason((match.symptom,))
    if causes and knowledge.causes[causes[0].id].safety and causes[0].chance >= LEADS:
        return StopReason((causes[0].title,), chance=causes[0].chance)
    return None


def looks_at(reading: Heard, known: Mapping[str, str]) -> list[str]:
    """List the questions whether the car was looked over for the dangers told of; who denies a hit is asked of all.

    A shake that came with a restart and quit by itself was rubber, and asks for no look before the talk goes on.
    """
    picked_up = {*reading.said.safety} == {SHAKE} and ON_RESTARTS in reading.said.moments
    if picked_up and known.get(RESTARTS, QUIT) == QUIT:
        return [RESTARTS]
    hit = [CONTACT] if A_HIT in reading.said.safety else []
    is_settled = set(reading.said.safety) == {A_HIT} and known.get(CONTACT) != NO_HIT
    return hit if is_settled else [*hit, SAFETY]


def is_unsafe(reading: Heard, known: Mapping[str, str]) -> bool:
    """Tell whether a danger told of is a stop that no look lifts, or a look has not lifted it."""
    return bool(NOT_ASKED.intersection(reading.said.safety)) or any(
        qid in known and known[qid] not in SOUND[qid] for qid in looks_at(reading, known)
    )


def is_looked_over(reading: Heard, known: Mapping[str, str]) -> bool:
    """Tell whether the car was looked over for the dangers told of and found sound."""
    return not is_unsafe(reading, known) and all(qid in known for qid in looks_at(reading, known))


def is_unchecked(known: Mapping[str, str]) -> bool:
    """Tell whether nobody has looked the car over yet, as far as was said."""
    return known.get("safety", "not-checked") in {"not-checked", NONE_NOTICED}


def is_tire_off(known: Mapping[str, str]) -> bool:
    """Tell whether a tread was seen that is not fit to run on, though no cord shows."""
    return known.get("tread_look") == "blistered"


def why_no_telling(reading: Heard, known: Mapping[str, str], complaint: Complaint, board: Board, *, whole: bool) -> str:
    """Say why nobody could tell from this report what to do; "" where it can be told, as where a cause is likely.

    whole: the words describe two halves that belong together ("tight in the middle, then loose off").
    """
    reason = _why_open(reading, known, complaint, whole=whole)
    return "" if _likeliest_beside(reason, complaint, board) >= TOLD_ALL_THE_SAME.get(reason, 1.0) else reason


def _likeliest_beside(reason: str, complaint: Complaint, board: Board) -> float:
    """Give the chance of the likeliest cause that is no mere balance.

    Where reports conflict, one that levers cure counts only where it leads, and not where no balance is left to cure.
    """
    torn = all(cell.balance == "fine" for cell in complaint.cells)
    unsure = (
        {at for at in board.by_balance if torn or board.chances[at] < LEADS} if reason == "conflict" else set[int]()
    )
    beside = unsure | {board.plain}
    return max((one for at, one in enumerate(board.chances[:-1]) if at not in beside), default=0.0)


def _why_open(reading: Heard, known: Mapping[str, str], complaint: Complaint, *, whole: bool) -> str:
    """Say what the report leaves open, the gravest first."""
    unread = [known.get(qid, "not-") for qid in (SLIDES, "what_changed")]
    nobody_knows_the_change = known.get(WAS_RIGHT) == "yes" and is_unsure(known.get(WHAT_CHANGED, ""))
    reasons = {
        "no sheet": known.get(WAS_RIGHT) == NO_SHEET,
        "question": is_mere_question(reading),
        "nothing read": not reading.readable and all(map(is_unsure, unread)),
        "many changes": known.get(WHAT_CHANGED) == SEVERAL_CHANGED,
        "unknown change": nobody_knows_the_change,
        "too little": _unknown(known) >= LITTLE_TOLD,
        "conflict": not whole and _pulls_both_ways(complaint, known),
        "once": known.get("how_often") == "once",
        "few laps": known.get("restart_only") == "few",
    }
    return next((reason for reason, holds in reasons.items() if holds), "")


def _unknown(known: Mapping[str, str]) -> int:
    """Count which of where, when in the run and since when are asked about and not known.

    Who says that it does it alone as well has said when.
    """
    since = is_unsure(known.get(WHAT_CHANGED, "")) or known.get(WAS_RIGHT) in {"new", NO_SHEET, "not-sure"}
    when = is_unsure(known.get("when_in_run", "")) and known.get(TRAFFIC) != "always"
    return since + is_unsure(known.get("where", "")) + when


def is_mere_question(reading: Heard) -> bool:
    """Tell whether something is asked and nothing complained of."""
    return bool(reading.said.question) and not reading.complaints


def _pulls_both_ways(complaint: Complaint, known: Mapping[str, str]) -> bool:
    """Tell whether loose and tight are reported of one place at one time, or both of some laps and not of others."""
    both = {"loose", "tight"} <= {cell.balance for cell in complaint.cells}
    return bool(complaint.clashing) or (both and known.get("how_often") == "sometimes")
