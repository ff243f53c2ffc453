"""Which question to ask next: chances in, the order of questions out. Knows no packs and no words of the paddock.

The worth of a plan is the chance of naming the right cause at its end, less the price of its questions. It is worked
out exactly by dynamic programming when few questions are open, else two questions ahead; of equals the question comes
first that splits most pairs of causes (Gini).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import exp, log2, prod

MOST_STATES = 1500
"""Up to so many states of the open questions the plan is exact."""
MOST_LOOKED_AT = 10
"""Beyond that, this many questions (those that split most pairs) are looked at two deep."""
ENOUGH = 0.95
"""A cause this likely is not questioned further."""


@dataclass(frozen=True)
class Evidence:
    """One open question. swings: for each answer that tells something, log-odds added to each cause.

    usual: how likely each answer is without any cause; all alike when left out.
    """

    id: str
    topic: str
    swings: tuple[tuple[float, ...], ...]
    minutes: float = 0.0
    usual: tuple[float, ...] = ()


@dataclass(frozen=True)
class Patience:
    """What asking costs this person now, in chance of naming the right cause.

    question: price of the first question; growth: how much dearer each further one is; minute: price of a minute at the
    track; topic: how much less a question may gain and still come first because it stays with the topic in hand.
    unsure: chance of a "not sure", which tells nothing. asked: questions about causes this person has answered so far.
    """

    question: float
    growth: float
    minute: float
    topic: float
    unsure: float
    asked: int = 0

    def price(self, evidence: Evidence, planned: int = 0) -> float:
        """Price of one more question after so many planned ones."""
        return self.question + self.growth * (self.asked + planned) + self.minute * evidence.minutes


@dataclass(frozen=True)
class Plan:
    """What to ask.

    order: questions worth asking now, best first (empty: stop). useful: every open question that could move a chance.
    gain: what the best plan adds to the chance of naming the right cause, its price taken off. expected: how many
    questions it asks on average. exact: whether it was worked out to the end. least: yes-or-no answers to be certain.
    nothing: why nothing is asked: "no cause", "no question", "sure" or "price"; empty when something is.
    tells_apart: for each question the titles of the two causes it tells apart best.
    """

    order: tuple[str, ...] = ()
    useful: tuple[str, ...] = ()
    gain: float = 0.0
    expected: float = 0.0
    exact: bool = True
    least: float = 0.0
    nothing: str = ""
    tells_apart: Mapping[str, tuple[str, str] | None] = field(default_factory=dict)


def plan_questions(
    chances: Sequence[float],
    titles: Sequence[str],
    evidence: Sequence[Evidence],
    patience: Patience,
    topic: str = "",
) -> Plan:
    """Plan from chances (sum 1), the causes' titles in the same order, and the open questions."""
    useful = sorted(evidence, key=lambda one: -split_gain(chances, one, patience.unsure))
    ids = tuple(one.id for one in useful)
    if not useful:
        return Plan(nothing="no question")
    exact = prod(len(one.swings) + 2 for one in useful) <= MOST_STATES
    looked = useful if exact else useful[:MOST_LOOKED_AT]
    depth = len(looked) if exact else 2
    ready = [_make_ready(one, len(chances), patience) for one in looked]
    search = _Search(patience)
    worth = {ask.evidence.id: search.worth_of_asking(chances, ask, ready, depth) for ask in ready}
    now = max(chances)
    ranked = sorted(looked, key=lambda one: -worth[one.id][0])
    best = ranked[0]
    gain, expected = worth[best.id][0] - now, worth[best.id][1]
    if gain <= 0 or now >= ENOUGH:
        return Plan((), ids, exact=exact, nothing="sure" if now >= ENOUGH else "price")
    same = [one for one in ranked if one.topic == topic and worth[one.id][0] >= worth[best.id][0] - patience.topic]
    first = next((one for one in same if worth[one.id][0] > now), best)
    worthwhile = [one for one in ranked if one is not first and worth[one.id][0] > now]
    others = [one for one in worthwhile if split_gain(chances, one, patience.unsure) > 1e-9]
    order = (first, *others)
    told = {one.id: _tells_apart(chances, titles, one) for one in order}
    return Plan(tuple(one.id for one in order), ids, gain, expected, exact, least_questions(chances), tells_apart=told)


def answer_chances(evidence: Evidence, cause: int, unsure: float) -> list[float]:
    """Return the chance of each telling answer under one cause; the rest up to 1 is "not sure"."""
    usual = evidence.usual or (1.0,) * len(evidence.swings)
    odds = [share * exp(row[cause]) for share, row in zip(usual, evidence.swings, strict=True)]
    return [(1 - unsure) * one / sum(odds) for one in odds]


def split_gain(chances: Sequence[float], evidence: Evidence, unsure: float) -> float:
    """Return how much one question is expected to raise the sum of squared chances (pairs of causes told apart)."""
    before = sum(chance * chance for chance in chances)
    after = unsure * before
    columns = [answer_chances(evidence, cause, unsure) for cause in range(len(chances))]
    for row in range(len(evidence.swings)):
        shares = [chance * columns[cause][row] for cause, chance in enumerate(chances)]
        total = sum(shares)
        after += sum(share * share for share in shares) / total if total else 0.0
    return after - before


@dataclass(frozen=True)
class _Ask:
    """An open question made ready: for each answer, "not sure" last, its chance under each cause."""

    evidence: Evidence
    branches: tuple[tuple[float, ...], ...]


def _make_ready(evidence: Evidence, causes: int, patience: Patience) -> _Ask:
    columns = [answer_chances(evidence, cause, patience.unsure) for cause in range(causes)]
    rows = [tuple(column[row] for column in columns) for row in range(len(evidence.swings))]
    return _Ask(evidence, (*rows, (patience.unsure,) * causes))


_State = tuple[tuple[str, int], ...]
_Memo = dict[_State, tuple[float, float]]


@dataclass(frozen=True)
class _Search:
    """The plans from here on. Worth is the chance of naming the right cause, less the price of the questions."""

    patience: Patience
    memo: _Memo = field(default_factory=dict)

    def worth_of_asking(
        self, chances: Sequence[float], ask: _Ask, open_ones: Sequence[_Ask], depth: int, state: _State = ()
    ) -> tuple[float, float]:
        """Return (worth, questions asked) of asking this one and going on best; chances need not sum to 1."""
        rest = [one for one in open_ones if one is not ask]
        total = sum(chances)
        worth, asked = -self.patience.price(ask.evidence, len(state)) * total, total
        for row, branch in enumerate(ask.branches):
            shares = [chance * likely for chance, likely in zip(chances, branch, strict=True)]
            after = self._best(shares, rest, depth - 1, tuple(sorted((*state, (ask.evidence.id, row)))))
            worth += after[0]
            asked += after[1]
        return worth, asked

    def _best(
        self, chances: Sequence[float], open_ones: Sequence[_Ask], depth: int, state: _State
    ) -> tuple[float, float]:
        """Return (worth, questions asked) of the best plan from here: name the likeliest cause, or ask on."""
        if depth <= 0:
            return max(chances), 0.0
        if state in self.memo:
            return self.memo[state]
        best = (max(chances), 0.0)
        if best[0] < ENOUGH * sum(chances):
            for ask in open_ones:
                worth = self.worth_of_asking(chances, ask, open_ones, depth, state)
                if worth[0] > best[0] + 1e-12:
                    best = worth
        self.memo[state] = best
        return best


def bits_left(chances: Sequence[float]) -> float:
    """Return the entropy of the chances in bits: how many sure yes-or-no answers are missing at least."""
    return -sum(chance * log2(chance) for chance in chances if chance > 0)


def least_questions(chances: Sequence[float], wrong: float = 0.1) -> float:
    """Return a floor for the yes-or-no questions any plan needs, when a share of the answers is wrong.

    Each answer then carries at most 1 - h(wrong) bits (Shannon's noisy channel).
    """
    noise = -sum(share * log2(share) for share in (wrong, 1 - wrong) if share > 0)
    return bits_left(chances) / (1 - noise)


def _tells_apart(chances: Sequence[float], titles: Sequence[str], evidence: Evidence) -> tuple[str, str] | None:
    """Return the two likely causes this question tells apart best."""
    best = (0.0, 0, 0)
    for one in range(len(chances)):
        for other in range(one):
            apart = max(abs(row[one] - row[other]) for row in evidence.swings) * chances[one] * chances[other]
            if apart > best[0]:
                best = (apart, one, other)
    if not best[0]:
        return None
    first, second = sorted(best[:0:-1], key=lambda at: -chances[at])
    return titles[first], titles[second]
