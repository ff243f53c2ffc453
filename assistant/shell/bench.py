"""The car on the bench: its case, the rules asked for and the computed effects, all fetched behind the prompt."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import Future, wait
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

from assistant.advice import offers
from assistant.advice.habits import setup_after
from assistant.advice.said_changes import find_put_back, offer_setup, reckon
from assistant.belief.cures import judge, want
from assistant.belief.driven import moved_from
from assistant.belief.effects import effect_table, lever_effect
from assistant.belief.garage import Garage, open_garage
from assistant.belief.model import Model, read_model
from assistant.belief.outcome import read_run
from assistant.belief.picture import Picture, Told, believe_told, read_after, read_picture, same_levers
from assistant.car.case import Case, Measured, NotHere, Setup, levers_of
from assistant.car.files import read_case
from assistant.diagnosis.session import start as begin_session
from assistant.ground.background import Progress, start, wait_for
from assistant.notebook.book import felt_in
from assistant.notebook.cars import is_own
from assistant.pages import sayings
from assistant.pages.blocks import Block, Line
from assistant.pages.packs import left_out
from assistant.pages.setups import say_in_use, say_otherwise
from assistant.rules.knowledge import Knowledge, equip
from assistant.rules.pack import load_with
from assistant.shell.keep import setup_on_file

if TYPE_CHECKING:
    from assistant.advice.results import Advice, Remedy
    from assistant.belief.believe import Belief
    from assistant.belief.cures import Verdict
    from assistant.belief.effects import EffectTable
    from assistant.belief.felt import Felt
    from assistant.belief.outcome import RunAfter
    from assistant.diagnosis.session import Session
    from assistant.ground.understood import CauseFound, Complaint
    from assistant.ground.units import System

T = TypeVar("T")


@dataclass(frozen=True)
class WeighedChange:
    """What another setup would do. verdict: to the complaint, None where nobody complains or nothing may be said.

    run: over the run, None where nothing may be said. before, after, change: of the balance.
    """

    verdict: Verdict | None
    run: RunAfter | None
    before: Picture
    after: Picture
    change: Picture


LAST_CHANGES = 3
"""Changes of earlier talks whose setups are driven; what was learned of older ones would cost more than it tells."""


@dataclass(frozen=True)
class Memory:
    """What a talk was told of the car: of the setup on it and of those before.

    told: what was said before earlier changes, each of its setup. said_on: the setup that was on
    the car when what is said now was said. felt: what changes did.
    """

    told: tuple[Told, ...] = ()
    said_on: Setup | None = None
    felt: tuple[Felt, ...] = ()

    def on_other(self, corrected: Callable[[Setup], Setup]) -> Memory:
        """The same, said of setups that turned out to be others."""
        told = tuple(replace(one, setup=corrected(one.setup)) for one in self.told)
        return replace(self, told=told, said_on=None if self.said_on is None else corrected(self.said_on))


@dataclass(frozen=True)
class CarTold:
    """What is known of a car besides its setup. read_on: the setup it was measured on, None for the one on it."""

    memory: Memory
    not_here: tuple[NotHere, ...]
    at_hand: str
    measured: Measured
    read_on: Setup | None


KnownThen = tuple[Case, tuple[Told, ...], tuple["Felt", ...], Setup | None]
"""What was known once: the case, what was said, what was felt, and the setup it was measured on."""


class Bench:
    """One case being worked on. case_name: a path or the name of a demo. packs: folders of a team's own rules."""

    def __init__(self, case_name: str, packs: Sequence[str] = (), progress: Progress = lambda _: None) -> None:
        self.case_name = case_name
        self.packs = tuple(packs)
        self.progress = progress
        self._loaded: Future[tuple[Case, Knowledge]] | None = None
        self._turn = 0
        self._believed: Future[Belief] | None = None
        self._believed_of: tuple[object, ...] = ()
        self._case: Case | None = None
        self.memory = Memory()
        self.learned: tuple[Mapping[str, Any], ...] = ()
        """What changes did in earlier talks, as the notebook has it."""
        self.read_on: Setup | None = None
        """The setup it was measured on, where that is not the one on the car."""
        self._on_file: Setup | None = None
        self._garage: Future[Garage] | None = None
        self.drawn_on: Setup | None = None
        self.grown: tuple[KnownThen, ...] = ()

    def warm(self) -> None:
        """Begin to load, and to drive plausible cars, without waiting for it."""
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
    def is_own(self) -> bool:
        """Whether the car is the user's own, and not one that came with the program."""
        return is_own(self.case.file)

    def said(self) -> list[Block]:
        """Say which packs were left out, and what is on the bench."""
        return [*left_out(self.knowledge), Line(say_in_use(self.case))]

    @property
    def is_loaded(self) -> bool:
        """Whether case and knowledge can be had without waiting."""
        return self._loaded is not None and self._loaded.done() and self._loaded.exception() is None

    def effects(self, complaint: Complaint | None, levers: Sequence[str] | None = None) -> EffectTable:
        """Work out what levers do on the car as it is believed to be, all when left out.

        complaint: None takes the case's own words.
        """
        belief, case = self.belief(complaint).counted, self.case
        return self.work(sayings.WHAT_LEVERS_DO, lambda: effect_table(case, belief, levers))

    def model(self) -> Model:
        """Compute the one car that physical facts are told of: weights, heights, rates."""
        case = self.case
        return self.work(sayings.WORKING_OUT_CAR, lambda: read_model(case))

    def drive_for(self, session: Session) -> None:
        """Begin to drive, behind the prompt, what an advice on what was said so far would need; an older one ends."""
        self._turn += 1
        if not session.stop:
            start(partial(self._prepare, session, self._begin_to_believe(session.complaint), self._turn))

    def _prepare(self, session: Session, believed: Future[Belief], turn: int) -> None:
        """Drive what an advice as of now would need, then one step of every lever."""
        case, knowledge = self.case, self.knowledge
        belief = believed.result()
        for lever in ("", *levers_of(case.setup)):
            if self._turn != turn:
                return
            if lever:
                lever_effect(case, belief.counted, lever)
            else:
                offers.advise(case, knowledge, session, belief)

    def drive_ahead(self, session: Session, offered: Iterable[Remedy]) -> None:
        """Begin to drive, behind the prompt, what the list would need with each of these offers made."""
        setups = [setup for one in offered if (setup := self.moved(one)) is not None]
        if setups:
            start(partial(self._list_after, session, self._begin_to_believe(session.complaint), setups, self._turn))

    def _list_after(self, session: Session, believed: Future[Belief], setups: Iterable[Setup], turn: int) -> None:
        for setup in setups:
            if self._turn == turn:
                case = replace(self.case, setup=setup)
                ahead = believed.result().with_setup(setup)
                offers.advise(case, self.knowledge, replace(session, case=case), ahead)

    def keep_said(self, complaint: Complaint | None) -> None:
        """Remember what was said before a change, of the setup it was said of."""
        if complaint is not None:
            self.memory = replace(self.memory, told=self._told_with(complaint))

    def begin_words(self) -> None:
        """Take what is said from now on as said of the setup that is on the car."""
        self.memory = replace(self.memory, said_on=self.case.setup)

    def feel(self, felt: Felt) -> None:
        """Count what a change did."""
        self.memory = replace(self.memory, felt=(*self.memory.felt, felt))

    def belief(self, complaint: Complaint | None) -> Belief:
        """Believe what was said and measured, before the last change and since; None takes the case's own words."""
        wait_for(self._garage_promise(), sayings.DRIVING_CARS, self.progress)
        return wait_for(self._begin_to_believe(complaint), sayings.WEIGHING_CARS, self.progress)

    def _begin_to_believe(self, complaint: Complaint | None) -> Future[Belief]:
        """Believe what is known as of now, when all that was asked before is believed.

        Which cars are drawn depends on what was believed first, so it goes by turns. What was believed last stays, with
        all that was asked of it.
        """
        garage, before = self._garage_promise(), self._believed
        known = (self.case, self._told_with(complaint), self._felt(), self.read_on)
        if before is not None and self._believed_of == (garage, known):
            return before

        def believe() -> Belief:
            wait([] if before is None else [before])
            return self._believe(garage.result(), known)

        self._believed, self._believed_of = start(believe), (garage, known)
        return self._believed

    def _believe(self, garage: Garage, known: KnownThen) -> Belief:
        """Believe what was known, and keep what more cars were drawn for."""
        case, told, felt, read_on = known
        count, belief = garage.count, believe_told(case, told, garage, felt, read_on)
        if garage.count > count and known not in self.grown:
            self.grown = (*self.grown, known)
        return belief

    def _garage_promise(self) -> Future[Garage]:
        return self._garage or self._draw(self.case)

    def draw_again(self, setup: Setup, grown: tuple[KnownThen, ...]) -> None:
        """Let plausible cars be those of a talk that was left: drawn on a setup, and more for what was known since."""
        if (setup, grown) != (self.drawn_on, self.grown):
            self._draw(replace(self.case, setup=setup), grown)

    def _draw(self, case: Case, grown: tuple[KnownThen, ...] = ()) -> Future[Garage]:
        """Begin to drive other plausible cars behind the prompt. grown: what more of them are drawn for."""

        def draw() -> Garage:
            garage = open_garage(case)
            for known in grown:
                self._believe(garage, known)
            return garage

        self._turn += 1
        self.drawn_on, self.grown, self._garage = case.setup, grown, start(draw)
        return self._garage

    def _felt(self) -> tuple[Felt, ...]:
        """The changes that were felt in this talk, and the last ones of earlier talks."""
        earlier = [one for data in self.learned[-LAST_CHANGES:] if (one := felt_in(data, self.case)) is not None]
        return (*earlier, *self.memory.felt)

    def picture(self, complaint: Complaint | None) -> Picture:
        """Where the car is believed to stand with the setup on it."""
        belief = self.belief(complaint)
        return self.work(sayings.WEIGHING_CARS, lambda: read_picture(belief))

    def offer(self, name: str, setup: Setup, complaint: Complaint | None) -> Remedy:
        """Offer to set the car to another setup, with its figures where somebody complains."""
        known = (name, setup, self.case, self.knowledge)
        if complaint is None:
            return offer_setup(*known)
        job = offers.job_for(self.case, self.knowledge, self.belief(complaint).counted, complaint)
        return self.work(sayings.WEIGHING_CHANGES, lambda: offer_setup(*known, job))

    def weigh(self, setup: Setup, complaint: Complaint | None) -> WeighedChange:
        """Say what another setup does to the complaint, what it costs, and where the car stands before and after."""
        belief, changes = self.belief(complaint), moved_from(self.case.setup, setup)
        said = self._told_with(complaint)[-1].complaint

        def compare() -> WeighedChange:
            wanted, effect = want(belief, said, self.knowledge.weights.cell_weights), belief.move(changes)
            verdict = judge(wanted, wanted.read(effect)) if wanted.asks else None
            run = None if belief.gate_is_shut else read_run(belief, effect)
            return WeighedChange(verdict, run, read_picture(belief), *read_after(belief, changes))

        return self.work(sayings.WEIGHING_CARS, compare)

    def _told_with(self, complaint: Complaint | None) -> tuple[Told, ...]:
        """What was said, each of its setup; words that were said before a change are those of the car before it."""
        told, said_on = self.memory.told, self.memory.said_on or self.case.setup
        if complaint is None:
            return told or (Told(self.case.setup, begin_session(self.case, self.knowledge).complaint),)
        if told and same_levers(told[-1].setup, said_on):
            told = told[:-1]
        return (*told, Told(said_on, complaint))

    def _drive(self, case: Case) -> None:
        """Begin to drive other plausible cars behind the prompt; words begin anew."""
        self.memory, self.read_on = replace(self.memory, told=(), said_on=None, felt=()), None
        self._draw(case)

    def advise(self, session: Session) -> Advice:
        """Rank what can be done, behind the prompt, so that it can be stopped; says so when it takes a while."""
        if (stopped := offers.stop_alone(session)) is not None:
            return stopped
        self._turn += 1
        belief, case, knowledge = self.belief(session.complaint), self.case, self.knowledge
        return self.work(sayings.WEIGHING_CHANGES, lambda: offers.advise(case, knowledge, session, belief))

    def causes(self, session: Session) -> tuple[CauseFound, ...]:
        """The causes that explain what was said, with what plausible cars say of them."""
        if session.stop or not session.complaint.cells:
            return session.causes
        belief = self.belief(session.complaint)
        return self.work(sayings.WEIGHING_CARS, lambda: reckon(session, belief, find_put_back(session, belief)).causes)

    def work(self, says: str, task: Callable[[], T]) -> T:
        """Do something that may take a while, behind the prompt, so that it can be stopped; says so when it does."""
        return wait_for(start(task), says, self.progress)

    def tell(self, case: Case, *, read_now: bool) -> None:
        """Know more of the car than its setup. read_now: something was read on the setup that is on it."""
        self._case = case
        self.read_on = case.setup if read_now else self.read_on

    @property
    def told(self) -> CarTold:
        """What is known of the car besides its setup."""
        case = self.case
        return CarTold(self.memory, case.rulebook.not_here, case.at_hand, case.measured, self.read_on)

    def know_only(self, told: CarTold) -> None:
        """Know of the car what was known before something was told."""
        rulebook = replace(self.case.rulebook, not_here=told.not_here)
        self._case = replace(self.case, rulebook=rulebook, at_hand=told.at_hand, measured=told.measured)
        self.memory, self.read_on = told.memory, told.read_on

    @property
    def case_as_read(self) -> Case:
        """The case with what was measured on the setup it has now: what was read before a change is none of it."""
        is_of_now = self.read_on is None or same_levers(self.read_on, self.case.setup)
        return self.case if is_of_now else replace(self.case, measured=Measured())

    def moved(self, offer: Remedy) -> Setup | None:
        """Return the setup with an offer made; None for one that is no change of the setup."""
        return setup_after(offer, self.case)

    def put(self, setup: Setup) -> None:
        """Set the car to another setup."""
        self.read_on = self.read_on or self.case.setup
        self._case = replace(self.case, setup=setup)

    def read_file(self) -> None:
        """Take down what the setup file holds, after it was written."""
        self._on_file = setup_on_file(self.case) or self.on_file

    def read_again(self) -> None:
        """Read the case anew from its files; what was measured in the talk stays. Raises BadInput."""
        read, told = equip(read_case(self.case.file), self.knowledge), self.case
        rulebook = replace(read.rulebook, not_here=told.rulebook.not_here)
        self._case = replace(read, measured=told.measured, rulebook=rulebook, at_hand=told.at_hand)
        self._on_file = read.setup
        self._drive(self._case)

    def moved_otherwise(self, system: System) -> list[str]:
        """Say what a talk moved that the user's own file does not hold: it was killed before that was written."""
        return say_otherwise(self.case.setup.values, self.on_file, system) if self.is_own else []

    def put_case(self, case: Case) -> None:
        """Work on another car from now on."""
        case = equip(case, self._wait_for_load()[1])
        self.case_name = case.file or case.name
        self._case, self._on_file, self.memory, self.learned = case, case.setup, Memory(), ()
        self._drive(case)

    def _wait_for_load(self) -> tuple[Case, Knowledge]:
        self.warm()
        assert self._loaded is not None  # noqa: S101 - warm has just set it
        return wait_for(self._loaded, sayings.READING_RULES, self.progress)

    def _load(self) -> tuple[Case, Knowledge]:
        knowledge = load_with(self.packs)
        case = equip(read_case(self.case_name), knowledge)
        if self._garage is None:
            self._drive(case)
        if not gc.isenabled():  # the program began without the collector: what stands now stays to the end of the talk
            gc.freeze()
            gc.enable()
        return case, knowledge
