"""Where a conversation stands: the car on the bench, the interview, the advice, and what was changed on the way."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from assistant.shell.blocks import Block

if TYPE_CHECKING:
    from assistant.advice.interview.questions import Question
    from assistant.advice.interview.session import Session
    from assistant.advice.results import Advice
    from assistant.car.setup import Setup
    from assistant.shell.bench import Bench
    from assistant.units import System


@dataclass(frozen=True)
class Made:
    """A change that was made: the setup before it, and the advice it came from."""

    said: str
    before: Setup
    session: Session | None
    advice: Advice | None
    shown: int


@dataclass
class Scene:
    """session: None before the first complaint. question: None while nothing is asked. shown: offers on screen.

    talk: name of the talk, for what it keeps.
    """

    bench: Bench
    units: System = "trade"
    talk: str = "talk"
    session: Session | None = None
    question: Question | None = None
    advice: Advice | None = None
    shown: int = 0
    made: list[Made] = field(default_factory=list)

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
