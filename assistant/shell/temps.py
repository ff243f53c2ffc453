"""Tyre temperatures entered in the conversation: twelve numbers, in any portions, one tyre after the other."""

from __future__ import annotations

import re
from collections.abc import Mapping

from assistant.car.car import CORNERS
from assistant.shell.blocks import Block, Line, Table
from assistant.units import System, UnitProblem, read, show
from assistant.words import count_of

NAMES = {"LF": "left front", "RF": "right front", "LR": "left rear", "RR": "right rear"}
ZONES = ("inside", "middle", "outside")
COLDEST, HOTTEST = 255.0, 480.0
"""Kelvin (0 to 404 F): a tread outside these was not read or not typed right."""
LOST = "Read the tyres as soon as the car stops, in the pit lane, a needle at half the depth of the tread."
WANTED = "Type numbers, such as 205 208 198; back takes a tyre back, and leaves where none is entered."
COMMANDS = (
    "back takes the last tyre back, and leaves where none is entered, as an empty line does. Commands such as show or "
    "forecast work here too; enough and quit leave the temperatures."
)
_NUMBER = re.compile(r"\d+(?:\.\d+)?")

Treads = dict[str, tuple[float, float, float]]


class Temps:
    """The numbers entered so far; `treads` are there (corner to inside, middle, outside, kelvin) once all are."""

    def __init__(self, system: System) -> None:
        self._system = system
        self._numbers: list[float] = []
        self.treads: Treads | None = None
        self.is_left = False

    left = "Left the temperatures; nothing of them was kept."

    @property
    def prompt(self) -> str:
        """Which tyre comes next, and what can be typed."""
        at = len(self._numbers)
        rest = "" if at % 3 == 0 else f", from its {ZONES[at % 3]}"
        return f"{NAMES[CORNERS[at // 3]]}{rest}: its numbers (back, or Ctrl-C to leave)"

    @property
    def words(self) -> tuple[str, ...]:
        """What Tab may complete."""
        return ("back",)

    def opening(self) -> list[Block]:
        """Say what is wanted."""
        unit = "F" if self._system == "trade" else "C"
        said = (
            f"Twelve numbers in {unit}: left front, right front, left rear, right rear, each inside, middle, outside; "
            "inside is the edge towards the middle of the car. One tyre in a line, or all in one."
        )
        return [Line(said), Line(LOST, mark="quiet")]

    def explained(self) -> list[Block]:
        """Say what can be typed here."""
        return [*self.opening(), Line(COMMANDS)]

    def say(self, text: str) -> list[Block]:
        """Take a line of numbers; what cannot be a temperature is told and nothing of its line is kept."""
        if text.lower().split()[:1] == ["back"] or not (text.strip() or self._numbers):
            self.is_left = not self._numbers
            self._numbers = self._numbers[: max(0, 3 * ((len(self._numbers) - 1) // 3))]
            return []
        found = _NUMBER.findall(text)
        if not found:
            return [Line(WANTED)]
        left = 3 * len(CORNERS) - len(self._numbers)
        if len(found) > left:
            return [Line(f"Those are {len(found)} numbers, but only {left} are missing; nothing of that line is kept.")]
        try:
            kelvin = [read(number, "temperature", default_unit=self._unit(text)).value for number in found]
        except UnitProblem as problem:
            return [Line(f"{problem.says}; {problem.hint}.")]
        wrong = [number for number, value in zip(found, kelvin, strict=True) if not COLDEST <= value <= HOTTEST]
        if wrong:
            low, high = (show(value, "temperature", system=self._system) for value in (COLDEST, HOTTEST))
            return [Line(f"{wrong[0]} is no temperature of a tread ({low} to {high}); nothing of that line is kept.")]
        self._numbers += kelvin
        return self._after()

    def _after(self) -> list[Block]:
        left = 3 * len(CORNERS) - len(self._numbers)
        if left:
            return [Line(f"{count_of(left, 'number')} to go.")]
        threes = [self._numbers[at : at + 3] for at in range(0, len(self._numbers), 3)]
        self.treads = {corner: (one[0], one[1], one[2]) for corner, one in zip(CORNERS, threes, strict=True)}
        return [_table(self.treads, self._system)]

    def _unit(self, text: str) -> str:
        """The unit written behind a number counts for the line, else that of the talk."""
        said = re.search(r"\d\s*°?\s*([fc])\b", text.lower())
        return said[1].upper() if said else "F" if self._system == "trade" else "C"


def _table(treads: Mapping[str, tuple[float, float, float]], system: System) -> Table:
    rows = tuple(
        (corner, *(show(value, "temperature", system=system, unit=False) for value in zones))
        for corner, zones in treads.items()
    )
    return Table(("tyre", *ZONES), rows, "tyres says what they mean.")
