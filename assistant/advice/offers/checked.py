"""Remedies worked out with the full model: those that would be shown, until every one that is shown is exact."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from assistant.advice.computed.full_model import FullModel, Trial, try_lever
from assistant.advice.offers.candidates import Candidate
from assistant.advice.offers.fitting import NOT_FOR_BALANCE, Job, fit_lever, steps_near
from assistant.advice.offers.habits import habit_changes, offer_driving
from assistant.advice.offers.listed import offer_inspection, offer_usual
from assistant.advice.offers.remedies import PassedOver, offer_lever
from assistant.advice.results import Remedy

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
        return [one for one in self.made.values() if isinstance(one, PassedOver) and one.candidate.mentions]


def offer_all(candidates: Sequence[Candidate], job: Job) -> Offers:
    """Make an offer of each candidate, from single steps added up."""
    return Offers({(one.kind, one.id): _offer(one, job) for one in candidates})


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
            {key: _offer_exactly(by_key[key], these, job, full_model) for key, these in trials.items() if these}
        )
        done.update(keys)
        also, count = (), job.weights.most_remedies


def _offer(candidate: Candidate, job: Job) -> Offered:
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


def _offer_exactly(candidate: Candidate, trials: Sequence[Trial], job: Job, full_model: FullModel) -> Offered:
    outcomes = full_model(trials)
    if candidate.kind == "driving":
        return offer_driving(candidate, job, outcomes[0])
    sizes = [trial.moves[0][1] for trial in trials]
    return offer_lever(candidate, job, dict(zip(sizes, outcomes, strict=True)))
