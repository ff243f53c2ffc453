"""One way of asking: what stands at the prompt, what a typed line is answered with, and whether it is over.

The open question of the interview, the questions about one's own car, the temperatures of its tires, whether to keep
them, and the offer to go on with a talk are all asked so. Nothing heavy is here: the first prompt is made of it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from assistant.diagnosis.verdict import read_verdict
from assistant.ground.choosing import is_at_a_loss, number_in, place_of
from assistant.ground.folders import DEMO_CASES
from assistant.ground.names import count_of
from assistant.notebook.book import CutOff, Notebook
from assistant.notebook.cars import find_car
from assistant.notebook.record import Record
from assistant.pages import sayings
from assistant.pages.blocks import BLANK, Block, Choices, Line
from assistant.pages.felt_words import (
    CHOICES,
    MAY_BE_ANSWERED,
    NAMES,
    NOT_RUN,
    ask_to_go_on,
    ask_what_it_did,
    going_on_means,
)

YES_WORDS = ("yes", "y", "yep", "yeah", "sure")
YES, NO = ("1", *YES_WORDS), ("2", "no", "n", "nope", "nah")
LEFT = 130
"""Exit code after Ctrl-C twice where nothing was being asked."""
MARK = "> "
"""What the cursor stands behind: two letters, so that nothing is left behind when the window changes its size."""


@dataclass(frozen=True)
class Reply:
    """What to show, the words of the next prompt, what can be completed there, and whether the talk is over.

    goodbye: what Ctrl-D says there.
    """

    blocks: list[Block]
    prompt: str
    words: tuple[str, ...] = ()
    over: bool = False
    goodbye: tuple[Block, ...] = ()


def says_nothing(text: str) -> bool:
    """Whether a line is a bare yes, no or number, or does not know: where nothing is asked it tells nothing."""
    return text.strip().lower() in {*YES, *NO} or number_in(text) is not None or is_at_a_loss(text)


class Dialog:
    """Something being asked.

    left: what is said when Ctrl-C leaves it open, "" where it cannot be left. prompt: what can be typed. words: what
    Tab may complete besides the commands. answers: the numbered ones, in their order. own: commands it answers itself.
    explained_by: commands that ask what can be typed. ended_by: commands that end it; every other one is answered
    beside it. takes_all: every line is an answer. takes_yes: a yes is an answer. hears_facts: what is told of the car
    is heard beside it. is_over: nothing more is asked. unheard: a line it is over with, for somebody else to hear.
    asks: the question. means: what is said of its answers. led_by: the lines that led to what is asked. when_over,
    when_left: what follows; whoever asks says so.
    """

    left = ""
    prompt = ""
    words: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()
    own: frozenset[str] = frozenset()
    explained_by: frozenset[str] = frozenset({"?", "help"})
    ended_by: frozenset[str] = frozenset()
    takes_all = False
    takes_yes = True
    hears_facts = False
    is_over = False
    unheard = ""
    asks = ""
    means: tuple[Line, ...] = ()
    led_by: tuple[str, ...] = ()
    when_over: Callable[[], list[Block]] = list
    when_left: Callable[[], list[Block]] = list

    def opening(self) -> list[Block]:
        """Ask."""
        return [BLANK, Line(self.asks, mark="heading"), Choices(self.answers)]

    def again(self) -> list[Block]:
        """Say what stands again after a command was answered beside it."""
        return self.opening()

    def explained(self) -> list[Block]:
        """Say what can be typed, for who types ?."""
        return [*self.means, Choices(self.answers)]

    def say(self, text: str) -> list[Block]:
        """Answer one typed line."""
        raise NotImplementedError

    def is_begun_by(self, text: str) -> bool:
        """Whether one of the answers begins with these words: "tires" is an answer then, and no command."""
        return any(re.match(rf"{re.escape(text.strip())}(?!\w)", one, re.IGNORECASE) for one in self.answers)

    def number_of(self, text: str) -> int | None:
        """Read a line as one of the answers, by its number, its place or its words; None for anything else."""
        at = place_of(text, [(one,) for one in self.answers])
        return None if at is None else at + 1


class GoOnDialog(Dialog):
    """The offer to go on with a talk that was cut off; only a no or a new beginning turns it down.

    begins_anew: whether a line says what the car does. is_taken: the answer was yes.
    """

    prompt = sayings.GO_ON_PROMPT
    words: tuple[str, ...] = ("yes", "no")
    answers: tuple[str, ...] = sayings.GO_ON
    ended_by = frozenset({"mine"})

    def __init__(self, talk: CutOff, begins_anew: Callable[[str], bool] = lambda _: False) -> None:
        self.talk = talk
        self.is_taken = False
        self._begins_anew = begins_anew
        lines = count_of(len(talk.typed), "line")
        self.asks = ask_to_go_on(talk.began, lines)
        self.means = tuple(Line(text, lead=lead) for lead, text in going_on_means(lines))

    def explained(self) -> list[Block]:
        """Say what the two answers do, and what else can be typed."""
        return [*self.means]

    def say(self, text: str) -> list[Block]:
        """Take a yes, a no, what the last change did or what the car does; explain the offer to anything else."""
        plain, is_felt = text.strip().lower(), read_verdict(text) is not None
        number = None if is_felt else self.number_of(text)
        is_answer = plain in {*YES, *NO} or number is not None
        self.is_taken = plain in YES or number == 1 or (is_felt and not is_answer)
        self.unheard = text if not is_answer and (is_felt or self._begins_anew(text)) else ""
        self.is_over = is_answer or bool(self.unheard)
        return [] if self.is_over else self.explained()


class WhatItDidDialog(GoOnDialog):
    """The question what a change of an earlier talk did: a number, or the driver's own words."""

    prompt = sayings.DID_PROMPT
    answers = (*(NAMES[name] for name in CHOICES), NOT_RUN)
    words = (*answers, "no")

    def __init__(self, talk: CutOff, begins_anew: Callable[[str], bool] = lambda _: False) -> None:
        super().__init__(talk, begins_anew)
        self.asks = ask_what_it_did(talk.began, talk.made, talk.said)
        self.means = (Line(MAY_BE_ANSWERED),)

    def say(self, text: str) -> list[Block]:
        """Take a number, a word for what it did, or what the car does now; no begins a new talk."""
        plain = text.strip().lower()
        is_said = plain in {*YES[1:], *NO[1:]} or read_verdict(text) is not None
        number = None if is_said else self.number_of(text)
        chosen = self.answers[number - 1] if number else plain
        yet = chosen in {NOT_RUN, *YES[1:]}
        heard = read_verdict(chosen) is not None or self._begins_anew(text)
        self.is_taken = yet or heard
        self.unheard = chosen if number and not yet else text if heard and not yet else ""
        self.is_over = self.is_taken or plain in NO[1:]
        return [] if self.is_over else self.explained()


def cut_off_about(book: Notebook, name: str) -> CutOff | None:
    """Find the talk to go on with; one that ended has a change to ask about only where the car keeps its changes."""
    found = book.last_cut_off(find_car(book, name))
    return None if found is not None and found.is_over and name in DEMO_CASES else found


def offer_to_go_on(talk: CutOff, begins_anew: Callable[[str], bool] = lambda _: False) -> GoOnDialog:
    """Ask what the last change did, where one waits for it; else offer to go on."""
    return WhatItDidDialog(talk, begins_anew) if talk.made else GoOnDialog(talk, begins_anew)


def first_reply(talk: CutOff | None) -> Reply:
    """Return the first prompt, with the offer to go on where a talk was cut off."""
    if talk is None:
        return Reply([], sayings.FIRST_PROMPT, goodbye=(Line(sayings.NOTHING_SAID),))
    offer = offer_to_go_on(talk)
    return Reply(offer.opening(), offer.prompt, offer.words, goodbye=(Line(sayings.STILL_THERE),))


def goodbye(record: Record) -> str:
    """Say at the end what of the talk is saved."""
    if not record.has_lines:
        return sayings.NOTHING_SAID
    return sayings.SAVED if record.is_kept else sayings.NOT_ALL_KEPT if record.can_keep else sayings.NOT_KEPT
