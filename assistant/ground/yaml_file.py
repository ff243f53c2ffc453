"""Reads one YAML file strictly: YAML 1.2 meaning, every place kept, nothing clever let through.

`no`, `on`, `1:32.4`, `52:48`, `2_000` and dates stay the text the author wrote; `012` is 12.
Refused with a line: a name written twice, a second document, anchors, aliases, tags, merge keys, tabs,
deep nesting, files and values too large, numbers that are not finite, invisible characters.
The values are turned into meaning elsewhere (`read_model.build`).

libyaml and PyYAML's own parser word the same mistake differently; both lead to one sentence here.
"""

from __future__ import annotations

import gc
import math
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path as FilePath
from typing import NoReturn

import yaml

from assistant.ground.names import count_of, list_words
from assistant.ground.problems import (
    UNWANTED,
    BadInput,
    Data,
    Document,
    KeyPath,
    Place,
    Problem,
    name_character,
    problem_at,
)

LARGEST_FILE = 1_000_000  # bytes; the longest file of the base pack is a hundredth of it
LONGEST_TEXT = 4_000  # characters of one value
LONGEST_NAME = 100  # characters of one name
LONGEST_NUMBER = 25  # characters; a double holds 17 digits
DEEPEST = 20  # blocks inside blocks; our files need 5
MOST_VALUES = 20_000
MOST_PROBLEMS = 20  # more would not be read

LOADER: type = yaml.CSafeLoader if yaml.__with_libyaml__ else yaml.SafeLoader
_WHOLE = re.compile(r"[-+]?[0-9]+")
_DECIMAL = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_NOT_FINITE = re.compile(r"[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN)")
_WORDS: dict[str, bool | None] = {"": None, "~": None, "null": None, "true": True, "false": False}


Spelling = Callable[[KeyPath], str]


def _as_written(path: KeyPath) -> str:
    return str(path[-1])


def read_yaml(path: FilePath | str, shown: str | None = None, *, spelled: Spelling = _as_written) -> Document:
    """Read a file. shown: its name in messages, else the path. Raises BadInput with every problem found."""
    name = str(path) if shown is None else shown
    return parse_yaml(read_text(FilePath(path), name), name, spelled=spelled)


def parse_yaml(text: str, file: str, *, loader: type = LOADER, spelled: Spelling = _as_written) -> Document:
    """Read a text as if it stood in `file`.

    loader: PyYAML's class to take events from (tests try both). spelled: how the last name of a path is spelled now.
    """
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    rows = tuple(plain.split("\n"))
    if "\t" in plain or UNWANTED.search(plain):
        raise BadInput(tuple(islice(_find_unwanted(file, rows), MOST_PROBLEMS)))
    root: Data = None
    reader = _Reader(file, rows, spelled)
    try:
        root = reader.read_file(loader(plain).get_event)
    except _TooMuch:
        pass  # the problem that stopped it is on the list
    except yaml.YAMLError as error:
        reader.problems.append(explain_parser(error, file, rows))
    if reader.problems:
        raise BadInput(reader.problems[:MOST_PROBLEMS])
    if root is None:
        raise BadInput(Problem(file, 0, 0, "the file is empty", "the first line says what kind of file it is"))
    return Document(file, root, reader.places, reader.keys, reader.written, rows, tuple(reader.empty))


@contextmanager
def pause_collector() -> Iterator[None]:
    """Keep the garbage collector away from many files' worth of data that all stays in use."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def read_text(path: FilePath, name: str, largest: int = LARGEST_FILE) -> str:
    """Read the text of a file. name: in messages. Raises BadInput for what is no file, too large or no UTF-8."""
    try:
        if not path.is_file():
            says = "this is not an ordinary file" if path.exists() else "there is no such file"
            raise BadInput(Problem(name, 0, 0, says, "check the name and the folder it stands in"))
        with path.open("rb") as stream:
            raw = stream.read(largest + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "its name cannot be used"
        raise BadInput(Problem(name, 0, 0, f"the file cannot be opened: {reason}")) from None
    if len(raw) > largest:
        raise BadInput(
            Problem(name, 0, 0, f"the file is larger than {largest // 1_000_000} MB", "split it into several files")
        )
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise BadInput(Problem(name, line, 1, "the file is not UTF-8 text", "save it as UTF-8")) from None


def _find_unwanted(file: str, rows: tuple[str, ...]) -> Iterator[Problem]:
    for line, row in enumerate(rows, start=1):
        tab = row.find("\t") + 1
        if found := UNWANTED.search(row):
            says = f"here stands {name_character(found[0])}"
            yield problem_at(file, rows, line, found.start() + 1, says, "delete it")
        elif tab and not row[:tab].strip():
            yield problem_at(file, rows, line, tab, "a tab is used to indent", "use two spaces for each step")
        elif tab:
            yield problem_at(file, rows, line, tab, "here stands a tab", "use a space")


class _TooMuch(Exception):  # noqa: N818 - never leaves this module
    """Raised to stop reading at once; the problem is already on the list."""


@dataclass
class _Reader:
    """Turns parser events into data with places; collects problems and goes on where that is safe."""

    file: str
    rows: tuple[str, ...]
    spelled: Spelling
    next_event: Callable[[], yaml.Event] = field(init=False)
    places: dict[KeyPath, Place] = field(default_factory=dict)
    keys: dict[KeyPath, Place] = field(default_factory=dict)
    written: dict[KeyPath, str] = field(default_factory=dict)
    empty: list[KeyPath] = field(default_factory=list)
    twice: dict[KeyPath, list[tuple[str, Place]]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    documents: int = 0
    depth: int = 0

    def read_file(self, next_event: Callable[[], yaml.Event]) -> Data:
        """Read the one document of the file; None when there is nothing in it."""
        self.next_event = next_event
        root: Data = None
        while not isinstance(event := self.next_event(), yaml.StreamEndEvent):
            if isinstance(event, yaml.DocumentStartEvent):
                self._begin_document(event)
            elif isinstance(event, yaml.NodeEvent):
                root = self._read_value(event, ())
        return root

    def _begin_document(self, event: yaml.DocumentStartEvent) -> None:
        self.documents += 1
        if self.documents > 1:
            self._stop(_place(event), "a second document starts here", "keep one '---' at most; make two files")
        if event.version or event.tags:
            self._add(_place(event), "a line cannot start with '%'", "leave it out")

    def _read_value(self, event: yaml.Event, path: KeyPath) -> Data:
        """Read what begins with this event, down to its end, and note its place."""
        place = _place(event)
        if len(self.places) >= MOST_VALUES:
            says = f"the file holds more than {count_of(MOST_VALUES, 'value')}"
            self._stop(place, says, "split it into several files")
        self.places[path] = place
        value: Data = None
        if isinstance(event, yaml.ScalarEvent):
            value = self._read_scalar(event, path, place)
        elif isinstance(event, yaml.AliasEvent):
            says = f"'*{event.anchor}' stands for something written elsewhere"
            if not any(problem.says == says for problem in self.problems):
                self._add(place, says, "write it out here")
        elif isinstance(event, yaml.CollectionStartEvent):
            self._refuse_marks(event, place)
            value = self._read_inside(event, path, place)
        if value is None:
            self.empty.append(path)
        return value

    def _read_inside(self, event: yaml.CollectionStartEvent, path: KeyPath, place: Place) -> Data:
        if self.depth >= DEEPEST:
            self._stop(place, f"more than {DEEPEST} blocks stand inside one another", "our files need five at most")
        self.depth += 1
        value = self._read_block(path) if isinstance(event, yaml.MappingStartEvent) else self._read_list(path)
        self.depth -= 1
        return value

    def _read_block(self, path: KeyPath) -> dict[str, Data]:
        found: dict[str, Data] = {}
        while not isinstance(event := self.next_event(), yaml.MappingEndEvent):
            name = self._read_name(event, path)
            found[name] = self._read_value(self.next_event(), (*path, name))
        self._say_twice(found, path)
        return found

    def _say_twice(self, found: dict[str, Data], path: KeyPath) -> None:
        """Say which names of a block stand in it twice; several in an entry of a list are two entries run together."""
        twice = self.twice.get(path, [])
        if len(twice) > 1 and path and isinstance(path[-1], int):
            self._say_run_together(twice, begins_anew=twice[0][0] == next(iter(found)))
            return
        for name, place in twice:
            first = self.keys[(*path, name)][0]
            self._add(place, f"'{name}' is written twice here", f"first on line {first}; keep one")

    def _say_run_together(self, twice: list[tuple[str, Place]], *, begins_anew: bool) -> None:
        place = twice[0][1]
        names = list_words(repr(name) for name, _ in twice)
        where = f"on line {place[0]}" if begins_anew else f"on line {place[0]} or a little above it"
        self._add(place, f"two entries run together: {names} stand twice in one", f"is a '-' missing {where}?")

    def _read_list(self, path: KeyPath) -> list[Data]:
        found: list[Data] = []
        while not isinstance(event := self.next_event(), yaml.SequenceEndEvent):
            found.append(self._read_value(event, (*path, len(found))))
        return found

    def _read_name(self, event: yaml.Event, path: KeyPath) -> str:
        place = _place(event)
        if not isinstance(event, yaml.ScalarEvent):
            self._stop(place, "a list or a block cannot be a name", "write 'name: value'")
        self._look_at_text(event, place)
        name = self.spelled((*path, event.value))
        path = (*path, name)
        if name == "<<":
            self._add(place, "'<<' copies one block into another", "write the lines out here")
        elif not name.strip():
            self._add(place, "a name is missing before this ':'", "write 'name: value'")
        elif len(name) > LONGEST_NAME:
            self._add(place, f"this name is longer than {LONGEST_NAME} characters", "a ':' may be at the wrong place")
        elif path in self.keys:
            self.twice.setdefault(path[:-1], []).append((name, place))
        self.keys.setdefault(path, place)
        return name

    def _read_scalar(self, event: yaml.ScalarEvent, path: KeyPath, place: Place) -> Data:
        self._look_at_text(event, place)
        text: str = event.value
        if len(text) > LONGEST_TEXT:
            self._add(place, f"this text is longer than {LONGEST_TEXT} characters", "shorten it")
            return ""
        if not event.implicit[0] or (text[:1].isalpha() and text not in _WORDS):
            return text
        value = self._type_scalar(text, place)
        if isinstance(value, int | float) and not isinstance(value, bool):
            self.written[path] = text
        return value

    def _look_at_text(self, event: yaml.ScalarEvent, place: Place) -> None:
        self._refuse_marks(event, place)
        if event.style == '"' and (unwanted := UNWANTED.search(event.value)):  # only there an escape can hide one
            self._add(place, f"this text holds {name_character(unwanted[0])}", "delete it")

    def _refuse_marks(self, event: yaml.ScalarEvent | yaml.CollectionStartEvent, place: Place) -> None:
        if event.anchor is not None:
            self._add(place, f"'&{event.anchor}' marks a place to be copied", "leave it out; write each thing out")
        if event.tag is not None:
            self._add(place, "a text cannot start with '!'", "put quotes around the whole text")

    def _type_scalar(self, text: str, place: Place) -> Data:
        """Give a bare word its YAML 1.2 meaning."""
        if text in _WORDS:
            return _WORDS[text]
        number = _WHOLE.fullmatch(text) or _DECIMAL.fullmatch(text)
        if number and len(text) > LONGEST_NUMBER:
            self._add(place, f"a number of {len(text)} characters is too long", "round it")
            return 0
        if _NOT_FINITE.fullmatch(text) or (number and not math.isfinite(float(text))):
            self._add(place, f"'{text}' is not a number one can compute with", "write a number of ordinary size")
            return 0
        if not number:
            return text
        return int(text) if _WHOLE.fullmatch(text) else float(text)

    def _add(self, place: Place, says: str, hint: str) -> None:
        self.problems.append(problem_at(self.file, self.rows, *place, says, hint))
        if len(self.problems) >= MOST_PROBLEMS:
            raise _TooMuch

    def _stop(self, place: Place, says: str, hint: str) -> NoReturn:
        self.problems.append(problem_at(self.file, self.rows, *place, says, hint))
        raise _TooMuch


def _place(event: yaml.Event) -> Place:
    mark = event.start_mark
    return (mark.line + 1, mark.column + 1) if mark else (1, 1)


_SECOND = "a second ':' on this line"
_NOT_IN_LINE = "this line does not line up with the ones above it"
_SPACES = "use the same number of spaces"
_QUOTES = "put quotes around the whole text"
_COMPLAINTS: tuple[tuple[str, str, str, bool], ...] = (
    # words of the parser, what it says to people, hint, whether the place is where the block began
    ("maximum nesting", "too many brackets stand inside one another", "our files need two at most", False),
    ("mapping values are not allowed", _SECOND, _QUOTES, False),
    ("could not find expected ':'", "a ':' is missing after this name", "write 'name: value'", True),
    ("cannot start any token", "a text cannot start with this sign", _QUOTES, False),
    ("unknown escape character", "a '\\' in this text has no meaning inside double quotes", "use single quotes", True),
    ("escape sequence", "a '\\' in this text lacks its digits", "use single quotes", True),
    ("hexdecimal number", "a '\\' in this text lacks its digits", "use single quotes", True),
    ("Unicode character escape", "a '\\' in this text names no character", "use single quotes", True),
    ("alphabetic or numeric character", "a text cannot start with '*' or '&'", _QUOTES, False),
    ("unexpected end of stream", "a quote is opened here and never closed", "close it, or leave it out", True),
    ("unexpected document separator", "a quote is opened here and never closed", "close it, or leave it out", True),
    ("',' or ']'", "a list in [ ] is not closed, or a comma is missing in it", "check what follows the '['", True),
    ("',' or '}'", "a block in { } is not closed, or a comma is missing in it", "check what follows the '{'", True),
    ("sequence entries are not allowed", "a list cannot start here", "start it on a line of its own", False),
    ("undefined tag handle", "a text cannot start with '!'", _QUOTES, True),
    ("tag", "a text cannot start with '!'", _QUOTES, True),
    ("<document start>", "this stands outside of everything above it", "line it up with the lines above", False),
    ("comment or a line break", "something stands behind the '|' or '>'", "start the text on the next line", False),
    ("comment or line break", "something stands behind the '|' or '>'", "start the text on the next line", False),
    ("chomping or indentation", "something stands behind the '|' or '>'", "start the text on the next line", False),
    ("block end", _NOT_IN_LINE, _SPACES, False),
    ("'-' indicator", _NOT_IN_LINE, _SPACES, False),
    ("expected key", _NOT_IN_LINE, _SPACES, False),
    ("invalid indentation", _NOT_IN_LINE, _SPACES, False),
    ("directive", "a line cannot start with '%'", _QUOTES, True),
    ("flow node", "something is missing or too much between these brackets", "check commas and brackets", False),
    ("node content", "something is missing or too much here", "check commas, dashes and brackets", False),
    ("", "this is not YAML that can be read", "often a quote, a bracket or a space is missing just before", False),
)


def explain_parser(error: yaml.YAMLError, file: str, rows: tuple[str, ...]) -> Problem:
    """Say a parser's error in plain words, at the most useful place."""
    marked = error if isinstance(error, yaml.MarkedYAMLError) else yaml.MarkedYAMLError()
    says, hint, at_start = next(known[1:] for known in _COMPLAINTS if known[0] in (marked.problem or ""))
    mark = (marked.context_mark if at_start else None) or marked.problem_mark or marked.context_mark
    line, column = (min(mark.line + 1, len(rows)), mark.column + 1) if mark is not None else (1, 1)
    says, hint = _look_at_row(says, hint, column, rows[line - 1])
    return problem_at(file, rows, line, column, says, hint)


def _look_at_row(says: str, hint: str, column: int, row: str) -> tuple[str, str]:
    """Say it better where the row itself shows what happened."""
    before = row[: column - 1].strip()
    if says == _SECOND and ":" not in before:
        return "this ':' does not fit here", "check the spaces before it and the line above"
    if says == _NOT_IN_LINE and before[-1:] in {'"', "'"}:
        return "something stands behind the closing quote", "put the whole text in one pair"
    if says == _NOT_IN_LINE and row[column - 1 : column] == ":":
        return "a name is missing before this ':'", "write 'name: value'"
    return says, hint
