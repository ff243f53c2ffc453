"""The car on the bench: its case, the knowledge and the computed effects, all fetched behind the prompt.

The heavy imports of the program are here and in the threads this starts, never before the first prompt.
"""

from __future__ import annotations

import gc
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, TypeVar

from assistant.shell.background import Progress, start, wait_for
from assistant.shell.packs import load_with

if TYPE_CHECKING:
    from assistant.advice.results import Advice, Remedy
    from assistant.belief.effects import EffectTable
    from assistant.belief.standing import Standing
    from assistant.car.case import Case
    from assistant.car.setup import Setup
    from assistant.diagnosis.session import Session
    from assistant.ground.understood import Cell, Complaint
    from assistant.pages.advice import Offer
    from assistant.rules.knowledge import Knowledge


T = TypeVar("T")


class Bench:
    """One case being worked on. case_name: a path or the name of a demo. packs: folders of a team's own rules."""

    def __init__(self, case_name: str, packs: Sequence[str] = (), progress: Progress = lambda _: None) -> None:
        self.case_name = case_name
        self.packs = tuple(packs)
        self.progress = progress
        self._loaded: Future[tuple[Case, Knowledge]] | None = None
        self._effects: Future[EffectTable] | None = None
        self._standing: Standing | None = None
        self._turn = 0
        self._case: Case | None = None
        self._kept: tuple[Cell, ...] = ()
        self._on_file: Setup | None = None

    def warm(self) -> None:
        """Begin to load, and to compute what every lever does, without waiting for it."""
        if self._loaded is None:
            self._loaded = start(self._load)

    @property
    def case(self) -> Case:
        """The case with the setup as it stands now. Raises BadInput for a file that cannot be read."""
        if self._case is None:
            self._case = self._wait_for_load()[0]
        return self._case

    @property
    def on_file(self) -> Setup:
        """The setup as its file held it when it was last read or written."""
        return self._on_file or self._wait_for_load()[0].setup

    @property
    def knowledge(self) -> Knowledge:
        """The rules, all packs layered. Raises BadInput for a pack with mistakes."""
        return self._wait_for_load()[1]

    @property
    def is_loaded(self) -> bool:
        """Whether case and knowledge can be had without waiting."""
        return self._loaded is not None and self._loaded.done() and self._loaded.exception() is None

    def effects(self) -> EffectTable:
        """Return what every lever does on the car as it stands; says so when it takes a while."""
        if self._effects is None:
            self._work_out(self.case, self.knowledge, None)
        assert self._effects is not None  # noqa: S101 - just set
        return wait_for(self._effects, "Working out what every lever does on this car", self.progress)

    def hear(self, complaint: Complaint) -> None:
        """Begin to compute anew, behind the prompt, when the driver's words put the car elsewhere than thought."""
        standing = self.standing_of(complaint)
        if self._effects is None or self._standing is None or standing != self._standing:
            self._work_out(self.case, self.knowledge, complaint)
        elif standing.said != self._standing.said:
            self._standing, before = standing, self._effects
            self._effects = start(lambda: before.result().told(standing))

    def standing_of(self, complaint: Complaint | None) -> Standing:
        """Where the words put the car, with what was said before the last change; None takes the case's own words."""
        from assistant.belief.standing import read_standing  # noqa: PLC0415 - imports the car

        return read_standing(self._with_kept(complaint, self.case, self.knowledge))

    def keep_said(self, complaint: Complaint | None) -> None:
        """Remember what was said before a change: it holds for every phase until that one is spoken of again.

        None forgets what was remembered.
        """
        self._kept = () if complaint is None else self._with_kept(complaint, self.case, self.knowledge).cells

    def _with_kept(self, complaint: Complaint | None, case: Case, knowledge: Knowledge) -> Complaint:
        from assistant.diagnosis.session import start as begin  # noqa: PLC0415 - imports the rules

        if complaint is None:
            said = begin(case, knowledge).complaint
            return replace(said, cells=self._kept) if self._kept else said
        spoken = {cell.phase for cell in complaint.cells}
        return replace(complaint, cells=(*complaint.cells, *(cell for cell in self._kept if cell.phase not in spoken)))

    def advise(self, session: Session) -> Advice:
        """Rank what can be done, behind the prompt, so that it can be stopped; says so when it takes a while."""
        from assistant.advice.offers import stop_alone  # noqa: PLC0415 - imports numpy

        if (stopped := stop_alone(session)) is not None:
            return stopped
        self.hear(session.complaint)
        effects = self.effects()
        promise = start(partial(_advise, self.case, self.knowledge, session, effects))
        return wait_for(promise, "Weighing every change", self.progress)

    def work(self, says: str, task: Callable[[], T]) -> T:
        """Do something that may take a while, behind the prompt, so that it can be stopped; says so when it does."""
        return wait_for(start(task), says, self.progress)

    def measure(self, treads: Mapping[str, tuple[float, float, float]]) -> None:
        """Put tire temperatures (corner to inside, middle, outside, kelvin) among what was measured on this car."""
        self._case = replace(self.case, measured=replace(self.case.measured, temperatures=dict(treads)))

    def moved(self, offer: Offer) -> Setup | None:
        """Return the setup with an offer made, inside the rules; None for one that is no change of the setup."""
        from assistant.advice.results import Package  # noqa: PLC0415 - not before the first prompt
        from assistant.car.moves import with_step  # noqa: PLC0415 - imports the keys of every file

        moves = [(move.lever, move.steps) for move in offer.moves] if isinstance(offer, Package) else _moves_of(offer)
        setup = self.case.setup
        for lever, steps in moves:
            setup, _ = with_step(setup, self.case.rulebook, self.case.car, lever, steps)
        return setup if moves else None

    def put(self, setup: Setup) -> None:
        """Set the car to another setup, and begin to work out anew what every lever does."""
        self._case = replace(self.case, setup=setup)
        self._work_out(self._case, self.knowledge, None)

    def read_file(self) -> None:
        """Take down what the setup file holds, after it was written."""
        from assistant.shell.keep import setup_on_file  # noqa: PLC0415 - imports the keys of every file

        self._on_file = setup_on_file(self.case) or self.on_file

    def read_again(self) -> None:
        """Read the case anew from its files; what was measured in the talk stays. Raises BadInput."""
        from assistant.car.files import read_case  # noqa: PLC0415 - same
        from assistant.rules.own_levers import equip  # noqa: PLC0415 - imports the keys of every file

        self._case = replace(equip(read_case(self.case.file), self.knowledge), measured=self.case.measured)
        self._on_file = self._case.setup
        self._work_out(self._case, self.knowledge, None)

    def begin_with(self, values: Mapping[str, float]) -> None:
        """Go back to the setup a talk began with, when the file has moved on since; levers it has lost stay away.

        A setup that no file may hold was not written by this program, and is left alone.
        """
        from assistant.car.lever_rows import is_possible  # noqa: PLC0415 - imports the keys of every file

        if not all(is_possible(lever, value) for lever, value in values.items()):
            return
        setup = self.case.setup
        began = {lever: values.get(lever, value) for lever, value in setup.values.items()}
        if began != dict(setup.values):
            self.put(replace(setup, values=began))

    def put_case(self, case: Case) -> None:
        """Work on another car from now on."""
        from assistant.rules.own_levers import equip  # noqa: PLC0415 - imports the keys of every file

        case = equip(case, self._wait_for_load()[1])
        self.case_name = case.file or case.name
        self._case, self._on_file, self._kept = case, case.setup, ()
        self._work_out(case, self.knowledge, None)

    def _work_out(self, case: Case, knowledge: Knowledge, complaint: Complaint | None) -> None:
        """Begin the table of effects for what the driver said, else for the complaint of the case; an older one ends.

        A table that is not wanted any more is left half done.
        """
        from assistant.belief.standing import read_standing  # noqa: PLC0415 - imports the car

        said = self._with_kept(complaint, case, knowledge)
        self._turn += 1
        self._standing = read_standing(said)
        self._effects = start(partial(_compute, case, knowledge, said, partial(self._is_wanted, self._turn)))

    def _is_wanted(self, turn: int, done: int, of_all: int) -> bool:
        del done, of_all
        return turn == self._turn

    def _wait_for_load(self) -> tuple[Case, Knowledge]:
        self.warm()
        assert self._loaded is not None  # noqa: S101 - warm has just set it
        return wait_for(self._loaded, "Reading the rules and the car", self.progress)

    def _load(self) -> tuple[Case, Knowledge]:
        from assistant.car.files import read_case  # noqa: PLC0415 - 100 ms of imports
        from assistant.rules.own_levers import equip  # noqa: PLC0415 - imports the keys of every file

        knowledge = load_with(self.packs)
        case = equip(read_case(self.case_name), knowledge)
        if self._effects is None:
            self._work_out(case, knowledge, None)
        from assistant.shell import interview as _  # noqa: F401, PLC0415 - so that the first answer need not wait for it

        if not gc.isenabled():  # the program began without the collector: what stands now stays to the end of the talk
            gc.freeze()
            gc.enable()
        return case, knowledge


def _compute(case: Case, knowledge: Knowledge, complaint: Complaint, wanted: Callable[[int, int], bool]) -> EffectTable:
    from assistant.advice.offers import table_for  # noqa: PLC0415 - numpy

    return table_for(case, knowledge, complaint, progress=wanted)


def _advise(case: Case, knowledge: Knowledge, session: Session, effects: EffectTable) -> Advice:
    from assistant.advice.offers import advise  # noqa: PLC0415 - numpy

    return advise(case, knowledge, session, effects)


def _moves_of(remedy: Remedy) -> list[tuple[str, int]]:
    return [(remedy.id, remedy.steps)] if remedy.kind == "lever" and remedy.steps else []
