"""What a driver says was done to parts of the car: "went up 25 on the rr spring, new tires". Knows no handling."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from assistant.diagnosis.danger import (
    BEFORE_PART,
    BESIDE,
    DONE_NOUNS,
    PLACERS,
    SMALL,
    DangerFound,
    Dangers,
    PartWords,
    find_wrongs,
    index_of,
    kinds_of,
    wrongs_of,
)
from assistant.diagnosis.doubt import is_denied
from assistant.diagnosis.stems import MOST_AIR, RATE, Token, stem, word_set
from assistant.ground.names import CORNER_KEYS
from assistant.rules.models_symptom import PhrasesFile

_AMOUNTS = word_set(
    """
    half quarter eighth couple few one two inch inches pound pounds lb lbs psi degree degrees click clicks turn turns
    round rounds hole holes step steps number numbers size sizes strip strips percent quarters eighths sixteenth
    sixteenths more less another different higher lower
    """
)
"""How much of a change there was."""
_SIZES = frozenset({"#", *_AMOUNTS}) - word_set("more less another different higher lower")
_WHERE = PLACERS | word_set(
    """
    in out up down off back forward forwards rearward ahead all four both each around corners ends sides rail
    """
)
"""Behind a part that was changed: where, and which way."""
_LEADS_ON = word_set("to for of from at on")
_REASONS = word_set("because cause to for trying")
"""Behind what was changed these tell what for, up to the end of the clause."""
_FROM_TO = re.compile(
    r"# (?:(?:up|down|back) )?to (?:an? )?#|(?:was|were|had|from|now|used to be|instead of)(?: (?:an?|its|the))* #"
)
"""An old value and the new one."""
_MUCH_BEHIND = re.compile(r"# (?:pounds |lbs? )?(?:stiffer|softer|higher|lower|more|less|bigger|smaller)\b")
_FRACTIONS = word_set("half quarter quarters eighth eighths sixteenth sixteenths")
_DONE = word_set(
    """
    swapped replaced went changed switched traded dropped raised lowered bumped backed bled aired let put added took
    pulled opened closed laid moved cranked jacked stiffened softened upped cut stuck threw
    """
)
_GLUE = word_set("is was had used now instead with to for of from be it its on at than that")
_CORNERS = frozenset({*CORNER_KEYS, "left", "right"})
_IS_READ = word_set("hot cold temp temps laps lap came comes gained built grew lost turn turns over under")
"""Words beside a value that is read and was not set."""
HAPPENS = frozenset({"moves", "drops", "lowers", "raises", "rises"})
_LISTS = word_set(", and plus then we i")
"""What stands between the parts of a list."""
_PLACED = word_set("on off in at for by with behind when until than like get")
_IN_A_CHANGE = BESIDE | _WHERE | _AMOUNTS | DONE_NOUNS


_AT = r"(?:[lr][fr]|(?:left|right) (?:front|rear))"
_MUCH = r"(?:(?:a|an|half an?|\d[\d/. ]*) ?)(?:(?:pounds?|lbs?|psi|inch(?:es)?|clicks?|holes?|turns?) )?"
_AT_TWO = re.compile(
    rf"\b(?P<done>(?:went |go )?(?:up|down)|raised|lowered|dropped|softened|stiffened|added|bumped|took out) "
    rf"(?P<much>(?:{_MUCH})?)(?P<on>(?:on |in )?(?:the )?)(?P<first>{_AT}),? (?:and|&|n) "
    rf"(?P<more>(?:{_MUCH})?)(?:on |in )?(?:the )?(?P<second>{_AT}|left|right)\b(?! ?(?:front|rear|side))",
    re.IGNORECASE,
)
"""The same done at two corners."""


def at_each_corner(text: str) -> str:
    """Write what was done at two corners for each of them: "up 25 on the right rear and 25 on the left"."""
    return _AT_TWO.sub(_for_each, text)


def _for_each(told: re.Match[str]) -> str:
    end = told["first"].lower().split()[-1] if " " in told["first"] else {"f": "front"}.get(told["first"][-1], "rear")
    second = f"{told['second']} {end}" if told["second"].lower() in {"left", "right"} else told["second"]
    first = f"{told['done']} {told['much']}{told['on']}{told['first']}"
    return f"{first}; {told['done']} {told['more'] or told['much']}{told['on']}{second}"


def build_changes(phrases: PhrasesFile) -> Dangers:
    """Make what may be done to the parts of a car ready to match; the kind of a part is its place in the list.

    What says by itself which part it was ("softened the right rear") counts behind those of the list.
    """
    told = [change for change in phrases.changes if change.answers]
    kinds = {id(change): str(len(phrases.changed) + place) for place, change in enumerate(told)}
    own = [wrong for change in phrases.changes for wrong in wrongs_of(change, kinds.get(id(change), ""))]
    names = {str(place): one.parts for place, one in enumerate(phrases.changed)}
    what = {str(place): next(iter(one.answers.values()), "") for place, one in enumerate(phrases.changed)}
    parts = {stems: kinds | {what[kind] for kind in kinds} for stems, kinds in kinds_of(names).items()}
    return Dangers(index_of(own), {}, parts)


def find_changes(tokens: Sequence[Token], changes: Dangers, taken: frozenset[int]) -> list[DangerFound]:
    """Find what was changed on the car: all words of it, and for sign the place of the part in the list of parts.

    taken: places read already.
    """
    words = _ChangeWords(tokens, changes.parts)
    found: list[DangerFound] = []
    upto = 0
    for one in find_wrongs(words, tokens, changes.by_first):
        if not HAPPENS.isdisjoint(token.word for token in tokens[one.begin : one.end]):
            continue  # "the bushing moves" is what a look found, "the nose drops" what the car does
        begin, end = one.begin, words.end_of_change(one.end)
        listed = words.list_before(begin) if begin >= upto else []
        found += [DangerFound(*place, words.kinds_in(*place)[-1]) for place in listed]
        while begin >= upto and taken.isdisjoint(range(begin, end)):
            upto = words.end_of_reason(end)
            named = words.kinds_in(begin, end) if begin != one.begin or not one.sign else []
            found.append(DangerFound(begin, upto, [one.sign, *named][-1]))
            begin, end = words.next_of_list(upto)
    for begin, end in words.figures(taken):
        over = [one for one in found if one.begin < end and begin < one.end]
        if not over and (not words.is_change(begin, end) or is_denied(tokens, begin, _unless(changes))):
            continue
        place = min([begin, *(one.begin for one in over)]), max([end, *(one.end for one in over)])
        kinds = words.kinds_in(*place) or words.kinds_at_corner(*place, changes.parts) or [one.sign for one in over]
        found = [one for one in found if one not in over] + [DangerFound(*place, one) for one in kinds[-1:]]
    return sorted(found, key=lambda one: one.begin)


def _unless(changes: Dangers) -> frozenset[str]:
    """Return the words before a change that make it one only thought of, and no place or time ("on new tires")."""
    return frozenset().union(*(one.unless for each in changes.by_first.values() for one in each)) - _PLACED


def kinds_named(tokens: Sequence[Token], changes: Dangers) -> list[int]:
    """List the places in the list of parts of those that are named, in order."""
    return [int(kind) for kind in PartWords(tokens, changes.parts).kinds_in(0, len(tokens))]


class _ChangeWords(PartWords):
    """The words at hand, with the parts that were changed."""

    no_part_before = PartWords.no_part_before - DONE_NOUNS

    def may_stand_before_part(self, at: int) -> bool:
        """Whether a word may stand before a part; how much of it was changed may, too ("two pounds of air")."""
        token = self.tokens[at]
        amount = token.number is not None or token.word in _AMOUNTS or token.word in {"of", "on", "to", "set", "pair"}
        return amount or super().may_stand_before_part(at)

    def end_of_change(self, at: int) -> int:
        """Pass over how much was changed, where and which way: "in the left rear", "up a half inch"."""
        end = at
        while at < len(self.tokens) and self._tells_of_change(at):
            at += max((size for size, _ in self.named.get(at, ())), default=1)
            end = at if self.tokens[at - 1].word not in (SMALL - _AMOUNTS) | _LEADS_ON else end
        return end

    def figures(self, taken: frozenset[int]) -> Iterator[tuple[int, int]]:
        """Give where words stand that may be of a part and its figures: "rr spring went from 225 to 200"."""
        at = 0
        while at < len(self.tokens):
            begin = at
            while at < len(self.tokens) and at not in taken and self._may_stand_in_figures(at, begin):
                at += max((size for size, _ in self.named.get(at, ())), default=1)
            end, at = at, max(at, begin + 1)
            while begin < end and self.tokens[begin].word in _GLUE - {"from"}:
                begin += 1
            while begin < end and self.tokens[end - 1].word in (_GLUE | SMALL) - _AMOUNTS - {"it"}:
                end -= 1
            if begin < end and not _SIZES.isdisjoint(self._words(begin, end).split()):
                yield begin, end

    def _may_stand_in_figures(self, at: int, begin: int) -> bool:
        word = self.tokens[at].word
        if word == "and":
            is_part = self.tokens[at - 1].word in {"inch", "inches"} and "#" in self._words(at + 1, at + 3)
            return is_part or (self.tokens[begin].word in {"took", "pulled"} and self._words(at + 1, at + 2) == "put")
        return word in _DONE | _GLUE or self._tells_of_change(at)

    def is_change(self, begin: int, end: int) -> bool:
        """Whether words with a part tell an old and a new value, or what was done and how much."""
        said = self._words(begin, end)
        near = {token.word for token in self.tokens[max(0, begin - 2) : end + 2]}
        parts = [at for at in range(begin, end) if at in self.named or self.tokens[at].word in _CORNERS]
        done = [at for at in range(begin, end) if self.tokens[at].word in _DONE]
        if not parts or not _IS_READ.isdisjoint(near):
            return False
        is_valued = _FROM_TO.search(said) is not None and (done or any(at in self.named for at in parts))
        is_moved = bool(done or said.startswith(("up ", "down "))) and (done or [begin])[0] < parts[0]
        return is_moved or bool(is_valued and said.count("#") > 1)

    def _words(self, begin: int, end: int) -> str:
        places = range(begin, min(end, len(self.tokens)))
        return " ".join("#" if self._is_number(at) else self.tokens[at].word for at in places)

    def kinds_at_corner(self, begin: int, end: int, names: Mapping[tuple[str, ...], frozenset[str]]) -> list[str]:
        """Return the kinds of what is at a corner and changed by so much: air by few pounds, else its spring."""
        said = [token.word for token in self.tokens[begin:end]]
        at = next((at for at, word in enumerate(said) if word in _CORNERS), 0)
        corner = said[at : at + 1 + (said[at] in {"left", "right"})]
        numbers = [token.number for token in self.tokens[begin:end] if token.number is not None]
        most = max(numbers, default=0)
        if said[0] == "put" and len(numbers) == 1 and MOST_AIR < most < RATE:
            return []
        is_spring = most >= RATE or (len(numbers) == 1 and most > MOST_AIR)
        return [kind for kind in names.get((*corner, stem("spring")) if is_spring else ("air",), ()) if kind.isdigit()]

    def end_of_reason(self, at: int) -> int:
        """Pass over what a change was made for: "to free it up", "because it pushed"."""
        if at == len(self.tokens) or self.tokens[at].word not in _REASONS:
            return at
        while not self.ends_clause(at) and self.tokens[at].word != "now":
            at += 1
        return at

    def next_of_list(self, at: int) -> tuple[int, int]:
        """Return where the next part of a list of changes begins and ends (", new tires"); (-1, -1) for none."""
        while at < len(self.tokens) and self.tokens[at].word in _LISTS - {"we", "i"}:
            at += 1
        begin = at
        while at < len(self.tokens) and not self.named.get(at) and self.may_stand_before_part(at):
            at += 1
        end = self.end_of_change(at) if self.named.get(at) else at
        return (begin, end) if self.named.get(at) and self.ends_clause(end) else (-1, -1)

    def list_before(self, at: int) -> list[tuple[int, int]]:
        """Return where the parts stand that begin a text as a list: "stagger, rr spring, and we ran the bar up"."""
        found: list[tuple[int, int]] = []
        while (part := self._part_listed(at)) is not None:
            at = part[0]
            found.append(part)
        return found if at == 0 else []

    def _part_listed(self, at: int) -> tuple[int, int] | None:
        end = at
        while end > 0 and self.tokens[end - 1].word in _LISTS:
            end -= 1
        sizes = [size for begin in range(end) for size, _ in self.named.get(begin, ()) if begin + size == end]
        begin = end - max(sizes, default=0)
        while sizes and end < at and begin > 0 and self.tokens[begin - 1].word in BEFORE_PART:
            begin -= 1
        return (begin, end) if sizes and end < at else None

    def _tells_of_change(self, at: int) -> bool:
        token = self.tokens[at]
        turn = at + 1 < len(self.tokens) and self.tokens[at + 1].number in {1, 2, 3, 4}
        if token.mark and (self._tells_from_to(at + 1) or self._is_in_fraction(at)):
            return True
        if token.mark or token.word == "for" or (token.word in {"in", "off", "out"} and turn):
            return False
        return at in self.named or self._is_number(at) or token.word in _IN_A_CHANGE

    def _is_number(self, at: int) -> bool:
        word = self.tokens[at].word
        is_inch = word == "inch" and at > 0 and self.tokens[at - 1].word in {"a", "an"}
        return is_inch or word in _FRACTIONS or word[:1].isdigit() or self.tokens[at].number is not None

    def _is_in_fraction(self, at: int) -> bool:
        """Whether a stroke stands between two numbers: "1/8"."""
        around = self.tokens[max(0, at - 1) : at + 2]
        return self.tokens[at].raw == "/" and len(around) == 3 and all(one.number is not None for one in around[::2])

    def _tells_from_to(self, at: int) -> bool:
        """Whether the old value and the new one stand here, or the old one: "200 to 225", "was a 200"."""
        said = self._words(at, at + 6)
        return (_FROM_TO.match(said) or _MUCH_BEHIND.match(said)) is not None
