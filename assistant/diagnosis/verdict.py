"""What a driver says of a change: fixed, better, the same, worse; and the rest of the line, which is what it does now.

A word stands for the share of the complaint that is gone. All shares are assumptions; words are coarse, so their doubts
are wide.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache


@dataclass(frozen=True)
class ChangeWord:
    """share of the complaint that is gone, below zero where there is more of it; off: give or take.

    rest: what the line says besides. only: the balance it is said of, where it is not said of all.
    """

    id: str
    share: float
    off: float
    rest: str = ""
    only: str = ""


_NOT = r"(?:didn'?t|did not|doesn'?t|does not|hasn'?t|has not|not)"
_TREND = r"(?! (?:and worse|as|over|with every|each|every|later?|toward|in the (?:end|heat))\b)"
_LITTLE = r"(?:a (?:little|bit|touch|tick|hair|shade)|slightly|bit|little|some(?:what)?|kinda|sorta|(?:kind|sort) of)"
_PERCENT = r"(?:%|percent)(?: (?:better|there|gone|fixed|of it))+"
_WORDS: tuple[tuple[ChangeWord, str], ...] = (
    (
        ChangeWord("same", 0.0, 0.1),
        rf"{_NOT} (?:help|do anything|do a thing|change anything|make (?:a|any) difference)",
    ),
    (ChangeWord("same", 0.0, 0.1), r"no (?:help|change|difference|better|different|worse|improvement)|did nothing"),
    (
        ChangeWord("same", 0.0, 0.1),
        r"(?:about |just |exactly |still )*(?:the )?same(?: as (?:before|it was))?|unchanged",
    ),
    (
        ChangeWord("same", 0.0, 0.1),
        rf"{_NOT} (?:any )?(?:better|different|worse)|still (?:does|did) (?:it|that)",
    ),
    (ChangeWord("overdone", 1.6, 0.4), r"(?:way )?too much|over ?d(?:one|id)(?: it)?|overshot|too far"),
    (ChangeWord("much worse", -0.8, 0.4), rf"(?:much|way|a lot|lots|far) worse{_TREND}"),
    (
        ChangeWord("worse", -0.4, 0.3),
        rf"(?:a (?:little|bit|touch) |slightly |bit |even )?worse{_TREND}|(?:the )?wrong (?:way|direction)",
    ),
    (ChangeWord("worse", -0.4, 0.3), r"(?:the )?opposite|backwards"),
    (ChangeWord("half", 0.5, 0.15), r"(?:about )?half(?: ?way)?(?: (?:of it|better|gone|there|as bad|fixed))*"),
    (ChangeWord("half", 0.5, 0.15), rf"(?:about |around )?[3-6]\d ?{_PERCENT}"),
    (
        ChangeWord("much better", 0.75, 0.2),
        r"(?:much|way|a lot|lots|far|heaps) better|(?:nearly|almost|mostly) (?:gone|fixed)|night and day",
    ),
    (ChangeWord("much better", 0.75, 0.2), rf"(?:about |around )?[7-9]\d ?{_PERCENT}"),
    (
        ChangeWord("a little better", 0.25, 0.15),
        rf"{_LITTLE} better|helped (?:a (?:little|bit))",
    ),
    (
        ChangeWord("fixed", 1.0, 0.25),
        r"fixed(?: it)?|cured(?: it)?|gone|went away|sorted(?: it)?|perfect|spot on|nailed it|money|just right",
    ),
    (ChangeWord("fixed", 1.0, 0.25), r"that did it|that was it|did the trick"),
    (ChangeWord("fixed", 1.0, 0.25), r"(?:good|fine|great)(?: now)?(?=\s*(?:$|[,.;!]|but\b))"),
    (
        ChangeWord("better", 0.5, 0.3),
        r"(?:it )?(?:better|improved|helped(?: it)?|good change)|picked up|getting there",
    ),
    (ChangeWord("better", 0.5, 0.3), r"not as (?:bad|loose|tight|free)"),
)
_FILL = (
    r"i|we|did|do|done|made|went|the|that|this|it|its|it's|thats|that's|is|was|cars?|car's|change|feels?|felt|got|gets|well|"
    r"ok|okay|so|now|and|a|to|be|seems?|definitely|maybe|has|all|think|guess|yeah|yes|yep"
)
"""Words that say nothing of their own in front of a verdict."""
_BEFORE = rf"(?:(?:{_FILL})[,.!]? +)*"
_JOINED = r"^(?:[\s,.;!-]|(?:but|and|now|though|only|it|it's|its|is|just|the car|then)\b)+"
_SIDES = {
    "loose": (r"looser|freer|more (?:loose|free)", r"loose|free"),
    "tight": (r"tighter|pushier|more (?:tight|push)|pushes more", r"tight|pushing|pushes|pushy|a push"),
}
"""How each balance is said to have grown, and to be there still."""
_MUCH = r"(?:(?:much|way|a lot|lots|far) )"
_DEGREE = r"(?:(?:even|just|as|a (?:little|bit|touch)|slightly|bit) )*"
_ANYWHERE = r"(?: (?:off|in|in the middle|everywhere|all over|all the way|now|than before|as before|as it was))*"
_PLACE_OF_IT = re.compile(
    r"\s+(?:on|in|off|at|under|through|going|getting|coming|the (?:entry|exit|middle|center))\b"
    r"[^,.;]*?(?=\W+(?:but|though)\b)",
    re.IGNORECASE,
)
"""Where it is better, before what it does elsewhere: "better on the brakes but now it pushes"."""
_SLIPS = {
    "bett?[eu]?r|bett?ter|bedder": "better",
    "al+ot": "a lot",
    "a?b(?:ou|uo)t(?= (?:the same|half))": "about",
    "wurse|worce|wors|worser|wrose": "worse",
    "saem|smae": "same",
}
"""Slips in the words of a verdict, as they are typed at the track, and what each stands for."""
CHOICES = ("fixed", "better", "a little better", "same", "worse")
"""Verdicts that are offered by number."""


@cache
def patterns() -> list[tuple[ChangeWord, re.Pattern[str]]]:
    """Give the words with the pattern of a line that begins with them."""
    return [(verdict, re.compile(rf"{_BEFORE}(?:{words})\b[,.;!]*", re.IGNORECASE)) for verdict, words in _WORDS]


def read_verdict(text: str, balance: str = "") -> ChangeWord | None:
    """Read what a line says of a change; None where it says nothing of one.

    balance: what was complained of before the change; "looser" is worse of a loose car and better of a tight one.
    """
    plain = spelled(text)
    found = [(match.end(), verdict) for verdict, pattern in patterns() if (match := pattern.match(plain))]
    found += [one for one in [_read_trend(plain, balance)] if one is not None]
    if not found:
        return None
    end, verdict = max(found, key=lambda one: one[0])
    end = place.end() if (place := _PLACE_OF_IT.match(plain, end)) else end
    return ChangeWord(
        verdict.id, verdict.share, verdict.off, re.sub(_JOINED, "", plain[end:], flags=re.IGNORECASE).strip()
    )


def spelled(text: str) -> str:
    """Write the words of a verdict as they are spelled: "alot beter" is "a lot better"."""
    plain = " ".join(text.split())
    for slip, right in _SLIPS.items():
        plain = re.sub(rf"\b(?:{slip})\b", right, plain, flags=re.IGNORECASE)
    return plain


def _read_trend(plain: str, balance: str) -> tuple[int, ChangeWord] | None:
    """Read "even looser" and "still loose": what the car does now against what it did before."""
    for way, words in _SIDES.items():
        trend = re.match(rf"{_BEFORE}(?P<much>{_MUCH})?{_DEGREE}(?:{words[0]})\b{_ANYWHERE}", plain, re.IGNORECASE)
        if trend and balance:
            worse = "much worse" if trend["much"] else "worse"
            return trend.end(), verdict_of(worse if way == balance else "better")
        as_before = re.match(rf"{_BEFORE}still {_DEGREE}(?:{words[1]})\b{_ANYWHERE}", plain, re.IGNORECASE)
        if as_before and way == balance:
            return as_before.end(), verdict_of("same")
    return None


def verdict_of(chosen: str) -> ChangeWord:
    """Return the verdict of an id."""
    return next(verdict for verdict, _ in _WORDS if verdict.id == chosen)
