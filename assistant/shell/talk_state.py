"""What a talk has come to, and every place it stood in before: one stack, down which undo and back go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from itertools import takewhile
from typing import TYPE_CHECKING

from assistant.shell.bench import Bench, Memory

if TYPE_CHECKING:
    from assistant.advice.results import Advice
    from assistant.belief.felt import Felt, Promise
    from assistant.car.case import Case, Measured, NotHere, Setup
    from assistant.diagnosis.questions import OpenQuestion
    from assistant.diagnosis.session import Session
    from assistant.ground.understood import StopReason
    from assistant.ground.units import System


@dataclass
class TalkPlace:
    """Where a talk stands. session: None before the first complaint. question: None while nothing is asked.

    shown: offers on screen. listed: the car the list on screen is for, before any of it was made.
    """

    session: Session | None = None
    question: OpenQuestion | None = None
    advice: Advice | None = None
    shown: int = 0
    listed: Case | None = None


@dataclass(frozen=True)
class ChangeFelt:
    """What changes did, in the driver's words. word: id of what they came to. promised: share that was to go, if known.

    counts: it is evidence; else something besides the change may have done it.
    """

    text: str
    word: str
    felt: Felt
    promised: float | None = None
    counts: bool = True


@dataclass(frozen=True)
class CarTold:
    """What was known of a car besides its setup. read_on: the setup it was measured on, None for the one on it."""

    not_here: tuple[NotHere, ...]
    at_hand: str
    measured: Measured
    read_on: Setup | None


@dataclass(frozen=True)
class Step:
    """One step of a talk: words that were said, an answer, a change that was made, a fact; with the place before it.

    said: the change in words. number: of the change on its list. moves: lever to its value before and after, empty for
    words. guessed: those of the levers that were a guess before. memory: what the bench was told before.
    promise: what the change was to do. felt: what changes before it did, in whose words. told: what was known of the
    car besides its setup, where more of it was told.
    """

    before: TalkPlace
    is_answer: bool = False
    is_fact: bool = False
    said: str = ""
    number: int = 0
    moves: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    guessed: frozenset[str] = frozenset()
    memory: Memory = field(default_factory=Memory)
    promise: Promise | None = None
    felt: ChangeFelt | None = None
    told: CarTold | None = None


@dataclass(kw_only=True)
class TalkState(TalkPlace):
    """A talk: where it stands, the car it is about, and the steps that led here.

    name: of the talk, for what it keeps. replaying: lines are typed once more, so nothing is written. meant: the
    command a yes stands for, "" for none.
    """

    bench: Bench
    system: System = "trade"
    name: str = "talk"
    steps: list[Step] = field(default_factory=list)
    replaying: bool = False
    meant: str = ""

    def step(
        self,
        *,
        is_answer: bool = False,
        is_fact: bool = False,
        said: str = "",
        number: int = 0,
        moves: Mapping[str, tuple[float, float]] | None = None,
        memory: Memory | None = None,
        promise: Promise | None = None,
        felt: ChangeFelt | None = None,
        told: CarTold | None = None,
    ) -> None:
        """Remember where the talk stands, before it goes on. memory: of the bench before it, where that has moved."""
        moves = moves or {}
        guessed = frozenset(self.bench.case.setup.guessed & set(moves)) if moves else frozenset()
        memory = memory or self.bench.memory
        self.steps.append(
            Step(self._place(), is_answer, is_fact, said, number, moves, guessed, memory, promise, felt, told)
        )

    def take_back(self) -> None:
        """Stand where the talk stood before its last step. What was measured since stays measured."""
        last = self.steps.pop()
        self.go_to(last.before)
        self.bench.memory = last.memory
        if last.told is not None:
            self._untell(last.told)
        measured = self.bench.case_as_read.measured
        if self.session is not None and self.session.case.measured != measured:
            case = replace(self.session.case, measured=measured)
            self.session = replace(self.session, case=case)

    def take_back_answer(self) -> bool:
        """Take back the last answer and leave what was told of the car since; False where words come first."""
        told = [*takewhile(lambda step: step.is_fact, reversed(self.steps))]
        if len(told) == len(self.steps) or not self.steps[-1 - len(told)].is_answer:
            return False
        case = self.bench.case_as_read
        del self.steps[len(self.steps) - len(told) :]
        self.go_to(self.steps.pop().before)
        self.steps += [replace(one, before=self._place()) for one in reversed(told)]
        self.session = None if self.session is None else replace(self.session, case=case)
        return True

    def _place(self) -> TalkPlace:
        return TalkPlace(**{one.name: getattr(self, one.name) for one in fields(TalkPlace)})

    def _untell(self, before: CarTold) -> None:
        """Know of the car what was known before something was told."""
        case = self.bench.case
        rulebook = replace(case.rulebook, not_here=before.not_here)
        case = replace(case, rulebook=rulebook, at_hand=before.at_hand, measured=before.measured)
        self.bench.tell(case, read_now=False)
        self.bench.read_on = before.read_on

    def go_to(self, place: TalkPlace) -> None:
        """Stand at a place."""
        for one in fields(TalkPlace):
            setattr(self, one.name, getattr(place, one.name))

    def begin_with(self, case: Case) -> None:
        """Begin with another car, with nothing said."""
        self.bench.put_case(case)
        self._forget()

    def begin_anew(self) -> None:
        """Put the car back to what its file holds, with nothing said and nothing made."""
        self.bench.put(self.bench.on_file)
        self._forget()

    def _forget(self) -> None:
        self.go_to(TalkPlace())
        self.steps.clear()

    @property
    def made(self) -> tuple[Step, ...]:
        """The changes made in this talk, in order."""
        return tuple(step for step in self.steps if step.moves and not step.is_fact)

    @property
    def made_here(self) -> tuple[Step, ...]:
        """Those made from the list on screen."""
        return tuple(step for step in self.made if self.advice is not None and step.before.advice is self.advice)

    @property
    def not_felt(self) -> tuple[Step, ...]:
        """The changes made since the driver last said what the car does, in order."""
        found = []
        for step in reversed(self.steps):
            if step.moves and not step.is_fact:
                found.append(step)
            elif not step.is_answer and not step.is_fact:
                break
        return tuple(reversed(found))

    @property
    def stop(self) -> StopReason | None:
        """Why the car must be looked at before anything is adjusted, None when it need not."""
        said = self.session.stop if self.session is not None else None
        return said or (self.advice.stop if self.advice is not None else None)
