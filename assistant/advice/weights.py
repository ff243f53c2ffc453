"""The numbers of the pack's ranking file as plain values, lever changes in SI. There are no weights in the code."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assistant.car.setup_kinds import LEVER_KIND
from assistant.units import read

SEVERITIES = ("1", "2", "3", "4", "5")


@dataclass(frozen=True)
class Weights:
    """One field for each key of ranking.yaml, where each is explained.

    unit_changes: lever id to SI. severity_units, severity_percent: of severities 1 to 5.
    cell_weights: "reported", "fine", "unmentioned". when: time of change to its factor.
    """

    unit_changes: Mapping[str, float]
    severity_units: tuple[float, ...]
    severity_percent: tuple[float, ...]
    cell_weights: Mapping[str, float]
    confidence: Mapping[str, float]
    when: Mapping[str, float]
    families: tuple[tuple[str, ...], ...]
    step_price: float
    felt_share: float
    tyre_life: float
    not_in_time: float
    rank_decay: float
    not_in_list: float
    against_trade: float
    by_the_book: float
    same_share: float
    inspect_counts_as: float
    driving_counts_as: float
    most_remedies: int
    cause_leads_at: float
    package_levers: int
    package_least_confidence: float
    package_must_beat: float
    lever_must_add: float


def read_weights(ranking: Mapping[str, Any]) -> Weights:
    """Take the content of the ranking file. KeyError or ValueError for a file that was not checked when loaded."""
    return Weights(
        unit_changes={lever: read(text, LEVER_KIND[lever]).value for lever, text in ranking["unit_changes"].items()},
        severity_units=_row(ranking["severity"]),
        severity_percent=_row(ranking["severity_percent"]),
        cell_weights={name: float(ranking[f"weight_{name}"]) for name in ("reported", "fine", "unmentioned")},
        confidence=dict(ranking["confidence"]),
        when=dict(ranking["when"]),
        families=_families(ranking["families"]),
        most_remedies=int(ranking["most_remedies"]),
        package_levers=int(ranking["package_levers"]),
        **{name: float(ranking[name]) for name in _PLAIN},
    )


_PLAIN = (
    "step_price",
    "felt_share",
    "tyre_life",
    "not_in_time",
    "rank_decay",
    "not_in_list",
    "against_trade",
    "by_the_book",
    "same_share",
    "inspect_counts_as",
    "driving_counts_as",
    "cause_leads_at",
    "package_least_confidence",
    "package_must_beat",
    "lever_must_add",
)


def _row(severities: Mapping[Any, float]) -> tuple[float, ...]:
    """Read severities 1 to 5 whether the keys came as text or as numbers."""
    by_name = {str(name): float(value) for name, value in severities.items()}
    return tuple(by_name[name] for name in SEVERITIES)


def _families(families: Sequence[Sequence[str]]) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(family) for family in families)
