"""Puts tread temperatures into the text of a case file as its owner wrote it: values where they stand, lines added.

Comments, order and line ends stay. A text that cannot be edited so for sure is left alone; whoever writes the new one
reads it back first.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from assistant.car.car import CORNERS
from assistant.car.file_keys import TREAD_KEY
from assistant.car.keys import write_value
from assistant.ground.units import System
from assistant.ground.yaml_file import Document, KeyPath, parse_yaml

BLOCK, TREADS = "measured", "temperatures"
_ENDS = re.compile(r"(\r\n|\r|\n)")
_VALUE = re.compile(r"[^,\]#]*[^,\]#\s]")
_INDENT = 2

Treads = Mapping[str, tuple[float, float, float]]


def put_treads(text: str, treads: Treads, system: System = "trade") -> str | None:
    """Return the text of a case file with these temperatures (corner to inside, middle, outside [K]) in it.

    system: the units they are written in, each with its unit. None when the text is written so that they cannot be put
    in without taking it apart. Raises BadInput for a text that is no YAML.
    """
    document = parse_yaml(text, "the case")
    if not isinstance(document.data, dict):
        return None
    parts = _ENDS.split(text)
    rows, ends = parts[::2], [*parts[1::2], ""]
    end = ends[0] or "\n"
    stated = [corner for corner in CORNERS if corner in treads and _is_stated(document, corner)]
    if not _replace(rows, document, treads, stated, system):
        return None
    left = [corner for corner in CORNERS if corner in treads and corner not in stated]
    lines = [f"{corner.lower()}: [{', '.join(_words(treads[corner], system))}]" for corner in left]
    if lines:
        place = _place_for(document, rows)
        if place is None:
            return None
        at, head, indent = place
        depth = len(head)
        new = [" " * (indent + _INDENT * number) + word for number, word in enumerate(head)]
        new += [" " * (indent + _INDENT * depth) + line for line in lines]
        if at == len(rows) and rows[-1]:
            ends[-1] = end  # the last line of the file was left open
        at = at - 1 if at == len(rows) and not rows[-1] else at
        rows[at:at], ends[at:at] = new, [end] * len(new)
    return "".join(part for pair in zip(rows, ends, strict=True) for part in pair)


def _is_stated(document: Document, corner: str) -> bool:
    return (BLOCK, TREADS, corner.lower()) in document.keys


def _words(zones: tuple[float, float, float], system: System) -> list[str]:
    return [write_value(value, TREAD_KEY.kind, system) for value in zones]


def _replace(rows: list[str], document: Document, treads: Treads, stated: list[str], system: System) -> bool:
    """Put new values where the old ones stand, from the last to the first; False where one cannot be found."""
    paths: dict[KeyPath, str] = {
        (BLOCK, TREADS, corner.lower(), zone): word
        for corner in stated
        for zone, word in enumerate(_words(treads[corner], system))
    }
    if any(path not in document.places for path in paths):
        return False
    for path in sorted(paths, key=lambda path: document.places[path], reverse=True):
        line, column = document.places[path]
        row, at = rows[line - 1], column - 1 + _mark(rows, line)
        old = _VALUE.match(row, at)
        if old is None or old[0][0] in "\"'":
            return False
        rows[line - 1] = row[:at] + paths[path] + row[old.end() :]
    return True


def _mark(rows: list[str], line: int) -> int:
    """Letters before the first column: a mark of the byte order, which the reader does not count."""
    return int(line == 1 and rows[0].startswith("\ufeff"))


def _place_for(document: Document, rows: list[str]) -> tuple[int, list[str], int] | None:
    """Find the row new lines go before, the names that must come first there, and how far the first is indented."""
    names = [f"{BLOCK}:", f"{TREADS}:  # inside, middle, outside"]
    depth = sum(path in document.keys for path in ((BLOCK,), (BLOCK, TREADS)))
    here: KeyPath = (BLOCK, TREADS)[:depth]
    if not here:
        return len(rows), names, 0
    line, column = document.keys[here]
    inside = [place for path, place in document.keys.items() if len(path) == depth + 1 and path[:depth] == here]
    if any(place[0] == line for place in inside) or (not inside and here not in document.empty):
        return None  # in braces
    if not inside and rows[line - 1].partition("#")[0].rstrip()[-1:] != ":":
        return None  # a null in so many letters
    return line, names[depth:], min(inside)[1] - 1 if inside else column - 1 + _INDENT
