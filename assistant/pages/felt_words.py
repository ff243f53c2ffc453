"""What is said of a change that was felt: what it came to, beside what was promised, and the ways back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

NAMES = {
    "fixed": "fixed it",
    "better": "better",
    "a little better": "a little better",
    "same": "the same",
    "worse": "worse",
    "half": "half of it is gone",
    "much better": "much better",
    "much worse": "much worse",
    "overdone": "too much of it",
}
"""What a change did, as it is said, by the id of the word."""
CHOICES = ("fixed", "better", "a little better", "same", "worse")
"""What is offered by number when a talk opens on a change."""
NOT_RUN = "not run yet"
MAY_BE_ANSWERED = (
    "Say what it did: fixed it, better, a little better, the same, worse; better but now tight in; or what the car "
    "does now. Not run yet goes on where you were, no begins a new talk."
)
ASKED = "{0}: {1} What did it do?"
ASKED_FOR = '{0}, for "{1}": {2} What did it do?'
WAYS = {
    "way-back": "put back takes the change out again.",
    "half-back": "half takes half of the change back, put back all of it.",
}
"""What is said of a way back, by its id."""
ONE_OF_THEM = "Of what was changed at once, put back {0} takes that alone out, and keep {0} all else."
WRONG_WAY = {
    "loose": "For a loose car that is the wrong way: computed, it makes it looser. undo takes it out.",
    "tight": "For a tight car that is the wrong way: computed, it makes it tighter. undo takes it out.",
}
ALL_GOOD = (
    "Nothing is left to complain of: leave it alone. Say what the car does when it does something else, or, to go "
    "faster still, where you wait for it."
)
ODD = "That is not what this change should do on a car like yours. Was anything else different?"
WHAT_ELSE = (
    "nothing else",
    "other tires or air",
    "traffic or another line",
    "weather or track",
    "not sure it was made so",
)
WHY_ODD = "If something else was different, the change is not blamed for it, and nothing is learned from this run."
PAST_ODD = "Type a number; skip goes on without learning from it, back takes back what you said of the change."
WHICH = "Which of these did you do? Nothing of this list is taken down as made yet."
NONE_OF_THESE = "none of these"
LEFT_WHICH = "Left the question; make and a number takes down what you did."
PAST_WHICH = "Type its number; what you said of it counts then. Your own change is told so: made stagger 2."
ON_BEFORE = "And {}: what did the change do to that?"
PAST_BEFORE = "Type a number, or better, worse, the same; skip leaves it open and takes the rest as new."
LEFT_BEFORE = "Left the question: what the change did is not known."
SAY_AGAIN = "Taken back; the change is still made. Say what it did."
ALREADY = "Of the last change you said: {}. Nothing was changed since, so that stands; undo takes it back."
LEFT_ODD = "Left the question: nothing is learned from that run."
NOT_COUNTED = "Kept, but nothing is learned from it."
CHECK_IT = "Measure where it stands before the next run; undo here if it was not made."
BACK_AGAIN = " It stands where it was, and that is no better: so what was made was not what did it."
AS_WRONG = " {} was computed to make it worse, and it did."
NOT_SO_WRONG = " {} was computed to make it worse, and it did not."
WRONG_AMONG = " Of what was changed, {} was computed to make it worse."
"""What is said of a change that was computed to go the wrong way; the last, of one made with others."""
LEAST_PROMISED = 0.05
"""Share of the complaint below which nothing was promised: a change of one's own may be for something else."""
LITTLE, MOST, MORE = 0.15, 0.7, 1.35
"""Shares of what was promised: below the first nothing of it was felt, from the second on about what was promised."""
NO_AMOUNT, MAY_BE = "better", (0.2, 0.8)
"""A word that says no amount, and the shares of the complaint that it may stand for (own judgment)."""


@dataclass(frozen=True)
class FeltBeside:
    """What was felt of a change. word: its id. share: of the complaint that is gone. promised: share that was to go.

    is_alone: no other change was made beside it. is_own: it was not offered here. is_back: it took out what was made.
    was_wrong: the change, where it was computed to make it worse.
    """

    word: str
    share: float
    promised: float | None = None
    is_alone: bool = True
    is_own: bool = False
    is_back: bool = False
    was_wrong: str = ""

    @property
    def says_no_amount(self) -> bool:
        """Whether what was promised may well be what was felt, and nobody said how much that was."""
        return self.word == NO_AMOUNT and self.promised is not None and MAY_BE[0] <= self.promised <= MAY_BE[1]


def say_felt(heard: FeltBeside, *, counts: bool) -> list[str]:
    """Say what was felt beside what was promised, and what follows."""
    said, promised = f"Felt: {NAMES[heard.word]}.", heard.promised
    promised = None if promised is not None and promised < LEAST_PROMISED else promised
    said += _say_computed(heard, promised)
    if not counts:
        return [said, NOT_COUNTED]
    is_told = heard.is_alone and not (heard.says_no_amount or said.endswith(BACK_AGAIN))
    return [said, follows(heard.share, promised)] if is_told and promised is not None else [said]


def _say_computed(heard: FeltBeside, promised: float | None) -> str:
    """Say what was promised of the change, or what was computed of one that was the wrong way."""
    from assistant.pages.amounts import cure_words  # noqa: PLC0415 - not before the first prompt

    if heard.was_wrong and not heard.is_alone:
        return WRONG_AMONG.format(heard.was_wrong[:1].lower() + heard.was_wrong[1:])
    if heard.is_back and -LITTLE < heard.share < LITTLE:
        return BACK_AGAIN
    if heard.was_wrong:
        return (AS_WRONG if heard.share < 0.0 else NOT_SO_WRONG).format(heard.was_wrong)
    if promised is None:
        return ""
    told = "Computed" if heard.is_own else "Promised"
    of_what = "" if heard.is_alone else " of what was changed, taken together,"
    compared = "how much was felt was not said" if heard.says_no_amount else compare(heard.share, promised)
    return f" {told}{of_what} was that it {cure_words(promised)}: {compared}."


def say_way(moves: Mapping[str, tuple[float, float]]) -> str:
    """Say which way a change went: more stagger; "that" where it is of several levers."""
    from assistant.car.keys import lever_name  # noqa: PLC0415 - not before the first prompt

    lever, (before, after) = next(iter(moves.items()))
    return "That" if len(moves) > 1 else f"{'More' if after > before else 'Less'} {lever_name(lever)}"


def compare(share: float, promised: float) -> str:
    """Say what was felt as a part of what was promised."""
    if share < 0.0:
        return "it went the other way"
    if share < LITTLE * promised:
        return "nothing of that was felt"
    if share < MOST * promised:
        return "half of that was felt" if share > 0.35 * promised else "a little of that was felt"
    return "that is about what was felt" if share <= MORE * promised else "more than that was felt"


def follows(share: float, promised: float) -> str:
    """Say what follows for the next sizes."""
    if share < 0.0:
        return "What is computed of this change is not true of this car; the next sizes count with that."
    if share < MOST * promised:
        return "This car answers less than computed; the next sizes count with that."
    if share > MORE * promised:
        return "This car answers more than computed; the next sizes count with that."
    return "This car answers as computed."


def say_ways(back: str, levers: Sequence[str]) -> list[str]:
    """Say how what was made last is taken out. back: id of the way back, "" for none. levers: what was moved."""
    from assistant.car.keys import lever_name  # noqa: PLC0415 - not before the first prompt

    one = [ONE_OF_THEM.format(lever_name(levers[-1]))] if back and len(levers) > 1 else []
    return [*([WAYS[back]] if back else []), *one]


def act_of(said: str) -> str:
    """Take what is to be done out of a headline: of "raise the cross weight 1 %: tighter" the first half."""
    act = said.rpartition(": ")[0] or said
    return f"{act[:1].upper()}{act[1:]}"


def ask_what_it_did(when: str, made: str, complaint: str) -> str:
    """Ask what a change did, of an earlier talk."""
    made = made if made.endswith(".") else f"{made}."
    return ASKED_FOR.format(when, complaint, made) if complaint else ASKED.format(when, made)


def ask_to_go_on(when: str, lines: str) -> str:
    """Ask whether to go on with a talk that was left."""
    return f"A talk about this car from {when} stopped after {lines}. Go on with it?"


def going_on_means(lines: str) -> tuple[tuple[str, str], ...]:
    """Say what each answer to that does, with its number, and what else can be typed."""
    return (
        ("1", f"yes: go on where it stopped; nothing of its {lines} is typed again."),
        ("2", "no: begin a new one; that talk is not offered again."),
        ("", "What the car does or mine begin a new one too; quit leaves it for the next time."),
    )
