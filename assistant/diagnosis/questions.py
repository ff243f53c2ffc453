"""Questions of the pack and their numbered choices, and how much asking a person will bear.

The words come from the pack; which question to ask next is worked out in `session`.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from math import log
from typing import get_args

from assistant.diagnosis.claim import Claim, Said
from assistant.diagnosis.plan import Patience
from assistant.diagnosis.stems import stem, word_set
from assistant.ground.choosing import BY_PLACE, place_of
from assistant.ground.names import CORNER_KEYS, CORNERS, corners_as, entry_of, part_at_corners, plain_id
from assistant.rules.knowledge import Knowledge
from assistant.rules.models import InterviewWeight
from assistant.rules.models_symptom import Choice, Question

MOST_CHOICES = 9
NOT_SURE = "not-sure"
NONE_NOTICED = "none-noticed"
"""What "no" means to the question of faults: nothing was noticed. Nobody said that he has looked."""
COMPLAINT = "complaint"
NONE_FOUND = "none"
"""Answer that the car was looked over, and is sound."""
NOT_CHECKED = "not-checked"
SAFETY = "safety"
HOW_BAD = "how_bad"
HOW_BAD_EACH = ("how_bad_first", "how_bad_second")
"""Asked instead of the single one when there are several complaints, of the first and the second without a severity."""
NOTHING_CHANGED = "nothing"
SEVERAL_CHANGED = "several"
"""Answers to `what-changed` that name no kind of change."""
SLIDES, RIDE = "which_slides", "ride"
"""Asked when no words were read: the front, the back, or both."""
WHERE, SEVERAL_PLACES = "where", "_and_"
"""May be answered by two places: "entry_and_middle"."""
FIXED_ORDER = (SAFETY, SLIDES, "traffic", WHERE, "when_in_run", RIDE, "what_changed", "was_right", "first_laps")
"""Asked of everybody to whom they apply, in this order."""
SIZES = (HOW_BAD, *HOW_BAD_EACH)
"""Asked last, and only where a lever comes first: they decide how far to move it."""

GAUGED = frozenset({"pressures_hot", "stagger_hot", "tire_heat", "rf_edge", "rr_edge"})
"""Asked of what a gauge says: a number told there beside a word is what was read, and no place in a list."""
_ABOUT = re.compile(r"\b(?:about|like|maybe|its|it's|say)\b")
DENIED = re.compile(r"\W*(?:no|not|never)\b")
PARTS = re.compile(r"[,.;]|\b(?:and|but)\b")
SUBJECTS = re.compile(r"\b(?:[a-z]{5,}|axle|fuel|snap|lift|lock|nose)\b")
"""Words long enough to say what a question is about, and some that are short."""
_NO_OBJECTS = word_set(
    """
    other middle turn while almost happen happens little front first after before across where known would thing
    different another behind every straight outside clear itself three bring worst look stand step push moved length
    sheet
    """
)
"""Words of questions that are no things asked about: they stand in any line."""
FEW = 3
"""Questions that may ask with the same word, where it says what they are about."""


@dataclass(frozen=True)
class OpenQuestion:
    """A question of the pack as it is put now. entry: its words and choices, "not sure" among them.

    about: the complaint it is about, where there are several. tells_apart: titles of the two causes it tells apart
    best, where the pack does not say why it is asked.
    """

    id: str
    entry: Question
    about: Claim | None = None
    tells_apart: tuple[str, str] | None = None

    @property
    def choices(self) -> tuple[Choice, ...]:
        """The answers, in the order of their numbers."""
        return tuple(self.entry.choices)

    @cached_property
    def _by_id(self) -> Mapping[str, Choice]:
        return {choice.id: choice for choice in self.choices}

    @property
    def group(self) -> str:
        """Its id; of the questions how bad each complaint is, that of the one they are put in the words of."""
        return HOW_BAD if self.id in HOW_BAD_EACH else self.id

    @property
    def is_free(self) -> bool:
        """Whether own words are welcome."""
        return self.id == COMPLAINT

    @property
    def is_of_change(self) -> bool:
        """Whether it asks what was done to the car, or what that did."""
        return self.entry.topic == "change" or self.id == "what_changed"

    def choice(self, choice_id: str) -> Choice | None:
        """Return the choice with this id, or those of two places put together; None when there is none."""
        parts = [self._by_id.get(one) for one in choice_id.split(SEVERAL_PLACES)]
        found = [one for one in parts if one is not None]
        if len(found) < len(parts) or (len(found) > 1 and self.id != WHERE):
            return None
        return found[0] if len(found) == 1 else Choice(id=choice_id, says=" and ".join(one.says for one in found))


@dataclass(frozen=True)
class Answered:
    """One answer given: its number ("change 2"), the question, and the words of the answer."""

    number: int
    question: OpenQuestion
    says: str


class AnswerProblem(ValueError):  # noqa: N818 - it is not our error but the user's
    """An answer nobody can use; `says` is for people."""

    def __init__(self, says: str) -> None:
        self.says = says
        super().__init__(says)


def is_unsure(choice_id: str) -> bool:
    """Tell whether an answer is one of the "not sure, not tried, not checked" kind: it tells nothing of the car."""
    return choice_id.startswith("not-")


def looks_like_a_move(typed: str) -> bool:
    """Tell whether a line was meant to go back or to change an answer ("back off", "change it") and is no answer."""
    words = typed.lower().split()
    return 0 < len(words) <= 2 and words[0] in {"back", "change"}


def question_of(qid: str, questions: Mapping[str, Question]) -> OpenQuestion | None:
    """Return a question of the packs; every one can be answered with "not sure". None for one that is in none."""
    qid = plain_id(qid)
    name = HOW_BAD if qid in HOW_BAD_EACH else qid
    entry = entry_of(name, questions)
    return None if entry is None else OpenQuestion(qid, _with_not_sure(entry))


def _with_not_sure(entry: Question) -> Question:
    if any(is_unsure(choice.id) for choice in entry.choices) or len(entry.choices) >= MOST_CHOICES:
        return entry
    unsure = Choice(id=NOT_SURE, says="not sure", means=entry.how_to_tell)
    return entry.model_copy(update={"choices": [*entry.choices, unsure]})


def read_choice(typed: str, question: OpenQuestion, *, alike: bool = True) -> str | None:
    """Return the id of the choice that was meant: its number, its place, its id or its words; None when unclear.

    alike: slips and parts of its words are taken too.
    """
    if question.id in GAUGED and _ABOUT.search(typed.lower()) and BY_PLACE.fullmatch(typed.strip().lower()):
        return None
    is_read = question.id in GAUGED and any(map(str.isdigit, typed))
    is_alike = alike and question.id != SAFETY and not is_read  # no likeness of spelling makes a statement about safety
    at = place_of(typed, [(choice.id, choice.says) for choice in question.choices], alike=is_alike)
    return None if at is None else question.choices[at].id


def choice_in(typed: str, question: OpenQuestion) -> str | None:
    """Find the choice in a part of a longer line."""
    parts = [read_choice(part, question, alike=False) for part in PARTS.split(typed) if not BY_PLACE.fullmatch(part)]
    found = [choice for choice in dict.fromkeys(parts) if choice is not None]
    told = [choice for choice in found if not is_unsure(choice)] or found
    return told[0] if len(told) == 1 else None


def make_subjects(knowledge: Knowledge) -> dict[str, set[str]]:
    """Return the words that few questions ask with, by question: what each is about."""
    words = {qid: SUBJECTS.findall(one.asks.lower()) for qid, one in knowledge.questions.items()}
    asked = {qid: set(map(stem, said)) - set(map(stem, _NO_OBJECTS)) for qid, said in words.items()}
    often = Counter(word for words in asked.values() for word in words)
    return {qid: {word for word in words if often[word] <= FEW} for qid, words in asked.items()}


_BUT = re.compile(r"\b(?:but|except|only|unless|though|maybe|kind of|kinda|yes|yeah)\b")
_LOOKED = re.compile(r"\b(?:look|check|seen|under|yet|have ?n'?t|did ?n'?t)")
_JOINED = re.compile(r"(?:and|&|plus)(?: (?:the|my|our))?")
_SOUND = re.compile(
    rf"\b(?:{'|'.join(CORNER_KEYS)})(?:'?s|\s|\b(?:is|was|looks|feels|still|just)\b)*"
    r"(?:fine|good|ok|okay|sound|dry|as usual|normal)\b"
)


def soundness(typed: str, said: Said, meant: AbstractSet[str]) -> str | None:
    """Read "nope, all good, looked it over": sound by what was looked at, or only nothing noticed.

    meant: all choices there are words for. Not what takes it back, nor a look that says not what it found.
    """
    if "yes" in meant and (NONE_NOTICED in meant or re.search(r"\bno\b", typed.lower())):
        return None
    if "yes" in meant:
        return "yes"
    looked, is_of_change = NONE_FOUND in meant, said.answers.get("what-changed") == NOTHING_CHANGED
    if not looked and (is_of_change or "last-change" in said.answers):
        return None  # "nothing changed" tells of no look
    if NOT_CHECKED in meant:  # "idk, its just slow" says what it does
        return None if said.symptoms and not _LOOKED.search(typed.lower()) else NOT_CHECKED
    if NONE_NOTICED not in meant or is_of_change or _BUT.search(typed.lower()) or said.left_open:
        return None
    return NONE_FOUND if looked else NONE_NOTICED


def is_one_of_two(choice: str, typed: str) -> bool:
    """Whether a choice is one corner of two that are named together: "right rear and right front"."""
    corners = part_at_corners(typed)[1]
    joined = {one for pair in pairwise(corners) if _JOINED.fullmatch(pair[0][1]) for one, _ in pair}
    return choice.split("-", maxsplit=1)[0].upper() in joined


def without_sound_corners(typed: str, question: OpenQuestion) -> str:
    """Leave out the corners that are said to be fine, where it is asked which one is not."""
    asks_which = any(choice.id.split("-")[0] in CORNER_KEYS for choice in question.choices)
    plain = corners_as({corner: corner.lower() for corner in CORNERS}, typed.lower())
    return _SOUND.sub(" ", plain) if asks_which and _SOUND.search(plain) else typed


IN_A_ROW = 2
"""From so many "not sure" in a row on, the next answer is taken to be one too, with the chance `unsure_again`; each
further one leaves as much less."""
_NOT_ABOUT_CAUSES = {COMPLAINT, "safety_kind", *FIXED_ORDER, *SIZES} - {"traffic", RIDE}


def interview_weights(knowledge: Knowledge) -> Mapping[InterviewWeight, float]:
    """Return the weights of the interview from the ranking of all packs. ValueError when one is in none of them."""
    found: Mapping[InterviewWeight, float] = knowledge.ranking.interview or {}
    if missing := [name for name in get_args(InterviewWeight) if name not in found]:
        raise ValueError(f"no pack states these weights of the interview: {', '.join(missing)}")
    return found


def none_score(knowledge: Knowledge) -> float:
    """Log-weight of "none of these" against a usual cause without any sign."""
    return log(interview_weights(knowledge)["none_of_these"])


def patience_of(
    weights: Mapping[InterviewWeight, float], given: Sequence[tuple[str, str]], *, eager: bool = False
) -> Patience:
    """Say what one more question costs somebody who has answered these (question id, choice id).

    eager: has asked for more questions, so that none costs anything.
    """
    known = Patience(
        question=weights["question_price"],
        growth=weights["price_growth"],
        sure=(1 - weights["unsure_again"]) ** max(0, _unsure_in_a_row(given) - IN_A_ROW + 1),
        asked=sum(plain_id(qid) not in _NOT_ABOUT_CAUSES for qid, _ in given),
    )
    return replace(known, question=0.0, growth=0.0) if eager else known


def _unsure_in_a_row(given: Sequence[tuple[str, str]]) -> int:
    """Count the answers at the end that say "not sure"; an unchecked car is no sign of not knowing."""
    count = 0
    for qid, choice in reversed(given):
        if qid == "safety":
            continue
        if not is_unsure(choice):
            break
        count += 1
    return count
