"""What a driver says was done to parts of the car: "went up 25 on the rr spring, new tires". Knows no handling."""

from __future__ import annotations

import re
from collections.abc import Sequence

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
from assistant.diagnosis.stems import Token, word_set
from assistant.rules.models_symptom import PhrasesFile

_AMOUNTS = word_set(
    """
    half quarter eighth couple few one two inch inches pound pounds lb lbs psi degree degrees click clicks turn turns
    round rounds hole holes step steps number numbers more less another different higher lower
    """
)
"""How much of a change there was."""
_WHERE = PLACERS | word_set(
    """
    in out up down off back forward forwards rearward ahead all four both each around corners ends sides rail
    """
)
"""Behind a part that was changed: where, and which way."""
_LEADS_ON = word_set("to for of from at on")
_REASONS = word_set("because cause to for trying")
"""Behind what was changed these tell what for, up to the end of the clause."""
_FROM_TO = re.compile(r"# to #|(?:was|were) (?:an? )?#")
_LISTS = word_set(", and plus then we i")
"""What stands between the parts of a list."""
_IN_A_CHANGE = BESIDE | _WHERE | _AMOUNTS | DONE_NOUNS


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
        begin, end = one.begin, words.end_of_change(one.end)
        listed = words.list_before(begin) if begin >= upto else []
        found += [DangerFound(*place, words.kinds_in(*place)[-1]) for place in listed]
        while begin >= upto and taken.isdisjoint(range(begin, end)):
            upto = words.end_of_reason(end)
            named = words.kinds_in(begin, end) or [one.sign]
            found.append(DangerFound(begin, upto, named[-1]))
            begin, end = words.next_of_list(upto)
    return found


def kinds_named(tokens: Sequence[Token], changes: Dangers) -> list[int]:
    """List the places in the list of parts of those that are named, in order."""
    return [int(kind) for kind in PartWords(tokens, changes.parts).kinds_in(0, len(tokens))]


class _ChangeWords(PartWords):
    """The words at hand, with the parts that were changed."""

    no_part_before = PartWords.no_part_before - DONE_NOUNS

    def may_stand_before_part(self, at: int) -> bool:
        """Whether a word may stand before a part; how much of it was changed may, too ("two pounds of air")."""
        token = self.tokens[at]
        amount = token.number is not None or token.word in _AMOUNTS or token.word in {"of", "on", "to"}
        return amount or super().may_stand_before_part(at)

    def end_of_change(self, at: int) -> int:
        """Pass over how much was changed, where and which way: "in the left rear", "up a half inch"."""
        end = at
        while at < len(self.tokens) and self._tells_of_change(at):
            at += 1
            end = at if self.tokens[at - 1].word not in SMALL | _LEADS_ON else end
        return end

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
        return at in self.named or token.number is not None or token.word in _IN_A_CHANGE

    def _is_in_fraction(self, at: int) -> bool:
        """Whether a stroke stands between two numbers: "1/8"."""
        around = self.tokens[max(0, at - 1) : at + 2]
        return self.tokens[at].raw == "/" and len(around) == 3 and all(one.number is not None for one in around[::2])

    def _tells_from_to(self, at: int) -> bool:
        """Whether the old value and the new one stand here, or the old one: "200 to 225", "was a 200"."""
        near = " ".join("#" if one.number is not None else one.word for one in self.tokens[at : at + 3])
        return _FROM_TO.match(near) is not None
