"""What a typed line is taken for when it is no command: an answer, what the car does, a word, or a miss."""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from assistant.diagnosis.gauges_read import is_reading
from assistant.diagnosis.hearing import handling_meant
from assistant.diagnosis.questions import is_unsure
from assistant.diagnosis.said_change import NoChangeError, read_change
from assistant.ground.choosing import number_in
from assistant.ground.names import quoted
from assistant.ground.understood import AT_ONCE
from assistant.pages import felt_words, sayings
from assistant.pages import packs as lookup
from assistant.pages.advice import first_offers
from assistant.pages.blocks import Block, Line
from assistant.pages.felt_words import act_of
from assistant.pages.hearing_words import say_no_answer, say_taken
from assistant.shell import interview, screens
from assistant.shell.dialogs import Dialog, says_nothing
from assistant.shell.interview import questions_of_look
from assistant.shell.plain_questions import answer_of_talk, answer_of_word, asks_price, is_asked
from assistant.shell.since import read_felt
from assistant.shell.verbs import is_no_complaint, nearest_verb, read_line

if TYPE_CHECKING:
    from assistant.diagnosis.questions import OpenQuestion
    from assistant.diagnosis.session import Session
    from assistant.shell.talk_state import TalkState

ANOTHER_WAY = 2
"""At the second line in a row that is no answer a question is put in other words."""
LEAST_WORDS = 3
"""Words of a line from which it may tell what a look of the list found."""
MOST_OF_A_NAME = 3
"""Words of a short answer; a longer one may tell of somebody in danger."""
NOT_MEANT = 2
"""Number of the answer to a stop that takes it back."""
_MENDED = re.compile(r"\b(fixed|mended|repaired|replaced|sorted|done)\b")
_AS_TOLD = re.compile(r"\b(?:like|as|already|just) (?:i |we )?(?:said|told)\b|\b(?:i|we) (?:\w+ )?(?:said|told you)\b")
_NOT_MEANT = re.compile(
    r"\bnot (?:what i (?:meant|said|mean)|that)\b|\bdid ?n.?t (?:mean|say)\b|\bfalse alarm\b"
    r"|\b(?:it|that) was (?:nothing|last|yesterday|weeks? ago|ages ago|a while (?:back|ago)|another (?:day|car))\b"
)
_NONE_BROKEN = re.compile(
    r"(?:no|nope|nah|wrong|none(?: of (?:these|those|them))?)\W*$"
    r"|\b(?:nothing|not|none)(?:.s| is| was|) (?:\w+ )?(?:broken?|wrong|bent|loose|hurt|damaged|hit|busted)\b"
)
"""What takes back a danger that was told; the second only where it does not answer whether the car was looked over."""


_ELSE = re.compile(r"(?:it'?s )?(?:something else|neither|none of (?:these|those|them))\b")
"""Who turns down a whole list: something else is the matter."""


class QuestionDialog(Dialog):
    """The open question of the interview; a line that says what the car does is for the talk to hear."""

    left = sayings.LEFT_QUESTION
    hears_facts = True
    explained_by = frozenset({"?"})

    def __init__(self, state: TalkState, question: OpenQuestion) -> None:
        self._state, self._question = state, question
        self.answers = self.words = tuple(choice.says for choice in question.choices)
        self.prompt = sayings.QUESTION_PROMPT.format(len(self.answers))
        self.takes_yes = any(answer.lower().startswith("yes") for answer in self.answers)
        self.when_left = partial(interview.leave_question, state)

    def opening(self) -> list[Block]:
        """Ask."""
        return interview.question_blocks(self._state)

    def explained(self) -> list[Block]:
        """Say why it is asked, what each answer means, and how to tell."""
        return interview.question_explained(self._state)

    def say(self, text: str) -> list[Block]:
        """Take the line as an answer; what is none may be a new complaint."""
        if not text.strip():
            return [Line(interview.what_can_be_typed(self._state)), *self.opening()]
        session = self._state.session
        begun = text if read_line(text) is None else str(self.number_of(text) or text)
        answered = None if session is None else session.reply(begun)
        if session is not None and answered is not None:
            self.is_over = True
            is_place = number_in(text) is not None or read_line(text) is not None
            taken = "" if is_place else say_taken(text, session, answered)
            return [*([Line(taken)] if taken else []), *interview.take_answer(self._state, answered)]
        is_news = begins_anew(self._state, text) and not self._state.is_told(text)
        is_heard = (is_news or read_felt(self._state, text) is not None) and not is_reading(text)
        self.is_over, self.unheard = is_heard, text if is_heard else ""
        return [] if is_heard else self._refused(text)

    def again(self) -> list[Block]:
        """Ask again what is still asked after a command."""
        return self.opening() if self._state.question == self._question else []

    def _refused(self, text: str) -> list[Block]:
        """Say what the line may have been meant for, and ask again; a second miss is asked in other words."""
        if _AS_TOLD.search(text.lower()) or self._state.is_told(text):
            return [Line(sayings.TOLD_BEFORE), *self.opening()]
        known = [Line(sayings.TELLS.format(text.strip()))] if is_known_word(self._state, text) else []
        meant = [] if known or self._state.heard(text).reading.said.claims else suggest(self._state, text)
        if meant:
            return [*meant, *self.opening()]
        self._state.missed += 1
        if self._state.missed == ANOTHER_WAY:
            return [Line(say_no_answer(text)), *self.opening()[:-1], *self.explained()]
        unsure = [at for at, one in enumerate(self._question.choices, 1) if is_unsure(one.id)]
        nearest = [Line(sayings.NEAREST.format(unsure[0]))] if unsure and self._state.missed > ANOTHER_WAY else []
        return [Line(say_no_answer(text)), *known, *nearest, *self.opening()]


class WhichDialog(Dialog):
    """Which offer of the list was done, where what it did is said of one that nobody told of. chosen: its number."""

    left = felt_words.LEFT_WHICH
    asks = felt_words.WHICH
    means = (Line(felt_words.PAST_WHICH),)
    own = frozenset({"make", "back"})
    hears_facts = True
    ended_by = frozenset({"made", "undo", "mine"})
    chosen = 0

    def __init__(self, state: TalkState) -> None:
        shown = state.offers[: state.shown] or first_offers(state.offers)
        acts = (act_of(state.say_offer(one)) for one in shown)
        self._count = len(state.offers)
        self.answers = (*acts, felt_words.NONE_OF_THESE)
        self.words = (*self.answers, "back")
        self.prompt = sayings.BACK_PROMPT.format(len(self.answers))

    def say(self, text: str) -> list[Block]:
        """Take a number, alone or behind make; back leaves it, and takes nothing back."""
        typed, number = read_line(text), self.number_of(text)
        if typed is not None and typed.verb == "back":
            self.is_over, self.when_over = True, list
            return [Line(self.left)]
        self.chosen = number if number is not None and number < len(self.answers) else 0
        if typed is not None and (made := number_in(typed.rest) or 0) <= self._count:
            number = self.chosen = made
        self.is_over = number is not None and (typed is None or self.chosen > 0)
        return [] if self.is_over else self.explained()


def begins_anew(state: TalkState, text: str) -> bool:
    """Whether a line says what the car does, so that it begins anew; "ok", a number and a question do not."""
    if not text.strip() or number_in(text) is not None:
        return False
    begun = state.heard(text)
    return bool(begun.stop) or (begun.reading.readable and not is_no_complaint(text))


def begins_something(state: TalkState, text: str) -> bool:
    """Whether a line says what the car does, or enough of it that questions help on; a question does not."""
    is_question = is_asked(text) or is_no_complaint(text)
    return begins_anew(state, text) or (not is_question and is_vague(state, state.heard(text), text))


def _answer_stop(state: TalkState, text: str) -> list[Block] | None:
    """Take what is said of a danger that was told: it is mended, or was not meant; None for any other line."""
    session, number = state.session, number_in(text)
    if session is None or not interview.is_danger_told(state) or (state.question is not None and number is not None):
        return None
    if is_asked(text) and set(session.reading.said.safety) & set(state.heard(text).reading.said.safety):
        return interview.where_to_look(state) or None
    if number == 1 or (number is None and _MENDED.search(text.lower()) and not begins_anew(state, text)):
        return [Line(sayings.MENDED)]
    if number != NOT_MEANT and (begins_anew(state, text) or not _takes_back(state, text.lower())):
        return None
    return interview.take_answer(state, session.misheard())


def _takes_back(state: TalkState, plain: str) -> bool:
    """Whether a line takes back a danger; "nothing is broken" answers a question whether the car was looked over."""
    is_of_look = state.question is not None and state.question.id != "safety_kind"
    return bool(_NOT_MEANT.search(plain) or (not is_of_look and _NONE_BROKEN.search(plain)))


def is_urgent(state: TalkState, text: str) -> bool:
    """Whether a line tells of somebody in danger, so that whatever is being asked waits."""
    return len(text.split()) > MOST_OF_A_NAME and not AT_ONCE.isdisjoint(state.heard(text).reading.said.safety)


def is_known_word(state: TalkState, text: str) -> bool:
    """Whether a line is a word that can be explained."""
    return bool(text.strip()) and lookup.explain(text, state.bench.knowledge) is not None


def suggest(state: TalkState, text: str, meant: str = "") -> list[Block]:
    """Ask whether a line was meant for a command, the nearest where none is given; a yes then does it."""
    state.meant = meant = meant or nearest_verb(text) or ""
    return [Line(sayings.DID_YOU_MEAN.format(quoted(text), meant))] if meant else []


def is_vague(state: TalkState, begun: Session, text: str) -> bool:
    """Whether a line nobody can read is meant for the car, so that questions help on; the second in a row mostly is."""
    said, knowledge = begun.reading.said, state.bench.knowledge
    bare = says_nothing(text)
    can_begin = state.session is None or bool(said.part) or (state.advised and not bare and bool(said.left_open))
    missed = state.missed > 0 and not (bare or nearest_verb(text))
    is_else = state.advised and _ELSE.match(text.strip().lower()) is not None
    vague = (begun.reading.tells_something and can_begin) or is_else or missed
    asks = state.advised and bool(said.question)
    return vague and not (state.stop or asks or handling_meant(text, knowledge) or is_known_word(state, text))


def not_understood(state: TalkState, text: str, left_open: Sequence[str] = ()) -> list[Block]:
    """Say what a line that tells nothing of the car may have been meant for; it asks and never acts."""
    if state.stop and _MENDED.search(text.lower()):
        return [Line(sayings.MENDED)]
    if meant := handling_meant(text, state.bench.knowledge):
        return suggest(state, text, meant)
    if left_open:
        return [Line(sayings.NEED_MORE.format(", ".join(left_open)))]
    if is_known_word(state, text):
        return [Line(sayings.ALONE.format(quoted(text), sayings.TELLS.format(text.strip())))]
    if any(letter.isdigit() for letter in text) and (change := _own_change(state, text)):
        return change
    return ([] if is_asked(text) else suggest(state, text)) or _not_made_out(state, text)


def _not_made_out(state: TalkState, text: str) -> list[Block]:
    """Say that nothing was made of a line, and what can be typed."""
    state.missed += 1
    can_be_typed = Line(f"{interview.what_can_be_typed(state)} {sayings.HELP_TELLS}")
    return [Line(sayings.NOT_MADE_OUT.format(quoted(text))), *(interview.show_stop(state) or [can_be_typed])]


def look_answered(state: TalkState, text: str) -> int:
    """Find the look of the list that a line tells the find of, by its number; 0 where none is."""
    session, listed = state.session, state.offers[: state.shown] if state.advised and not state.not_felt else ()
    is_short = len(text.split()) < LEAST_WORDS
    if session is None or not listed or is_short or is_asked(text):
        return 0
    begun = state.heard(text)
    is_of_part, is_part = begun.reading.is_of_part, bool(begun.reading.said.part)
    if not is_of_part and (begins_anew(state, text) or (not is_part and is_vague(state, begun, text))):
        return 0
    for offer in listed:
        asked = questions_of_look(state, offer.id) if offer.kind == "inspect" else ()
        for qid in (one for one in asked if one not in session.known):
            answered = replace(session, reasked=(qid, len(session.given))).reply(text)
            if answered is not None and qid in answered.answers:
                return offer.rank
    return 0


def _own_change(state: TalkState, text: str) -> list[Block]:
    """Show what a line that names a change would do: it may be made already, or only thought of."""
    with suppress(NoChangeError):
        read_change(text, state.bench.case.setup, state.bench.knowledge, state.system)
        return screens.try_words(state, text)
    return []


def answer_question(state: TalkState, text: str) -> list[Block] | None:
    """Answer what is asked plainly; None where a line is no such question.

    A sign of danger is heard first, in a question too; and what is said of one that was read in the words.
    """
    if (told := _answer_stop(state, text)) is not None:
        return told
    plain = " ".join(text.lower().replace("’", "'").split()).rstrip("?.! ")
    if (answer := answer_of_talk(state, plain)) is not None:
        return answer
    is_heard = state.heard(text).stop or (asks_price(plain) and begins_anew(state, text))
    return None if is_heard else answer_of_word(state, plain)
