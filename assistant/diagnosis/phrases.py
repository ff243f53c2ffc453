"""Words of a driver -> pieces with a meaning. Knows nothing of cells; `sentences` puts the pieces together.

A phrase fits when its words stand in order, with light words ("is", "the") between them; word endings and
spelling slips are forgiven. At each place the longest phrase wins, and of equals the one listed first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import takewhile

from assistant.diagnosis.changed import find_changes
from assistant.diagnosis.danger import find_dangers
from assistant.diagnosis.doubt import is_doubtful
from assistant.diagnosis.lexicon import Lexicon, Pattern, Taught
from assistant.diagnosis.stems import BREAKS, Token, match_steps, stem, word_set
from assistant.diagnosis.tokens import MOST_WORDS, cut_words
from assistant.ground.understood import BROKEN_PART
from assistant.rules.models_symptom import Meaning

AFTER_BARE = word_set(
    """
    it its i since when if with but all every after for on at because so or until we as even only now to
    """
)
_LEADS_TO_NUMBER = word_set("about like maybe say its is a an id call it probably around only just now by and or")
"""Before a number that says how bad it is: "it is a 4"."""
_COUNTED = word_set(
    """
    end ends side sides corner corners spot spots place places thing things way ways psi pound pounds lb lbs kpa bar
    degree degrees deg inch inches in percent click clicks turn turns round rounds
    """
)
"""Behind a number that counts these it says not how bad it is: "only one end of the track", "4 pounds over"."""
_TURNS_JOINED = frozenset({"and", "&", "or", "n", "to"})

_DENIALS = frozenset({"cant", "wont", "doesnt", "not"})

WAS_RIGHT = "was-right"
"""The question answered by what was fine and is no more, and by what came with a change."""
NO_MEANING = Meaning()
COUNTED = word_set(
    """
    psi pound pounds lb lbs degree degrees inch inches round rounds turn turns click clicks percent hole
    holes rd th st nd
    """
)
"""What a number in front of them counts; it says not how bad anything is."""


@dataclass(frozen=True)
class Piece:
    """One bit of what was said.

    kind: mark (has a meaning), break (punctuation or a joining word), word (not understood), danger (a sign to stop
    for), doubt (one that may be over or none, its sign in `text`), change (what was done to the car, its kind in
    `meaning`). numbers: those inside it.
    """

    kind: str
    text: str
    meaning: Meaning = NO_MEANING
    numbers: tuple[int, ...] = ()


def read_pieces(text: str, lexicon: Lexicon) -> tuple[Piece, ...]:
    """Cut the text into pieces, left to right; of the ordinary words only those about the car are kept.

    What was read as danger is read as nothing else: a track bar that came loose is no loose car. Nor is what was done
    to the car: "freed it up with a round out of the left rear".
    """
    tokens = cut_words(text, lexicon)
    found = _told_of_parts(tokens, lexicon)
    taken = {place for begin, end, _ in found for place in range(begin, end)}
    pieces: list[Piece] = []
    at = 0
    while at < len(tokens):
        pieces += [piece for begin, _, piece in found if begin <= at and piece not in pieces]
        if at in taken:
            at += 1
            continue
        begin = at
        piece, at = _piece_at(tokens, at, lexicon)
        if piece is not None and piece.meaning.severity == "bare number":
            counts = at < len(tokens) and tokens[at].word in COUNTED
            piece = replace(piece, kind="word") if counts else _number_said(piece, tokens[:begin], pieces)
        if piece is not None and piece.meaning.safety and is_doubtful(tokens, begin, at, piece.meaning.safety):
            piece = Piece("doubt", piece.meaning.safety)
        if piece is not None and isinstance(piece.meaning, Taught):
            pieces += [replace(piece, meaning=meaning) for meaning in piece.meaning.stands_for]
        elif piece is not None:
            pieces.append(piece)
    return (*pieces, *(piece for _, _, piece in found if piece not in pieces))


def _told_of_parts(tokens: list[Token], lexicon: Lexicon) -> list[tuple[int, int, Piece]]:
    """Find the dangers and the changes that are told, each with where it begins and ends."""
    dangers = find_dangers(tokens, lexicon.dangers)
    found = [(one.begin, one.end, _danger(tokens, one.begin, one.end, one.sign)) for one in dangers]
    taken = frozenset(place for one in dangers for place in range(one.begin, one.end))
    for one in find_changes(tokens, lexicon.changes, taken):
        text = " ".join(token.raw for token in tokens[one.begin : one.end]).replace(" ,", ",").replace(" / ", "/")
        since = {WAS_RIGHT: "yes"} if _is_since(tokens, one.begin) else {}
        kind = lexicon.changed[int(one.sign)] if one.sign else {}
        found.append((one.begin, one.end, Piece("change", text, Meaning(answers={**kind, **since}))))
    return found


def _is_since(tokens: list[Token], begin: int) -> bool:
    """Whether the trouble is told to have come with a change: "tight since we put the big bar in"."""
    return any(token.word in {"since", "after"} for token in tokens[max(0, begin - 4) : begin + 1])


def _danger(tokens: list[Token], begin: int, end: int, sign: str) -> Piece:
    """Make a piece of a sign of danger, one that stops nobody where the words around it leave it open."""
    return Piece("doubt", sign) if is_doubtful(tokens, begin, end, sign) else Piece("danger", "", Meaning(safety=sign))


def _number_said(piece: Piece, before: list[Token], pieces: list[Piece]) -> Piece:
    """Read a number alone: of a turn behind a turn or a place ("off 2 and 4", "exit 4"); of nothing behind a word."""
    marks = [one for one in pieces if one.kind != "break"]
    is_behind_turn = marks and marks[-1].meaning.end == "turn" and piece.numbers[0] in range(1, 5)
    if is_behind_turn and before[-1].word in _TURNS_JOINED and before[-2].number in marks[-1].numbers:
        return replace(piece, meaning=marks[-1].meaning)
    if not before or before[-1].mark or before[-1].word in _LEADS_TO_NUMBER or not pieces:
        return piece
    last = pieces[-1]
    if last.kind != "mark" or last.meaning.nothing or not last.text.endswith(before[-1].raw):
        return replace(piece, kind="word")
    return (
        replace(piece, meaning=Meaning(end="turn")) if last.meaning.phase and piece.numbers[0] in range(1, 5) else piece
    )


def find_whole(text: str, lexicon: Lexicon, index: Lexicon) -> tuple[Pattern, ...]:
    """Return the patterns of an index that stand anywhere in the text. lexicon: spells the words."""
    tokens = cut_words(text, lexicon)
    found: list[Pattern] = []
    for at, token in enumerate(tokens):
        behind = _stems_from(tokens, at)
        keys = (token.stem,) if token.number is None else ("#", token.stem)
        fitting = (pattern for key in keys for pattern in index.beginning_with(key, behind))
        found += [one for one in fitting if match_steps(one.steps, tokens, at, index.skipped) is not None]
    return tuple(found)


def _piece_at(tokens: list[Token], at: int, lexicon: Lexicon) -> tuple[Piece | None, int]:
    """Return the piece that starts at this token and the place after it."""
    token = tokens[at]
    if token.mark or (token.word in BREAKS and _longest(tokens, at, lexicon) is None):
        return Piece("break", token.word), at + 1
    part = _part_at(tokens, at, lexicon)
    if part is not None:
        return part
    found = _longest(tokens, at, lexicon)
    if found is None and (_is_past(tokens, at) or _denies_what_is_fine(tokens, at, lexicon)):
        found = Meaning(negates=True, past=_is_past(tokens, at)), at + 1
    if found is not None:
        meaning, end = _give_way(found, tokens, at, lexicon) or (Meaning(nothing=True), at + 1)
        text = " ".join(one.raw for one in tokens[at:end])
        numbers = tuple(one.number for one in tokens[at:end] if one.number is not None)
        return Piece("mark", text, meaning, numbers), end
    if token.number is not None:
        counts = any(one.word in _COUNTED for one in tokens[at + 1 : at + 2])
        meaning = Meaning(nothing=True) if counts else Meaning(severity="bare number")
        return Piece("mark", token.raw, meaning, (token.number,)), at + 1
    is_light = token.word in lexicon.ordinary and token.word not in lexicon.listed
    if is_light or len(token.word) == 1 or _is_likeness(tokens, at):
        return None, at + 1
    return Piece("word", token.raw), at + 1


def _is_likeness(tokens: list[Token], at: int) -> bool:
    """Tell whether this only says what it is like: "pushes like a mule", "loose as a goose"."""
    return at > 1 and tokens[at - 1].word in {"a", "an"} and tokens[at - 2].word in {"like", "as"}


def _is_past(tokens: list[Token], at: int) -> bool:
    """Tell whether this "was" is over: "it was loose, now it is tight", "it was loose off before"."""
    if tokens[at].word not in {"was", "were"}:
        return False
    clause = list(takewhile(lambda one: not one.mark and one.word not in BREAKS, tokens[at:]))
    return clause[-1].word == "before" or any(later.word == "now" for later in tokens[at:])


def _denies_what_is_fine(tokens: list[Token], at: int, lexicon: Lexicon) -> bool:
    """Tell whether this is the "won't" of "the rear won't stay planted": what is fine right behind it is not."""
    if tokens[at].stem not in {"wont", "cant"}:
        return False
    for place in range(at + 1, min(at + 6, len(tokens))):
        found = None if tokens[place].mark or tokens[place].word in BREAKS else _longest(tokens, place, lexicon)
        if found is not None:
            return found[0].balance == "fine"
    return False


def _give_way(found: tuple[Meaning, int], tokens: list[Token], at: int, lexicon: Lexicon) -> tuple[Meaning, int] | None:
    """Cut a phrase off where a symptom's longer name begins inside it and goes on; a sign of danger never gives way."""
    meaning, end = found
    if meaning.safety or not lexicon.taught:
        return found
    for begin in range(at + 1, end):
        ends = [match_steps(name.steps, tokens, begin, lexicon.skipped) or 0 for name in lexicon.taught]
        if max(ends) > end and max(ends) - begin > end - at:
            return _longest(tokens, at, lexicon, upto=begin)
    return found


def _longest(tokens: list[Token], at: int, lexicon: Lexicon, upto: int = MOST_WORDS) -> tuple[Meaning, int] | None:
    """Return the meaning of the longest phrase that begins here and the place after it, which is at most `upto`."""
    best: tuple[Pattern, int] | None = None
    keys = (tokens[at].stem,) if tokens[at].number is None else ("#", tokens[at].stem)
    behind = _stems_from(tokens, at)
    for pattern in (one for key in keys for one in lexicon.beginning_with(key, behind)):
        meaning = pattern.meaning
        complains = meaning.balance in {"loose", "tight"} or meaning.safety
        end = match_steps(pattern.steps, tokens, at, lexicon.passed_over if complains else lexicon.skipped)
        if end is None or end > upto or (best is not None and end <= best[1]):
            continue
        if meaning.bare and not _stands_alone(tokens, end, lexicon):
            continue
        best = (pattern, end)
    return None if best is None else (_with_degree(best[0], tokens[at : best[1]], lexicon), best[1])


def _with_degree(pattern: Pattern, said: list[Token], lexicon: Lexicon) -> Meaning:
    """Keep the word for how bad that stood inside a phrase: "the rear is really light"."""
    meaning = pattern.meaning
    if meaning.balance not in {"loose", "tight"} or meaning.severity:
        return meaning
    own = frozenset().union(*(stems for stems, _ in pattern.steps))
    degrees = [lexicon.degrees[one.stem] for one in said if one.stem in lexicon.degrees and one.stem not in own]
    return meaning.model_copy(update={"severity": max(degrees)}) if degrees else meaning


def _stems_from(tokens: list[Token], at: int) -> set[str]:
    """Collect the stems a pattern that begins here may meet: up to the next mark, "#" for a number."""
    found: set[str] = set()
    for token in tokens[at:]:
        if token.mark:
            break
        found.add(token.stem)
        if token.number is not None:
            found.add("#")
    return found


def _stands_alone(tokens: list[Token], end: int, lexicon: Lexicon) -> bool:
    """Tell whether a short word such as "in" stands as a place ("loose in,") and not before a noun ("in the car")."""
    if end >= len(tokens) or tokens[end].mark:
        return True
    follows = tokens[end]
    if follows.number is not None:
        return False
    found = _longest(tokens, end, lexicon)
    if found is not None and (found[0].end or (found[0].nothing and follows.word not in AFTER_BARE)):
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
        if _is_unknown_thing(tokens, at, lexicon):
            return Piece("mark", tokens[at].raw, Meaning(nothing=True)), at + 1
    return None


def _is_unknown_thing(tokens: list[Token], at: int, lexicon: Lexicon) -> bool:
    """Tell whether this is "a tight battle": an article before, behind it a word that is not about the car."""
    before, behind = tokens[at - 1].word if at else "", tokens[at + 1]
    if before not in {"a", "an", "the", "some", "any"} or behind.mark or behind.number is not None:
        return False
    spelled = behind.stem in lexicon.stems and behind.stem not in _DENIALS  # "cannon" is no slip for "cannot"
    return behind.word not in lexicon.ordinary | BREAKS and not spelled


def _part_size(tokens: list[Token], at: int, lexicon: Lexicon) -> int:
    for size in (3, 2, 1):
        if tuple(one.stem for one in tokens[at : at + size]) in lexicon.parts and at + size <= len(tokens):
            return size
    return 0


def _part_piece(tokens: list[Token], begin: int, end: int, upto: int, lexicon: Lexicon) -> Piece:
    kind = lexicon.parts[tuple(one.stem for one in tokens[begin:end])]
    text = " ".join(one.raw for one in tokens[min(begin, upto - 1) : upto])
    loose = any(one.stem == stem("loose") for one in tokens[max(0, begin - 2) : upto])
    safety = BROKEN_PART if kind == "safety" and loose else ""
    return Piece("mark", text, Meaning(safety=safety or None, nothing=not safety))
