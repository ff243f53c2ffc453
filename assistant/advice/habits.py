"""Driving habits as remedies: what a driver does differently, computed where the model can.

And what any offer, made on the believed cars, changes of where they stand.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.advice.prices import price_run
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


def offer_driving(candidate: Candidate, job: Job, *, driven: bool = True) -> Remedy | None:
    """Make a remedy of a driving habit; None when it is unknown or would make this complaint worse.

    driven: with all its numbers, and not enough alone to put it in order.
    """
    habit = job.knowledge.driving.get(candidate.id)
    if habit is None or not candidate.mentions:
        return None
    mention, effect = candidate.mentions[0], effect_of(habit, job)
    verdict = None if effect is None else judge(job.wanted, job.wanted.read(effect))
    useless = verdict is not None and verdict.gain <= 0.0
    if useless and not candidate.called:
        return None
    plain = replace(
        plain_remedy("driving", candidate.id, habit.title, mention, job),
        says=habit.says,
        when=PIT_STOP,
        cautions=job.knowledge.cautions_for([*habit.cautions, *mention.entry.cautions]),
        factors=() if useless else _weigh(habit, effect, verdict, mention, job),
    )
    if effect is None or useless or not driven:  # one that is useless is called for, whatever it computes
        return plain
    return with_numbers(replace(plain, basis="computed" if habit.computed else "by the book"), effect, job)


def effect_of(habit: Driving, job: Job) -> Effect | None:
    """Find what a habit does to the believed cars: driven, else from the book; None where nobody gave that."""
    if job.wanted.asks and (changes := changes_of_habit(habit)):
        return job.belief.move(changes)
    book = {str(phase): value for phase, value in habit.by_the_book.items()}
    return effect_by_the_book(job.belief, book) if job.wanted.asks and book else None


def changes_of_habit(habit: Driving) -> Changes:
    """Give what a habit changes of the forces asked for, as shares; nothing for one that is not computed."""
    if habit.computed is None:
        return {}
    return {name: read(text, "share").value for name, text in habit.computed.model_dump(exclude_none=True).items()}


def _weigh(
    habit: Driving, effect: Effect | None, verdict: Verdict | None, mention: Mention, job: Job
) -> tuple[Factor, ...]:
    relief, harm = (job.weights.driving_unknown, 0.0) if verdict is None else (verdict.removes, verdict.spoils)
    is_run = effect is not None and habit.computed is not None and not job.in_place
    run = read_costs(job.belief, effect) if effect is not None and is_run else None
    return (
        *weigh_relief(relief, harm),
        *weigh_run(price_run(run, job.weights, job.case.run_laps)),
        _weigh_confidence(habit, verdict, job),
        weigh_trade(Listing(mention.place, mention.symptom), job.weights),
    )


def _weigh_confidence(habit: Driving, verdict: Verdict | None, job: Job) -> Factor:
    """Weigh how sure the trade is of a habit, times how sure its computed direction is."""
    basis, sure = ("no direction", None) if not job.wanted.wrong.any() else ("unknown", None)
    if basis == "unknown" and verdict is not None:
        is_computed = habit.computed is not None
        basis = "computed" if is_computed else "by the book"
        sure = verdict.direction if is_computed else job.weights.by_the_book_confidence
    trade = job.weights.confidence_words[habit.confidence]
    value = trade if sure is None else trade * sure
    return Factor("confidence", value, Certainty(basis, sure or 0.0, habit.confidence))


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
    if offer.run is not None:
        changes = changes_of_offer(offer, case, knowledge)
        return (picture, *read_after(belief, changes, at_once=case.at_hand == PIT_STOP))
    change = Picture(offer.effect, offer.effect, offer.effect)
    return picture, picture.moved(offer.effect), change
