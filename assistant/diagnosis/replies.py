"""What a typed line means as the answer to a question: its choice, the words of a complaint, or two answers at once.

A line that holds a sign of danger is no answer unless it is one of the choices; it is heard as a complaint.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import reduce

from assistant.diagnosis.claim import Claim, Said, join_to, modifier_of
from assistant.diagnosis.danger import kinds_named
from assistant.diagnosis.hearing import lexicon_for, read
from assistant.diagnosis.lexicon import Lexicon
from assistant.diagnosis.phrases import read_pieces
from assistant.diagnosis.questions import (
    HOW_BAD,
    HOW_BAD_EACH,
    NONE_NOTICED,
    SAFETY,
    OpenQuestion,
    is_unsure,
    plain_id,
    question_of,
)
from assistant.diagnosis.sentences import MANY, SEVERAL
from assistant.diagnosis.tokens import cut_words
from assistant.ground.names import PHASES, STAGE_SHORT
from assistant.ground.words import nearest
from assistant.rules.knowledge import Knowledge

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
        "cant say",
        "couldnt say",
        "couldnt tell",
        "cant remember",
        "dont remember",
        "no clue",
        "who knows",
        "didnt look",
        "didnt take",
        "didnt measure",
        "didnt check",
        "didnt notice",
        "never looked",
        "never checked",
        "hard to say",
        "hard to tell",
        "i dont know",
        "im not sure",
        "i cant tell",
        "i cant say",
    }
)
_SPOKEN: Mapping[str, tuple[str, ...]] = {
    "yes": (
        "yeah",
        "yep",
        "yup",
        "ya",
        "yea",
        "sure",
        "correct",
        "right",
        "it does",
        "it did",
        "uh huh",
        "i think so",
        "think so",
        "yes i think so",
        "i guess so",
        "for sure",
    ),
    "no": (
        "nope",
        "nah",
        "naw",
        "it doesnt",
        "it didnt",
        "nothing",
        "not at all",
        "i dont think so",
        "dont think so",
        "no i dont think so",
        "not really",
    ),
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
_FIRST_WORDS = frozenset({"yes", "yeah", "yep", "yup", "no", "nope", "nah", "naw", "nothing", "none", "never"})
"""What a longer answer begins with: "no my hands are quiet"."""
_SOUND = re.compile(
    r"(?:no|nope|nah|naw|nothings?|none|not that i|all (?:good|tight|sound)|everythings?(?: is)? (?:good|tight|fine))\b"
)
_LOOKED = re.compile(r"\b(?:looked|checked|went (?:all )?over|on stands|hands on|wrench on)\b")
_NOT_LOOKED = re.compile(r"\bcant see\b|\b(?:not|havent|hasnt|didnt|nobody|never)\b.{0,12}\b(?:look|check|had it up)")
_BUT = re.compile(r"\b(?:but|except|only|unless|though|maybe|kind of|kinda|yes|yeah)\b")
_PARTS = re.compile(r"[,.;]|\b(?:and|but)\b")
_ALONE = re.compile(
    r"(?:(?:about|like|maybe|say|its|it's|a|an|number|answer|i'd say|#) ?)*(\d)(?: ?(?:out of|of|/) ?5)?"
)
"""A number with no unit: "about a 3", "3 out of 5"."""


_PLACES = frozenset({"where", "when_in_run"})
"""Of these the words as a whole tell more than a part of them."""
_OF_COMPLAINT = frozenset({*_PLACES, HOW_BAD, *HOW_BAD_EACH, "was_right"})
"""These may be answered with the balance said again: "loose off"; elsewhere that is a complaint of its own."""
_PATTERNS = {"every-lap": "always", "sometimes": "not-sure"}
"""How often it does it, as an answer to when in the run."""


def answers_meant(typed: str, question: OpenQuestion, knowledge: Knowledge) -> dict[str, str]:
    """Return the answer to this question by its id, and those the line gives to others; empty where it is none."""
    exact = read_choice(typed, question, alike=False)
    if exact is not None:
        return {question.id: exact}
    said = read(typed, knowledge).said
    if said.safety:
        return {}
    if any(claim.is_complaint for claim in said.claims) and question.id not in _OF_COMPLAINT:
        return {question.id: typed.strip()} if question.is_free else {}
    told = answers_told(typed, said, question, knowledge)
    choice = _choice_meant(typed, said, question, told)
    if choice is None:
        free = question.is_free and bool(said.symptoms)
        return {question.id: typed.strip()} if free else {}
    return {question.id: choice, **{qid: one for qid, one in told.items() if qid != question.id}}


def _choice_meant(typed: str, said: Said, question: OpenQuestion, told: Mapping[str, str]) -> str | None:
    if question.id == SAFETY:
        return _soundness(typed, said)
    own = _own(told.get(question.id), question)
    if question.id in _PLACES:
        return own or read_choice(typed, question) or _choice_in(typed, question)
    return read_choice(typed, question) or _choice_in(typed, question) or own


def _own(choice: str | None, question: OpenQuestion) -> str | None:
    return choice if choice is not None and question.choice(choice) is not None else None


def _choice_in(typed: str, question: OpenQuestion) -> str | None:
    """Find the choice in a part of a longer line, or in what it begins with."""
    parts = [read_choice(part, question, alike=False) for part in _PARTS.split(typed)]
    found = [choice for choice in dict.fromkeys(parts) if choice is not None]
    told = [choice for choice in found if not is_unsure(choice)] or found
    if told:
        return told[0] if len(told) == 1 else None
    plain = _plain(typed).replace("'", "")
    if any(plain.startswith(words) for words in UNSURE_WORDS):
        return next((choice.id for choice in question.choices if is_unsure(choice.id)), None)
    first = plain.split()[0] if plain else ""
    return read_choice(first, question, alike=False) if first in _FIRST_WORDS else None


def _soundness(typed: str, said: Said) -> str | None:
    """Read "nope, all good, looked it over"; not what takes it back, or says of a part what nobody could read."""
    plain = _plain(typed).replace("'", "")
    if _NOT_LOOKED.search(plain):
        return "not-checked"
    if not _SOUND.match(plain) or _BUT.search(plain) or said.left_open:
        return None
    if _LOOKED.search(plain):
        return "none"
    return None if said.part and said.unread else NONE_NOTICED


def answers_told(typed: str, said: Said, question: OpenQuestion, knowledge: Knowledge) -> dict[str, str]:
    """Return what words tell of place, time, degree, changes and the like, by question; those the packs have."""
    lexicon = lexicon_for(typed, knowledge)
    marks = [piece for piece in read_pieces(typed, lexicon) if piece.kind == "mark"]
    told = reduce(join_to, (modifier_of(mark, lexicon.laps) for mark in marks), Claim())
    found = {plain_id(qid): choice for qid, choice in said.answers.items()}
    if question.entry.topic == "change" or question.id == "what_changed":
        found = {**_parts_named(typed, lexicon), **found}
    else:
        found.update(_where_and_when(told))
    if question.id == "when_in_run":
        found.setdefault("when_in_run", _PATTERNS.get(found.get("how_often", ""), ""))
    degrees = [one for mark in marks if (one := mark.meaning.severity or "").isdigit()]
    if degrees and question.id in {HOW_BAD, *HOW_BAD_EACH}:
        found[question.id] = max(degrees)
    return {qid: choice for qid, choice in found.items() if _exists(qid, choice, knowledge)}


def _parts_named(typed: str, lexicon: Lexicon) -> dict[str, str]:
    """Return what it answers that these parts were changed, where they agree: "rr spring, 50 pounds stiffer"."""
    clauses = [kinds_named(cut_words(part, lexicon), lexicon.changes) for part in _PARTS.split(typed.lower())]
    kinds = [lexicon.changed[named[-1]] for named in clauses if named]
    whole = [one for one in kinds if not any(one.items() < other.items() for other in kinds)]
    if len({tuple(one.items()) for one in whole}) >= MANY:
        return {"what_changed": SEVERAL}
    agreed = {qid: {one[qid] for one in whole if qid in one} for one in whole for qid in one}
    return {plain_id(qid): min(choices) for qid, choices in agreed.items() if len(choices) == 1}


def _where_and_when(told: Claim) -> dict[str, str]:
    phases, stages = told.phases or told.hinted, told.stages
    found = {"where": phases[0]} if len(phases) == 1 else {"where": "all"} if phases == PHASES else {}
    if len(stages) == 1:
        found["when_in_run"] = STAGE_SHORT[stages[0]]
    elif stages:
        found["when_in_run"] = "always" if {"fresh", "worn"} <= set(stages) else "late" if "worn" in stages else "fresh"
    return found


def _exists(qid: str, choice: str, knowledge: Knowledge) -> bool:
    question = question_of(qid, knowledge.questions)
    return question is not None and question.choice(choice) is not None


def read_choice(typed: str, question: OpenQuestion, *, alike: bool = True) -> str | None:
    """Return the id of the choice that was meant: its number, its id or its words; None when unclear.

    alike: slips and parts of its words are taken too.
    """
    wanted = _plain(typed)[:80]
    if not wanted:
        return None
    alone = _ALONE.fullmatch(typed.strip().lower())
    digits = alone[1] if alone else wanted
    if digits.isascii() and digits.isdigit():
        number = int(digits[:4])
        return question.choices[number - 1].id if 1 <= number <= len(question.choices) else None
    if wanted in UNSURE_WORDS:
        return next((choice.id for choice in question.choices if is_unsure(choice.id)), None)
    names = {choice.id.lower(): choice.id for choice in question.choices}
    names.update({_plain(choice.says): choice.id for choice in question.choices})
    for spoken, choice in _spoken_names(names):
        names.setdefault(spoken, choice)
    exact = names.get(wanted) or names.get(wanted.replace("'", ""))
    if exact or question.id == SAFETY or not alike:  # no likeness of spelling makes a statement about safety
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
