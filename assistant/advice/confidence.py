"""How sure an offer is on the cars that are believed: whether it goes the right way, whether it cures half of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.advice.results import Advice, Package, Remedy
from assistant.belief.cures import judge
from assistant.belief.driven import moved_from
from assistant.belief.picture import Picture, is_of_both_ends, read_after, read_picture
from assistant.car.moves import with_step

if TYPE_CHECKING:
    from assistant.belief.believe import Belief
    from assistant.belief.driven import Changes
    from assistant.car.case import Case

ASKED = 3
"""Offers the believed cars are asked about: those that are seen first."""


def with_belief(advice: Advice, belief: Belief, case: Case) -> Advice:
    """Add where the car is believed to stand to an advice, and how sure its first levers are there.

    Where no plausible car does what is known, nothing is claimed of any. case: with the setup the advice is for.
    """
    picture = read_picture(belief)
    advice = replace(advice, belief=belief, picture=picture)
    if picture.shut:
        return replace(advice, remedies=tuple(replace(one, confidence=None) for one in advice.remedies))
    if advice.treated or not is_judged(belief):
        return advice
    wanted = [one.id for one in advice.remedies if is_lever(one)][:ASKED]
    asked = (ask_cars(one, belief, case) if one.id in wanted and is_lever(one) else one for one in advice.remedies)
    return replace(advice, remedies=tuple(asked))


def is_judged(belief: Belief) -> bool:
    """Whether all that was said last was said of both ends of the track; one end alone is not judged on these cars."""
    return all(is_of_both_ends(row) for row in belief.evidence.words.values())


def is_lever(remedy: Remedy) -> bool:
    """Whether an offer is a move of one lever that is computed."""
    return remedy.kind == "lever" and remedy.basis == "computed" and bool(remedy.steps)


def ask_cars(remedy: Remedy, belief: Belief, case: Case) -> Remedy:
    """Ask the believed cars about one lever."""
    verdict = judge(belief, belief.move(changes_of([(remedy.id, remedy.steps or 0)], case)))
    return remedy if verdict is None else replace(remedy, confidence=verdict.direction, cures=verdict.cures)


def changes_of(moves: Sequence[tuple[str, int]], case: Case) -> Changes:
    """Say which numbers of the model some steps of levers move."""
    setup = case.setup
    for lever, steps in moves:
        setup, _ = with_step(setup, case.rulebook, case.car, lever, steps)
    return moved_from(case.setup, setup)


def compare_offer(advice: Advice, offer: Remedy | Package, case: Case) -> tuple[Picture, Picture, Picture]:
    """Where the car is believed to stand, where with an offer made, and what that changes.

    case: with the setup the advice is for. A habit does on every car what it does on the nominal one.
    """
    picture, belief = advice.picture, advice.belief
    if picture is None or belief is None or offer.effect is None:
        raise ValueError("nothing is believed of this car, or the offer is not computed")
    if picture.shut:
        return picture, picture, picture
    if isinstance(offer, Package):
        return (picture, *read_after(belief, changes_of([(one.lever, one.steps) for one in offer.moves], case)))
    if is_lever(offer):
        return (picture, *read_after(belief, changes_of([(offer.id, offer.steps or 0)], case)))
    change = Picture(offer.effect, offer.effect, offer.effect)
    return picture, picture.moved(offer.effect), change
