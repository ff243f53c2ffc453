"""How far to move one lever: the whole number of legal steps that misses the wanted change least.

Wanted is what the complaint asks for in every cell; a move is what a lever can do from today's setup.
Pure arithmetic on arrays with one entry a cell; nothing here knows a file or a sentence.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from assistant.advice.severity import SeverityScale, Weights
    from assistant.belief.effects import EffectTable
    from assistant.ground.grid import Grid
    from assistant.ground.results import Cell, Complaint


Place = tuple[str | None, str, str]
"""One cell: id of the end of the track (None for both), phase, stage."""


@dataclass(frozen=True)
class Wanted:
    """What the complaint asks for, one entry a place.

    change: wanted change of balance [% of grip, + tighter], zero where fine or unmentioned.
    weight: how much a miss counts there. reported, fine: what the driver said. felt: the least a driver feels [%].
    now: how the car stands there [%]; even where nobody says.
    """

    places: tuple[Place, ...]
    change: NDArray[np.float64]
    weight: NDArray[np.float64]
    reported: NDArray[np.bool_]
    fine: NDArray[np.bool_]
    felt: NDArray[np.float64]
    now: NDArray[np.float64] = field(default_factory=lambda: np.zeros(1))

    @property
    def total(self) -> float:
        """Weighted square of the whole complaint; zero when there is nothing to do."""
        return float(self.weight @ self.change**2)


@dataclass(frozen=True)
class Moves:
    """What one lever may do from today's setup, in whole legal steps, no move (0) included.

    steps: rising whole numbers. shift: change of the lever at each [SI]. multiple: the same in units of the step
    for which the effect is known (parts on the shelf are not evenly spaced).
    low_stop, high_stop: what ends the row on either side, "min", "max" (of the number) or "largest_change".
    """

    lever: str
    start: float | None
    steps: tuple[int, ...]
    shift: tuple[float, ...]
    multiple: tuple[float, ...]
    low_stop: str
    high_stop: str


@dataclass(frozen=True)
class Sized:
    """One lever's best move. relief: share of the complaint it takes away; harm: what it spoils, as such a share.

    effect: change of balance at each place [%]. side: the wanted way in the lever's own direction, -1, 0 or 1. stop:
    set when it cannot go that way. felt: whether the driver would notice. too_dear: a helpful step costs too much.
    """

    moves: Moves
    steps: int
    shift: float
    multiple: float
    effect: NDArray[np.float64]
    side: int
    relief: float
    harm: float
    limited_by: str | None
    stop: str | None
    felt: bool
    too_dear: bool = False

    @property
    def helps(self) -> bool:
        """Whether a step was found that is better than leaving the car alone."""
        return self.steps != 0


def want(complaint: Complaint, effects: EffectTable, scale: SeverityScale, weights: Weights) -> Wanted:
    """Lay the complaint out over the cells; by the ends of the track only when the driver told them apart."""
    ends: tuple[str | None, ...] = (None,)
    if any(cell.end is not None for cell in complaint.cells):
        ends = tuple(effects.ends)
    places = tuple((end, phase, stage) for end in ends for phase in effects.phases for stage in effects.stages)
    said = [_said_at(complaint, place) for place in places]
    counts = weights.cell_weights
    return Wanted(
        places,
        np.array([_asked(cell, scale) for cell in said]),
        np.array([counts[_standing(cell)] for cell in said]),
        np.array([_standing(cell) == "reported" for cell in said]),
        np.array([_standing(cell) == "fine" for cell in said]),
        np.array([weights.felt_share * scale.unit(phase) for _, phase, _ in places]),
        _read_at(places, effects.balance, effects.end_balance),
    )


def spread_over(wanted: Wanted, both: Grid, ends: Mapping[str, Grid]) -> NDArray[np.float64]:
    """Read a grid at every wanted place; an end without a grid of its own takes the grid of both."""
    return _read_at(wanted.places, both, ends)


def _read_at(places: Sequence[Place], both: Grid, ends: Mapping[str, Grid]) -> NDArray[np.float64]:
    return np.array([(both if end is None else ends.get(end, both))[phase][stage] for end, phase, stage in places])


def lay_moves(
    lever: str,
    start: float | None,
    step: float,
    reach: tuple[int, int],
    shift_after: Callable[[int], float],
    largest: float | None = None,
) -> Moves:
    """List the legal steps of one lever.

    step: SI change of the number by one + step, for which the effect is known; negative where + makes it smaller.
    reach: legal steps (down, up). shift_after: change after so many steps [SI]. largest: sensible single change [SI].
    """
    stops = {-1: "min", 1: "max"} if step > 0 else {-1: "max", 1: "min"}
    rows = [(0, 0.0)]
    for sign, count in zip((-1, 1), reach, strict=True):
        for number in range(1, count + 1):
            shift = shift_after(sign * number)
            if largest is not None and abs(shift) > largest * (1 + 1e-9):
                stops[sign] = "largest_change"
                break
            rows.append((sign * number, shift))
    steps, shifts = zip(*sorted(rows), strict=True)
    return Moves(lever, start, steps, shifts, tuple(shift / step for shift in shifts), stops[-1], stops[1])


def size_lever(
    moves: Moves,
    slope: NDArray[np.float64],
    wanted: Wanted,
    *,
    step_price: float,
    extra: Callable[[int], float] | None = None,
) -> Sized:
    """Choose the whole number of steps with the least weighted miss plus penalties.

    slope: effect of one known step at each place [%]. step_price: share of the complaint one step must earn.
    extra: price of so many steps over the run (tire life, pace) as a share, None when nothing is known.
    """
    effects = np.array(moves.multiple)[:, None] * slope
    best, too_dear = _choose(moves, effects, wanted, step_price, extra)
    effect = effects[best]
    relief, harm = measure_relief(wanted, effect)
    side = int(np.sign(float((wanted.weight * slope) @ wanted.change)))
    return Sized(
        moves,
        moves.steps[best],
        moves.shift[best],
        moves.multiple[best],
        effect,
        side,
        relief,
        harm,
        _limit(moves, best, slope, wanted, step_price),
        None if moves.steps[best] else _stop(moves, side),
        is_felt(wanted, effect),
        too_dear,
    )


def is_felt(wanted: Wanted, effect: NDArray[np.float64]) -> bool:
    """Whether the driver would notice the effect anywhere he complained of."""
    return bool(np.any(np.abs(effect[wanted.reported]) >= wanted.felt[wanted.reported]))


def miss(wanted: Wanted, effects: NDArray[np.float64]) -> NDArray[np.float64]:
    """Weighted squared miss of each effect, as a share of the complaint's own (1 = nothing done).

    effects: shape (..., places). A complaint of nothing misses nothing: zero.
    """
    if wanted.total == 0:
        return np.zeros(effects.shape[:-1])
    return np.asarray(((wanted.change - leave_good(wanted, effects)) ** 2) @ wanted.weight / wanted.total)


def leave_good(wanted: Wanted, effects: NDArray[np.float64]) -> NDArray[np.float64]:
    """Leave out what makes a cell nobody complained of better: there only going further from even counts [%]."""
    further = np.maximum(0.0, np.abs(wanted.now + effects) - np.abs(wanted.now))
    return np.asarray(np.where(wanted.reported, effects, np.sign(effects) * further))


def measure_relief(wanted: Wanted, effect: NDArray[np.float64]) -> tuple[float, float]:
    """Say what share of the complaint an effect takes away, and what it spoils, as such a share.

    Taken away: what goes the way that was asked, up to the mark, over what was asked, each cell counted by how much was
    asked of it; from 0 to 1. Spoiled: what the root of the squared miss, over all cells, is more than what is left.
    """
    if wanted.total == 0:
        return 0.0, 0.0
    inside = take_inside(effect, wanted.change)
    relief = float((wanted.weight * wanted.reported * wanted.change) @ inside) / wanted.total
    return relief, max(0.0, relief - 1 + float(miss(wanted, effect)) ** 0.5)


def take_inside(effect: NDArray[np.float64], asked: NDArray[np.float64]) -> NDArray[np.float64]:
    """Take the part of an effect that was asked for: nothing the wrong way, nothing beyond the mark [%]."""
    return np.asarray(np.where(asked >= 0, np.clip(effect, 0.0, asked), np.clip(effect, asked, 0.0)))


def spoils_more(wanted: Wanted, effect: NDArray[np.float64]) -> bool:
    """Whether an effect moves the cells complained of further from what was asked than toward it.

    Roots of the weighted squares of both parts are compared, so a small cure never buys a large harm in a cell that is
    bad already, however small the whole move is; the squared miss alone would allow that where one complaint is large.
    """
    inside = take_inside(effect, wanted.change)
    weight = wanted.weight * wanted.reported
    return bool(weight @ (effect - inside) ** 2 > weight @ inside**2)


def _said_at(complaint: Complaint, place: Place) -> Cell | None:
    """Find what was said about a place: words for this very end come before words for both, complaints before fine."""
    end, phase, stage = place
    found = [
        cell
        for cell in complaint.cells
        if (cell.phase, cell.stage) == (phase, stage) and (cell.end is None or cell.end == end)
    ]
    return max(found, key=lambda cell: (cell.end is not None, cell.balance != "fine", cell.severity), default=None)


def _standing(cell: Cell | None) -> str:
    """Sort a cell: reported, fine or unmentioned."""
    if cell is None:
        return "unmentioned"
    return "fine" if cell.balance == "fine" else "reported"


def _asked(cell: Cell | None, scale: SeverityScale) -> float:
    """Wanted change of one cell [%]: a loose car must get tighter (+)."""
    if cell is None or cell.balance == "fine":
        return 0.0
    return (1.0 if cell.balance == "loose" else -1.0) * scale.percent(cell.phase, cell.severity)


def _choose(
    moves: Moves,
    effects: NDArray[np.float64],
    wanted: Wanted,
    step_price: float,
    extra: Callable[[int], float] | None,
) -> tuple[int, bool]:
    """Choose the move of the least price; also whether only its price over the run keeps the lever where it is."""
    if wanted.total == 0:
        return moves.steps.index(0), False
    price = miss(wanted, effects) + step_price * np.abs(moves.steps)
    cheap = _least(price, moves.steps)
    if extra is None:
        return cheap, False
    best = _least(price + np.array([extra(steps) for steps in moves.steps]), moves.steps)
    return best, moves.steps[best] == 0 and moves.steps[cheap] != 0


def _least(price: NDArray[np.float64], steps: tuple[int, ...]) -> int:
    """Index of the least price; of equals the smallest move."""
    order = sorted(range(len(steps)), key=lambda index: (round(float(price[index]), 12), abs(steps[index])))
    return order[0]


def _stop(moves: Moves, side: int) -> str | None:
    """Find what keeps the lever from moving to the wanted side at all, None when it can move."""
    if side < 0 and moves.steps[0] == 0:
        return moves.low_stop
    if side > 0 and moves.steps[-1] == 0:
        return moves.high_stop
    return None


def _limit(moves: Moves, best: int, slope: NDArray[np.float64], wanted: Wanted, step_price: float) -> str | None:
    """Name what ended the move, when one more step of the usual size would still have paid."""
    if moves.steps[best] == 0 or best not in (0, len(moves.steps) - 1):
        return None
    here = moves.multiple[best]
    further = here + (1.0 if here > 0 else -1.0)
    gain = miss(wanted, here * slope) - miss(wanted, further * slope)
    if float(gain) <= step_price:
        return None
    return moves.high_stop if here > 0 else moves.low_stop
