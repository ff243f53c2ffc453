"""From a complaint to ranked advice: one pure function that puts the pieces together.

Stop signs come before causes, causes before cures; every lever that was passed over is named with its reason. What
would be shown is worked out again with the full model, until every remedy that is shown is exact.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from assistant.advice.habits import offer_driving
from assistant.advice.packages import offer_packages
from assistant.advice.ranking import gain_of, put_in_order
from assistant.advice.remedies import offer_inspection, offer_lever, offer_usual
from assistant.advice.results import Advice, Package, PassedOver, Remedy
from assistant.advice.sizing import NOT_FOR_BALANCE, Job
from assistant.advice.trade import Candidate, find_lead, gather_candidates, treat_instead
from assistant.belief.cures import want
from assistant.belief.driven import case_bands
from assistant.belief.known import rows_of_complaint
from assistant.belief.picture import read_picture
from assistant.car.setup import levers_of
from assistant.diagnosis.match import find_symptoms
from assistant.ground.understood import CauseFound, Complaint, StopReason
from assistant.rules.own_levers import equip

if TYPE_CHECKING:
    from assistant.belief.believe import Belief
    from assistant.car.case import Case
    from assistant.diagnosis.questions import OpenQuestion
    from assistant.diagnosis.session import Session
    from assistant.ground.understood import Complaint
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models import Weights
    from assistant.rules.models_symptom import Cause, Symptom


PIT_STOP = "pit stop"
Offered = Remedy | PassedOver | None
Order = Callable[[Sequence[Remedy]], Sequence[Remedy]]
"""Puts remedies in order, all of them."""
Key = tuple[str, str]


@dataclass(frozen=True)
class Offers:
    """What every candidate came to, by kind and id."""

    made: dict[Key, Offered]

    @property
    def remedies(self) -> list[Remedy]:
        """Those that are remedies here."""
        return [one for one in self.made.values() if isinstance(one, Remedy)]

    @property
    def passed(self) -> list[PassedOver]:
        """Those of the trade's list that are none, with their reason."""
        return [one for one in self.made.values() if isinstance(one, PassedOver) and one.listed]


def offer_all(candidates: Sequence[Candidate], job: Job) -> Offers:
    """Make an offer of each candidate, from single steps added up."""
    return Offers({(one.kind, one.id): make_offer(one, job) for one in candidates})


def drive_shown(offers: Offers, candidates: Sequence[Candidate], job: Job, order: Order) -> Offers:
    """Drive what would be shown as it is; one that turns out useless or harmful drops, and the next takes its place."""
    by_key = {(one.kind, one.id): one for one in candidates}
    made, done = dict(offers.made), set[Key]()
    while True:
        shown = order(Offers(made).remedies)[: job.weights.most_remedies]
        keys = [key for one in shown if (key := (one.kind, one.id)) not in done and one.kind == "lever"]
        if not keys:
            return Offers(made)
        made.update({key: make_offer(by_key[key], job, driven=True) for key in keys})
        done.update(keys)


def make_offer(candidate: Candidate, job: Job, *, driven: bool = False) -> Offered:
    """Make an offer of one candidate. driven: the size that was found is driven as it is."""
    if candidate.kind == "driving":
        return offer_driving(candidate, job)
    if candidate.kind == "inspect":
        return offer_inspection(candidate, job)
    return offer_lever(candidate, job, driven=driven) if job.wanted.asks else offer_usual(candidate, job)


MOST_SYMPTOMS = 3
"""Symptoms whose lists are read; a complaint that is more than three symptoms at once is one of them throughout."""


def advise(
    case: Case,
    knowledge: Knowledge,
    session: Session,
    belief: Belief,
    *,
    quick: bool = False,
    among: Collection[str] | None = None,
) -> Advice:
    """Rank what can be done about a complaint.

    belief: the car, with what was said in the session. quick: stop at what single steps add up to, and leave packages
    and open questions out: enough to know which remedies there are. among: consider these levers, habits and
    inspections only; each is judged for itself, so it is offered here when it is offered at all.
    """
    case, weights = equip(case, knowledge), knowledge.weights
    said = _read(session, knowledge, quick=quick)
    treated = _treat(said, weights)
    belief = with_treated(belief, said.complaint, treated.complaint)
    in_place = case.at_hand == PIT_STOP
    job = Job(case, knowledge, belief, weights, want(belief, treated.complaint, weights.cell_weights, at_once=in_place))
    if treated.stop:
        looks = _looks(_gather(said, treated), job)
        return Advice(said.complaint, stop=treated.stop, causes=said.causes, remedies=looks)
    levers = [lever for lever in levers_of(case.setup) if lever not in NOT_FOR_BALANCE] if job.wanted.asks else []
    candidates = [one for one in _gather(said, treated, levers) if among is None or one.id in among]
    offers = offer_all(candidates, job)
    return _advice(said, treated, job, *((offers, ()) if quick else _work_out(offers, candidates, job, treated)))


def with_treated(belief: Belief, said: Complaint, treated: Complaint) -> Belief:
    """Believe what a cause has of the car besides what was said: the cells that are treated and nobody spoke of."""
    spoken = {(cell.phase, cell.stage) for cell in said.cells}
    cells = tuple(cell for cell in treated.cells if (cell.phase, cell.stage) not in spoken)
    if not cells:
        return belief
    rows = rows_of_complaint(replace(treated, cells=cells), belief.now, felt=False)
    taken = {f"{cell.phase} {cell.stage} unsaid" for cell in cells}
    return belief.without(taken).with_rows([replace(row, id=f"{row.id} treated", kind="treated") for row in rows])


def stop_alone(session: Session) -> Advice | None:
    """Give the advice for a car that must be looked at first, for which nothing is computed; None for any other."""
    return Advice(session.complaint, stop=session.stop) if session.stop else None


def _advice(said: _Said, treated: _Treated, job: Job, offers: Offers, packages: tuple[Package, ...]) -> Advice:
    """Put the pieces together."""
    return Advice(
        said.complaint,
        open_questions=said.open_questions,
        causes=said.causes,
        remedies=put_in_order(offers.remedies, job.weights, _first(treated))[: job.weights.most_remedies],
        packages=packages,
        passed=tuple(offers.passed),
        notes=said.notes,
        case=job.case,
        guesses=count_guesses(job.case),
        treated="" if treated.instead is None or treated.complaint == said.complaint else treated.instead.symptom,
        belief=job.belief,
        picture=read_picture(job.belief),
    )


def count_guesses(case: Case) -> int:
    """Count the values the believed cars differ in that were only guessed."""
    guessed = case.car.guessed | case.tire.guessed | case.setup.guessed
    return len(guessed & case_bands(case).keys())


def _work_out(
    offers: Offers, candidates: Sequence[Candidate], job: Job, treated: _Treated
) -> tuple[Offers, tuple[Package, ...]]:
    """Drive what would be shown, and look for a package that does more."""
    order = partial(put_in_order, weights=job.weights, first=_first(treated))
    offers = drive_shown(offers, candidates, job, order)
    shown = order(offers.remedies)[: job.weights.most_remedies]
    best = max((gain_of(remedy) for remedy in shown if remedy.kind == "lever"), default=0.0)
    return offers, offer_packages([one.id for one in candidates if one.kind == "lever"], job, best)


def levers_listed(knowledge: Knowledge, session: Session) -> tuple[str, ...]:
    """Name the levers the trade lists for what was said, its first choice first."""
    said = _read(session, knowledge, quick=True)
    return tuple(one.id for one in _gather(said, _treat(said, knowledge.weights)) if one.kind == "lever")


def _gather(said: _Said, treated: _Treated, levers: Iterable[str] = ()) -> tuple[Candidate, ...]:
    """Collect what the trade lists, and other levers that are there for balance."""
    return gather_candidates(treated.symptoms, treated.lead, levers, said.knowledge, said.holds)


@dataclass(frozen=True)
class _Treated:
    """What is treated: the complaint as the leading cause has it, the lists that answer it, or a reason to stop."""

    complaint: Complaint
    lead: Cause | None
    instead: Symptom | None
    symptoms: tuple[Symptom, ...]
    stop: StopReason | None


def _treat(said: _Said, weights: Weights) -> _Treated:
    lead = find_lead(said.causes, said.knowledge, weights.cause_leads_at)
    complaint, instead = treat_instead(said.complaint, lead or _named_cause(said, said.knowledge), said.knowledge)
    symptoms = _symptoms(complaint, instead, said.knowledge)
    return _Treated(complaint, lead, instead, symptoms, said.stop or _stop(lead, symptoms))


@dataclass(frozen=True)
class _Said:
    """What an interview tells."""

    complaint: Complaint
    stop: StopReason | None
    causes: tuple[CauseFound, ...]
    open_questions: tuple[OpenQuestion, ...]
    notes: tuple[str, ...]
    facts: Mapping[str, float | str]
    knowledge: Knowledge

    def holds(self, condition: str) -> bool:
        """Whether a condition of the pack holds; what is not known does not hold."""
        return self.knowledge.holds(condition, self.facts) is True


def _read(session: Session, knowledge: Knowledge, *, quick: bool) -> _Said:
    questions = () if quick else session.open_questions()
    return _Said(session.complaint, session.stop, session.causes, questions, session.notes, session.facts, knowledge)


def _symptoms(complaint: Complaint, instead: Symptom | None, knowledge: Knowledge) -> tuple[Symptom, ...]:
    """Look up the symptoms the complaint is, the one to treat instead first."""
    names = [match.symptom for match in find_symptoms(complaint, knowledge)]
    found = [knowledge.symptoms[name] for name in names]
    ordered = found if instead is None else [instead, *(symptom for symptom in found if symptom != instead)]
    return tuple(symptom for symptom in ordered if symptom.retired is None)[:MOST_SYMPTOMS]


def _stop(lead: Cause | None, symptoms: Sequence[Symptom]) -> StopReason | None:
    """Say why to stop and inspect, when the cause that leads or the symptom itself is one of safety."""
    if lead is not None and lead.safety:
        return StopReason((lead.title,))
    unsafe = next((symptom for symptom in symptoms if symptom.safety), None)
    return None if unsafe is None else StopReason((unsafe.symptom,))


def _looks(candidates: Sequence[Candidate], job: Job) -> tuple[Remedy, ...]:
    """List only what to inspect, for a car that must not be adjusted before that."""
    found = [offer_inspection(candidate, job) for candidate in candidates if candidate.kind == "inspect"]
    return put_in_order([one for one in found if one is not None], job.weights)


def _first(treated: _Treated) -> tuple[str, str] | None:
    """Name what stands first whatever its score: the habit a cause asks for, or the look the trade begins with."""
    lead, symptoms = treated.lead, treated.symptoms
    if lead is not None and lead.remedies and lead.remedies[0].driving:
        return lead.remedies[0].driving, "driving first"
    if symptoms and symptoms[0].remedies[0].inspect:
        return symptoms[0].remedies[0].inspect, "look first"
    return None


def _named_cause(said: _Said, knowledge: Knowledge) -> Cause | None:
    """Find the cause whose answer is the very symptom the words name, both halves of it ("pushes, then snaps")."""
    best = next(iter(find_symptoms(said.complaint, knowledge)), None)
    if best is None or not best.whole:
        return None
    likely = [knowledge.causes[cause.id] for cause in said.causes if cause.id in knowledge.causes]
    return next((cause for cause in likely if cause.instead == best.symptom), None)
