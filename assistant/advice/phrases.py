"""The phrase list: words of a driver -> pieces with a meaning. Knows nothing of cells; `complaint` puts pieces together.

A phrase fits when its words stand in order, with light words ("is", "the") between them; word endings and
spelling slips are forgiven. At each place the longest phrase wins, and of equals the one listed first.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from assistant.advice.spelling import nearest_word, plain_number, stem

BREAKS = frozenset({"and", "but", "then", "while", "yet", "though", "although", "plus", "however", "whereas"})
MOST_WORDS = 400
"""A complaint longer than this is cut: nobody reads on, and time stays bounded."""
AFTER_BARE = frozenset(
    "it its i when if with but all every after for on at because so or until we as even only now now to".split()
)


@dataclass(frozen=True)
class Meaning:
    """What one phrase says; see the head of phrases.yaml for each key."""

    balance: str = ""
    phase: tuple[str, ...] = ()
    moment: str = ""
    stages: tuple[str, ...] = ()
    usual_stages: tuple[str, ...] = ()
    usual_phase: tuple[str, ...] = ()
    severity: str = ""
    end: str = ""
    laps: str = ""
    trend: str = ""
    symptom: str = ""
    safety: str = ""
    negates: bool = False
    improves: bool = False
    leaves: bool = False
    leads: bool = False
    rest: bool = False
    bare: bool = False
    bare_number: bool = False
    nothing: bool = False
    stands_for: tuple[Meaning, ...] = ()


@dataclass(frozen=True)
class Piece:
    """kind: mark (has a meaning), break (punctuation or a joining word), word (not understood). numbers: those inside it."""

    kind: str
    text: str
    meaning: Meaning = field(default_factory=Meaning)
    numbers: tuple[int, ...] = ()


@dataclass(frozen=True)
class Pattern:
    """steps: for each word the stems that fit ("#" is a number) and whether it may be missing."""

    steps: tuple[tuple[frozenset[str], bool], ...]
    meaning: Meaning


@dataclass(frozen=True)
class Lexicon:
    """All phrases, ready to match. by_first: first stem -> patterns in file order; words: every word of them -> its stem."""

    by_first: Mapping[str, tuple[Pattern, ...]]
    words: Mapping[str, str]
    ordinary: frozenset[str]
    skipped: frozenset[str]
    parts: Mapping[tuple[str, ...], str]
    laps: Mapping[str, int]


@dataclass(frozen=True)
class Token:
    """raw: as typed. word: lower case, respelled. number: its value when it is one. mark: punctuation."""

    raw: str
    word: str
    stem: str
    number: int | None = None
    mark: bool = False


def build_lexicon(phrases: Any, symptoms: Sequence[Any] = ()) -> Lexicon:
    """Make a lexicon of the phrase file's content (plain data or its model) and of the symptoms without a balance."""
    data: Mapping[str, Any] = phrases if isinstance(phrases, Mapping) else phrases.model_dump(exclude_none=True)
    patterns = [pattern for entry in data["phrases"] for pattern in _patterns_of(entry)]
    for symptom in symptoms:
        if symptom.balance == "none":
            patterns += [_pattern(text, Meaning(symptom=symptom.symptom)) for text in _names_of(symptom)]
    by_first: dict[str, list[Pattern]] = {}
    for pattern in patterns:
        for first in _first_stems(pattern):
            by_first.setdefault(first, []).append(pattern)
    texts = [text for entry in data["phrases"] for text in entry["says"]]
    texts += [pattern_text for symptom in symptoms if symptom.balance == "none" for pattern_text in _names_of(symptom)]
    parts = {tuple(map(stem, _words(name))): kind for kind, names in data["parts"].items() for name in names}
    return Lexicon(
        {first: tuple(found) for first, found in by_first.items()},
        _words_of(texts),
        frozenset(_bare_word(word) for word in data["ordinary"]),
        frozenset(_bare_word(word) for word in data["skipped"]),
        parts,
        dict(data["laps"]),
    )


def add_phrases(lexicon: Lexicon, phrases: Iterable[tuple[str, tuple[Meaning, ...]]]) -> Lexicon:
    """Teach a lexicon whole phrases, each standing for some meanings in a row; its own phrases come first."""
    by_first = dict(lexicon.by_first)
    taught = list(phrases)
    for text, meanings in taught:
        pattern = _pattern(text, Meaning(stands_for=meanings))
        if not pattern.steps:
            continue
        for first in _first_stems(pattern):
            by_first[first] = (*by_first.get(first, ()), pattern)
    return replace(lexicon, by_first=by_first, words={**_words_of([text for text, _ in taught]), **lexicon.words})


def read_pieces(text: str, lexicon: Lexicon) -> tuple[Piece, ...]:
    """Cut the text into pieces, left to right; ordinary words vanish."""
    tokens = _tokens(text, lexicon)
    pieces: list[Piece] = []
    at = 0
    while at < len(tokens):
        piece, at = _piece_at(tokens, at, lexicon, pieces)
        if piece is not None and piece.meaning.stands_for:
            pieces += [replace(piece, meaning=meaning) for meaning in piece.meaning.stands_for]
        elif piece is not None:
            pieces.append(piece)
    return tuple(pieces)


def _piece_at(tokens: list[Token], at: int, lexicon: Lexicon, before: list[Piece]) -> tuple[Piece | None, int]:
    """Return the piece that starts at this token and the place after it."""
    token = tokens[at]
    if token.mark or (token.word in BREAKS and _longest(tokens, at, lexicon) is None):
        return Piece("break", token.word), at + 1
    part = _part_at(tokens, at, lexicon)
    if part is not None:
        return part
    found = _longest(tokens, at, lexicon)
    if found is not None:
        meaning, end = found
        text = " ".join(one.raw for one in tokens[at:end])
        numbers = tuple(one.number for one in tokens[at:end] if one.number is not None)
        return Piece("mark", text, meaning, numbers), end
    if token.number is not None:
        return Piece("mark", token.raw, Meaning(severity="bare number"), (token.number,)), at + 1
    if token.word in lexicon.ordinary or len(token.word) == 1:
        return None, at + 1
    return Piece("word", token.raw), at + 1


def _longest(tokens: list[Token], at: int, lexicon: Lexicon) -> tuple[Meaning, int] | None:
    best: tuple[Meaning, int] | None = None
    keys = (tokens[at].stem,) if tokens[at].number is None else ("#", tokens[at].stem)
    for pattern in (one for key in keys for one in lexicon.by_first.get(key, ())):
        end = _match(pattern.steps, 0, tokens, at, lexicon.skipped)
        if end is None or (best is not None and end <= best[1]):
            continue
        if pattern.meaning.bare and not _stands_alone(tokens, at, end, lexicon):
            continue
        if pattern.meaning.bare_number and not all(one.number in (None, 1, 2, 3, 4) for one in tokens[at:end]):
            continue
        best = (pattern.meaning, end)
    return best


def _match(
    steps: tuple[tuple[frozenset[str], bool], ...], step: int, tokens: list[Token], at: int, skipped: frozenset[str]
) -> int | None:
    """Return the place after the longest fit of steps[step:] at this token, None when it does not fit."""
    if step == len(steps):
        return at
    stems, optional = steps[step]
    best: int | None = None
    for gap in range(3 if step else 1):
        here = at + gap
        if here >= len(tokens) or tokens[here].mark:
            break
        token = tokens[here]
        if ("#" in stems and token.number is not None) or token.stem in stems:
            end = _match(steps, step + 1, tokens, here + 1, skipped)
            if end is not None and (best is None or end > best):
                best = end
        if token.word not in skipped:
            break
    if optional:
        end = _match(steps, step + 1, tokens, at, skipped)
        if end is not None and (best is None or end > best):
            best = end
    return best


def _stands_alone(tokens: list[Token], at: int, end: int, lexicon: Lexicon) -> bool:
    """Tell whether a short word such as "in" stands as a place ("loose in,") and not before a noun ("in the car")."""
    if end >= len(tokens) or tokens[end].mark:
        return True
    follows = tokens[end]
    if follows.number is not None:
        return False
    found = _longest(tokens, end, lexicon)
    if found is not None and (found[0].end or found[0].nothing):
        return False
    return follows.word in BREAKS or follows.word in AFTER_BARE or found is not None


def _part_at(tokens: list[Token], at: int, lexicon: Lexicon) -> tuple[Piece, int] | None:
    """Find "the seat is loose", "loose lug nuts", "tight belts": a part and not the handling."""
    balance = {stem(word) for word in ("loose", "tight", "loosened", "free", "fine", "good")}
    light = {"is", "are", "was", "were", "feels", "felt", "came", "comes", "got", "gets", "a", "bit", "too", "coming"}
    light |= {"little", "very", "really", "so", "pretty", "its", "seems", "working", "worked", "my", "the", "come"}
    size = _part_size(tokens, at, lexicon)
    if size:
        end = at + size
        while end < len(tokens) and end < at + size + 4 and tokens[end].word in light:
            end += 1
        if end < len(tokens) and tokens[end].stem in balance:
            return _part_piece(tokens, at, at + size, end + 1, lexicon), end + 1
    if tokens[at].stem in balance and at + 1 < len(tokens):
        begin = at + 2 if tokens[at + 1].word in {"the", "my", "in"} and at + 2 < len(tokens) else at + 1
        size = _part_size(tokens, begin, lexicon)
        if size:
            return _part_piece(tokens, begin, begin + size, begin + size, lexicon), begin + size
    return None


def _part_size(tokens: list[Token], at: int, lexicon: Lexicon) -> int:
    for size in (3, 2, 1):
        if tuple(one.stem for one in tokens[at : at + size]) in lexicon.parts and at + size <= len(tokens):
            return size
    return 0


def _part_piece(tokens: list[Token], begin: int, end: int, upto: int, lexicon: Lexicon) -> Piece:
    kind = lexicon.parts[tuple(one.stem for one in tokens[begin:end])]
    text = " ".join(one.raw for one in tokens[min(begin, upto - 1) : upto])
    loose = any(one.stem == stem("loose") for one in tokens[max(0, begin - 2) : upto])
    safety = "a bent or loose part" if kind == "safety" and loose else ""
    return Piece("mark", text, Meaning(safety=safety, nothing=not safety))


def _tokens(text: str, lexicon: Lexicon) -> list[Token]:
    text = re.sub(r"[’‘`´]", "'", text.lower())
    found = re.findall(r"\d+(?:\.\d+)?|[^\W\d_]+(?:'[^\W\d_]+)*|[,.;:!?()/\n&]", text)[:MOST_WORDS]
    tokens: list[Token] = []
    known = frozenset(lexicon.words.values())
    for raw in found:
        if raw in ",.;:!?()\n":
            tokens.append(Token(raw, "." if raw in ".;!?\n" else ",", "", mark=True))
            continue
        word = "and" if raw == "&" else _bare_word(raw)
        number = plain_number(word)
        if number is not None and tokens and _is_tens(tokens[-1].number) and 0 < number < 10:
            number += tokens[-1].number or 0
            tokens.pop()
        if number is None and word not in lexicon.ordinary and stem(word) not in known:
            near = nearest_word(word, lexicon.words)
            tokens.append(Token(raw, word, lexicon.words[near] if near else stem(word)))
            continue
        shown = word if number is None else str(number)
        tokens.append(Token(raw, shown, stem(shown), number))
    return tokens


def _is_tens(number: int | None) -> bool:
    return number is not None and number in range(20, 100, 10)


def _patterns_of(entry: Mapping[str, Any]) -> list[Pattern]:
    keys = {key: value for key, value in entry.items() if key != "says"}
    for key in ("phase", "stages", "usual_stages", "usual_phase"):
        if key in keys:
            keys[key] = (keys[key],) if isinstance(keys[key], str) else tuple(keys[key])
    if "severity" in keys:
        keys["severity"] = str(keys["severity"])
    meaning = Meaning(**keys)
    return [_pattern(text, meaning) for text in entry["says"]]


def _pattern(text: str, meaning: Meaning) -> Pattern:
    steps = []
    for part in re.sub(r"-(?=\w)|[,.;:!?\"]", " ", text.lower()).split():
        optional = part.startswith("(")
        words = part.strip("()").split("/")
        steps.append((frozenset(word if word == "#" else _pattern_stem(word) for word in words if word), optional))
    return Pattern(tuple(steps), meaning)


def _pattern_stem(word: str) -> str:
    bare = _bare_word(word)
    number = plain_number(bare)
    return stem(bare) if number is None else str(number)


def _names_of(symptom: Any) -> tuple[str, ...]:
    return (symptom.symptom, *symptom.also_said)


def _words_of(texts: Iterable[str]) -> dict[str, str]:
    """Return every word of the phrases with its stem; the longer ones can be misspelt and still be known."""
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


def _bare_word(word: str) -> str:
    return str(word).lower().replace("'", "").replace("’", "")


def _words(text: str) -> list[str]:
    return re.sub(r"[-]", " ", text.lower()).split()
