"""Where the car is believed to stand, as plain numbers with their bands: what every screen shows of the balance."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import hypot
from typing import TYPE_CHECKING

from assistant.belief.believe import Belief, Shown, believe
from assistant.belief.felt import Felt, place_of, rows_left
from assistant.belief.known import EARLIER_OFF, SOME_TIME, Known, Row, balance_of, rows_of_complaint, rows_of_measured
from assistant.belief.model import COLD, no_steady_state, read_model
from assistant.ground.names import PHASES, SETTLED, STAGES, Grid

if TYPE_CHECKING:
    from assistant.belief.driven import Changes
    from assistant.belief.garage import Garage
    from assistant.car.case import Case, Setup
    from assistant.ground.understood import Complaint
    from assistant.physics.formulas import Array

WAYS: Mapping[float, str] = {-1.0: "loose", 0.0: "fine", 1.0: "tight"}


@dataclass(frozen=True)
class Picture:
    """Balance [%, + tight], or its change, by phase and stage: what is believed, and the band of eight cars in ten.

    said: what the driver said of a cell, phase and stage (or "cold", or "some time") to loose, fine or tight, with this
    setup. drift: change from settled to worn. told: whether anything was said at all, of this setup or of one before;
    spoken: of this one, be it of one end. shut: no plausible car does all that is known, so no number of it may be
    shown; against: the rows without which more cars would, the most first. left_out: gauges that are not believed.
    measured: kinds of gauges that were read. left_open: some of what was said leaves open where. cold: the balance of
    each phase on cold tires, where the words are of those; some_time: the mean over the run of each phase of which he
    did not say when. ends: the ends of the track that were spoken of alone.
    """

    value: Grid
    low: Grid
    high: Grid
    said: Mapping[tuple[str, str], str] = field(default_factory=dict)
    some_time: Mapping[str, Shown] = field(default_factory=dict)
    drift: Mapping[str, Shown] = field(default_factory=dict)
    told: bool = False
    spoken: bool = False
    left_open: bool = False
    shut: bool = False
    against: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    measured: frozenset[str] = frozenset()
    cold: Mapping[str, Shown] = field(default_factory=dict)
    ends: Mapping[str, Picture] = field(default_factory=dict)

    def moved(self, by: Grid) -> Picture:
        """The same with every cell moved: nobody spoke of that one."""
        moved = (self.value + by, self.low + by, self.high + by)
        return replace(self, value=moved[0], low=moved[1], high=moved[2], said={}, some_time={}, cold={}, ends={})


@dataclass(frozen=True)
class Told:
    """What was said of a run, and the setup it was said of."""

    setup: Setup
    complaint: Complaint


def believe_told(
    case: Case, told: Sequence[Told], garage: Garage, felt: Sequence[Felt] = (), read_on: Setup | None = None
) -> Belief:
    """Believe what was said, each word of its own setup, what was felt of changes, and what was measured.

    garage: cars of this case, with whatever setup it had when they were made. read_on: the setup it was measured on,
    the one of the case when left out. Raises BadInput for a car that cannot be driven at all.
    """
    if not garage.drive().usable.any():
        raise no_steady_state(case, read_model(case).run)
    evidence, now = gather(case, told, garage.case.setup, felt, read_on or case.setup)
    return leave_gauges(believe(garage.case, evidence, garage, now))


def gather(
    case: Case, told: Sequence[Told], made_with: Setup, felt: Sequence[Felt], read_on: Setup
) -> tuple[Known, str]:
    """Lay out all that is known, and the key of the setup on the car. made_with: the setup the cars were made with."""
    changed = (setup for one in felt for setup in (one.before, one.after))
    setups = name_setups(made_with, [*(one.setup for one in told), *changed, read_on, case.setup])
    rows: list[Row] = []
    for when, change in enumerate(felt, len(told)):
        before, after = (key_among(setups, setup) for setup in (change.before, change.after))
        rows += change.rows(before, after, when)
    for when, one in enumerate(told):
        said = rows_of_complaint(one.complaint, key_among(setups, one.setup), when=when)
        is_now = same_levers(one.setup, told[-1].setup)
        rows += rows_of_now(one, said, felt) if is_now else (said_earlier(row) for row in said)
    measured = rows_of_measured(case, key_among(setups, read_on))
    known = Known((*rows, *measured), {key: setup for key, setup in setups.items() if key})
    return known, key_among(setups, case.setup)


def rows_of_now(told: Told, rows: Sequence[Row], felt: Iterable[Felt]) -> list[Row]:
    """Count in full what was said of the car as it is now, but for what only follows from a change that was felt."""
    left = {cell for change in felt if same_levers(change.after, told.setup) for cell in change.left}
    follows = [cell for cell in told.complaint.cells if cell in left]
    spoken, places = ({place_of(cell) for cell in some} for some in (told.complaint.cells, follows))
    return rows_left(rows, follows, all_left=bool(places) and spoken <= places)


def said_earlier(row: Row) -> Row:
    """Let what was said of the car before a change say less of the car as it is now."""
    return replace(row, off=hypot(row.off, EARLIER_OFF))


def leave_gauges(belief: Belief) -> Belief:
    """Believe the words alone where no plausible car does what the gauges say beside them; it is said with it."""
    gauges = tuple(row.id for row in belief.evidence.rows if row.kind == "gauge")
    if not belief.gate_is_shut or not gauges:
        return belief
    words = belief.without(gauges)
    return belief if words.gate_is_shut else replace(words, left_out=gauges)


def name_setups(made_with: Setup, setups: Iterable[Setup]) -> dict[str, Setup]:
    """Name every setup once; "" is the one the cars were made with."""
    named = {"": made_with}
    for setup in setups:
        if all(same_levers(setup, other) is False for other in named.values()):
            named[f"setup {len(named)}"] = setup
    return named


def key_among(setups: Mapping[str, Setup], wanted: Setup) -> str:
    """Find the name of a setup."""
    return next(key for key, setup in setups.items() if same_levers(setup, wanted))


def same_levers(one: Setup, other: Setup) -> bool:
    """Whether two setups are the same for the model."""
    return dict(one.values) == dict(other.values) and one.seats_alone == other.seats_alone


def read_picture(belief: Belief) -> Picture:
    """Read where the car is believed to stand."""
    if belief.gate_is_shut:
        return shut_picture(belief)

    last = belief.evidence.last
    cold = read_cold(belief) if any(row.terms[0].at == COLD for row in last) else {}
    spoken = any(row.terms[0].setup == belief.now for row in last)
    shown = replace(with_words(lay_out(belief.grid), belief), drift=read_drift(belief), cold=cold)
    there = {end: read_end(belief, end) for end in belief.garage.course.ends if belief.evidence.words(end)}
    ends = {end: one for end, one in there.items() if one.said}
    left_open = any(row.left_open for row in last)
    return replace(shown, told=bool(last), spoken=spoken, left_open=left_open, left_out=belief.left_out, ends=ends)


def read_end(belief: Belief, end: str) -> Picture:
    """Read where the car is believed to stand at one end of the track."""
    cells = {(phase, stage): belief.read(balance_of(phase, end), stage) for phase in PHASES for stage in STAGES}
    return with_words(lay_out(show_cells(belief, cells)), belief, end)


def with_words(picture: Picture, belief: Belief, end: str | None = None) -> Picture:
    """Put in what the driver said with this setup on the car, of one end of the track or of both alike."""
    rows = rows_said(belief, end)
    some_time = {phase: belief.show(read_row(belief, row)) for (phase, time), row in rows.items() if time == SOME_TIME}
    return replace(picture, said=read_said(belief, end), some_time=some_time)


def rows_said(belief: Belief, end: str | None = None) -> dict[tuple[str, str], Row]:
    """Find the rows of what the driver said with this setup on the car."""
    return {cell: row for cell, row in belief.evidence.words(end).items() if row.terms[0].setup == belief.now}


def read_said(belief: Belief, end: str | None = None) -> dict[tuple[str, str], str]:
    """Read which way the driver said that each cell goes, of one end of the track or of both alike."""
    return {cell: WAYS[float((row.value > 0) - (row.value < 0))] for cell, row in rows_said(belief, end).items()}


def read_row(belief: Belief, row: Row) -> Array:
    """Believed value of a row on every car."""
    first, *others = (term.factor * belief.read(term.quantity, term.at, term.setup) for term in row.terms)
    return sum(others, start=first)


def read_after(belief: Belief, changes: Changes, *, at_once: bool = False) -> tuple[Picture, Picture]:
    """Read where the car is believed to stand with a change made, and what the change does.

    at_once: on the tires in place, not by the end of the next run.
    """
    if belief.gate_is_shut:
        shut = shut_picture(belief)
        return shut, shut

    effect = belief.move(changes)
    cells = [(phase, stage) for phase in PHASES for stage in STAGES]
    moved = {cell: effect.read(balance_of(cell[0]), cell[1], at_once=at_once) for cell in cells}
    after = {cell: belief.read(balance_of(cell[0]), cell[1]) + by for cell, by in moved.items()}
    return lay_out(show_cells(belief, after)), lay_out(show_cells(belief, moved))


def show_cells(belief: Belief, cells: Mapping[tuple[str, str], Array]) -> dict[str, dict[str, Shown]]:
    """Sum up every cell."""
    return {phase: {stage: belief.show(cells[phase, stage]) for stage in STAGES} for phase in PHASES}


def lay_out(cells: Mapping[str, Mapping[str, Shown]]) -> Picture:
    """Lay cells out as three grids."""
    value, low, high = (
        Grid.of({phase: {stage: getattr(one, name) for stage, one in row.items()} for phase, row in cells.items()})
        for name in ("value", "low", "high")
    )
    return Picture(value, low, high)


def read_drift(belief: Belief) -> dict[str, Shown]:
    """Change of balance from settled to worn, in each phase."""
    names = {phase: balance_of(phase) for phase in PHASES}
    return {
        phase: belief.show(belief.read(name, STAGES[-1]) - belief.read(name, STAGES[SETTLED]))
        for phase, name in names.items()
    }


def read_cold(belief: Belief) -> dict[str, Shown]:
    """Balance of each phase in the first laps on cold tires."""
    return {phase: belief.show(belief.read(balance_of(phase), COLD)) for phase in PHASES}


def shut_picture(belief: Belief) -> Picture:
    """Say what no plausible car does; there are no numbers then."""
    nothing = Grid.level(dict.fromkeys(PHASES, 0.0))
    against = tuple(row for row, _ in belief.in_the_way()) if belief.fit.usable.any() else ()
    return Picture(nothing, nothing, nothing, shut=True, against=against, measured=gauges_read(belief.evidence))


def gauges_read(evidence: Known) -> frozenset[str]:
    """Name the kinds of gauges that were read: tread, pressure, wear and the like."""
    return frozenset(row.id.split()[0] for row in evidence.rows if row.kind == "gauge")
