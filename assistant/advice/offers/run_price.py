"""What a change costs over the run, as shares of the complaint, so that it can be weighed against what it cures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from assistant.advice.computed.outcome import After, RunAfter
    from assistant.advice.offers.weights import Weights

LEAST_SHORT = 0.5
"""Laps before the end below which a run counts as whole."""


@dataclass(frozen=True)
class ShortRun:
    """What is used up before the end of the run because of a change: a corner or "fuel", and how many laps before."""

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
    lasting = {**run.tire_life, "fuel": run.fuel_laps}
    tires = weights.tire_price * price_tire_life(run.tire_life, run_laps)
    tires += weights.short_run_price * price_short_run(lasting, run_laps)
    pace = weights.pace_price * max(0.0, run.pace.get("average", 0.0))
    return RunPrice(tires, pace, find_short(lasting, run_laps))


def price_tire_life(life: Mapping[str, After], run_laps: float) -> float:
    """Share of a tire's spare life that is lost, 0 to 1, of the corner that loses most of it.

    Spare is what lasts beyond the run; less than a tenth of a run is counted as a tenth, so that a tire with nothing to
    spare does not make every lap lost a whole one.
    """
    shares = [-change / max(after - change - run_laps, 0.1 * run_laps) for after, change in life.values()]
    return min(1.0, max([0.0, *shares]))


def price_short_run(life: Mapping[str, After], run_laps: float) -> float:
    """Share of the run by which a change makes tires or fuel fall short of it, beyond what they do already."""
    short = max([0.0, *(run_laps - after for after, _ in life.values())])
    before = max([0.0, *(run_laps - (after - change) for after, change in life.values())])
    return max(0.0, short - before) / run_laps


def find_short(life: Mapping[str, After], run_laps: float) -> ShortRun | None:
    """Find what is used up first before the end, when the change makes it so or makes it worse."""
    ends = [(after, what) for what, (after, change) in life.items() if change < 0 and run_laps - after >= LEAST_SHORT]
    return ShortRun(min(ends)[1], run_laps - min(ends)[0]) if ends else None
