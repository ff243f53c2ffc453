"""Turns a read file into a model, and pydantic's complaints into problems in plain words.

All problems of a file come at once, in line order. One mistake gives one problem: a misspelled name is not reported
again as missing, and a line at the wrong depth is not reported as both unknown and missing.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from assistant.problems import BadInput, Problem
from assistant.reading.document import Data, Document, Path
from assistant.reading.fields import fields_at, fields_below
from assistant.reading.plain_errors import say_error
from assistant.words import did_you_mean, nearest

M = TypeVar("M", bound=BaseModel)


def build(model: type[M], document: Document) -> M:
    """Make the model of a file. Raises BadInput with every problem of the file."""
    if not isinstance(document.data, dict):
        first = next(iter(fields_at(model, ())), "name")
        says = "this file must be lines of 'name: value'"
        raise BadInput(document.problem((), says, f"it starts with '{first}: ...'"))
    try:
        made = model.model_validate(_keep_written(document.data, document, model))
    except ValidationError as error:
        raise BadInput([*_explain(model, document, error)]) from None
    if document.empty:
        raise BadInput(list(_say_empty(document, document.empty)))
    return made


def _keep_written(data: dict[str, Data], document: Document, model: type[BaseModel]) -> dict[str, Data]:
    """Put back the digits the author wrote where the model wants text, so that 2026.10 is not 2026.1."""
    kept = dict(data)
    for name in getattr(model, "as_written", ()):
        if (name,) in document.written:
            kept[name] = document.written[(name,)]
    return kept


def _say_empty(document: Document, empty: tuple[Path, ...]) -> Iterator[Problem]:
    for path in empty:
        if path and isinstance(path[-1], str):
            yield document.problem(path, f"'{path[-1]}' has no value", "write one, or leave the line out", key=True)
        else:
            yield document.problem(path, "an entry of this list is empty", "write something behind the '-'")


def _explain(model: type[BaseModel], document: Document, error: ValidationError) -> Iterator[Problem]:
    empty = document.empty
    unknown_empty = {_path(detail) for detail in error.errors(include_url=False) if detail["type"] == "extra_forbidden"}
    yield from _say_empty(document, tuple(path for path in empty if path not in unknown_empty))
    found = [(_path(detail), detail) for detail in error.errors(include_url=False)]
    missing = {path for path, detail in found if detail["type"] == "missing"}
    unknown = [path for path, detail in found if detail["type"] == "extra_forbidden"]
    meant = {path: _guess_meant(model, path, missing) for path in unknown}
    answered = {target for target, _ in meant.values() if target is not None}
    for path, detail in found:
        if path in meant and path in empty and " " in str(path[-1]):
            hint = "put quotes around the whole text"
            yield document.problem(path, "a comma in { } starts a new field, and this is none", hint, key=True)
        elif path in meant:
            yield document.problem(path, f"unknown field '{path[-1]}'", meant[path][1], key=True)
        elif detail["type"] == "missing":
            if path not in answered:
                yield _say_missing(document, path)
        elif path not in empty:
            says, hint = say_error(detail, str(_name_of(path)))
            key = detail["loc"][-1:] == ("[key]",)
            yield document.problem(path, says, hint, key=key)


def _path(detail: ErrorDetails) -> Path:
    return tuple(step for step in detail["loc"] if step != "[key]")


def _name_of(path: Path) -> str:
    """Name a place for a message: the nearest name, with the number of the list entry."""
    if path and isinstance(path[-1], int) and len(path) > 1:
        return f"entry {path[-1] + 1} of {path[-2]}"
    return str(path[-1]) if path else "this file"


def _guess_meant(model: type[BaseModel], path: Path, missing: set[Path]) -> tuple[Path | None, str]:
    """Guess what an unknown name was meant to be: the missing field it answers, if any, and the hint."""
    parent, name = path[:-1], str(path[-1])
    siblings = fields_at(model, parent)
    absent = {str(one[-1]): one for one in missing if one[:-1] == parent}
    if near := nearest(name, absent):
        return absent[near], f"did you mean '{near}'?"
    for length in range(len(parent) - 1, -1, -1):
        if name in fields_at(model, parent[:length]):
            target = (*parent[:length], name)
            around = f"beside '{parent[length]}'" if isinstance(parent[length], str) else "one step further left"
            return target, f"'{name}' belongs {around}: check the spaces before it"
    if nearest(name, siblings) is None:
        for block in siblings:
            if name in fields_below(model, parent, block):
                inner = next((one for one in missing if one[-1] == name and one[: len(parent)] == parent), None)
                return inner, f"'{name}' belongs inside '{block}': check the spaces before it"
    return None, did_you_mean(name, siblings)


def _say_missing(document: Document, path: Path) -> Problem:
    """Say which field is missing and in which block."""
    parent, name = path[:-1], path[-1]
    named = [step for step in parent if isinstance(step, str)]
    if not parent:
        return document.problem((), f"'{name}' is missing in this file", f"add a line '{name}: ...'")
    if isinstance(parent[-1], int):
        where = f"in entry {parent[-1] + 1} of '{named[-1]}'" if named else f"in entry {parent[-1] + 1}"
        return document.problem(parent, f"'{name}' is missing {where}", f"add '{name}: ...' to it")
    return document.problem(parent, f"'{name}' is missing in '{parent[-1]}'", f"add '{name}: ...' to it", key=True)
