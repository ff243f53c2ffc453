"""How good a remedy is, and which comes first.

score = (relief - harm - tire life - pace) x confidence x practicality x trade x preference; every factor is a number,
every weight from the pack's ranking file. Then the rules of a sane list: nothing is sorted by anything that is not
among the factors, except the rules named in `put_in_order`, and each of those leaves its note with the remedy.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import prod
from typing import TYPE_CHECKING

from assistant.advice.results import Certainty, Factor, Listing, Note, Remedy, Timing
from assistant.car.lever_rows import LEVERS_BY_WORK

if TYPE_CHECKING:
    from assistant.advice.prices import RunPrice
    from assistant.rules.models import Weights
    from assistant.rules.models_lever import When


SHARES = ("relief", "harm", "tire life", "pace")
"""Factors that are shares of the complaint; all others are taken away from the first."""
TIMES = ("confidence", "practicality", "trade", "preference")
"""Factors the share is multiplied by."""
LESS_IS_BETTER = frozenset({"harm", "tire life", "pace"})


def weigh_relief(relief: float, harm: float) -> tuple[Factor, ...]:
    """Weigh the shares of the complaint: what goes, what is spoiled elsewhere or by going past the mark."""
    return Factor("relief", relief), Factor("harm", harm)


def weigh_run(price: RunPrice | None) -> tuple[Factor, ...]:
    """Weigh what it costs over the run, as shares of the complaint; nothing when that was not computed."""
    if price is None:
        return ()
    short = "" if price.short is None else price.short.what
    return Factor("tire life", price.tires, short), Factor("pace", price.pace)


def weigh_confidence(share: float, basis: str, weights: Weights) -> Factor:
    """Weigh how sure the direction is. share: chance that the sign holds, 0 to 1."""
    return Factor("confidence", share**weights.confidence_power, Certainty(basis, share))


def weigh_practicality(when: When, at_hand: str, weights: Weights) -> Factor:
    """Weigh whether it can be done in the time at hand."""
    value = weights.practicality[when]
    time = Timing(when, at_hand)
    return Factor("practicality", value if time.enough else value * weights.not_in_time, time)


def weigh_trade(listing: Listing, weights: Weights) -> Factor:
    """Weigh what the trade thinks of it for this complaint."""
    if listing.place is None:
        return Factor("trade", weights.not_in_trade_list, listing)
    value = max(weights.trade_least, 1 - weights.trade_fade * listing.place)
    value *= weights.confidence_words[listing.confidence]
    return Factor("trade", value * weights.against_trade if listing.against else value, listing)


def with_score(factors: Sequence[Factor]) -> tuple[Factor, ...]:
    """Add the score as the last factor."""
    return (*factors, Factor("score", score_of(factors)))


def score_of(factors: Iterable[Factor]) -> float:
    """Multiply the factors out; a factor that is missing counts as one, a missing share as nothing."""
    named = {factor.name: factor.value for factor in factors}
    share = named.get("relief", 0.0) - sum(named.get(name, 0.0) for name in SHARES[1:])
    return share * prod(named.get(name, 1.0) for name in TIMES)


def factor_value(remedy: Remedy, name: str) -> float | None:
    """Read one factor of a remedy by name, None when it has none."""
    return next((factor.value for factor in remedy.factors if factor.name == name), None)


def gain_of(remedy: Remedy) -> float:
    """Take what a remedy spoils from what it takes away; for choosing only, never shown."""
    return (remedy.removes or 0.0) - (remedy.spoils or 0.0)


SEEN_FIRST = 3
"""How many remedies are seen first."""
_GROUP_OF = {lever: group for group, levers in LEVERS_BY_WORK.items() for lever in levers}


def put_in_order(
    remedies: Iterable[Remedy], weights: Weights, first: tuple[str, str] | None = None
) -> tuple[Remedy, ...]:
    """Rank by score and number from 1; then the rules of a sane list.

    One of a family is shown and the others are named; a by-the-book lever never stands above a computed one that
    removes the same share; among the first three are no more than two of one part of the car and one driving habit;
    `first`, an id with the kind of note that says why, stands first (the habit a leading cause asks for, a look before
    any change); else no habit by the book does, while there is something computed that helps;
    among the first places no more stand by the book than the pack allows, while there is a computed one that helps.
    """
    ordered = sorted(remedies, key=lambda remedy: (-_score(remedy), -(remedy.removes or 0.0), remedy.id))
    ordered = _lower_by_the_book(_show_best_of_family(ordered, weights.families), weights.same_share)
    ordered = _mix_first_three(ordered)
    wanted, why = first or ("", "")
    ahead = [with_note(remedy, why) for remedy in ordered if remedy.id == wanted]
    rest = [remedy for remedy in ordered if remedy.id != wanted]
    ordered = [*ahead, *rest] if ahead else _begin_computed(rest)
    return _number(_limit_by_the_book(ordered, weights.first_places, weights.by_the_book_among_first))


def with_note(remedy: Remedy, kind: str, names: tuple[str, ...] = ()) -> Remedy:
    """Put one more note to a remedy."""
    return replace(remedy, notes=(*remedy.notes, Note(kind, names)))


def family_of(lever: str, families: Sequence[Sequence[str]]) -> str:
    """Name the family of a lever, its own id when it has none."""
    return next((family[0] for family in families if lever in family), lever)


def _score(remedy: Remedy) -> float:
    return factor_value(remedy, "score") or 0.0


def _show_best_of_family(ordered: Sequence[Remedy], families: Sequence[Sequence[str]]) -> list[Remedy]:
    """Keep the best of each family and note the others with it."""
    kept: dict[tuple[str, str], Remedy] = {}
    others: dict[tuple[str, str], list[str]] = {}
    for remedy in ordered:
        key = (remedy.kind, family_of(remedy.id, families) if remedy.kind == "lever" else remedy.id)
        if key in kept:
            others.setdefault(key, []).append(remedy.title)
        else:
            kept[key] = remedy
    return [
        with_note(remedy, "relatives", tuple(others[key])) if key in others else remedy for key, remedy in kept.items()
    ]


def _lower_by_the_book(ordered: list[Remedy], same_share: float) -> list[Remedy]:
    """Move each by-the-book lever below every computed lever that removes the same share."""
    result = list(ordered)
    for book in [remedy for remedy in ordered if remedy.kind == "lever" and remedy.basis == "by the book"]:
        below = [index for index, other in enumerate(result) if _same_but_computed(other, book, same_share)]
        here = result.index(book)
        if below and below[-1] > here:
            said = with_note(book, "below computed")
            result = [*result[:here], *result[here + 1 : below[-1] + 1], said, *result[below[-1] + 1 :]]
    return result


def _same_but_computed(other: Remedy, book: Remedy, same_share: float) -> bool:
    """Whether a computed lever removes the same share as a by-the-book one."""
    if other.kind != "lever" or other.basis != "computed":
        return False
    return abs((other.removes or 0.0) - (book.removes or 0.0)) <= same_share


def _mix_first_three(ordered: list[Remedy]) -> list[Remedy]:
    """Fill the first three with at most two of one part of the car and one driving habit, when there are others.

    A remedy that gets there past a better score has a note; by-the-book levers are never lifted.
    """
    first: list[Remedy] = []
    rest: list[Remedy] = []
    for remedy in ordered:
        book = remedy.kind == "lever" and remedy.basis != "computed"
        if len(first) == SEEN_FIRST or not _fits(remedy, first) or (book and rest):
            rest.append(remedy)
        else:
            first.append(with_note(remedy, "lifted") if rest else remedy)
    return [*first, *rest]


def _begin_computed(ordered: list[Remedy]) -> list[Remedy]:
    """Let no driving habit by the book begin the list where anything computed for this car helps."""
    computed = next((at for at, remedy in enumerate(ordered) if _helps_computed(remedy)), None)
    if not computed or ordered[0].kind != "driving" or not _is_by_the_book(ordered[0]):
        return ordered
    return [ordered[computed], with_note(ordered[0], "not first"), *ordered[1:computed], *ordered[computed + 1 :]]


def _limit_by_the_book(ordered: list[Remedy], places: int, most: int) -> list[Remedy]:
    """Keep at most so many by-the-book remedies in the first places; one moved down past a computed one has a note.

    Where no computed remedy is left that helps, they keep their places: better a habit by the book than nothing.
    """
    result = list(ordered)
    for place in range(min(places, len(result))):
        before = sum(_is_by_the_book(remedy) for remedy in result[:place])
        if before < most or not _is_by_the_book(result[place]):
            continue
        helps = next((at for at in range(place + 1, len(result)) if _helps_computed(result[at])), None)
        if helps is None:
            break
        result.insert(place, result.pop(helps))
        moved_before = any(note.kind == "moved down" for note in result[place + 1].notes)
        result[place + 1] = result[place + 1] if moved_before else with_note(result[place + 1], "moved down")
    return result


def _is_by_the_book(remedy: Remedy) -> bool:
    """Whether the size of a change or a habit is from a table; something to look at has no size."""
    return remedy.kind != "inspect" and remedy.basis != "computed" and remedy.removes is not None


def _helps_computed(remedy: Remedy) -> bool:
    return remedy.kind != "inspect" and remedy.basis == "computed" and (remedy.removes or 0.0) > 0


def _fits(remedy: Remedy, first: Sequence[Remedy]) -> bool:
    same = sum(_part(other) == _part(remedy) for other in first)
    return same < (1 if remedy.kind == "driving" else 2)


def _part(remedy: Remedy) -> str:
    return _GROUP_OF.get(remedy.id, remedy.kind) if remedy.kind == "lever" else remedy.kind


def _number(ordered: Iterable[Remedy]) -> tuple[Remedy, ...]:
    return tuple(replace(remedy, rank=number) for number, remedy in enumerate(ordered, start=1))
