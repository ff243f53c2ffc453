"""What the packs speak of and what they do not: symptoms, remedies, cases and sources for each kind of complaint."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.ground.grid import PHASES, STAGES

if TYPE_CHECKING:
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models_lever import Lever
    from assistant.rules.models_symptom import Symptom


BALANCES = ("loose", "tight")
ENOUGH = 3
"""Remedies a cell should have: a rulebook or a stop can rule out the first, and the second."""


@dataclass(frozen=True)
class Covered:
    """One kind of complaint. symptoms: names; own: those of just this phase. Counts of what stands behind them."""

    balance: str
    phase: str
    stage: str
    symptoms: tuple[str, ...]
    own: tuple[str, ...]
    remedies: int
    cases: int
    sources: int


@dataclass(frozen=True)
class Hole:
    """Where the packs hold too little.

    kind: no own symptom, few remedies, no case, not found, no near miss, said twice, no remedy.
    of: the complaint, the symptom, the phrase or the title of the lever.
    """

    kind: str
    of: str


@dataclass(frozen=True)
class Coverage:
    """cells: every balance, phase and stage. others: symptoms without a balance, with their cases.

    left_out: titles of levers that no remedy moves, with the reason their files give.
    """

    cells: tuple[Covered, ...]
    others: tuple[tuple[str, int], ...]
    holes: tuple[Hole, ...]
    left_out: tuple[tuple[str, str], ...] = ()


def find_coverage(knowledge: Knowledge) -> Coverage:
    """Count what the packs hold for every kind of complaint, and name the holes."""
    cells = tuple(
        _cell(knowledge, balance, phase, stage) for balance in BALANCES for phase in PHASES for stage in STAGES
    )
    others = tuple(
        (name, _finding_cases(knowledge, name)) for name, one in _live(knowledge) if one.balance not in BALANCES
    )
    unused = _unused(knowledge)
    of_levers = (Hole("no remedy", lever.title) for lever in unused if lever.why_no_remedy is None)
    return Coverage(
        cells,
        others,
        (*_holes_of_cells(cells), *_holes_of_symptoms(knowledge), *_said_twice(knowledge), *of_levers),
        tuple((lever.title, lever.why_no_remedy) for lever in unused if lever.why_no_remedy is not None),
    )


def _live(knowledge: Knowledge) -> Iterator[tuple[str, Symptom]]:
    return ((name, one) for name, one in knowledge.symptoms.items() if one.retired is None)


def _cell(knowledge: Knowledge, balance: str, phase: str, stage: str) -> Covered:
    found = {
        name: one
        for name, one in _live(knowledge)
        if one.balance == balance and one.phase in {phase, "all"} and stage in one.stages
    }
    remedies = [remedy for one in found.values() for remedy in one.remedies]
    return Covered(
        balance=balance,
        phase=phase,
        stage=stage,
        symptoms=tuple(found),
        own=tuple(name for name, one in found.items() if one.phase == phase),
        remedies=len({remedy.name for remedy in remedies}),
        cases=sum(_finding_cases(knowledge, name) for name in found),
        sources=len({key.partition(",")[0] for remedy in remedies for key in remedy.backed_by}),
    )


def _finding_cases(knowledge: Knowledge, symptom: str) -> int:
    return sum(one.case.expect.found == symptom and not one.no_longer for one in knowledge.cases)


def _holes_of_cells(cells: tuple[Covered, ...]) -> Iterator[Hole]:
    for cell in cells:
        where = f"{cell.balance}, {cell.phase}, {cell.stage}"
        if not cell.own:
            yield Hole("no own symptom", where)
        if cell.remedies < ENOUGH:
            yield Hole("few remedies", where)
        if not cell.cases:
            yield Hole("no case", where)


def _holes_of_symptoms(knowledge: Knowledge) -> Iterator[Hole]:
    missed = {one.symptom for one in knowledge.cases if one.case.expect.not_found == one.symptom}
    for name, _ in _live(knowledge):
        if not _finding_cases(knowledge, name):
            yield Hole("not found", name)
        if name not in missed:
            yield Hole("no near miss", name)


def _said_twice(knowledge: Knowledge) -> Iterator[Hole]:
    """Find the phrases that are said for two symptoms: the first is always heard."""
    first: dict[str, str] = {}
    for name, symptom in _live(knowledge):
        for phrase in (name, *symptom.also_said):
            plain = " ".join(phrase.casefold().split())
            if first.setdefault(plain, name) != name:
                yield Hole("said twice", plain)


def _unused(knowledge: Knowledge) -> tuple[Lever, ...]:
    """Find the levers that no remedy moves."""
    moved = {remedy.lever for _, symptom in _live(knowledge) for remedy in symptom.remedies}
    moved |= {remedy.lever for cause in knowledge.causes.values() for remedy in cause.remedies}
    return tuple(lever for name, lever in knowledge.levers.items() if name not in moved)
