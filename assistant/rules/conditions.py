"""Conditions that people write in rules, such as "banking > 8 deg and extra_wheel is yes".

    condition = both ("or" both)*
    both      = single ("and" single)*
    single    = "not" single | compare
    compare   = sum (sign sum)* | sum ["not"] "in" "(" sum ("," sum)* ")"
    sign      = "<" | "<=" | ">" | ">=" | "==" | "!=" | "is" | "is not"
    sum       = product (("+" | "-") product)*
    product   = factor (("*" | "/") factor)*
    factor    = number [unit] | word | "text" | "-" factor | "(" condition ")"

There is nothing else: no power, no attribute, no call, so nothing to attack. Length, size and depth are bounded.

A condition is checked when its file is loaded: every name, unit and word must be known. When it is asked, the answer
is yes, no or, where a fact is missing, None: not known.

A bare number takes the kind of what it is compared with. Temperatures are counted: one is a thermometer reading, the
difference of two is a change, so that "30 F" means the right thing behind either.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Mapping, Sequence
from dataclasses import dataclass, field, replace
from operator import not_
from typing import NoReturn

from assistant.ground.words import did_you_mean
from assistant.rules.facts import (
    WORD,
    ConditionProblem,
    Fact,
    Facts,
    Symbol,
    Terms,
    compile_sides,
    read_number,
    same,
    say_unknown,
    when_known,
)

Answer = Callable[[Facts], bool | None]
LONGEST = 500  # characters
MOST_SYMBOLS = 200
DEEPEST = 20
_JOINING = frozenset({"and", "or", "not", "is", "in"})
_TOKEN = re.compile(
    r"""\s*(?:
    (?P<number>(?:\d{1,9}\s+)?\d{1,6}/\d{1,6}(?![\w.])|\d[\d,]*(?:\.\d+)?(?:[eE][+-]?\d{1,3})?|\.\d+)
    |(?P<word>[A-Za-z_]\w*(?:-\w+)*)
    |(?P<text>"[^"]*"|'[^']*')
    |(?P<sign><=|>=|==|!=|[-<>=+*/(),])
    )""",
    re.VERBOSE | re.ASCII,
)
_UNIT = re.compile(r"\s*([A-Za-z%°]+[0-9]*(?:/[A-Za-z]+[0-9]*)*)")
_TESTS: Mapping[str, Callable[[float, float], bool]] = {
    "<": lambda a, b: a < b and not same(a, b),
    "<=": lambda a, b: a <= b or same(a, b),
    ">": lambda a, b: a > b and not same(a, b),
    ">=": lambda a, b: a >= b or same(a, b),
    "==": same,
    "!=": lambda a, b: not same(a, b),
}


@dataclass(frozen=True)
class Condition:
    """A condition that was understood. names: the facts it speaks of."""

    text: str
    names: frozenset[str]
    holds: Answer = field(compare=False, repr=False)


def read_condition(text: str, known: Mapping[str, Fact]) -> Condition:
    """Understand a condition over known facts. Raises ConditionProblem with the column of the mistake."""
    if len(text) > LONGEST:
        raise ConditionProblem(f"a condition of more than {LONGEST} characters is too long", "split it")
    symbols = _cut(text, known)
    if not symbols:
        raise ConditionProblem("the condition is empty", "write one such as 'banking > 8 deg'")
    reader = _ConditionReader(symbols, known, end=len(text) + 1)
    answer = reader.read_any().as_answer(known)
    if reader.at < len(symbols):
        reader.refuse()
    return Condition(text, frozenset(one.text for one in symbols if one.kind == "word" and one.text in known), answer)


def _cut(text: str, names: Container[str]) -> list[Symbol]:
    symbols: list[Symbol] = []
    at = 0
    while text[at:].strip():
        found = _TOKEN.match(text, at)
        if found is None:
            column = at + len(text[at:]) - len(text[at:].lstrip()) + 1
            raise ConditionProblem(f"'{text[column - 1]}' has no meaning in a condition", "", column)
        kind = str(found.lastgroup)
        at, unit = found.end(), ""
        if kind == "number" and (behind := _UNIT.match(text, at)) and not _is_joining(behind[1], text[behind.end() :]):
            at, unit = behind.end(), behind[1]
        plain = found[kind].replace("-", "_")
        word = plain if kind == "word" and found[kind] not in names and plain in names else found[kind]
        symbols.append(Symbol(kind, word, found.start(kind) + 1, unit))
        if len(symbols) > MOST_SYMBOLS:
            raise ConditionProblem(f"a condition of more than {MOST_SYMBOLS} words is too long", "split it", at)
    return symbols


def _is_joining(word: str, after: str) -> bool:
    """Tell 'in' the inch from 'in (a, b)'."""
    return word in _JOINING and (word != "in" or after.lstrip().startswith("("))


@dataclass(frozen=True)
class _Piece:
    """What was read from a symbol on. terms: what adds up to it; answer: when it is true or false instead."""

    symbol: Symbol
    terms: Terms = ()
    answer: Answer | None = None

    def as_answer(self, known: Mapping[str, Fact]) -> Answer:
        """Refuse a number or a word where something true or false is wanted."""
        if self.answer is not None:
            return self.answer
        if self.symbol.kind == "word" and self.symbol.text not in known:
            raise say_unknown(self.symbol, known)
        says = f"'{self.symbol.text}' alone is neither true nor false"
        raise ConditionProblem(says, "compare it with something", self.symbol.column)

    def as_terms(self) -> Terms:
        """Refuse a text, or something true or false, where a number is wanted."""
        wrong = [symbol for _, symbol in self.terms if symbol.kind == "text"] + [self.symbol] * (not self.terms)
        if wrong:
            says = f"'{wrong[0].text}' is not a number here"
            raise ConditionProblem(says, "compare numbers with numbers", wrong[0].column)
        return self.terms

    def times(self, factor: float) -> _Piece:
        """Multiply by a number."""
        return replace(self, terms=tuple((factor * one, symbol) for one, symbol in self.as_terms()))

    def word(self) -> Symbol | None:
        """The symbol when the piece is nothing but that."""
        return self.terms[0][1] if len(self.terms) == 1 and self.terms[0][0] == 1.0 else None

    def plain_number(self) -> float | None:
        """Its value when it is one number without a unit."""
        if len(self.terms) != 1 or self.terms[0][1].kind != "number" or self.terms[0][1].unit:
            return None
        return self.terms[0][0] * read_number(self.terms[0][1], "ratio")


@dataclass
class _ConditionReader:
    """Reads symbols one by one and compiles what they say."""

    symbols: list[Symbol]
    known: Mapping[str, Fact]
    end: int
    at: int = 0
    depth: int = 0

    def read_any(self) -> _Piece:
        """Read conditions joined by 'or'."""
        return self._joined("or", _any_holds, lambda: self._joined("and", _all_hold, self._read_single))

    def _joined(self, word: str, join: Callable[[Sequence[Answer]], Answer], read_one: Callable[[], _Piece]) -> _Piece:
        pieces = [read_one()]
        while self._take_one_of(word):
            pieces.append(read_one())
        if len(pieces) == 1:
            return pieces[0]
        return _Piece(pieces[0].symbol, answer=join([one.as_answer(self.known) for one in pieces]))

    def _read_single(self) -> _Piece:
        symbol = self._peek()
        if symbol is None or not self._take_one_of("not"):
            return self._read_compare()
        self._go_deeper()
        answer = _negate(self._read_single().as_answer(self.known))
        self.depth -= 1
        return _Piece(symbol, answer=answer)

    def _read_compare(self) -> _Piece:
        """Read a < b < c as a < b and b < c."""
        first = left = self._read_sum()
        answers: list[Answer] = []
        while sign := self._read_sign():
            if sign.endswith("in"):
                one_of = _any_holds([_compare(left, "==", choice, self.known) for choice in self._read_choices()])
                answers.append(_negate(one_of) if sign == "not in" else one_of)
                break
            right = self._read_sum()
            answers.append(_compare(left, sign, right, self.known))
            left = right
        return _Piece(first.symbol, answer=_all_hold(answers)) if answers else first

    def _read_sign(self) -> str:
        symbol = self._peek()
        if symbol is None or symbol.kind not in {"sign", "word"}:
            return ""
        if symbol.text == "=":
            raise ConditionProblem("'=' has no meaning in a condition", "use 'is' or '=='", symbol.column)
        if symbol.text in _TESTS:
            return self._take().text
        if self._take_one_of("is"):
            return "!=" if self._take_one_of("not") else "=="
        following = self.symbols[self.at + 1].text if self.at + 1 < len(self.symbols) else ""
        if symbol.text == "not" and following == "in":
            self.at += 2
            return "not in"
        return self._take_one_of("in")

    def _read_choices(self) -> list[_Piece]:
        self._expect("(")
        choices = [self._read_sum()]
        while self._take_one_of(","):
            choices.append(self._read_sum())
        self._expect(")")
        return choices

    def _read_sum(self) -> _Piece:
        piece = self._read_product()
        while sign := self._take_one_of("+", "-"):
            more = self._read_product().times(1.0 if sign == "+" else -1.0)
            piece = _Piece(piece.symbol, (*piece.as_terms(), *more.terms))
        return piece

    def _read_product(self) -> _Piece:
        """Read a product: all but one of what is multiplied are plain numbers."""
        piece = self._read_factor()
        while sign := self._take_one_of("*", "/"):
            other = self._read_factor()
            number, before = other.plain_number(), piece.plain_number()
            column = other.symbol.column
            if number is None and before is not None and sign == "*":
                piece, number = other, before
            if number is None or (sign == "/" and not number):
                raise ConditionProblem("these two cannot be multiplied or divided", "use a plain number", column)
            piece = piece.times(number if sign == "*" else 1.0 / number)
        return piece

    def _read_factor(self) -> _Piece:
        symbol = self._peek()
        if symbol is None or symbol.text in _JOINING or (symbol.kind == "sign" and symbol.text not in {"(", "-"}):
            self.refuse()
        self._go_deeper()
        piece = self._read_inside(self._take())
        self.depth -= 1
        return piece

    def _read_inside(self, symbol: Symbol) -> _Piece:
        if symbol.kind == "sign" and symbol.text == "-":
            return self._read_factor().times(-1.0)
        if symbol.kind == "sign":
            piece = self.read_any()
            self._expect(")")
            return piece
        if symbol.kind == "word" and self._next_is("("):
            hint = "compare it with a fact or a number"
            raise ConditionProblem(f"'{symbol.text}' cannot be called", hint, symbol.column)
        return _Piece(symbol, ((1.0, symbol),))

    def _go_deeper(self) -> None:
        self.depth += 1
        if self.depth > DEEPEST:
            symbol = self.symbols[min(self.at, len(self.symbols) - 1)]
            raise ConditionProblem(f"more than {DEEPEST} brackets stand inside one another", "split it", symbol.column)

    def _peek(self) -> Symbol | None:
        return self.symbols[self.at] if self.at < len(self.symbols) else None

    def _next_is(self, text: str) -> bool:
        symbol = self._peek()
        return symbol is not None and symbol.kind != "text" and symbol.text == text

    def _take(self) -> Symbol:
        self.at += 1
        return self.symbols[self.at - 1]

    def _take_one_of(self, *texts: str) -> str:
        """Take the next symbol when it is one of these; "" when it is not."""
        return self._take().text if any(map(self._next_is, texts)) else ""

    def _expect(self, text: str) -> None:
        if not self._take_one_of(text):
            symbol = self._peek()
            raise ConditionProblem(f"'{text}' is missing here", "", symbol.column if symbol else self.end)

    def refuse(self) -> NoReturn:
        """Say that the next piece does not fit."""
        symbol = self._peek()
        if symbol is None:
            raise ConditionProblem("the condition stops too early", "something is missing at its end", self.end)
        hint = "write 'name > value' or 'name is word'"
        raise ConditionProblem(f"'{symbol.text}' does not fit here", hint, symbol.column)


def _compare(left: _Piece, sign: str, right: _Piece, known: Mapping[str, Fact]) -> Answer:
    for one, other in ((left, right), (right, left)):
        word = one.word()
        if word is not None and word.kind == "word" and word.text in known and known[word.text].kind == WORD:
            return _compare_word(word, sign, other, known[word.text])
    return when_known(_TESTS[sign], *compile_sides(left.as_terms(), right.as_terms(), known))


def _compare_word(symbol: Symbol, sign: str, other: _Piece, fact: Fact) -> Answer:
    if sign not in {"==", "!="}:
        raise ConditionProblem(f"'{fact.name}' is a word and has no order", "use 'is' or 'is not'", symbol.column)
    word = other.symbol.text.strip("\"'")
    if other.word() is None or word not in fact.words:
        raise ConditionProblem(f"'{fact.name}' is never '{word}'", did_you_mean(word, fact.words), other.symbol.column)
    wanted = sign == "=="
    return when_known(lambda found: (found == word) is wanted, lambda facts: facts.get(fact.name))


def _all_hold(parts: Sequence[Answer]) -> Answer:
    def answer(facts: Facts) -> bool | None:
        found = [part(facts) for part in parts]
        return False if False in found else None if None in found else True

    return answer


def _any_holds(parts: Sequence[Answer]) -> Answer:
    return _negate(_all_hold([_negate(part) for part in parts]))


def _negate(part: Answer) -> Answer:
    return when_known(not_, part)
