"""How good a remedy is: every factor a number with a sentence, every weight from the pack's ranking file.

score = (relief - harm - tire life - pace) x confidence x practicality x trade x preference; `order` sorts by it.

Which remedy first: the score, then the rules of a sane list.

Nothing is sorted by anything that is not among the factors, except the rules named in `put_in_order`,
and each of those leaves its sentence in the remedy's note.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import prod
from typing import TYPE_CHECKING

from assistant.advice.results import Factor, Remedy
from assistant.car.setup import GROUPS
from assistant.pages.amounts import cure_words, share_words

if TYPE_CHECKING:
    from assistant.advice.prices import RunPrice
    from assistant.advice.severity import Weights


HOW_SOON = ("pit stop", "between runs", "shop")
"""When a change can be made, quickest first."""
SHARES = ("relief", "harm", "tire life", "pace")
"""Factors that are shares of the complaint; all others are taken away from the first."""
TIMES = ("confidence", "practicality", "trade", "preference")
"""Factors the share is multiplied by."""
SPOILS = "spoils, elsewhere or past the mark, as much as"
LESS_IS_BETTER = frozenset({"harm", "tire life", "pace"})


@dataclass(frozen=True)
class Standing:
    """What the trade thinks of a remedy for this complaint.

    place: position in its list, 0 first, None when it is not in the list. against: the trade moves it the other way.
    confidence: how sure the trade is of the entry, good, fair or guess.
    """

    place: int | None
    symptom: str
    against: bool = False
    confidence: str = "good"


def weigh_relief(relief: float, harm: float) -> tuple[Factor, ...]:
    """State the shares of the complaint: what goes, what is spoiled elsewhere or by going past the mark."""
    return (
        Factor("relief", relief, cure_words(relief)),
        Factor("harm", harm, f"{SPOILS} {share_words(harm)}" if harm > 0.005 else "spoils nothing"),
    )


def weigh_run(price: RunPrice | None) -> tuple[Factor, ...]:
    """State what it costs over the run, as shares of the complaint; nothing when that was not computed."""
    if price is None:
        return ()
    tires = (
        f"shorter tire life, priced at {say_share(price.tires)} of it" if price.tires >= 0.005 else "tires last as long"
    )
    if price.short is not None:
        tires = f"the run does not reach its end, priced at {say_share(price.tires)} of it"
    pace = f"slower laps, priced at {say_share(price.pace)} of it" if price.pace >= 0.005 else "costs no lap time"
    return Factor("tire life", price.tires, tires), Factor("pace", price.pace, pace)


def weigh_confidence(share: float, basis: str, weights: Weights) -> Factor:
    """State how sure the direction is. share: chance that the sign holds, 0 to 1."""
    if basis == "computed":
        text = f"on {10 * share:.0f} of 10 plausible cars like this one it goes this way"
    else:
        text = f"by the book, not computed for this car: counted as {10 * share:.0f} in 10"
    return Factor("confidence", share**weights.confidence_power, text)


def weigh_practicality(when: str, at_hand: str, weights: Weights) -> Factor:
    """State whether it can be done in the time at hand."""
    value = weights.practicality[when]
    if HOW_SOON.index(when) > HOW_SOON.index(at_hand):
        return Factor(
            "practicality",
            value * weights.not_in_time,
            f"{_needs(when)}, and there is only time for a change {_during(at_hand)}",
        )
    return Factor("practicality", value, _needs(when))


def weigh_trade(standing: Standing, weights: Weights) -> Factor:
    """State what the trade thinks of it for this complaint."""
    if standing.place is None:
        return Factor("trade", weights.not_in_trade_list, "not in the trade's list for this")
    value = max(weights.trade_least, 1 - weights.trade_fade * standing.place)
    value *= weights.confidence_words[standing.confidence]
    sure = {"good": "", "fair": ", fairly sure of it", "guess": ", as a guess"}[standing.confidence]
    text = f"number {standing.place + 1} in the trade's list for '{standing.symptom}'{sure}"
    if standing.against:
        return Factor("trade", value * weights.against_trade, f"{text}, but moved the other way there")
    return Factor("trade", value, text)


def weigh_preference(preference: float) -> Factor:
    """State the trade's liking for this lever."""
    text = "no special liking"
    if preference != 1:
        text = "the trade likes to reach for it" if preference > 1 else "the trade does not like to reach for it"
    return Factor("preference", preference, text)


def with_score(factors: Sequence[Factor]) -> tuple[Factor, ...]:
    """Add the score as the last factor, with the sum written out."""
    value = score_of(factors)
    named = {factor.name: factor.value for factor in factors}
    shares = " - ".join(f"{named[name]:.2f}" for name in SHARES if name in named)
    times = "".join(f" x {named[name]:.2f}" for name in TIMES if name in named)
    return (*factors, Factor("score", value, f"({shares}){times} = {value:.3f}"))


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


def slower_of(one: str, other: str) -> str:
    """Take the slower of two times of change."""
    return max(one, other, key=HOW_SOON.index)


def say_share(share: float) -> str:
    """Write a share of the complaint: "34 %"."""
    return f"{100 * share:.0f} %"


def _needs(when: str) -> str:
    return {
        "pit stop": "can be done in a pit stop",
        "between runs": "can be done between runs",
        "shop": "needs the shop",
    }[when]


def _during(at_hand: str) -> str:
    return {"pit stop": "in a pit stop", "between runs": "between runs", "shop": "in the shop"}[at_hand]


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
