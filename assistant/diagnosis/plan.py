"""What moves are worth, in which order they come, and which question would change that: chances in, order out.

Everything is in complaints: a whole complaint cured is 1, a minute costs a little of it. Knows no packs and no words of
the paddock. After Heckerman, Breese and Rommelse, "Decision-theoretic troubleshooting" (1995): a repair, a look and a
question are choices of one kind, weighed by what is expected to come of them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

NEAR = 0.15
"""So near the best the order is open, and the likeliest named cause's own look or move comes first (420 cases)."""
NAMED = 0.2
"""From this chance on a cause is named: it is treated before the balance is moved."""
SURE = {"repair": 0.8, "leave": 0.5}
"""A part is mended, or the car left alone, without another look only where its cause is as likely as this."""
ENOUGH = 0.95
"""A cause this likely is not questioned further."""
HARMLESS = frozenset({"inspect", "undo", "leave"})
"""Kinds of move for a car of which nothing is decided: no lever, no word against the driver, and nothing mended before
it was looked at."""
OFF_BALANCE = 1 / 3
"""Where no cause is named and plain balance is less likely than this, nothing is decided (measured: 360 cases)."""
OPEN = 0.1
"""From this chance on the likeliest cause's own look comes first where nothing is decided."""
FIRST = 3
"""Among so many moves no two pull opposite ways."""
SEEN = 0.8
"""Chance that a crew which has a fault can answer the question that names it (assumption)."""
PLAIN = frozenset({"lever", "package"})
"""Kinds of move for a plain balance, unless a cause calls for one."""

Chances = Sequence[float]
"""Of each cause, and of "none of these" last; where they do not sum to 1, so much of the complaint is left."""
Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Option:
    """One move that can be made.

    cures: share of the complaint that goes under each cause, below zero where it gets worse. cost: its minutes and what
    it spoils. finds: for a look the chance of each find under each cause. of: the causes whose own move it is.
    way: "tighter" or "looser" for what pulls that way.
    """

    kind: str
    id: str
    cures: tuple[float, ...]
    cost: float = 0.0
    finds: tuple[tuple[float, ...], ...] = ()
    of: frozenset[int] = frozenset()
    way: str = ""

    @cached_property
    def acts_on(self) -> tuple[tuple[int, float], ...]:
        """The causes under which it does something; most moves are for one or two of them."""
        return tuple((cause, cured) for cause, cured in enumerate(self.cures) if cured)


def gain_of(chances: Chances, option: Option) -> float:
    """Return what a move is expected to take away of the complaint, less its cost."""
    return sum(chances[cause] * cured for cause, cured in option.acts_on) - option.cost * sum(chances)


def left_after(chances: Chances, option: Option) -> list[float]:
    """Return what is left of each cause once a move was made and did not cure."""
    left = list(chances)
    for cause, cured in option.acts_on:
        left[cause] *= 1 - min(max(cured, 0.0), 1.0)
    return left


def gains_of(chances: Numbers, cures: Numbers, costs: Numbers) -> Numbers:
    """Return what each move is expected to gain under each of several rows of chances, (rows, moves)."""
    return np.asarray(np.einsum("rc,mc->rm", chances, cures) - costs * chances.sum(axis=1)[:, None])


def best_gains(gains: Numbers, made: Sequence[int]) -> Numbers:
    """Return what the best move gains in each row, (rows,); nothing where it is better to leave the car alone.

    made: place of the move that was made already in each row, -1 for none.
    """
    others = np.arange(gains.shape[1]) != np.array(made)[:, None]
    return np.asarray(np.where(others, gains, 0.0).max(axis=1, initial=0.0))


def worth_of_each(chances: Chances, options: Sequence[Option]) -> tuple[list[float], list[float]]:
    """Value moves two steps deep, and say what each gains by itself.

    A move and, where it does not cure, the next best one; a look and then the best move under each find. By itself a
    look gains what it adds to the move made after it.
    """
    now, cures, costs = np.array([chances]), np.array([one.cures for one in options]), [one.cost for one in options]
    moves = [at for at, one in enumerate(options) if not one.finds]
    found = [(at, row) for at, one in enumerate(options) for row in one.finds]
    rows = np.concatenate([now, now * (1.0 - cures[moves].clip(0.0, 1.0)), *(now * row for _, row in found)])
    made = [-1, *range(len(moves)), *(-1 for _ in found)]
    alone, *after = best_gains(gains_of(rows, cures[moves], np.array(costs)[moves]), made).tolist()
    gains = gains_of(now, cures, np.array(costs))[0].tolist()
    worth = [-cost if one.finds else gain for one, cost, gain in zip(options, costs, gains, strict=True)]
    for at, more in zip([*moves, *(at for at, _ in found)], after, strict=True):
        worth[at] += more
    by_itself = [value - alone if one.finds else gain for one, value, gain in zip(options, worth, gains, strict=True)]
    return worth, by_itself


def is_named(chances: Chances, plain: int) -> bool:
    """Whether a cause other than mere balance is named."""
    return any(chance >= NAMED for cause, chance in enumerate(chances[:-1]) if cause != plain)


def put_first(
    chances: Chances, options: Sequence[Option], plain: int, among: Sequence[Option] = (), least: float = NAMED
) -> Option:
    """Choose what comes first: the likeliest named cause's own look or move where it is nearly as good as the best.

    Its look comes before its repair unless it is sure, and a change is put back
    before a repair where that gains more. Else, of those nearly as good, what gains most by itself.
    plain: place of the cause that is mere balance; it and "none of these" (last) are not named. among: those that may
    come first, all when left out; a look is worth what the others do once it was made. least: chance of a named cause.
    """
    worth, gains = worth_of_each(chances, options)
    now = {id(option): gain for option, gain in zip(options, gains, strict=True)}
    named = [cause for cause in range(len(chances) - 1) if cause != plain and chances[cause] >= least]
    may = {id(option) for option in among or options}
    open_ones = [(value, option) for value, option in zip(worth, options, strict=True) if id(option) in may]
    best = max(value for value, _ in open_ones)
    near = [option for value, option in open_ones if value >= best - NEAR]
    for cause in sorted(named, key=lambda one: -chances[one]):
        if own := [option for option in near if cause in option.of]:
            looks = [option for option in own if option.finds]
            first = max(own, key=lambda option: now[id(option)])
            back = [option for option in near if option.kind == "undo" and first.kind == "repair"]
            surest = max([first, *back], key=lambda option: now[id(option)])
            return looks[0] if looks and chances[cause] < SURE.get(first.kind, 0.0) else surest
    return max(near, key=lambda option: now[id(option)])


def put_in_order(chances: Chances, options: Sequence[Option], plain: int, most: int = 99) -> list[Option]:
    """Put moves in order: each is the one to make when all before it were made and did not cure.

    What a look finds makes the list anew; so behind one stand no other looks but those of a named cause. Where a cause
    is named, no lever that is not for it stands among the first three; where nothing is decided, none comes first.
    most: so many are ordered, the others follow by what they gain by themselves.
    """
    ordered: list[Option] = []
    left = list(chances)
    rest = list(options)
    worthwhile = [option for option in rest if option.finds or gain_of(chances, option) > 0]
    treated = {cause for option in worthwhile for cause in option.of} - {plain, len(chances) - 1}
    meant = {cause for cause in treated if chances[cause] >= NAMED}
    undecided = not meant and chances[plain] < OFF_BALANCE
    while rest and len(ordered) < most:
        total = sum(left)
        left = [chance / total for chance in left] if total > 0 else list(chances)
        ways = {option.way for option in ordered if option.way} if len(ordered) < FIRST else set()
        looked = any(option.finds for option in ordered)
        named = {cause for cause in range(len(left) - 1) if cause != plain and left[cause] >= NAMED}
        open_ones = [
            option
            for option in rest
            if (not option.way or not ways or option.way in ways)
            and (not option.finds or not looked or not named.isdisjoint(option.of))
            and (not meant or len(ordered) >= FIRST or option.kind not in PLAIN or not meant.isdisjoint(option.of))
            and (not undecided or ordered or option.kind in HARMLESS)
        ]
        least = OPEN if undecided and not ordered else NAMED
        pick = put_first(left, rest, plain, open_ones, least)
        ordered.append(pick)
        rest = [option for option in rest if option is not pick]
        left = left_after(left, pick)
    return [*ordered, *sorted(rest, key=lambda option: -gain_of(left, option))]


# questions


@dataclass(frozen=True)
class Evidence:
    """One open question. swings: for each answer that tells something, log-odds added to each cause.

    usual: how likely each answer is without any cause; all alike when left out. answerable: chance of an answer where
    it has nothing to do with the matter. decides: causes whose deciding sign it is; who has one has mostly seen it.
    """

    id: str
    swings: tuple[tuple[float, ...], ...]
    usual: tuple[float, ...] = ()
    answerable: float = 1.0
    decides: frozenset[int] = frozenset()

    def among_answered(self, chances: Chances) -> list[float]:
        """Return the chance of each cause together with an answer to this question."""
        seen = max(self.answerable, SEEN)
        return [one * (seen if at in self.decides else self.answerable) for at, one in enumerate(chances)]


@dataclass(frozen=True)
class Patience:
    """What asking costs this person now, in complaints.

    question: price of the first question; growth: how much dearer each further one is.
    sure: chance that this person can say anything. asked: questions answered so far.
    """

    question: float
    growth: float
    sure: float = 1.0
    asked: int = 0

    def price(self) -> float:
        """Price of one more question; nobody is sent to measure for it, he says that nobody has."""
        return self.question + self.growth * self.asked


@dataclass(frozen=True)
class Plan:
    """What to ask.

    order: questions worth asking now, best first (empty: stop). useful: every open question that could move a chance.
    gain: what the first is expected to add to the list, before its price. nothing: why nothing is asked: "no cause",
    "no question", "sure" or "price"; empty when something is.
    tells_apart: for each question the titles of the two causes it tells apart best.
    """

    order: tuple[str, ...] = ()
    useful: tuple[str, ...] = ()
    gain: float = 0.0
    nothing: str = ""
    tells_apart: Mapping[str, tuple[str, str] | None] = field(default_factory=dict)


def plan_questions(
    chances: Chances,
    titles: Sequence[str],
    evidence: Sequence[Evidence],
    options: Sequence[Option],
    patience: Patience,
) -> Plan:
    """Plan from chances (sum 1), the causes' titles in the same order, the open questions and the moves there are."""
    if not evidence:
        return Plan(nothing="no question")
    gains = {one.id: patience.sure * _gain_of_asking(one.among_answered(chances), one, options) for one in evidence}
    spread = {one.id: split_gain(chances, one) for one in evidence}
    price = patience.price()
    ranked = sorted(evidence, key=lambda one: (-round(gains[one.id], 9), -spread[one.id]))
    useful = tuple(one.id for one in ranked if spread[one.id] > 0)
    worthwhile = [one for one in ranked if gains[one.id] > price]
    if max(chances) >= ENOUGH or not worthwhile:
        return Plan((), useful, nothing="sure" if max(chances) >= ENOUGH else "price")
    told = {one.id: _tells_apart(chances, titles, one) for one in worthwhile}
    return Plan(tuple(told), useful, gains[worthwhile[0].id], tells_apart=told)


def worth_of_lists(chances: Numbers, options: Sequence[Option]) -> Numbers:
    """Return what the best move and the one after it are expected to gain, under each of several rows of chances."""
    moves = [option for option in options if not option.finds]
    if not moves:
        return np.asarray(chances.max(axis=1))
    cures, costs = np.array([move.cures for move in moves]), np.array([move.cost for move in moves])
    gains = gains_of(chances, cures, costs)
    first = gains.argmax(axis=1)
    then = gains_of(chances * (1.0 - cures.clip(0.0, 1.0)[first]), cures, costs)
    return np.asarray(gains.max(axis=1).clip(0.0) + best_gains(then, first.tolist()))


def _gain_of_asking(chances: Chances, evidence: Evidence, options: Sequence[Option]) -> float:
    """Return how much more the list is expected to be worth once a question is answered."""
    asked = worth_of_lists(share_by_answer(chances, evidence), options).sum()
    return float(asked - worth_of_lists(np.array([chances]), options)[0])


def share_by_answer(chances: Chances, evidence: Evidence) -> Numbers:
    """Return the chance of each telling answer together with each cause, (answers, causes)."""
    return np.array(chances) * answer_chances(evidence)


def answer_chances(evidence: Evidence) -> Numbers:
    """Return the chance of each telling answer under each cause, (answers, causes)."""
    usual = np.array(evidence.usual or (1.0,) * len(evidence.swings))
    odds = usual[:, None] * np.exp(np.array(evidence.swings))
    return np.asarray(odds / odds.sum(axis=0))


def split_gain(chances: Chances, evidence: Evidence) -> float:
    """Return how much an answer is expected to raise the sum of squared chances (pairs of causes told apart)."""
    shares = share_by_answer(chances, evidence)
    total = shares.sum(axis=1)
    after = (shares**2).sum(axis=1) / np.where(total > 0.0, total, 1.0)
    return float(after.sum() - (np.array(chances) ** 2).sum())


def _tells_apart(chances: Chances, titles: Sequence[str], evidence: Evidence) -> tuple[str, str] | None:
    """Return the two likely causes this question tells apart best."""
    swings, likely = np.array(evidence.swings), np.array(chances)
    apart = np.abs(swings[:, :, None] - swings[:, None]).max(axis=0) * np.outer(likely, likely)
    if not apart.any():
        return None
    pair = np.unravel_index(np.tril(apart).argmax(), apart.shape)
    first, second = sorted(map(int, reversed(pair)), key=lambda at: -chances[at])
    return titles[first], titles[second]
