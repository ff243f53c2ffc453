"""What a driver says of parts of the car that is a sign of danger. Knows no handling.

Where a phrase is read only where nothing longer stands, these are looked for everywhere, a part and what is said of it
in either order: a car with a broken part is looked at first, whatever else was said of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import takewhile

from assistant.diagnosis.doubt import REACH, is_denied
from assistant.diagnosis.stems import BREAKS, MOST_AIR, Steps, Token, match_steps, stem, steps_of, word_set
from assistant.ground.understood import UNDER_A_CAR
from assistant.rules.models_symptom import PhrasesFile, SaidOfPart

SMALL = word_set(
    """
    a an the this that these those my our your his her one is are was were be been being has have had having got get
    gets getting keeps keep kept starts started starting seems feels felt looks all just really very so too pretty
    kinda kind sort bit little lot totally completely half maybe might must probably think now again still even also
    badly bad suddenly up
    """
)
"""What may stand between a part and what is wrong with it. English grammar, no source."""
_SIDES = word_set("left right lf rf lr rr inside outside driver passenger side upper lower top bottom")
_ENDS = word_set("front rear back end")
PLACERS = word_set("in on at of from for to under inside")
_NO_SUBJECT = word_set(
    """
    with on off under into in at by than without using i we you they changed swapped put added raised lowered moved took
    softened stiffened tried ran hit hits touch trail more less much enough
    """
)
"""Before a part these make it something done or a place: "with the new shock it came loose", "on the brake"."""
_ANY_KIND = word_set(
    """
    new old stiffer softer bigger smaller heavier lighter other same second first spare used big small stiff soft heavy
    light
    """
)
BESIDE = SMALL | _SIDES | _ENDS | _ANY_KIND
BEFORE_PART = _SIDES | _ENDS | _ANY_KIND | word_set("a the my our some")
_NOUNS = word_set(
    """
    hop spin speed base rate rates angle travel setting settings clicks click preload split lead height offset grip bite
    traction drive temp temps bias release zone point marker balance
    """
)
"""Behind a part these make it something else: "bad wheel hop"."""
_POUNDS = word_set("pound pounds lb lbs")
DONE_NOUNS = word_set("change changes swap adjustment adjustments")
"""Behind a part these are no part, but what was done to it."""
_NO_PARTS = word_set("pry crow breaker cross")
"""Before a bar these make it a tool, and before a weight a reading of the scales."""
_NO_PART = word_set("comfort corner something")
"""Kinds of parts that are named in any talk."""


_STANDS = r"(?!.*\b(?:jack ?stands?|stands?)\b(?! (?:are |is )?(?:in|at|back) ))"
"""No stands are spoken of but those that are elsewhere."""
_ON_A_JACK = re.compile(
    rf"^{_STANDS}(?!.*\b(?:nobody|noone|gonna|going to|dont|never)\b)"
    r"(?=.*(?<!looked )(?<!checked )(?<!look )\bunder (?:it|her|there|the car|this|that|my car|our car)\b)"
    r"(?=.*\bjack(?:s|ed)?\b(?! (?:bolt|screw)))"
)
"""Somebody is under the car, and a jack is named, but no stands."""
_NOW_UNDER = re.compile(
    rf"^{_STANDS}(?=.*\b(?:now|still|laying|lying|crawling|working)\b)"
    r".*\b(?:hes|shes|theyre|im|(?:he|she|dad|brother|son|boy|kid|buddy|guy|crew|somebody|someone)s?(?: is| are)?)"
    r" (?:\w+ ){0,2}(?<!looked )(?<!checked )(?<!look )(?<!went )(?<!been )under"
    r" (?:it|her|there|the car|this|that|my car|our car)\b"
)
"""Somebody is under it at this moment, and nobody speaks of stands."""


@dataclass(frozen=True)
class Wrong:
    """What is wrong with some parts. before: it stands in front of them ("blown shock"). alone: nothing may follow."""

    sign: str
    steps: Steps
    parts: frozenset[str] = frozenset()
    before: bool = False
    alone: bool = False
    unless: frozenset[str] = frozenset()
    not_before: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Dangers:
    """All signs of danger, by their first stem, and the parts: stems of a name -> its kinds.

    with_phrases: those of the phrase list as well, for words that nobody reads as a complaint.
    """

    by_first: Mapping[str, tuple[Wrong, ...]] = field(default_factory=dict)
    with_phrases: Mapping[str, tuple[Wrong, ...]] = field(default_factory=dict)
    parts: Mapping[tuple[str, ...], frozenset[str]] = field(default_factory=dict)


@dataclass(frozen=True)
class DangerFound:
    """A sign of danger, or a kind of change, and the tokens it was read in."""

    begin: int
    end: int
    sign: str


def build_dangers(phrases: PhrasesFile) -> Dangers:
    """Make the signs of danger of a phrase file ready to match."""
    own = [wrong for danger in phrases.dangers for wrong in wrongs_of(danger, danger.sign)]
    plain = [Wrong(one.safety, steps_of(text)) for one in phrases.phrases if one.safety for text in one.says]
    return Dangers(index_of(own), index_of([*own, *plain]), kinds_of(phrases.parts))


def kinds_of(parts: Mapping[str, Iterable[str]]) -> dict[tuple[str, ...], frozenset[str]]:
    """Return the kinds of each part, by the stems of its name."""
    found: dict[tuple[str, ...], frozenset[str]] = {}
    for kind, names in parts.items():
        for name in names:
            stems = tuple(map(stem, name.lower().replace("-", " ").split()))
            found[stems] = found.get(stems, frozenset()) | {kind}
    return found


def index_of(wrongs: Iterable[Wrong]) -> dict[str, tuple[Wrong, ...]]:
    """Put what is said of parts under each stem it may begin with."""
    found: dict[str, tuple[Wrong, ...]] = {}
    for wrong in wrongs:
        for first in _firsts(wrong.steps):
            found[first] = (*found.get(first, ()), wrong)
    return found


def wrongs_of(said: SaidOfPart, sign: str) -> Iterator[Wrong]:
    """Make ready to match what is said of a part, in either order."""
    kinds, unless = frozenset(said.parts), frozenset(said.unless)
    behind, alone = frozenset(map(stem, said.not_before)), bool(said.alone)
    for place, texts in (("says", said.says), ("behind", said.behind), ("before", said.before)):
        for text in texts:
            parts = frozenset[str]() if place == "says" else kinds
            yield Wrong(sign, steps_of(text), parts, place == "before", alone, unless, behind)


def _firsts(steps: Steps) -> Iterator[str]:
    for stems, optional in steps:
        yield from stems
        if not optional:
            return


def danger_words(phrases: PhrasesFile) -> list[str]:
    """List the texts whose words a lexicon should be able to spell."""
    texts = [text for one in (*phrases.dangers, *phrases.changes) for text in (*one.says, *one.behind, *one.before)]
    names = (*phrases.parts.values(), *(one.parts for one in phrases.changed))
    return [*texts, *(name for listed in names for name in listed)]


def find_dangers(tokens: Sequence[Token], dangers: Dangers, *, phrases: bool = False) -> list[DangerFound]:
    """Find the signs of danger in some words. phrases: look for those of the phrase list too."""
    by_first = dangers.with_phrases if phrases else dangers.by_first
    words = PartWords(tokens, dangers.parts)
    found = find_wrongs(words, tokens, by_first)
    said = [token.word for token in tokens]
    plain = " ".join(said) if dangers.by_first and "under" in said else ""
    if _ON_A_JACK.search(plain) or _NOW_UNDER.search(plain):
        found.append(DangerFound(said.index("under"), said.index("under") + 1, UNDER_A_CAR))
    return found


def find_wrongs(
    words: PartWords, tokens: Sequence[Token], by_first: Mapping[str, tuple[Wrong, ...]]
) -> list[DangerFound]:
    """Find what is said of parts, in the order of the words."""
    possible = {
        first: [wrong for wrong in by_first[first] if words.may_hold(wrong)] for first in words.stems & by_first.keys()
    }
    return [
        one
        for at, token in enumerate(tokens)
        if not token.mark
        for wrong in possible.get(token.stem, ())
        if (one := words.found_at(wrong, at)) is not None
    ]


def speaks_of_part(tokens: Sequence[Token], dangers: Dangers) -> bool:
    """Whether a part that can break is named."""
    return not PartWords(tokens, dangers.parts).kinds <= _NO_PART


class PartWords:
    """The words at hand, with the parts that are named in them: where one begins -> its kinds for each length."""

    no_part_before = _NOUNS | DONE_NOUNS

    def __init__(self, tokens: Sequence[Token], names: Mapping[tuple[str, ...], frozenset[str]]) -> None:
        self.tokens = tokens
        self.stems = frozenset(stem for one in tokens for stem in one.stems)
        self.named: dict[int, list[tuple[int, frozenset[str]]]] = {}
        firsts = {name[0] for name in names}
        before = ["", *(token.word for token in tokens)]
        for at in [at for at, token in enumerate(tokens) if token.stem in firsts and before[at] not in _NO_PARTS]:
            for size in (3, 2, 1):
                kinds = names.get(tuple(one.stem for one in tokens[at : at + size]))
                if kinds and at + size <= len(tokens) and self._is_a_part(at + size):
                    self.named.setdefault(at, []).append((size, kinds))
        self.kinds = frozenset(kind for here in self.named.values() for _, kinds in here for kind in kinds)

    def _is_a_part(self, end: int) -> bool:
        """Whether a name that ends here is one of a part: not "wheel" in "wheel hop", "braking", "welded"."""
        behind = self.tokens[end].word if end < len(self.tokens) else ""
        return behind not in self.no_part_before and not self.tokens[end - 1].word.endswith(("king", "ed"))

    def kinds_in(self, begin: int, end: int) -> list[str]:
        """Return the places in the list of the parts named between two places, in order."""
        found, at = list[str](), begin
        while at < end:
            size, kinds = next(iter(self.named.get(at, ())), (1, frozenset()))
            found += [one for one in kinds if one.isdigit() and not self._is_amount(at, is_behind=bool(found))]
            at += size
        return found

    def _is_amount(self, at: int, *, is_behind: bool) -> bool:
        """Whether a word says how much of a part: "stiffer rf spring 50 pounds" is no air, nor are so many."""
        before = self.tokens[max(0, at - 2) : at]
        if before and (before[-1].number or 0) > MOST_AIR and self.tokens[at].word in _POUNDS:
            return True
        joined = any(token.mark or token.word in {"and", "plus"} for token in before)
        return (
            is_behind
            and not joined
            and bool(before)
            and before[-1].number is not None
            and self.tokens[at].word in {*_POUNDS, "percent"}
        )

    def _part_at(self, at: int, kinds: frozenset[str]) -> int:
        """Return how many words a part of one of these kinds takes here; 0 for none."""
        return next((size for size, here in self.named.get(at, ()) if here & kinds), 0)

    def may_hold(self, wrong: Wrong) -> bool:
        """Whether all that a sign cannot do without is there somewhere."""
        words = all(optional or not stems.isdisjoint(self.stems) for stems, optional in wrong.steps)
        return words and (not wrong.parts or bool(wrong.parts & self.kinds))

    def found_at(self, wrong: Wrong, at: int) -> DangerFound | None:
        """Hold a sign against the words that begin here."""
        end = match_steps(wrong.steps, self.tokens, at, SMALL)
        begin: int | None = at
        if end is not None and wrong.parts and wrong.before:
            end = self._part_behind(wrong, end)
        elif end is not None and wrong.parts:
            begin = self._part_ahead(wrong, at)
        if begin is None or end is None or self._is_followed(wrong, end) or is_denied(self.tokens, begin, wrong.unless):
            return None
        return DangerFound(begin, end, wrong.sign)

    def _part_behind(self, wrong: Wrong, end: int) -> int | None:
        """Return where the part ends that stands behind what is wrong: "blown right rear shock"."""
        comma = end < len(self.tokens) and self.tokens[end].word == ","
        at = end + comma
        while not self._part_at(at, wrong.parts):
            if at >= min(len(self.tokens), end + REACH) or not self.may_stand_before_part(at):
                return None
            at += 1
        at += self._part_at(at, wrong.parts)
        return None if comma and not self.ends_clause(at) else at

    def may_stand_before_part(self, at: int) -> bool:
        """Whether a word may stand between what is said of a part and the part."""
        return self.tokens[at].word in BESIDE

    def _part_ahead(self, wrong: Wrong, at: int) -> int | None:
        """Return where the part begins that stands in front of what is wrong: "shock on the right rear came loose"."""
        place = at
        while place > max(0, at - REACH):
            for begin in range(max(0, place - 3), place):
                if begin + self._part_at(begin, wrong.parts) == place and not self._is_placed(begin):
                    return begin
            step = self._gap_before(place)
            if not step or (wrong.alone and self.tokens[place - 1].mark):
                return None
            place -= step
        return None

    def _gap_before(self, place: int) -> int:
        """Return how many words before this place may stand between a part and what is wrong with it."""
        words = [one.word for one in self.tokens[max(0, place - REACH) : place]]
        if words[-1] in SMALL | {","} or words[-1] in _SIDES or (words[-1] in {"it", "its"} and words[-2:-1] == [","]):
            return 1
        count = 0
        while count < len(words) and (words[-count - 1] in BESIDE or place - count - 1 in self.named):
            count += 1
        return count + 1 if 0 < count < len(words) and words[-count - 1] in PLACERS else 0

    def _is_placed(self, begin: int) -> bool:
        """Whether the part is a place or an object, not what is spoken of: "on the brake", "changed the shock"."""
        at = begin - 1
        while begin - REACH < at >= 0 and self.tokens[at].word in BEFORE_PART:
            at -= 1
        return at >= 0 and self.tokens[at].word in _NO_SUBJECT

    def _is_followed(self, wrong: Wrong, end: int) -> bool:
        """Whether what stands behind makes it something else: "the wheel came off the ground"."""
        near = list(takewhile(lambda one: not one.mark, self.tokens[end : end + 4]))
        if wrong.not_before & {"#" if one.number is not None else one.stem for one in near}:
            return True
        return wrong.alone and not self.ends_clause(self._behind_places(end))

    def _behind_places(self, end: int) -> int:
        """Pass over small words, sides and parts: "loose in the bushing on the right rear"."""
        at = end
        while at < min(len(self.tokens), end + REACH) and self._is_place(at):
            at += 1
        return at

    def _is_place(self, at: int) -> bool:
        word = self.tokens[at].word
        leads_on = word in PLACERS and at + 1 < len(self.tokens) and not self.tokens[at + 1].mark
        is_led_to = word in {"it", "her", "there"} and self.tokens[at - 1].word in PLACERS
        return word in BESIDE or word in {"today", "tonight"} or at in self.named or leads_on or is_led_to

    def ends_clause(self, at: int) -> bool:
        """Whether a clause ends here."""
        return at >= len(self.tokens) or self.tokens[at].mark or self.tokens[at].word in BREAKS
