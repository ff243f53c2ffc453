"""The numbers of the pack's ranking file as plain values, lever changes in SI. There are no weights in the code.

How much a complaint asks for, in percent of grip, on this car.

One unit of severity in a phase is the median of what the trade's usual single changes do there on this car,
so advice does not depend on the model's overall scale (design: severity is anchored to the car).
The changes, the units of severities 1 to 5 and the fallback are in the pack's ranking file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING, Any

from assistant.advice.results import Asked
from assistant.car.lever_rows import LEVER_KIND
from assistant.ground.units import read

if TYPE_CHECKING:
    from assistant.belief.effects import EffectTable
    from assistant.ground.results import Cell, Complaint


@dataclass(frozen=True)
class Weights:
    """One field for each key of ranking.yaml, where each is explained; unit_changes in SI."""

    unit_changes: Mapping[str, float]
    severity_units: tuple[float, ...]
    severity_fallback: tuple[float, ...]
    severity_unsaid: float
    cell_weights: Mapping[str, float]
    confidence_words: Mapping[str, float]
    practicality: Mapping[str, float]
    families: tuple[tuple[str, ...], ...]
    felt_share: float
    step_price: float
    tire_price: float
    short_run_price: float
    pace_price: float
    confidence_power: float
    by_the_book_confidence: float
    not_in_time: float
    trade_fade: float
    trade_least: float
    not_in_trade_list: float
    against_trade: float
    inspect_counts_as: float
    driving_unknown: float
    same_share: float
    most_remedies: int
    first_places: int
    by_the_book_among_first: int
    cause_leads_at: float
    package_levers: int
    package_least_confidence: float
    package_must_beat: float
    lever_must_add: float
    not_in_packages: Mapping[str, tuple[str, ...]]


def read_weights(ranking: Mapping[str, Any]) -> Weights:
    """Take the ranking of all packs together. ValueError when a weight is in none of them."""
    missing = [name for name in Weights.__dataclass_fields__ if ranking.get(name) is None]
    if missing:
        raise ValueError(f"no pack states these weights of the ranking: {', '.join(missing)}")
    values: dict[str, Any] = {name: ranking[name] for name in Weights.__dataclass_fields__}
    values["unit_changes"] = {
        lever: read(text, LEVER_KIND[lever]).value for lever, text in values["unit_changes"].items()
    }
    values["severity_units"] = tuple(values["severity_units"])
    values["severity_fallback"] = tuple(values["severity_fallback"])
    values["not_in_packages"] = {lever: tuple(phases) for lever, phases in values["not_in_packages"].items()}
    values["families"] = tuple(tuple(family) for family in values["families"])
    return Weights(**values)


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
        for lever, change in weights.unit_changes.items()
        if lever in effects.levers and effects.levers[lever].step
    )
    units = {}
    for phase in effects.phases:
        unit = median(change.effect[phase] for change in changes) if len(changes) >= LEAST_CHANGES else 0.0
        if unit > LEAST_UNIT:
            units[phase] = unit
    return SeverityScale(units, weights.severity_units, weights.severity_fallback, changes)


def asked_of(complaint: Complaint, scale: SeverityScale) -> tuple[Asked, ...]:
    """Find how much the complaint asks for on this car, phase by phase, at its worst; nothing without a balance."""
    worst: dict[str, Cell] = {}
    for cell in complaint.cells:
        if cell.balance != "fine" and cell.severity > getattr(worst.get(cell.phase), "severity", 0.0):
            worst[cell.phase] = cell
    return tuple(
        Asked(phase, scale.percent(phase, cell.severity), cell.severity, scale.unit(phase))
        for phase, cell in worst.items()
    )


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
