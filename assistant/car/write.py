"""Writes cars, tires, tracks, rulebooks, setups and cases back as YAML in the form that `files` reads.

Values come out in the trade's units or in SI, fractions where the trade writes them, "guessed" kept.
With `explain`, each line carries what it means: that is what starter files are made of.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields
from functools import partial

from assistant.car.car import CORNERS, Car, End, Tire, Track
from assistant.car.case import Case, Measured
from assistant.car.file_keys import (
    CAR_KEYS,
    END_KEYS,
    ENGINE_KEYS,
    GEAR,
    LAP_TIME_KEY,
    MEASURED_KEYS,
    POWER,
    TIRE_KEYS,
    TRACK_KEYS,
    TREAD_KEY,
)
from assistant.car.file_models import LAPS_KEY, OWN_LEVERS, REFERENCES, RUN_KEY
from assistant.car.keys import Key, write_key, write_value
from assistant.car.setup import Limit, Rulebook, Setup
from assistant.car.setup_keys import SETUP_KEYS, rule_path
from assistant.ground.units import System, unit_of

_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9 _.,'()/%+-]*")
_WORDS_OF_YAML = {"true", "false", "null", "yes", "no", "on", "off", "y", "n"}
_COMMENT_AT = 38
Value = str | Mapping[str, str]


def write_car(car: Car, system: System = "trade", *, explain: bool = False) -> str:
    """Write a car file."""
    values = {one.name: getattr(car, one.name) for one in fields(car)}
    values["fuel_on_scales"] = car.fuel_on_scales / car.fuel_density
    rows = [*_rows(CAR_KEYS, values, car.guessed, system)]
    engine = {one.name: getattr(car.engine, one.name) for one in fields(car.engine)}
    curve = {
        write_value(speed, "rpm", system): write_value(power, "power", system)
        for speed, power in zip(car.engine.rpm, car.engine.power, strict=True)
    }
    rows += [(POWER, POWER.path, curve)]
    rows += [(GEAR, GEAR.path, _listed(car.engine.gears, "ratio", system))]
    rows += _rows(ENGINE_KEYS, engine, car.guessed, system)
    return _file("car", car.name, system, rows, explain=explain)


def write_tire(tire: Tire, system: System = "trade", *, explain: bool = False) -> str:
    """Write a tire file."""
    values = {one.name: getattr(tire, one.name) for one in fields(tire)}
    return _file("tire", tire.name, system, [*_rows(TIRE_KEYS, values, tire.guessed, system)], explain=explain)


def write_track(track: Track, system: System = "trade", *, explain: bool = False) -> str:
    """Write a track file."""
    values = {one.name: getattr(track, one.name) for one in fields(track)}
    text = _file("track", track.name, system, [*_rows(TRACK_KEYS, values, track.guessed, system)], explain=explain)
    lines = [
        line for at, end in enumerate(track.ends) for line in _end(end, track, system, explain=explain and at == 0)
    ]
    return text + "\n".join(["ends:", *lines, ""])


def write_rulebook(rulebook: Rulebook, system: System = "trade", *, explain: bool = False) -> str:
    """Write a rulebook file; the limit of the shocks is that of the left front."""
    rows: list[tuple[Key, tuple[str, ...], Value]] = []
    done = set()
    for one in SETUP_KEYS:
        limit = rulebook.limits.get(one.field)
        if limit is not None and rule_path(one) not in done:
            done.add(rule_path(one))
            rows.append((one, rule_path(one), _limit(one, limit, system)))
    return _file("rulebook", rulebook.name, system, rows, explain=explain)


def write_setup(setup: Setup, car_name: str = "", system: System = "trade", *, explain: bool = False) -> str:
    """Write a setup file, by the groups of the work at the car."""
    rows = [*_rows(SETUP_KEYS, setup.values, setup.guessed, system)]
    text = _file("setup", setup.name, system, rows, {"car": car_name} if car_name else {}, explain=explain)
    own = {lever: write_value(setup.values[lever], one.kind, system) for lever, one in setup.own.items()}
    stated = {**setup.stated_own, **own}
    return text + "".join(
        [f"{OWN_LEVERS}:\n", *(f"  {name}: {one}\n" for name, one in stated.items())] if stated else []
    )


def write_case(case: Case, refer: Mapping[str, str], system: System = "trade") -> str:
    """Write a case file. refer: file kind (car, tire, track, rulebook, setup) to the name it is found by."""
    missing = [kind for kind in REFERENCES if kind not in refer]
    if missing:
        raise ValueError(f"a case must say where to find its {missing[0]}")
    lines = [f"case: {quote(case.name)}", f"units: {system}"]
    lines += [f"{kind}: {quote(refer[kind])}" for kind in REFERENCES]
    lines.append(f"run: {write_value(case.run_laps, RUN_KEY.kind, system)}")
    if case.complaint:
        lines.append(f"driver says: {quote(case.complaint)}")
    if case.answers:
        lines += ["answers:", *(f"  {quote(question)}: {quote(said)}" for question, said in case.answers.items())]
    lines += _measured(case.measured, case.car.fuel_density, system)
    lines.append(f"at hand: {case.at_hand}")
    lines += [f"fit: {quote(case.fit.name)}"] if case.fit is not None else []
    return "\n".join([*lines, ""])


def quote(text: str) -> str:
    """Write a text so that YAML reads it back as the same text."""
    plain = _PLAIN.fullmatch(text) and text == text.strip() and text.casefold() not in _WORDS_OF_YAML
    return text if plain else json.dumps(text, ensure_ascii=False)


def _rows(
    keys: Iterable[Key], values: Mapping[str, object], guessed: Iterable[str], system: System
) -> Iterable[tuple[Key, tuple[str, ...], Value]]:
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
    rows: Iterable[tuple[Key, tuple[str, ...], Value]],
    more: Mapping[str, str] | None = None,
    *,
    explain: bool,
) -> str:
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
        lines += _value_lines(head, value, _meaning(one) if explain else "")
    return "\n".join([*lines, ""])


def _value_lines(head: str, value: Value, meaning: str) -> list[str]:
    if not isinstance(value, str) and len(value) > 4:
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
    return "[" + ", ".join(write_value(value, kind, system) for value in values) + "]"


def _limit(one: Key, limit: Limit, system: System) -> dict[str, str]:
    write: Callable[[float], str] = partial(write_value, kind=one.kind, system=system)
    if limit.parts:
        return {"parts": _listed(limit.parts, one.kind, system), "when": limit.when}
    return {"from": write(limit.low), "to": write(limit.high), "step": write(limit.step), "when": limit.when}


def _end(end: End, track: Track, system: System, *, explain: bool) -> list[str]:
    values = {one.name: getattr(end, one.name) for one in fields(end)}
    rows = [f"  - end: {quote(end.id)}"]
    for one, path, value in _rows(END_KEYS, values, track.guessed, system):
        rows += _value_lines("    " + path[-1], value, _meaning(one) if explain else "")
    return rows


def _measured(measured: Measured, fuel_density: float, system: System) -> list[str]:
    if measured == Measured():
        return []
    lines = ["measured:"]
    if measured.laps is not None:
        lines.append(f"  laps: {write_value(measured.laps, LAPS_KEY.kind, system)}")
    if measured.temperatures:
        lines.append(f"  temperatures:  # inside, middle, outside, {unit_of(TREAD_KEY.kind, system)}")
        lines += [
            f"    {corner.lower()}: {_listed(measured.temperatures[corner], TREAD_KEY.kind, system)}"
            for corner in CORNERS
            if corner in measured.temperatures
        ]
    for one in MEASURED_KEYS:
        value = getattr(measured, one.field, None)
        if one.members and value:
            parts = {name.lower(): write_key(one, value[name], system) for name in CORNERS if name in value}
            lines += _value_lines("  " + one.path[-1], parts, "")
        elif not one.members and value is not None:
            lines.append(f"  {one.path[-1]}: {write_key(one, value / _density(one, fuel_density), system)}")
    if measured.lap_times:
        lines.append(f"  lap times: {_listed(measured.lap_times, LAP_TIME_KEY.kind, system)}")
    return lines


def _density(one: Key, fuel_density: float) -> float:
    return fuel_density if one.field == "fuel_used" else 1.0
