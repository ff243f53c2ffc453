"""Reads a run log: what was timed and measured lap by lap, as CSV or YAML, every mistake with its line.

CSV: the first line names the columns in any order, with their units; a line with # is a remark; cells may be empty.
Commas, semicolons or tabs part the cells. YAML: `run log: name`, then `laps:` with one block per lap, the same names.
"""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

from pydantic import Field

from assistant.car.file_keys import LAP_TIME_KEY, LAPS_KEY, MEASURED_KEYS, TREAD_KEY
from assistant.car.files import read_kind, refuse, system_of
from assistant.car.keys import Key, key, read_key
from assistant.car.run_log import LogRow, RunLog, check_rows
from assistant.ground.folders import demo_folder, is_file, is_there
from assistant.ground.names import CORNERS, SIDES, ZONES, did_you_mean, part_at_corners
from assistant.ground.problems import BadInput, Problem
from assistant.ground.quantities import QUANTITIES
from assistant.ground.read_model import FileBlock, build
from assistant.ground.units import System, UnitProblem, find_unit
from assistant.ground.yaml_file import read_text

_MEASURED = {one.field: one for one in MEASURED_KEYS}
_DEPTH = key("tread depth", "depth", "short_length", "0 in", "1 in", "Tread left.", "no tire has that much tread")
_FUEL = key("fuel left", "fuel_left", "volume", "0 gal", "60 gal", "Fuel left.", "no tank holds that much")
_FUEL_USED = key("fuel used", "fuel_used", "volume", "0 gal", "600 gal", "Fuel used.", "no run takes that much")
_LAP = key("lap", "lap", "laps", "0", "2000", "Laps done.", LAPS_KEY.why)
_SLOW = key("slow laps", "slow_laps", "laps", "0", "200", "Slow laps after this one.", LAPS_KEY.why)


@dataclass(frozen=True)
class Column:
    """One column. name: as written. field: of LogRow. corner, strip: "" when it has none. key: None for words.

    needs_unit: a bare number would be ambiguous, so its head must say the unit.
    """

    name: str
    field: str
    key: Key | None = None
    corner: str = ""
    strip: str = ""
    needs_unit: bool = False


def _columns() -> tuple[Column, ...]:
    found = [Column("lap", "lap", _LAP), Column("lap time", "lap_time", LAP_TIME_KEY)]
    for corner in CORNERS:
        found += [Column(f"{corner} {strip}", "temperatures", TREAD_KEY, corner, strip, True) for strip in ZONES]
        found.append(Column(f"{corner} hot pressure", "hot_pressure", _MEASURED["hot_pressure"], corner, "", True))
        found.append(Column(f"{corner} wear", "wear", _MEASURED["wear"], corner, "", True))
        found.append(Column(f"{corner} tread depth", "depth", _DEPTH, corner, "", True))
    found += [
        Column("fuel left", "fuel_left", _FUEL, needs_unit=True),
        Column("fuel used", "fuel_used", _FUEL_USED, needs_unit=True),
        Column("slow laps", "slow_laps", _SLOW),
        Column("new tires", "new_tires"),
        Column("refueled", "refueled"),
        Column("note", "note"),
    ]
    return tuple(found)


COLUMNS: dict[str, Column] = {column.name.lower(): column for column in _columns()}
"""Every column by its name in small letters."""
_ALSO = {
    "laps": "lap", "time": "lap time", "fuel": "fuel left", "notes": "note", "comment": "note", "refuelled": "refueled",
    "new tyres": "new tires", "caution laps": "slow laps",
}  # fmt: skip
_ALSO_OF_A_CORNER = {
    "in": "inside", "inner": "inside", "mid": "middle", "center": "middle", "centre": "middle", "out": "outside",
    "outer": "outside", "tread": "tread depth", "depth": "tread depth", "hot": "hot pressure",
}  # fmt: skip
_HEAD = re.compile(r"(.*?)\s*[(\[]\s*([^()\[\]]*?)\s*[)\]]")
_TEMPERATURE = re.compile(r"\s*\btemp(?:erature|s)?\b\.?\s*")


def read_head(text: str) -> tuple[Column, str]:
    """Read the head of a column: "RR hot pressure (psi)" is that column and "psi"; UnitProblem when it is none."""
    split = _HEAD.fullmatch(text.strip())
    name, unit = (split[1], split[2]) if split else (text.strip(), "")
    column = find_column(name)
    if column.key is None:
        if unit:
            raise UnitProblem(f"'{column.name}' holds words and has no unit", f"write '{column.name}'")
        return column, ""
    if unit:
        find_unit(unit, QUANTITIES[column.key.kind])
    elif column.needs_unit:
        example = QUANTITIES[column.key.kind]
        hint = f"write '{column.name} ({example.trade_unit})' or '{column.name} ({example.metric_unit})'"
        raise UnitProblem(f"'{text.strip()}' does not say its unit", hint)
    return column, unit


def find_column(name: str) -> Column:
    """Find a column by its name without the unit; UnitProblem with the nearest name when there is none."""
    plain = " ".join(name.lower().replace("_", " ").replace("-", " ").split())
    before, parts = part_at_corners(plain)
    if parts and not before:
        corner, rest = parts[0]
        rest = _TEMPERATURE.sub(" ", rest).strip()
        plain = f"{corner.lower()} {_ALSO_OF_A_CORNER.get(rest, rest)}"
        if "cold" in rest.split():
            raise UnitProblem(f"'{name}': cold pressures stand in the setup, not in a run log", "leave the column out")
    plain = _ALSO.get(plain, plain)
    if plain not in COLUMNS:
        says = f"there is no column '{name}'" if name else "a column has no name"
        raise UnitProblem(says, did_you_mean(plain, [column.name for column in COLUMNS.values()]))
    return COLUMNS[plain]


_SIDES = {
    "all": frozenset(CORNERS), "four": frozenset(CORNERS), "yes": frozenset(CORNERS),
    "right side": frozenset(SIDES["right"]), "rights": frozenset(SIDES["right"]),
    "left side": frozenset(SIDES["left"]), "lefts": frozenset(SIDES["left"]), "no": frozenset(), "none": frozenset(),
}  # fmt: skip


def read_corners(text: str) -> frozenset[str]:
    """Read which tires were changed: "all", "right side", "RF RR"; UnitProblem for anything else."""
    plain = " ".join(re.split(r"[\s,+/;]+", text.strip().lower()))
    if plain in _SIDES:
        return _SIDES[plain]
    words = plain.upper().split()
    if wrong := [word for word in words if word not in CORNERS]:
        raise UnitProblem(f"'{wrong[0].lower()}' is no tire of the car", "write all, right side, left side, or RF RR")
    return frozenset(words)


def read_yes(text: str) -> bool:
    """Read yes or no; UnitProblem for anything else."""
    plain = text.strip().lower()
    if plain not in {"yes", "no", "true", "false", "y", "n", "x"}:
        raise UnitProblem(f"'{text}' is neither yes nor no", "write yes, or leave the cell empty")
    return plain in {"yes", "true", "y", "x"}


LARGEST_FILE = 2_000_000
"""Bytes; a log of 2000 laps with every column filled takes a quarter of it."""
MOST_ROWS = 3000
LONGEST_LINE = 100_000
"""Letters; the csv module takes cells of 131072."""
_NUMBER = re.compile(r"[-+]?[\d.,/ ]+")
_NOTHING_MEASURED = {"lap", "note", "new tires", "refueled", "slow laps"}


@dataclass(frozen=True)
class _Cell:
    """One written value and where it stands. unit: of its column's head, for a bare number."""

    column: Column
    raw: object
    unit: str
    place: tuple[int, int]


Cells = list[_Cell]


class _LogFile(FileBlock):
    """A run log as YAML."""

    run_log: str = Field(alias="run log", min_length=1)
    units: Literal["trade", "si"] = "trade"
    laps: list[dict[str, Any]] = Field(min_length=1)
    notes: str = ""


def read_run_log(path: Path | str) -> RunLog:
    """Read a run log. Raises BadInput with every problem of it."""
    file = find_run_log(path)
    if not is_there(file):
        hint = "a CSV or YAML file; docs/run-logs.md has an example"
        raise BadInput(Problem(str(path), 0, 0, "there is no such run log", hint))
    log, lines, system = (_read_yaml if file.suffix.lower() in {".yaml", ".yml"} else _read_csv)(file, str(path))
    problems: list[Problem] = []
    rows = [row for cells in lines if (row := _make_row(log, cells, system, problems)) is not None]
    refuse(problems)
    log = replace(log, rows=tuple(rows))
    refuse(check_rows(log))
    return log


def find_run_log(path: Path | str) -> Path:
    """Find a log by its path, or by its name among the demo's: run-practice, run-race, run-few-laps."""
    file = Path(path)
    of_demo = demo_folder() / f"{file.name.removesuffix('.csv')}.csv"
    return of_demo if not is_there(file) and file.name == str(path) and is_file(of_demo) else file


def _read_csv(file: Path, shown: str) -> tuple[RunLog, list[Cells], System]:
    """Read head and cells; the head's own problems are raised at once, since without it no cell means anything."""
    log = RunLog(file.stem, shown, (), tuple(read_text(file, shown, LARGEST_FILE).removeprefix("\ufeff").splitlines()))
    numbered = enumerate(log.text, 1)
    lines = [(line, row) for line, row in numbered if row.strip(" \t,;") and not row.lstrip().startswith("#")]
    refuse(_check_size(log, lines))
    (head_line, head), *below = lines
    mark = max(",;\t", key=head.count)
    columns = _read_heads(log, head_line, _split(head, mark))
    rows, problems = [], []
    for line, row in below:
        cells = _split(row, mark)
        if extra := [place for text, place in cells[len(columns) :] if text]:
            says = f"this line has more cells than the {len(columns)} columns"
            problems.append(log.problem(line, says, "put text with commas into quotes", extra[0]))
        filled = zip(columns, cells, strict=False)
        rows.append([_Cell(column, text, unit, (line, place)) for (column, unit), (text, place) in filled if text])
    refuse(problems)
    return log, [row for row in rows if row], "trade"


def _check_size(log: RunLog, lines: list[tuple[int, str]]) -> Iterator[Problem]:
    if not lines:
        yield log.problem(1, "the run log is empty", "its first line names the columns: lap,lap time (s)")
    elif len(lines) > MOST_ROWS:
        yield Problem(log.file, 0, 0, f"the run log has more than {MOST_ROWS} lines", "split it by runs")
    elif long := [line for line, row in lines if len(row) > LONGEST_LINE]:
        yield log.problem(long[0], "this line is too long", "one line per lap, and a short note")


def _read_heads(log: RunLog, line: int, heads: list[tuple[str, int]]) -> list[tuple[Column, str]]:
    """Read the heads of the columns, each with its unit; empty ones at the end count for nothing."""
    columns: list[tuple[Column, str]] = []
    problems = []
    while heads and not heads[-1][0]:
        heads.pop()
    for head, place in heads:
        try:
            columns.append(read_head(head))
        except UnitProblem as wrong:
            problems.append(log.problem(line, wrong.says, wrong.hint, place))
            continue
        name = columns[-1][0].name
        if name in {column.name for column, _ in columns[:-1]}:
            problems.append(log.problem(line, f"the column '{name}' is there twice", "keep one", place))
    refuse(problems)
    names = {column.name for column, _ in columns}
    if "lap" not in names:
        raise BadInput(log.problem(line, "there is no column 'lap'", "number the laps in one"))
    if names <= _NOTHING_MEASURED:
        hint = "lap time (s), RR hot pressure (psi), RR middle (F), RR wear (mm), fuel left (gal)"
        raise BadInput(log.problem(line, "nothing is measured in this log", hint))
    return columns


def _split(row: str, mark: str) -> list[tuple[str, int]]:
    """Split a line at the mark outside of quotes; each part with the column it begins at."""
    parts, start = [], 0
    for cell in next(csv.reader([row], delimiter=mark, skipinitialspace=True)):
        found = row.find(cell, start)  # not there when quotes stand inside the cell
        place = start if found < 0 else found
        start = place + len(cell)
        lead = len(cell) - len(cell.lstrip())
        parts.append((cell.strip(), place + lead + 1))
    return parts


def _read_yaml(file: Path, shown: str) -> tuple[RunLog, list[Cells], System]:
    document = read_kind("run log", file)
    model = build(_LogFile, document)
    rows: list[Cells] = [[] for _ in model.laps]
    problems = []
    for at, name, value in ((at, name, value) for at, row in enumerate(model.laps) for name, value in row.items()):
        path = ("laps", at, name)
        try:
            rows[at].append(_Cell(find_column(name), value, "", document.place(path)))
        except UnitProblem as wrong:
            problems.append(document.problem(path, wrong.says, wrong.hint, key=True))
    refuse(problems)
    return RunLog(model.run_log, shown, (), document.rows), rows, system_of(document)


def _make_row(log: RunLog, cells: Cells, system: System, problems: list[Problem]) -> LogRow | None:
    """Make one row of the log; None, and problems noted, when it cannot be read."""
    values: dict[str, Any] = {}
    before = len(problems)
    for cell in cells:
        try:
            _put_value(values, cell.column, _value(cell, system))
        except UnitProblem as wrong:
            says = f"{cell.column.name}: {wrong.says}"
            problems.append(log.problem(cell.place[0], says, wrong.hint, cell.place[1]))
    line = cells[0].place[0] if cells else 0
    if "lap" not in values and len(problems) == before:
        problems.append(log.problem(line, "this line does not say its lap", "number the laps"))
    return LogRow(line=line, **values) if len(problems) == before else None


def _value(cell: _Cell, system: System) -> Any:
    column, raw = cell.column, cell.raw
    if column.key is None:
        return {"new_tires": read_corners, "refueled": read_yes}.get(column.field, str)(str(raw))
    if isinstance(raw, str) and cell.unit and _NUMBER.fullmatch(raw):
        raw = f"{raw} {cell.unit}"
    value = read_key(column.key, raw, system).value
    if column.key.kind != "laps":
        return value
    if abs(value - round(value)) > 1e-9:
        raise UnitProblem(f"{raw} is not a whole number of laps", "count finished laps")
    return round(value)


def _put_value(values: dict[str, Any], column: Column, value: Any) -> None:
    if column.field == "note":
        return
    if column.strip:
        values.setdefault(column.field, {}).setdefault(column.corner, {})[column.strip] = value
    elif column.corner:
        values.setdefault(column.field, {})[column.corner] = value
    else:
        values[column.field] = value
