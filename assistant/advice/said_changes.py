"""What plausible cars say of the causes: of those that are numbers of the model, and of a change that was told.

A change told with its lever and its way is computed: whether it makes what is complained of speaks for or against the
cause that it was too much. It is put back by its part and its amount, as is what was made in the talk.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import isclose
from typing import TYPE_CHECKING

from assistant.advice.remedies import with_numbers
from assistant.advice.results import NOT_BACK, PackageMove, PassedOver, Remedy, slowest
from assistant.advice.sizing import Job, is_guessed, when_of
from assistant.belief.cures import Verdict, judge, want
from assistant.belief.driven import moved_from
from assistant.belief.effects import lever_effect
from assistant.belief.suspects import Suspect, facts_read, weigh_suspects
from assistant.car.case import is_computed
from assistant.car.keys import ends_of
from assistant.car.moves import differences, value_of, with_value
from assistant.diagnosis.causes import Reckoned, worth
from assistant.diagnosis.evidence import WHAT_CHANGED
from assistant.diagnosis.hearing import answers_of_change
from assistant.diagnosis.said_change import NoChangeError, read_change
from assistant.rules.knowledge import shifts_of

if TYPE_CHECKING:
    from assistant.belief.believe import Belief
    from assistant.belief.driven import Effect
    from assistant.car.case import Case, Setup
    from assistant.diagnosis.session import Session
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models_symptom import Cause

WHAT_IT_DID = "last_change"
"""The question what the change did, to which "worse" is an answer."""
AS_LIKELY = 0.5
"""Share of the believed cars."""


@dataclass(frozen=True)
class WayBack:
    """A change that was told, taken out again. said: its words. kind: as `what-changed` has it. shift: the way back.

    start: what it is now, as it was told, else as the setup had it. stood: what the setup had. rounds: as it was told.
    """

    said: str
    kind: str
    lever: str
    start: float
    shift: float
    stood: float
    rounds: float

    def is_made_by(self, moves: Mapping[str, tuple[float, float]]) -> bool:
        """Whether moves, each from where to where, took this change out and did nothing else."""
        return moves.keys() == {self.lever} and isclose(moves[self.lever][1], self.start + self.shift, rel_tol=1e-6)


@dataclass(frozen=True)
class PutBack(WayBack):
    """The same with its verdict: what the way back is worth to the believed cars.

    is_torn: loose and tight are complained of, so that the way back is wrong for one of them whatever it does.
    is_felt: the driver says that it came with the change, which stands above what is computed.
    """

    verdict: Verdict
    is_torn: bool = False
    is_felt: bool = False

    @property
    def weight(self) -> float:
        """What it says of the cause that the change was too much [log-odds], by how many cars it goes that way on.

        One that is computed too small to be felt says little against it, as the car may not be the one computed, and
        nothing for it: what does little does not make what is complained of.
        """
        if self.is_against:
            return 0.0
        found = (2 * self.verdict.direction - 1) * worth("strong" if self.verdict.felt and not self.is_torn else "weak")
        return found if self.verdict.felt else min(found, 0.0)

    @property
    def is_against(self) -> bool:
        """Whether it was felt to make it worse and is computed not to."""
        return self.is_felt and self.verdict.direction < AS_LIKELY

    @property
    def is_wrong_way(self) -> bool:
        """Whether the way back is computed to make what is complained of worse, so that it can be felt."""
        return self.weight < 0 and self.verdict.felt and not self.is_torn

    @property
    def made_worse(self) -> set[tuple[str, int]]:
        """Which levers it moved, and the way, where the driver says that this made it worse."""
        way = -1 if self.shift > 0 else 1
        return {(lever, way) for lever in (self.lever, *ends_of(self.lever))} if self.is_felt else set()


def find_put_back(session: Session, belief: Belief) -> PutBack | None:
    """Compute the one change that was told, None where there is none, more than one, or the model has none of it."""
    wanted = want(belief, session.complaint, session.knowledge.weights.cell_weights)
    ways = list(ways_back(session)) if wanted.asks else []
    effects = [(one, _effect(session.case, belief, one.lever, one.shift)) for one in ways]
    found = [(one, effect) for one, effect in effects if effect is not None]
    if len(found) != 1:
        return None
    way, effect = found[0]
    is_torn = {"loose", "tight"} <= {cell.balance for cell in session.complaint.cells}
    is_felt = session.known.get(WHAT_IT_DID) == "worse"
    return PutBack(**vars(way), verdict=judge(wanted, wanted.read(effect)), is_torn=is_torn, is_felt=is_felt)


def ways_back(session: Session) -> Iterator[WayBack]:
    """Give the way back of every change that was told with its part, its way and how far."""
    knowledge = session.knowledge
    kind, setup = str(session.facts.get(WHAT_CHANGED, "")), session.told_on or session.case.setup
    for said in session.reading.said.changes:
        try:
            change = read_change(said, setup, knowledge, "trade")
        except NoChangeError:
            continue
        stood = value_of(setup, change.lever)
        start = stood if change.told is None else change.told[1]
        is_of_kind = kind in answers_of_change([knowledge.levers[change.lever].title], knowledge).values()
        if change.is_step and is_of_kind:
            yield WayBack(said, kind, change.lever, start, stood - change.value, stood, change.rounds)


def _effect(case: Case, belief: Belief, lever: str, shift: float) -> Effect | None:
    """Work out what so much of a lever does to the believed cars; None where the model has none of it."""
    step = lever_effect(case, belief, lever)
    return None if step.on_cars is None else step.on_cars.times(shift / step.step)


def reckon(session: Session, belief: Belief, told: PutBack | None = None) -> Session:
    """Let the believed cars speak for and against the causes that are numbers of the model, and the change told."""
    causes = [one for one in session.weighing.causes if one.model]
    suspects = {one.cause: Suspect(shifts_of(one, session.case.setup), one.comes_with_laps) for one in causes}
    weights = weigh_suspects(belief, suspects) if suspects else {}
    done = {
        one.cause: (told.weight, told.said) for one in session.weighing.causes if told and _is_mere_change(one, told)
    }
    if not weights and not done:
        return session
    return replace(session, reckoned=Reckoned(weights, facts_read(belief), done))


def _is_mere_change(cause: Cause, told: PutBack) -> bool:
    """Whether a cause is nothing but a change of this kind, for which there is nothing but the way back."""
    return bool(cause.remedies) and all(one.undo == told.kind for one in cause.remedies)


def say_ruled_down(told: PutBack | None, knowledge: Knowledge) -> Iterator[PassedOver]:
    """Say of a change that was told why it is not put back, where that goes the wrong way."""
    if told is not None and told.is_wrong_way:
        yield PassedOver(told.lever, knowledge.levers[told.lever].title, NOT_BACK, way=told.said)


def name_put_back(offer: Remedy, told: PutBack | None, job: Job) -> Remedy | None:
    """Say of an offer to put a change back which part goes back how far; None where it was, or goes the wrong way."""
    if told is None or offer.kind != "undo" or offer.id.removeprefix("undo-") != told.kind:
        return offer
    if told.is_wrong_way or value_of(job.case.setup, told.lever) != told.stood:
        return None
    effect = _effect(job.case, job.belief, told.lever, told.shift) if job.wanted.asks else None
    finish = told.start + told.shift
    setup = with_value(job.case.setup, told.lever, finish)
    counted = None if told.is_against else job
    moves = {told.lever: (told.start, finish)}
    back = offer_setup(offer.id, setup, job.case, job.knowledge, counted, effect, moves)
    said = replace(back, title=offer.title, reason=offer.reason, sources=offer.sources, undo_if=offer.undo_if)
    turned = tuple(replace(one, rounds=told.rounds) for one in back.moves)
    return replace(said, moves=turned, cautions=back.cautions or offer.cautions)


def offer_setup(
    name: str,
    setup: Setup,
    case: Case,
    knowledge: Knowledge,
    job: Job | None = None,
    effect: Effect | None = None,
    moves: Mapping[str, tuple[float, float]] | None = None,
) -> Remedy:
    """Offer to set levers to where another setup has them: one's own change, or what was told or made goes back.

    job: what figures are made from, None where nobody complains. effect: of that, where it is known already.
    moves: from where to where, as it was told, where the setup may not have it so.
    """
    levers = knowledge.levers
    moves = moves or differences(case.setup, setup)
    found = Remedy(
        "undo",
        name,
        "",
        moves=tuple(
            PackageMove(one, levers[one].title, 0, *ends, 0.0, guessed=is_guessed(one, case))
            for one, ends in moves.items()
        ),
        when=slowest([when_of(levers[one], case) for one in moves]),
        cautions=knowledge.cautions_for([text for one in moves for text in levers[one].cautions]),
        check_again=tuple(dict.fromkeys(text for one in moves for text in levers[one].recheck)),
    )
    if job is None or not (job.wanted.asks and all(is_computed(one, case.setup) for one in moves)):
        return found
    effect = effect or job.belief.move(moved_from(case.setup, setup))
    return with_numbers(replace(found, basis="computed"), effect, job)
