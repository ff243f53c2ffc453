"""Degrees per psi and per degree of camber: the pack's assumption, or measured when one car was read several times."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import sqrt
from typing import TYPE_CHECKING

from assistant.car.car import CORNERS
from assistant.units import from_unit, read

if TYPE_CHECKING:
    from assistant.car.case import Case
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models_tires import TireRule

NOISE = from_unit(6.0, "F", "temperature_change")
"""What a difference of two differences across a tread is off by [K], one standard deviation; assumption."""
EIGHT_OF_TEN = 1.2816
WELL = 0.6
"""Share of the assumption's uncertainty left, below which the readings count."""
SMALLEST_SHARE = 0.2
"""A measured rate below this share of the assumed one would ask for absurd changes; the assumption stays."""


@dataclass(frozen=True)
class Rate:
    """How far a difference across the tread moves per unit of a lever, SI, positive; eight of ten lie in the range.

    told: "assumption" or "measured". pairs: pairs of readings with different settings behind it.
    """

    value: float
    low: float
    high: float
    told: str = "assumption"
    pairs: int = 0


def pressure_rate(knowledge: Knowledge, cases: Sequence[Case]) -> Rate:
    """Middle less edges per pascal [K/Pa], from the pack, and from several cases of one car when they differ in air."""
    return _judge(_assumed(knowledge.tire_reading["degrees-per-psi"], "pressure"), list(_air_pairs(cases)))


def camber_rate(knowledge: Knowledge, cases: Sequence[Case]) -> Rate:
    """Outside less inside per radian that the top leans out [K/rad]."""
    return _judge(_assumed(knowledge.tire_reading["degrees-per-camber"], "angle"), list(_camber_pairs(cases)))


def crown(zones: tuple[float, float, float], corner: str) -> float:
    """Middle less the mean of the edges [K]; on the right rear less the inside edge alone (common practice)."""
    inside, middle, outside = zones
    return middle - inside if corner == "RR" else middle - (inside + outside) / 2.0


def lean(zones: tuple[float, float, float]) -> float:
    """Inside less outside [K]."""
    return zones[0] - zones[2]


def _assumed(rule: TireRule, kind: str) -> Rate:
    per = read(str(rule.per), kind).value
    value, low, high = (
        read(str(text), "temperature_change").value / per for text in (rule.amount, rule.low, rule.high)
    )
    return Rate(value, low, high)


def _air_pairs(cases: Sequence[Case]) -> Iterable[tuple[float, float]]:
    for one, other in combinations(cases, 2):
        for corner in CORNERS:
            if corner in one.measured.temperatures and corner in other.measured.temperatures:
                air = cold_pressure(other, corner) - cold_pressure(one, corner)
                moved = crown(other.measured.temperatures[corner], corner) - crown(
                    one.measured.temperatures[corner], corner
                )
                yield air, moved


def _camber_pairs(cases: Sequence[Case]) -> Iterable[tuple[float, float]]:
    for one, other in combinations(cases, 2):
        for corner in ("LF", "RF"):
            if corner in one.measured.temperatures and corner in other.measured.temperatures:
                lever = f"camber_{corner.lower()}"
                out = other.setup.values[lever] - one.setup.values[lever]
                moved = lean(one.measured.temperatures[corner]) - lean(other.measured.temperatures[corner])
                yield out, moved


def cold_pressure(case: Case, corner: str) -> float:
    """Cold pressure of a tire [Pa]: as measured, else as in the setup."""
    return case.measured.cold_pressure.get(corner, case.setup.values[f"pressure_{corner.lower()}"])


def _judge(assumed: Rate, pairs: Sequence[tuple[float, float]]) -> Rate:
    """Join the assumption and the pairs (change of setting, change of difference) by their uncertainties."""
    deviation = (assumed.high - assumed.low) / (2.0 * EIGHT_OF_TEN)
    known = sum(change**2 for change, _ in pairs) / NOISE**2
    left = 1.0 / sqrt(1.0 + known * deviation**2)
    if left > WELL:
        return assumed
    pulled = sum(change * moved for change, moved in pairs) / NOISE**2
    value = (assumed.value / deviation**2 + pulled) / (1.0 / deviation**2 + known)
    if value < SMALLEST_SHARE * assumed.value:
        return assumed
    wide = EIGHT_OF_TEN * deviation * left
    low = max(value - wide, SMALLEST_SHARE * assumed.value)
    return Rate(value, low, value + wide, "measured", sum(1 for change, _ in pairs if change))
