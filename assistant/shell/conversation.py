"""The conversation itself: one typed line in, what to show out. The prompt and the line mode both drive it.

Here is only who answers a line: the open question, a command, or the reader of complaints. What the commands say is
in `verb_screens`, what the prompts say in `prompts`.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.diagnosis.stems import word_asked
from assistant.ground.problems import BadInput
from assistant.ground.words import count_of
from assistant.pages.blocks import Block, Line
from assistant.pages.hearing_words import say_no_answer
from assistant.shell.beside import Beside
from assistant.shell.folder import remember_car
from assistant.shell.offer import (
    GO_ON,
    NO,
    NOT_KEPT,
    SAVED,
    STILL_THERE,
    YES,
    begins_anew,
    changed_since,
    moved_otherwise,
    offer_explained,
    offer_to_go_on,
)
from assistant.shell.prompts import TELLS, is_known_word, not_understood, prompt_of
from assistant.shell.prompts import what_can_be_typed as typable
from assistant.shell.record import CTRL_C, CutOff, Record, forget
from assistant.shell.scene import Reply, Scene
from assistant.shell.verbs import VERBS, Typed, is_no_complaint, nearest_verb, number_in, read_line

if TYPE_CHECKING:
    from assistant.car.case import Case
    from assistant.diagnosis.session import Session

ALL_FINE = "I read: it is fine, so there is nothing to change. Say what it does where it is not, or quit."
FINE_SO_FAR = "I read: it is fine; not understood: {}. Say in other words what it does where it is not, or quit."
WRITES = ("make", "undo")


class Conversation:
    """One talk. `say` a line, `leave` on Ctrl-C; each returns a Reply."""

    def __init__(self, scene: Scene, record: Record, cut_off: CutOff | None = None) -> None:
        self.scene = scene
        self.record = record
        self._cut_off = cut_off
        self._beside = Beside(scene, self._on_own_car, self._do, lambda text: self._answer_to(text, None))

    # what drives it

    def opening(self) -> Reply:
        """Return the first prompt, with the offer to go on with a talk that was cut off; nothing is loaded for it."""
        return self._reply([] if self._cut_off is None else offer_to_go_on(self._cut_off))

    def say(self, text: str) -> Reply:
        """Write one typed line down, then answer it; quit is not written, so that going on goes on before it."""
        typed = read_line(text)
        if typed is not None and typed.verb == "quit":
            return Reply(self.saved_words(), "", over=True)
        if self._cut_off is not None and text.strip().lower() in YES:
            cut_off, self._cut_off = self._cut_off, None
            return self._go_on_with(cut_off)
        try:
            if self._cut_off is not None:
                return self._at_the_offer(text, typed, self._cut_off)
            self.record.typed(text)
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

        if self.is_asked and not self.scene.replaying:
            self.record.typed(CTRL_C)
        if self._beside.asked is not None:
            return self._reply(self._beside.leave())
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
        return self.scene.question is not None or self._beside.asked is not None

    def completions(self) -> tuple[str, ...]:
        """Return what Tab may complete at the open prompt."""
        words = self._prompt()[1]
        if self._beside.asked is not None or self._cut_off is not None:
            return words
        commands = tuple(verb.name for verb in VERBS if verb.name != "?")
        if not self.scene.bench.is_loaded:
            return (*words, *commands)
        knowledge = self.scene.bench.knowledge
        known = (*knowledge.levers, *knowledge.glossary)
        return (*words, *commands, *knowledge.symptoms, *(f"explain {word}" for word in known))

    def answers(self) -> tuple[str, ...]:
        """Return the answers of the open question, in the order of their numbers; none where nothing is asked."""
        question = self.scene.question
        if self._cut_off is not None:
            return GO_ON
        if question is None or self._beside.asked is not None:
            return ()
        return tuple(choice.says for choice in question.choices)

    def saved_words(self) -> list[Block]:
        """Return what quit and Ctrl-D say: nothing is lost."""
        if self._cut_off is not None:
            return [Line(STILL_THERE)]
        if not self.record.has_lines:
            return [Line("Good running.")]
        if not self.record.is_kept:
            return [Line(NOT_KEPT)]
        return [Line(SAVED)]

    # who answers

    def _hear(self, text: str) -> Reply:
        typed = read_line(text)
        if self._beside.asked is not None:
            return self._reply(self._beside.hear(text, typed))
        return self._reply(self._answer_to(text, typed))

    def _answer_to(self, text: str, typed: Typed | None) -> list[Block]:
        if not text.strip():
            return [Line(typable(self.scene))]
        if typed is not None:
            return self._do(typed)
        if (word := word_asked(text)) and is_known_word(self.scene, word):
            return self._do(Typed("help", word))
        if self.scene.question is not None:
            return self._answer(text)
        if self.scene.advice is not None and (number := number_in(text)) is not None:
            return self._do(Typed("why", str(number)))
        return self._complain(text)

    def _do(self, typed: Typed) -> list[Block]:
        """Commands that move the talk are here; all others are screens of the scene."""
        from assistant.shell import interview  # noqa: PLC0415 - not before the first prompt

        if typed.verb == "mine":
            return self._beside.begin_own_car()
        if typed.verb == "temps":
            return self._beside.begin_temps(typed.rest)
        from assistant.shell.verb_screens import SCREENS  # noqa: PLC0415 - not before the first prompt

        screen = interview.MOVES.get(typed.verb) or SCREENS[typed.verb]
        blocks = screen(self.scene, typed.rest)
        if typed.verb in WRITES and not self.scene.replaying:
            self.record.holds(self.scene.bench.on_file.values)
        return blocks

    def _on_own_car(self, case: Case) -> None:
        """Go on with a car that was just described: a talk of its own, and the car the next one opens on."""
        if not case.file:
            return
        remember_car(case.name, Path(case.file))
        self.record = self.record.anew(str(Path(case.file).resolve()))
        self.scene.talk = self.record.name

    def _complain(self, text: str) -> list[Block]:
        from assistant.diagnosis import session  # noqa: PLC0415 - imports the rules

        scene = self.scene
        begun = session.start(scene.bench.case, scene.bench.knowledge, text)
        if scene.session is not None and not begun.stop and is_no_complaint(text):
            return not_understood(self.scene, text, ())
        if not begun.reading.readable and not begun.stop:
            said = begun.reading.said
            if said.part and not scene.stop and not is_known_word(scene, text):
                return self._begin(begun)  # a part was named: first whether the car is sound
            if not said.claims or any(claim.balance != "fine" for claim in said.claims):
                return not_understood(self.scene, text, said.unread)
            return [Line(FINE_SO_FAR.format(", ".join(said.unread)) if said.unread else ALL_FINE)]
        return self._begin(begun)

    def _begin(self, begun: Session) -> list[Block]:
        from assistant.shell import interview  # noqa: PLC0415 - not before the first prompt
        from assistant.shell.keep import prints_of  # noqa: PLC0415 - imports pydantic

        if not self.scene.replaying:
            self.record.began_with(begun.case.setup.values, prints_of(begun.case))
            self.record.complained(begun.text)
        return interview.begin(self.scene, begun)

    def _answer(self, text: str) -> list[Block]:
        """Take the line as an answer; what is no answer may be a new complaint."""
        from assistant.shell import interview  # noqa: PLC0415 - not before the first prompt

        session, question = self.scene.session, self.scene.question
        assert session is not None and question is not None  # noqa: S101, PT018 - a question is open
        answered = session.reply(text)
        if answered is not None:
            self.scene.session = answered
            return [*interview.taken_as(text, answered), *interview.go_on(self.scene)]
        if begins_anew(self.scene, text):
            return self._complain(text)
        refusal = say_no_answer(text, question)
        if is_known_word(self.scene, text):
            return [Line(f"{refusal} {TELLS.format(text.strip())}")]
        meant = nearest_verb(text)
        return [*([Line(f"Did you mean '{meant}'?")] if meant else []), Line(refusal)]

    # going on with a talk that was cut off

    def _at_the_offer(self, text: str, typed: Typed | None, talk: CutOff) -> Reply:
        """Answer while the offer stands: only a no or a new beginning turns it down, and only that is written down."""
        if text.strip().lower() in NO:
            self._turn_down(talk)
            return self._reply([])
        if begins_anew(self.scene, text) if typed is None else typed.verb in ("mine", "temps"):
            self._turn_down(talk)
            self.record.typed(text)
            return self._hear(text)
        if typed is None or typed in (Typed("?"), Typed("help")):
            return self._reply(offer_explained(talk))
        return self._reply([*self._do(typed), *offer_to_go_on(talk)])

    def _turn_down(self, talk: CutOff) -> None:
        forget(talk)
        self._cut_off = None

    def _go_on_with(self, talk: CutOff) -> Reply:
        """Type its lines once more, which writes nothing; a car that is not what it was begins anew with its words."""
        if changed := changed_since(self.scene, talk):
            return self._begin_anew(talk, changed)
        reply = self._type_again(talk)
        if changed := moved_otherwise(self.scene):
            return self._begin_anew(talk, changed)
        self.record.go_on_with(talk)
        self.scene.talk = self.record.name
        said = Line(f"Where you left: {count_of(len(talk.typed), 'line')} taken up.")
        return Reply([said, *reply.blocks], reply.prompt, reply.words)

    def _begin_anew(self, talk: CutOff, changed: Sequence[str]) -> Reply:
        """Begin a talk about the car as it is now, with the complaint of the one before."""
        forget(talk)
        self.scene.begin_anew()
        self._beside.asked = None
        said = Line(f"The car is not what it was in that talk ({'; '.join(changed)}), so a new one begins.")
        if not talk.said:
            return self._reply([said])
        self.record.typed(talk.said)
        return self._reply([said, Line(f"You said then: {talk.said}."), *self._complain(talk.said)])

    def _type_again(self, talk: CutOff) -> Reply:
        if talk.setup:
            self.scene.bench.begin_with(talk.setup)
        self.scene.replaying = True
        reply = self._reply([])
        for line in talk.typed:
            again = read_line(line)
            if again is not None and again.verb in ("quit", "sheet"):
                continue  # the page was written the first time
            with suppress(BadInput):  # it was told the first time
                reply = self.leave() if line == CTRL_C else self._hear(line)
        self.scene.replaying = False
        return reply

    # prompts

    def _reply(self, blocks: list[Block]) -> Reply:
        prompt, words = self._prompt()
        return Reply(blocks, prompt, words)

    def _prompt(self) -> tuple[str, tuple[str, ...]]:
        if self._cut_off is not None:
            return "1, 2, or what the car is doing", ("yes", "no")
        if self._beside.asked is not None:
            return self._beside.asked.prompt, self._beside.asked.words
        return prompt_of(self.scene)
