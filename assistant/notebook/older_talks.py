"""Talks as they were saved before there was a notebook, a file of JSON lines each: taken over once, and left alone."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from assistant.ground.folders import DEMO_CASES, is_file, is_folder
from assistant.notebook.book import BEGAN, HOLDS, SAID, STAMP, TYPED, Notebook, adding
from assistant.notebook.cars import AT
from assistant.notebook.store import Statement

TALKS, LAST_CAR = "talks", "last-car.json"
FORMAT = 3
"""Number of the file format; a file with another one is left alone."""
LARGEST = 1_000_000
"""Bytes; a talk of a whole day is a hundredth of it. What is larger is no talk."""
_NAMED = "%Y-%m-%d-%H%M%S"


def open_notebook(folder: Path | None = None) -> Notebook:
    """Open the notebook of a folder, the user's own when left out; where it is new, with the talks saved before it."""
    book = Notebook(folder)
    home, path = book.store.folder, book.store.path
    if home is not None and path is not None and not is_file(path) and is_folder(home / TALKS):
        files = sorted((home / TALKS).glob("*.jsonl"))
        talks = [pair for file in files if (pair := (file, read_lines(file)))[1]]
        statements = [one for number, (file, lines) in enumerate(talks, 1) for one in taking_over(number, file, lines)]
        if statements:
            book.store.write(*statements, *last_car_of(home))
    return book


def read_lines(file: Path) -> list[Mapping[str, object]]:
    """Read the lines of one talk; a line half written when the power went is left out, and so is what is no talk."""
    lines: list[Mapping[str, object]] = []
    with suppress(OSError):
        if is_file(file) and file.stat().st_size <= LARGEST:
            for row in file.read_text(encoding="utf-8", errors="replace").splitlines():
                with suppress(ValueError, RecursionError):
                    line = json.loads(row)
                    lines += [line] if isinstance(line, dict) else []
    return lines if lines and lines[0].get("talk") == FORMAT else []


def taking_over(number: int, file: Path, lines: list[Mapping[str, object]]) -> Iterator[Statement]:
    """Say what puts a talk into the database."""
    case, began = str(lines[0].get("case", "")), str(lines[0].get("began", ""))
    car = case if case in DEMO_CASES else f"{AT}{case}"
    ended = any(line.get("ended") for line in lines)
    insert = "INSERT INTO talks (id, car, name, began, ended) VALUES (?, ?, ?, ?, ?)"
    yield insert, (number, car, file.stem, began, int(ended))
    at = moment_of(file)
    for line in lines:
        if "typed" in line:
            yield adding(car, number, at, TYPED, str(line["typed"]), None)
        if "said" in line:
            yield adding(car, number, at, SAID, str(line["said"]), None)
        if isinstance(line.get("setup"), dict):
            yield adding(car, number, at, BEGAN if "prints" in line else HOLDS, "", line)


def moment_of(file: Path) -> str:
    """Read from its name when a talk began."""
    with suppress(ValueError):
        return f"{datetime.strptime(file.stem[:17], _NAMED):{STAMP}}"  # noqa: DTZ007 - local time, as it was named
    return ""


def last_car_of(home: Path) -> Iterator[Statement]:
    """Say what keeps the car that was used last."""
    with suppress(OSError, ValueError, KeyError, TypeError):
        kept = json.loads((home / LAST_CAR).read_text(encoding="utf-8"))
        file = str(kept["case"])
        yield "INSERT OR REPLACE INTO cars VALUES (?, ?, ?, 1)", (f"{AT}{file}", str(kept["name"]), file)
