"""Questions in a driver's words: what is asked for, and not told. "Should I run it loose?" is no loose car.

Who asks why the car is loose, or what to do about it, complains of it; that is no question here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_PART = re.compile(r"[^.;!?\n,]+[.;!?\n,]*")
_FILLERS = r"(?:(?:so|ok|okay|and|but|or|hey|well|also|please|sorry|man|boss|guys|question)[ ,]{1,9}){0,9}"
_MAY = "should|shall|could|would|can|may|might|will"
_HELP = "help|fix|cure|tell|say|show"
_MEND = "fix|cure|stop|get|keep|make|cut|free|tighten|loosen|help|turn"
_DO = "do|change|try|adjust|check|move|think|suggest|say|recommend"
_ASKS = re.compile(
    rf"{_FILLERS}(?:"
    rf"(?:{_MAY}|is|am) ?(?:n'?t)? (?:i|we|it|there|that|this)\b"
    rf"|(?:{_MAY}|do) (?:yo)?u (?!(?:please )?(?:{_HELP})\b)"
    r"|do(?:n'?t)? (?:i|we)\b"
    r"|which (?:way|one|side|end|lever|spring|shock|tire|is|do|should|would)\b"
    rf"|how (?:much|many|far|low|high|stiff|soft|big|long|about|do|does|{_MAY})\b"
    r"|what if|what'?s (?:the |a |an )?(?:better|best|normal|usual|typical|good|right|difference)"
    rf"|(?:{_MAY}) you (?:please )?(?:tell|explain to) (?:me|us) what (?!to\b|it\b)"
    r"|why (?:would|do|does|is) (?:an? |any )?(?:car|cars)\b"
    rf"|what(?! (?:it|she|the car|my car)\b)(?: \w+){{0,3}} (?:{_MAY}|do|does|happens) "
    rf"|(?:where|when|who) (?:do|does|{_MAY}) (?:i|we|you|it|the)\b"
    r")"
)
_MEANS = re.compile(
    rf"{_FILLERS}(?:what(?:'?s| is| are| does| means)|define|(?:the |what is the )?meaning of) "
    r"(?!(?:it|it'?s|its|car|happening|going|wrong|that|this|i|we|s?he|the (?:car|matter|problem))\b)"
    r"(?:an? |the )?[\w'/-]+(?: [\w'/-]+){0,3}\W*"
)
"""Asks what a word means; what the car does is asked otherwise."""
_ASKS_WITH_MARK = re.compile(rf"{_FILLERS}(?:do|does|did|is|are|was|were|has|have|will|would)(?:n'?t)? ")
_ABOUT_COMPLAINT = re.compile(
    rf"{_FILLERS}(?:how (?:do|{_MAY}) (?:i|we|you) (?:{_MEND})\b|what (?:do|{_MAY}) (?:i|we|you) (?:{_DO})\b)"
)
_MENDING = re.compile(
    rf"(?i)(^|[.!?;,\n])\s{{0,9}}{_FILLERS}how (?:do|{_MAY}) (?:i|we|you) "
    r"(?:fix|cure|stop|keep (?:it|her|the car) from|(?:make|get) (?:it|her|the car) (?:to )?(?:not|stop|quit))\b"
)
"""What is to be fixed is not fixed yet, and what it is to stop doing it does."""
_CAR = r"(?:it|it'?s|its|the car|my car|our car|car|she|she'?s|i'?m|the (?:rear|front|nose|back|tail)|rear|front)\b"
_TOLD = re.compile(
    rf"\b(?:if|when|because|cause|cuz|since|as) (?={_CAR})|\b(?:for|with|about) (?=(?:a|an|my|our|this) )"
)
_STATEMENT = re.compile(rf"\s*(?:and |but |because |cause |right )?(?:{_CAR}|now\b|my\b|we\b|i\b|the\b|he\b)")
_WH = re.compile(rf"{_FILLERS}(?:wh|how)")


@dataclass(frozen=True)
class Questioned:
    """words: the question, empty where none is asked. rest: what is told beside it."""

    words: str
    rest: str


def asks_meaning(text: str) -> bool:
    """Whether a text asks what a word or two mean, and nothing else."""
    return bool(_MEANS.fullmatch(" ".join(text[:200].lower().replace("’", "'").replace('"', "").split())))


def read_question(text: str) -> Questioned:
    """Take the questions out of a text; what they say of the car as it is stays in: "which way if it is tight"."""
    if asks_meaning(text):
        return Questioned(text.strip(), "")
    asked: list[str] = []
    rest: list[str] = []
    goes_on = False
    for found in _PART.finditer(text):
        part = found[0]
        goes_on = _is_question(part) or (goes_on and not _STATEMENT.match(part.lower()))
        if goes_on:
            asked.append(part.strip(" ,.;\n"))
        rest.append(_told_in(part) if goes_on else part)
        goes_on = goes_on and part.endswith(",")
    return Questioned(", ".join(asked), "".join(rest)) if asked else Questioned("", _MENDING.sub(r"\1", text))


def _is_question(part: str) -> bool:
    plain = " ".join(part.lower().replace("’", "'").split())
    if _ABOUT_COMPLAINT.match(plain):
        return False
    return bool(_ASKS.match(plain) or ("?" in plain and _ASKS_WITH_MARK.match(plain)))


def _told_in(part: str) -> str:
    """Return what a question says of the car as it is, with the mark it ends in."""
    told = _TOLD.search(part.lower())
    if told is None or (told[0].split()[0] in {"for", "with", "about"} and not _WH.match(part.lower().lstrip())):
        return "." if part.rstrip().endswith((".", "?", "!", ";")) else ", "
    return f" {part[told.end() :]}"
