"""What a change costs over the run, as shares of the complaint, and what it makes worse, the worst first.

Only what is known: tire life, pace and fuel are costs once they are computed, never guessed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.results import Cost, Each
from assistant.belief.believe import take_mean
from assistant.belief.cures import LEAST, WORSE, Wanted
from assistant.physics.formulas import Array

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from assistant.belief.outcome import After, RunAfter
    from assistant.rules.models import Weights


LEAST_SHORT = 0.5
"""Laps before the end below which a run counts as whole."""


@dataclass(frozen=True)
class ShortRun:
    """What is used up before the end of the run because of a change: a corner, and how many laps before."""

    what: str
    laps: float


@dataclass(frozen=True)
class RunPrice:
    """Shares of the complaint. tires: spare tire life and laps of the run that are lost; pace: time lost a lap.

    short: what ends the run before its length, None when nothing does that did not before.
    """

    tires: float
    pace: float
    short: ShortRun | None = None

    @property
    def total(self) -> float:
        """Everything together."""
        return self.tires + self.pace


def price_run(run: RunAfter | None, weights: Weights, run_laps: float) -> RunPrice | None:
    """Price what a change does over the run; None when that was not computed."""
    if run is None:
        return None
    tires = weights.tire_price * price_tire_life(run.tire_laps, run_laps)
    tires += weights.short_run_price * price_short_run(run.tire_laps, run_laps)
    pace = weights.pace_price * max(0.0, run.pace.get("average", 0.0))
    return RunPrice(tires, pace, find_short(run.tire_laps, run_laps))


def price_tire_life(life: Mapping[str, After], run_laps: float) -> float:
    """Share of a tire's spare life that is lost, 0 to 1, of the corner that loses most of it.

    Spare is what lasts beyond the run; less than a tenth of a run is counted as a tenth, so that a tire with nothing to
    spare does not make every lap lost a whole one.
    """
    shares = [-change / max(after - change - run_laps, 0.1 * run_laps) for after, change in life.values()]
    return min(1.0, max([0.0, *shares]))


def price_short_run(life: Mapping[str, After], run_laps: float) -> float:
    """Share of the run by which a change makes tires fall short of it, beyond what they do already."""
    short = max([0.0, *(run_laps - after for after, _ in life.values())])
    before = max([0.0, *(run_laps - (after - change) for after, change in life.values())])
    return max(0.0, short - before) / run_laps


def find_short(life: Mapping[str, After], run_laps: float) -> ShortRun | None:
    """Find what is used up first before the end, when the change makes it so or makes it worse."""
    ends = [(after, what) for what, (after, change) in life.items() if change < 0 and run_laps - after >= LEAST_SHORT]
    return ShortRun(min(ends)[1], run_laps - min(ends)[0]) if ends else None


LEAST_SHOWN = 0.05
"""Percent of balance below which a change would be written as 0.0."""
MAIN_SHARE = 0.5
"""A cell with less than this share of the largest cost the same way is left to the table of numbers."""
OUTLASTS, FEW, MANY = 2.0, 0.01, 0.1
"""A tire that outlasts the run so often over is spoken of from the larger share of its laps lost on (assumption)."""
MAY_COST = 0.25
"""Share of the cars that get worse from which a change is named where nobody said how the car is (assumption)."""
LEAST_LAPS = 0.95
"""Laps of tire: less than one is no cost anybody can use."""
LEAST_PACE = 0.005
"""Seconds a lap below which a change would be written as 0.00."""
LEAST_PRESSURE = 3500.0
"""Hot pressure [Pa] worth telling: half a psi, the smallest change a gauge is trusted with."""


@dataclass(frozen=True)
class _Line:
    """One phase that moves the way it should not. cells: index of its places; past: only beyond what was asked."""

    end: str | None
    phase: str
    stages: tuple[str, ...]
    way: str
    past: bool
    cells: tuple[int, ...]


def list_costs(
    moved: Array, run: RunAfter | None, wanted: Wanted, weights: Weights, run_laps: float
) -> tuple[Cost, ...]:
    """Put all costs of a change in one row, the worst first, each priced as a share of the complaint.

    moved: change of balance at each wanted place on each car [%].
    """
    balance = price_balance(moved, wanted)
    priced = [*balance, *(price_over_run(run, weights, run_laps) if run is not None else ())]
    unsaid = [] if balance else _may_cost(moved, wanted)
    return (*(cost for _, cost in sorted(priced, key=lambda pair: -pair[0])), *unsaid)


def _may_cost(moved: Array, wanted: Wanted) -> list[Cost]:
    """Give the largest change that is felt where nobody said how the car is, and where many of the cars get worse."""
    weights = wanted.belief.fit.weights
    mean = take_mean(moved, weights)
    gets_worse = np.abs(wanted.before + moved) - np.abs(wanted.before) >= WORSE
    worse = take_mean(gets_worse.astype(float), weights)
    size = np.abs(mean) * ~(wanted.spoken | wanted.wrong) * (worse >= MAY_COST)
    at = int(np.round(size, 2).argmax())
    end, phase, stage = wanted.places[at]
    found = Cost("balance", float(mean[at]), least=float(mean[at]), phases=(phase,), stages=(stage,), end=end)
    return [replace(found, unsaid=True)] if size[at] >= WORSE else []


def share_each(wanted: Wanted, moved: Array) -> tuple[Each, ...]:
    """Find what share of each of several complaints goes, below zero where it gets worse; nothing for a single one.

    A complaint is what was said of one end of the track in one direction. moved: as in `list_costs`.
    """
    groups: dict[tuple[str | None, bool], list[int]] = {}
    for index in np.flatnonzero(wanted.wrong):
        groups.setdefault((wanted.places[index][0], bool(wanted.signs[index] < 0)), []).append(int(index))
    if len(groups) < 2:
        return ()
    size = np.abs(wanted.before)
    better = size - np.abs(wanted.before + moved)
    found = []
    for (end, loose), at in groups.items():
        phases = tuple(dict.fromkeys(wanted.places[cell][1] for cell in at))
        share = np.clip(better[at].sum(axis=0) / np.maximum(size[at].sum(axis=0), LEAST), -1.0, 1.0)
        found.append(Each("loose" if loose else "tight", phases, end, wanted.belief.mean(share)))
    return tuple(found)


def price_balance(moved: Array, wanted: Wanted) -> list[tuple[float, Cost]]:
    """Price the balance costs: cells that get worse on the mean of the cars, and reported ones gone past neutral.

    moved: as in `list_costs`. Phases that move alike in the same stages are one cost. What is told of a cell is its
    whole change, of one gone past what it is past.
    """
    weights = wanted.belief.fit.weights
    after = wanted.before + moved
    mean, then = take_mean(moved, weights), take_mean(after, weights)
    worse = take_mean(np.abs(after) - np.abs(wanted.before), weights)
    past = wanted.wrong & (then * wanted.signs < 0)
    counts = np.where(wanted.spoken, worse >= LEAST_SHOWN, worse >= WORSE) | past
    told = np.where(past, then, mean) * counts
    size = np.abs(told) * np.where(wanted.wrong, 1.0, wanted.weights) / max(wanted.belief.mean(wanted.size), LEAST)
    merged: dict[tuple[str | None, tuple[str, ...], str, bool], list[_Line]] = {}
    for line in _lines(told, past, wanted):
        merged.setdefault((line.end, line.stages, line.way, line.past), []).append(line)
    return [
        (max(float(size[cell]) for line in lines for cell in line.cells), _balance_cost(lines, told))
        for lines in merged.values()
    ]


def _balance_cost(lines: Sequence[_Line], moved: Array) -> Cost:
    first, phases = lines[0], tuple(line.phase for line in lines)
    sizes = sorted((float(moved[cell]) for line in lines for cell in line.cells), key=abs)
    return Cost(
        "balance", sizes[-1], least=sizes[0], phases=phases, stages=first.stages, end=first.end, past=first.past
    )


def price_over_run(run: RunAfter, weights: Weights, run_laps: float) -> list[tuple[float, Cost]]:
    """Price what is lost in tire life, pace and pressure; a run cut short comes before everything."""
    priced = []
    short = find_short(run.tire_laps, run_laps)
    if short is not None:
        priced.append((1.0 + short.laps, Cost("tire life", short.laps, short.what, short=True)))
    for corner, (after, change) in run.tire_laps.items():
        if change <= -LEAST_LAPS and matters(after, change, run_laps):
            share = weights.tire_price * price_tire_life({corner: (after, change)}, run_laps)
            priced.append((share, Cost("tire life", -change, corner, after=after)))
    average = run.pace.get("average", 0.0)
    if average >= LEAST_PACE:
        priced.append((weights.pace_price * average, Cost("pace", average, "lap")))
    hot = [(corner, *pair) for corner, pair in run.hot_pressure.items() if abs(pair[1]) >= LEAST_PRESSURE]
    return [*priced, *((0.0, Cost("pressure", change, corner, after=after)) for corner, after, change in hot)]


def matters(after: float, change: float, run_laps: float) -> bool:
    """Whether somebody cares that a tire lasts so many laps more or fewer: it is near the run, or they are many."""
    return abs(change) >= (FEW if after < OUTLASTS * run_laps else MANY) * (after - change)


def _lines(told: Array, past: NDArray[np.bool_], wanted: Wanted) -> list[_Line]:
    """Gather the cells of each phase that move the same wrong way; small ones beside a large one are left out.

    What goes past neutral never shares a line with other cells: there the rest of the move is the cure.
    """
    ways = np.where(told > 0, "tighter", "looser")
    size = np.abs(told)
    shown = size >= LEAST_SHOWN
    groups: dict[tuple[str | None, str, str, bool], list[int]] = {}
    for index, (end, phase, _) in enumerate(wanted.places):
        if (
            shown[index]
            and size[index] >= MAIN_SHARE * size[shown & (ways == ways[index]) & (past == past[index])].max()
        ):
            groups.setdefault((end, phase, str(ways[index]), bool(past[index])), []).append(index)
    lines = []
    for (end, phase, way, beyond), cells in groups.items():
        lines.append(_Line(end, phase, tuple(wanted.places[index][2] for index in cells), way, beyond, tuple(cells)))
    return lines
