"""Writes cars, tires, tracks, rulebooks, setups and cases back as YAML in the form that `files` reads.

Values come out in the trade's units or in SI, fractions where the trade writes them, "guessed" kept.
With `explain`, each line carries what it means: that is what starter files are made of, filled from the demo and
loadable as they are.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache, partial
from itertools import groupby
from types import MappingProxyType

from assistant.car import file_keys
from assistant.car.car import Car, End, Tire, Track
from assistant.car.case import Case, Fit, LeverLimit, Measured, Rulebook, Setup
from assistant.car.files import FILE_KINDS, read_case
from assistant.car.keys import EVERY_CORNER, ROW_OF, SETUP_KEYS, Key, LeverRow, listed_name, write_key, write_value
from assistant.ground.names import CORNER_KEYS, CORNER_WORDS, ZONES, list_words
from assistant.ground.units import System, unit_of

_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9 _.,'()/%+-]*")
_WORDS_OF_YAML = {"true", "false", "null", "yes", "no", "on", "off", "y", "n"}
_COMMENT_AT = 38
_MOST_IN_A_LINE = 6
MEASURED, TEMPERATURES = "measured", "temperatures"
Path = tuple[str, ...]
WrittenValue = str | Mapping[str, str]
Row = tuple[Key, tuple[str, ...], WrittenValue]


def write_files(case: Case, system: System = "trade", *, explain: bool = False) -> dict[str, str]:
    """Write the files a case is made of, by their kind."""
    return {
        "car": write_car(case.car, system, explain=explain),
        "tire": write_tire(case.tire, system, explain=explain),
        "track": write_track(case.track, system, explain=explain),
        "rulebook": write_rulebook(case.rulebook, system, explain=explain),
        "setup": write_setup(case.setup, case.car.name, system, explain=explain),
    }


def write_car(car: Car, system: System = "trade", *, explain: bool = False) -> str:
    """Write a car file."""
    values = vars(car) | {"fuel_on_scales": car.fuel_on_scales / car.fuel_density}
    rows = [*_rows(file_keys.CAR_KEYS, values, car.guessed, system)]
    curve = {
        write_value(speed, "rpm", system): write_value(power, "power", system)
        for speed, power in zip(car.engine.rpm, car.engine.power, strict=True)
    }
    rows += [(file_keys.POWER, file_keys.POWER.path, curve)]
    rows += [(file_keys.GEAR, file_keys.GEAR.path, _listed(car.engine.gears, "ratio", system))]
    rows += _rows(file_keys.ENGINE_KEYS, vars(car.engine), car.guessed, system)
    return _file("car", car.name, system, rows, explain=explain)


def write_tire(tire: Tire, system: System = "trade", *, explain: bool = False) -> str:
    """Write a tire file."""
    return _file(
        "tire", tire.name, system, _rows(file_keys.TIRE_KEYS, vars(tire), tire.guessed, system), explain=explain
    )


def write_track(track: Track, system: System = "trade", *, explain: bool = False) -> str:
    """Write a track file."""
    text = _file(
        "track", track.name, system, _rows(file_keys.TRACK_KEYS, vars(track), track.guessed, system), explain=explain
    )
    lines = [
        line for at, end in enumerate(track.ends) for line in _end(end, track, system, explain=explain and at == 0)
    ]
    return text + "\n".join(["ends:", *lines, ""])


def write_rulebook(rulebook: Rulebook, system: System = "trade", *, explain: bool = False) -> str:
    """Write a rulebook file; limits that are the same at every corner are written once."""
    limited = [row for row in SETUP_KEYS if row.field in rulebook.limits]
    shared = [row for row in limited if _is_alike(row, rulebook)]
    once = {row.word: row for row in reversed(shared)}
    rows: list[Row] = [
        (row, (EVERY_CORNER, row.word), _limit(row, rulebook.limits[row.field], system))
        for row in shared
        if once[row.word] is row
    ]
    rows += [(row, row.path, _limit(row, rulebook.limits[row.field], system)) for row in limited if row not in shared]
    return _file("rulebook", rulebook.name, system, rows, explain=explain)


def _is_alike(row: LeverRow, rulebook: Rulebook) -> bool:
    if row.place not in CORNER_WORDS.values():
        return False
    limits = [rulebook.limits.get(one.field) for one in SETUP_KEYS if one.word == row.word]
    return len(limits) == len(CORNER_WORDS) and all(limit == limits[0] for limit in limits)


def write_setup(setup: Setup, car_name: str = "", system: System = "trade", *, explain: bool = False) -> str:
    """Write a setup file, by corner of the car; a corner in one line unless each value is explained."""
    rows = [*_rows(SETUP_KEYS, setup.values, setup.guessed, system)]
    if not explain:
        rows = [*_in_a_line(rows)]
    text = _file("setup", setup.name, system, rows, {"car": car_name} if car_name else {}, explain=explain)
    own = {lever: write_value(setup.values[lever], one.kind, system) for lever, one in setup.own.items()}
    stated = {**setup.stated_own, **own}
    return text + "".join(
        [f"{file_keys.OWN_LEVERS}:\n", *(f"  {name}: {one}\n" for name, one in stated.items())] if stated else []
    )


def _in_a_line(rows: Iterable[Row]) -> Iterator[Row]:
    for (place, at_corner), group in groupby(rows, key=lambda row: (row[1][0], row[1][0] in CORNER_WORDS.values())):
        if at_corner:
            found = [*group]
            yield found[0][0], (place,), {path[-1]: str(value) for _, path, value in found}
        else:
            yield from group


def write_case(case: Case, system: System = "trade") -> str:
    """Write a case file; the files it names lie beside it, each called by its kind."""
    lines = [f"case: {quote(case.name)}", f"units: {system}"]
    lines += [f"{kind}: {kind}" for kind in file_keys.REFERENCES]
    lines.append(f"run: {write_value(case.run_laps, file_keys.RUN_KEY.kind, system)}")
    if case.complaint:
        lines.append(f"driver says: {quote(case.complaint)}")
    if case.answers:
        lines += ["answers:", *(f"  {quote(question)}: {quote(said)}" for question, said in case.answers.items())]
    lines += _measured_lines(case.measured, case.car.fuel_density, system)
    lines.append(f"at hand: {case.at_hand}")
    missing_here = [quote(text) for text in write_not_here(case.rulebook, system)]
    lines += [f"{file_keys.NOT_HERE}: [{', '.join(missing_here)}]"] if missing_here else []
    lines += [f"fit: {quote(case.fit.name)}"] if case.fit is not None else []
    return "\n".join([*lines, ""])


def write_not_here(rulebook: Rulebook, system: System = "trade") -> list[str]:
    """Write what this car has not, each as `read_not_here` reads it; what is only for tonight is left out."""
    kept = [one for one in rulebook.not_here if not one.tonight]
    values = ["" if one.value is None else f" {write_key(ROW_OF[one.lever], one.value, system)}" for one in kept]
    return [f"{listed_name(one.lever)}{value}" for one, value in zip(kept, values, strict=True)]


def write_fit(fit: Fit, system: System = "trade", remarks: Mapping[str, str] | None = None) -> str:
    """Write a fit file. remarks: field to what stands behind its value as a comment."""
    rows = [
        *_rows(file_keys.FIT_KEYS, fit.values, (), system),
        *((replace(one, field=""), path, text) for one, path, text in _rows(file_keys.LEFT_KEYS, fit.left, (), system)),
        *_by_tire(file_keys.LEFT_KEYS, fit.left, system),
        *_by_tire(file_keys.BESIDE_KEYS, fit.beside, system),
    ]
    return _file("fit", fit.name, system, rows, {"tire": fit.tire, "log": fit.log}, remarks=remarks or {})


def _by_tire(keys: Iterable[Key], values: Mapping[str, float], system: System) -> Iterator[Row]:
    for key in keys:
        each = {corner: values.get(f"{key.field} {corner.upper()}") for corner in key.members}
        yield key, key.path, {one: write_key(key, value, system) for one, value in each.items() if value is not None}


def quote(text: str) -> str:
    """Write a text so that YAML reads it back as the same text."""
    plain = _PLAIN.fullmatch(text) and text == text.strip() and text.casefold() not in _WORDS_OF_YAML
    return text if plain else json.dumps(text, ensure_ascii=False)


def _rows(keys: Iterable[Key], values: Mapping[str, object], guessed: Iterable[str], system: System) -> Iterable[Row]:
    marked = set(guessed)
    for one in keys:
        value = values.get(one.field)
        if value is None:
            if one.unknown:
                yield one, one.path, ""
            continue
        write = partial(write_key, one, system=system, guessed=one.field in marked)
        if one.members:
            assert isinstance(value, tuple), "several members are kept in a tuple"  # noqa: S101
            written = (write(part / one.scale) for part in value)
            yield one, one.path, dict(zip(one.members, written, strict=True))
        else:
            assert isinstance(value, float | int), "a single value is a number"  # noqa: S101
            yield one, one.path, write(value / one.scale)


def _file(
    kind: str,
    name: str,
    system: System,
    rows: Iterable[Row],
    more: Mapping[str, str] | None = None,
    *,
    explain: bool = False,
    remarks: Mapping[str, str] = MappingProxyType({}),
) -> str:
    """Write a file. more: lines of its head. explain: say behind each value what it means, else remarks by field."""
    lines = [f"{kind}: {quote(name)}", *(f"{key}: {quote(text)}" for key, text in (more or {}).items())]
    lines.append(f"units: {system}")
    open_blocks: tuple[str, ...] = ()
    for one, path, value in rows:
        if not value and not explain:
            continue
        for depth, block in enumerate(path[:-1]):
            if path[: depth + 1] != open_blocks[: depth + 1]:
                lines.append("  " * depth + block + ":")
        open_blocks = path[:-1]
        asleep = "" if value else "# "  # a value nobody knows is shown in a starter, without a number
        head = "  " * (len(path) - 1) + asleep + path[-1]
        lines += _value_lines(head, value, _meaning(one) if explain else remarks.get(one.field, ""))
    return "\n".join([*lines, ""])


def _value_lines(head: str, value: WrittenValue, meaning: str) -> list[str]:
    if not isinstance(value, str) and len(value) > _MOST_IN_A_LINE:
        indent = " " * (len(head) - len(head.lstrip()) + 2)
        return [_comment(head + ":", meaning), *(f"{indent}{name}: {part}" for name, part in value.items())]
    text = value if isinstance(value, str) else "{" + ", ".join(f"{name}: {part}" for name, part in value.items()) + "}"
    line = f"{head}: {text}"
    if meaning and len(line) > _COMMENT_AT - 2:
        indent = " " * (len(head) - len(head.lstrip()))
        return [f"{indent}# {meaning}", line]
    return [_comment(line, meaning)]


def _comment(line: str, meaning: str) -> str:
    return f"{line:<{_COMMENT_AT}}# {meaning}" if meaning else line


def _meaning(one: Key) -> str:
    return f"{one.meaning} {one.low} to {one.high}." + ("" if one.needed else " May be left out.")


def _listed(values: Iterable[float], kind: str, system: System) -> str:
    return f"[{', '.join(write_value(value, kind, system) for value in values)}]"


def _limit(one: Key, limit: LeverLimit, system: System) -> dict[str, str]:
    write: Callable[[float], str] = partial(write_value, kind=one.kind, system=system)
    if limit.parts:
        return {"parts": _listed(limit.parts, one.kind, system), "when": limit.when}
    return {"from": write(limit.low), "to": write(limit.high), "step": write(limit.step), "when": limit.when}


def _end(end: End, track: Track, system: System, *, explain: bool) -> list[str]:
    rows = [f"  - end: {quote(end.id)}"]
    for one, path, value in _rows(file_keys.END_KEYS, vars(end), track.guessed, system):
        rows += _value_lines("    " + path[-1], value, _meaning(one) if explain else "")
    return rows


def measured_values(measured: Measured, fuel_density: float, system: System = "trade") -> dict[Path, str]:
    """Write what was read, each value with its unit, by its path in a case file."""
    values: dict[Path, str] = {}
    if measured.laps is not None:
        values[MEASURED, "laps"] = write_value(measured.laps, file_keys.LAPS_KEY.kind, system)
    for corner, zones in measured.temperatures.items():
        values[MEASURED, TEMPERATURES, corner.lower()] = _listed(zones, file_keys.TREAD_KEY.kind, system)
    for one in file_keys.MEASURED_KEYS:
        value, place = getattr(measured, one.field, None), (MEASURED, one.path[-1])
        if one.members:
            values |= {(*place, corner.lower()): write_key(one, part, system) for corner, part in (value or {}).items()}
        elif value is not None:
            values[place] = write_key(one, value / (fuel_density if one.field == "fuel_used" else 1.0), system)
    if measured.lap_times:
        values[MEASURED, "lap times"] = _listed(measured.lap_times, file_keys.LAP_TIME_KEY.kind, system)
    return values


def _measured_lines(measured: Measured, fuel_density: float, system: System) -> list[str]:
    values = measured_values(measured, fuel_density, system)
    lines = [f"{MEASURED}:"] if values else []
    for name in dict.fromkeys(path[1] for path in values):
        place = (MEASURED, name)
        corners = {corner: values[*place, corner] for corner in CORNER_KEYS if (*place, corner) in values}
        if name == TEMPERATURES:
            lines.append(f"  {name}:  # {list_words(ZONES)}, {unit_of(file_keys.TREAD_KEY.kind, system)}")
            lines += [f"    {corner}: {zones}" for corner, zones in corners.items()]
        else:
            lines += _value_lines(f"  {name}", corners or values[place], "")
    return lines


_HEADS: Mapping[str, str] = MappingProxyType(
    {
        "car": "A car: what is bolted together and rarely changed. The numbers are those of the invented demo car.",
        "tire": "A tire, the same law at all four corners. The numbers are those of the invented demo tire.",
        "track": "A track. One end alone stands for two alike. The numbers are those of the invented demo track.",
        "rulebook": "What the rules allow and the parts at hand; the soonest time is pit stop, between runs or shop.\n"
        "# A lever that is not listed cannot be changed. Give 'from', 'to' and 'step', or 'parts'.",
        "setup": "Today's setup, by corner of the car. Instead of nose, left and cross weight each corner may hold\n"
        "# what its scale reads: weight: 804 lb at the left front, 660 lb, 820 lb and 616 lb at the others.",
        "case": "A case: one situation, and the files it is made of (names of files beside this one, or of the demo).",
    }
)
_FILES = {"car": "car", "tire": "tire", "track": "track", "rulebook": "rulebook", "setup": "setup-demo"}
_SAMPLES = {
    "hot_pressure": "{lf: 21 psi, rf: 32 psi, lr: 21 psi, rr: 30 psi}",
    "cold_pressure": "{lf: 16 psi, rf: 24 psi, lr: 16 psi, rr: 22 psi}",
    "wear": "{lf: 1/64 in, rf: 1/32 in, lr: 1/64 in, rr: 1/32 in}",
    "fuel_used": "2 gal",
    "steering": "10 deg",
    "steering_wheel": "120 deg",
    "rpm_max": "6800 rpm",
    "hot_stagger": "2 3/8 in",
}
_ADVICE = (
    "# Replace the numbers by your own. Any unit may be written (1 3/4 in, 45 mm); 'guessed' behind a value\n"
    "# widens the spread of every answer that hangs on it: 16 in guessed.\n"
)


@lru_cache
def starter(kind: str, system: System = "trade") -> str:
    """Give the text of a starter file of a kind in FILE_KINDS; ValueError for another."""
    if kind not in FILE_KINDS:
        raise ValueError(f"no file is called '{kind}'")
    text = _case(system) if kind == "case" else write_files(read_case("demo"), system, explain=True)[kind]
    return f"# {_HEADS[kind]}\n{_ADVICE}{text}"


def _case(system: System) -> str:
    """Write a case by hand: what was measured is shown, but asleep, since nobody has measured it."""
    rows = [
        ("case: my-case", ""),
        (f"units: {system}", "What a bare number means: trade (in, lb, psi, F) or si (mm, kg, kPa, C)."),
        *((f"{kind}: {name}", "") for kind, name in _FILES.items()),
        ("run: 80 laps", file_keys.RUN_KEY.meaning),
        ("driver says: loose off late in the run", "In the driver's own words. May be left out."),
        ("at hand: between runs", "Time for changes now: pit stop, between runs or shop."),
        ("# answers:", "Answers to questions of the interview that need not be asked again."),
        ("#   where: exit", ""),
        ("# measured:", "What was read at the car; every line may be left out."),
        ("#   laps: 20", file_keys.LAPS_KEY.meaning),
        ("#   temperatures:", file_keys.TREAD_KEY.meaning),
        *((f"#     {corner}: [180 F, 185 F, 175 F]", "") for corner in CORNER_KEYS),
        *((f"#   {one.path[-1]}: {_SAMPLES[one.field]}", one.meaning) for one in file_keys.MEASURED_KEYS),
        ("#   lap times: [20.1, 20.3, 0:20.4]", file_keys.LAP_TIME_KEY.meaning),
    ]
    return "".join(f"{line:<40}  # {meaning}\n" if meaning else line + "\n" for line, meaning in rows)
