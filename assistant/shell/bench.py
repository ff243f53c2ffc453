"""The car on the bench: its case, the knowledge and the computed effects, all fetched behind the prompt.

The heavy imports of the program are here and in the threads this starts, never before the first prompt.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from concurrent.futures import Future
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from assistant.advice.results import Advice, Package, Remedy
from assistant.shell.background import Progress, start, wait_for
from assistant.shell.packs import load_with
from assistant.shell.screen_advice import Offer

if TYPE_CHECKING:
    from assistant.advice.effects import EffectTable
    from assistant.advice.session import Session
    from assistant.car.case import Case
    from assistant.car.setup import Setup
    from assistant.rules.knowledge import Knowledge


class Bench:
    """One case being worked on. case_name: a path or the name of a demo. packs: folders of a team's own rules."""

    def __init__(self, case_name: str, packs: Sequence[str] = (), progress: Progress = lambda _: None) -> None:
        self.case_name = case_name
        self.packs = tuple(packs)
        self.progress = progress
        self._loaded: Future[tuple[Case, Knowledge]] | None = None
        self._effects: Future[EffectTable] | None = None
        self._case: Case | None = None

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
            self._effects = start(partial(_compute, self.case))
        return wait_for(self._effects, "Working out what every lever does on this car", self.progress)

    def advise(self, session: Session) -> Advice:
        """Rank what can be done, behind the prompt, so that it can be stopped; says so when it takes a while."""
        effects = self.effects()
        promise = start(partial(_advise, self.case, self.knowledge, session, effects))
        return wait_for(promise, "Weighing every change", self.progress)

    def moved(self, offer: Offer) -> Setup | None:
        """Return the setup with an offer made, inside the rules; None for one that is no change of the setup."""
        from assistant.car.changes import with_step  # noqa: PLC0415 - imports the keys of every file

        moves = [(move.lever, move.steps) for move in offer.moves] if isinstance(offer, Package) else _moves_of(offer)
        setup = self.case.setup
        for lever, steps in moves:
            setup, _ = with_step(setup, self.case.rulebook, self.case.car, lever, steps)
        return setup if moves else None

    def put(self, setup: Setup) -> None:
        """Set the car to another setup, and begin to work out anew what every lever does."""
        self._case = replace(self.case, setup=setup)
        self._effects = start(partial(_compute, self._case))

    def begin_with(self, values: Mapping[str, float]) -> None:
        """Go back to the setup a talk began with, when the file has moved on since."""
        setup = self.case.setup
        if dict(setup.values) != dict(values):
            self.put(replace(setup, values={**setup.values, **values}))

    def put_case(self, case: Case) -> None:
        """Work on another car from now on."""
        self._wait_for_load()
        self.case_name = case.file or case.name
        self._case = case
        self._effects = start(partial(_compute, case))

    def _wait_for_load(self) -> tuple[Case, Knowledge]:
        self.warm()
        assert self._loaded is not None  # noqa: S101 - warm has just set it
        return wait_for(self._loaded, "Reading the rules and the car", self.progress)

    def _load(self) -> tuple[Case, Knowledge]:
        from assistant.car.files import read_case  # noqa: PLC0415 - 100 ms of imports

        case = read_case(self.case_name)
        knowledge = load_with(self.packs)
        if self._effects is None:
            self._effects = start(partial(_compute, case))
        return case, knowledge


def _compute(case: Case) -> EffectTable:
    from assistant.advice.effects import effect_table  # noqa: PLC0415 - numpy

    return effect_table(case)


def _advise(case: Case, knowledge: Knowledge, session: Session, effects: EffectTable) -> Advice:
    from assistant.advice.advise import advise  # noqa: PLC0415 - numpy

    return advise(case, knowledge, session, effects)


def _moves_of(remedy: Remedy) -> list[tuple[str, int]]:
    return [(remedy.id, remedy.steps)] if remedy.kind == "lever" and remedy.steps else []
