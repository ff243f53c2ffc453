"""What a driver says of parts: signs of danger, and what was changed on the car. Knows no handling.

Where a phrase is read only where nothing longer stands, these are looked for everywhere, a part and what is said of it
in either order: a car with a broken part is looked at first, whatever else was said of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import takewhile

from assistant.diagnosis.doubt import REACH, is_denied
from assistant.diagnosis.stems import BREAKS, Steps, Token, match_steps, stem, steps_of, word_set
from assistant.ground.understood import UNDER_A_CAR
from assistant.rules.models_symptom import PhrasesFile, SaidOfPart

_SMALL = word_set(
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
_PLACERS = word_set("in on at of from for to under inside")
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
_AMOUNTS = word_set(
    """
    half quarter eighth couple few one two inch inches pound pounds lb lbs psi degree degrees click clicks turn turns
    round rounds hole holes step steps number numbers more less another different higher lower
    """
)
"""How much of a change there was."""
_WHERE = _PLACERS | word_set(
    """
    in out up down off back forward forwards rearward ahead all four both each around corners ends sides rail
    """
)
"""Behind a part that was changed: where, and which way."""
_LEADS_ON = word_set("to for of from at on")
_REASONS = word_set("because cause to for trying")
"""Behind what was changed these tell what for, up to the end of the clause."""
_BESIDE = _SMALL | _SIDES | _ENDS | _ANY_KIND
_BEFORE_PART = _SIDES | _ENDS | _ANY_KIND | word_set("a the my our some")
_NOUNS = word_set(
    """
    hop spin speed base rate rates angle travel setting settings clicks click preload split lead height offset grip bite
    traction drive temp temps bias release zone point marker balance
    """
)
"""Behind a part these make it something else: "bad wheel hop"."""
_DONE_NOUNS = word_set("change changes swap adjustment adjustments")
"""Behind a part these are no part, but what was done to it."""
_IN_A_CHANGE = _BESIDE | _WHERE | _AMOUNTS | _DONE_NOUNS
_NO_PART = word_set("comfort corner something")
"""Kinds of parts that are named in any talk."""


_ON_A_JACK = re.compile(
    r"^(?!.*\b(?:stands?|jackstands?|nobody|noone|gonna|going to|dont|never)\b)"
    r"(?=.*(?<!looked )(?<!checked )(?<!look )\bunder (?:it|her|there|the car|this|that|my car|our car)\b)"
    r"(?=.*\bjack(?:s|ed)?\b(?! (?:bolt|screw)))"
)
"""Somebody is under the car, and a jack is named, but no stands."""


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

    with_phrases: those of the phrase list as well, for words that nobody reads as a complaint. amounts: how much may be
    said before a part ("two pounds of air").
    """

    by_first: Mapping[str, tuple[Wrong, ...]] = field(default_factory=dict)
    with_phrases: Mapping[str, tuple[Wrong, ...]] = field(default_factory=dict)
    parts: Mapping[tuple[str, ...], frozenset[str]] = field(default_factory=dict)
    amounts: bool = False


@dataclass(frozen=True)
class DangerFound:
    """A sign of danger, or a kind of change, and the tokens it was read in."""

    begin: int
    end: int
    sign: str


def build_dangers(phrases: PhrasesFile) -> Dangers:
    """Make the signs of danger of a phrase file ready to match."""
    own = [wrong for danger in phrases.dangers for wrong in _wrongs_of(danger, danger.sign)]
    plain = [Wrong(one.safety, steps_of(text)) for one in phrases.phrases if one.safety for text in one.says]
    return Dangers(_index(own), _index([*own, *plain]), _kinds_of(phrases.parts))


def build_changes(phrases: PhrasesFile) -> Dangers:
    """Make what may be done to the parts of a car ready to match; the kind of a part is its place in the list."""
    own = [wrong for change in phrases.changes for wrong in _wrongs_of(change, "")]
    names = {str(place): one.parts for place, one in enumerate(phrases.changed)}
    what = {str(place): next(iter(one.answers.values()), "") for place, one in enumerate(phrases.changed)}
    parts = {stems: kinds | {what[kind] for kind in kinds} for stems, kinds in _kinds_of(names).items()}
    return Dangers(_index(own), {}, parts, amounts=True)


def _kinds_of(parts: Mapping[str, Iterable[str]]) -> dict[tuple[str, ...], frozenset[str]]:
    found: dict[tuple[str, ...], frozenset[str]] = {}
    for kind, names in parts.items():
        for name in names:
            stems = tuple(map(stem, name.lower().replace("-", " ").split()))
            found[stems] = found.get(stems, frozenset()) | {kind}
    return found


def _index(wrongs: Iterable[Wrong]) -> dict[str, tuple[Wrong, ...]]:
    found: dict[str, tuple[Wrong, ...]] = {}
    for wrong in wrongs:
        for first in _firsts(wrong.steps):
            found[first] = (*found.get(first, ()), wrong)
    return found


def _wrongs_of(said: SaidOfPart, sign: str) -> Iterator[Wrong]:
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
    words = _Words(tokens, dangers.parts, amounts=dangers.amounts)
    possible = {
        first: [wrong for wrong in by_first[first] if words.may_hold(wrong)] for first in words.stems & by_first.keys()
    }
    found = [
        one
        for at, token in enumerate(tokens)
        if not token.mark
        for wrong in possible.get(token.stem, ())
        if (one := words.found_at(wrong, at)) is not None
    ]
    said = [token.word for token in tokens]
    if dangers.by_first and "under" in said and _ON_A_JACK.search(" ".join(said)):
        found.append(DangerFound(said.index("under"), said.index("under") + 1, UNDER_A_CAR))
    return found


def find_changes(tokens: Sequence[Token], changes: Dangers, taken: frozenset[int]) -> list[DangerFound]:
    """Find what was changed on the car: all words of it, and for sign the place of the part in the list of parts.

    taken: places read already.
    """
    words = _Words(tokens, changes.parts, amounts=True)
    found: list[DangerFound] = []
    upto = 0
    for one in find_dangers(tokens, changes):
        begin, end = one.begin, words.end_of_change(one.end)
        while begin >= upto and taken.isdisjoint(range(begin, end)):
            upto = words.end_of_reason(end)
            found.append(DangerFound(begin, upto, words.kinds_in(begin, end)[-1]))
            begin, end = words.next_of_list(upto)
    return found


def kinds_named(tokens: Sequence[Token], changes: Dangers) -> list[int]:
    """List the places in the list of parts of those that are named, in order."""
    return [int(kind) for kind in _Words(tokens, changes.parts).kinds_in(0, len(tokens))]


def speaks_of_part(tokens: Sequence[Token], dangers: Dangers) -> bool:
    """Whether a part that can break is named."""
    return not _Words(tokens, dangers.parts).kinds <= _NO_PART


class _Words:
    """The words at hand, with the parts that are named in them: where one begins -> its kinds for each length."""

    def __init__(
        self, tokens: Sequence[Token], names: Mapping[tuple[str, ...], frozenset[str]], *, amounts: bool = False
    ) -> None:
        self._tokens, self._amounts = tokens, amounts
        self.stems = frozenset(one.stem for one in tokens)
        self._named: dict[int, list[tuple[int, frozenset[str]]]] = {}
        firsts = {name[0] for name in names}
        for at in [at for at, token in enumerate(tokens) if token.stem in firsts]:
            for size in (3, 2, 1):
                kinds = names.get(tuple(one.stem for one in tokens[at : at + size]))
                if kinds and at + size <= len(tokens) and self._is_a_part(at + size):
                    self._named.setdefault(at, []).append((size, kinds))
        self.kinds = frozenset(kind for here in self._named.values() for _, kinds in here for kind in kinds)

    def _is_a_part(self, end: int) -> bool:
        """Whether a name that ends here is one of a part: not "wheel" in "wheel hop", "braking", "welded"."""
        behind = self._tokens[end].word if end < len(self._tokens) else ""
        done = behind in _DONE_NOUNS and not self._amounts
        return behind not in _NOUNS and not done and not self._tokens[end - 1].word.endswith(("king", "ed"))

    def _part_at(self, at: int, kinds: frozenset[str]) -> int:
        """Return how many words a part of one of these kinds takes here; 0 for none."""
        return next((size for size, here in self._named.get(at, ()) if here & kinds), 0)

    def may_hold(self, wrong: Wrong) -> bool:
        """Whether all that a sign cannot do without is there somewhere."""
        words = all(optional or not stems.isdisjoint(self.stems) for stems, optional in wrong.steps)
        return words and (not wrong.parts or bool(wrong.parts & self.kinds))

    def found_at(self, wrong: Wrong, at: int) -> DangerFound | None:
        """Hold a sign against the words that begin here."""
        end = match_steps(wrong.steps, self._tokens, at, _SMALL)
        begin: int | None = at
        if end is not None and wrong.parts and wrong.before:
            end = self._part_behind(wrong, end)
        elif end is not None and wrong.parts:
            begin = self._part_ahead(wrong, at)
        if (
            begin is None
            or end is None
            or self._is_followed(wrong, end)
            or is_denied(self._tokens, begin, wrong.unless)
        ):
            return None
        return DangerFound(begin, end, wrong.sign)

    def _part_behind(self, wrong: Wrong, end: int) -> int | None:
        """Return where the part ends that stands behind what is wrong: "blown right rear shock"."""
        comma = end < len(self._tokens) and self._tokens[end].word == ","
        at = end + comma
        while not self._part_at(at, wrong.parts):
            if at >= min(len(self._tokens), end + REACH) or not self._may_stand_before_part(at):
                return None
            at += 1
        at += self._part_at(at, wrong.parts)
        return None if comma and not self._ends_clause(at) else at

    def _may_stand_before_part(self, at: int) -> bool:
        token = self._tokens[at]
        amount = token.number is not None or token.word in _AMOUNTS or token.word in {"of", "on", "to"}
        return token.word in _BESIDE or (self._amounts and amount)

    def _part_ahead(self, wrong: Wrong, at: int) -> int | None:
        """Return where the part begins that stands in front of what is wrong: "shock on the right rear came loose"."""
        place = at
        while place > max(0, at - REACH):
            for begin in range(max(0, place - 3), place):
                if begin + self._part_at(begin, wrong.parts) == place and not self._is_placed(begin):
                    return begin
            step = self._gap_before(place)
            if not step or (wrong.alone and self._tokens[place - 1].mark):
                return None
            place -= step
        return None

    def _gap_before(self, place: int) -> int:
        """Return how many words before this place may stand between a part and what is wrong with it."""
        words = [one.word for one in self._tokens[max(0, place - REACH) : place]]
        if words[-1] in _SMALL | {","} or words[-1] in _SIDES or (words[-1] in {"it", "its"} and words[-2:-1] == [","]):
            return 1
        count = 0
        while count < len(words) and (words[-count - 1] in _BESIDE or place - count - 1 in self._named):
            count += 1
        return count + 1 if 0 < count < len(words) and words[-count - 1] in _PLACERS else 0

    def _is_placed(self, begin: int) -> bool:
        """Whether the part is a place or an object, not what is spoken of: "on the brake", "changed the shock"."""
        at = begin - 1
        while begin - REACH < at >= 0 and self._tokens[at].word in _BEFORE_PART:
            at -= 1
        return at >= 0 and self._tokens[at].word in _NO_SUBJECT

    def end_of_change(self, at: int) -> int:
        """Pass over how much was changed, where and which way: "in the left rear", "up a half inch"."""
        end = at
        while at < len(self._tokens) and self._tells_of_change(at):
            at += 1
            end = at if self._tokens[at - 1].word not in _SMALL | _LEADS_ON else end
        return end

    def end_of_reason(self, at: int) -> int:
        """Pass over what a change was made for: "to free it up", "because it pushed"."""
        if at == len(self._tokens) or self._tokens[at].word not in _REASONS:
            return at
        while not self._ends_clause(at) and self._tokens[at].word != "now":
            at += 1
        return at

    def next_of_list(self, at: int) -> tuple[int, int]:
        """Return where the next part of a list of changes begins and ends (", new tires"); (-1, -1) for none."""
        while at < len(self._tokens) and self._tokens[at].word in {",", "and", "plus", "then"}:
            at += 1
        begin = at
        while at < len(self._tokens) and not self._named.get(at) and self._may_stand_before_part(at):
            at += 1
        end = self.end_of_change(at) if self._named.get(at) else at
        return (begin, end) if self._named.get(at) and self._ends_clause(end) else (-1, -1)

    def _tells_of_change(self, at: int) -> bool:
        token = self._tokens[at]
        turn = at + 1 < len(self._tokens) and self._tokens[at + 1].number in {1, 2, 3, 4}
        if token.mark and self._tells_from_to(at + 1):
            return True
        if token.mark or token.word == "for" or (token.word in {"in", "off", "out"} and turn):
            return False
        return at in self._named or token.number is not None or token.word in _IN_A_CHANGE

    def _tells_from_to(self, at: int) -> bool:
        """Whether an old value and a new one stand here: "200 to 225"."""
        one, between, other = (*self._tokens[at : at + 3], None, None, None)[:3]
        if one is None or between is None or other is None or between.word != "to":
            return False
        return one.number is not None and other.number is not None

    def kinds_in(self, begin: int, end: int) -> list[str]:
        """Return the places in the list of the parts named between two places, in order."""
        found, at = [], begin
        while at < end:
            size, kinds = next(iter(self._named.get(at, ())), (1, frozenset()))
            found += [one for one in kinds if one.isdigit()]
            at += size
        return found

    def _is_followed(self, wrong: Wrong, end: int) -> bool:
        """Whether what stands behind makes it something else: "the wheel came off the ground"."""
        near = list(takewhile(lambda one: not one.mark, self._tokens[end : end + 4]))
        if wrong.not_before & {"#" if one.number is not None else one.stem for one in near}:
            return True
        return wrong.alone and not self._ends_clause(self._behind_places(end))

    def _behind_places(self, end: int) -> int:
        """Pass over small words, sides and parts: "loose in the bushing on the right rear"."""
        at = end
        while at < min(len(self._tokens), end + REACH) and self._is_place(at):
            at += 1
        return at

    def _is_place(self, at: int) -> bool:
        word = self._tokens[at].word
        leads_on = word in _PLACERS and at + 1 < len(self._tokens) and not self._tokens[at + 1].mark
        return word in _BESIDE or word == "today" or at in self._named or leads_on

    def _ends_clause(self, at: int) -> bool:
        return at >= len(self._tokens) or self._tokens[at].mark or self._tokens[at].word in BREAKS
