"""A typed line that answers one of several choices: its number, its place among them, its words, or a slip in them.

Every question of the program is answered through here, so that what is understood at one is understood at all.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from difflib import get_close_matches

from assistant.ground.names import CORNER_WORDS, corners_as, nearest

_COUNTED = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
NUMBER_WORDS = {word: str(number) for number, word in enumerate(_COUNTED, 1)}
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")
BY_PLACE = re.compile(
    r"(?:(?:about|like|maybe|say|its|it's|a|an|number|answer|option|choice|i'd say|the|#) ?)*"
    r"(?:(?P<number>\d)(?:st|nd|rd|th)?|(?P<letter>[a-i])|(?P<word>first|second|third|fourth|fifth|sixth|last))"
    r"(?: (?:one|choice|answer))?(?: ?(?:out of|of|/) ?5)?\W*"
)
"""A choice by its place: "about a 3", "3 out of 5", "b", "the second one"."""
_SHORT = {"y": "yes", "n": "no"}
_BESIDE = frozenset(
    [
        "i",
        "id",
        "i'd",
        "im",
        "i'm",
        "think",
        "guess",
        "believe",
        "maybe",
        "probably",
        "say",
        "like",
        "about",
        "its",
        "it's",
        "it",
        "is",
        "a",
        "an",
        "the",
        "on",
        "we",
        "run",
        "that",
        "one",
        "ones",
        "would",
        "be",
        "be",
        "was",
    ]
)
"""What is said beside a choice and tells nothing: "it's asphalt, I think"."""
_SAYS_OTHERWISE = frozenset(
    [
        "not",
        "no",
        "isnt",
        "isn't",
        "aint",
        "never",
        "low",
        "lower",
        "down",
        "under",
        "less",
        "below",
        "but",
        "except",
        "than",
        "fine",
        "ok",
        "okay",
        "good",
        "sound",
        "dry",
        "cold",
        "cooler",
        "colder",
        "all",
        "both",
        "neither",
    ]
)
"""Words that say something else of a corner than that it is the one."""
_MOST_OF_A_CORNER = 7
"""Words of a line that only points at a corner: "right rear is way up"."""
_SLIP, _LEAST_LETTERS = 0.76, 3
"""How alike a word with a slip in it is to the one that was meant, and letters it has at least (assumption)."""

ASKS_HOW = re.compile(
    r"(?:(?:so|ok|okay|well|but|and|wait|um+|uh+|er+|hm+)\W+)*(?:"
    r"how (?:do|can|would|should|could|will) (?:i|we|you)(?: even)? (?:see|check|tell|find|know|look|measure|spot|test)"
    r"(?: (?:that|this|it|them|those|out|at|for|which))*"
    r"|where (?:do|should|would|can) (?:i|we|you) (?:look|see|check|find)(?: (?:that|this|it|at|for))*"
    r"|what (?:do|should|would|am) (?:i|we|you) (?:look(?:ing)?|watch(?:ing)?) ?(?:at|for)?"
    r"|(?:what|which) (?:sheet|ones?|corner|side|end|way|part|kind|sort)|how|where"
    r"|maybe|perhaps|possibly|kinda|kind of|sorta|sort of|hm+|um+|uh+|er+|(?:it )?depends|(?:it )?could be"
    r"|might be|i guess|help me|i need help"
    r")\W*"
)
"""Who wavers, or asks how to tell: what is asked is explained then."""

_AT_A_LOSS = re.compile(
    r"(?:i |im )?(?:not sure|unsure|(?:dont|do not) (?:know|remember)|no (?:idea|clue)|dunno|idk|(?:cant|couldnt) "
    r"(?:say|tell|remember)|who knows|(?:didnt|never) (?:look|take|measure|check|notice)(?:ed)?|hard to (?:say|tell))"
    r"|(?:ill |i will |you |just |lets )?(?:take |use )?(?:(?:a|the|your) )?guess|whatever(?: it is)?|you pick"
)
"""Who does not know, or takes the guess."""


def is_at_a_loss(typed: str) -> bool:
    """Whether a line says that its writer does not know, or takes a guess: "not sure", "dunno"."""
    return _AT_A_LOSS.fullmatch(" ".join(typed.lower().replace("'", "").split()).strip(" .!")) is not None


def asks_how(typed: str) -> bool:
    """Whether a line asks how to tell what is asked, or wavers: "how do I see that", "hmm"."""
    return ASKS_HOW.fullmatch(" ".join(typed.lower().split())) is not None


def number_in(text: str) -> int | None:
    """Read a bare number: "2", "2.", "(2)", "two"; None for anything else."""
    plain = text.strip().lower().strip("().#: ")
    plain = NUMBER_WORDS.get(plain, plain)
    return int(plain) if plain.isascii() and plain.isdigit() and len(plain) < 4 else None


def place_of(typed: str, choices: Sequence[Sequence[str]], *, alike: bool = True) -> int | None:
    """Find the choice that was meant, counted from 0; None when unclear. choices: the names of each.

    alike: slips, parts of its words and a corner that it alone names are taken too.
    """
    wanted = _plain(typed)[:80]
    at = _number_of(typed.strip().lower(), wanted, len(choices))
    if at is not None or not wanted:
        return at if at is not None and 0 <= at < len(choices) else None
    names = {_plain(name): at for at, row in enumerate(choices) for name in row}
    short = _SHORT.get(wanted, wanted)
    exact = names.get(short, names.get(wanted.replace("'", "")))
    return exact if exact is not None or not alike else _alike(wanted, names)


def _number_of(typed: str, wanted: str, count: int) -> int | None:
    """Read the place of a choice, counted from 0 and out of reach where there is no such one; None for no number."""
    if (number := number_in(typed)) is not None:
        return number - 1
    found = BY_PLACE.fullmatch(typed)
    if found is None:
        return count if wanted.isascii() and wanted.isdigit() else None
    if found["number"]:
        return int(found["number"]) - 1
    if found["letter"]:
        return "abcdefghi".index(found["letter"])
    return count - 1 if found["word"] == "last" else _ORDINALS.index(found["word"])


def _alike(wanted: str, names: Mapping[str, int]) -> int | None:
    """Find the only choice that begins so, has all these words, or alone names this corner; else the nearest."""
    known = {word for name in names for word in name.split()}
    words = {without_slip(word, known) for word in wanted.split()}
    words = words - _BESIDE or words
    for fits in (
        {at for name, at in names.items() if name.startswith(wanted)},
        {at for name, at in names.items() if words and words <= set(name.split())},
        {at for name, at in names.items() if _points_at(wanted, name)},
    ):
        if len(fits) == 1:
            return fits.pop()
    found = None if _corners_in(wanted) else nearest(wanted, names)  # what is said beside a corner may deny it
    return names[found] if found else None


def without_slip(word: str, known: Collection[str]) -> str:
    """Return the known word that was meant, which begins alike: "asfalt" is asphalt; the word itself where none is."""
    is_known = word in known or word in _BESIDE or len(word) < _LEAST_LETTERS
    close = [] if is_known else get_close_matches(word, [one for one in known if one[0] == word[0]], 1, _SLIP)
    return close[0] if close else word


def _points_at(wanted: str, name: str) -> bool:
    """Whether a short line names one corner, the one of this choice, and says nothing against it."""
    words, named = wanted.split(), _corners_in(wanted)
    is_short = len(words) <= _MOST_OF_A_CORNER and _SAYS_OTHERWISE.isdisjoint(words)
    return is_short and len(named) == 1 and named <= _corners_in(name)


def _corners_in(plain: str) -> set[str]:
    return {corner for corner in CORNER_WORDS.values() if corner in plain}


def _plain(text: str) -> str:
    """Write a line without marks, and each corner by its words: "RR", "rear right" and "back right" are one."""
    text = re.sub(r"\bback (?=(?:left|right)\b)|(?<=left )back\b|(?<=right )back\b", "rear ", text.lower())
    return " ".join(corners_as(CORNER_WORDS, re.sub(r"[^\w\s']", " ", text)).split())
