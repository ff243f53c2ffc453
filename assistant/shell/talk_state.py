"""What a talk has come to, and every place it stood in before: one stack, down which undo and back go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from assistant.advice.results import Advice
    from assistant.belief.picture import Told
    from assistant.car.case import Case
    from assistant.diagnosis.questions import OpenQuestion
    from assistant.diagnosis.session import Session
    from assistant.ground.understood import Cell, StopReason
    from assistant.ground.units import System
    from assistant.shell.bench import Bench


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
class Step:
    """One step of a talk: words that were said, an answer, or a change that was made; with the place before it.

    said: the change in words. number: of the change on its list. moves: lever to its value before and after, empty for
    words. guessed: those of the levers that were a guess before. kept, told: what was said before earlier
    changes, all together and each of its setup.
    """

    before: TalkPlace
    is_answer: bool = False
    said: str = ""
    number: int = 0
    moves: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    guessed: frozenset[str] = frozenset()
    kept: tuple[Cell, ...] = ()
    told: tuple[Told, ...] = ()


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
        said: str = "",
        number: int = 0,
        moves: Mapping[str, tuple[float, float]] | None = None,
    ) -> None:
        """Remember where the talk stands, before it goes on."""
        moves = moves or {}
        guessed = frozenset(self.bench.case.setup.guessed & set(moves)) if moves else frozenset()
        before = TalkPlace(**{one.name: getattr(self, one.name) for one in fields(TalkPlace)})
        self.steps.append(Step(before, is_answer, said, number, moves, guessed, self.bench.kept, self.bench.told))

    def take_back(self) -> None:
        """Stand where the talk stood before its last step. What was measured since stays measured."""
        self.go_to(self.steps.pop().before)
        if self.session is not None and self.session.case.measured != self.bench.case.measured:
            case = replace(self.session.case, measured=self.bench.case.measured)
            self.session = replace(self.session, case=case)

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
        return tuple(step for step in self.steps if step.moves)

    @property
    def made_here(self) -> tuple[Step, ...]:
        """Those made from the list on screen."""
        return tuple(step for step in self.made if self.advice is not None and step.before.advice is self.advice)

    @property
    def stop(self) -> StopReason | None:
        """Why the car must be looked at before anything is adjusted, None when it need not."""
        said = self.session.stop if self.session is not None else None
        return said or (self.advice.stop if self.advice is not None else None)
