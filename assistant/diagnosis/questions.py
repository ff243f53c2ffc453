"""Questions and their numbered choices, and what a typed line means as an answer. Which one to ask next is `session`'s.

The words come from the pack; a question of the fixed flow that a pack lacks is asked in the words below.

How much asking this person will bear: the pack's prices of questions, and how often they have been unsure so far.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import log

from assistant.diagnosis.claim import Claim
from assistant.diagnosis.plan import Patience
from assistant.ground.words import nearest
from assistant.rules import models_symptom
from assistant.rules.knowledge import Knowledge

MOST_CHOICES = 7
NOT_SURE = "not-sure"
NONE_NOTICED = "none-noticed"
"""What "no" means to the question of faults: nothing was noticed. Nobody said that he has looked."""
SAFETY = "safety"
HOW_BAD = "how_bad"
HOW_BAD_EACH = ("how_bad_first", "how_bad_second")
"""Asked instead of the single one when there are several complaints, of the first and the second without a severity."""
UNSURE_WORDS = frozenset(
    {
        "not sure",
        "unsure",
        "dont know",
        "don't know",
        "do not know",
        "no idea",
        "dunno",
        "cant tell",
        "can't tell",
        "idk",
    }
)
_SPOKEN: Mapping[str, tuple[str, ...]] = {
    "yes": ("yeah", "yep", "yup", "ya", "yea", "i think so", "think so", "yes i think so", "i guess so", "for sure"),
    "no": ("nope", "nah", "naw", "i dont think so", "dont think so", "no i dont think so", "not really"),
    NONE_NOTICED: (
        *(
            "no",
            "nope",
            "nah",
            "naw",
            "nothing",
            "no nothing",
            "nope nothing",
            "no none",
            "none of these",
            "none of them",
        ),
        *("none of those", "nothing like that", "not that i know", "not that i know of", "not that i noticed"),
        *("i dont think so", "dont think so", "no i dont think so", "not really", "nothing noticed"),
    ),
    "none": ("no i looked", "no and i looked", "none and i looked", "none i looked", "i looked", "no i have looked"),
    "not-checked": (
        *("not yet", "havent looked", "i havent looked", "havent looked yet", "havent checked", "i havent checked"),
        *("not looked", "didnt look", "i didnt look", "didnt check", "nobody looked", "nobody has looked", "unchecked"),
    ),
    "gradually": ("slowly", "slow", "bit by bit", "little by little", "over time", "lap after lap", "more and more"),
    "suddenly": ("at once", "all at once", "all of a sudden", "just like that", "out of nowhere", "in one lap"),
    "1": ("barely", "hardly", "not much", "not bad", "a hair", "a tick"),
    "2": ("a little", "a bit", "little bit", "a little bit", "some", "kind of", "kinda"),
    "4": ("a lot", "lots", "alot", "much", "very much", "bad", "real bad", "a whole lot"),
}
"""How answers are spoken, by id; a question takes those of its own answers only, the first that fits."""


@dataclass(frozen=True)
class Choice:
    """One answer: id for files, text on screen, help: what it says about the car."""

    id: str
    text: str
    help: str = ""


@dataclass(frozen=True)
class Question:
    """One question. why: what it is asked for. how_to_tell: the test for the unsure. free: own words are welcome.

    about: the complaint it is about, where there are several.
    tells_apart: titles of the two causes it tells apart best, where nothing else says why it is asked.
    """

    id: str
    text: str
    choices: tuple[Choice, ...]
    topic: str = ""
    why: str = ""
    how_to_tell: str = ""
    free: bool = False
    about: Claim | None = None
    tells_apart: tuple[str, str] | None = None

    def choice(self, choice_id: str) -> Choice | None:
        """Return the choice with this id, None when there is none."""
        return next((choice for choice in self.choices if choice.id == choice_id), None)


@dataclass(frozen=True)
class Given:
    """One answer given: its number ("change 2"), the question, and the choice (free words have themselves as text)."""

    number: int
    question: Question
    choice: Choice


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


def _own(qid: str, text: str, topic: str, choices: Mapping[str, str], how_to_tell: str) -> Question:
    made = tuple(Choice(choice, says) for choice, says in choices.items())
    return Question(qid, text, made, topic, "", how_to_tell)


COMPLAINT = Question(
    "complaint",
    "What does the car do? Say it in your own words, or pick the nearest.",
    (
        Choice("loose getting in", "loose getting in", "The back steps out before the middle."),
        Choice("tight getting in", "tight getting in", "It will not turn in."),
        Choice("tight in the middle", "tight in the middle", "It pushes up the track at the slowest part."),
        Choice("loose coming off", "loose coming off", "The back steps out as you pick up the throttle."),
        Choice("tight coming off", "tight coming off", "It pushes to the wall as you pick up the throttle."),
        Choice("loose late in the run", "it goes loose late in the run", "Good at first, then the back goes away."),
        Choice(NOT_SURE, "not sure", "Drive three laps and call out each third of the corner as it comes."),
    ),
    "complaint",
    "Everything else hangs on it.",
    "Count three thirds aloud for three laps: in, middle, off. Say only what the car does in each.",
    free=True,
)
FIXED: tuple[Question, ...] = (
    _own(
        "safety",
        "First: any vibration, pull under braking, leak, rub, a tire losing air, or anything bent or loose?",
        "safety",
        {
            "none": "none, and I have looked",
            "yes": "yes, one of these",
            "not-checked": "not checked",
            NONE_NOTICED: "none noticed",
        },
        "Walk round the car, on stands and never on the jack alone: wheels, lines, links, tires.",
    ),
    _own(
        "safety_kind",
        "Which of these is it?",
        "safety",
        {
            "vibration": "vibration",
            "pull": "pulls under brakes",
            "leak": "leak or smell",
            "rub": "rubbing",
            "air": "a tire losing air",
            "bent": "bent or loose part",
        },
        "If you cannot say which, stop and look all the same.",
    ),
    _own(
        "where",
        "Where in the corner is it worst?",
        "feel",
        {"entry": "getting in", "middle": "middle", "exit": "coming off", "all": "all the way", NOT_SURE: "not sure"},
        "Count three thirds aloud for three laps: in, middle, off.",
    ),
    _own(
        HOW_BAD,
        "How bad is it?",
        "feel",
        {
            "1": "I notice it",
            "2": "I drive around it",
            "3": "it costs time",
            "4": "it costs much time",
            "5": "I may lose it",
        },
        "Compare a lap driven easy with one driven hard. If hard is slower it costs time already.",
    ),
    _own(
        "first_laps",
        "And the first five laps?",
        "feel",
        {"fine": "fine", "little-tight": "a little tight", "little-loose": "a little loose", NOT_SURE: "not sure"},
        "Say loose, tight or fine on each of the first five laps of the next run.",
    ),
    _own(
        "extra_wheel",
        "Just before it steps out, have you extra wheel in it?",
        "hands",
        {"yes": "yes, I am adding wheel", "no": "no, hands are quiet", NOT_SURE: "not sure"},
        "Have somebody watch the front wheels from outside, or film the hands.",
    ),
)
_FIXED = {question.id: question for question in FIXED}


def plain_id(qid: str) -> str:
    """Return the id as conditions write it: "how-bad" and "how_bad" are one question."""
    return qid.replace("-", "_")


def question_of(qid: str, questions: Mapping[str, models_symptom.Question]) -> Question | None:
    """Return a question in the pack's words, else in ours; every one can be answered with "not sure"."""
    qid = plain_id(qid)
    if qid == COMPLAINT.id:
        return COMPLAINT
    if qid in HOW_BAD_EACH:
        single = question_of(HOW_BAD, questions)
        return None if single is None else replace(single, id=qid)
    entry = questions.get(qid) or questions.get(qid.replace("_", "-"))
    if entry is None:
        found = _FIXED.get(qid)
        return None if found is None else _with_not_sure(found)
    choices = tuple(Choice(choice.id, choice.says, choice.means or "") for choice in entry.choices)
    return _with_not_sure(
        Question(qid, entry.asks, choices, entry.topic or "", "", " ".join((entry.how_to_tell or "").split()))
    )


def _with_not_sure(question: Question) -> Question:
    if any(is_unsure(choice.id) for choice in question.choices) or len(question.choices) >= MOST_CHOICES:
        return question
    unsure = Choice(NOT_SURE, "not sure", question.how_to_tell)
    return Question(
        question.id,
        question.text,
        (*question.choices, unsure),
        question.topic,
        question.why,
        question.how_to_tell,
        question.free,
    )


def read_choice(typed: str, question: Question) -> str | None:
    """Return the id of the choice that was meant: its number, its id or its words with slips; None when unclear."""
    wanted = _plain(typed)[:80]
    if not wanted:
        return None
    if wanted.isascii() and wanted.isdigit():
        number = int(wanted[:4])
        return question.choices[number - 1].id if 1 <= number <= len(question.choices) else None
    if wanted in UNSURE_WORDS:
        return next((choice.id for choice in question.choices if is_unsure(choice.id)), None)
    names = {choice.id.lower(): choice.id for choice in question.choices}
    names.update({_plain(choice.text): choice.id for choice in question.choices})
    for spoken, choice in _spoken_names(names):
        names.setdefault(spoken, choice)
    exact = names.get(wanted) or names.get(wanted.replace("'", ""))
    if exact or question.id == SAFETY:  # no likeness of spelling makes a statement about safety
        return exact
    words = set(wanted.split())
    for fits in (
        {choice for name, choice in names.items() if name.startswith(wanted)},
        {choice for name, choice in names.items() if words <= set(name.split())},
    ):
        if len(fits) == 1:
            return fits.pop()
    found = nearest(wanted, names)
    return names[found] if found else None


def _spoken_names(names: Mapping[str, str]) -> list[tuple[str, str]]:
    """List how the answers of a question are spoken, with what each means there."""
    found = [("y", names["yes"])] if "yes" in names else []
    found += [("n", names["no"])] if "no" in names else []
    return found + [(spoken, names[name]) for name, said in _SPOKEN.items() if name in names for spoken in said]


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[^\w\s'-]", " ", text.lower()).split())


IN_A_ROW = 2
"""From so many "not sure" in a row on, the next answer is taken to be one too, with the chance `unsure_again`."""
_NOT_ABOUT_CAUSES = frozenset({COMPLAINT.id, *HOW_BAD_EACH, *(question.id for question in FIXED)})


@dataclass(frozen=True)
class InterviewWeights:
    """One field for each key of `interview` in ranking.yaml, where each is explained."""

    question_price: float
    price_growth: float
    minute_price: float
    topic_price: float
    unsure: float
    unsure_again: float
    none_of_these: float

    @property
    def none_score(self) -> float:
        """Log-weight of "none of these" against a usual cause without any sign."""
        return log(self.none_of_these)


def read_interview_weights(knowledge: Knowledge) -> InterviewWeights:
    """Take the weights of the interview out of the ranking of all packs. ValueError when one is in none of them."""
    stated = knowledge.ranking.get("interview") or {}
    missing = [name for name in InterviewWeights.__dataclass_fields__ if stated.get(name) is None]
    if missing:
        raise ValueError(f"no pack states these weights of the interview: {', '.join(missing)}")
    return InterviewWeights(**{name: float(stated[name]) for name in InterviewWeights.__dataclass_fields__})


def patience_of(weights: InterviewWeights, given: Sequence[tuple[str, str]], *, eager: bool = False) -> Patience:
    """Say what one more question costs somebody who has answered these (question id, choice id).

    eager: has asked for more questions, so that none costs anything.
    """
    asked = sum(plain_id(qid) not in _NOT_ABOUT_CAUSES for qid, _ in given)
    unsure = weights.unsure_again if _unsure_in_a_row(given) >= IN_A_ROW else weights.unsure
    known = Patience(
        weights.question_price, weights.price_growth, weights.minute_price, weights.topic_price, unsure, asked
    )
    return replace(known, question=0.0, growth=0.0, minute=0.0) if eager else known


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
