"""The conversation itself: one typed line in, what to show out. The prompt and the line mode both drive it.

Here is only who answers a line: what is being asked, a command, or the reader of complaints.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.diagnosis.session import start as begin_session
from assistant.diagnosis.stems import word_asked
from assistant.ground.problems import BadInput
from assistant.ground.words import count_of, quoted
from assistant.pages import lookup
from assistant.pages.blocks import Block, Line
from assistant.pages.hearing_words import say_fine, say_no_answer
from assistant.shell import interview
from assistant.shell.dialogs import (
    FIRST_PROMPT,
    NOT_KEPT,
    NOTHING_SAID,
    SAVED,
    STILL_THERE,
    Dialog,
    GoOnDialog,
    Reply,
    first_reply,
    number_in,
)
from assistant.shell.keep import prints_of
from assistant.shell.own_car_dialog import OwnCarDialog
from assistant.shell.record import CTRL_C, CutOff, Record, forget, remember_car, writable_folder
from assistant.shell.temps_dialog import KeepTempsDialog, TempsDialog
from assistant.shell.verbs import VERBS, Typed, is_no_complaint, nearest_verb, read_line, verb_named

if TYPE_CHECKING:
    from assistant.diagnosis.session import Session
    from assistant.shell.talk_state import TalkState

MENDED = "Good. Say what the car does now, in your words; back goes to the question of faults."
TELLS = "help {} tells what it means."
_MENDED = re.compile(r"\b(fixed|mended|repaired|replaced|sorted|done)\b")


class Conversation:
    """One talk. `say` a line, `leave` on Ctrl-C; each returns a Reply."""

    def __init__(self, state: TalkState, record: Record, cut_off: CutOff | None = None) -> None:
        self.state = state
        self.record = record
        self._offer = None if cut_off is None else GoOnDialog(cut_off, self._begins_anew)
        self._dialog: Dialog | None = None
        self._when_over: Callable[[], list[Block]] = list
        self._when_left: Callable[[], list[Block]] = list

    # what drives it

    def opening(self) -> Reply:
        """Return the first prompt, with the offer to go on with a talk that was cut off; nothing is loaded for it."""
        return first_reply(None if self._offer is None else self._offer.talk)

    def say(self, text: str) -> Reply:
        """Write one typed line down, then answer it; quit is not written, so that going on goes on before it."""
        typed = read_line(text)
        if typed is not None and typed.verb == "quit":
            return Reply(self.saved_words(), "", over=True)
        try:
            if self._offer is None:
                self.record.typed(text)
            return self._reply(self._hear(text))
        except KeyboardInterrupt:
            hint = "enough asks for it again." if self.state.session is not None else "Say what the car does."
            return self._reply([Line(f"Stopped; {hint}")])
        except BadInput as mistake:
            if not self.state.bench.is_loaded:
                raise  # without a case or rules there is nothing to talk about
            rows = [row.strip() for problem in mistake.problems for row in problem.text().split("\n")]
            return self._reply([Line(row, mark="caution") for row in rows])

    def leave(self) -> Reply:
        """Ctrl-C: leave what is being asked; the answers given so far are kept."""
        if self.is_asked and not self.state.replaying:
            self.record.typed(CTRL_C)
        if (dialog := self._dialog) is not None:
            self._dialog = None
            return self._reply([Line(dialog.left), *self._when_left()])
        if self.state.question is not None:
            self.state.question = None
            return self._reply([Line("Left the question."), *interview.give_advice(self.state)])
        return self._reply([Line("Nothing is being asked. Ctrl-C once more, Ctrl-D or quit leaves.")])

    def advise_at_once(self) -> Reply:
        """Give the advice for the complaint on file, with no questions: for when nobody is there to answer."""
        said = self.state.bench.case.complaint
        blocks = self._complain(said)
        if self.state.question is not None:
            self.state.question = None
            told = Line(f"Nobody is typing; this is the advice for: {said}.")
            blocks = [told, *interview.give_advice(self.state)]
        return Reply(blocks, "", over=True)

    @property
    def is_asked(self) -> bool:
        """Whether a question is open, so that Ctrl-C has something to leave."""
        return self.state.question is not None or self._dialog is not None

    def completions(self) -> tuple[str, ...]:
        """Return what Tab may complete at the open prompt."""
        words = self._prompt()[1]
        if self.asked is not None:
            return words
        commands = tuple(verb.name for verb in VERBS if verb.name != "?")
        if not self.state.bench.is_loaded:
            return (*words, *commands)
        knowledge = self.state.bench.knowledge
        known = (*knowledge.levers, *knowledge.glossary)
        return (*words, *commands, *knowledge.symptoms, *(f"explain {word}" for word in known))

    def answers(self) -> tuple[str, ...]:
        """Return the answers of what is asked, in the order of their numbers; none where nothing is."""
        if self.asked is not None:
            return self.asked.answers
        question = self.state.question
        return () if question is None else tuple(choice.says for choice in question.choices)

    def saved_words(self) -> list[Block]:
        """Return what quit and Ctrl-D say: nothing is lost."""
        if self._offer is not None:
            return [Line(STILL_THERE)]
        if not self.record.has_lines:
            return [Line(NOTHING_SAID)]
        return [Line(SAVED if self.record.is_kept else NOT_KEPT)]

    # who answers

    @property
    def asked(self) -> Dialog | None:
        """What is asked beside the interview."""
        return self._offer or self._dialog

    def _hear(self, text: str) -> list[Block]:
        typed, asked = read_line(text), self.asked
        return self._answer(text, typed) if asked is None else self._hear_beside(asked, text, typed)

    def _hear_beside(self, asked: Dialog, text: str, typed: Typed | None) -> list[Block]:
        """Answer a line while something is asked: its own lines first, then screens; what moves the talk ends it."""
        if isinstance(asked, TempsDialog) and typed is not None and typed.verb == "temps":
            return self._tell(asked, typed.rest) if typed.rest else asked.opening()
        if typed is None or asked.takes_all or typed.verb in asked.own:
            return self._tell(asked, text)
        if typed in (Typed("?"), Typed("help")):
            return asked.explained()
        if typed.verb not in asked.ended_by:
            return [*self._do(typed), *asked.again()]
        if self._offer is not None:
            return self._turn_down(self._offer, text)
        self._dialog = None
        return [Line(asked.left), *self._do(typed)]

    def _tell(self, asked: Dialog, text: str) -> list[Block]:
        """Let what is asked answer a line, and go on when that was all."""
        blocks = asked.say(text)
        if not asked.is_over:
            return blocks
        if self._offer is not None:
            return self._after_offer(self._offer)
        self._dialog = None
        return [*blocks, *self._when_over()]

    def _ask(
        self, dialog: Dialog, when_over: Callable[[], list[Block]], when_left: Callable[[], list[Block]]
    ) -> list[Block]:
        """Open a dialog; when there is nothing to ask, go on at once."""
        self._dialog, self._when_over, self._when_left = dialog, when_over, when_left
        blocks = dialog.opening()
        if not dialog.is_over:
            return blocks
        self._dialog = None
        return [*blocks, *when_over()]

    def _answer(self, text: str, typed: Typed | None) -> list[Block]:
        """Answer a line of the talk itself: a command, a question, an answer, a number, or what the car does."""
        if not text.strip():
            return [Line(interview.what_can_be_typed(self.state))]
        if typed is not None:
            return self._do(typed)
        if (word := word_asked(text)) and self._is_known_word(word):
            return self._do(Typed("help", word))
        if self.state.question is not None:
            return self._take_answer(text)
        if self.state.advice is not None and (number := number_in(text)) is not None:
            return self._do(Typed("why", str(number)))
        return self._complain(text)

    def _do(self, typed: Typed) -> list[Block]:
        """Do a command; those that ask something of their own are here."""
        if typed.verb == "mine":
            return self._describe_car()
        if typed.verb == "temps":
            return self._enter_temps(typed.rest)
        verb = verb_named(typed.verb)
        if verb is None or verb.does is None:
            return []
        blocks = verb.does(self.state, typed.rest)
        if verb.writes and not self.state.replaying:
            self.record.holds(self.state.bench.on_file.values)
        return blocks

    def _complain(self, text: str) -> list[Block]:
        """Take a line as what the car does."""
        state = self.state
        begun = begin_session(state.bench.case, state.bench.knowledge, text)
        if state.session is not None and not begun.stop and is_no_complaint(text):
            return self._not_understood(text, ())
        if begun.stop or begun.reading.readable:
            return self._begin(begun)
        said = begun.reading.said
        if said.part and not state.stop and not self._is_known_word(text):
            return self._begin(begun)  # a part was named: first whether the car is sound
        if not said.claims or any(claim.balance != "fine" for claim in said.claims):
            return self._not_understood(text, said.left_open)
        return [Line(say_fine(said))]

    def _begin(self, begun: Session) -> list[Block]:
        if not self.state.replaying:
            self.record.began_with(begun.case.setup.values, prints_of(begun.case))
            self.record.complained(begun.text)
        return interview.begin(self.state, begun)

    def _take_answer(self, text: str) -> list[Block]:
        """Take the line as an answer; what is no answer may be a new complaint."""
        session, question = self.state.session, self.state.question
        answered = None if session is None else session.reply(text)
        if answered is not None:
            return [*_taken_as(text, answered), *interview.take_answer(self.state, answered)]
        if self._begins_anew(text) or question is None:
            return self._complain(text)
        refusal = say_no_answer(text, question)
        if self._is_known_word(text):
            return [Line(f"{refusal} {TELLS.format(text.strip())}")]
        meant = nearest_verb(text)
        return [*([Line(f"Did you mean '{meant}'?")] if meant else []), Line(refusal)]

    def _begins_anew(self, text: str) -> bool:
        """Whether a line says what the car does, so that it begins anew; "ok", a number and a question do not."""
        if not text.strip() or number_in(text) is not None:
            return False
        begun = begin_session(self.state.bench.case, self.state.bench.knowledge, text)
        return bool(begun.stop) or (begun.reading.readable and not is_no_complaint(text))

    def _is_known_word(self, text: str) -> bool:
        """Whether a line is a word that can be explained."""
        return bool(text.strip()) and lookup.explain(text, self.state.bench.knowledge) is not None

    def _not_understood(self, text: str, left_open: Sequence[str]) -> list[Block]:
        """Say what a line that tells nothing of the car may have been meant for."""
        if self.state.stop and _MENDED.search(text.lower()):
            return [Line(MENDED)]
        if left_open:
            return [Line(f"I need more than that: {', '.join(left_open)}. Say it again with the answer in it.")]
        if self._is_known_word(text):
            return [Line(f"{quoted(text)} alone says nothing of what the car does. {TELLS.format(text.strip())}")]
        meant = nearest_verb(text)
        if meant:
            return [Line(f"I do not know {quoted(text)}; did you mean '{meant}'?")]
        return [
            Line(f"I cannot make out {quoted(text)}."),
            Line(f"Say what the car does, such as: {interview.EXAMPLES}. Type help for the commands."),
        ]

    # what is asked beside the interview

    def _describe_car(self) -> list[Block]:
        dialog = OwnCarDialog(self.state.system, writable_folder())
        return self._ask(dialog, partial(self._take_car, dialog), partial(interview.question_blocks, self.state))

    def _take_car(self, dialog: OwnCarDialog) -> list[Block]:
        """Work on a car that was just described: a talk of its own, and the car the next one opens on."""
        case = dialog.case
        if case is None:
            return []
        self.state.begin_with(case)
        if case.file:
            remember_car(case.name, Path(case.file))
            self.record = self.record.anew(str(Path(case.file).resolve()))
            self.state.name = self.record.name
        return []

    def _enter_temps(self, numbers: str) -> list[Block]:
        dialog = TempsDialog(self.state.system)
        opening = self._ask(dialog, partial(self._take_temps, dialog), partial(interview.question_blocks, self.state))
        return self._tell(dialog, numbers) if numbers else opening

    def _take_temps(self, dialog: TempsDialog) -> list[Block]:
        """Let the temperatures count, and ask whether to keep them for the next talk."""
        state = self.state
        if dialog.treads is None:
            return [Line(dialog.left), *interview.question_blocks(self.state)]
        interview.take_treads(state, dialog.treads)
        keep = KeepTempsDialog(state.bench.case, dialog.treads, state.name, state.system, again=state.replaying)
        return self._ask(keep, partial(self._after_keeping, keep), partial(interview.weigh_anew, state))

    def _after_keeping(self, dialog: KeepTempsDialog) -> list[Block]:
        return self._answer(dialog.unheard, None) if dialog.unheard else interview.weigh_anew(self.state)

    # going on with a talk that was cut off

    def _after_offer(self, offer: GoOnDialog) -> list[Block]:
        if offer.is_taken:
            self._offer = None
            return self._go_on_with(offer.talk)
        return self._turn_down(offer, offer.unheard)

    def _turn_down(self, offer: GoOnDialog, text: str) -> list[Block]:
        """Begin a new talk, with the line that turned the old one down, if there was one."""
        forget(offer.talk)
        self._offer = None
        if not text:
            return []
        self.record.typed(text)
        return self._answer(text, read_line(text))

    def _go_on_with(self, talk: CutOff) -> list[Block]:
        """Type its lines once more, which writes nothing; a car that is not what it was begins anew with its words."""
        bench, system = self.state.bench, self.state.system
        if changed := bench.changed_since(talk, system):
            return self._begin_anew(talk, changed)
        blocks = self._type_again(talk)
        if changed := bench.moved_otherwise(system):
            return self._begin_anew(talk, changed)
        self.record.go_on_with(talk)
        self.state.name = self.record.name
        return [Line(f"Where you left: {count_of(len(talk.typed), 'line')} taken up."), *blocks]

    def _begin_anew(self, talk: CutOff, changed: Sequence[str]) -> list[Block]:
        """Begin a talk about the car as it is now, with the complaint of the one before."""
        forget(talk)
        self.state.begin_anew()
        self._dialog = None
        said = Line(f"The car is not what it was in that talk ({'; '.join(changed)}), so a new one begins.")
        if not talk.said:
            return [said]
        self.record.typed(talk.said)
        return [said, Line(f"You said then: {talk.said}."), *self._complain(talk.said)]

    def _type_again(self, talk: CutOff) -> list[Block]:
        if talk.setup:
            self.state.bench.begin_with(talk.setup)
        self.state.replaying = True
        blocks: list[Block] = []
        for line in talk.typed:
            again = read_line(line)
            if again is not None and again.verb in ("quit", "sheet"):
                continue  # the page was written the first time
            with suppress(BadInput):  # it was told the first time
                blocks = self.leave().blocks if line == CTRL_C else self._hear(line)
        self.state.replaying = False
        return blocks

    # prompts

    def _reply(self, blocks: list[Block]) -> Reply:
        return Reply(blocks, *self._prompt(), goodbye=tuple(self.saved_words()))

    def _prompt(self) -> tuple[str, tuple[str, ...]]:
        """Return the prompt where the talk stands, and the answers Tab may complete besides the commands."""
        state, question = self.state, self.state.question
        if self.asked is not None:
            return self.asked.prompt, self.asked.words
        if question is not None:
            return f"1 to {len(question.choices)}, ?, back or enough", self.answers()
        if state.advice is not None and not state.stop and not state.made_here:
            numbered = tuple(f"{verb} {number}" for number in (1, 2, 3) for verb in ("why", "try", "make"))
            return "2 or why 2 for more of it, try 1, make 1, more, ask, sheet, help, or new words", numbered
        return self._what_now(), ()

    def _what_now(self) -> str:
        """Ask what the car does."""
        state = self.state
        if state.stop:
            return "When it is mended: what the car does now, back or quit"
        if state.made_here:
            return "What does it do now? (your words, make another, sheet, undo, show or quit)"
        return "What does it do now? (your words, undo, show or quit)" if state.made else FIRST_PROMPT


def _taken_as(text: str, session: Session) -> list[Block]:
    """Say which answer was understood where words were typed that are none of them: "kinda bad"."""
    given = session.answered()
    if number_in(text) is not None or not given or read_line(text) is not None:
        return []
    taken = given[-1].says
    return [] if text.strip().lower() in taken.lower() else [Line(f"Taken as: {taken}.")]
