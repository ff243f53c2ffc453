"""The conversation itself: one typed line in, what to show out. The prompt and the line mode both drive it.

Here is only who answers a line: the open question, a command, or the reader of complaints. What the commands say is
in `verb_screens`, what the prompts say in `prompts`.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from assistant.problems import BadInput
from assistant.shell.blocks import Block, Line
from assistant.shell.folder import writable_folder
from assistant.shell.prompts import EXAMPLES, offer_to_go_on, prompt_of, question_blocks
from assistant.shell.prompts import what_can_be_typed as typable
from assistant.shell.record import CutOff, Record, forget
from assistant.shell.scene import Reply, Scene
from assistant.shell.verbs import VERBS, Typed, nearest_verb, number_in, read_line
from assistant.words import count_of

if TYPE_CHECKING:
    from assistant.advice.interview.session import Session
    from assistant.shell.own_car import OwnCar
    from assistant.shell.temps import Temps

NOT_KEPT = "Good running. Nothing of this talk is saved: your own folder cannot be written to."
ALL_FINE = "I read: it is fine, so there is nothing to change. Say what it does where it is not, or quit."
YES, NO = ("1", "yes", "y"), ("2", "no", "n")


class Conversation:
    """One talk. `say` a line, `leave` on Ctrl-C; each returns a Reply."""

    def __init__(self, scene: Scene, record: Record, cut_off: CutOff | None = None) -> None:
        self.scene = scene
        self.record = record
        self._cut_off = cut_off
        self._aside: OwnCar | Temps | None = None
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
        except BadInput as mistake:
            if not self.scene.bench.is_loaded:
                raise  # without a case or rules there is nothing to talk about
            rows = [row.strip() for problem in mistake.problems for row in problem.text().split("\n")]
            return self._reply([Line(row, mark="caution") for row in rows])

    def leave(self) -> Reply:
        """Ctrl-C: leave what is being asked; the answers given so far are kept."""
        from assistant.shell import interview  # noqa: PLC0415 - not before the first prompt

        if self._aside is not None:
            left, self._aside = self._aside.left, None
            return self._reply([Line(left), *question_blocks(self.scene)])
        if self.scene.question is not None:
            self.scene.question = None
            return self._reply([Line("Left the question."), *interview.give_advice(self.scene)])
        return self._reply([Line("Nothing is being asked. Ctrl-C once more, Ctrl-D or quit leaves.")])

    def advise_at_once(self) -> Reply:
        """Give the advice for the complaint on file, with no questions: for when nobody is there to answer."""
        from assistant.shell import interview  # noqa: PLC0415 - not before the first prompt

        said = self.scene.bench.case.complaint
        blocks = self._complain(said)
        if self.scene.question is not None:
            self.scene.question = None
            blocks = [Line(f"Nobody is typing; this is the advice for: {said}."), *interview.give_advice(self.scene)]
        return Reply(blocks, "", over=True)

    @property
    def is_asked(self) -> bool:
        """Whether a question is open, so that Ctrl-C has something to leave."""
        return self.scene.question is not None or self._aside is not None

    def completions(self) -> tuple[str, ...]:
        """Return what Tab may complete at the open prompt."""
        words = self._prompt()[1]
        if self._aside is not None or self._cut_off is not None:
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
        if begun and not self.record.is_kept:
            return [Line(NOT_KEPT)]
        return [Line("Saved; the next talk about this car offers to go on here." if begun else "Good running.")]

    # who answers

    def _hear(self, text: str) -> Reply:
        typed = read_line(text)
        if typed is not None and typed.verb == "quit":
            return Reply([Line("Saved. Good running." if self.record.is_kept else NOT_KEPT)], "", over=True)
        if self._aside is not None:
            return self._reply(self._aside_says(text))
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
        from assistant.shell import interview  # noqa: PLC0415 - not before the first prompt

        if typed.verb == "mine":
            return self._begin_own_car()
        if typed.verb == "temps":
            return self._begin_temps(typed.rest)
        from assistant.shell.verb_screens import SCREENS  # noqa: PLC0415 - not before the first prompt

        screen = interview.MOVES.get(typed.verb) or SCREENS[typed.verb]
        return screen(self.scene, typed.rest)

    def _complain(self, text: str) -> list[Block]:
        from assistant.advice.interview import session  # noqa: PLC0415 - imports the rules
        from assistant.shell import interview  # noqa: PLC0415 - not before the first prompt

        scene = self.scene
        begun = session.start(scene.bench.case, scene.bench.knowledge, text)
        if not begun.reading.readable and not begun.stop:
            fine = begun.reading.said.claims and all(claim.balance == "fine" for claim in begun.reading.said.claims)
            return [Line(ALL_FINE)] if fine else self._not_understood(text)
        self.record.began_with(scene.bench.case.setup.values)
        return interview.begin(scene, begun)

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
        from assistant.advice.interview.session import start  # noqa: PLC0415 - imports the rules
        from assistant.shell import interview  # noqa: PLC0415 - not before the first prompt

        session = self._session()
        reply = session.reply(text)
        if reply.session is not session:
            self.scene.session = reply.session
            return [*_taken_as(text, reply.session), *interview.go_on(self.scene)]
        bench = self.scene.bench
        if number_in(text) is None and start(bench.case, bench.knowledge, text).reading.readable:
            return [Line("A new complaint; the answers to the old one are put away."), *self._complain(text)]
        meant = nearest_verb(text)
        return [Line(f"Did you mean '{meant}'?" if meant else reply.says)]

    # going on with a talk that was cut off

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

    # questions of their own: about the car, and the temperatures of its tyres

    def _begin_own_car(self) -> list[Block]:
        from assistant.shell.own_car import OwnCar  # noqa: PLC0415 - imports the car's files

        again = Path(self._folders.pop(0)) if self._folders else None
        self._aside = OwnCar(self.scene.units, writable_folder(), again)
        return self._aside.opening()

    def _begin_temps(self, rest: str) -> list[Block]:
        from assistant.shell.temps import Temps  # noqa: PLC0415 - imports the units

        temps = self._aside = Temps(self.scene.units)
        return self._aside_says(rest) if rest else temps.opening()

    def _aside_says(self, text: str) -> list[Block]:
        from assistant.shell import interview  # noqa: PLC0415 - not before the first prompt
        from assistant.shell.temps import Temps  # noqa: PLC0415 - imports the units

        aside = self._aside
        assert aside is not None  # noqa: S101 - the caller has looked
        blocks = aside.say(text)
        if isinstance(aside, Temps):
            if aside.treads is not None:
                self._aside = None
                blocks += interview.take_treads(self.scene, aside.treads)
        elif aside.case is not None:
            self._aside = None
            if aside.folder is not None and not self._replaying:
                self.record.made_folder(aside.folder)
            self.scene.bench.put_case(aside.case)
            self.scene.session = self.scene.question = self.scene.advice = None
            self.scene.made.clear()
        return blocks

    # prompts

    def _reply(self, blocks: list[Block]) -> Reply:
        prompt, words = self._prompt()
        return Reply(blocks, prompt, words)

    def _prompt(self) -> tuple[str, tuple[str, ...]]:
        if self._cut_off is not None:
            return "1, 2, or what the car is doing", ("yes", "no")
        if self._aside is not None:
            return self._aside.prompt, self._aside.words
        return prompt_of(self.scene)

    def _session(self) -> Session:
        assert self.scene.session is not None  # noqa: S101 - only called inside an interview
        return self.scene.session


def _taken_as(text: str, session: Session) -> list[Block]:
    """Say which answer was understood where words were typed that are none of them: "kinda bad"."""
    given = session.answered()
    if number_in(text) is not None or not given or read_line(text) is not None:
        return []
    taken = given[-1].choice.text
    return [] if text.strip().lower() in taken.lower() else [Line(f"Taken as: {taken}.")]
