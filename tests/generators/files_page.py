"""Makes docs/files.md: every key of every file with its unit, range and meaning, from the tables that read them.

`python -m tests.generators.files_page` writes the page; a test fails when it is stale.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path

from assistant.car.case import CAR_NUMBERS, OF_THE_CAR
from assistant.car.file_keys import (
    CAR_KEYS,
    END_KEYS,
    ENGINE_KEYS,
    GEAR,
    LAP_TIME_KEY,
    LAPS_KEY,
    MEASURED_KEYS,
    POWER,
    RUN_KEY,
    TIRE_KEYS,
    TRACK_KEYS,
    TREAD_KEY,
)
from assistant.car.keys import CORNER_WEIGHT_KEYS, SETUP_KEYS, Key
from assistant.ground.units import System, unit_of

PAGE = Path(__file__).resolve().parents[2] / "docs" / "files.md"
_HEAD = """# The files of a car

Made by `python -m tests.generators.files_page` from the tables that read the files; do not edit by hand.

Every file is YAML, one thing per file, and its first line says what it is: `car: name`, `tire: name`, `track: name`,
`rulebook: name`, `setup: name` or `case: name`.
`halfturn new tire` (or track, rulebook, setup; `new car --starter`) gives a commented starter that loads as it is.

- A value is text with its unit (`225 lb/in`, `1 3/4 in`, `45 mm`) or a bare number in the file's unit system.
  `units: trade` (as when left out) reads bare numbers in the trade unit of the table, `units: si` in the metric one.
- `guessed` behind a value (`16 in guessed`) widens the spread of every answer that hangs on it.
  A key that may be left out counts as guessed when it is.
- The range is what is physically possible; a value outside is refused, since it is a slip of the unit or of a digit.
  What is legal stands in the rulebook, and a setup outside of it is read and said to be so.
- `lf, rf, lr, rr` are the corners, left and right as the driver sees them.
- `notes:` takes any text, in every file.
"""
_CASE = """
## Case file

| key | unit: trade, SI | possible | meaning |
|---|---|---|---|
| `car`, `tire`, `track`, `rulebook`, `setup` | | | Names of files: beside it, in your own folder, or of the demo. |
| `driver says` | | | The complaint in the driver's own words. May be left out. |
| `answers` | | | Answers to questions of the interview, `question: answer`. May be left out. |
| `at hand` | | | Time for changes: `pit stop`, `between runs` or `shop`. May be left out: `shop`. |
| `not here` | | | Levers this car has not, or parts of them: `[track bar, RR spring 225 lb/in]`. May be left out. |
| `id` | | | Tells this car from every other in the notebook. The program writes it, once. |
| `fit` | | | File of what a run log taught (see [run-logs.md](run-logs.md)). May be left out. |
"""
_SETUP = """
## Setup file

The car corner by corner, then its front, its rear and its middle; a corner may stand in one line:
`left front: {spring: 350 lb/in, compression: 4 clicks, rebound: 6 clicks, air: 16 psi, camber: 2 1/2 deg}`.
`car` names the car the setup is for, and may be left out.

"""
_RULEBOOK = """
## Rulebook file

The same places and keys as the setup file, without the corner weights. What holds at all four corners may stand once:
`every corner: {compression: ..., rebound: ...}`.
Each limit is a range with its smallest step, `{from: 46 %, to: 58 %, step: 0.25 %, when: between runs}`, or the list of
parts at hand, `{parts: [200 lb/in, 225 lb/in], when: shop}`.
`when` is the soonest the change can be made: `pit stop`, `between runs` or `shop` (as when left out).
A lever that is not listed cannot be changed. What this one car has not, whatever the rules allow, stands in its case
file under `not here`.
"""


_OWN = """
### Levers of your own

A lever that a pack of your own brings (see [write-rules.md](write-rules.md)) stands where its own file says (`now`); a
setup file may say where it stands on this car, in the unit of the lever, under its id:

```
own levers:
  rear_packers: 1
```

Without a pack that has levers of its own this block is passed over; a name none of them has, a value outside the
lever's range or in another unit is refused.
Such a lever may move these numbers of the car file (`model: car.cg_height`), each counted from what the file says with
the lever where its own file has it (`now`):

"""


def own_numbers() -> str:
    """List the numbers of the car file a lever of one's own may move, with the key each has there."""
    keys = {one.field: one for one in CAR_KEYS}
    rows = ["| number | in the car file | unit: trade, SI |", "|---|---|---|"]
    for name in CAR_NUMBERS:
        field = name.removeprefix(OF_THE_CAR)
        one = keys.get(field) or keys[field.rpartition("_")[0]]
        member = "" if one.field == field else f": {field.rpartition('_')[2]}"
        rows.append(f"| `{name}` | `{one.words}{member}` | {_units(one)} |")
    return "\n".join([*rows, ""])


def page() -> str:
    """Write the whole page."""
    corner_note = "\nInstead of `nose weight`, `left weight` and `cross weight` each corner may hold its scale's:\n\n"
    parts = [
        _HEAD,
        "\n## Car file\n\n" + table((*CAR_KEYS, POWER, GEAR, *ENGINE_KEYS)),
        "\n## Tire file\n\n" + table(TIRE_KEYS),
        "\n## Track file\n\n" + table(TRACK_KEYS),
        "\n`ends` is a list of one to eight ends, each with a name (`end: turns 1-2`, may be left out) and:\n\n",
        table(END_KEYS),
        "\nOne end alone stands for two alike.\n",
        _SETUP + table(SETUP_KEYS),
        corner_note + table(CORNER_WEIGHT_KEYS),
        _OWN + own_numbers(),
        _RULEBOOK,
        _CASE + rows((RUN_KEY,)),
        "\nThe block `measured` holds what was read at the car; every line may be left out:\n\n",
        table((LAPS_KEY, TREAD_KEY, *MEASURED_KEYS, LAP_TIME_KEY)),
    ]
    return "".join(parts)


def table(keys: Iterable[Key]) -> str:
    """Write a table of keys."""
    return "| key | unit: trade, SI | possible | meaning |\n|---|---|---|---|\n" + rows(keys)


def rows(keys: Iterable[Key]) -> str:
    """Write the rows of keys."""
    return "".join(_row(one) for one in keys)


def _row(one: Key) -> str:
    name = ": ".join(one.path) + (": {" + ", ".join(one.members) + "}" if one.members else "")
    left_out = f" May be left out: {one.default}." if one.default else " May be left out." if one.unknown else ""
    sided = " Left is +." if one.sided else ""
    return f"| `{name}` | {_units(one)} | {one.low} to {one.high} | {one.meaning}{sided}{left_out} |\n"


def _units(one: Key) -> str:
    systems: tuple[System, ...] = ("trade", "si")
    names = [unit_of(one.kind, system) + (f" per {unit_of(one.per, system)}" if one.per else "") for system in systems]
    return names[0] if names[0] == names[1] else ", ".join(names)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    sys.stdout.write(f"wrote {PAGE}\n")
