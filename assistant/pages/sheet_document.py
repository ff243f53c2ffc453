"""What stands on a page for somebody else: frozen values of finished text, and the document of blocks made of them.

Every text has its numbers and units in it already; JSON gives the values, HTML and Markdown are written from the
document. `gate_texts` is the one place where the texts of a page pass the output gate, so that no template and no
format has to think of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from typing import Any, TypeVar

from assistant.ground.names import listed
from assistant.ground.problems import shown
from assistant.pages.amounts import capital
from assistant.pages.blocks import (
    Charts,
    Group,
    Groups,
    Items,
    Line,
    LineChart,
    Pairs,
    PaperBlock,
    Points,
    Section,
    Steps,
    Table,
    lines,
)

T = TypeVar("T")
NOTHING_HELPS = "No lever, no habit and no package takes this away on this car."
SETUP_NOTE = "As it stands now. What a number of the list above changes is said behind the value."


@dataclass(frozen=True)
class ChangePart:
    """One move of a change that is several: what to do, what it does alone."""

    order: str
    alone: str


@dataclass(frozen=True)
class Change:
    """One thing to do. kind: lever, driving, inspect or package; id: of the lever or habit, several for a package.

    order: the job as one sentence. removes: share of the complaint, 0 to 1, None when nobody can say. costs, gains:
    the worst and the best first. tires: its price in tires. cautions_before: numbers of the changes where some of its
    cautions stand already. A look has no share, no direction and nothing to undo; its texts for these are empty.
    facts: what the change is on this car in pounds, turns, inches.
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
    tires: str = ""
    gains: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    cautions_before: tuple[int, ...] = ()
    recheck: tuple[str, ...] = ()
    watch_for: tuple[str, ...] = ()
    undo_if: str = ""
    facts: tuple[str, ...] = ()


@dataclass(frozen=True)
class Difference:
    """One value that differs from the other setup, and what going over to the other value does."""

    name: str
    here: str
    there: str
    does: str


@dataclass(frozen=True)
class Comparison:
    """Two setups side by side. all_of_it: what all differences do together. notes: what must be said of them."""

    here: str
    there: str
    differences: tuple[Difference, ...]
    all_of_it: tuple[str, ...]
    notes: tuple[str, ...]
    balance: Table | None


@dataclass(frozen=True)
class Page:
    """The whole page. stop: why nothing may be done before the car was looked at; then nothing else is.

    told: what was read, changed and felt besides the words and the answers, a line each.
    """

    title: str
    about: str
    date: str
    said: str
    answers: tuple[tuple[str, str], ...]
    stop: str
    made: str
    not_legal: tuple[str, ...] = ()
    understood: str = ""
    told: tuple[str, ...] = ()
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


def main_sections(page: Page) -> list[Section]:
    """Give what the page says, in order; a reason to stop stands first and alone."""
    sections = [_stop, _said] if page.stop else [_said, _changes, _balance, _run, _sure, _against, _setup]
    return [section for section in (build(page) for build in sections) if section.blocks]


def foot_sections(page: Page) -> list[Section]:
    """Give what stands below the page: what the model does not know, and the sources."""
    limits = Section("limits", "What the model does not know", _points(page.limits))
    sources = Section("sources", "Sources", [Line("; ".join(page.sources) + ".")] if page.sources else [])
    return [section for section in (limits, sources) if section.blocks]


def _stop(page: Page) -> Section:
    warning = Line(page.stop, mark="caution", lead="Nothing is adjusted, and nobody drives, before this is settled.")
    return Section("changes", "Stop: look at the car first", [warning])


def _said(page: Page) -> Section:
    blocks: list[PaperBlock] = [*lines(page.not_legal, "caution"), *lines([page.said], "quote")]
    blocks += lines([page.understood])
    blocks += [Pairs(page.answers, "asked")] if page.answers else []
    blocks += lines(page.told)
    if page.cause:
        first, *rest = page.cause
        blocks.append(Line(" ".join(rest), lead=first))
    return Section("says", "What was said" if page.stop else "What the car does", blocks)


def _changes(page: Page) -> Section:
    if not page.changes:
        return Section("changes", "What to change", [Line(NOTHING_HELPS)])
    items = tuple(Section(str(change.number), change.order, tuple(_change(change))) for change in page.changes)
    return Section("changes", "What to change, in this order", [*lines(page.how_to_use), Items(items)])


def _change(change: Change) -> Iterator[PaperBlock]:
    if change.parts:
        yield Steps(tuple((part.order, part.alone) for part in change.parts))
    way = f"{change.direction.capitalize()}:" if change.direction else ""
    share = f"{change.share if way else capital(change.share)}. " if change.share else ""
    yield Line(f"{share}{change.when.capitalize()}.", lead=way)
    yield Line(change.reason)
    smaller = f"; and {change.smaller_costs} smaller" if change.smaller_costs else ""
    told = {
        "It costs": f"{'; '.join(change.costs)}{smaller}." if change.costs else "",
        "Over the run": change.tires,
        "On this car": " ".join(change.facts),
        "It gives besides": _listed(change.gains),
        "How sure": f"{change.sure}." if change.sure else "",
        "Watch for": _listed(change.watch_for),
        "Check again": _listed(change.recheck),
        "Undo it if": f"{change.undo_if}." if change.undo_if else "",
    }
    yield Pairs(tuple((name, text) for name, text in told.items() if text))
    if change.cautions or change.cautions_before:
        yield Line(_caution(change), mark="caution", lead="Caution:")


def _caution(change: Change) -> str:
    said = list(change.cautions)
    if change.cautions_before:
        numbers = listed([*map(str, change.cautions_before)])
        said.append(f"{'Also heed' if said else 'Heed'} what stands under {numbers}.")
    return " ".join(said)


def _listed(texts: tuple[str, ...]) -> str:
    return f"{'; '.join(texts)}." if texts else ""


def _points(texts: tuple[str, ...]) -> list[PaperBlock]:
    return [Points(texts)] if texts else []


def _balance(page: Page) -> Section:
    blocks: list[PaperBlock] = [] if page.balance is None else [page.balance]
    return Section("balance-now", page.balance_title, [*blocks, *lines(page.balance_says, "quiet")])


def _run(page: Page) -> Section:
    blocks: list[PaperBlock] = [*lines(page.run)]
    blocks += [page.tires] if page.tires is not None else []
    return Section("run", "The run ahead", [*blocks, *([Charts(page.charts)] if page.charts else [])])


def _sure(page: Page) -> Section:
    minds = [Line("This would change the list:"), *_points(page.minds)] if page.minds else []
    return Section("sure", "How sure this is, and what would change our mind", [*_points(page.sure), *minds])


def _against(page: Page) -> Section:
    two = page.comparison
    if two is None:
        return Section("against", "", [])
    blocks: list[PaperBlock] = [*lines(two.notes)]
    blocks += _differences(two) if two.differences else []
    blocks += lines(two.all_of_it)
    return Section("against", f"{two.here} against {two.there}", [*blocks, *([two.balance] if two.balance else [])])


def _differences(two: Comparison) -> list[PaperBlock]:
    rows = tuple((one.name, one.here, one.there, one.does) for one in two.differences)
    said = f"What going over from {two.here} to {two.there} does on this car, each difference alone:"
    return [Line(said), Table(("what", two.here, two.there, "what it does"), rows, caption="What differs")]


def _setup(page: Page) -> Section:
    blocks: list[PaperBlock] = [Line(SETUP_NOTE), Groups(page.setup), *lines(page.setup_notes)] if page.setup else []
    return Section("setup", page.setup_title, blocks)
