"""The conversation itself: one typed line in, what to show out. The prompt and the line mode both drive it.

Here is only who answers a line: the open question, a command, or the reader of complaints. What the commands say is
in `verb_screens`, what the prompts say in `prompts`.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.shell.blocks import BLANK, Block, Line
from assistant.shell.folder import writable_folder
from assistant.shell.prompts import EXAMPLES, offer_to_go_on, prompt_of, question_blocks, question_explained
from assistant.shell.prompts import what_can_be_typed as typable
from assistant.shell.record import CutOff, Record, forget
from assistant.shell.scene import Reply, Scene
from assistant.shell.screen_advice import FIRST_SHOWN, advice_screen, offers_of, stop_screen
from assistant.shell.verb_screens import NO_ADVICE, SCREENS
from assistant.shell.verbs import VERBS, Typed, nearest_verb, number_in, read_line
from assistant.words import count_of

if TYPE_CHECKING:
    from assistant.advice.session import Session
    from assistant.shell.own_car import OwnCar

YES, NO = ("1", "yes", "y"), ("2", "no", "n")


class Conversation:
    """One talk. `say` a line, `leave` on Ctrl-C; each returns a Reply."""

    def __init__(self, scene: Scene, record: Record, cut_off: CutOff | None = None) -> None:
        self.scene = scene
        self.record = record
        self._cut_off = cut_off
        self._own_car: OwnCar | None = None
        self._folders: list[str] = []  # made by the lines that are typed once more
        self._replaying = False

    # what drives it

    def opening(self) -> Reply:
        """Return the first prompt, with the offer to go on with a talk that was cut off; nothing is loaded for it."""
        return self._reply([] if self._cut_off is None else offer_to_go_on(self._cut_off))

    def say(self, text: str) -> Reply:
        """Write one typed line down, then answer it."""
        if self._cut_off is not None:
            cut_off, self._cut_off = self._cut_off, None
            if text.strip().lower() in YES:
                return self._go_on_with(cut_off)
            forget(cut_off)
            if text.strip().lower() in NO:
                return self._reply([])
        self.record.typed(text)
        try:
            return self._hear(text)
        except KeyboardInterrupt:
            hint = "enough asks for it again." if self.scene.session is not None else "Say what the car does."
            return self._reply([Line(f"Stopped; {hint}")])

    def leave(self) -> Reply:
        """Ctrl-C: leave what is being asked; the answers given so far are kept."""
        if self._own_car is not None:
            self._own_car = None
            return self._reply([Line("Left the questions about your car; nothing of it was saved.")])
        if self.scene.question is not None:
            self.scene.question = None
            return self._reply([Line("Left the question."), *self._advise()])
        return self._reply([Line("Nothing is being asked. Ctrl-C once more, Ctrl-D or quit leaves.")])

    def advise_at_once(self) -> Reply:
        """Give the advice for the complaint on file, with no questions: for when nobody is there to answer."""
        said = self.scene.bench.case.complaint
        blocks = self._complain(said)
        if self.scene.question is not None:
            self.scene.question = None
            blocks = [Line(f"Nobody is typing; this is the advice for: {said}."), *self._advise()]
        return Reply(blocks, "", over=True)

    @property
    def is_asked(self) -> bool:
        """Whether a question is open, so that Ctrl-C has something to leave."""
        return self.scene.question is not None or self._own_car is not None

    def completions(self) -> tuple[str, ...]:
        """Return what Tab may complete at the open prompt."""
        words = self._prompt()[1]
        if self._own_car is not None or self._cut_off is not None:
            return words
        commands = tuple(verb.name for verb in VERBS if verb.name != "?")
        if not self.scene.bench.is_loaded:
            return (*words, *commands)
        knowledge = self.scene.bench.knowledge
        known = (*knowledge.levers, *knowledge.glossary)
        return (*words, *commands, *knowledge.symptoms, *(f"explain {word}" for word in known))

    def saved_words(self) -> list[Block]:
        """Return what Ctrl-D says: nothing is lost."""
        begun = self.scene.session is not None or bool(self.scene.made)
        return [Line("Saved; the next talk about this car offers to go on here." if begun else "Good running.")]

    # who answers

    def _hear(self, text: str) -> Reply:
        typed = read_line(text)
        if typed is not None and typed.verb == "quit":
            return Reply([Line("Saved. Good running.")], "", over=True)
        if self._own_car is not None:
            return self._own_car_says(text)
        return self._reply(self._answer_to(text, typed))

    def _answer_to(self, text: str, typed: Typed | None) -> list[Block]:
        if not text.strip():
            return [Line(typable(self.scene))]
        if typed is not None:
            return self._do(typed)
        if self.scene.question is not None:
            return self._answer(text)
        if self.scene.advice is not None and (number := number_in(text)) is not None:
            return self._do(Typed("why", str(number)))
        return self._complain(text)

    def _do(self, typed: Typed) -> list[Block]:
        """Commands that move the talk are here; all others are screens of the scene."""
        moves: dict[str, Callable[[str], list[Block]]] = {
            "back": self._back,
            "change": self._change,
            "mine": self._begin_own_car,
            "more": self._more,
            "enough": self._enough,
            "?": lambda _: question_explained(self.scene),
        }
        if typed.verb in moves:
            return moves[typed.verb](typed.rest)
        return SCREENS[typed.verb](self.scene, typed.rest)

    def _complain(self, text: str) -> list[Block]:
        from assistant.advice import session  # noqa: PLC0415 - imports the rules

        scene = self.scene
        begun = session.start(scene.bench.case, scene.bench.knowledge, text)
        if not begun.reading.readable and not begun.stop:
            return self._not_understood(text)
        self.record.began_with(scene.bench.case.setup.values)
        scene.session, scene.advice = begun, None
        return [Line(begun.say_back()), *self._go_on()]

    def _not_understood(self, text: str) -> list[Block]:
        meant = nearest_verb(text)
        if meant:
            return [Line(f"I do not know {text.strip()!r}; did you mean '{meant}'?")]
        return [
            Line(f"I cannot make out {text.strip()!r}."),
            Line(f"Say what the car does, such as: {EXAMPLES}. Type help for the commands."),
        ]

    def _answer(self, text: str) -> list[Block]:
        """Take the line as an answer; what is no answer may be a new complaint."""
        from assistant.advice.session import start  # noqa: PLC0415 - imports the rules

        session = self._session()
        reply = session.reply(text)
        if reply.session is not session:
            self.scene.session = reply.session
            return self._go_on()
        bench = self.scene.bench
        if number_in(text) is None and start(bench.case, bench.knowledge, text).reading.readable:
            return [Line("A new complaint; the answers to the old one are put away."), *self._complain(text)]
        meant = nearest_verb(text)
        return [Line(f"Did you mean '{meant}'?" if meant else reply.says)]

    # the interview

    def _go_on(self) -> list[Block]:
        """Ask the next question worth its time, or give the advice."""
        self.scene.advice = None
        self.scene.bench.hear(self._session().complaint)
        self.scene.question = self._session().next_question()
        return self._advise() if self.scene.question is None else question_blocks(self.scene)

    def _advise(self) -> list[Block]:
        scene, bench = self.scene, self.scene.bench
        if scene.session is None:
            return []
        if scene.session.stop is not None:
            return [BLANK, *stop_screen(scene.session.stop)]
        advice = bench.advise(scene.session)
        scene.advice, scene.shown = advice, min(FIRST_SHOWN, len(offers_of(advice)))
        return [BLANK, *advice_screen(advice, bench.knowledge.levers, scene.units, notes=scene.session.notes)]

    def _back(self, rest: str) -> list[Block]:
        session, steps = self.scene.session, int(rest or 1)
        if session is None:
            return [Line("Nothing to go back to yet.")]
        if steps > len(session.given):
            self.scene.session = self.scene.question = self.scene.advice = None
            return [Line("Back at the start.")]
        self.scene.session = session.back(steps)
        return self._go_on()

    def _change(self, rest: str) -> list[Block]:
        session = self.scene.session
        if session is None or not session.given:
            return [Line("No question has been answered yet.")]
        if not rest:
            answers = [
                Line(f"{one.question.text} {one.choice.text}", lead=str(one.number)) for one in session.answered()
            ]
            return [Line("Your answers so far; type change and a number to answer again:"), *answers]
        if not 1 <= int(rest) <= len(session.given):
            return [Line(f"The answers go from 1 to {len(session.given)}; type change alone to see them.")]
        self.scene.session = session.change(int(rest))
        return self._go_on()

    def _enough(self, _: str) -> list[Block]:
        if self.scene.session is None:
            return [Line(NO_ADVICE)]
        self.scene.question = None
        return self._advise()

    def _more(self, _: str) -> list[Block]:
        scene = self.scene
        if scene.advice is None:
            return [Line(NO_ADVICE)]
        count = min(3, len(offers_of(scene.advice)) - scene.shown)
        if count <= 0:
            return [Line("That was all of them.")]
        levers = scene.bench.knowledge.levers
        blocks = advice_screen(scene.advice, levers, scene.units, first=scene.shown, count=count)
        scene.shown += count
        return blocks

    def _go_on_with(self, talk: CutOff) -> Reply:
        """Type the lines of the cut-off talk once more, on the setup it began with, and show where it stood."""
        self.record.go_on_with(talk)
        self.scene.talk = self.record.name
        if talk.setup:
            self.scene.bench.begin_with(talk.setup)
        self._folders, self._replaying = list(talk.folders), True
        reply = self._reply([])
        for line in talk.typed:
            reply = self._hear(line)
        self._folders, self._replaying = [], False
        said = Line(f"Where you left: {count_of(len(talk.typed), 'line')} taken up.")
        return Reply([said, *reply.blocks], reply.prompt, reply.words)

    # one's own car

    def _begin_own_car(self, _: str) -> list[Block]:
        from assistant.shell.own_car import OwnCar  # noqa: PLC0415 - imports the car's files

        again = Path(self._folders.pop(0)) if self._folders else None
        self._own_car = OwnCar(self.scene.units, writable_folder(), again)
        return self._own_car.opening()

    def _own_car_says(self, text: str) -> Reply:
        assert self._own_car is not None  # noqa: S101 - the caller has looked
        blocks = self._own_car.say(text)
        if self._own_car.case is not None:
            if self._own_car.folder is not None and not self._replaying:
                self.record.made_folder(self._own_car.folder)
            self.scene.bench.put_case(self._own_car.case)
            self.scene.session = self.scene.question = self.scene.advice = None
            self.scene.made.clear()
            self._own_car = None
        return self._reply(blocks)

    # prompts

    def _reply(self, blocks: list[Block]) -> Reply:
        prompt, words = self._prompt()
        return Reply(blocks, prompt, words)

    def _prompt(self) -> tuple[str, tuple[str, ...]]:
        if self._cut_off is not None:
            return "1, 2, or what the car is doing", ("yes", "no")
        if self._own_car is not None:
            return self._own_car.prompt, self._own_car.words
        return prompt_of(self.scene)

    def _session(self) -> Session:
        assert self.scene.session is not None  # noqa: S101 - only called inside an interview
        return self.scene.session
