"""What a typed line is taken for when it is no command: an answer, what the car does, a word, or a miss."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from assistant.diagnosis.session import start as begin_session
from assistant.ground.words import quoted
from assistant.pages import lookup
from assistant.pages.blocks import Block, Line
from assistant.pages.hearing_words import say_no_answer
from assistant.shell import interview
from assistant.shell.dialogs import Dialog, number_in
from assistant.shell.verbs import is_no_complaint, nearest_verb, read_line

if TYPE_CHECKING:
    from assistant.diagnosis.questions import OpenQuestion
    from assistant.diagnosis.session import Session
    from assistant.shell.talk_state import TalkState

MENDED = "Good. Say what the car does now, in your words; back goes to the question of faults."
TELLS = "help {} tells what it means."
_MENDED = re.compile(r"\b(fixed|mended|repaired|replaced|sorted|done)\b")


class QuestionDialog(Dialog):
    """The open question of the interview; a line that says what the car does is for the talk to hear."""

    left = "Left the question."
    explained_by = frozenset({"?"})

    def __init__(self, state: TalkState, question: OpenQuestion) -> None:
        self._state = state
        self._question = question
        self.answers = tuple(choice.says for choice in question.choices)
        self.when_left = partial(interview.leave_question, state)

    @property
    def prompt(self) -> str:
        """The words above the prompt."""
        return f"1 to {len(self.answers)}, ?, back or enough"

    @property
    def words(self) -> tuple[str, ...]:
        """What Tab may complete besides the commands."""
        return self.answers

    @property
    def is_over(self) -> bool:
        """Whether something else stands in its place, or the line is for the talk."""
        return self._state.question is not self._question or bool(self.unheard)

    def opening(self) -> list[Block]:
        """Ask."""
        return interview.question_blocks(self._state)

    def explained(self) -> list[Block]:
        """Say why it is asked, what each answer means, and how to tell."""
        return interview.question_explained(self._state)

    def say(self, text: str) -> list[Block]:
        """Take the line as an answer; what is none may be a new complaint."""
        if not text.strip():
            return [Line(interview.what_can_be_typed(self._state))]
        session = self._state.session
        answered = None if session is None else session.reply(text)
        if answered is not None:
            return [*_taken_as(text, answered), *interview.take_answer(self._state, answered)]
        self.unheard = text if begins_anew(self._state, text) else ""
        return [] if self.unheard else self._refused(text)

    def _refused(self, text: str) -> list[Block]:
        refusal = say_no_answer(text, self._question)
        if is_known_word(self._state, text):
            return [Line(f"{refusal} {TELLS.format(text.strip())}")]
        meant = nearest_verb(text)
        return [*([Line(f"Did you mean '{meant}'?")] if meant else []), Line(refusal)]


def _taken_as(text: str, session: Session) -> list[Block]:
    """Say which answer was understood where words were typed that are none of them: "kinda bad"."""
    given = session.answered()
    if number_in(text) is not None or not given or read_line(text) is not None:
        return []
    taken = given[-1].says
    return [] if text.strip().lower() in taken.lower() else [Line(f"Taken as: {taken}.")]


def begins_anew(state: TalkState, text: str) -> bool:
    """Whether a line says what the car does, so that it begins anew; "ok", a number and a question do not."""
    if not text.strip() or number_in(text) is not None:
        return False
    begun = begin_session(state.bench.case, state.bench.knowledge, text)
    return bool(begun.stop) or (begun.reading.readable and not is_no_complaint(text))


def is_known_word(state: TalkState, text: str) -> bool:
    """Whether a line is a word that can be explained."""
    return bool(text.strip()) and lookup.explain(text, state.bench.knowledge) is not None


def not_understood(state: TalkState, text: str, left_open: Sequence[str] = ()) -> list[Block]:
    """Say what a line that tells nothing of the car may have been meant for."""
    if state.stop and _MENDED.search(text.lower()):
        return [Line(MENDED)]
    if left_open:
        return [Line(f"I need more than that: {', '.join(left_open)}. Say it again with the answer in it.")]
    if is_known_word(state, text):
        return [Line(f"{quoted(text)} alone says nothing of what the car does. {TELLS.format(text.strip())}")]
    if meant := nearest_verb(text):
        return [Line(f"I do not know {quoted(text)}; did you mean '{meant}'?")]
    return [
        Line(f"I cannot make out {quoted(text)}."),
        Line(f"Say what the car does, such as: {interview.EXAMPLES}. Type help for the commands."),
    ]
