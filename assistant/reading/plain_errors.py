"""The sentence for each type of error pydantic reports. Its own words never reach a user."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from pydantic_core import ErrorDetails

from assistant.units import UnitProblem
from assistant.words import count_of, did_you_mean

_LIST_HINT = "write [one, two], or one entry a line with '- ' before it"
_BLOCK_HINT = "write 'name: value' lines below it, indented by two spaces"
_QUOTE_HINT = "put quotes around it"


def say_error(detail: ErrorDetails, name: str) -> tuple[str, str]:
    """Say what is wrong with the value called `name`, and what to do."""
    found, context = detail["input"], detail.get("ctx", {})
    say = _SENTENCES.get(detail["type"])
    if say is None:
        return f"'{name}' cannot be {_show(found)}", "see the other files of the pack for how it is written"
    return say(name, found, context)


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


def _want(what: str, hint: str = "") -> Callable[[str, Any, Mapping[str, Any]], tuple[str, str]]:
    return lambda name, found, _: (f"'{name}' must be {what}, not {_show(found)}", hint)


def _want_text(name: str, found: object, _: Mapping[str, Any]) -> tuple[str, str]:
    hint = _QUOTE_HINT if isinstance(found, int | float) else "write it as one text"
    return f"'{name}' must be text, not {_show(found)}", hint


def _want_one_of(name: str, found: object, context: Mapping[str, Any]) -> tuple[str, str]:
    allowed = [part.strip("' ") for part in str(context["expected"]).replace(" or ", ", ").split(", ")]
    return f"{_show(found)} cannot be used for '{name}'", did_you_mean(str(found), allowed)


def _own_words(name: str, found: object, context: Mapping[str, Any]) -> tuple[str, str]:
    error = context["error"]
    if isinstance(error, UnitProblem):
        return f"'{name}': {error.says}", error.hint
    says, _, hint = str(error).partition("; ")
    return f"'{name}' {says}" if says else f"'{name}' cannot be {_show(found)}", hint


def _too_few(name: str, _: object, context: Mapping[str, Any]) -> tuple[str, str]:
    return f"'{name}' needs {count_of(int(context['min_length']), 'entry', 'entries')} or more", "add what is missing"


def _too_many(name: str, _: object, context: Mapping[str, Any]) -> tuple[str, str]:
    return f"'{name}' may have {count_of(int(context['max_length']), 'entry', 'entries')} at most", "take some away"


def _bound(words: str, limit: str) -> Callable[[str, Any, Mapping[str, Any]], tuple[str, str]]:
    return lambda name, found, context: (f"'{name}' must be {words} {context[limit]:g}, not {_show(found)}", "")


def _too_short(name: str, _: object, __: Mapping[str, Any]) -> tuple[str, str]:
    return f"'{name}' is empty", "write something, or leave the line out"


def _too_long(name: str, _: object, context: Mapping[str, Any]) -> tuple[str, str]:
    return f"'{name}' is longer than {context['max_length']} characters", "shorten it"


def _bad_shape(name: str, found: object, context: Mapping[str, Any]) -> tuple[str, str]:
    says = f"'{name}' cannot be a name here" if found == name else f"{_show(found)} cannot be used for '{name}'"
    joined = "hyphens or underscores" if "-]" in str(context.get("pattern", "-]")) else "underscores"
    return says, f"use small letters, digits and {joined}"


_SENTENCES: Mapping[str, Callable[[str, Any, Mapping[str, Any]], tuple[str, str]]] = {
    "string_type": _want_text,
    "string_too_short": _too_short,
    "string_too_long": _too_long,
    "string_pattern_mismatch": _bad_shape,
    "int_type": _want("a whole number"),
    "int_from_float": _want("a whole number"),
    "int_parsing": _want("a whole number"),
    "int_parsing_size": _want("a smaller whole number"),
    "float_type": _want("a number"),
    "float_parsing": _want("a number"),
    "finite_number": _want("a number of ordinary size"),
    "bool_type": _want("true or false", "write true or false, without quotes"),
    "bool_parsing": _want("true or false", "write true or false, without quotes"),
    "list_type": _want("a list", _LIST_HINT),
    "dict_type": _want("a block of names and values", _BLOCK_HINT),
    "model_type": _want("a block of names and values", _BLOCK_HINT),
    "model_attributes_type": _want("a block of names and values", _BLOCK_HINT),
    "literal_error": _want_one_of,
    "enum": _want_one_of,
    "too_short": _too_few,
    "too_long": _too_many,
    "greater_than": _bound("more than", "gt"),
    "greater_than_equal": _bound("at least", "ge"),
    "less_than": _bound("less than", "lt"),
    "less_than_equal": _bound("at most", "le"),
    "value_error": _own_words,
}
