"""What was read, back in one plain sentence to be confirmed, however many things were said at once.

Each place that has something of its own is a part of the sentence, in the order of the run and then of the corner; what
all parts share (when in the run, which end, how bad) is said once, behind them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from assistant.ground.grid import PHASES, STAGES
from assistant.ground.results import Cell, Complaint
from assistant.ground.words import when_words, where_words

USUAL_SEVERITY = 3.0
READ = "I read: "
NOTHING_READ = "I could not read a complaint about the car in that"


@dataclass(frozen=True)
class Part:
    """One thing read: a balance at some places of the corner in some stages of the run. severity: None when unsaid."""

    balance: str
    phases: tuple[str, ...]
    stages: tuple[str, ...]
    end: str | None
    severity: float | None

    @property
    def where(self) -> str:
        """Balance and place, without the time."""
        return f"{self.balance} {where_words(self.phases)}"

    @property
    def where_and_when(self) -> str:
        """Balance, place and time."""
        return f"{self.where} {when_words(self.stages)}"


def say_back(complaint: Complaint, unsaid: float = USUAL_SEVERITY, lead: str = READ) -> str:
    """Say what was read, so that the driver can put it right before it is used.

    unsaid: the severity taken where none was said. lead: what stands before anything read.
    """
    parts = parts_of(complaint.cells)
    clauses = [_say_read(parts, complaint.other, lead), *_say_unsaid(parts, unsaid)]
    if complaint.not_understood:
        clauses.append("not understood: " + ", ".join(complaint.not_understood))
    return "; ".join(clauses) + "."


def parts_of(cells: Sequence[Cell]) -> tuple[Part, ...]:
    """Put cells that agree together; two ends of a corner with something else between them are two parts."""
    boxes: dict[tuple[str, float | None, str | None], dict[str, list[str]]] = {}
    for cell in cells:
        severity = cell.severity if cell.severity_given and cell.balance != "fine" else None
        boxes.setdefault((cell.balance, severity, cell.end), {}).setdefault(cell.stage, []).append(cell.phase)
    parts = []
    for (balance, severity, end), by_stage in boxes.items():
        for phases, stages in _boxes(by_stage):
            between = any(one.phase == "middle" and one.stage in stages for one in cells)
            split = phases == ("entry", "exit") and between
            parts += [
                Part(balance, one, stages, end, severity) for one in ([(p,) for p in phases] if split else [phases])
            ]
    return tuple(sorted(parts, key=lambda one: (STAGES.index(one.stages[0]), PHASES.index(one.phases[0]))))


def _boxes(by_stage: Mapping[str, Sequence[str]]) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Return (phases, stages) of each set of stages that has the same phases."""
    found: dict[tuple[str, ...], list[str]] = {}
    for stage in STAGES:
        if stage in by_stage:
            phases = tuple(phase for phase in PHASES if phase in by_stage[stage])
            found.setdefault(phases, []).append(stage)
    return [(phases, tuple(stages)) for phases, stages in found.items()]


def _say_read(parts: Sequence[Part], other: Sequence[str], lead: str) -> str:
    if not parts:
        return lead + _join(other) if other else NOTHING_READ
    said = _say_parts(parts)
    return f"{lead}{said}" + (f", and {_join(other)} as well" if other else "")


def _say_parts(parts: Sequence[Part]) -> str:
    """Say the parts one after the other, and what they share behind them."""
    bad = [one for one in parts if one.balance != "fine"]
    one_time = len({one.stages for one in parts}) == 1
    one_end = len({one.end for one in parts}) == 1
    one_place = {one.phases for one in parts} == {PHASES} and not (one_time and one_end)
    one_severity = len(bad) == len(parts) and len({one.severity for one in bad}) == 1
    texts = []
    for one in parts:
        words = [one.balance if one_place else one.where]
        words += [] if one_time else [when_words(one.stages)]
        words += [f"at {one.end}"] if one.end and not one_end else []
        words += [f"({one.severity:g} of 5)"] if one.severity is not None and not one_severity else []
        texts.append(" ".join(words))
    shared = [where_words(PHASES)] if one_place else []
    shared += [when_words(parts[0].stages)] if one_time else []
    shared += [f"at {parts[0].end} only"] if one_end and parts[0].end else []
    if one_severity and parts[0].severity is not None:
        shared.append({1: "", 2: "both "}.get(len(parts), "all ") + f"{parts[0].severity:g} of 5")
    return ", ".join([_join(texts), *shared])


def _say_unsaid(parts: Sequence[Part], unsaid: float) -> list[str]:
    """Say of which complaints nobody said how bad they are, and what is taken instead."""
    bad = [one for one in parts if one.balance != "fine"]
    open_ones = [one for one in bad if one.severity is None]
    if not open_ones:
        return []
    if len(open_ones) == len(bad):
        return [f"how bad was not said, so I take {unsaid:g} of 5"]
    said = {one.where for one in bad if one.severity is not None}
    named = _join(list(dict.fromkeys(one.where_and_when if one.where in said else one.where for one in open_ones)))
    return [f"how bad was not said for {named}, so I take {unsaid:g} of 5 there"]


def _join(words: Sequence[str]) -> str:
    """List words; a comma stands before the last "and" when one of them holds an "and" of its own."""
    if len(words) == 1:
        return words[0]
    return ", ".join(words[:-1]) + (", and " if any(" and " in one for one in words) else " and ") + words[-1]
