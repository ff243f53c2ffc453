"""Driving habits as remedies: what a driver does differently, computed where the model can.

And what any offer, made on the believed cars, changes of where they stand.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.advice.prices import RunPrice, price_run
from assistant.advice.ranking import weigh_relief, weigh_run, weigh_trade
from assistant.advice.remedies import plain_remedy, with_numbers
from assistant.advice.results import Advice, Certainty, Factor, Listing, Remedy
from assistant.advice.sizing import Job
from assistant.advice.trade import Candidate, Mention
from assistant.belief.cures import Verdict, judge
from assistant.belief.driven import moved_from
from assistant.belief.effects import effect_by_the_book
from assistant.belief.outcome import read_costs
from assistant.belief.picture import Picture, read_after
from assistant.car.case import PIT_STOP, Case, Setup
from assistant.car.moves import with_steps, with_value
from assistant.ground.units import read

if TYPE_CHECKING:
    from assistant.belief.driven import Changes, Effect
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models import Driving


@dataclass(frozen=True, eq=False)
class _Known:
    """What is known of a habit. effect: what it does to every car. price: over the run, None when not computed."""

    basis: str
    effect: Effect
    verdict: Verdict
    price: RunPrice | None


def offer_driving(candidate: Candidate, job: Job, *, driven: bool = True) -> Remedy | None:
    """Make a remedy of a driving habit; None when it is unknown or would make this complaint worse.

    driven: with all its numbers, and not enough alone to put it in order.
    """
    habit = job.knowledge.driving.get(candidate.id)
    if habit is None or not candidate.mentions:
        return None
    mention, known = candidate.mentions[0], look_up(habit, job)
    useless = known is not None and known.verdict.gain <= 0.0
    if useless and not candidate.called:
        return None
    plain = replace(
        plain_remedy("driving", candidate.id, habit.title, mention, job),
        says=habit.says,
        when=PIT_STOP,
        cautions=job.knowledge.cautions_for([*habit.cautions, *mention.entry.cautions]),
        factors=_weigh(habit, known, mention, job),
    )
    if useless:  # its cause calls for it, whatever it computes
        return replace(plain, factors=())
    if known is None or not driven:
        return plain
    return with_numbers(replace(plain, basis=known.basis), known.effect, job)


def look_up(habit: Driving, job: Job) -> _Known | None:
    """Find what a habit does to the believed cars: driven, else from the book, else nothing."""
    changes = changes_of_habit(habit)
    if not job.wanted.asks or not (changes or habit.by_the_book):
        return None
    if changes:
        effect = job.belief.move(changes)
        run = None if job.in_place else read_costs(job.belief, effect)
        price = price_run(run, job.weights, job.case.run_laps)
        return _Known("computed", effect, judge(job.wanted, job.wanted.read(effect)), price)
    effect = effect_by_the_book(job.belief, {str(phase): value for phase, value in habit.by_the_book.items()})
    return _Known("by the book", effect, judge(job.wanted, job.wanted.read(effect)), None)


def changes_of_habit(habit: Driving) -> Changes:
    """Give what a habit changes of the forces asked for, as shares; nothing for one that is not computed."""
    if habit.computed is None:
        return {}
    return {name: read(text, "share").value for name, text in habit.computed.model_dump(exclude_none=True).items()}


def _weigh(habit: Driving, known: _Known | None, mention: Mention, job: Job) -> tuple[Factor, ...]:
    relief, harm = job.weights.driving_unknown, 0.0
    if known is not None:
        relief, harm = known.verdict.removes, known.verdict.spoils
    return (
        *weigh_relief(relief, harm),
        *weigh_run(None if known is None else known.price),
        _weigh_confidence(habit, known, job),
        weigh_trade(Listing(mention.place, mention.symptom), job.weights),
    )


def _weigh_confidence(habit: Driving, known: _Known | None, job: Job) -> Factor:
    """Weigh how sure the trade is of a habit, times how sure its computed direction is."""
    trade = habit.confidence
    value = job.weights.confidence_words[trade]
    if not job.wanted.wrong.any():
        return Factor("confidence", value, Certainty("no direction", trade=trade))
    if known is None:
        return Factor("confidence", value, Certainty("unknown", trade=trade))
    if known.basis != "computed":
        booked = job.weights.by_the_book_confidence
        return Factor("confidence", value * booked, Certainty("by the book", booked, trade))
    sure = known.verdict.direction
    return Factor("confidence", value * sure, Certainty("computed", sure, trade))


def changes_of_offer(offer: Remedy, case: Case, knowledge: Knowledge) -> Changes:
    """Say which numbers of the model an offer moves, and which demands of the driver."""
    if offer.kind == "driving":
        return changes_of_habit(knowledge.driving[offer.id])
    return moved_from(case.setup, setup_after(offer, case) or case.setup)


def setup_after(offer: Remedy, case: Case) -> Setup | None:
    """Return the setup with an offer made; None for one that is no change of the setup.

    What is put back goes where it was told to have been; all else goes by legal steps.
    """
    if not offer.changes:
        return None
    if offer.kind != "undo":
        return with_steps(case, offer.steps_of_levers)
    setup = case.setup
    for move in offer.moves:
        setup = replace(with_value(setup, move.lever, move.finish), guessed=case.setup.guessed)
    return setup


def compare_offer(advice: Advice, offer: Remedy, case: Case, knowledge: Knowledge) -> tuple[Picture, Picture, Picture]:
    """Where the car is believed to stand, where with an offer made, and what that changes.

    case: with the setup the advice is for.
    """
    picture, belief = advice.picture, advice.belief
    if picture is None or belief is None or offer.effect is None:
        raise ValueError("nothing is believed of this car, or the offer is not computed")
    if picture.shut:
        return picture, picture, picture
    if offer.basis == "computed":
        changes = changes_of_offer(offer, case, knowledge)
        return (picture, *read_after(belief, changes, at_once=case.at_hand == PIT_STOP))
    change = Picture(offer.effect, offer.effect, offer.effect)
    return picture, picture.moved(offer.effect), change
