"""Signs of danger that may be over or none: mended, looked at, of another day or another car, or a mere likeness.

Nobody is stopped by the words for these; the question of faults, which everybody is asked, settles it. English grammar
and common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.diagnosis.stems import BREAKS, Token, stem, word_set
from assistant.ground.understood import UNDER_A_CAR

_MEND = (
    r"(?:fixed|replaced|mended|repaired|(?:re)?welded|(?:re)?tightened|straightened|swapped|changed|bled|patched|plugged"
    r"|cured|rebuilt|squared|(?:re)?balanced|(?:re)?sealed|tossed|junked|scrapped|threw (?:\w+ )?(?:out|away))"
)
_MENDED = re.compile(
    rf"((?:\w+ ){{0,4}})\b"
    rf"(?:{_MEND}|(?:put|bolted|installed|got) (?:\w+ ){{0,3}}(?:new|another|spare|different|other))\b"
)
_MENDED_IT = re.compile(rf"((?:\w+ ){{0,3}}){_MEND}(?: out)?(?: (?:the|a|an|that|my|our|one|left|right|rear|front))*$")
_NOT_DONE = re.compile(
    r"\b(?:not|didnt|dont|cant|couldnt|havent|hasnt|wont|never|needs?|needed|should|gonna|going|will|must|before|until"
    r"|without|if|to|after|since)\b"
)
"""Before what mends: it was not done, or the trouble is younger."""
_STILL = re.compile(
    r"\b(?:still|again|came back|is back|didnt help|no better|same)\b"
    r"(?! (?:\w+ )?(?:a )?(?:loose|free|tight|push\w*|snug|slow|wont|plow\w*)\b)"
)
"""Behind what mends: it did not help. A car that is still loose may be mended all the same."""
_ANOTHER_DAY = re.compile(
    r"(?<!since )(?<!since the )\b(?:(?:last|previous|two|three|few|couple|couple of|several|\d+) "
    r"(?:days?|weeks?|months?|years?|seasons?|nights?|races?|weekends?)|ago|yesterday|used to|earlier"
    r"|old (?:one|1)|before (?:we|i|he|they))\b"
)
_NOW = re.compile(r"\b(?:now|today|tonight|since|still|again)\b")
_SOUND = re.compile(
    r"\b(?:checked|looked|inspected|on stands|measured|strung|went over|gone over)\b.*?"
    r"\b(?:straight|fine|good|ok|okay|sound|nothing|none|no damage|alright)\b"
    r"|\b(?:nothing|none) (?:\w+ ){0,2}(?:bent|broken?|hurt|wrong|damaged)\b|\bno damage\b|\bfound (?:none|nothing)\b"
)
_OVER = re.compile(r"(?:(?:is|was|has|have|its|all|now|just) )*(?:gone|stopped|quit|cleared|went away|disappeared)\b")
_NOT_OURS = re.compile(
    r"\bnot (?:from )?(?:ours|mine|us|our|my|me)\b|\b(?:from|was|on) (?:the|that|a) (?:\w+ )?(?:cars?|trucks?|guys?)\b"
    r"|\bcars? (?:behind|ahead|in front)\b"
)
_ANOTHER = re.compile(
    r"\b(?:leader|nobody else|guys?|kid|buddy|everybody|everyone|others|other (?:cars?|trucks?)|another (?:car|truck)"
    r"|cars|somebody|someone|the \d+)(?:s? car)? (?:\w+ ){0,2}$"
)
_US = re.compile(r"\b(?:me|my|us|our|i|we)\b")
_LIKENED = re.compile(r"(\w*) ?\blike (?:(?:a|an|the|its|it|has|got|theres|there|is|something|somethings) )*$")
_SENSED = re.compile(r"feel|felt|sound|smell|look|seem")
_GUESSED = re.compile(
    r"(?:(?:so|and|or|but|hey) )*"
    r"(?:could|can(?! (?:smell|see|hear|feel)\b)|would|does|what if|do you think|you think|will) "
)
_GO_ON = re.compile(r"\b(?:run|race|drive|go|finish|safe|ok|okay)\b")
_BUMPS = re.compile(r"\b(?:bumps?|bumpy|rough|seams?|holes?|ripples|washboard)\b")
_COASTED = re.compile(r"\b(?:float|coast|roll)\w* (?:\w+ )?in with $")
"""Before "no brake" this tells what was tried: "float it in with no pedal"."""
_THOUGHT = re.compile(r"\b(?:thought|figured|swore) (?:\w+ ){0,5}$")
_BUT_FOR = re.compile(r"\b(?:other than|apart from|aside from|except(?: for)?|besides|but for) (?:\w+ ){0,4}$")
_PAST = re.compile(r"(?:ed|had|was|were|broke) (?:\w+ )?$")
"""Told as over: "other than the joint clunked"."""
_ON_A_SCREEN = re.compile(
    r"(?<!good )(?<!fine )(?<!great )\b(?:on|in) (?:(?:the|my|a|our) )?(?:sim|simulator|home rig|rig at home)\b"
    r"|\bsim (?:race|racing|league)\b"
)
"""No car that can be bent or leak; who was "good in the sim" speaks of another one."""
_OF_CONTROLS = frozenset({"a fault in the brakes", "a fault in the steering", "a fault in the throttle"})
"""What was felt of these is asked about, whatever was found in a look."""
_BY_BUMPS = frozenset({"vibration"})
_TOLD_ANEW = word_set(
    "the my our i it we they he she looked checked went had walked gone new fresh brand different raised"
)
"""Behind a comma these begin something else: "nothing loose, i checked"."""
_NEW_BEHIND = word_set(", broke broken bent loose cracked leaking")
"""Behind these, too, where nobody joins them: "nothing broke i looked"."""
REACH = 10
"""Words looked at beside a sign, so that time stays bounded."""
_DENIALS = frozenset(
    map(
        stem,
        word_set(
            "no not isnt arent wasnt nothing none nobody nowt never without didnt dont doesnt hasnt havent cant neither"
            " nor"
        ),
    )
)
_DENIAL_REACHES = word_set(
    """
    a an any the of my our is are was were be has have had been got get getting smell smelling find found see saw or
    seen seeing feel felt think signs sign there real more to just i im it its he hes that with them other broke
    broken bent loose came left right front rear lf rf lr rr we you they put go run try nor leaking leaks leaked rubbing
    rubs rubbed dragging take taking takin putting of on about bunch cracked crack cracks hot moved smoking shaking
    hanging off missing round rounds binding torn worn wet damp
    """
)
"""Between a denial and what it denies: "no sign of a leak"."""
_ANSWERED = word_set("the my our i it")
"""Behind "no" these show that it was an answer: "no the shock came loose"."""


@dataclass(frozen=True)
class _Around:
    """A sign, the words of its clause before and behind it, and all that follows up to the end of the next sentence."""

    before: str
    sign: str
    behind: str
    follows: str

    @property
    def clause(self) -> str:
        """The whole clause."""
        return f"{self.before}{self.sign}{self.behind}"


def is_doubtful(tokens: Sequence[Token], begin: int, end: int, sign: str) -> bool:
    """Tell whether the words around a sign of danger leave it open that this car has it now."""
    if sign == UNDER_A_CAR:
        return False
    around = _words_around(tokens, begin, end)
    return (
        _is_mended(around)
        or _is_of_another_day(around)
        or (sign not in _OF_CONTROLS and bool(_SOUND.search(around.follows)))
        or bool(_OVER.match(around.behind))
        or _is_of_another_car(around)
        or _is_likened(around)
        or bool(_ON_A_SCREEN.search(" ".join(token.word for token in tokens)))
        or bool(_COASTED.search(around.before) or _THOUGHT.search(around.before))
        or (sign not in _OF_CONTROLS and bool(_BUT_FOR.search(around.before) and _PAST.search(around.sign)))
        or bool(_GUESSED.match(around.clause) and not _GO_ON.search(around.clause))
        or (sign in _BY_BUMPS and bool(_BUMPS.search(around.clause)))
    )


def _words_around(tokens: Sequence[Token], begin: int, end: int) -> _Around:
    first, last, stops = begin, end, 0
    while first > 0 and not _parts(tokens[first - 1]):
        first -= 1
    while last < len(tokens) and not _parts(tokens[last]):
        last += 1
    upto = end
    while upto < len(tokens) and (stops := stops + (tokens[upto].word == ".")) < 2:
        upto += 1
    cuts = (tokens[first:begin], tokens[begin:end], tokens[end:last], tokens[end:upto])
    return _Around(*("".join(f"{one.word} " for one in cut) for cut in cuts))


def _parts(token: Token) -> bool:
    return token.mark or token.word in BREAKS


def _is_mended(around: _Around) -> bool:
    """Tell whether the trouble itself was mended: named as what was mended, or mended in words behind it."""
    itself = _MENDED_IT.search(around.before.rstrip())
    if itself is not None and not _NOT_DONE.search(itself[1]):
        return True
    found = _MENDED.search(around.follows)
    return found is not None and not _NOT_DONE.search(found[1]) and not _STILL.search(around.follows, found.end())


def _is_of_another_day(around: _Around) -> bool:
    return bool(_ANOTHER_DAY.search(around.clause)) and not _NOW.search(around.clause)


def _is_of_another_car(around: _Around) -> bool:
    hurt_us = _US.search(around.sign + " ".join(around.behind.split()[:2]))
    return bool(_NOT_OURS.search(around.follows) or (_ANOTHER.search(around.before) and not hurt_us))


def _is_likened(around: _Around) -> bool:
    found = _LIKENED.search(around.before)
    return found is not None and not _SENSED.match(found[1])


def is_denied(tokens: Sequence[Token], begin: int, unless: frozenset[str] = frozenset()) -> bool:
    """Whether what begins here is said not to be so, or only nearly: "no leaks", "almost hit the wall".

    unless: words that make it nearly so.
    """
    told_anew = tokens[begin].word in _TOLD_ANEW
    at = begin - 1
    while begin - REACH < at >= 0 and tokens[at].word != ".":
        token = tokens[at]
        if token.word in unless:
            return True
        if token.stem in _DENIALS:
            answered = token.word == "no" and tokens[at + 1].word in _ANSWERED
            return not (answered or tokens[at + 1].mark)
        is_new = told_anew and token.word in _NEW_BEHIND
        if is_new or (token.word not in _DENIAL_REACHES and token.word != ","):
            return False
        at -= 1
    return False
