"""What the advice is made of: frozen values that the screens, the sheet, JSON and the tests all show.

Balance is in percent of grip, + tighter. Lever values here are in SI; `assistant.pages` turns them into the units of
the case. Anything not computed is None, never invented.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from assistant.belief.model import Model
    from assistant.diagnosis.questions import Question
    from assistant.ground.grid import Grid
    from assistant.ground.results import CauseFound, Complaint


@dataclass(frozen=True)
class Cost:
    """One thing a remedy makes worse. kind: balance | tire life | pace | fuel | pressure | steering | work."""

    kind: str
    where: str
    amount: float | None
    unit: str
    text: str


@dataclass(frozen=True)
class Factor:
    """One factor of a remedy's rank, shown by `why`."""

    name: str
    value: float
    text: str


@dataclass(frozen=True)
class Remedy:
    """One ranked remedy; `kind` lever, driving or inspect. Change, start and finish in SI for levers.

    tire_life_laps, fuel_laps, hot_pressure (late in the run [Pa]): after the change, and the change.
    check_again: what must be measured once it is made. asked: how much the complaint asks for on this car.
    quantity: what change, start and finish are of, a key of QUANTITIES.
    removes: share of the complaint it takes away, 0 to 1. spoils: what it spoils elsewhere or by going past the mark,
    as such a share; the one is never shown less the other. guessed: nobody said where it stands now.
    verdicts: what the trade's word comes to beside the computation, by phase; verdict: all in one word, "" for none.
    each: of several complaints, what share of each goes; below zero where it gets worse.
    """

    rank: int
    kind: str
    id: str
    title: str
    change: float | None
    steps: int | None
    start: float | None
    finish: float | None
    limited_by: str | None  # min | max | largest_change
    direction: str | None  # tighter | looser
    removes: float | None
    effect: Grid | None
    ends: tuple[tuple[str, Grid], ...]
    confidence: float | None
    word: str | None
    basis: str  # computed | by the book
    when: str
    reason: str
    costs: tuple[Cost, ...] = ()
    cautions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    tire_life_laps: Mapping[str, tuple[float, float]] | None = None
    pace_s: Mapping[str, float] | None = None
    fuel_laps: tuple[float, float] | None = None
    spread: Mapping[str, Mapping[str, tuple[float, float]]] | None = None
    watch_for: tuple[str, ...] = ()
    undo_if: str = ""
    trade: Mapping[str, str] = field(default_factory=dict)
    verdict: str = ""
    each: tuple[tuple[str, float], ...] = ()
    verdicts: Mapping[str, str] = field(default_factory=dict)
    physics: str = ""
    factors: tuple[Factor, ...] = ()
    note: str = ""
    symptom: str = ""
    check_again: tuple[str, ...] = ()
    hot_pressure: Mapping[str, tuple[float, float]] | None = None
    asked: str = ""
    quantity: str | None = None
    spoils: float | None = None
    guessed: bool = False


def bare_remedy(kind: str, name: str, title: str) -> Remedy:
    """Begin a remedy of which only the name is known."""
    return Remedy(
        rank=0,
        kind=kind,
        id=name,
        title=title,
        change=None,
        steps=None,
        start=None,
        finish=None,
        limited_by=None,
        direction=None,
        removes=None,
        effect=None,
        ends=(),
        confidence=None,
        word=None,
        basis="by the book",
        when="",
        reason="",
    )


@dataclass(frozen=True)
class PackageMove:
    """One member of a package, SI values; alone it `contributes` and `spoils` such shares of the complaint.

    guessed: nobody said where the lever stands now.
    """

    lever: str
    title: str
    steps: int
    start: float
    finish: float
    contributes: float
    cautions: tuple[str, ...] = ()
    spoils: float = 0.0
    guessed: bool = False


@dataclass(frozen=True)
class Package:
    """Two or three levers moved together; `order` is the order to make them in; gap to the continuous optimum."""

    moves: tuple[PackageMove, ...]
    removes: float
    effect: Grid
    costs: tuple[Cost, ...]
    order: tuple[str, ...]
    gap: float
    check_again: tuple[str, ...] = ()
    spoils: float = 0.0
    each: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class Advice:
    """All that `advise` knows.

    stop: a reason to stop and inspect before any adjustment. treated: the symptom treated instead of the words said,
    "" when they are treated as they stand; a note says so too. doubts: why the numbers are less sure than they look.
    model: what they were computed with, None without one. guesses: how many values of the car that the numbers rest on
    were only guessed. not_legal: what of the setup is outside the rules.
    """

    complaint: Complaint
    stop: str | None = None
    open_questions: tuple[Question, ...] = ()
    causes: tuple[CauseFound, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    packages: tuple[Package, ...] = ()
    notes: tuple[str, ...] = ()
    balance: Grid | None = None
    treated: str = ""
    doubts: tuple[str, ...] = ()
    model: Model | None = None
    guesses: int = 0
    not_legal: tuple[str, ...] = ()
