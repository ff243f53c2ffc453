"""An offer made on the believed cars: where they stand before and after."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.advice.habits import changes_of_habit
from assistant.advice.results import PIT_STOP, Advice, Package, Remedy
from assistant.belief.effects import changes_of
from assistant.belief.picture import Picture, read_after

if TYPE_CHECKING:
    from assistant.belief.driven import Changes
    from assistant.car.case import Case
    from assistant.rules.knowledge import Knowledge


def changes_of_offer(offer: Remedy | Package, case: Case, knowledge: Knowledge) -> Changes:
    """Say which numbers of the model an offer moves, and which demands of the driver."""
    if isinstance(offer, Package):
        return changes_of([(one.lever, one.steps) for one in offer.moves], case)
    if offer.kind == "lever":
        return changes_of([(offer.id, offer.steps or 0)], case)
    return changes_of_habit(knowledge.driving[offer.id])


def compare_offer(
    advice: Advice, offer: Remedy | Package, case: Case, knowledge: Knowledge
) -> tuple[Picture, Picture, Picture]:
    """Where the car is believed to stand, where with an offer made, and what that changes.

    case: with the setup the advice is for.
    """
    picture, belief = advice.picture, advice.belief
    if picture is None or belief is None or offer.effect is None:
        raise ValueError("nothing is believed of this car, or the offer is not computed")
    if picture.shut:
        return picture, picture, picture
    if isinstance(offer, Package) or offer.basis == "computed":
        changes = changes_of_offer(offer, case, knowledge)
        return (picture, *read_after(belief, changes, at_once=case.at_hand == PIT_STOP))
    change = Picture(offer.effect, offer.effect, offer.effect)
    return picture, picture.moved(offer.effect), change
