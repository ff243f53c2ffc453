"""Turns a read file into a model, and pydantic's complaints into problems in plain words.

All problems of a file come at once, in line order. One mistake gives one problem: a misspelled name is not reported
again as missing, and a line at the wrong depth is not reported as both unknown and missing.
"""

from collections.abc import Callable, Iterator, Mapping
from types import UnionType
from typing import Annotated, Any, ClassVar, TypeGuard, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, BeforeValidator, ConfigDict, StringConstraints, ValidationError, WithJsonSchema
from pydantic_core import ErrorDetails

from assistant.ground.names import count_of, did_you_mean, nearest
from assistant.ground.problems import BadInput, Data, Document, KeyPath, Problem
from assistant.ground.units import UnitProblem


class FileBlock(BaseModel):
    """One block of a file. as_written: names of fields kept as text although they may look like numbers.

    Each model is built when it is first used: most are only ever used inside others.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, defer_build=True)
    as_written: ClassVar[tuple[str, ...]] = ()


def _number_to_text(value: object) -> object:
    if isinstance(value, bool):
        return value
    return str(value) if isinstance(value, int) else f"{value:.15g}" if isinstance(value, float) else value


Text = Annotated[str, StringConstraints(min_length=1, strip_whitespace=True)]
"""Words for people."""
NumberOrText = Annotated[str, BeforeValidator(_number_to_text), WithJsonSchema({"type": ["string", "number"]})]
"""A value that may be written as a bare number or as text with its unit; kept as text for `units.read`."""


def say_error(detail: ErrorDetails, name: str) -> tuple[str, str]:
    """Say what is wrong with the value called `name`, and what to do."""
    found, context = detail["input"], detail.get("ctx", {})
    if (say := _SAID_OTHERWISE.get(detail["type"])) is not None:
        return say(name, found, context)
    entries = {limit: count_of(int(most), "entry", "entries") for limit, most in context.items() if "_length" in limit}
    says, hint = _SENTENCES.get(detail["type"], _NOT_FORESEEN)
    return says.format(name=name, found=_show(found), entries=entries, **context), hint


def _show(found: object) -> str:
    """Say what was found: the value when short, else its kind."""
    if found is None:
        return "empty"
    if isinstance(found, bool):
        return str(found).lower()
    if isinstance(found, dict):
        return "a block"
    if isinstance(found, list):
        return "a list"
    if isinstance(found, int | float):
        return str(found)
    text = str(found)
    return f"'{text}'" if len(text) <= 40 else f"'{text[:37]}...'"


def _want_text(name: str, found: object, _: Mapping[str, Any]) -> tuple[str, str]:
    hint = "put quotes around it" if isinstance(found, int | float) else "write it as one text"
    return f"'{name}' must be text, not {_show(found)}", hint


def _want_one_of(name: str, found: object, context: Mapping[str, Any]) -> tuple[str, str]:
    allowed = [part.strip("' ") for part in str(context["expected"]).replace(" or ", ", ").split(", ")]
    return _no_use(name, found), did_you_mean(str(found), allowed)


def _own_words(name: str, found: object, context: Mapping[str, Any]) -> tuple[str, str]:
    error = context["error"]
    if isinstance(error, UnitProblem):
        return f"'{name}': {error.says}", error.hint
    says, _, hint = str(error).partition("; ")
    return f"'{name}' {says}" if says else f"'{name}' cannot be {_show(found)}", hint


def _bad_shape(name: str, found: object, context: Mapping[str, Any]) -> tuple[str, str]:
    joined = "hyphens or underscores" if "-]" in str(context.get("pattern", "-]")) else "underscores"
    return _no_use(name, found), f"use small letters, digits and {joined}"


def _no_use(name: str, found: object) -> str:
    return f"'{name}' cannot be a name here" if found == name else f"{_show(found)} cannot be used for '{name}'"


_SAID_OTHERWISE: Mapping[str, Callable[[str, Any, Mapping[str, Any]], tuple[str, str]]] = {
    "string_type": _want_text,
    "string_pattern_mismatch": _bad_shape,
    "literal_error": _want_one_of,
    "enum": _want_one_of,
    "value_error": _own_words,
}
_NOT_FORESEEN = ("'{name}' cannot be {found}", "see the other files of the pack for how it is written")
_WHOLE = ("'{name}' must be a whole number, not {found}", "")
_YES_OR_NO = ("'{name}' must be true or false, not {found}", "write true or false, without quotes")
_BLOCK = (
    "'{name}' must be a block of names and values, not {found}",
    "write 'name: value' lines below it, indented by two spaces",
)
_LIST_HINT = "write [one, two], or one entry a line with '- ' before it"
_SENTENCES: Mapping[str, tuple[str, str]] = {
    "string_too_short": ("'{name}' is empty", "write something, or leave the line out"),
    "string_too_long": ("'{name}' is longer than {max_length} characters", "shorten it"),
    "int_type": _WHOLE,
    "int_from_float": _WHOLE,
    "int_parsing": _WHOLE,
    "int_parsing_size": ("'{name}' must be a smaller whole number, not {found}", ""),
    "float_type": ("'{name}' must be a number, not {found}", ""),
    "float_parsing": ("'{name}' must be a number, not {found}", ""),
    "finite_number": ("'{name}' must be a number of ordinary size, not {found}", ""),
    "bool_type": _YES_OR_NO,
    "bool_parsing": _YES_OR_NO,
    "list_type": ("'{name}' must be a list, not {found}", _LIST_HINT),
    "dict_type": _BLOCK,
    "model_type": _BLOCK,
    "model_attributes_type": _BLOCK,
    "too_short": ("'{name}' needs {entries[min_length]} or more", "add what is missing"),
    "too_long": ("'{name}' may have {entries[max_length]} at most", "take some away"),
    "greater_than": ("'{name}' must be more than {gt:g}, not {found}", ""),
    "greater_than_equal": ("'{name}' must be at least {ge:g}, not {found}", ""),
    "less_than": ("'{name}' must be less than {lt:g}, not {found}", ""),
    "less_than_equal": ("'{name}' must be at most {le:g}, not {found}", ""),
}
"""Type of an error to what is wrong and what to do."""


def fields_at(model: type[BaseModel], path: KeyPath) -> tuple[str, ...]:
    """Name the fields of the block at `path` of a file, as they are written; empty when it has no fixed ones."""
    here: object = model
    for step in path:
        here = _step_into(here, step)
    return tuple(written_names(here)) if is_model(here) else ()


def written_names(model: type[BaseModel]) -> dict[str, str]:
    """Map the names as written in files to the names in code ('if' cannot be one of those)."""
    return {info.alias or name: name for name, info in model.model_fields.items()}


def _step_into(here: object, step: str | int) -> object:
    if is_model(here):
        name = written_names(here).get(str(step))
        return peel(here.model_fields[name].annotation)[0] if name is not None else None
    origin, arguments = get_origin(here), get_args(here)
    if origin is list and isinstance(step, int):
        return peel(arguments[0])[0]
    if origin is dict and isinstance(step, str):
        return peel(arguments[1])[0]
    return None


def peel(annotation: Any) -> tuple[Any, list[object]]:
    """Take away `Annotated` and `| None`; give the type, and what stood beside it."""
    beside: list[object] = []
    while get_origin(annotation) in {Annotated, Union, UnionType}:
        annotation, *more = get_args(annotation)
        beside += more
    return annotation, beside


def is_model(found: object) -> TypeGuard[type[BaseModel]]:
    """Whether it is a model, so that a block is made of it."""
    return isinstance(found, type) and issubclass(found, BaseModel)


M = TypeVar("M", bound=FileBlock)


def build(model: type[M], document: Document, context: object = None) -> M:
    """Make the model of a file. context: for its validators. Raises BadInput with every problem of the file."""
    if not isinstance(document.data, dict):
        first = next(iter(fields_at(model, ())), "name")
        says = "this file must be lines of 'name: value'"
        raise BadInput(document.problem((), says, f"it starts with '{first}: ...'"))
    try:
        made = model.model_validate(_keep_written(document.data, document, model), context=context)
    except ValidationError as error:
        raise BadInput([*_explain(model, document, error)]) from None
    if document.empty:
        raise BadInput(list(_say_empty(document, document.empty)))
    return made


def _keep_written(data: dict[str, Data], document: Document, model: type[FileBlock]) -> dict[str, Data]:
    """Put back the digits the author wrote where the model wants text, so that 2026.10 is not 2026.1."""
    kept = dict(data)
    for name in model.as_written:
        if (name,) in document.written:
            kept[name] = document.written[(name,)]
    return kept


def _say_empty(document: Document, empty: tuple[KeyPath, ...]) -> Iterator[Problem]:
    for path in empty:
        if path and isinstance(path[-1], str):
            yield document.problem(path, f"'{path[-1]}' has no value", "write one, or leave the line out", key=True)
        else:
            yield document.problem(path, "an entry of this list is empty", "write something behind the '-'")


def _explain(model: type[BaseModel], document: Document, error: ValidationError) -> Iterator[Problem]:
    empty, found = document.empty, [(_path(detail), detail) for detail in error.errors(include_url=False)]
    missing = {path for path, detail in found if detail["type"] == "missing"}
    unknown = [path for path, detail in found if detail["type"] == "extra_forbidden"]
    yield from _say_empty(document, tuple(path for path in empty if path not in unknown))
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


def _path(detail: ErrorDetails) -> KeyPath:
    return tuple(step for step in detail["loc"] if step != "[key]")


def _name_of(path: KeyPath) -> str:
    """Name a place for a message: the nearest name, with the number of the list entry."""
    if path and isinstance(path[-1], int) and len(path) > 1:
        return f"entry {path[-1] + 1} of {path[-2]}"
    return str(path[-1]) if path else "this file"


def _guess_meant(model: type[BaseModel], path: KeyPath, missing: set[KeyPath]) -> tuple[KeyPath | None, str]:
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
            if name in (*fields_at(model, (*parent, block)), *fields_at(model, (*parent, block, 0))):
                inner = next((one for one in missing if one[-1] == name and one[: len(parent)] == parent), None)
                return inner, f"'{name}' belongs inside '{block}': check the spaces before it"
    return None, did_you_mean(name, siblings)


def _say_missing(document: Document, path: KeyPath) -> Problem:
    parent, name = path[:-1], path[-1]
    named = [step for step in parent if isinstance(step, str)]
    if not parent:
        return document.problem((), f"'{name}' is missing in this file", f"add a line '{name}: ...'")
    if isinstance(parent[-1], int):
        where = f"in entry {parent[-1] + 1} of '{named[-1]}'" if named else f"in entry {parent[-1] + 1}"
        return document.problem(parent, f"'{name}' is missing {where}", f"add '{name}: ...' to it")
    return document.problem(parent, f"'{name}' is missing in '{parent[-1]}'", f"add '{name}: ...' to it", key=True)
