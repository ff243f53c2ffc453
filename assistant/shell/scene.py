"""Where a conversation stands: the car on the bench, the interview, the advice, and what was changed on the way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from assistant.pages.blocks import Block

if TYPE_CHECKING:
    from assistant.advice.results import Advice
    from assistant.car.case import Case
    from assistant.diagnosis.questions import OpenQuestion
    from assistant.diagnosis.session import Session
    from assistant.ground.units import System
    from assistant.shell.bench import Bench


@dataclass(frozen=True)
class Step:
    """What undo takes back: a change that was made, or words that put earlier ones away. It keeps the talk before it.

    moves: lever to its value before and after, empty for words; guessed: those of them that were a guess before.
    number: of the change on its list.
    """

    said: str
    session: Session | None
    question: OpenQuestion | None
    advice: Advice | None
    shown: int
    listed: Case | None
    number: int = 0
    moves: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    guessed: frozenset[str] = frozenset()


@dataclass
class Scene:
    """session: None before the first complaint. question: None while nothing is asked. shown: offers on screen.

    talk: name of the talk, for what it keeps. listed: the car the list on screen is for, before any of it was made.
    replaying: lines are typed once more, so nothing is written.
    """

    bench: Bench
    units: System = "trade"
    talk: str = "talk"
    session: Session | None = None
    question: OpenQuestion | None = None
    advice: Advice | None = None
    shown: int = 0
    listed: Case | None = None
    steps: list[Step] = field(default_factory=list)
    replaying: bool = False

    def step(self, said: str, number: int = 0, moves: Mapping[str, tuple[float, float]] | None = None) -> None:
        """Remember where the talk stands, before it goes on, for undo."""
        moves = moves or {}
        guessed = self.bench.case.setup.guessed & set(moves) if moves else frozenset()
        stand = (self.session, self.question, self.advice, self.shown, self.listed)
        self.steps.append(Step(said, *stand, number, moves, frozenset(guessed)))

    def begin_anew(self) -> None:
        """Put the car back to what its file holds, with nothing said and nothing made."""
        self.bench.put(self.bench.on_file)
        self.session = self.question = self.advice = self.listed = None
        self.steps.clear()

    @property
    def made(self) -> tuple[Step, ...]:
        """The changes made in this talk, in order."""
        return tuple(step for step in self.steps if step.moves)

    @property
    def made_here(self) -> tuple[Step, ...]:
        """Those made from the list on screen."""
        return tuple(step for step in self.made if self.advice is not None and step.advice is self.advice)

    @property
    def stop(self) -> str:
        """Why the car must be looked at before anything is adjusted, "" when it need not."""
        said = self.session.stop if self.session is not None else None
        return said or (self.advice.stop if self.advice is not None else None) or ""


@dataclass(frozen=True)
class Reply:
    """What to show, the words of the next prompt, what can be completed there, and whether the talk is over."""

    blocks: list[Block]
    prompt: str
    words: tuple[str, ...] = ()
    over: bool = False
