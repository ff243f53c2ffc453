"""Plain questions of the driver: what now, why do you ask that, what is stagger, how do I, should I raise it."""

from __future__ import annotations

import re
from contextlib import suppress
from typing import TYPE_CHECKING

from assistant.car.keys import ROW_OF, lever_name
from assistant.car.moves import value_of
from assistant.diagnosis.asked import asks_meaning
from assistant.diagnosis.said_change import NoChangeError, find_lever
from assistant.diagnosis.stems import stem, word_set
from assistant.ground.choosing import asks_how
from assistant.ground.names import quoted
from assistant.pages import packs as lookup
from assistant.pages import sayings
from assistant.pages.advice import order_words
from assistant.pages.amounts import capital, lever_value, say_price
from assistant.pages.blocks import Block, Line
from assistant.shell import interview, screens

if TYPE_CHECKING:
    from assistant.shell.talk_state import TalkState

_ASKED = re.compile(
    r"(?:(?:so|ok|and|but|hey|please|sorry)[ ,]+)*(?P<how>what|how|where|why|which|when|tell me)(?:'?s)?\b"
    r"(?: is| are| does| do| can| would| should| could| to| about)*\b(?P<rest>.*)"
)
_WHAT_NOW = re.compile(
    r"(?:(?:so|ok|okay|and|but|well) )*what (?:now|next|"
    r"(?:do|should|can|would|must) (?:i|we|you) (?:do|try|change)(?: now| next| first)?)"
)
_WHAT_MEANT = re.compile(
    r"(?:what|how) (?:do|did|does) (?:you|that|this|it|they) mean(?: by (?:that|this|it))?|meaning what"
    r"|huh+|wh?[au]t|eh|come again|say (?:that )?again"
)
_ASKS_BACK = re.compile(
    r"(?:(?:so|and|but|ok|hey) )*(?:why(?: (?:do|would|are|did) (?:you|we) (?:ask|asking|need|want)\b.*)?"
    r"|(?:why|how) (?:does|would|is) (?:that|it|this) (?:matter|important|relevant)\b.*|what for"
    r"|what (?:do|did|does) (?:you|that|it) mean by .+)"
)
"""Asks of the question that is open, and not of the car."""
_SHOULD_I = re.compile(
    r"(?:(?:so|ok|and|but|hey|then|well)[ ,]+)*(?:(?:do|should|can|could|would|shall|must) (?:i|we)\b"
    r"|(?:(?:i|we|it|think|maybe|probably) )*needs? (?:an? |some )?new\b)(?P<rest>.*)"
)
_TIRE_PRICE = re.compile(
    r"(?:.*\b(?:tires?|tyres?)\b.*\b(?:costs?|price)\b|.*\bcosts?\b.*\btires?\b).*?(?P<of>\d{1,3})?"
)
_THAT = word_set("that it this do done")
_SAID_BESIDE = word_set(
    "a an the i you we one mean means for of on my our your car do does change adjust move set raise lower get find "
    "put measure check use"
)


def is_asked(text: str) -> bool:
    """Whether a line begins as a question does: what, how, where, why."""
    return _ASKED.match(" ".join(text.lower().split())) is not None


def asks_price(plain: str) -> bool:
    """Whether a line asks what something costs the tires."""
    return _TIRE_PRICE.fullmatch(plain) is not None


def answer_of_talk(state: TalkState, plain: str) -> list[Block] | None:
    """Answer what is asked of the talk itself: what to do now, what was meant, why it is asked."""
    if _WHAT_NOW.fullmatch(plain):
        return _say_what_now(state)
    is_of_question = state.question is not None and _ASKS_BACK.fullmatch(plain)
    is_unclear = is_of_question or _WHAT_MEANT.fullmatch(plain) or (asks_how(plain) and state.stop)
    return interview.question_explained(state) if is_unclear else None


def answer_of_word(state: TalkState, plain: str) -> list[Block] | None:
    """Answer what is asked of a word, a lever or its price; None where it is no such question."""
    if price := _TIRE_PRICE.fullmatch(plain):
        return _say_tire_price(state, int(price["of"] or 0))
    if (should := _SHOULD_I.match(plain)) and not re.search(r"\d", plain):
        return _say_whether(state, should["rest"])
    found = _ASKED.match(plain)
    return None if found is None else _answer_asked(state, found)


def _answer_asked(state: TalkState, found: re.Match[str]) -> list[Block] | None:
    """Answer what is asked of a word or a lever; None where none is known."""
    words = re.findall(r"[\w'/-]+", found["rest"])
    is_own = found["how"] == "what" and not {"my", "our"}.isdisjoint(words)
    words = [word for word in words if word not in _SAID_BESIDE]
    if found["how"].startswith("how"):
        lever = _lever_meant(state, words)
        return lookup.how_screen(lever, state.bench.knowledge) if lever else None
    word = lookup.find_known(words, state.bench.knowledge)
    if found["how"].startswith("where") and (lever := _lever_in(state, words)):
        return [Line(_say_place(state, lever)), *lookup.how_screen(lever, state.bench.knowledge)]
    own = _say_own(state, words) if is_own else []
    shortly = lookup.explain_shortly(word, state.bench.knowledge) if word else None
    return [*own, *(shortly or [])] or _say_unknown(state, found[0], words)


def _say_whether(state: TalkState, asked: str) -> list[Block] | None:
    """Say what the list says of a lever that is asked about, else how to tell of a part, or what the word means."""
    words = [word for word in re.findall(r"[\w'/-]+", asked) if word not in _SAID_BESIDE]
    lever, word = _lever_in(state, words), lookup.find_known(words, state.bench.knowledge)
    if lever and state.advised and not state.stop:
        return screens.why_not(state, lever.replace("_", " "))
    told = _how_to_tell(state, words) or (lookup.explain_shortly(word, state.bench.knowledge) if word else None)
    first = [Line(sayings.ANSWER_FIRST)] if state.question is not None else []
    return [*told, *first] if told else None


def _how_to_tell(state: TalkState, words: list[str]) -> list[Block]:
    """Say how to tell whether a part that is named is sound, by the question that asks it."""
    named = {stem(word) for word in words}
    asked = [one for qid, one in state.bench.knowledge.questions.items() if stem(qid.split("-")[0]) in named]
    return [Line(sayings.HOW_TO_TELL.format(one.how_to_tell)) for one in asked if one.topic == "car"]


def _say_unknown(state: TalkState, text: str, words: list[str]) -> list[Block] | None:
    """Say of a word that was asked about that nobody here knows it; None where none was."""
    is_of_word = words and asks_meaning(text) and not _lever_in(state, words)
    return [Line(sayings.UNKNOWN_WORD.format(quoted(" ".join(words)), sayings.HELP_LISTS))] if is_of_word else None


def _say_what_now(state: TalkState) -> list[Block]:
    """Show the list again; a question that is open is asked again by itself, so it is said that it comes first."""
    if state.question is not None:
        return [Line(sayings.ANSWER_FIRST)]
    is_listed = state.advised and not state.stop
    return interview.show_list(state) if is_listed else interview.enough(state, "")


def _say_own(state: TalkState, words: list[str]) -> list[Block]:
    """Say what the setup has of a lever that is named."""
    setup, lever = state.bench.case.setup, _lever_in(state, words)
    if not lever:
        return []
    value = lever_value(lever, value_of(setup, lever), state.system, setup=setup)
    guessed = sayings.GUESSED if lever in setup.guessed else ""
    return [Line(f"{sayings.OWN_VALUE.format(lever_name(lever), value)}{guessed}")]


def _say_tire_price(state: TalkState, number: int) -> list[Block]:
    """Say what an offer costs the tires over the run, the first on screen with a price where none is named."""
    for at, one in enumerate(state.offers, 1):
        is_meant = at == number if number else at <= state.shown
        if is_meant and (price := say_price(one.run)):
            return [Line(sayings.PRICE.format(at, order_words(one, state.levers, state.system), price))]
    return [Line(sayings.NONE_PRICED if state.offers else sayings.NO_PRICE)]


def _lever_meant(state: TalkState, words: list[str]) -> str:
    """Find the lever a "how do I" is about: the one named, or that of the change that is spoken of."""
    if words and not set(words) <= _THAT:
        return _lever_in(state, words)
    listed = [lever for offer in state.offers for lever, _ in offer.steps_of_levers]
    return next(iter([*state.made_last, *listed]), "")


def _lever_in(state: TalkState, words: list[str]) -> str:
    with suppress(NoChangeError):
        return find_lever(words, state.bench.case.setup, state.bench.knowledge)
    return ""


def _say_place(state: TalkState, lever: str) -> str:
    row, title = ROW_OF.get(lever), state.levers[lever].title
    place = sayings.SAID_PLACES.get(row.place, sayings.AT_PLACE.format(row.place)) if row else sayings.OWN_PLACE
    return f"{capital(title)}: {place}."
