"""What every command does alike: read rules and case, say that it is working, answer in words or in JSON.

An answer in JSON has a head: the edition of the contract, and the unit of every quantity that occurs.
"""

from __future__ import annotations

import csv
import io
import json
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any, TypeVar

from assistant.belief.garage import open_garage
from assistant.belief.look_ahead import FEWEST_LAPS, MOST_LAPS, read_stops
from assistant.belief.model import Model, read_model
from assistant.belief.picture import Told, believe_told
from assistant.car.files import read_case
from assistant.diagnosis.session import start as begin_session
from assistant.ground.background import start, wait_for
from assistant.ground.problems import BadInput, Problem, shown, shown_json
from assistant.ground.units import unit_of
from assistant.pages.blocks import Block, Line
from assistant.pages.packs import left_out
from assistant.pages.terminal import Look, look_of, say, say_progress
from assistant.rules.knowledge import Knowledge, equip
from assistant.rules.pack import load_with

if TYPE_CHECKING:
    import argparse
    from concurrent.futures import Future

    from assistant.belief.believe import Belief
    from assistant.belief.garage import Garage
    from assistant.car.case import Case
    from assistant.ground.understood import Complaint
    from assistant.ground.units import System
    from assistant.physics.heat_and_wear import Stop

T = TypeVar("T")
COMMAND_LINE = "command line"
FORMAT = 1
"""Edition of the contract: a key that goes or means something else makes it the next one; a new key does not."""
UNIT_OF_KEY: Mapping[str, str] = {
    "balance": "% of grip, + tight",
    "effect": "% of grip, + tight",
    "wear_end": "share of the tread",
    "laps": "lap",
    "fuel_laps": "lap",
    "tire_life_laps": "lap",
    "first_tire_laps": "lap",
    "pace_s": "s",
    "last_lap_s": "s",
    "lap_s": "s",
    "limiter_s": "s",
    "rpm_max": "rpm",
    "rpm_min": "rpm",
    "chance": "share",
    "cures": "share",
    "removes": "share of the complaint",
    "at_once": "share of the complaint",
    "spoils": "share of the complaint",
    "sign_share": "share",
    "useful_share": "share",
    "lock_share": "share",
    "share_ideal": "share",
    "severity": "1 to 5",
}
"""Units of keys that are the same in every system."""
QUANTITY_OF_KEY: Mapping[str, str] = {"temps": "temperature", "hot_pressure": "pressure", "per_lap": "volume"}
"""Quantities of keys whose unit is the system's."""


class Runner:
    """One command being run: what it was asked for, and what it reads and computes, each at its first use."""

    def __init__(self, options: argparse.Namespace) -> None:
        self.options = options
        self.system: System = options.units

    @cached_property
    def knowledge(self) -> Knowledge:
        """The base pack and the packs asked for; one that was left out is named on the error stream."""
        knowledge = load_with(self.options.pack or ())
        say(left_out(knowledge), self._errors, sys.stderr)
        return knowledge

    @cached_property
    def _as_filed(self) -> Case:
        """The case asked for, without the team's own levers. Raises BadInput."""
        return read_case(self.options.case)

    @cached_property
    def case(self) -> Case:
        """The case asked for, with the team's own levers. Raises BadInput."""
        knowledge = self.knowledge
        return equip(self._as_filed, knowledge)

    @cached_property
    def _driven(self) -> Future[Garage]:
        return start(partial(open_garage, self._as_filed))

    def begin_to_drive(self) -> None:
        """Begin to drive plausible cars while the rules and the words are read. Raises BadInput."""
        self._driven  # noqa: B018 - begun by asking for it

    @cached_property
    def model(self) -> Future[Model]:
        """The one car that physical facts are told of, computed behind the rest."""
        return start(partial(read_model, self.case))

    @cached_property
    def laps(self) -> int:
        """Laps of the run: as asked for, else the case's. Raises BadInput."""
        if self.options.laps is None:
            return self.case.run_laps
        text = self.options.laps.strip()
        laps = int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 0
        if not FEWEST_LAPS <= laps <= MOST_LAPS:
            raise refused(
                f"--laps cannot be {self.options.laps!r}", f"a whole number from {FEWEST_LAPS} to {MOST_LAPS}"
            )
        return laps

    @cached_property
    def stops(self) -> tuple[Stop, ...]:
        """The stops of the run. Raises BadInput."""
        return read_stops(self.options.stop, self.laps)

    def believe(self, case: Case, complaint: Complaint | None = None) -> Belief:
        """Believe what the driver said, and what was measured, of the case's car; cars driven before are kept."""
        said = begin_session(self.case, self.knowledge).complaint if complaint is None else complaint
        garage = self._driven.result() if case is self._as_filed else open_garage(case)
        return believe_told(case, [Told(case.setup, said)], garage)

    def work(self, says: str, task: Callable[[], T]) -> T:
        """Do something that may take long; on a terminal it says so, on the error stream, after half a second."""

        def progress(words: str) -> None:
            if sys.stderr.isatty():
                say_progress(words, self._errors, sys.stderr)

        return wait_for(start(task), says, progress)

    def answer(self, screen: Callable[[], list[Block]], data: Callable[[], dict[str, Any]] | None = None) -> None:
        """Print the answer in the form asked for; data: of a command that also answers programs."""
        if data is not None and self.options.json:
            print(shown_json(json.dumps(document(data(), self.system), indent=2, allow_nan=False)))
        else:
            self.show(screen())

    def show(self, blocks: list[Block]) -> None:
        """Print part of a screen."""
        say(blocks, self._look, sys.stdout)

    def tell(self, *texts: str) -> None:
        """Print lines of words."""
        self.show([Line(text) for text in texts])

    @property
    def _look(self) -> Look:
        options = self.options
        return look_of(sys.stdout, system=options.units, color=options.color, accessible=options.accessible)

    @property
    def _errors(self) -> Look:
        return look_of(sys.stderr, color=self.options.color, accessible=self.options.accessible)


def document(found: Mapping[str, Any], system: System) -> dict[str, Any]:
    """Head what a command answers. system: the unit system its numbers are in.

    Keys with a unit beside them (`unit`, `temperature_unit`, or the answer's own `units`) keep that one.
    """
    there = set(_keys_in(found))
    units = {key: unit for key, unit in UNIT_OF_KEY.items() if key in there}
    units |= {key: unit_of(quantity, system) for key, quantity in QUANTITY_OF_KEY.items() if key in there}
    return {"format": FORMAT, **found, "units": units | found.get("units", {})}


def _keys_in(value: Any) -> Iterator[str]:
    if isinstance(value, Mapping):
        yield from value
        value = list(value.values())
    if isinstance(value, list):
        for part in value:
            yield from _keys_in(part)


def csv_text(head: Iterable[str], rows: Iterable[Sequence[object]]) -> str:
    """Write a table for a spreadsheet: a head of names, a line end of one character."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(map(shown, head))
    writer.writerows(rows)
    return text.getvalue()


def refused(says: str, hint: str = "", where: str = COMMAND_LINE) -> BadInput:
    """Return a mistake that stands in no file."""
    return BadInput(Problem(where, 0, 0, says, hint))
