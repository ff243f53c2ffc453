"""Tire temperatures typed in a talk, kept in the case file for the next one: asked for first, and never in its way.

The user's own file is edited where the values stand, and the file as it was is laid beside it; a case that came with
the program gets a copy that holds them.
"""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.car.edit import put_treads
from assistant.car.files import read_case
from assistant.ground.folders import is_there
from assistant.ground.problems import BadInput
from assistant.pages.blocks import Block, Choices, Line
from assistant.shell.folder import writable_folder
from assistant.shell.keep import is_own, write_copy
from assistant.shell.offer import NO, YES
from assistant.shell.own_file import ChangedMeanwhileError, read_exactly, replace_own
from assistant.shell.verbs import number_in

if TYPE_CHECKING:
    from collections.abc import Mapping

    from assistant.car.case import Case
    from assistant.ground.units import System
    from assistant.shell.temps import Treads

    Zones = Mapping[str, tuple[float, float, float]]

CLOSE = 0.01
"""Kelvin; temperatures nearer than this are the same."""
ONLY_HERE = "They count in this talk only."
COUNT = "the temperatures count in this talk only"
WANTED = "Type 1 to keep them or 2 for this talk only; commands such as tires or show work here too."
NO_FOLDER = f"Not kept: your own folder cannot be written to; {COUNT}."
ENDING = ".before-temps"


class KeepTemps:
    """The question whether to keep them. `is_over` once it is answered, or when there was nothing to ask."""

    left = f"Left the question; {COUNT}."

    def __init__(self, case: Case, treads: Treads, talk: str, units: System, *, again: bool = False) -> None:
        """Take the case as it stands in the talk. again: lines are typed once more, so nothing is to be written."""
        self._case = case
        self._treads = treads
        self._talk = talk
        self._units = units
        self._again = again
        self._seen = ""
        self.is_over = False
        self.unheard = ""

    @property
    def prompt(self) -> str:
        """What can be typed."""
        return "1 to keep them, 2 for this talk only"

    @property
    def words(self) -> tuple[str, ...]:
        """What Tab may complete."""
        return ("yes", "no")

    def opening(self) -> list[Block]:
        """Ask, where there is something to ask; else say where they are, or why they cannot be kept."""
        if not is_own(self._case):
            return [Line("Keep them for the next talk, in a copy of this case?"), *_CHOICES]
        file = Path(self._case.file)
        try:
            self._seen = read_exactly(file)
            held = read_case(file, use_fit=False).measured.temperatures
        except (OSError, UnicodeDecodeError, BadInput) as error:
            return self._end(_why_not(file, error))
        if same_treads(held, self._treads):
            return self._end(f"They are in {file.name} already.")
        instead = ", in place of those it holds" if held else ""
        return [Line(f"Keep them for the next talk, in {file.name}{instead}?"), *_CHOICES]

    def explained(self) -> list[Block]:
        """Say what can be typed here."""
        return [Line(WANTED)]

    def say(self, text: str) -> list[Block]:
        """Take the answer; what is none leaves the question, and is for somebody else to hear."""
        plain = text.strip().lower()
        if plain in NO:
            return self._end(ONLY_HERE)
        if plain in YES:
            return self._end(ONLY_HERE) if self._again else self._keep()
        if not plain or plain == "back" or number_in(text) is not None:
            return self.explained()
        self.unheard = text
        return self._end(ONLY_HERE)

    def _end(self, said: str) -> list[Block]:
        self.is_over = True
        return [Line(said)]

    def _keep(self) -> list[Block]:
        if not is_own(self._case):
            return self._end(self._keep_copy())
        file = Path(self._case.file)
        try:
            return self._end(self._put_into(file))
        except ChangedMeanwhileError:
            said = Line(f"Not kept: {file.name} was changed meanwhile, and was left as it is now.")
            return [said, *self.opening()]
        except KeyboardInterrupt:
            return self._end(self._stopped(file))
        except (OSError, UnicodeDecodeError, BadInput) as error:
            return self._end(_why_not(file, error))

    def _put_into(self, file: Path) -> str:
        now = read_exactly(file)
        if now != self._seen:
            raise ChangedMeanwhileError
        before = read_case(file, use_fit=False)
        text = put_treads(now, self._treads, self._units)
        old = _free_name(file)
        if text is None or not replace_own(file, now, text, lambda trial: self._is_right(trial, before), old_as=old):
            return (
                f"Not kept: the block 'measured' of {file} is written in a way that cannot be edited without harm; put "
                "them in by hand."
            )
        return f"Kept in {file}; the file as it was is {old.name} beside it."

    def _stopped(self, file: Path) -> str:
        """Say after Ctrl-C whether the file had been put in place by then."""
        with suppress(OSError, UnicodeDecodeError):
            if read_exactly(file) != self._seen:
                return f"Kept in {file}."
        return f"Stopped: {file.name} is as it was; {COUNT}."

    def _is_right(self, trial: Path, before: Case) -> bool:
        """Whether the file as read again is the one before with these temperatures, and nothing else of it differs."""
        try:
            after = read_case(trial, use_fit=False)
        except BadInput:
            return False
        same = replace(after.measured, temperatures=before.measured.temperatures)
        return (
            same_treads(after.measured.temperatures, self._treads)
            and replace(after, file=before.file, measured=same) == before
        )

    def _keep_copy(self) -> str:
        folder = writable_folder(str(Path("copies") / self._talk))
        if folder is None:
            return NO_FOLDER
        place = folder / "case.yaml"
        known = is_there(place)
        try:
            write_copy(self._case, folder, self._units)
        except OSError:  # a full disk
            return NO_FOLDER
        if known:
            return "Kept in the copy."
        return f"The car here came with the program, so a copy of it holds them; halfturn talk {place} opens it."


_CHOICES = (Choices(("yes", "no, for this talk only")),)


def _free_name(file: Path) -> Path:
    """Name the file as it was, beside it, so that nothing there is replaced."""
    names = (file.with_name(file.name + ENDING + (f"-{number}" if number > 1 else "")) for number in count(1))
    return next(name for name in names if not os.path.lexists(name))


def same_treads(one: Zones, other: Zones) -> bool:
    """Whether two sets of temperatures are the same to what a probe can tell."""
    return one.keys() == other.keys() and all(
        abs(here - there) <= CLOSE for corner in one for here, there in zip(one[corner], other[corner], strict=True)
    )


def _why_not(file: Path, error: OSError | UnicodeDecodeError | BadInput) -> str:
    """Say in one sentence why a file cannot hold them."""
    if not is_there(file):
        return f"Not kept: {file} is not there any more; {COUNT}."
    if isinstance(error, OSError):
        return f"Not kept: {file} cannot be written to ({error.strerror or error}); {COUNT}."
    return f"Not kept: {file} cannot be read as it is now; {COUNT}."
