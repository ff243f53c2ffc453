"""Say what became different between two records: data by its path, numbers but for rounding; all else by its lines."""

import difflib
import json
import math
from collections.abc import Iterator
from itertools import takewhile, zip_longest

WIDEST = 110
"""Letters shown of a line."""
BEFORE = 40
"""Letters shown of a line before its first difference."""
NONE = object()


def differences(old: str, new: str) -> list[str]:
    """Return what is different, under the heading of each command; nothing when the records say the same."""
    olds, news = parts_of(old), parts_of(new)
    rows = []
    for heading in dict.fromkeys((*olds, *news)):
        found = list(differ(olds.get(heading, ""), news.get(heading, "")))
        rows += [heading, *found] if found else []
    return rows


def parts_of(record: str) -> dict[str, str]:
    """Return what every command said, by its heading."""
    return {heading: said for heading, _, said in (part.partition("\n") for part in f"\n{record}".split("\n=== ")[1:])}


def differ(old: str, new: str) -> Iterator[str]:
    """Yield what is different for one command: its code and its data, or its lines."""
    (code, _, data), (other_code, _, other_data) = old.partition("\n"), new.partition("\n")
    if not (data.startswith("{") and other_data.startswith("{")):
        yield from differ_lines(old.splitlines(), new.splitlines())
        return
    yield from differ_lines([code], [other_code])
    leaves, others = dict(leaves_of(json.loads(data))), dict(leaves_of(json.loads(other_data)))
    for path in dict.fromkeys((*leaves, *others)):
        one, other = (f"{path[1:]}: {json.dumps(there[path])}" if path in there else None for there in (leaves, others))
        if not same(leaves.get(path, NONE), others.get(path, NONE)):
            yield from pair(one, other)


def leaves_of(data: object, path: str = "") -> Iterator[tuple[str, object]]:
    """Yield every single value of data with its path."""
    if not data or not isinstance(data, dict | list):
        yield path, data
    elif isinstance(data, dict):
        for key, value in data.items():
            yield from leaves_of(value, f"{path}.{key}")
    else:
        for place, value in enumerate(data):
            yield from leaves_of(value, f"{path}[{place}]")


def same(old: object, new: object) -> bool:
    """Whether two values are the same; numbers may differ by rounding, for a sum may be taken in another order."""
    if {type(old), type(new)} <= {int, float}:
        return math.isclose(old, new, rel_tol=1e-9, abs_tol=1e-9)
    return type(old) is type(new) and old == new


def differ_lines(old: list[str], new: list[str]) -> Iterator[str]:
    """Yield lines that went and lines that came."""
    for kind, i, j, k, m in difflib.SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if kind != "equal":
            for one, other in zip_longest(old[i:j], new[k:m]):
                yield from pair(one, other)


def pair(old: str | None, new: str | None) -> Iterator[str]:
    """Yield a line that went and the one in its place, both from shortly before where they part."""
    alike = sum(1 for _ in takewhile(lambda both: both[0] == both[1], zip(old or "", new or "", strict=False)))
    begin = max(0, alike - BEFORE) if max(len(old or ""), len(new or "")) > WIDEST else 0
    for sign, line in (("-", old), ("+", new)):
        if line is not None:
            yield f"{sign} {line[begin : begin + WIDEST]}"
