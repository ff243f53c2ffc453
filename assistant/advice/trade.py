"""What the trade lists for a complaint, and what it says of a lever: its direction beside the computed one, its table.

Which symptoms a complaint is, `assistant.diagnosis.match` says. A cause that leads may say to treat another symptom
instead; then that symptom's cells are the complaint.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.advice.results import PassedOver
from assistant.diagnosis.hearing import hits
from assistant.ground.names import PHASES, SETTLED, STAGES
from assistant.ground.understood import Cell, Complaint

if TYPE_CHECKING:
    from assistant.belief.effects import LeverEffect
    from assistant.diagnosis.calls import Call
    from assistant.rules.knowledge import Knowledge, Origin
    from assistant.rules.models import Lever
    from assistant.rules.models_symptom import Cause, Symptom, TradeRemedy


OfferKey = tuple[str, str]
"""Kind and id of what can be done."""
Holds = Callable[[str], bool]
"""Whether a condition such as "banking > 8 deg" holds on this case; False when it cannot be known."""


@dataclass(frozen=True)
class Mention:
    """One line of the trade's lists, or of a cause's own. place: 0 is the trade's first choice; None for a cause.

    sign: +1 or -1 for a lever, 0 for others.
    """

    place: int | None
    symptom: str
    sign: int
    entry: TradeRemedy


@dataclass(frozen=True)
class Candidate:
    """One thing that could be done, with every line that names it, the best first; none for a lever nobody lists.

    called: a possible cause calls for it; it is offered whatever it computes.
    """

    kind: str
    id: str
    mentions: tuple[Mention, ...] = ()
    called: bool = False


def places_of(symptoms: Sequence[Symptom]) -> dict[OfferKey, int]:
    """Give the place of everything the trade lists for these symptoms, in the first list that has it."""
    found: dict[OfferKey, int] = {}
    for behind, symptom in enumerate(symptoms):
        for place, entry in enumerate(symptom.remedies):
            found.setdefault((entry.kind, entry.id), place + behind)
    return found


def team_of(
    symptoms: Sequence[Symptom], knowledge: Knowledge, *, named: bool
) -> tuple[tuple[OfferKey, ...], Mapping[OfferKey, str], frozenset[OfferKey]]:
    """Give what stands on top as it is listed, what later packs added to these complaints, what they moved to the end.

    On top stand the list of a complaint that a later pack wrote, and the look the trade begins with where there is no
    balance to compute and no cause is named.
    """
    first = knowledge.packs[0].pack if knowledge.packs else ""
    written = knowledge.origin("symptom", symptoms[0].symptom) if symptoms else None
    own = written is not None and written.pack != first
    listed = [(entry.kind, entry.id) for entry in symptoms[0].remedies] if symptoms else []
    looks_first = bool(symptoms) and symptoms[0].balance == "none" and listed[0][0] == "inspect" and not named
    on_top = tuple(listed if own else listed[:1] if looks_first else ())
    added = {
        (entry.kind, entry.id): origin.pack
        for symptom in symptoms
        for entry in symptom.remedies
        if (origin := knowledge.origin("symptom", symptom.symptom, entry.name)) is not None and origin.pack != first
    }
    ends = [(symptom.symptom, symptom.remedies[-1]) for symptom in symptoms]
    last = {
        (entry.kind, entry.id)
        for name, entry in ends
        if (origin := knowledge.origin("symptom", name, entry.name)) is not None and origin.note.startswith("moved by")
    }
    return on_top, added, frozenset(last)


def idle_changes(facts: Mapping[str, float | str]) -> frozenset[tuple[str, int]]:
    """Name the changes of what plays no part: the share of the brakes, where it does the same floated in."""
    return frozenset({("brake_bias", 1), ("brake_bias", -1)} if facts.get("float_in") == "same" else ())


def barred_by_team(complaints: Sequence[Complaint], knowledge: Knowledge) -> dict[tuple[str, int], Origin]:
    """Give the levers and habits that a later pack took out of a complaint felt in these places, with who and why.

    A lever that is taken out of one complaint does not come back for another that is met in the same places.
    """
    return {
        move: origin
        for (name, remedy), origin in knowledge.dropped.items()
        if (move := knowledge.read_remedy(remedy))[0] in {*knowledge.levers, *knowledge.driving}
        and any(_is_felt(knowledge.symptoms.get(name), one) for one in complaints)
    }


def taken_out(barred: Mapping[tuple[str, int], Origin], knowledge: Knowledge) -> Iterator[PassedOver]:
    """Say of every move a later pack took out who did and why."""
    for (name, sign), origin in barred.items():
        said = f"{origin.pack} took it out: {origin.note}"
        lever = knowledge.levers.get(name)
        if lever is None:
            yield PassedOver(name, knowledge.driving[name].title, "taken out", taken_out=said)
        else:
            way = lever.plus_word if sign > 0 else lever.minus_word
            yield PassedOver(name, lever.title, "taken out", way, taken_out=said)


def _is_felt(symptom: Symptom | None, complaint: Complaint) -> bool:
    if symptom is None or symptom.balance == "none":
        return symptom is not None and symptom.symptom in complaint.other
    return any(hits(cell, symptom) for cell in complaint.cells)


def gather_candidates(
    symptoms: Sequence[Symptom], calls: Sequence[Call], levers: Iterable[str], knowledge: Knowledge, holds: Holds
) -> tuple[Candidate, ...]:
    """Collect what the causes call for, what the trade lists for these symptoms, then all other levers."""
    found: dict[tuple[str, str], list[Mention]] = {}
    for call in calls:
        mentions = [Mention(None, title, read_move(entry, knowledge), entry) for title, entry in call.entries]
        found.setdefault((call.option.kind, call.name), []).extend(mentions)
    called = set(found)
    for behind, symptom in enumerate(symptoms):
        usable = [entry for entry in symptom.remedies if entry.only_if is None or holds(entry.only_if)]
        for place, entry in enumerate(usable):
            mention = Mention(place + behind, symptom.symptom, read_move(entry, knowledge), entry)
            found.setdefault((entry.kind, entry.id), []).append(mention)
    for mentions in found.values():
        mentions.sort(key=lambda one: not knowledge.pack_behind(one.entry.because))  # a later pack's words come first
    listed = [Candidate(*key, tuple(mentions), key in called) for key, mentions in found.items()]
    every = (*listed, *(Candidate("lever", lever) for lever in levers if ("lever", lever) not in found))
    return tuple(one for one in every if _makes_sense(one, knowledge, holds))


def _makes_sense(candidate: Candidate, knowledge: Knowledge, holds: Holds) -> bool:
    """Whether a lever is one for this car at all, as its own file has it."""
    lever = knowledge.levers.get(candidate.id) if candidate.kind == "lever" else None
    return lever is None or lever.only_if is None or holds(lever.only_if)


def treat_instead(complaint: Complaint, lead: Cause | None, knowledge: Knowledge) -> tuple[Complaint, Symptom | None]:
    """Turn the complaint into the one the leading cause says to treat, with the severity that was felt.

    Cells the cause explains are dropped (they go when the cause is cured), cells called fine stay. When the cells felt
    have the balance of the other symptom already, they are kept as they are and only the list of remedies changes.
    """
    symptom = knowledge.symptoms.get(lead.instead) if lead is not None and lead.instead else None
    felt = [cell for cell in complaint.cells if cell.balance != "fine"]
    if lead is None or symptom is None:
        return complaint, None
    if symptom.balance == "none" or all(cell.balance == symptom.balance for cell in felt):
        return complaint, symptom
    kept = [cell for cell in complaint.cells if not _explained(cell, lead)]
    worst = max(felt, key=lambda cell: cell.severity)
    stages = [stage for stage in symptom.stages if any(cell.stage == stage for cell in felt)] or symptom.stages
    for phase in _phases(symptom):
        for stage in stages:
            if not any((cell.phase, cell.stage) == (phase, stage) and cell.balance == symptom.balance for cell in kept):
                kept = [cell for cell in kept if (cell.phase, cell.stage) != (phase, stage)]
                kept.append(replace(worst, phase=phase, stage=stage, balance=symptom.balance, end=worst.end))
    return replace(complaint, cells=tuple(kept)), symptom


def read_move(entry: TradeRemedy, knowledge: Knowledge) -> int:
    """Read which way a remedy moves its lever: +1 or -1, 0 for what is no lever."""
    if entry.lever is None or entry.move is None or entry.lever not in knowledge.levers:
        return 0
    return knowledge.move_sign(entry.lever, entry.move)


def _explained(cell: Cell, lead: Cause) -> bool:
    return any(
        cell.balance == explained.balance and explained.phase in (cell.phase, "all") and cell.stage in explained.stages
        for explained in lead.explains
    )


def _phases(symptom: Symptom) -> tuple[str, ...]:
    return PHASES if symptom.phase == "all" else (symptom.phase,)


AGREES, DIFFERS, NOTHING, TRADE_DEPENDS = "agrees", "differs", "nothing computed", "trade says it depends"
VERDICTS = (DIFFERS, AGREES, NOTHING, TRADE_DEPENDS)
"""What the trade's word for a lever comes to beside the computation, what is to be told first."""
LEAST_FELT = 0.1
"""Change of balance [%] by a usual single change below which a driver feels nothing; from memory."""
LEAST_CHANGE = 0.002
"""Change of balance [%] per step that is nothing, whatever its sign: a fiftieth of what a driver feels."""
_OPPOSITE = {"tighter": "looser", "looser": "tighter"}


def judge(says: str, change: float | None, usual: float) -> str:
    """Hold one line of the trade against the car at hand; the one verdict of the whole program.

    says: tighter, looser, none or depends. change: percent a step, + tighter, once settled, None when nothing is
    computed. usual: what a usual change does there [%]; less than a driver feels is none.
    """
    if says == "depends":
        return TRADE_DEPENDS
    if change is None:
        return NOTHING
    if says == "none":
        return AGREES if abs(usual) < LEAST_FELT else DIFFERS
    if abs(change) < LEAST_CHANGE:
        return NOTHING
    return AGREES if (change > 0) == (says == "tighter") else DIFFERS


def judge_lever(lever: Lever, effect: LeverEffect, phases: Iterable[str]) -> dict[str, str]:
    """Judge the trade's line for every one of the phases it speaks of, once settled."""
    usual = lever.in_si(lever.usual_change) / effect.step if effect.step else 0.0
    found = {}
    for phase in phases:
        if phase in lever.trade:
            size = effect.effect[phase][STAGES[SETTLED]]
            change = size if effect.basis == "computed" else None
            found[str(phase)] = judge(lever.trade[phase].balance, change, size * usual)
    return found


def book_row(lever: Lever, step: float) -> dict[str, float]:
    """What the pack's table says one step of a lever does [% by phase]; nothing without a table."""
    if lever.by_the_book is None:
        return {}
    share = abs(step) / abs(lever.in_si(lever.usual_change))
    return {str(phase): value * share for phase, value in lever.by_the_book.per_usual_change.items()}


def judge_all(lever: Lever, verdicts: Mapping[str, str]) -> str:
    """Take one word for several lines: of those with a direction where there are any, one that differs first."""
    pointed = {phase: word for phase, word in verdicts.items() if _points(lever, phase)} or verdicts
    return next((word for word in VERDICTS if word in pointed.values()), "")


def _points(lever: Lever, phase: str) -> bool:
    return any(one == phase and line.balance in _OPPOSITE for one, line in lever.trade.items())


def flip(view: str) -> str:
    """Turn the trade's word for the + direction into the word for the - direction; "none" and "depends" stay."""
    return _OPPOSITE.get(view, view)
