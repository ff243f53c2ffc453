"""Text -> words ready to match: short forms written out, slips respelled, numbers read. Knows no meanings."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from itertools import islice

from assistant.diagnosis.lexicon import Lexicon
from assistant.diagnosis.stems import BREAKS, Token, bare_word, nearest_word, plain_number, stem, word_set

MOST_WORDS = 400
"""A complaint longer than this is cut, so that time stays bounded; the rest is looked through for danger only."""
MOST_LETTERS = 20_000
"""Nothing behind this letter is read as a complaint."""
_OVERLAP = 20
"""Words looked at again, so that a sign of danger across the cut is found."""
_WORD = re.compile(r"\d+(?:\.\d+)?|[^\W\d_]+(?:'[^\W\d_]+)*|[,.;:!?()/\n&]")
_MARKS = ",.;:!?()/\n"
_NOT = re.compile(r"\b(can|could|will|would|do|does|did) not\b")
_NOT_WITHOUT = re.compile(r"\b(?:can'?t|cannot|couldn'?t|won'?t|never)\b([^.,;!?]{0,60}?)\bwithout\b")
"""What one cannot do without it, it does: "can't get in the gas without it stepping out"."""
_TWICE_DENIED = re.compile(
    r"\b(?:ain'?t|don'?t|doesn'?t|didn'?t|haven'?t|hasn'?t|can'?t|won'?t)"
    r"(?: (?:got|get|have|had|find|want))? no\b(?! longer| more)"
)
"""Said twice and meant once: "ain't got no bite"."""
_ONE_WORD = {"can": "can't", "could": "can't", "will": "won't", "would": "won't"}

# "lose" typed for "loose" and the other way round is told by its neighbors; English grammar, no source.
_THINGS = word_set(
    """
    time air pressure oil water fuel place places spot spots position positions ground money rpm revs speed
    momentum second seconds tenth tenths hundredth hundredths race lead control championship
    """
)
"""What one loses; nothing is "loose time"."""
_MORE_THINGS = _THINGS | word_set(
    """
    power gas brake brakes braking lap laps it him her them everything grip traction bite drive touch rear back
    tail front nose end tire tires tire tires throttle
    """
)
_DEGREES = word_set(
    """
    is its was were be been being am im are feel feels felt seem seems get gets got getting go goes going went
    stay stays too very so real super pretty bit little touch tad tick hair way kinda sorta quite wicked stupid
    crazy damn hella more less rather fairly slightly bad became becomes turns turned
    """
)
"""Words before an adjective: "it is lose"."""
_WHO = word_set(
    """
    i we you they to dont doesnt didnt cant cannot couldnt wont wouldnt will would can could should might may
    must gonna wanna us who ill well youll theyll did do does
    """
)
"""Words before a verb: "we lose off the corner" is about time."""
_HANDLING = word_set("lose loose loses looser tight tighter tite snug push pushes pushing pushy free freer")
_MOVING = word_set("come comes coming get gets getting drive drives driving go goes going up straight")
_CORNERS = word_set("corner corners turn turns exit")
_PASSED_OVER = word_set("not just also still really always never ever even only usually often all")
_LITTLE_WORDS = word_set("the my our your a an some any much more most lots lot of")
_PLACERS = word_set(
    """
    on in into off out at under when after as from through all every by once until till since again around up
    coming getting if with for because so near toward toward during before while
    """
)


def cut_words(text: str, lexicon: Lexicon) -> list[Token]:
    """Cut a text into tokens; never more than MOST_WORDS."""
    text = re.sub(r"[’‘`´]", "'", text[:MOST_LETTERS].lower())
    text = re.sub(r"\b([1-5])\s*/\s*5\b", r"\1 of 5", text)
    text = re.sub(r"\bw/", "with ", text)
    text = re.sub(r"\bwheel to wheel\b", "in traffic", text)
    text = re.sub(r"\bsince (?:the |this )?spring\b", "since springtime", text)
    text = re.sub(r"\bt-?([1-4])\b", r"turn \1", text)
    text = re.sub(r"\b([1-4])\s?[n+y]\s?([1-4])\b", r"\1 and \2", text)
    text = _NOT_WITHOUT.sub(r"when i\1,", _TWICE_DENIED.sub("no", text))
    text = _NOT.sub(lambda found: _ONE_WORD.get(found[1], "doesn't"), text)
    tokens: list[Token] = []
    for found in islice(_WORD.finditer(text), MOST_WORDS):
        token = _token(found[0], lexicon)
        if token.number is not None and tokens and _is_tens(tokens[-1].number) and 0 < token.number < 10:
            number = token.number + (tokens.pop().number or 0)
            token = Token(token.raw, str(number), str(number), number)
        tokens.append(token)
    tokens = [_of_or_off(tokens, at, lexicon) for at in range(len(tokens))]
    return [_told_by_neighbors(tokens, at, lexicon) for at in range(len(tokens))]


def words_behind(text: str) -> list[Token]:
    """Return the words of a long text that `cut_words` does not read, as they are; empty for a text it reads whole."""
    plain = re.sub(r"[’‘`´]", "'", text.lower())
    raws = [found[0] for found in _WORD.finditer(plain)]
    if len(raws) <= MOST_WORDS and len(text) <= MOST_LETTERS:
        return []
    read = min(MOST_WORDS, sum(1 for _ in _WORD.finditer(plain[:MOST_LETTERS])))
    return [_plain_token(raw) for raw in raws[max(0, read - _OVERLAP) :]]


@lru_cache(maxsize=8192)
def _plain_token(raw: str) -> Token:
    if raw in _MARKS:
        return _mark(raw)
    word = "and" if raw == "&" else bare_word(raw)
    return Token(raw, word, stem(word), plain_number(word))


def _mark(raw: str) -> Token:
    return Token(raw, "." if raw in ".;!?\n" else ",", "", mark=True)


def _token(raw: str, lexicon: Lexicon) -> Token:
    if raw in _MARKS:
        return _mark(raw)
    word = "and" if raw == "&" else bare_word(raw)
    word = lexicon.short.get(word, word)
    number = plain_number(word)
    if number is not None:
        return Token(raw, str(number), str(number), number)
    if word in lexicon.ordinary or stem(word) in lexicon.stems:
        return Token(raw, word, stem(word))
    whole = f"{word}g"
    if word.endswith("in") and (whole in lexicon.ordinary or stem(whole) in lexicon.stems):
        return Token(raw, whole, stem(whole))
    if word.endswith("z") and (plain := f"{word[:-1]}s") in lexicon.ordinary | lexicon.words.keys():
        return Token(raw, plain, stem(plain))
    if word not in lexicon.respelled:
        lexicon.respelled[word] = nearest_word(word, lexicon.words)
    near = lexicon.respelled[word]
    return Token(raw, word, lexicon.words[near] if near else stem(word))


def _is_tens(number: int | None) -> bool:
    return number is not None and number in range(20, 100, 10)


def _of_or_off(tokens: list[Token], at: int, lexicon: Lexicon) -> Token:
    """Read "of" as off behind a word of handling or moving, where a corner or nothing follows: "lose of the corner"."""
    token, before = tokens[at], tokens[at - 1].word if at else ""
    before = lexicon.respelled.get(before) or before
    if token.word != "of" or before not in _MOVING | _HANDLING:
        return token
    behind = _thing_behind(tokens, at)
    is_corner = (lexicon.respelled.get(behind) or behind) in _CORNERS or (
        behind.isdigit() and int(behind) in range(1, 5)
    )
    is_end = at + 1 == len(tokens) or tokens[at + 1].mark or tokens[at + 1].word in BREAKS | _PLACERS
    late = before == "lose" and behind in {"late", "early"}
    return replace(token, word="off", stem="off") if is_corner or is_end or late else token


def _told_by_neighbors(tokens: list[Token], at: int, lexicon: Lexicon) -> Token:
    """Read "lose" as loose, and "loose" as lose, where the words around it leave no other sense."""
    token = tokens[at]
    if token.word not in {"lose", "loses", "loose", "looses", "loosing"}:
        return token
    before, thing = _word_before(tokens, at), _thing_behind(tokens, at)
    is_degree = (lexicon.respelled.get(before) or before) in _DEGREES
    if token.word in {"lose", "loses"}:
        is_verb = before in _WHO or thing in _MORE_THINGS or token.word == "loses"
        is_loose = thing not in _THINGS if is_degree else not is_verb
        return replace(token, word="loose", stem=stem("loose")) if is_loose else token
    is_lost = thing in _MORE_THINGS - {"rear", "back", "tail"}
    if token.word == "loose":
        is_lost = thing in _THINGS and not is_degree
    return replace(token, word="lose", stem=stem("lose")) if is_lost else token


def _word_before(tokens: list[Token], at: int) -> str:
    """Return the word before, "not" and "just" passed over; empty at the beginning of a part."""
    at -= 1
    while at > 0 and tokens[at].word in _PASSED_OVER:
        at -= 1
    return "" if at < 0 or tokens[at].mark or tokens[at].word in BREAKS else tokens[at].word


def _thing_behind(tokens: list[Token], at: int) -> str:
    """Return the word behind, articles passed over."""
    at += 1
    while at < len(tokens) and tokens[at].word in _LITTLE_WORDS:
        at += 1
    return "" if at >= len(tokens) else tokens[at].word


_SPOKEN_OF = r"(?:it|its|it's|she|she's|i|i'm|he|we|the (?:car|back|front|nose|tail)|loose|tight|push\w*)\b"
_AFTER_THAT = re.compile(rf"\b(?:after that|from (?:then|there) on),?(?= {_SPOKEN_OF})", re.IGNORECASE)
_PLACE = r"(?:(?:in|off|out|on|at)(?: the)?|the (?:middle|center|entry|exit)|coming|getting|going)\b"
_EXCEPT = re.compile(rf",? ?\b(?:except(?: for)?|other than|everywhere but|but not)\b(?= {_PLACE})", re.IGNORECASE)


def with_plain_joints(text: str) -> str:
    """Write "after that it is loose" as "then ...", and "except coming off" as "but without ..."."""
    return _EXCEPT.sub(", but without", _AFTER_THAT.sub("then", text))
