"""Which car a case file is about: an id in the file tells a folder that was moved from one that was copied.

The id is written into the file once, when the first thing is told of the car. A file that cannot be written to is known
by its place instead.
"""

from __future__ import annotations

import os
import re
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.ground.folders import (
    DEMO_CASES,
    ChangedMeanwhileError,
    is_file,
    knowledge_folder,
    own_cars,
    read_exactly,
    replace_own,
)
from assistant.ground.problems import BadInput
from assistant.notebook.book import KnownCar, Notebook

if TYPE_CHECKING:
    from assistant.car.case import Case

ID = "id"
AT = "at "
"""Begins the id of a car that is known by the place of its file."""
_ID = re.compile(r"^id: *[\"']?([\w-]{1,40})[\"']?\s*(?:#.*)?$", re.MULTILINE)
_NAME = re.compile(r"^case: *[\"']?([^\"'#\n]{1,80}?)[\"']?\s*(?:#.*)?$", re.MULTILINE)


def is_own(file: str | Path) -> bool:
    """Say whether a case is the user's own file, and not one that came with the program."""
    return bool(str(file)) and str(file) not in DEMO_CASES and knowledge_folder() not in Path(file).resolve().parents


def find_car(book: Notebook, file: str | Path) -> str:
    """Return the id of the car a case file is about, or that of its place; nothing is written."""
    if not is_own(file):
        return Path(file).stem
    path = Path(file).resolve()
    stated = id_in(path)
    return stated if stated and not is_copy(book, stated, path) else f"{AT}{path}"


def enter_car(book: Notebook, file: str | Path) -> str:
    """Let the notebook know a car, as the one used last, and its file hold an id of its own; returns the id."""
    found = find_car(book, file)
    if not is_own(file):
        return found
    path = Path(file).resolve()
    if found.startswith(AT) and write_id(path, new := f"car-{os.urandom(4).hex()}"):
        book.rename(found, new)
        found = new
    remember_file(book, found, path)
    return found


def remember_file(book: Notebook, car: str, path: Path) -> None:
    """Keep that this car was used last, and where its file is."""
    known = next((one for one in book.cars()[:1] if one.id == car), None)
    now = KnownCar(car, named_in(path), str(path))
    if known != now:
        book.remember(now)


def last_car(book: Notebook) -> KnownCar | None:
    """Return the car used last; None where there is none, or its file is gone."""
    return next((car for car in book.cars()[:1] if is_file(car.file)), None)


def all_cars(book: Notebook) -> tuple[KnownCar, ...]:
    """List the user's own cars: those the notebook knows, the one used last first, then others in his folder."""
    known = tuple(car for car in book.cars() if is_file(car.file))
    places = {Path(car.file).resolve() for car in known}
    others = (KnownCar("", name, str(file)) for name, file in own_cars().items() if file.resolve() not in places)
    return (*known, *others)


def last_case(book: Notebook) -> str:
    """Say what opens the car used last: its name, its file where it lies elsewhere, or the demo where there is none."""
    car = last_car(book)
    if car is None:
        return DEMO_CASES[0]
    return next((name for name, file in own_cars().items() if file.samefile(car.file)), car.file)


def is_copy(book: Notebook, stated: str, path: Path) -> bool:
    """Whether another file has this id by right: one that is still where the notebook knows it."""
    known = next((car.file for car in book.cars() if car.id == stated), str(path))
    return known != str(path) and is_file(known) and id_in(Path(known)) == stated and not path.samefile(known)


def id_in(path: Path) -> str:
    """Read the id in a case file; "" where there is none."""
    return _first(_ID, path)


def named_in(path: Path) -> str:
    """Read the name in a case file; that of its folder where there is none."""
    return _first(_NAME, path) or path.parent.name


def _first(pattern: re.Pattern[str], path: Path) -> str:
    """Find a line of a file without reading it as YAML, which takes longer than the first prompt may."""
    with suppress(OSError, UnicodeDecodeError):
        found = pattern.search(read_exactly(path)) if is_file(path) else None
        return found[1] if found else ""
    return ""


def write_id(path: Path, new: str) -> bool:
    """Put an id into a case file, and nothing else; False, and the file untouched, where that cannot be done."""
    from assistant.car.edit import put_values  # noqa: PLC0415 - for who writes only
    from assistant.car.files import read_case  # noqa: PLC0415 - same

    with suppress(OSError, BadInput, UnicodeDecodeError, ChangedMeanwhileError):
        seen = read_exactly(path)
        text, before = put_values(seen, {(ID,): new}), read_case(path, use_fit=False)

        def is_right(trial: Path) -> bool:
            after: Case = read_case(trial, use_fit=False)
            return after.id == new and replace(after, file=before.file, id=before.id) == before

        return text is not None and replace_own(path, seen, text, is_right)
    return False
