"""Two or three levers moved together, in whole legal steps: an exact search, with effects added up.

The miss of a combination is quadratic in the effects, so all third levers of all pairs come out of one matrix
product (rows: pairs with their steps; columns: third levers with theirs), taken in blocks to stay small.
Parts on the shelf may be unevenly spaced: every lever brings its own list of moves.
Exact for this objective and these levers: nothing is left out, as a greedy search or rounding would.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, permutations, product
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.sizing import Moves
from assistant.advice.wanted import Wanted, measure_relief, miss

if TYPE_CHECKING:
    from numpy.typing import NDArray


BLOCK = 200_000
"""Numbers held at once in the search: 1.6 MB."""


@dataclass(frozen=True)
class Member:
    """One lever offered to the search. slope: effect of one known step at each place [%]. family: "" for none.

    Two levers of one family are never put in one package. risk: price of not knowing the effect exactly, one number a
    move, as a share of the complaint; left out it is nothing. It keeps out packages that live on one large uncertain
    effect cancelling another. run: price of each move over the run, likewise.
    """

    moves: Moves
    slope: NDArray[np.float64]
    family: str = ""
    risk: tuple[float, ...] = ()
    run: tuple[float, ...] = ()

    def price(self, pick: int, step_price: float) -> float:
        """Price of one move without its run, as a share of the complaint."""
        return step_price * abs(self.moves.steps[pick]) + (self.risk[pick] if self.risk else 0.0)

    def run_price(self, pick: int) -> float:
        """Price of one move over the run."""
        return self.run[pick] if self.run else 0.0


@dataclass(frozen=True)
class Combination:
    """One combination found. members: index into the list searched; picks: index into each member's moves.

    price: squared miss as a share of the complaint's own, plus the price of the steps, of the risk and of the run.
    effect: change of balance at each place [%].
    """

    members: tuple[int, ...]
    picks: tuple[int, ...]
    price: float
    effect: NDArray[np.float64]
    relief: float
    harm: float

    @property
    def gain(self) -> float:
        """What it takes away less what it spoils; for choosing only, never shown."""
        return self.relief - self.harm


_Found = tuple[float, tuple[int, ...], tuple[int, ...]]
"""Price, members and picks of one combination while searching."""


def search_packages(
    members: Sequence[Member],
    wanted: Wanted,
    *,
    size: int,
    step_price: float,
    best: int = 50,
) -> tuple[Combination, ...]:
    """Find the best combinations of exactly `size` levers (1, 2 or 3), each really moved, best first."""
    if wanted.total == 0 or len(members) < size:
        return ()
    table = _Table.of(members, wanted, step_price)
    found: list[_Found] = []
    for last, rows in table.without_last(size - 1):
        limit = found[-1][0] if len(found) == best else np.inf
        found = sorted(found + _add_last(table, rows, np.flatnonzero(table.lever > last), best, limit))[:best]
    straight = [_sum_effect(members, group, picks) for _, group, picks in found]
    return tuple(
        Combination(group, picks, price, effect, *measure_relief(wanted, effect))
        for (price, group, picks), effect in zip(found, straight, strict=True)
    )


def price_again(
    found: Combination,
    effect: NDArray[np.float64],
    run_price: float,
    members: Sequence[Member],
    wanted: Wanted,
    step_price: float,
) -> Combination:
    """Price a combination by what the full model says: its effect at each place [%], its price over the run."""
    chosen = zip(found.members, found.picks, strict=True)
    price = sum(members[index].price(pick, step_price) for index, pick in chosen)
    price += float(miss(wanted, effect)) + run_price
    relief, harm = measure_relief(wanted, effect)
    return replace(found, price=price, effect=effect, relief=relief, harm=harm)


def steps_of(found: Combination, members: Sequence[Member]) -> tuple[tuple[str, int], ...]:
    """Name the levers of a combination with their steps."""
    chosen = zip(found.members, found.picks, strict=True)
    return tuple((members[index].moves.lever, members[index].moves.steps[pick]) for index, pick in chosen)


def measure_gap(package: Combination, members: Sequence[Member], wanted: Wanted) -> float:
    """Share of the complaint that fractions of a step of the same levers would remove on top (linear model)."""
    slopes = np.array([members[index].slope for index in package.members])
    low = np.array([min(members[index].moves.multiple) for index in package.members])
    high = np.array([max(members[index].moves.multiple) for index in package.members])
    ideal = fit_continuous(slopes, low, high, wanted) @ slopes
    straight = _sum_effect(members, package.members, package.picks)
    return max(0.0, _gain(wanted, ideal) - _gain(wanted, straight))


def _gain(wanted: Wanted, effect: NDArray[np.float64]) -> float:
    relief, harm = measure_relief(wanted, effect)
    return relief - harm


def fit_continuous(
    slopes: NDArray[np.float64], low: NDArray[np.float64], high: NDArray[np.float64], wanted: Wanted
) -> NDArray[np.float64]:
    """Bounded weighted least squares of up to three levers, exactly.

    slopes: shape (levers, places). low, high: bounds in steps. Every face of the box (each lever at its low end, its
    high end, or free) is solved and the best point inside the box wins: at most 27 small systems, no library needed.
    Returns steps, shape (levers,).
    """
    root = np.sqrt(wanted.weight)
    matrix, target = (slopes * root).T, wanted.change * root
    best, least = np.zeros(len(low)), np.inf
    for face in product((-1, 0, 1), repeat=len(low)):
        held = np.array(face)
        point = np.where(held < 0, low, np.where(held > 0, high, 0.0))
        free = held == 0
        if free.any():
            point[free] = np.linalg.lstsq(matrix[:, free], target - matrix[:, ~free] @ point[~free], rcond=None)[0]
        if np.any(point < low - 1e-9) or np.any(point > high + 1e-9):
            continue
        left = float(np.sum((target - matrix @ point) ** 2))
        if left < least - 1e-15:
            best, least = point, left
    return best


def order_moves(effects: NDArray[np.float64], wanted: Wanted) -> tuple[int, ...]:
    """Say in which order to make the moves so that the car is as good as it can be after every one of them.

    effects: shape (members, places). All orders of up to three are compared by the sum of the misses on the way.
    """
    ways = permutations(range(len(effects)))
    return min(ways, key=lambda way: round(float(np.sum(miss(wanted, np.cumsum(effects[list(way)], axis=0)))), 12))


def choose_packages(
    found: Sequence[Sequence[Combination]], single: float, *, must_beat: float, must_add: float
) -> tuple[Combination, ...]:
    """Keep the best pair and the best triple that earn their place.

    found: combinations of one, two and three levers, best first. single: gain of the best single lever shown.
    A pair must gain `must_beat` more than that; a triple must as well, and `must_add` more than the best pair, shown
    or not. Each must also have the lower price than the best with one lever less, so that nothing is shown that only
    its own uncertainty makes possible.
    """
    shown = []
    beat = single + must_beat
    for fewer, these in pairwise(found):
        if not these:
            continue
        best = these[0]
        if best.gain >= beat and (not fewer or best.price < fewer[0].price):
            shown.append(best)
        beat = max(beat, best.gain + must_add)
    return tuple(sorted(shown, key=lambda package: -package.gain))


@dataclass(frozen=True)
class _Table:
    """The moves of all levers without the zero, one a row: (moves,), and (moves, places) for the effect.

    lever: index of the lever; pick: of the move among the lever's. family: a number, alike within a family only.
    effect: times the root of weight over total, as is the target (places,). price: of the steps, the risk and the run.
    """

    lever: NDArray[np.intp]
    pick: NDArray[np.intp]
    family: NDArray[np.intp]
    effect: NDArray[np.float64]
    price: NDArray[np.float64]
    target: NDArray[np.float64]

    @classmethod
    def of(cls, members: Sequence[Member], wanted: Wanted, step_price: float) -> _Table:
        """Tabulate the levers."""
        root = np.sqrt(wanted.weight / wanted.total)
        rows = [(index, pick) for index, one in enumerate(members) for pick, step in enumerate(one.moves.steps) if step]
        lever, pick = np.array(rows, dtype=np.intp).reshape(-1, 2).T
        names = list(dict.fromkeys(one.family or str(index) for index, one in enumerate(members)))
        family = np.array([names.index(one.family or str(index)) for index, one in enumerate(members)])
        multiple = np.array([members[index].moves.multiple[at] for index, at in rows])
        slope = np.array([one.slope for one in members]) * root
        price = [members[index].price(at, step_price) + members[index].run_price(at) for index, at in rows]
        effect = multiple[:, None] * slope[lever]
        return cls(lever, pick, family[lever], effect, np.array(price), wanted.change * root)

    def without_last(self, size: int) -> Iterator[tuple[int, NDArray[np.intp]]]:
        """Yield the combinations of `size` moves (0, 1 or 2), rows (combinations, size) of the table, by last lever."""
        if size == 0:
            yield -1, np.empty((1, 0), dtype=np.intp)
            return
        for last in np.unique(self.lever):
            own, before = np.flatnonzero(self.lever == last), np.flatnonzero(self.lever < last)
            if size == 1:
                yield last, own[:, None]
            else:
                pairs = np.column_stack([np.repeat(before, len(own)), np.tile(own, len(before))])
                yield last, pairs[self.family[pairs[:, 0]] != self.family[pairs[:, 1]]]


def _add_last(table: _Table, rows: NDArray[np.intp], lasts: NDArray[np.intp], best: int, limit: float) -> list[_Found]:
    """Add every allowed last move to the rows: one product of (rows) x (last moves), in blocks.

    limit: dearer combinations than this are of no use.
    """
    if not len(lasts):
        return []
    added = table.effect[lasts]
    right = np.vstack([-2 * added.T, (added**2).sum(axis=1) + table.price[lasts]])
    height = max(1, BLOCK // len(lasts))
    found: list[_Found] = []
    for start in range(0, len(rows), height):
        part = rows[start : start + height]
        left = table.target - table.effect[part].sum(axis=1)
        block = np.column_stack([left, np.ones(len(left))]) @ right
        block += ((left**2).sum(axis=1) + table.price[part].sum(axis=1))[:, None]
        row, column = np.nonzero(block <= limit)
        apart = (table.family[part[row]] != table.family[lasts[column]][:, None]).all(axis=1)
        row, column = row[apart], column[apart]
        prices = block[row, column]
        for at in np.argpartition(prices, best)[:best] if len(prices) > best else range(len(prices)):
            moves = [*part[row[at]].tolist(), int(lasts[column[at]])]
            found.append((float(prices[at]), tuple(table.lever[moves].tolist()), tuple(table.pick[moves].tolist())))
    return found


def _sum_effect(members: Sequence[Member], group: tuple[int, ...], picks: tuple[int, ...]) -> NDArray[np.float64]:
    """Add the effects of the moves; effects of small moves add up."""
    parts = [
        members[index].moves.multiple[pick] * members[index].slope for index, pick in zip(group, picks, strict=True)
    ]
    return np.asarray(np.sum(parts, axis=0))
