"""What is kept in the user's own folder: everything typed, on disk before it is answered, and the car used last.

A talk is plain JSON lines, flushed to the disk each time. One that was cut off is taken up by typing its lines once
more; the setup it began with is on file too.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import TextIO, TypeGuard

from assistant.ground.folders import is_file, user_folder, write_whole

LAST_CAR = "last-car.json"
CTRL_C = "\x03"
"""Stands among the typed lines where a question was left with Ctrl-C."""
FORMAT = 3
"""Number of this file format; a file with another one is left alone."""
STAMP = "%Y-%m-%d-%H%M%S"
LARGEST = 1_000_000
"""Bytes; a talk of a whole day is a hundredth of it. What is larger is no talk."""
LARGEST_VALUE = 1e12
"""SI; a stiff spring is a millionth of it."""
_NAME = re.compile(r"\d{4}-\d\d-\d\d-\d{6}-\d+")


@dataclass(frozen=True)
class CutOff:
    """A talk that did not end: its file, case and beginning, what was typed, the setup (SI) it began with.

    on_file: the setup that stood in the file when it was left. prints: a mark of each other file of the case. said: the
    last complaint.
    """

    file: Path
    case: str
    began: str
    typed: tuple[str, ...]
    setup: Mapping[str, float]
    on_file: Mapping[str, float] = field(default_factory=dict)
    prints: Mapping[str, str] = field(default_factory=dict)
    said: str = ""


class Record:
    """One talk being written down; silent where nothing can be written."""

    def __init__(self, case: str, folder: Path | None, *, moment: datetime | None = None) -> None:
        self._case = case
        self._folder = folder
        self._moment = moment or datetime.now().astimezone()
        self.name = name_after_all(self._moment, folder)
        self._stream: TextIO | None = None
        self._has_setup = False
        self._is_whole = True
        self.has_lines = False

    @property
    def is_kept(self) -> bool:
        """Whether everything typed so far is on the disk."""
        return self._is_whole

    def go_on_with(self, talk: CutOff) -> None:
        """Write on in the file of a talk that was cut off."""
        self.name, self._has_setup, self.has_lines = talk.file.stem, bool(talk.setup), True
        try:
            self._stream = talk.file.open("a", encoding="utf-8")
        except OSError:
            return
        hold(self._stream)

    def began_with(self, setup: Mapping[str, float], prints: Mapping[str, str]) -> None:
        """Write down the setup the talk began with, and a mark of each other file of the case; once."""
        if not self._has_setup:
            self._has_setup = True
            self._write({"setup": dict(setup), "prints": dict(prints)})

    def holds(self, setup: Mapping[str, float]) -> None:
        """Write down the setup that stands in the file by now."""
        self._write({"setup": dict(setup)})

    def complained(self, text: str) -> None:
        """Write down the words that are the complaint by now."""
        self._write({"said": text})

    def anew(self, case: str) -> Record:
        """End this talk and return the record of another, about this car."""
        another = Record(case, self._folder)
        self.ended()
        return another

    def typed(self, text: str) -> None:
        """Put one typed line on the disk."""
        self.has_lines = True
        self._write({"typed": text})

    def ended(self) -> None:
        """Mark the talk as over, so that nobody offers to go on with it."""
        if self._stream is not None:
            self._write({"ended": True})
            self.close()

    def close(self) -> None:
        """Let the file go without ending the talk."""
        if self._stream is not None:
            with suppress(OSError):  # what a full disk did not take is tried once more here
                self._stream.close()
            self._stream = None
            self._folder = None

    def _write(self, line: Mapping[str, object]) -> None:
        stream = self._stream or self._open()
        if stream is None:
            self._is_whole = False
            return
        try:
            stream.write(json.dumps(line) + "\n")
            stream.flush()
            os.fsync(stream.fileno())
        except OSError:  # a full disk must not end the talk
            self._is_whole = False

    def _open_new(self, folder: Path) -> TextIO:
        """Open a file of its own: another talk may have begun in the same second, under the same number elsewhere."""
        with suppress(FileExistsError):
            return (folder / f"{self.name}.jsonl").open("x", encoding="utf-8")
        self.name = name_after_all(self._moment, folder)
        return (folder / f"{self.name}.jsonl").open("x", encoding="utf-8")

    def _open(self) -> TextIO | None:
        if self._folder is None:
            return None
        try:
            self._stream = self._open_new(self._folder)
        except OSError:
            return None
        hold(self._stream)
        self._write({"talk": FORMAT, "case": self._case, "began": f"{self._moment:%d %b %H:%M}"})
        return self._stream


def name_after_all(moment: datetime, folder: Path | None) -> str:
    """Name of a talk that begins now: its time, or a second after the last talk when the clock says it was before that.

    So names stand in the order of the talks, also when a clock was set back, an hour came twice or the zone changed.
    """
    names = [file.stem for file in folder.glob("*.jsonl")] if folder is not None else []
    last = max((name[:17] for name in names if _NAME.fullmatch(name)), default="")
    now = f"{moment:{STAMP}}"
    if last >= now:
        with suppress(ValueError, OverflowError):  # a file that only looks like a talk, or the end of the calendar
            now = f"{datetime.strptime(last, STAMP) + timedelta(seconds=1):{STAMP}}"  # noqa: DTZ007 - a name, no moment
    return f"{now}-{os.getpid()}"


def talks_folder() -> Path | None:
    """Return the folder of the talks, None where nothing can be written."""
    return writable_folder("talks")


def last_cut_off(case: str, folder: Path | None) -> CutOff | None:
    """Find the latest talk about this case, if it was cut off and nobody is still in it."""
    if folder is None:
        return None
    for file in sorted(folder.glob("*.jsonl"), reverse=True):
        found = _read(file)
        if found is None or found[0].case != case:
            continue
        talk, ended = found
        return talk if talk.typed and not ended and not is_held(file) else None
    return None


def forget(talk: CutOff) -> None:
    """Mark a cut-off talk as over; its lines stay in the file."""
    with suppress(OSError), talk.file.open("a", encoding="utf-8") as stream:
        stream.write(json.dumps({"ended": True}) + "\n")


def hold(stream: TextIO) -> bool:
    """Lock the file while this program lives; the system lets go when it is killed. True when we have it."""
    try:
        import fcntl  # noqa: PLC0415 - not on Windows, where two talks at once are not told apart
    except ImportError:
        return True
    try:
        fcntl.flock(stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def is_held(file: Path) -> bool:
    """Say whether a living talk is writing this file."""
    try:
        with file.open("a", encoding="utf-8") as stream:
            return not hold(stream)
    except OSError:
        return True


def _read(file: Path) -> tuple[CutOff, bool] | None:
    """Read one talk and whether it ended; a line half written when the power went is left out."""
    lines = []
    try:
        if not is_file(file) or file.stat().st_size > LARGEST:
            return None
        text = file.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return None
    for row in text.splitlines():
        with suppress(ValueError, RecursionError):
            line = json.loads(row)
            if isinstance(line, dict):
                lines.append(line)
    if not lines or lines[0].get("talk") != FORMAT:
        return None
    typed = tuple(str(line["typed"]) for line in lines if "typed" in line)
    setups = [line["setup"] for line in lines if isinstance(line.get("setup"), dict)]
    first, last = (_numbers(setups[place]) if setups else {} for place in (0, -1))
    prints: dict[object, object] = next((line["prints"] for line in lines if isinstance(line.get("prints"), dict)), {})
    said = next((str(line["said"]) for line in reversed(lines) if "said" in line), "")
    case, began = (str(lines[0].get(key, "")) for key in ("case", "began"))
    talk = CutOff(file, case, began, typed, first, last, {str(part): str(mark) for part, mark in prints.items()}, said)
    return talk, any(line.get("ended") for line in lines)


def _numbers(setup: Mapping[object, object]) -> dict[str, float]:
    return {str(key): float(value) for key, value in setup.items() if _is_number(value)}


def _is_number(value: object) -> TypeGuard[int | float]:
    """Whether a lever may stand there: no true or false, nothing endless, no number of hundreds of digits."""
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < LARGEST_VALUE


def writable_folder(name: str = "") -> Path | None:
    """Return the user's folder, or one inside it, made when needed; None where nothing can be written."""
    folder = user_folder() / name if name else user_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if os.access(folder, os.W_OK) else None


def remember_car(name: str, case: Path) -> None:
    """Keep which car of one's own was used last; silent where nothing can be written."""
    folder = writable_folder()
    if folder is not None:
        with suppress(OSError):
            write_whole(folder / LAST_CAR, json.dumps({"name": name, "case": str(case.resolve())}) + "\n")


def last_car() -> tuple[str, Path] | None:
    """Return name and case file of the car used last; None where there is none, or its file is gone."""
    with suppress(OSError, ValueError, KeyError, TypeError):
        kept = json.loads((user_folder() / LAST_CAR).read_text(encoding="utf-8"))
        name, case = str(kept["name"]), Path(kept["case"])
        return (name, case) if is_file(case) else None
    return None
