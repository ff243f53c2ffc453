"""What a complaint asks for on this car: percent of grip in every cell, and how far an effect goes toward it.

One unit of severity in a phase is the median of what the trade's usual single changes do there on this car, so advice
does not depend on the model's overall scale. The changes, the units of severities 1 to 5 and the fallback are in the
pack's ranking file, as all weights are: there are none in the code.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from statistics import median
from typing import TYPE_CHECKING, Literal

import numpy as np

from assistant.advice.results import AskedFor
from assistant.car.lever_rows import LEVER_KIND
from assistant.ground.units import read

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from assistant.belief.effects import EffectTable
    from assistant.ground.grid import Grid
    from assistant.ground.understood import Cell, Complaint
    from assistant.rules.models import Weights


LEAST_CHANGES = 3
"""A median of fewer usual changes than this says too little; the fallback is used instead."""
LEAST_UNIT = 1e-6
"""A unit below this, in percent, means that nothing on this car moves the balance there."""


@dataclass(frozen=True)
class UsualChange:
    """One usual change: lever id, the change in SI, and what it does in each phase [% of grip, without sign]."""

    lever: str
    change: float
    effect: Mapping[str, float]


@dataclass(frozen=True)
class SeverityScale:
    """Percent of grip asked for by each severity.

    units: phase to one unit [%]; a phase left out uses the fallback.
    multiples: units of severities 1 to 5. fallback: percent of severities 1 to 5.
    """

    units: Mapping[str, float]
    multiples: tuple[float, ...]
    fallback: tuple[float, ...]
    changes: tuple[UsualChange, ...] = ()

    def unit(self, phase: str) -> float:
        """One unit of severity in the phase [%]."""
        return self.units.get(phase, self.fallback[0] / self.multiples[0])

    def percent(self, phase: str, severity: float) -> float:
        """Percent of grip that a severity asks for in the phase; straight lines between whole severities."""
        if phase in self.units:
            return self.units[phase] * _between(self.multiples, severity)
        return _between(self.fallback, severity)


def derive_scale(effects: EffectTable, weights: Weights) -> SeverityScale:
    """Measure the unit of severity on this car, in each phase, once settled.

    That is the middle stage of the table, on which the balance is anchored: usual changes are judged when the car has
    come in, and effects early and late in a run carry what the tires do on top.
    """
    changes = tuple(
        _usual_change(effects, lever, change)
        for lever, change in _unit_changes(weights).items()
        if lever in effects.levers and effects.levers[lever].step
    )
    units = {}
    for phase in effects.phases:
        unit = median(change.effect[phase] for change in changes) if len(changes) >= LEAST_CHANGES else 0.0
        if unit > LEAST_UNIT:
            units[phase] = unit
    return SeverityScale(units, tuple(weights.severity_units), tuple(weights.severity_fallback), changes)


def asked_of(complaint: Complaint, scale: SeverityScale) -> tuple[AskedFor, ...]:
    """Find how much the complaint asks for on this car, phase by phase, at its worst; nothing without a balance."""
    worst: dict[str, Cell] = {}
    for cell in complaint.cells:
        if cell.balance != "fine" and cell.severity > getattr(worst.get(cell.phase), "severity", 0.0):
            worst[cell.phase] = cell
    return tuple(
        AskedFor(phase, scale.percent(phase, cell.severity), cell.severity, scale.unit(phase))
        for phase, cell in worst.items()
    )


def _unit_changes(weights: Weights) -> dict[str, float]:
    """Read the usual changes that make the unit [SI]."""
    return {lever: read(text, LEVER_KIND[lever]).value for lever, text in weights.unit_changes.items()}


def _usual_change(effects: EffectTable, lever: str, change: float) -> UsualChange:
    """Scale the effect per step to the usual change."""
    found = effects.levers[lever]
    settled = effects.stages[len(effects.stages) // 2]
    steps = change / found.step
    return UsualChange(lever, change, {phase: abs(found.effect[phase][settled] * steps) for phase in effects.phases})


def _between(row: tuple[float, ...], severity: float) -> float:
    """Read a row of severities 1 to 5 at any severity from 0 (nothing) to 5."""
    clipped = min(max(severity, 0.0), float(len(row)))
    below = int(clipped)
    low = row[below - 1] if below else 0.0
    high = row[min(below, len(row) - 1)]
    return low + (clipped - below) * (high - low)


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


def is_felt(wanted: Wanted, effect: NDArray[np.float64]) -> bool:
    """Whether the driver would notice the effect anywhere he complained of."""
    return bool(np.any(np.abs(effect[wanted.reported]) >= wanted.felt[wanted.reported]))


def _said_at(complaint: Complaint, place: Place) -> Cell | None:
    """Find what was said about a place: words for this very end come before words for both, complaints before fine."""
    end, phase, stage = place
    found = [
        cell
        for cell in complaint.cells
        if (cell.phase, cell.stage) == (phase, stage) and (cell.end is None or cell.end == end)
    ]
    return max(found, key=lambda cell: (cell.end is not None, cell.balance != "fine", cell.severity), default=None)


def _standing(cell: Cell | None) -> Literal["reported", "fine", "unmentioned"]:
    """Sort a cell: reported, fine or unmentioned."""
    if cell is None:
        return "unmentioned"
    return "fine" if cell.balance == "fine" else "reported"


def _asked(cell: Cell | None, scale: SeverityScale) -> float:
    """Wanted change of one cell [%]: a loose car must get tighter (+)."""
    if cell is None or cell.balance == "fine":
        return 0.0
    return (1.0 if cell.balance == "loose" else -1.0) * scale.percent(cell.phase, cell.severity)
