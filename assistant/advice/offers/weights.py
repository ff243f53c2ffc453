"""The numbers of the pack's ranking file as plain values, lever changes in SI. There are no weights in the code."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from assistant.car.setup_kinds import LEVER_KIND
from assistant.units import read


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
