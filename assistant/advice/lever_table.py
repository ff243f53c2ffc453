"""The table of effects for a case and its driver: anchored where the words put the car, with driving habits."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from assistant.advice.habits import habit_changes
from assistant.belief.effects import EffectTable, Progress, effect_table
from assistant.rules.own_levers import equip

if TYPE_CHECKING:
    from assistant.car.case import Case
    from assistant.ground.results import Complaint
    from assistant.rules.knowledge import Knowledge


def table_for(
    case: Case,
    knowledge: Knowledge,
    complaint: Complaint | None = None,
    levers: Iterable[str] | None = None,
    progress: Progress | None = None,
    *,
    habits: bool = True,
) -> EffectTable:
    """Compute what levers and driving habits do; without a complaint, on the one of the case.

    habits: all of them now; else `advise` works out those it needs. progress: called with levers done and in all;
    returning False stops early with what is there.
    """
    from assistant.diagnosis.session import start  # noqa: PLC0415 - imports the interview, needed only here

    case = equip(case, knowledge)
    said = start(case, knowledge).complaint if complaint is None else complaint
    changes = habit_changes(knowledge) if habits else None
    return effect_table(case, levers, habits=changes, complaint=said, progress=progress)
