"""docs/json.md, made from the tables that write the data, so that it cannot go stale.

Write it anew with: python -m tests.generators.json_page > docs/json.md
"""

from __future__ import annotations

import sys

from assistant.commands.runner import FORMAT, QUANTITY_OF_KEY, UNIT_OF_KEY
from assistant.pages.data import KEYS, OF_LEVER, OF_LOG

_HEAD = f"""# Answers for programs

For people whose program reads Halfturn's answers; this page is made from the program itself.
Every command that computes something takes `--json` and then prints one JSON object and nothing else.

- `"format": {FORMAT}` is the edition of this contract. A key that goes, or comes to mean something else, makes it the
  next; new keys do not.
- `"units"` names the unit of every key below that occurs in the answer. A record with `unit` beside a number has that
  one.
- Numbers are in the units asked for by `--units`, those of the trade when left out. What is not known is `null`, never
  invented.
- Balance is in percent of grip, + tight. In a cell of a complaint `balance` is the word: loose, tight or fine.
- A value that is believed is `{{"value", "low", "high", "said"}}`: eight plausible cars of ten lie between
  low and high; `said` is what the driver said.
- Texts are for people; no program should read them.
"""


def json_page() -> str:
    """Return the whole page."""
    units = [f"| `{key}` | {unit} |" for key, unit in UNIT_OF_KEY.items()]
    units += [f"| `{key}` | {quantity}, in the system's unit |" for key, quantity in QUANTITY_OF_KEY.items()]
    records = [f"| {name} | {_keys(written)} |" for name, written in KEYS.items()]
    heads = ["## Keys of each record\n", "| record | keys, with the quantity where one has a unit |", "| --- | --- |"]
    parts = [_HEAD, "## Units of keys\n", "| key | unit |", "| --- | --- |", *units, "", *heads, *records, ""]
    return "\n".join(parts)


def _keys(written: str) -> str:
    return " ".join(f"`{_key(item)}`" for item in written.split())


def _key(item: str) -> str:
    """Leave out which field a key is read from, and a quantity whose unit stands beside: "speed (speed)"."""
    name, _, quantity = item.partition("=")[0].partition(":")
    return f"{name} ({quantity})" if quantity not in {"", OF_LEVER, OF_LOG} else name


if __name__ == "__main__":
    sys.stdout.write(json_page())
