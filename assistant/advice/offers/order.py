"""Which remedy first: the score, then the rules of a sane list.

Nothing is sorted by anything that is not among the factors, except the rules named in `put_in_order`,
and each of those leaves its sentence in the remedy's note.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.advice.offers.ranking import LESS_IS_BETTER, factor_value
from assistant.advice.results import Remedy
from assistant.car.setup import GROUPS

if TYPE_CHECKING:
    from assistant.advice.offers.weights import Weights
    from assistant.advice.results import Advice

FIRST = 3
"""How many remedies are seen first."""
MOVED_DOWN = "Moved down: enough by the book stand above it, and their sizes are assumptions."
NOT_FIRST = "Not first, though its score is the best: its size is an assumption, and the first is this car's."
LIFTED = "Lifted for variety."
_GROUP_OF = {lever: group for group, levers in GROUPS.items() for lever in levers}


def put_in_order(
    remedies: Iterable[Remedy], weights: Weights, first: tuple[str, str] | None = None
) -> tuple[Remedy, ...]:
    """Rank by score and number from 1; then the rules of a sane list.

    One of a family is shown and the others are named; a by-the-book lever never stands above a computed one that
    removes the same share; among the first three are no more than two of one part of the car and one driving habit;
    `first`, an id with the sentence why, stands first (the habit a leading cause asks for, a look before any change);
    else no habit by the book does, while there is something computed that helps;
    among the first places no more stand by the book than the pack allows, while there is a computed one that helps.
    """
    ordered = sorted(remedies, key=lambda remedy: (-_score(remedy), -(remedy.removes or 0.0), remedy.id))
    ordered = _lower_by_the_book(_show_best_of_family(ordered, weights.families), weights.same_share)
    ordered = _mix_first_three(ordered)
    wanted, why = first or ("", "")
    ahead = [add_note(remedy, why) for remedy in ordered if remedy.id == wanted]
    rest = [remedy for remedy in ordered if remedy.id != wanted]
    ordered = [*ahead, *rest] if ahead else _begin_computed(rest)
    return _number(_limit_by_the_book(ordered, weights.first_places, weights.by_the_book_among_first))


def reorder(advice: Advice, factor: str) -> Advice:
    """Sort an advice by one factor instead of the score, best first; a remedy without it goes last."""
    sign = 1 if factor in LESS_IS_BETTER else -1

    def place(remedy: Remedy) -> tuple[bool, float, int]:
        value = factor_value(remedy, factor)
        return value is None, sign * (value or 0.0), remedy.rank

    return replace(advice, remedies=_number(sorted(advice.remedies, key=place)))


def add_note(remedy: Remedy, text: str) -> Remedy:
    """Put one more sentence into a remedy's note."""
    return replace(remedy, note=f"{remedy.note} {text}".strip())


def family_of(lever: str, families: Sequence[Sequence[str]]) -> str:
    """Name the family of a lever, its own id when it has none."""
    return next((family[0] for family in families if lever in family), lever)


def _score(remedy: Remedy) -> float:
    return factor_value(remedy, "score") or 0.0


def _show_best_of_family(ordered: Sequence[Remedy], families: Sequence[Sequence[str]]) -> list[Remedy]:
    """Keep the best of each family and name the others in its note."""
    kept: dict[tuple[str, str], Remedy] = {}
    others: dict[tuple[str, str], list[str]] = {}
    for remedy in ordered:
        key = (remedy.kind, family_of(remedy.id, families) if remedy.kind == "lever" else remedy.id)
        if key in kept:
            others.setdefault(key, []).append(remedy.title)
        else:
            kept[key] = remedy
    return [
        add_note(remedy, f"Close relatives, ranked lower: {', '.join(others[key])}.") if key in others else remedy
        for key, remedy in kept.items()
    ]


def _lower_by_the_book(ordered: list[Remedy], same_share: float) -> list[Remedy]:
    """Move each by-the-book lever below every computed lever that removes the same share."""
    result = list(ordered)
    for book in [remedy for remedy in ordered if remedy.kind == "lever" and remedy.basis == "by the book"]:
        below = [index for index, other in enumerate(result) if _same_but_computed(other, book, same_share)]
        here = result.index(book)
        if below and below[-1] > here:
            said = add_note(
                book, "Stands below the computed levers that remove the same share: its size is an assumption."
            )
            result = [*result[:here], *result[here + 1 : below[-1] + 1], said, *result[below[-1] + 1 :]]
    return result


def _same_but_computed(other: Remedy, book: Remedy, same_share: float) -> bool:
    """Whether a computed lever removes the same share as a by-the-book one."""
    if other.kind != "lever" or other.basis != "computed":
        return False
    return abs((other.removes or 0.0) - (book.removes or 0.0)) <= same_share


def _mix_first_three(ordered: list[Remedy]) -> list[Remedy]:
    """Fill the first three with at most two of one part of the car and one driving habit, when there are others.

    A remedy that gets there past a better score says so; by-the-book levers are never lifted.
    """
    first: list[Remedy] = []
    rest: list[Remedy] = []
    for remedy in ordered:
        book = remedy.kind == "lever" and remedy.basis != "computed"
        if len(first) == FIRST or not _fits(remedy, first) or (book and rest):
            rest.append(remedy)
        else:
            first.append(add_note(remedy, LIFTED) if rest else remedy)
    return [*first, *rest]


def _begin_computed(ordered: list[Remedy]) -> list[Remedy]:
    """Let no driving habit by the book begin the list where anything computed for this car helps."""
    computed = next((at for at, remedy in enumerate(ordered) if _helps_computed(remedy)), None)
    if not computed or ordered[0].kind != "driving" or not _is_by_the_book(ordered[0]):
        return ordered
    return [ordered[computed], add_note(ordered[0], NOT_FIRST), *ordered[1:computed], *ordered[computed + 1 :]]


def _limit_by_the_book(ordered: list[Remedy], places: int, most: int) -> list[Remedy]:
    """Keep at most so many by-the-book remedies in the first places; one moved down past a computed one says so.

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
        if MOVED_DOWN not in result[place + 1].note:
            result[place + 1] = add_note(result[place + 1], MOVED_DOWN)
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
