"""From a complaint to ranked advice: one pure function that puts the pieces together.

Stop signs come before causes, causes before cures; every lever that was passed over is named with its reason. What
would be shown is worked out again with the full model, until every remedy that is shown is exact.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from assistant.advice.habits import habit_changes, offer_driving, with_habits
from assistant.advice.packages import offer_packages, search_for_packages
from assistant.advice.ranking import gain_of, put_in_order
from assistant.advice.remedies import offer_inspection, offer_lever, offer_usual
from assistant.advice.results import Advice, Package, PassedOver, Remedy
from assistant.advice.sizing import NOT_FOR_BALANCE, Job, fit_lever, steps_near
from assistant.advice.trade import Candidate, find_lead, gather_candidates, treat_instead
from assistant.advice.wanted import asked_of, derive_scale, want
from assistant.belief.effects import EffectTable, Progress, effect_table
from assistant.belief.outcome import FullModel, Trial, full_model_of, try_lever
from assistant.diagnosis.match import find_symptoms
from assistant.diagnosis.session import start
from assistant.ground.understood import CauseFound, Complaint, StopReason
from assistant.rules.own_levers import equip

if TYPE_CHECKING:
    from assistant.belief.effects import EffectTable
    from assistant.car.case import Case
    from assistant.diagnosis.questions import OpenQuestion
    from assistant.diagnosis.session import Session
    from assistant.ground.understood import Complaint
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models import Weights
    from assistant.rules.models_symptom import Cause, Symptom


SPARE = 3
"""Remedies checked beyond those that are shown, so that one that drops out rarely makes a second batch."""

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


def check_offers(
    offers: Offers,
    candidates: Sequence[Candidate],
    job: Job,
    full_model: FullModel,
    order: Order,
    also: Sequence[Trial] = (),
) -> Offers:
    """Work out again, with the full model, what would be shown; one that turns out useless or harmful drops.

    also: other trials to put into the first batch.
    """
    by_key = {(one.kind, one.id): one for one in candidates}
    made, done, count = dict(offers.made), set[Key](), job.weights.most_remedies + SPARE
    while True:
        shown = order(Offers(made).remedies)[:count]
        keys = [(one.kind, one.id) for one in shown if one.basis == "computed" and (one.kind, one.id) not in done]
        trials = {key: _trials(by_key[key], job) for key in keys}
        if not any(trials.values()):
            return Offers(made)
        full_model([*(trial for these in trials.values() for trial in these), *also])
        made.update(
            {key: make_exact_offer(by_key[key], these, job, full_model) for key, these in trials.items() if these}
        )
        done.update(keys)
        also, count = (), job.weights.most_remedies


def make_offer(candidate: Candidate, job: Job) -> Offered:
    """Make an offer of one candidate, from single steps added up."""
    if candidate.kind == "driving":
        return offer_driving(candidate, job)
    if candidate.kind == "inspect":
        return offer_inspection(candidate, job)
    return offer_lever(candidate, job) if job.wanted.total > 0 else offer_usual(candidate, job)


def _trials(candidate: Candidate, job: Job) -> list[Trial]:
    """List what the full model is asked about a candidate; nothing for what it cannot compute."""
    if candidate.kind == "driving":
        return [Trial(habit=candidate.id)] if candidate.id in habit_changes(job.knowledge) else []
    fitted = fit_lever(candidate.id, job) if candidate.kind == "lever" else None
    if fitted is None or candidate.id in NOT_FOR_BALANCE or job.wanted.total == 0:
        return []
    return [try_lever(candidate.id, steps) for steps in steps_near(fitted)]


def make_exact_offer(candidate: Candidate, trials: Sequence[Trial], job: Job, full_model: FullModel) -> Offered:
    """Make an offer of one candidate from what the full model says of its trials."""
    outcomes = full_model(trials)
    if candidate.kind == "driving":
        return offer_driving(candidate, job, outcomes[0])
    sizes = [trial.moves[0][1] for trial in trials]
    return offer_lever(candidate, job, dict(zip(sizes, outcomes, strict=True)))


MOST_SYMPTOMS = 3
"""Symptoms whose lists are read; a complaint that is more than three symptoms at once is one of them throughout."""


def advise(
    case: Case,
    knowledge: Knowledge,
    session: Session,
    effects: EffectTable,
    *,
    quick: bool = False,
    among: Collection[str] | None = None,
) -> Advice:
    """Rank what can be done about a complaint.

    effects: driving habits it does not hold are computed with its model. quick: stop at what single steps add up to,
    and leave packages and open questions out: enough to know which remedies there are. among: consider these levers,
    habits and inspections only; each is judged for itself, so it is offered here when it is offered at all.
    """
    case, weights = equip(case, knowledge), knowledge.weights
    said = _read(session, knowledge, quick=quick)
    said = replace(said, complaint=_fill_severity(said.complaint, weights.severity_unsaid))
    treated = _treat(said, weights)
    scale = derive_scale(effects, weights)
    wanted = want(treated.complaint, effects, scale, weights)
    felt = want(said.complaint, effects, scale, weights)
    job = Job(case, knowledge, effects, weights, wanted, felt, asked_of(treated.complaint, scale))
    if treated.stop:
        looks = _looks(_gather(said, treated), job)
        return Advice(said.complaint, stop=treated.stop, causes=said.causes, remedies=looks, balance=effects.balance)
    candidates = [one for one in _gather(said, treated, effects) if among is None or one.id in among]
    habits = [one.id for one in candidates if one.kind == "driving"]
    job = replace(job, effects=with_habits(effects, knowledge, habits))
    offers = offer_all(candidates, job)
    return _advice(said, treated, job, *((offers, ()) if quick else _work_out(offers, candidates, job, treated)))


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
        balance=job.effects.balance,
        case=job.case,
        guesses=job.effects.base.guesses,
        treated="" if treated.instead is None or treated.complaint == said.complaint else treated.instead.symptom,
        model=job.effects.model,
    )


def _work_out(
    offers: Offers, candidates: Sequence[Candidate], job: Job, treated: _Treated
) -> tuple[Offers, tuple[Package, ...]]:
    """Work out anew the best of what single steps add up to, in one batch with the packages."""
    full_model = full_model_of(job.case, job.effects, habit_changes(job.knowledge))
    search = search_for_packages(job)
    order = partial(put_in_order, weights=job.weights, first=_first(treated))
    offers = check_offers(offers, candidates, job, full_model, order, search.trials)
    shown = put_in_order(offers.remedies, job.weights, _first(treated))[: job.weights.most_remedies]
    best = max((gain_of(remedy) for remedy in shown if remedy.kind == "lever"), default=0.0)
    return offers, offer_packages(search, job, best, full_model)


def _gather(said: _Said, treated: _Treated, effects: EffectTable | None = None) -> tuple[Candidate, ...]:
    """Collect what the trade lists, and the levers of a table that are there for balance."""
    others = [] if effects is None else [lever for lever in effects.levers if lever not in NOT_FOR_BALANCE]
    return gather_candidates(treated.symptoms, treated.lead, others, said.knowledge, said.holds)


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


def _fill_severity(complaint: Complaint, unsaid: float) -> Complaint:
    """Take the pack's severity where the driver gave none."""
    cells = (
        cell if cell.severity_given or cell.balance == "fine" else replace(cell, severity=unsaid)
        for cell in complaint.cells
    )
    return replace(complaint, cells=tuple(cells))


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
    case = equip(case, knowledge)
    said = start(case, knowledge).complaint if complaint is None else complaint
    changes = habit_changes(knowledge) if habits else None
    return effect_table(case, levers, habits=changes, complaint=said, progress=progress)
