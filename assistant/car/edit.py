"""Puts values into the text of a file its owner wrote: where they stand, new ones beside them, comments and order kept.

ruamel.yaml writes the lines that change; every other line stays letter by letter where that reads the same. Whoever
writes the new text reads it back first.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import SequenceMatcher
from io import StringIO
from typing import TYPE_CHECKING, Any

from assistant.car.case import Setup, kind_of
from assistant.car.file_keys import OWN_LEVERS
from assistant.car.files import newer_name, system_of
from assistant.car.keys import ROW_OF, write_key, write_value
from assistant.car.write import TEMPERATURES, Path
from assistant.ground.names import ZONES, list_words
from assistant.ground.problems import BadInput
from assistant.ground.yaml_file import parse_yaml

if TYPE_CHECKING:
    from ruamel.yaml import YAML

_REMARKS = {TEMPERATURES: list_words(ZONES)}
"""What is written behind a block that is new."""
_MARK = "\ufeff"
"""A mark of the byte order some editors put first."""


def put_setup(text: str, levers: Sequence[str], setup: Setup) -> str | None:
    """Return the text of a setup file with the values these levers have in a setup; only a team's own may be new.

    None when the file does not say a value. Raises BadInput for a text that is no YAML.
    """
    document = parse_yaml(text, "the setup", spelled=newer_name)
    spelled = dict(zip(document.places, parse_yaml(text, "the setup").places, strict=True))
    system = system_of(document)
    values: dict[Path, str] = {}
    for lever in levers:
        value = setup.values[lever]
        if lever in setup.own:
            values[OWN_LEVERS, lever] = write_value(value, kind_of(lever, setup), system)
            continue
        path = ROW_OF[lever].path
        if path not in spelled:
            return None
        values[tuple(map(str, spelled[path]))] = write_key(ROW_OF[lever], value, system, guessed=lever in setup.guessed)
    return put_values(text, values)


def put_values(text: str, values: Mapping[Path, str]) -> str | None:
    """Return a text with values at their paths; what is not there yet comes first in its block, or last in the file.

    None where the file has something else than a block on the way. Raises BadInput for a text that is no YAML.
    """
    parse_yaml(text, "the file")
    mark = _MARK if text.startswith(_MARK) else ""
    end = "\r\n" if "\r\n" in text else "\n"
    plain = text.removeprefix(mark).replace("\r\n", "\n")
    plain += "" if plain.endswith("\n") else "\n"
    yaml = _writer(plain)
    data = yaml.load(plain)
    before = _dump(yaml, data)
    for path, value in reversed(
        [*values.items()]
    ):  # the last first: each new one comes before those that are new already
        if not _put(yaml, data, path, value):
            return None
    return mark + _merge(plain, before, _dump(yaml, data)).replace("\n", end)


def _writer(text: str) -> YAML:
    """Make what reads and writes a text, with the indent it has."""
    from ruamel.yaml import YAML  # noqa: PLC0415 - a tenth of a second, for who writes only

    yaml = YAML()
    yaml.preserve_quotes = True
    yaml.width = 1_000_000
    found = re.search(r"^( +)[^\s#-]", text, re.MULTILINE)
    indent = len(found[1]) if found else 2
    yaml.indent(mapping=indent, sequence=indent + 2, offset=indent)
    return yaml


def _dump(yaml: YAML, data: Any) -> str:
    stream = StringIO()
    yaml.dump(data, stream)
    return stream.getvalue()


def _put(yaml: YAML, block: Any, path: Path, value: str, *, at_end: bool = True) -> bool:
    """Put one value into a block; False where something else stands on the way."""
    name, *rest = path
    if not isinstance(block, dict):
        return False
    if rest:
        if block.get(name) is None:
            _add(block, name, type(block)(), at_end=at_end)
        return _put(yaml, block[name], tuple(rest), value, at_end=False)
    made = yaml.load(value)
    old = block.get(name)
    if made == [] or not isinstance(made, list) or not isinstance(old, list):
        _add(block, name, made, at_end=at_end)
    elif len(made) == len(old):
        for index, one in enumerate(made):
            old[index] = one
    else:
        _fit_list(old, made)
    return True


def _fit_list(old: list[Any], made: Sequence[Any]) -> None:
    """Make a list hold other entries; those that stay keep their comments."""
    for index in reversed(range(len(old))):
        if old[index] not in made:
            del old[index]
    old.extend(one for one in made if one not in old)


def _add(block: Any, name: str, value: Any, *, at_end: bool) -> None:
    """Put a value at its name, which stays where it is; a new one comes at the end or first, and no entries end it."""
    if value == []:
        block.pop(name, None)
    elif name in block:
        block[name] = value
    else:
        remark = None if block.fa.flow_style() else _REMARKS.get(name)
        block.insert(len(block) if at_end else 0, name, value, comment=remark)


def _merge(text: str, before: str, after: str) -> str:
    """Put the lines that an edit changed into the text as its owner wrote it; the whole edit where that misreads."""
    rows, old, new = (one.splitlines(keepends=True) for one in (text, before, after))
    if len(rows) != len(old):
        return after
    parts: list[str] = []
    for what, start, stop, new_start, new_stop in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        parts += rows[start:stop] if what == "equal" else new[new_start:new_stop]
    merged = "".join(parts)
    return merged if _reads_as(merged) == _reads_as(after) else after


def _reads_as(text: str) -> object:
    try:
        return parse_yaml(text, "the file").data
    except BadInput:
        return None
