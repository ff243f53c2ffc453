"""The phrase lists of the packs made ready to match: patterns of word stems, each with a meaning."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field, replace

from assistant.diagnosis.changed import build_changes
from assistant.diagnosis.danger import Dangers, build_dangers, danger_words
from assistant.diagnosis.stems import Worded, bare_word, stem, steps_of
from assistant.rules.models_symptom import Meaning, PhrasesFile, Symptom


class Taught(Meaning):
    """What a symptom's name stands for, where the phrase list alone reads something else."""

    stands_for: tuple[Meaning, ...]


@dataclass(frozen=True)
class Pattern(Worded):
    """steps: for each word the stems that fit ("#" is a number) and whether it may be missing."""

    meaning: Meaning


@dataclass(frozen=True)
class Lexicon:
    """All phrases, ready to match.

    by_first: first stem -> patterns in file order; words: every word of them -> its stem; stems: those stems;
    short: short form -> word ("thru" -> "through"). taught: a few more patterns, tried after the others.
    passed_over: what may stand between the words of a complaint, those included.
    ordinary: words that are right as they are. listed: those of them that are told as not understood where no phrase
    takes them in.
    dangers: parts and what may be wrong with them. changes: parts and what may have been done to them. changed: for
    each kind of part what it answers that it was changed. signs: what each
    sign of danger answers. respelled: slips looked up so far. degrees: stem of each
    single word that only says how bad -> what it says.
    """

    by_first: Mapping[str, tuple[Pattern, ...]]
    words: Mapping[str, str]
    ordinary: frozenset[str]
    skipped: frozenset[str]
    parts: Mapping[tuple[str, ...], str]
    laps: Mapping[str, int]
    short: Mapping[str, str] = field(default_factory=dict)
    stems: frozenset[str] = frozenset()
    taught: tuple[Pattern, ...] = ()
    degrees: Mapping[str, str] = field(default_factory=dict)
    passed_over: frozenset[str] = frozenset()
    listed: frozenset[str] = frozenset()
    dangers: Dangers = field(default_factory=Dangers)
    changes: Dangers = field(default_factory=Dangers)
    changed: tuple[Mapping[str, str], ...] = ()
    signs: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    respelled: dict[str, str | None] = field(default_factory=dict, compare=False, repr=False)

    def beginning_with(self, first: str, behind: AbstractSet[str]) -> Iterable[Pattern]:
        """List the patterns that may fit where `first` stands, in file order. behind: stems there and behind it."""
        found = [one for one in self.by_first.get(first, ()) if one.may_fit(behind)]
        return (*found, *(one for one in self.taught if first in _first_stems(one))) if self.taught else found


def build_lexicon(phrases: PhrasesFile, symptoms: Sequence[Symptom] = ()) -> Lexicon:
    """Make a lexicon of phrases and of the symptoms without a balance."""
    names = [(one.symptom, text) for one in symptoms if one.balance == "none" for text in (one.symptom, *one.also_said)]
    patterns = [pattern_of(text, phrase) for phrase in phrases.phrases for text in phrase.says]
    patterns += [pattern_of(text, Meaning(symptom=symptom)) for symptom, text in names]
    by_first, degrees = _by_first(patterns), _degrees_in(patterns)
    said = [text for phrase in phrases.phrases for text in phrase.says]
    words = _words_of([*said, *(text for _, text in names), *danger_words(phrases)])
    skipped = frozenset(map(bare_word, phrases.skipped))
    parts = [(kind, name) for kind in ("safety", "comfort") for name in phrases.parts.get(kind, ())]
    return Lexicon(
        by_first,
        words,
        frozenset(map(bare_word, (*phrases.ordinary, *phrases.listed))),
        skipped,
        {tuple(map(stem, _words(name))): kind for kind, name in parts},
        phrases.laps,
        {bare_word(typed): bare_word(word) for typed, word in phrases.short.items()},
        frozenset(words.values()),
        degrees=degrees,
        passed_over=skipped | degrees.keys(),
        listed=frozenset(map(bare_word, phrases.listed)),
        dangers=build_dangers(phrases),
        changes=build_changes(phrases),
        changed=(
            *(one.answers for one in phrases.changed),
            *(one.answers for one in phrases.changes if one.answers),
        ),
        signs=phrases.signs,
    )


def _degrees_in(patterns: Sequence[Pattern]) -> dict[str, str]:
    """Find the words that may stand inside any phrase and say how bad: "the rear is really light".

    Not those that other phrases need for something else: "touch" in "can't touch the gas".
    """
    found: dict[str, str] = {}
    others = [one for one in patterns if one.meaning.balance or one.meaning.phase or one.meaning.stages]
    needed = {one for pattern in others for stems, optional in pattern.steps if not optional for one in stems}
    for pattern in patterns:
        level = pattern.meaning.severity or ""
        only_that = pattern.meaning.model_fields_set == {"says", "severity"}
        if level.isdigit() and only_that and len(pattern.steps) == 1:
            found.update({one: level for one in pattern.steps[0][0] - needed if one not in found})
    return found


def know_words(lexicon: Lexicon, texts: Iterable[str]) -> Lexicon:
    """Let a lexicon spell the words of some texts as well."""
    words = {**_words_of(texts), **lexicon.words}
    return replace(lexicon, words=words, stems=frozenset(words.values()), respelled={})


def index_patterns(lexicon: Lexicon, patterns: Iterable[Pattern]) -> Lexicon:
    """Put other patterns in the place of a lexicon's own."""
    return replace(lexicon, by_first=_by_first(patterns))


def _by_first(patterns: Iterable[Pattern]) -> dict[str, tuple[Pattern, ...]]:
    """Put patterns under each stem they may begin with."""
    found: dict[str, list[Pattern]] = {}
    for pattern in patterns:
        for first in _first_stems(pattern):
            found.setdefault(first, []).append(pattern)
    return {first: tuple(patterns) for first, patterns in found.items()}


def pattern_of(text: str, meaning: Meaning) -> Pattern:
    """Make a pattern of a phrase: "(word)" may be missing, "one/other" is either."""
    return Pattern(steps_of(text), meaning)


def _words_of(texts: Iterable[str]) -> dict[str, str]:
    """Return every word of the phrases with its stem; the longer ones can be misspelled and still be known."""
    found: dict[str, str] = {}
    for text in texts:
        for word in re.findall(r"[^\W\d_]+", text.lower().replace("'", "")):
            found.setdefault(word, stem(word))
    return found


def _first_stems(pattern: Pattern) -> set[str]:
    first: set[str] = set()
    for stems, optional in pattern.steps:
        first |= stems
        if not optional:
            break
    return first


def _words(text: str) -> list[str]:
    return re.sub(r"[-]", " ", text.lower()).split()
