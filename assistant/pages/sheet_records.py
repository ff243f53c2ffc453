"""What stands on a page: frozen values of finished text, the same for HTML, Markdown and JSON.

Every text has its numbers and units in it already. `gate_texts` is the one place where the texts of a page pass the
output gate, so that no template and no format has to think of it.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass
from typing import Any, TypeVar

from assistant.ground.gate import shown
from assistant.pages.blocks import LineChart, Table

T = TypeVar("T")


@dataclass(frozen=True)
class ChangePart:
    """One move of a change that is several: what to do, what it does alone."""

    order: str
    alone: str


@dataclass(frozen=True)
class Change:
    """One thing to do. kind: lever, driving, inspect or package; id: of the lever or habit, several for a package.

    order: the job as one sentence. removes: share of the complaint, 0 to 1, None when nobody can say. costs, gains:
    the worst and the best first; cautions_before: numbers of the changes where some of its cautions stand
    already. A look has no share, no direction and nothing to undo; its texts for these are empty. facts: what the
    change is on this car in pounds, turns, inches.
    """

    number: int
    kind: str
    id: str
    order: str
    direction: str
    removes: float | None
    share: str
    when: str
    reason: str
    sure: str
    parts: tuple[ChangePart, ...] = ()
    costs: tuple[str, ...] = ()
    smaller_costs: int = 0
    gains: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    cautions_before: tuple[int, ...] = ()
    recheck: tuple[str, ...] = ()
    watch_for: tuple[str, ...] = ()
    undo_if: str = ""
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Value:
    """One value of the setup; note: what is said of it in words (guessed, changed by number 2)."""

    name: str
    value: str
    note: str = ""


@dataclass(frozen=True)
class Group:
    """The values of one part of the car, in the order of the work."""

    title: str
    values: tuple[Value, ...]


@dataclass(frozen=True)
class Difference:
    """One value that differs from the other setup, and what going over to the other value does."""

    name: str
    here: str
    there: str
    does: str


@dataclass(frozen=True)
class Comparison:
    """Two setups side by side. all_of_it: what all differences do together; not_computed: why not, when they cannot."""

    here: str
    there: str
    differences: tuple[Difference, ...]
    all_of_it: tuple[str, ...]
    notes: tuple[str, ...]
    balance: Table | None


@dataclass(frozen=True)
class Page:
    """The whole page. stop: why nothing may be done before the car was looked at; then nothing else is."""

    title: str
    about: str
    date: str
    said: str
    answers: tuple[tuple[str, str], ...]
    stop: str
    made: str
    understood: str = ""
    how_to_use: tuple[str, ...] = ()
    changes: tuple[Change, ...] = ()
    balance_title: str = ""
    balance: Table | None = None
    balance_says: tuple[str, ...] = ()
    run: tuple[str, ...] = ()
    tires: Table | None = None
    charts: tuple[LineChart, ...] = ()
    cause: tuple[str, ...] = ()
    sure: tuple[str, ...] = ()
    minds: tuple[str, ...] = ()
    setup_title: str = ""
    setup: tuple[Group, ...] = ()
    setup_notes: tuple[str, ...] = ()
    comparison: Comparison | None = None
    limits: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


def gate_texts(value: T) -> T:
    """Return the same view with every text in it passed through the output gate."""
    return _gated(value)  # type: ignore[no-any-return] # the same type comes back, field by field


def _gated(value: Any) -> Any:
    if isinstance(value, str):
        return shown(value)
    if isinstance(value, tuple):
        return tuple(_gated(one) for one in value)
    if is_dataclass(value) and not isinstance(value, type):
        return type(value)(**{field.name: _gated(getattr(value, field.name)) for field in fields(value)})
    return value
