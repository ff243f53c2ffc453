"""From a complaint to ranked advice: one pure function that puts the pieces together.

Stop signs come before causes, causes before cures; every lever that was passed over is named with its reason. What
would be shown is worked out again with the full model, until every remedy that is shown is exact.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.habits import changes_of_habit, offer_driving
from assistant.advice.packages import offer_packages
from assistant.advice.ranking import LITTLE, Desk, gain_of, net_of, order, rank, with_danger, with_no_telling
from assistant.advice.remedies import offer_for_cause, offer_lever, offer_told, offer_usual
from assistant.advice.results import TRADE_ALONE, Advice, Note, PassedOver, Remedy
from assistant.advice.said_changes import find_put_back, name_put_back, reckon, say_ruled_down
from assistant.advice.sizing import ONLY_WHERE_LISTED, Job, fit_lever, value_steps
from assistant.advice.trade import (
    Candidate,
    OfferKey,
    barred_by_team,
    gather_candidates,
    idle_changes,
    places_of,
    taken_out,
    team_of,
    treat_instead,
)
from assistant.belief.cures import want
from assistant.belief.driven import guesses_in
from assistant.belief.effects import changes_of, drive_steps
from assistant.belief.known import rows_of_complaint
from assistant.belief.picture import read_picture
from assistant.car.case import PIT_STOP, Case, levers_of
from assistant.car.keys import NOT_FOR_BALANCE
from assistant.diagnosis.flow import danger_not_found
from assistant.diagnosis.match import find_symptoms
from assistant.diagnosis.plan import is_named
from assistant.diagnosis.tire_reading import read_tires
from assistant.ground.names import CORNERS
from assistant.ground.understood import Complaint, StopReason
from assistant.ground.units import read
from assistant.rules.knowledge import Knowledge, equip

if TYPE_CHECKING:
    from assistant.belief.believe import Belief
    from assistant.diagnosis.session import Session
    from assistant.rules.models_symptom import Symptom


CLOSE = 12
"""Levers and habits that are driven on all cars before the list is made: more than are shown."""
DRIVEN = frozenset({"lever", "driving"})
"""Kinds of what is driven."""
BY_NUMBERS = frozenset({"useless", "unfelt", "run"})
"""Reasons to pass a lever over that are a matter of numbers, and may fall when all cars are asked."""
Offered = Remedy | PassedOver | None


@dataclass(frozen=True)
class Offers:
    """What every candidate came to, by kind and id."""

    made: dict[OfferKey, Offered]

    @property
    def remedies(self) -> list[Remedy]:
        """Those that are remedies here."""
        return [one for one in self.made.values() if isinstance(one, Remedy)]

    @property
    def passed(self) -> list[PassedOver]:
        """Those of the trade's list that are none, with their reason."""
        return [one for one in self.made.values() if isinstance(one, PassedOver) and one.listed]

    def without(self, banned: Collection[tuple[str, int]]) -> Offers:
        """Leave out what goes further the way that was tried and did not help, and what a later pack took out."""
        kept = {key: one for key, one in self.made.items() if not (isinstance(one, Remedy) and one.makes(banned))}
        return Offers(kept)


def offer_all(candidates: Sequence[Candidate], job: Job) -> Offers:
    """Make an offer of each candidate, from single steps added up."""
    drive_candidates(candidates, job)
    return Offers({(one.kind, one.id): make_offer(one, job) for one in candidates})


def look_on_few(
    listed: Sequence[Candidate], every: Sequence[Candidate], job: Job, desk: Desk, *, quick: bool
) -> tuple[list[Candidate], Offers, Job, Job]:
    """Look at everything on a few cars, and at what may be shown on all of them.

    listed: what causes and the trade name; every: with all levers that are there for balance. Returns all of it, what
    each came to, the job on few cars, and the one on all.
    """
    rough, known = job.on_few(), {one.id for one in listed} | ONLY_WHERE_LISTED
    candidates = [*listed, *(one for one in every if one.id not in known)]
    made = offer_all(candidates, rough)
    close = find_close(candidates, made, rough, desk)
    job = job if quick else job.with_sizes(rough)
    found = offer_all(close, job).made if quick else drive_each(close, job)
    return candidates, Offers({**made.made, **found}), rough, job


def find_close(candidates: Sequence[Candidate], made: Offers, rough: Job, desk: Desk) -> list[Candidate]:
    """Find what may be shown once all cars are asked: the first of the rough order, then what is nearly of use."""
    first = [(one.kind, one.id) for one in order(made.remedies, desk) if one.kind in DRIVEN]
    others = {one.id: promise(one.id, rough) for one in made.passed if one.why in BY_NUMBERS}
    nearly = [("lever", lever) for lever in sorted(others, key=lambda lever: -others[lever])]
    close = {*[*first, *nearly][:CLOSE]}
    alike = [family for family in desk.weights.families if any(("lever", lever) in close for lever in family)]
    close |= {("lever", lever) for family in alike for lever in family}
    return [one for one in candidates if (one.kind, one.id) in close]


def promise(lever: str, rough: Job) -> float:
    """The most that some steps of a lever are worth to a few cars."""
    fitted = fit_lever(lever, rough)
    if fitted is None or len(fitted.moves.steps) == 1:
        return -np.inf
    step = rough.wanted.read(fitted.step.on_cars or fitted.effect)
    values = value_steps([one for one in fitted.moves.multiple if one], step, rough.wanted)
    return float(values.max())


def drive_shown(offers: Offers, candidates: Sequence[Candidate], job: Job, desk: Desk) -> tuple[Offers, list[Remedy]]:
    """Drive what would be shown as it is; one that turns out useless or harmful drops, and the next takes its place.

    Returns all offers, and those that are shown.
    """
    by_key = {(one.kind, one.id): one for one in candidates}
    made, done = dict(offers.made), set[OfferKey]()
    while True:
        shown = order(Offers(made).remedies, desk)[: desk.weights.most_remedies]
        driven = [one for one in shown if one.kind in DRIVEN and Note(TRADE_ALONE) not in one.notes]
        keys = [key for one in driven if (key := (one.kind, one.id)) not in done]
        if not keys:
            return Offers(made), shown
        made |= drive_each([by_key[key] for key in keys], job)
        done.update(keys)


def drive_each(candidates: Sequence[Candidate], job: Job) -> dict[OfferKey, Offered]:
    """Make an offer of each candidate from the size that is found, driven as it is."""
    found = offer_all(candidates, job).remedies
    sizes = ((one.id, one.steps or 0) for one in found if one.kind == "lever" and one.basis == "computed")
    job.belief.move_all([changes_of([size], job.case) for size in sizes])
    return {(one.kind, one.id): make_offer(one, job, driven=True) for one in candidates}


def make_offer(candidate: Candidate, job: Job, *, driven: bool = False) -> Offered:
    """Make an offer of one candidate. driven: the size that was found is driven as it is."""
    if candidate.kind == "driving":
        return offer_driving(candidate, job, driven=driven)
    if candidate.kind != "lever":
        return offer_told(candidate, job)
    if not job.wanted.asks:
        return offer_usual(candidate, job)
    offered = offer_lever(candidate, job, driven=driven)
    if isinstance(offered, Remedy) or not candidate.called:
        return offered
    return offer_for_cause(candidate, offered, job, driven=driven)


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
    told = find_put_back(session, belief)
    session = reckon(session, belief, told)
    treated = _treat(session, knowledge)
    belief = with_treated(belief, session.complaint, treated.complaint).counted
    job = replace(job_for(case, knowledge, belief, treated.complaint), read=changes_read(session))
    desk = _desk(session, treated, job)
    if treated.stop:
        looks = _looks(_gather(session, treated), job, desk)
        return Advice(session.complaint, stop=treated.stop, causes=session.causes, offers=looks)
    candidates = [one for one in _gather(session, treated, among or ()) if among is None or one.id in among]
    if among is None and job.wanted.asks:
        every = _gather(session, treated, [one for one in levers_of(case.setup) if one not in NOT_FOR_BALANCE])
        candidates, offers, rough, job = look_on_few(candidates, every, job, desk, quick=quick)
    else:
        offers, rough = offer_all(candidates, job), None
    barred = barred_by_team((session.complaint, treated.complaint), knowledge)
    banned = {*session.made, *barred, *(told.made_worse if told else ()), *idle_changes(session.facts)}
    offers = offers.without(banned)
    if job.wanted.asks and all(net_of(one) < LITTLE for one in offers.remedies if one.kind == "lever"):
        offers, desk = _with_the_trades_list(offers, candidates, treated, job, desk)
        offers = offers.without(banned)
    packages: tuple[Remedy, ...] = ()
    if not quick:
        offers, shown = drive_shown(offers, candidates, job, desk)
        gains = {one.id: gain_of(one) for one in shown if one.kind == "lever"}
        packages = offer_packages(rough, job, gains) if rough else ()
    packages = tuple(one for one in packages if not one.makes(banned))
    blind = not (job.wanted.wrong.any() or session.complaint.other)  # no lever where nothing was read
    named = [name_put_back(one, told, job) for one in offers.remedies if not (blind and one.kind == "lever")]
    back = {move.lever for one in named if one is not None and one.kind == "undo" for move in one.moves}
    found = [one for one in named if one is not None and not (one.kind == "lever" and one.id in back)]
    ranked = with_no_telling(rank([*found, *packages], desk), session.no_telling, knowledge)
    told_of = danger_not_found((session.first, session.heard), session.known, knowledge)
    ranked = with_danger(ranked, told_of, desk, blind=blind, named=bool(session.complaint.other))
    passed = (*say_ruled_down(told, knowledge), *taken_out(barred, knowledge), *offers.passed)
    advice = _advice(session, treated, job, passed, ranked)
    return advice if quick else replace(advice, open_questions=session.open_questions())


def job_for(case: Case, knowledge: Knowledge, belief: Belief, complaint: Complaint) -> Job:
    """Put together what offers for a complaint are made from."""
    case, weights = equip(case, knowledge), knowledge.weights
    wanted = want(belief, complaint, weights.cell_weights, at_once=case.at_hand == PIT_STOP)
    return Job(case, knowledge, belief, weights, wanted)


OVER = {"rr-high": "pressure_rr", "rf-high": "pressure_rf"}
"""Whose air is far over its usual when hot, by the answer."""


def changes_read(session: Session) -> dict[str, float]:
    """Say how far a reading of the tires says to move a lever [SI], one step of what is read again after a run."""
    step, high = session.knowledge.tire_reading["pressure-step"], OVER.get(session.known.get("pressures_hot", ""))
    over = {high: -read(str(step.amount), "pressure").value} if high else {}
    found = read_tires(session.case, session.knowledge).findings if session.case.measured.temperatures else ()
    return over | {one.move.lever: one.move.change for one in found if one.move is not None and one.when == "now"}


COMPUTED_LITTLE = 0.25
"""Share of the complaint that the trade's first choice is taken to take away where it is computed to do little."""
DOES_LITTLE = frozenset({"useless", "unfelt"})
"""Why a lever is passed over that harms nothing either."""


def _with_the_trades_list(
    offers: Offers, candidates: Sequence[Candidate], treated: _Treated, job: Job, desk: Desk
) -> tuple[Offers, Desk]:
    """Add the trade's own levers in their usual size and order, where none is computed to do more good than harm."""
    names = {symptom.symptom for symptom in treated.symptoms}
    listed = [one for one in candidates if any(mention.symptom in names for mention in one.mentions)]
    little = [one for one in listed if _why_passed(offers, one) in DOES_LITTLE]
    asked = offer_all(little, job)  # a few cars may miss what a lever spoils over the run
    made = {**offers.made, **asked.made}
    for one in little:
        if _why_passed(asked, one) in DOES_LITTLE:
            mentions = tuple(mention for mention in one.mentions if mention.symptom in names)
            usual = offer_usual(replace(one, mentions=mentions), job)
            made[one.kind, one.id] = usual and replace(usual, factors=(), notes=(Note(TRADE_ALONE),))
    usable = {(one.kind, one.id) for one in listed}
    places = {key: place for key, place in places_of(treated.symptoms).items() if key[0] == "lever" and key in usable}
    return Offers(made), replace(desk, places=places, listed=COMPUTED_LITTLE)


def _why_passed(offers: Offers, candidate: Candidate) -> str:
    passed = offers.made.get((candidate.kind, candidate.id))
    return passed.why if isinstance(passed, PassedOver) else ""


def _desk(session: Session, treated: _Treated, job: Job) -> Desk:
    """Put together what offers are put in order with."""
    places = {} if job.wanted.asks else places_of(treated.symptoms)
    team = team_of(treated.symptoms, job.knowledge, named=is_named(session.board.chances, session.board.plain))
    unread = unread_levers(session.facts)
    return Desk(session.board, treated.meant, job.knowledge, job.weights, job.case.at_hand, places, *team, unread)


def unread_levers(facts: Mapping[str, float | str]) -> frozenset[str]:
    """Name the levers that a reading sets, not the feel, where nobody took it."""
    by_tread = {f"{what}_{corner.lower()}" for what in ("pressure", "camber") for corner in CORNERS}
    read = any(name.startswith("temperature_") for name in facts)
    stagger = set() if {"stagger_hot", "hot_stagger"} & facts.keys() else {"stagger"}
    bias = set() if facts.get("float_in") == "gone" else {"brake_bias"}
    return frozenset((set() if read else by_tread) | stagger | bias)


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


def _advice(
    session: Session, treated: _Treated, job: Job, passed: Iterable[PassedOver], ranked: Sequence[Remedy]
) -> Advice:
    """Put the pieces together."""
    return Advice(
        session.complaint,
        causes=session.causes,
        offers=tuple(ranked[: job.weights.most_remedies]),
        passed=tuple(passed),
        notes=session.notes,
        torn=session.board.torn,
        case=job.case,
        guesses=guesses_in(job.case),
        treated="" if treated.instead is None or treated.same else treated.instead.symptom,
        belief=job.belief,
        picture=read_picture(job.belief),
    )


def drive_candidates(candidates: Sequence[Candidate], job: Job) -> None:
    """Drive one step of every lever and every habit that will be judged, side by side."""
    if not job.wanted.asks:
        return
    known = levers_of(job.case.setup)
    levers = [one.id for one in candidates if one.kind == "lever" and one.id in known]
    drive_steps(job.case, job.belief, levers, job.sizes)
    habits = [job.knowledge.driving[one.id] for one in candidates if one.id in job.knowledge.driving]
    job.belief.move_all([changes for habit in habits if (changes := changes_of_habit(habit))])


def _gather(session: Session, treated: _Treated, levers: Iterable[str] = ()) -> tuple[Candidate, ...]:
    """Collect what causes call for and the trade lists, and other levers that are there for balance."""
    knowledge, facts = session.knowledge, session.facts
    return gather_candidates(
        treated.symptoms,
        session.board.calls,
        levers,
        knowledge,
        lambda condition: knowledge.holds(condition, facts) is True,
    )


@dataclass(frozen=True)
class _Treated:
    """What levers are sized for: the complaint as said, or as the cause has it that is likelier than plain balance.

    meant: place of that cause. same: the complaint is treated as it was said. stop: a reason to stop.
    """

    complaint: Complaint
    meant: int
    instead: Symptom | None
    symptoms: tuple[Symptom, ...]
    stop: StopReason | None
    same: bool


def _treat(session: Session, knowledge: Knowledge) -> _Treated:
    meant = _meant(session)
    causes = session.weighing.causes
    cause = causes[meant] if meant < len(causes) else None
    as_treated, instead = treat_instead(session.complaint, cause, knowledge)
    symptoms = _symptoms(as_treated, instead, knowledge)
    unsafe = next((symptom.symptom for symptom in symptoms if symptom.safety), None)
    stop = session.stop or (None if unsafe is None else StopReason((unsafe,)))
    return _Treated(as_treated, meant, instead, symptoms, stop, as_treated == session.complaint)


TREATED_FROM = 0.3
"""Chance from which a cause may have another complaint treated than the driver's own; below it his words stand."""


def _meant(session: Session) -> int:
    """Choose the cause that levers are sized for: plain balance, or one that is likely."""
    board = session.board
    likely = max(board.by_balance, key=lambda at: (board.chances[at], at == board.plain))
    return likely if board.chances[likely] >= TREATED_FROM else board.plain


def _symptoms(complaint: Complaint, instead: Symptom | None, knowledge: Knowledge) -> tuple[Symptom, ...]:
    """Look up the symptoms the complaint is, the one to treat instead first."""
    names = [match.symptom for match in find_symptoms(complaint, knowledge)]
    found = [knowledge.symptoms[name] for name in names]
    ordered = found if instead is None else [instead, *(symptom for symptom in found if symptom != instead)]
    return tuple(symptom for symptom in ordered if symptom.retired is None)[:MOST_SYMPTOMS]


def _looks(candidates: Sequence[Candidate], job: Job, desk: Desk) -> tuple[Remedy, ...]:
    """List only what to inspect, for a car that must not be adjusted before that."""
    found = [offer_told(candidate, job) for candidate in candidates if candidate.kind == "inspect"]
    return rank([one for one in found if one is not None], desk)
