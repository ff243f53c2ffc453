"""Everything known of a car as one table: what was said, measured, and changed and felt, each row with its doubt.

A row speaks of sums of read quantities (see `driven`), each on the setup it was felt on. Sizes are in percent of
balance, + tight, or SI. Words are coarse, so their doubts are wide; all numbers here are assumptions. Of readings they
are those of gauge and hand; what the model may be off is added in `weigh`. Lap times tell only by their shape: each
part of a run is compared with the mean of all.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import hypot
from statistics import fmean

from assistant.belief.log_readings import EDGE, PRESSURE_OFF, TREAD_OFF, WEAR_OFF, Reading, Readings
from assistant.belief.model import COLD, At
from assistant.car.case import Case, Measured, Setup
from assistant.ground.names import CORNERS, PHASES, STAGES
from assistant.ground.understood import COLD_TIRES, Cell, Complaint

SIZE: Mapping[int, float] = {1: 0.2, 2: 0.4, 3: 0.8, 4: 1.3, 5: 2.0}
"""Balance [%] behind a severity, times a factor of the driver."""
MOST = 5.0
"""The highest severity: there is no word for more, so it stands for its size and all beyond."""
SIZE_OFF, UNSTATED_OFF, LATE_OFF, FELT_OFF = 0.3, 0.4, 0.4, 0.2
"""Standard deviations [%] of a size that was said, of one nobody stated, of "late", and of a change that was felt."""
EARLIER_OFF = 0.8
"""What words of a car as it was before a change may be off besides, of the car as it is now: tires, track and what the
change did are not as computed."""
FINE_OFF, IMPLIED_OFF, UNSAID_OFF = 0.4, 0.5, 0.6
"""Of "fine", of fresh tires where only late was complained of and the reverse, and of all cells nobody spoke of,
together."""
NO_WORSE = 3.0**-0.5
"""Share of what was told of a phase that its other stages may be off besides: they are no worse, but may be anything up
to that (standard deviation of an even spread)."""
EARLY_OFF = 1.0
"""The same of worn tires where only early was complained of: it says less of the end than "late" does of the start."""
FACTOR_OFF = 0.4
"""Standard deviation of the logarithm of a driver's factor."""
USUAL_OFF = 1.5
"""How far [%] such a car is from neutral when settled, at a usual setup, before anybody drove it."""
FELT = 0.5 * (SIZE[1] + SIZE[2])
"""Balance [%] from which somebody would say so: half way from the mildest word to the next."""
DRIVER = "driver"
"""Whose measure words are in."""
SOME_TIME = "some time"
"""Kind of a row of what was said without a time in the run."""
WORDS = frozenset({"cell", "contrast", SOME_TIME})
"""Kinds of rows of what the driver spoke of."""
SIGN: Mapping[str, float] = {"tight": 1.0, "loose": -1.0, "fine": 0.0}


@dataclass(frozen=True)
class Term:
    """factor times one quantity at a stage or lap, on a setup."""

    quantity: str
    at: At
    setup: str
    factor: float = 1.0


@dataclass(frozen=True)
class Row:
    """The sum of `terms` is `value`, give or take `off` (one standard deviation).

    id: what a screen may name it by. kind: cell, some time, contrast, implied, unsaid, change, gauge, ... (`weigh` adds
    to each what the model may be off). who: said it; sized: the value is in that person's own measure. when: order of
    felt runs, from 0. open: so much or more. left_open: where was not said, and it stands for the whole corner.
    """

    id: str
    kind: str
    terms: tuple[Term, ...]
    value: float
    off: float
    who: str = ""
    when: int = 0
    sized: bool = False
    open: bool = False
    left_open: bool = False


@dataclass(frozen=True)
class Known:
    """rows: all that is known. setups: those the rows speak of, by key; "" is the setup of the case."""

    rows: tuple[Row, ...] = ()
    setups: Mapping[str, Setup] = field(default_factory=dict)

    def plus(self, rows: Iterable[Row], setups: Mapping[str, Setup] | None = None) -> Known:
        """Add rows; one with the id of an older row of the same run takes its place."""
        new = tuple(rows)
        taken = {(row.id, row.when) for row in new}
        kept = tuple(row for row in self.rows if (row.id, row.when) not in taken)
        return replace(self, rows=kept + new, setups={**self.setups, **(setups or {})})

    def minus(self, ids: Collection[str]) -> Known:
        """Leave rows out: taken back, or withheld."""
        return replace(self, rows=tuple(row for row in self.rows if row.id not in ids))

    @property
    def last(self) -> tuple[Row, ...]:
        """Rows of the cells the driver spoke of after the last run anybody spoke of."""
        rows = [row for row in self.rows if row.kind in WORDS]
        last = max((row.when for row in rows), default=0)
        return tuple(row for row in rows if row.when == last)

    def words(self, end: str | None = None) -> dict[tuple[str, str], Row]:
        """The same of one end of the track, or of both together, by phase and stage (or "cold", or "some time")."""
        phases = {balance_of(phase, end): phase for phase in PHASES}
        found = ((row, row.terms[0].quantity) for row in self.last)
        return {(phases[one], time_of(row)): row for row, one in found if one in phases}


def time_of(row: Row) -> str:
    """Say when in the run it was so, by what a driver said."""
    return SOME_TIME if row.kind == SOME_TIME else str(row.terms[0].at)


def is_any_time(cell: Cell) -> bool:
    """Whether it was not said when in the run a cell is so; what is fine without a time is fine all along."""
    return not cell.when_given and cell.balance != "fine"


def moment_of(stage: str, complaint: Complaint) -> str:
    """Say when in the run a cell was felt: of the first laps those on cold tires, where a complaint is of them."""
    return COLD if stage == STAGES[0] and COLD_TIRES in complaint.moments else stage


def balance_of(phase: str, end: str | None = None) -> str:
    """Name the quantity of a phase, of both ends together or of one."""
    return f"balance {phase}" if end is None else f"balance {phase} {end}"


def rows_of_complaint(complaint: Complaint, setup: str = "", when: int = 0, *, felt: bool = True) -> tuple[Row, ...]:
    """Turn what a driver said of one run into rows.

    A cell said for the worn stage alone is a contrast with fresh tires, which are then taken to be about fine, as worn
    ones are where it was said for fresh tires alone. What was said of cold tires, and to be fine from then on, is fine
    on fresh ones. What was said without a time in the run is so on the mean of it.
    felt: the run was driven; then what the driver did not speak of is evidence too.
    """
    told = complaint.cells_alone
    cells = {(cell.phase, cell.stage, cell.end): cell for cell in told}
    rows = some_time_rows(told, setup, when)
    for cell in told:
        if is_any_time(cell):
            continue
        alike = count_alike(cell, told)
        if is_only_at(cell, cells, cell.stage, STAGES[-1]):
            rows += late_rows(cell, setup, when)
        else:
            moment = moment_of(cell.stage, complaint)
            rows.append(cell_row(replace(cell, stage=moment), alike, setup, when))
            is_early = is_only_at(cell, cells, moment, STAGES[0])
            if is_early and (cell.phase, STAGES[-1], cell.end) not in cells:
                rows.append(implied_row(cell, STAGES[-1], setup, when))
            later = cells.get((cell.phase, STAGES[1], cell.end))
            if moment == COLD and cell.balance != "fine" and later is not None and later.balance == "fine":
                come_in = replace(cell, stage=STAGES[0], balance="fine", severity_given=False)
                rows.append(cell_row(come_in, 1, setup, when))
    return (*rows, *(unsaid_rows(rows, setup, when) if felt and told else ()))


def count_alike(cell: Cell, cells: Sequence[Cell]) -> int:
    """Count the cells that one and the same word fills: they are not evidence many times over."""
    if cell.balance == "fine":
        return 1
    key = (cell.balance, cell.severity, cell.end)
    return sum((other.balance, other.severity, other.end) == key for other in cells)


def is_only_at(cell: Cell, cells: Mapping[tuple[str, str, str | None], Cell], moment: str, stage: str) -> bool:
    """Whether a cell says that something comes late, or that it is so early: at one end of the run, and at no other."""
    others = [cells.get((cell.phase, other, cell.end)) for other in STAGES if other != stage]
    fine_else = all(one is None or one.balance == "fine" for one in others)
    return cell.balance != "fine" and moment == stage and fine_else


def size_of(cell: Cell) -> float:
    """Balance [%] a cell stands for, between the sizes of whole severities."""
    severity = min(max(cell.severity, 1.0), MOST)
    low = min(int(severity), 4)
    between = SIZE[low] + (severity - low) * (SIZE[low + 1] - SIZE[low])
    return SIGN[cell.balance] * between


def is_open(cell: Cell) -> bool:
    """Whether a cell is as bad as can be said."""
    return cell.balance != "fine" and cell.severity >= MOST


def off_of(cell: Cell) -> float:
    """How far a said size may be off."""
    if cell.balance == "fine":
        return FINE_OFF
    return SIZE_OFF if cell.severity_given else UNSTATED_OFF


def cell_row(cell: Cell, alike: int, setup: str, when: int) -> Row:
    """Make the row of one cell."""
    term = Term(balance_of(cell.phase, cell.end), cell.stage, setup)
    sized = cell.balance != "fine"
    value = size_of(cell) if sized else 0.0
    off = off_of(cell) * alike**0.5
    left_open = not cell.where_given
    return Row(cell_id(cell), "cell", (term,), value, off, DRIVER, when, sized, is_open(cell), left_open)


def cell_id(cell: Cell) -> str:
    """Name a cell: phase, stage where it was given, and end."""
    return " ".join(filter(None, (cell.phase, "" if is_any_time(cell) else cell.stage, cell.end)))


def some_time_rows(cells: Sequence[Cell], setup: str, when: int) -> list[Row]:
    """Make the rows of what was said without a time: so much on the mean of those stages nothing else was said of."""
    groups: dict[Cell, list[str]] = {}
    for cell in cells:
        if is_any_time(cell):
            groups.setdefault(replace(cell, stage=""), []).append(cell.stage)
    rows: list[Row] = []
    for cell, stages in groups.items():
        alike = sum(replace(cell, phase=other.phase) == other for other in groups)
        terms = [Term(balance_of(cell.phase, cell.end), stage, setup, 1.0 / len(stages)) for stage in stages]
        off = off_of(cell) * alike**0.5
        value, opens = size_of(cell), (is_open(cell), not cell.where_given)
        rows.append(Row(cell_id(cell), SOME_TIME, tuple(terms), value, off, DRIVER, when, True, *opens))
    return rows


def late_rows(cell: Cell, setup: str, when: int) -> list[Row]:
    """Make the rows of a cell that is said to come late: a contrast, and fresh tires about fine."""
    name = balance_of(cell.phase, cell.end)
    worn, fresh = Term(name, cell.stage, setup), Term(name, STAGES[0], setup)
    contrast = (worn, replace(fresh, factor=-1.0))
    off = max(LATE_OFF, off_of(cell))
    return [
        Row(
            cell_id(cell),
            "contrast",
            contrast,
            size_of(cell),
            off,
            DRIVER,
            when,
            True,
            is_open(cell),
            not cell.where_given,
        ),
        implied_row(cell, STAGES[0], setup, when),
    ]


def implied_row(cell: Cell, stage: str, setup: str, when: int) -> Row:
    """Make the row of the other end of the run, where it is about fine: no worse, but maybe anything up to that."""
    off = hypot(IMPLIED_OFF, (EARLY_OFF if stage == STAGES[-1] else NO_WORSE) * size_of(cell))
    term = Term(balance_of(cell.phase, cell.end), stage, setup)
    return Row(f"{cell.phase} {stage} implied", "implied", (term,), 0.0, off, DRIVER, when)


def unsaid_rows(rows: Sequence[Row], setup: str, when: int) -> list[Row]:
    """Make the rows of what a driver did not speak of after a run: all of them together count as one.

    Where he did not say when it is so, nothing was said of how its stages differ.
    """
    spoken = {(row.id.split()[0], term.at) for row in rows for term in row.terms}
    told = {phase: max((abs(row.value) for row in rows if row.id.split()[0] == phase), default=0.0) for phase in PHASES}
    silent: list[tuple[Term, ...]] = [
        (Term(balance_of(phase), stage, setup),) for phase in PHASES for stage in STAGES if (phase, stage) not in spoken
    ]
    for row in rows:
        if row.kind == SOME_TIME and len(row.terms) > 1:
            mean = tuple(replace(term, factor=-term.factor) for term in row.terms)
            silent += [(replace(term, factor=1.0), *mean) for term in row.terms]
    return [unsaid_row(terms, told, len(silent), when) for terms in silent]


def unsaid_row(terms: tuple[Term, ...], told: Mapping[str, float], alike: int, when: int) -> Row:
    """Make one of them. told: the size of what was told of every phase. alike: how many rows count as one."""
    _, phase, *end = terms[0].quantity.split(maxsplit=2)
    off = alike**0.5 * hypot(UNSAID_OFF, NO_WORSE * told[phase])
    return Row(" ".join([phase, str(terms[0].at), *end, "unsaid"]), "unsaid", terms, 0.0, off, DRIVER, when)


def change_row(
    phase: str,
    stage: str,
    felt: float,
    before: str,
    after: str,
    when: int = 1,
    off: float = FELT_OFF,
    end: str | None = None,
) -> Row:
    """Make the row of a change that was made and felt: balance moved by `felt` [%, + tighter] from setup to setup."""
    name, id_ = balance_of(phase, end), " ".join(filter(None, (phase, stage, end, "change")))
    terms = (Term(name, stage, after), Term(name, stage, before, -1.0))
    return Row(id_, "change", terms, felt, off, DRIVER, when, sized=True)


def usual_rows(setup: str = "") -> tuple[Row, ...]:
    """Make the rows of a car nobody complains of: about neutral when settled, at a usual setup of such a car."""
    return tuple(
        Row(f"{phase} usual", "usual", (Term(balance_of(phase), "settled", setup),), 0.0, USUAL_OFF) for phase in PHASES
    )


STAGGER_OFF, FUEL_SHARE_OFF = 0.0015, 0.05
"""Of a stagger measured hot [m], and of fuel used as a share of it; of the others see `log_readings`."""
PACE_OFF = 0.002
"""Of a part of a run, as a share of its lap time: wind, traffic, mood."""
PARTS = 6
"""Parts a log's lap times are compared in, one a lap where it has fewer; a single one tells nothing of its shape."""
GAUGE = "gauge"
QUANTITY: Mapping[str, str] = {"tread temperature": "tread", "hot pressure": "pressure"}


def rows_of_measured(case: Case, setup: str = "") -> tuple[Row, ...]:
    """Make rows of what was read at the car after a run; read at the end of the run where no laps are stated."""
    measured, end = case.measured, float(case.measured.laps or case.run_laps)
    rows = [
        *(gauge_row(f"tread {one}", end, fmean(three), TREAD_OFF, setup) for one, three in temperatures(measured)),
        *(gauge_row(f"pressure {one}", end, hot, PRESSURE_OFF, setup) for one, hot in measured.hot_pressure.items()),
        *(
            gauge_row(f"wear {one}", end, used / case.tire.tread, WEAR_OFF / case.tire.tread, setup)
            for one, used in measured.wear.items()
        ),
    ]
    if measured.fuel_used is not None:
        rows.append(gauge_row("fuel", end, measured.fuel_used, FUEL_SHARE_OFF * measured.fuel_used, setup))
    if measured.hot_stagger is not None:
        rows.append(stagger_row(end, measured.hot_stagger, setup))
    rows += pace_rows(spread_laps(measured.lap_times, end), setup)
    return tuple(row for row in rows if end <= case.run_laps)


def spread_laps(times: Sequence[float], end: float) -> list[Reading]:
    """Lay lap times over a run: lap by lap where it has as many, else evenly from its first to its last."""
    times = times[: int(end)]
    laps = [1 + round((end - 1) * at / max(1, len(times) - 1)) for at in range(len(times))]
    return [Reading("lap time", "", lap, lap, time, 0.0, 0) for lap, time in zip(laps, times, strict=True)]


def temperatures(measured: Measured) -> list[tuple[str, tuple[float, float, float]]]:
    """List the corners whose tread was read, with the three strips."""
    return [(corner, measured.temperatures[corner]) for corner in CORNERS if corner in measured.temperatures]


def gauge_row(quantity: str, lap: float, value: float, off: float, setup: str = "") -> Row:
    """Make the row of one reading at a lap."""
    return Row(f"{quantity} at {lap:g}", GAUGE, (Term(quantity, lap, setup),), value, off)


def stagger_row(lap: float, value: float, setup: str = "") -> Row:
    """Make the row of a stagger measured hot [m]."""
    return gauge_row("stagger", lap, value, STAGGER_OFF, setup)


def rows_of_log(readings: Readings, case: Case) -> tuple[Row, ...]:
    """Make rows of a log."""
    timed = [one for one in readings.readings if one.quantity == "lap time"]
    others = [one for one in readings.readings if one.quantity != "lap time"]
    return (*(row_of_reading(one, case) for one in others), *pace_rows(timed, ""))


def row_of_reading(one: Reading, case: Case) -> Row:
    """Make the row of one reading of a log: a state at a lap, or what was used since one; both as the car came in."""
    scale = {"wear": 1.0 / case.tire.tread, "fuel": case.car.fuel_density}.get(one.quantity, 1.0)
    name = " ".join(filter(None, (QUANTITY.get(one.quantity, one.quantity), one.corner)))
    terms = [Term(name, one.lap - EDGE, "")]
    if one.quantity in {"wear", "fuel"} and one.since:
        terms.append(Term(name, one.since + EDGE, "", -1.0))
    return Row(f"{name} at {one.lap}", GAUGE, tuple(terms), scale * one.value, scale * one.off)


def pace_rows(laps: Sequence[Reading], setup: str) -> list[Row]:
    """Make rows of the shape of lap times: each part of the run but the first beside the mean of all."""
    parts = [laps[at * len(laps) // PARTS : (at + 1) * len(laps) // PARTS] for at in range(PARTS)]
    if not all(parts):
        return []
    level = fmean(one.value for one in laps)
    rows = []
    for at, part in enumerate(parts):
        terms = [Term("lap time", one.lap - 0.5, setup, (one in part) / len(part) - 1.0 / len(laps)) for one in laps]
        off = hypot(PACE_OFF * level, fmean(one.off for one in part) / len(part) ** 0.5)
        value = fmean(one.value for one in part) - level
        rows.append(Row(f"pace part {at + 1}", GAUGE, tuple(terms), value, off))
    return rows[1:]
