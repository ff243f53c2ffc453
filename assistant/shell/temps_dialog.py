"""Tire temperatures entered in a talk: twelve numbers, in any portions, and whether to keep them for the next one.

A tire named before its three numbers is that tire, in any order, and entered before it is entered anew. They are kept
in the user's own file, with the file as it was beside it; a case that came with the program gets a copy.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.car.car import CORNERS
from assistant.car.edit import Treads
from assistant.car.files import read_case
from assistant.car.keys import part_at_corners
from assistant.ground.folders import ChangedMeanwhileError, is_there, read_exactly
from assistant.ground.problems import BadInput
from assistant.ground.units import System, UnitProblem, read, show
from assistant.ground.words import CORNER_WORDS, count_of
from assistant.notebook.cars import is_own
from assistant.pages.blocks import Block, Choices, Line, Table
from assistant.shell import keep
from assistant.shell.dialogs import NO, YES, Dialog, number_in

if TYPE_CHECKING:
    from assistant.car.case import Case

ZONES = ("inside", "middle", "outside")
COLDEST, HOTTEST = 255.0, 480.0
"""Kelvin (0 to 404 F): a tread outside these was not read or not typed right."""
LOST = "Read the tires as soon as the car stops, in the pit lane, a needle at half the depth of the tread."
WANTED = "Type numbers, such as 205 208 198; back takes a tire back, and leaves where none is entered."
COMMANDS = (
    "back takes the last tire back, and leaves where none is entered, as an empty line does. Commands such as show or "
    "forecast work here too; enough and quit leave the temperatures."
)
NAME_FIRST = "Write each tire before its three numbers, such as RF 205 208 198; nothing of that line is kept."
ANEW = "A tire with its name before it is entered anew."
_NUMBER = re.compile(r"\d+(?:\.\d+)?")

MOVES = frozenset({"change", "enough", "ask", "more", "mine"})
"""Commands that move the talk, and so leave the temperatures."""

ONLY_HERE = "They count in this talk only."
COUNT = "the temperatures count in this talk only"
KEEP_WANTED = "Type 1 to keep them or 2 for this talk only; commands such as tires or show work here too."
NO_FOLDER = f"Not kept: your own folder cannot be written to; {COUNT}."
KEEP_ANSWERS = ("yes", "no, for this talk only")


class TempsDialog(Dialog):
    """The numbers entered so far; `treads` are there (corner to inside, middle, outside, kelvin) once all are."""

    left = "Left the temperatures; nothing of them was kept."
    own = frozenset({"back", "undo", "temps"})
    ended_by = MOVES

    def __init__(self, system: System) -> None:
        self._system = system
        self._read: dict[str, list[float]] = {}
        """In the order they were entered; one tire at most lacks a number or two."""
        self.treads: Treads | None = None
        self.is_left = False

    @property
    def prompt(self) -> str:
        """Which tire comes next, and what can be typed."""
        corner = self._next()
        entered = len(self._read.get(corner, ()))
        rest = f", from its {ZONES[entered]}" if entered else ""
        return f"{CORNER_WORDS[corner]}{rest}: its numbers (back, or Ctrl-C to leave)"

    @property
    def words(self) -> tuple[str, ...]:
        """What Tab may complete."""
        return ("back",)

    @property
    def is_over(self) -> bool:
        """Whether all numbers are there, or it was left before the first."""
        return self.is_left or self.treads is not None

    def opening(self) -> list[Block]:
        """Say what is wanted."""
        unit = "F" if self._system == "trade" else "C"
        said = (
            f"Twelve numbers in {unit}: left front, right front, left rear, right rear, each inside, middle, outside; "
            "inside is the edge toward the middle of the car. One tire in a line, or all in one; in another order "
            "with their names: RF 205 208 198."
        )
        return [Line(said), Line(LOST, mark="quiet")]

    def explained(self) -> list[Block]:
        """Say what can be typed here."""
        return [*self.opening(), Line(COMMANDS)]

    def say(self, text: str) -> list[Block]:
        """Take a line of numbers; what cannot be a temperature is told and nothing of its line is kept."""
        if text.lower().split()[:1] in (["back"], ["undo"]) or not (text.strip() or self._read):
            self.is_left = not self._read
            if self._read:
                self._read.popitem()
            return []
        found = _NUMBER.findall(text)
        named = _by_name(text)
        if says := self._why_not(found, named):
            return [Line(says)]
        try:
            kelvin = [read(number, "temperature", default_unit=self._unit(text)).value for number in found]
        except UnitProblem as problem:
            return [Line(f"{problem.says}; {problem.hint}.")]
        wrong = [number for number, value in zip(found, kelvin, strict=True) if not COLDEST <= value <= HOTTEST]
        if wrong:
            low, high = (show(value, "temperature", system=self._system) for value in (COLDEST, HOTTEST))
            return [Line(f"{wrong[0]} is no temperature of a tread ({low} to {high}); nothing of that line is kept.")]
        for place, (corner, _) in enumerate(named):
            self._read.pop(corner, None)
            self._read[corner] = kelvin[3 * place : 3 * place + 3]
        for value in [] if named else kelvin:
            self._read.setdefault(self._next(), []).append(value)
        return self._after()

    def _why_not(self, found: list[str], named: list[tuple[str, list[str]]]) -> str:
        """Say why these numbers cannot be dealt out to tires; "" when they can."""
        if not found:
            return WANTED
        if named:
            return "" if all(corner and len(numbers) == len(ZONES) for corner, numbers in named) else NAME_FIRST
        left = self._missing()
        said = f"Those are {len(found)} numbers, but only {left} are missing; nothing of that line is kept."
        return f"{said} {ANEW}" if len(found) > left else ""

    def _next(self) -> str:
        """The tire begun but not complete, else the first one missing."""
        begun = [corner for corner, numbers in self._read.items() if len(numbers) < len(ZONES)]
        return next(iter([*begun, *(corner for corner in CORNERS if corner not in self._read)]))

    def _missing(self) -> int:
        return len(ZONES) * len(CORNERS) - sum(len(numbers) for numbers in self._read.values())

    def _after(self) -> list[Block]:
        left = self._missing()
        if left:
            return [Line(f"{count_of(left, 'number')} to go.")]
        self.treads = {corner: (one[0], one[1], one[2]) for corner in CORNERS for one in [self._read[corner]]}
        return [_table(self.treads, self._system)]

    def _unit(self, text: str) -> str:
        """The unit written behind a number counts for the line, else that of the talk."""
        said = re.search(r"\d\s*°?\s*([fc])\b", text.lower())
        return said[1].upper() if said else "F" if self._system == "trade" else "C"


def _by_name(text: str) -> list[tuple[str, list[str]]]:
    """Part a line at the tires it names: each with the numbers behind it, "" for numbers before the first name."""
    before, parts = part_at_corners(text)
    named = [(corner, _NUMBER.findall(numbers)) for corner, numbers in parts]
    return [("", early), *named] if named and (early := _NUMBER.findall(before)) else named


def _table(treads: Mapping[str, tuple[float, float, float]], system: System) -> Table:
    rows = tuple(
        (corner, *(show(value, "temperature", system=system, unit=False) for value in zones))
        for corner, zones in treads.items()
    )
    return Table(("tire", *ZONES), rows, "tires says what they mean.")


class KeepTempsDialog(Dialog):
    """The question whether to keep them. `is_over` once it is answered, or when there was nothing to ask."""

    left = f"Left the question; {COUNT}."
    answers = KEEP_ANSWERS
    own = frozenset({"back", "undo"})
    ended_by = MOVES | {"temps"}
    is_over = False

    def __init__(self, case: Case, treads: Treads, talk: str, system: System, *, again: bool = False) -> None:
        """Take the case as it stands in the talk. again: lines are typed once more, so nothing is to be written."""
        self._case = case
        self._treads = treads
        self._talk = talk
        self._system = system
        self._again = again
        self._seen = ""

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
        if not is_own(self._case.file):
            return [Line("Keep them for the next talk, in a copy of this case?"), Choices(KEEP_ANSWERS)]
        file = Path(self._case.file)
        try:
            self._seen = read_exactly(file)
            held = read_case(file, use_fit=False).measured.temperatures
        except (OSError, UnicodeDecodeError, BadInput) as error:
            return self._end(_why_not_kept(file, error))
        if keep.same_treads(held, self._treads):
            return self._end(f"They are in {file.name} already.")
        instead = ", in place of those it holds" if held else ""
        return [Line(f"Keep them for the next talk, in {file.name}{instead}?"), Choices(KEEP_ANSWERS)]

    def explained(self) -> list[Block]:
        """Say what can be typed here."""
        return [Line(KEEP_WANTED)]

    def say(self, text: str) -> list[Block]:
        """Take the answer; what is none leaves the question, and is for somebody else to hear."""
        plain = text.strip().lower()
        if plain in NO:
            return self._end(ONLY_HERE)
        if plain in YES:
            return self._end(ONLY_HERE) if self._again else self._keep()
        if plain in {"", "back", "undo"} or number_in(text) is not None:
            return self.explained()
        self.unheard = text
        return self._end(ONLY_HERE)

    def _end(self, said: str) -> list[Block]:
        self.is_over = True
        return [Line(said)]

    def _keep(self) -> list[Block]:
        if not is_own(self._case.file):
            return self._end(keep.put_treads_into_copy(self._case, self._talk, self._system) or NO_FOLDER)
        file = Path(self._case.file)
        try:
            return self._end(keep.put_treads_into(file, self._seen, self._treads, self._system))
        except ChangedMeanwhileError:
            said = Line(f"Not kept: {file.name} was changed meanwhile, and was left as it is now.")
            return [said, *self.opening()]
        except KeyboardInterrupt:
            return self._end(self._stopped(file))
        except (OSError, UnicodeDecodeError, BadInput) as error:
            return self._end(_why_not_kept(file, error))

    def _stopped(self, file: Path) -> str:
        """Say after Ctrl-C whether the file had been put in place by then."""
        with suppress(OSError, UnicodeDecodeError):
            if read_exactly(file) != self._seen:
                return f"Kept in {file}."
        return f"Stopped: {file.name} is as it was; {COUNT}."


def _why_not_kept(file: Path, error: OSError | UnicodeDecodeError | BadInput) -> str:
    """Say in one sentence why a file cannot hold them."""
    if not is_there(file):
        return f"Not kept: {file} is not there any more; {COUNT}."
    if isinstance(error, OSError):
        return f"Not kept: {file} cannot be written to ({error.strerror or error}); {COUNT}."
    return f"Not kept: {file} cannot be read as it is now; {COUNT}."
