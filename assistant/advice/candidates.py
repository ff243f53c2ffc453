"""What could be done: the remedies the trade lists for the complaint, and every other lever of the car.

Which symptoms a complaint is, `assistant.diagnosis.match` says. A cause that leads may say to treat another
symptom instead; then that symptom's cells are the complaint.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.ground.grid import PHASES
from assistant.ground.results import CauseFound, Cell, Complaint

if TYPE_CHECKING:
    from assistant.rules.models_symptom import Cause, Symptom
    from assistant.rules.models_symptom import Remedy as Entry
    from assistant.rules.pack import Knowledge


Holds = Callable[[str], bool]
"""Whether a condition such as "banking > 8 deg" holds on this case; False when it cannot be known."""


@dataclass(frozen=True)
class Mention:
    """One line of the trade's lists. place: 0 is its first choice. sign: +1 or -1 for a lever, 0 for others."""

    place: int
    symptom: str
    sign: int
    entry: Entry


@dataclass(frozen=True)
class Candidate:
    """One thing that could be done, with every line that names it, the best first; none for a lever nobody lists."""

    kind: str
    id: str
    mentions: tuple[Mention, ...] = ()


def gather_candidates(
    symptoms: Sequence[Symptom], lead: Cause | None, levers: Iterable[str], knowledge: Knowledge, holds: Holds
) -> tuple[Candidate, ...]:
    """Collect what the trade lists for these symptoms, the leading cause's own first, then all other levers."""
    lists: list[tuple[str, Sequence[Entry]]] = (
        [(lead.title, lead.remedies)] if lead is not None and lead.remedies else []
    )
    lists += [(symptom.symptom, symptom.remedies) for symptom in symptoms]
    found: dict[tuple[str, str], list[Mention]] = {}
    for behind, (name, remedies) in enumerate(lists):
        usable = [entry for entry in remedies if entry.only_if is None or holds(entry.only_if)]
        for place, entry in enumerate(usable):
            mention = Mention(place + behind, name, read_move(entry, knowledge), entry)
            found.setdefault((entry.kind, entry.id), []).append(mention)
    listed = [
        Candidate(kind, name, tuple(sorted(mentions, key=lambda mention: mention.place)))
        for (kind, name), mentions in found.items()
    ]
    every = (*listed, *(Candidate("lever", lever) for lever in levers if ("lever", lever) not in found))
    return tuple(one for one in every if _makes_sense(one, knowledge, holds))


def _makes_sense(candidate: Candidate, knowledge: Knowledge, holds: Holds) -> bool:
    """Whether a lever is one for this car at all, as its own file has it."""
    lever = knowledge.levers.get(candidate.id) if candidate.kind == "lever" else None
    return lever is None or lever.only_if is None or holds(lever.only_if)


def find_lead(causes: Sequence[CauseFound], knowledge: Knowledge, leads_at: float) -> Cause | None:
    """Find the cause that leads the advice: the likeliest one, when it is likely enough."""
    likeliest = max(causes, key=lambda cause: cause.chance, default=None)
    if likeliest is None or likeliest.chance < leads_at:
        return None
    return knowledge.causes.get(likeliest.id)


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


def read_move(entry: Entry, knowledge: Knowledge) -> int:
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
