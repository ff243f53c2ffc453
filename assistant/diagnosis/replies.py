"""What a typed line means as the answer to a question: its choice, and what it tells of other questions.

The open question is answered by a choice as it stands, by numbers a gauge gave, by the pack's words for its choices
(`replies` of the phrases), else by what the words tell anywhere. A sign of danger in it answers the question of faults.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, reduce
from itertools import pairwise
from typing import TYPE_CHECKING

from assistant.diagnosis.changed import kinds_named
from assistant.diagnosis.claim import Claim, Said, join_to, modifier_of, when_told
from assistant.diagnosis.danger import find_dangers
from assistant.diagnosis.doubt import is_denied, is_doubtful
from assistant.diagnosis.gauges_read import answers_of_numbers, is_losing_air, without_zones
from assistant.diagnosis.hearing import lexicon_for, make_names, read
from assistant.diagnosis.lexicon import Lexicon, know_words
from assistant.diagnosis.phrases import Piece, read_pieces
from assistant.diagnosis.questions import (
    DENIED,
    HOW_BAD,
    HOW_BAD_EACH,
    NONE_FOUND,
    NOT_CHECKED,
    NOTHING_CHANGED,
    PARTS,
    SAFETY,
    SEVERAL_PLACES,
    SUBJECTS,
    OpenQuestion,
    choice_in,
    is_one_of_two,
    is_unsure,
    make_subjects,
    question_of,
    read_choice,
    soundness,
    without_sound_corners,
)
from assistant.diagnosis.sentences import IN_TRAFFIC, MANY, SEVERAL, TRAFFIC, TRAFFIC_ONLY
from assistant.diagnosis.stems import Worded, match_steps, stem, steps_of, word_set
from assistant.diagnosis.tokens import cut_words
from assistant.ground.names import PHASES, plain_id
from assistant.ground.understood import LOSES_AIR
from assistant.rules.knowledge import Knowledge

if TYPE_CHECKING:
    from assistant.car.case import Case

_NONE = (
    r"(?:(?:nobody|no one|never|(?:did|have|has|ai) ?n'?t)(?: \w+)?? (?:touch|chang|mov|d[io])\w* )?"
    r"(?:nothin'?g?|none|no changes?|anythin'?g?|a thing)"
)
_NOTHING_BUT = re.compile(rf"\b{_NONE}(?:\W*(?:else|except|besides|only|just|other than)| but)\b\W*")
"""Said of what was changed, what stands beside it was."""
_CORRECTED = re.compile(
    r"^.*\b(?:no,? wait|wait,? no|i meant?|scratch that|make that)\b[\s,.]*(?:sorry\b[\s,.]*)?(?=\w)", re.IGNORECASE
)
"""What is taken back: "in, no wait, sorry, middle"."""
_ANEW = re.compile(r"\W*(?:no,? )?(?:listen|actually|(?:its|it's|it is|shes|she's) now|now)\b")
"""How a complaint begins that is told anew instead of an answer."""
_LIGHT = word_set("a an the is are was were it its of this that")
OF_PARTS = re.compile("what_changed$|which_(?!end|slides)")
"""Questions of which part was changed."""
_OF_A_CHANGE = frozenset({"how_far", "last_change", "put_back"})
"""Asked of a change whose part is known: "25 pounds" is no air then."""
_NOTHING = re.compile(r"\W*(?:no|nothing|none|nowt|not a|nope)\b")
FELT = frozenset({"feel", SAFETY})
"""Topics of the questions where a place and a time that are named are those of the trouble."""
_FEW_WORDS = 3
"""So many words at least tell of something that was not asked."""
_OF_DRIVER = re.compile(r"\s*(?:s?he(?:'?s)?|(?:the |my )?(?:driver|kid|boy))\b(?! (?:says?|said|tells?|told))")
"""What begins so tells of the driver's hands and feet, and complains of nothing: "he cranks in a lot of wheel"."""
_BEGUN = {
    "watched": _OF_DRIVER,
    "was-right": re.compile(
        r"\W*(?:(?:yes|yeah|yep|no|nope)\W+)?(?:it|she|(?:the|this|my) car) (?:was|ran) (?!\w+ing\b)"
    ),
}
"""How a line may begin that answers a question it does not name."""
_BACK_AT = re.compile(r"\bback (right|left)\b", re.IGNORECASE)
_CAME_WITH = re.compile(
    r"\b(?:been|done|doing|does|acted) (?:like (?:that|this)|(?:that|this)(?: way)?|it)\b.*\bsince\b"
    r"(?! (?:day|the start|(?:i|we) (?:got|bought|had|built|own) (?:it|her|this car|the car)))"
)
"""It came with what was told beside it, and was right before."""
_ASKS_BACK = re.compile(r"\W*(?:what|which|how|why|where|huh)\b(?!.*\b(?:i|we|he|it)\b)(?: \S+){0,3}\W*")
_ASKS_WHETHER = re.compile(
    r"\W*(?:(?:so|and|but|ok|well|then) )*"
    r"(?:(?:should|shall|do|can|could|would) (?:i|we)\b|(?:i |we |it )?needs? (?:some |a )?new\b)"
)
_ONLY_LOOKED = re.compile(r"\W*(?:no|nope|nah|naw)\b(?=.*\blook)(?!.*\b(?:nothing|anything|chang|touch|same))")
_OUT_OF_FIVE = re.compile(r"\b([1-5]) (?:out )?of (?:5|five)\b(?! laps)")
_PLACES = frozenset({"where", "when_in_run"})
"""Of these the words as a whole tell more than a part of them."""
_OF_TIME = _PLACES | {"came_on"}
_OF_COMPLAINT = frozenset({*_PLACES, HOW_BAD, *HOW_BAD_EACH, "was_right"})
"""These may be answered with the balance said again: "loose off"; elsewhere that is a complaint of its own."""
_PATTERNS = {"every-lap": "always", "sometimes": "not-sure"}
"""How often it does it, as an answer to when in the run."""
_WORST = re.compile(r"\bwors(?:e|t)\b|\bmost(?:ly)?\b|\bmainly\b|\bespecially\b")
_IN_ORDER = {("middle", "exit"): "exit", PHASES: "all"}
"""What one word for several places means as an answer: "from the middle off" is worst coming off."""
_AND = re.compile(r"\b(?:and|both)\b|&")
BESIDE_EACH_OTHER = tuple(pairwise(PHASES))
_CLAUSES = re.compile(r"[,.;]|\b(?:but|then)\b")
_TURN = re.compile(r"(?<![\d/.-])[1-4](?![\d/.-]|\s?(?:laps?|inch|tenths?|psi|pounds?|degrees|in(?:ches)?\b))")


@dataclass(frozen=True)
class _Row(Worded):
    """Words for choices. choices: question to choice. choice: wherever there is such a one. begins: only at first."""

    choices: Mapping[str, str]
    choice: str
    begins: bool

    @cached_property
    def stems(self) -> frozenset[str]:
        """Its words that weigh."""
        return frozenset().union(*(stems for stems, _ in self.steps)) - _LIGHT


@dataclass(frozen=True)
class _Rows:
    """All words for choices, by question and by choice, with a lexicon that spells them."""

    lexicon: Lexicon
    by_question: Mapping[str, Sequence[_Row]]
    anywhere: Sequence[_Row]


@dataclass(frozen=True)
class _Fit:
    """Words that mean a choice, and the tokens they stand in. weight: how many of them are no light words."""

    begin: int
    end: int
    weight: int
    choice: str
    beside: Mapping[str, str]

    def is_in(self, other: _Fit) -> bool:
        """Whether these words are a part of those."""
        return other.begin <= self.begin and self.end <= other.end and self.weight < other.weight


def make_rows(knowledge: Knowledge) -> _Rows:
    """Make the words for choices ready to match; ask for them with `knowledge.once`."""
    plain = knowledge.once(make_names).plain
    by_question: dict[str, list[_Row]] = {}
    anywhere: list[_Row] = []
    for entry in knowledge.phrases.replies:
        choices = {plain_id(qid): choice for qid, choice in (entry.answers or {}).items()}
        rows = [_Row(steps_of(text), choices, entry.choice or "", bool(entry.begins)) for text in entry.says]
        anywhere += rows if entry.choice else []
        for qid in choices:
            by_question.setdefault(qid, []).extend(rows)
    texts = [text for entry in knowledge.phrases.replies for text in entry.says]
    return _Rows(know_words(plain, texts), by_question, anywhere)


def answers_meant(typed: str, question: OpenQuestion, knowledge: Knowledge, case: Case | None = None) -> dict[str, str]:
    """Return the answer to this question by its id, and those the line gives to others; empty where it is none.

    case: of the car, whose numbers those that are told are held against.
    """
    typed = _BACK_AT.sub(r"rear \1", typed)
    if (exact := read_choice(typed, question, alike=False)) is not None:
        return {question.id: exact}
    looked = question.id == "what_changed" and _ONLY_LOOKED.match(typed.lower())
    if looked or _ASKS_BACK.fullmatch(typed.lower()) or (_ASKS_WHETHER.match(typed.lower()) and not question.is_free):
        return {}
    typed = without_sound_corners(_CORRECTED.sub("", typed) if question.id != SAFETY else typed, question)
    if question.id == "what_changed":
        typed = _NOTHING_BUT.sub("", typed.lower()) or typed
    said = read(typed, knowledge, None if case is None else case.run_laps).said
    numbers, plain = answers_of_numbers(typed, question.id, case), without_zones(typed)
    is_gauge = bool(numbers) and question.id not in numbers  # numbers of another gauge outweigh a word
    fits = [one for one in _fits(plain, question, knowledge) if one.weight > 1 or not is_gauge]
    fits = [one for one in fits if not is_one_of_two(one.choice, typed)]
    fit = _best_of(fits)
    told = {**answers_told(plain, said, question, knowledge), **(dict(fit.beside) if fit else {}), **numbers}
    dangers = _dangers_told(typed, said, fit, question, knowledge)
    if case is not None and is_losing_air(typed, case.setup, is_of_change=question.is_of_change):
        dangers |= {plain_id(qid): choice for qid, choice in knowledge.phrases.signs.get(LOSES_AIR, {}).items()}
    if dangers and (fit is None or question.id == SAFETY):
        return dangers
    told |= dangers
    if _CAME_WITH.search(typed.lower()):
        return {qid: one for qid, one in told.items() if qid not in _PLACES} | _came_with(typed, knowledge)
    choice = numbers.get(question.id) or _choice_meant(typed, said, question, told, fits)
    choice = None if choice is not None and is_one_of_two(choice, typed) else choice
    complains = any(claim.is_complaint for claim in said.claims) and not _OF_DRIVER.match(typed.lower())
    is_sound = any(one.choice == NONE_FOUND for one in fits)
    placed = question.id == SAFETY and not is_sound and any(one.is_complaint and one.phases for one in said.claims)
    is_new = complains and (fit is None or placed or _ANEW.match(typed.lower()) is not None)
    is_new = is_new and question.id not in {*_OF_COMPLAINT, *numbers}
    if choice is None or is_new:
        free = question.is_free and (complains or bool(said.symptoms))
        found = {} if re.search(r"\d", typed) else said.answers  # "skip 1" is no hop
        named = ((question_of(name, knowledge.questions), one) for name, one in found.items())
        seen = {one.id: choice for one, choice in named if one is not None and one.entry.topic == "car"}
        others = {**_answer_elsewhere(typed, knowledge), **told} if len(typed.split()) >= _FEW_WORDS else seen
        others = {} if complains else {qid: one for qid, one in others.items() if qid != question.id}
        return {question.id: typed.strip()} if free else others
    return {question.id: choice, **{qid: one for qid, one in told.items() if qid != question.id}}


def _came_with(typed: str, knowledge: Knowledge) -> dict[str, str]:
    """Return what it answers that the trouble came with what is told: "brushed the wall and been like that since"."""
    changed = question_of("what_changed", knowledge.questions)
    fit = None if changed is None else _best_of([*_fits(typed, changed, knowledge)])
    if fit is not None:
        return {"what_changed": fit.choice, **fit.beside, "was_right": "yes"}
    return {**_parts_named(typed, lexicon_for(typed, knowledge)), "was_right": "yes"}


def _answer_elsewhere(typed: str, knowledge: Knowledge) -> dict[str, str]:
    """Return the answer to another question that a line names and has words for, where it is one question's alone."""
    said = {stem(word) for word in SUBJECTS.findall(typed.lower())}
    found = {}
    for qid, subject in knowledge.once(make_subjects).items():
        is_named = said & subject or (qid in _BEGUN and _BEGUN[qid].match(typed.lower()))
        other = question_of(qid, knowledge.questions) if is_named else None
        fit = None if other is None else _best_of([*_fits(typed, other, knowledge)])
        if other is not None and fit is not None and not is_unsure(fit.choice):
            found[other.id] = fit.choice
    return found if len(found) == 1 else {}


def _choice_meant(
    typed: str, said: Said, question: OpenQuestion, told: Mapping[str, str], fits: Sequence[_Fit]
) -> str | None:
    if question.id == SAFETY:
        return soundness(typed, said, {fit.choice for fit in fits})
    own = told[question.id] if question.choice(told.get(question.id, "")) is not None else None
    found = fit.choice if (fit := _best_of(fits)) else None
    if question.id == "where" or (question.id == "what_changed" and found != NOTHING_CHANGED):
        found, own = own, found
    if question.id in _PLACES:
        return found or own or read_choice(typed, question) or choice_in(typed, question)
    if found is not None and not is_unsure(found):
        return found
    return own or choice_in(typed, question) or found or read_choice(typed, question)


# words of the pack for choices


def _best_of(fits: Sequence[_Fit]) -> _Fit | None:
    """Take of the words that say something the longest, then the first; none of those inside longer ones."""
    whole = [one for one in fits if not any(one.is_in(other) for other in fits)]
    return min(whole, key=lambda one: (is_unsure(one.choice), -one.weight, one.begin), default=None)


def _fits(typed: str, question: OpenQuestion, knowledge: Knowledge) -> Iterator[_Fit]:
    rows = knowledge.once(make_rows)
    tokens = cut_words(typed, rows.lexicon)
    places = [at for at, token in enumerate(tokens) if token.word != ","]
    words = [tokens[at] for at in places]
    said = {one for word in words for one in word.stems}
    for row in (*rows.by_question.get(question.group, ()), *rows.anywhere):
        choice = _choice_of(row, question) if row.may_fit(said) else ""
        first = 0 if question.id == SAFETY and row.choice == "yes" and len(words) > _FEW_WORDS else min(len(words), 1)
        for at in range(first if row.begins else len(words)) if choice else ():
            end = None if words[at].mark else match_steps(row.steps, words, at, rows.lexicon.skipped)
            on_the = end is not None and [one.word for one in words[end - 1 : end + 1]] == ["on", "the"]  # right rear
            if end is not None and end > at and not on_the and not is_denied(tokens, places[at]):
                beside = {qid: one for qid, one in row.choices.items() if qid != question.id}
                weight = sum(token.stem in row.stems for token in words[at:end])
                yield _Fit(places[at], places[end - 1] + 1, weight, choice, beside)


def _choice_of(row: _Row, question: OpenQuestion) -> str:
    """Say which choice of a question a row means; words of who does not know mean the one that says so."""
    choice = row.choices.get(question.group) or row.choice
    if question.choice(choice) is not None:
        return choice
    unsure = [one.id for one in question.choices if is_unsure(one.id)] if is_unsure(choice) else []
    return NOT_CHECKED if NOT_CHECKED in unsure else next(iter(unsure), "")


# danger


def _dangers_told(
    typed: str, said: Said, fit: _Fit | None, question: OpenQuestion, knowledge: Knowledge
) -> dict[str, str]:
    """Return the answers to the questions of faults where a danger is told of, other than what was asked about."""
    rows = knowledge.once(make_rows)
    tokens = cut_words(typed, rows.lexicon)
    asked = range(fit.begin, fit.end) if fit and question.id != SAFETY else range(0)
    signs = [
        one.sign
        for one in find_dangers(tokens, rows.lexicon.dangers, phrases=True)
        if not is_doubtful(tokens, one.begin, one.end, one.sign) and not set(asked) & set(range(one.begin, one.end))
    ]
    named = [rows.lexicon.signs[sign] for sign in signs if sign in said.safety and sign in rows.lexicon.signs]
    return {plain_id(qid): choice for qid, choice in named[0].items()} if named else {}


# what words tell anywhere


def answers_told(typed: str, said: Said, question: OpenQuestion, knowledge: Knowledge) -> dict[str, str]:
    """Return what words tell of place, time, degree, changes and the like, by question; those the packs have."""
    lexicon = lexicon_for(typed, knowledge)
    marks = [piece for piece in read_pieces(typed, lexicon) if piece.kind == "mark"]
    told = reduce(join_to, (modifier_of(mark, lexicon.laps) for mark in _of_trouble(typed, lexicon)), Claim())
    found = {plain_id(qid): choice for qid, choice in said.answers.items()}
    if question.is_of_change:
        is_of_parts = question.id not in _OF_A_CHANGE and not _NOTHING.match(typed.lower())
        parts = _parts_named(typed, lexicon) if is_of_parts else {}
        found = parts if parts.get("what_changed") == SEVERAL else {**parts, **found}
    elif question.entry.topic in FELT:
        found |= _when_felt(typed, told, question, knowledge)
        found |= {"where": place} if (place := _where(typed, lexicon)) else {}
    else:  # what is told of the car's parts names places and times for other reasons
        found = {qid: choice for qid, choice in found.items() if qid not in _OF_TIME}
    if question.id == TRAFFIC and IN_TRAFFIC in said.moments:
        found.setdefault(TRAFFIC, TRAFFIC_ONLY)
    if question.id == "which_end" and (ends := _ends(typed, lexicon)):
        found.setdefault("which_end", ends)
    if question.id == "when_in_run":
        found.setdefault("when_in_run", _PATTERNS.get(found.get("how_often", ""), ""))
    if (rated := _OUT_OF_FIVE.search(typed.lower())) and question.id != "how_often":
        found = {qid: one for qid, one in found.items() if qid != "how_often"} | {HOW_BAD: rated[1]}
    degrees = [one for mark in marks if (one := mark.meaning.severity or "").isdigit()]
    if degrees and question.id in {HOW_BAD, *HOW_BAD_EACH}:
        found[question.id] = max(degrees)
    asked = ((question_of(qid, knowledge.questions), qid, choice) for qid, choice in found.items())
    return {qid: choice for one, qid, choice in asked if one is not None and one.choice(choice) is not None}


def _parts_named(typed: str, lexicon: Lexicon) -> dict[str, str]:
    """Return what it answers that these parts were changed, where they agree: "rr spring, 50 pounds stiffer"."""
    clauses = [kinds_named(cut_words(part, lexicon), lexicon.changes) for part in PARTS.split(typed.lower())]
    kinds = [lexicon.changed[named[-1]] for named in clauses if named]
    whole = [one for one in kinds if not any(one.items() < other.items() for other in kinds)]
    if len({tuple(one.items()) for one in whole}) >= MANY:
        return {"what_changed": SEVERAL}
    agreed = {qid: {one[qid] for one in whole if qid in one} for one in whole for qid in one}
    return {plain_id(qid): min(choices) for qid, choices in agreed.items() if len(choices) == 1}


def _of_trouble(typed: str, lexicon: Lexicon) -> Iterator[Piece]:
    """Give what is said of place and time, but not where a line tells what is fine: "starts ok, then ..."."""
    for part in _CLAUSES.split(typed.lower()):
        marks = [piece for piece in read_pieces(part, lexicon) if piece.kind == "mark"]
        yield from marks if all(mark.meaning.balance != "fine" for mark in marks) else ()


def _where(typed: str, lexicon: Lexicon) -> str:
    """Say where in the corner a line puts the trouble: where it is worst, else what it names first but what is fine."""
    clauses = [(part, *_places_in(part, lexicon)) for part in _CLAUSES.split(typed.lower())]
    worst = [place for part, places, fine in clauses if not fine and _WORST.search(part) for place in places]
    together = [places for part, places, fine in clauses if not fine and len(places) == 2 and _AND.search(part)]
    named = worst or [place for _, places, fine in clauses if not fine for place in places]
    if not worst and together and named == together[0] and tuple(named) in BESIDE_EACH_OTHER:
        return SEVERAL_PLACES.join(named)
    if set(PHASES) <= set(named) or (set(named) == {"entry", "exit"} and not worst):
        return "all"
    return named[0] if named else ""


def _places_in(part: str, lexicon: Lexicon) -> tuple[list[str], bool]:
    """Return the places named in a part of a line in order, and whether they are said to be fine."""
    marks = [piece for piece in read_pieces(part, lexicon) if piece.kind == "mark"]
    told = [tuple(mark.meaning.phase or ()) for mark in marks if mark.meaning.phase]
    places = [_IN_ORDER.get(phases, phases[0]) for phases in told]
    return places, any(mark.meaning.balance == "fine" for mark in marks)


def _ends(typed: str, lexicon: Lexicon) -> str:
    """Say whether a line speaks of both ends of the track, by the numbers of its turns; "" where it names none."""
    ends = set()
    for part in _CLAUSES.split(typed.lower()):
        turns = [int(one) for one in _TURN.findall(part)]
        sound = _places_in(part, lexicon)[1] or DENIED.match(part)
        ends |= set() if sound else {turn <= 2 for turn in turns}
    return "both" if len(ends) == 2 else "one" if ends else ""


def _when_felt(typed: str, told: Claim, question: OpenQuestion, knowledge: Knowledge) -> dict[str, str]:
    """Say when in the run it is, by more than one word of the answers to that; else by the stages that are named."""
    when = question_of("when_in_run", knowledge.questions)
    if when is None or question.id in {when.id, SAFETY}:
        return when_told(told)
    fit = _best_of(list(_fits(typed, when, knowledge)))
    is_told = fit is not None and fit.weight > 1 and not is_unsure(fit.choice)
    return {"when_in_run": fit.choice} if fit is not None and is_told else {}
