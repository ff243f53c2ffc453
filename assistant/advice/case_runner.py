"""Runs the example cases of the packs: what must be found, ranked, never offered, and how levers must move the car.

Each failure is a Problem at the case's file and line. Nothing is remembered between runs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.advice.audit import mean_of
from assistant.advice.offers import advise
from assistant.advice.said_changes import reckon
from assistant.belief.effects import lever_effect
from assistant.belief.garage import Garage, open_garage
from assistant.belief.picture import Told, believe_told
from assistant.car.case import Case, levers_of
from assistant.car.files import read_case
from assistant.diagnosis.session import Session, start
from assistant.ground.names import PHASES
from assistant.ground.problems import BadInput, Problem
from assistant.rules.knowledge import Knowledge, LoadedCase, Origin, equip

if TYPE_CHECKING:
    from assistant.advice.results import Advice
    from assistant.belief.believe import Belief
    from assistant.ground.understood import Complaint


FIRST_FEW = 3
"""A symptom counts as found when it is among so many; further down nobody reads."""
Name = tuple[str, int]
"""A remedy: lever id with the sign of its move, or driving or inspect id with 0."""


class CaseBench:
    """What the cases need, worked out once: each case by name, with the levers of the packs, and its plausible cars."""

    def __init__(self, knowledge: Knowledge) -> None:
        self._knowledge = knowledge
        self._cases: dict[str, Case] = {}
        self._garages: dict[str, Garage] = {}
        self._beliefs: dict[tuple[object, ...], Belief] = {}

    def case(self, name: str) -> Case:
        """Return the case of this name. Raises BadInput when there is none."""
        if name not in self._cases:
            self._cases[name] = equip(read_case(name), self._knowledge)
        return self._cases[name]

    def belief(self, name: str, complaint: Complaint | None = None) -> Belief:
        """Believe what a driver says of the car of that case."""
        case = self.case(name)
        if name not in self._garages:
            self._garages[name] = open_garage(case)
        told = [] if complaint is None else [Told(case.setup, complaint)]
        said = (name, *((one.complaint.cells, one.complaint.moments) for one in told))
        if said not in self._beliefs:
            self._beliefs[said] = believe_told(case, told, self._garages[name])
        return self._beliefs[said]


def run_cases(
    knowledge: Knowledge, bench: CaseBench | None = None, *, only: str | None = None, compute: bool = True
) -> list[Problem]:
    """Run all cases, or those of one symptom; return what failed. compute: also check what needs the model.

    A case that a later pack means to fail must fail; without the model that cannot be told, and it is left out.
    """
    bench = bench or CaseBench(knowledge)
    asked = [one for one in knowledge.cases if only in (None, one.symptom)]
    run = [one for one in asked if compute or one.no_longer is None]
    problems: list[Problem] = []
    for loaded in run:
        failed = run_case(loaded, knowledge, bench, compute=compute)
        problems += (
            failed if loaded.no_longer is None else [] if failed else [_say_still_holds(loaded, loaded.no_longer)]
        )
    return problems


def run_case(
    loaded: LoadedCase,
    knowledge: Knowledge,
    bench: CaseBench,
    *,
    compute: bool = True,
) -> list[Problem]:
    """Run one example case, even one that a later pack means to fail; return what failed."""
    return [_fault(loaded, says) for says in _run(loaded, knowledge, bench, compute=compute)]


def _say_still_holds(loaded: LoadedCase, named: Origin) -> Problem:
    says = f"the case '{loaded.case.case}' still holds, so nothing makes it fail"
    return Problem(named.file, named.line, 1, says, "take it out of no_longer")


def _fault(loaded: LoadedCase, says: str) -> Problem:
    return Problem(loaded.origin.file, loaded.origin.line, 1, says, row=f"- case: {loaded.case.case}")


def _run(loaded: LoadedCase, knowledge: Knowledge, bench: CaseBench, *, compute: bool) -> Iterable[str]:
    example = loaded.case
    try:
        case = bench.case(example.on)
    except BadInput as bad:
        return [f"the case '{example.on}' cannot be read: {bad.problems[0].says}"]
    answers = {**case.answers, **{name: str(choice) for name, choice in example.answers.items()}}
    session = start(replace(case, answers=answers, complaint=""), knowledge, example.driver_says)
    faults = list(_check_found(session, loaded))
    if compute and (example.expect.cause or example.expect.not_cause):
        faults += _check_causes(reckon(session, bench.belief(example.on, session.complaint)), loaded, knowledge)
    if compute and (example.expect.first or example.expect.in_top_three or example.expect.never):
        faults += _check_remedies(session, loaded, knowledge, bench)
    if compute and example.expect.moves:
        faults += _check_moves(loaded, knowledge, bench)
    return faults


def _check_found(session: Session, loaded: LoadedCase) -> Iterable[str]:
    expect = loaded.case.expect
    names = [match.symptom for match in session.symptoms]
    shown = ", ".join(names[:FIRST_FEW]) or "nothing"
    said = f"'{loaded.case.driver_says}' is read as {shown}"
    if expect.found and expect.found not in names[:FIRST_FEW]:
        yield f"{said}, and not as {expect.found}"
    if expect.not_found and expect.not_found in names:
        yield f"{said}, and {expect.not_found} must not be among what fits"


def _check_causes(session: Session, loaded: LoadedCase, knowledge: Knowledge) -> Iterable[str]:
    expect, ids = loaded.case.expect, [one.id for one in session.causes]
    shown = ", ".join(ids[:FIRST_FEW]) or "nothing"
    if expect.cause and ids[:1] != [expect.cause]:
        bare = not knowledge.causes[expect.cause].signs_against
        weak = f"; no sign speaks against {expect.cause}, so those for it count less" if bare else ""
        yield f"the likeliest cause must be {expect.cause}; the likeliest are {shown}{weak}"
    if expect.not_cause in ids[:FIRST_FEW]:
        yield f"{expect.not_cause} must not be among the likeliest causes, which are {shown}"


def _check_remedies(session: Session, loaded: LoadedCase, knowledge: Knowledge, bench: CaseBench) -> Iterable[str]:
    expect, on = loaded.case.expect, loaded.case.on
    belief = bench.belief(on, session.complaint)
    never = {banned: knowledge.read_remedy(banned) for banned in expect.never}
    if not expect.first and not expect.in_top_three:  # what is no remedy by itself is none among all the others
        among = {name for name, _ in never.values()}
        alone = advise(session.case, knowledge, session, belief, quick=True, among=among)
        if not {*never.values()} & {*remedy_names(alone)}:
            return
    advice = advise(session.case, knowledge, session, belief, quick=True)
    names = remedy_names(advice)
    shown = ", ".join(say_name(name, knowledge) for name in names[:FIRST_FEW]) or (
        "nothing" if advice.stop is None else "a stop"
    )
    if expect.first and names[:1] != [knowledge.read_remedy(expect.first)]:
        yield f"the first remedy must be {expect.first}; offered: {shown}"
    for wanted in expect.in_top_three:
        if knowledge.read_remedy(wanted) not in names[:FIRST_FEW]:
            yield f"{wanted} must be among the first three; offered: {shown}"
    for banned, name in never.items():
        if name in names:
            yield f"{banned} must never be offered, and is number {names.index(name) + 1}"


def remedy_names(advice: Advice) -> list[Name]:
    """List what an advice offers, in its order."""
    return [
        (remedy.id, (1 if (remedy.steps or 0) > 0 else -1) if remedy.kind == "lever" else 0)
        for remedy in sorted(advice.remedies, key=lambda remedy: remedy.rank)
    ]


def say_name(name: Name, knowledge: Knowledge) -> str:
    """Write a remedy's name the way the files do."""
    lever = knowledge.levers.get(name[0])
    if lever is None or not name[1]:
        return name[0]
    return f"{name[0]} {lever.plus_word if name[1] > 0 else lever.minus_word}"


def _check_moves(loaded: LoadedCase, knowledge: Knowledge, bench: CaseBench) -> Iterable[str]:
    """Check by computation that each move tightens or loosens the car where the symptom is felt."""
    symptom, name = knowledge.symptoms.get(loaded.symptom), loaded.case.on
    if symptom is None:
        yield f"'moves' is for cases of a complaint; the cause '{loaded.symptom}' is felt nowhere by itself"
        return
    case, belief = bench.case(name), bench.belief(name)
    for text, way in loaded.case.expect.moves.items():
        lever, sign = knowledge.read_remedy(text)
        if lever not in levers_of(case.setup):
            yield f"'{lever}' has no computed effect on {loaded.case.on}"
            continue
        phases = (symptom.phase,) if symptom.phase in PHASES else PHASES
        change = sign * mean_of(lever_effect(case, belief, lever).effect, phases, symptom.stages)
        if (change > 0) != (way == "tighter") or change == 0:
            yield f"{text} must make the car {way}; computed: {change:+.2f} % (+ is tighter)"
