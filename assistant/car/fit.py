"""What a file may hold, told by its first key.

What a run log taught about a case, kept in a small file of its own: read, written, put into the case, taken out.

A case uses it only when it says `fit: name`; without that line it is as before.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.car.file_keys import ENGINE_KEYS
from assistant.car.file_models import FIT_KEYS, look_up, model_of
from assistant.car.keys import write_key
from assistant.car.write import quote
from assistant.ground.problems import BadInput
from assistant.ground.read_model import build
from assistant.ground.units import System
from assistant.ground.yaml_file import Document, read_yaml

if TYPE_CHECKING:
    from assistant.car.case import Case


KINDS = ("car", "tire", "track", "rulebook", "setup", "case", "fit")


def first_key(document: Document) -> str:
    """Return the first name of a file, "" when it has none."""
    return next(iter(document.data), "") if isinstance(document.data, dict) else ""


def read_kind(kind: str, path: Path | str) -> Document:
    """Read a file and refuse one of another kind, which would give a page of unknown names."""
    document = read_yaml(path)
    first = first_key(document)
    if first != kind and first in KINDS:
        raise BadInput(document.problem((first,), f"this is a {first} file, a {kind} file is wanted", key=True))
    return document


ENGINE_FIELDS = frozenset(one.field for one in ENGINE_KEYS)


@dataclass(frozen=True)
class Fit:
    """name: as in the case's line. log: the run log it came from. tire: name of the tire it was made for.

    values: field of Tire or Engine to its SI value; only what the log determined.
    """

    name: str
    log: str
    tire: str
    values: Mapping[str, float]


def read_fit(path: Path | str) -> Fit:
    """Read a fit file. Raises BadInput with every problem of it."""
    document = read_kind("fit", path)
    data = document.data
    system: System = "si" if isinstance(data, dict) and data.get("units") == "si" else "trade"
    model = build(model_of("fit", system), document)
    values = {one.field: look_up(model, one.path) for one in FIT_KEYS}
    found = {field: reading.value for field, reading in values.items() if reading is not None}
    if not found:
        raise BadInput(document.problem((), "this fit holds no values", "halfturn calibrate writes it"))
    assert isinstance(data, dict), "checked by build"  # noqa: S101
    return Fit(str(data["fit"]), look_up(model, ("log",)), look_up(model, ("tire",)), found)


def write_fit(fit: Fit, system: System = "trade", remarks: Mapping[str, str] | None = None) -> str:
    """Write a fit file. remarks: field to what stands behind its value as a comment."""
    lines = [
        f"fit: {quote(fit.name)}",
        f"units: {system}",
        f"tire: {quote(fit.tire)}",
        f"log: {quote(fit.log)}",
    ]
    group = ""
    for one in FIT_KEYS:
        if one.field not in fit.values:
            continue
        if one.path[0] != group:
            group = one.path[0]
            lines.append(f"{group}:")
        line = f"  {one.path[-1]}: {write_key(one, fit.values[one.field], system)}"
        remark = (remarks or {}).get(one.field, "")
        lines.append(f"{line:<46}# {remark}" if remark else line)
    return "\n".join([*lines, ""])


def put_fit(case: Case, fit: Fit) -> Case:
    """Put a fit into a case: its values replace those of the tire and engine files, and are no longer guessed."""
    tire: dict[str, Any] = {field: value for field, value in fit.values.items() if field not in ENGINE_FIELDS}
    engine: dict[str, Any] = {field: value for field, value in fit.values.items() if field in ENGINE_FIELDS}
    return replace(
        case,
        tire=replace(case.tire, **tire, guessed=case.tire.guessed - set(tire)),
        car=replace(case.car, engine=replace(case.car.engine, **engine), guessed=case.car.guessed - set(engine)),
        fit=fit,
    )
