"""Conditions that people write in rules, such as "banking > 8 deg and extra_wheel is yes".

    condition = both ("or" both)*
    both      = single ("and" single)*
    single    = "not" single | compare
    compare   = sum (sign sum)* | sum ["not"] "in" "(" sum ("," sum)* ")"
    sign      = "<" | "<=" | ">" | ">=" | "==" | "!=" | "is" | "is not"
    sum       = product (("+" | "-") product)*
    product   = factor (("*" | "/") factor)*
    factor    = number [unit] | word | "text" | "-" factor | "(" condition ")"

There is nothing else: no power, no attribute, no call, so nothing to attack. Length and size are bounded. Python's own
parser tells what belongs together; it sees signs, joining words and a stand-in for everything else, and nothing is run.

A condition is checked when its file is loaded: every name, unit and word must be known. When it is asked, the answer
is yes, no or, where a fact is missing, None: not known.

A bare number takes the kind of what it is compared with. Temperatures are counted: one is a thermometer reading, the
difference of two is a change, so that "30 F" means the right thing behind either.
"""

from __future__ import annotations

import ast
import re
from bisect import bisect_right
from collections.abc import Callable, Container, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from operator import not_

from assistant.ground.names import did_you_mean, plain_id
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
_JOINING = frozenset({"and", "or", "not", "is", "in"})
_SIGNS: Mapping[type[ast.cmpop], str] = {
    ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">=", ast.Eq: "==", ast.NotEq: "!=",
}  # fmt: skip
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
    answer = _ConditionReader(symbols, known, end=len(text) + 1).read()
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
        plain = plain_id(found[kind])
        word = plain if kind == "word" and found[kind] not in names and plain in names else found[kind]
        symbols.append(Symbol(kind, word, found.start(kind) + 1, unit))
        if len(symbols) > MOST_SYMBOLS:
            raise ConditionProblem(f"a condition of more than {MOST_SYMBOLS} words is too long", "split it", at)
    return symbols


def _is_joining(word: str, after: str) -> bool:
    """Tell 'in' the inch from 'in (a, b)'."""
    return word in _JOINING and (word != "in" or after.lstrip().startswith("("))


@dataclass(frozen=True)
class _ConditionReader:
    """Compiles what the symbols say together. end: column behind the text."""

    symbols: list[Symbol]
    known: Mapping[str, Fact]
    end: int

    def read(self) -> Answer:
        """Understand the whole of it."""
        pieces = [self._stand_in(at, symbol) for at, symbol in enumerate(self.symbols)]
        starts = [0, *accumulate(len(piece) + 1 for piece in pieces)]
        try:
            return self._answer(ast.parse(" ".join(pieces), mode="eval").body)
        except SyntaxError as wrong:
            texts = [symbol.text for symbol in self.symbols if symbol.kind == "sign"]
            if texts.count("(") > texts.count(")"):
                raise ConditionProblem("')' is missing here", "", self.end) from None
            raise self._unfit(bisect_right(starts, wrong.offset - 1) - 1 if wrong.offset else len(pieces)) from None

    def _stand_in(self, at: int, symbol: Symbol) -> str:
        """Write a symbol for Python: "is" as its sign, and a name that tells its place for a number, a word, a text."""
        if symbol.text == "=":
            raise ConditionProblem("'=' has no meaning in a condition", "use 'is' or '=='", symbol.column)
        before = self.symbols[at - 1].text if at else ""
        if symbol.kind == "word" and symbol.text in _JOINING:
            following = self.symbols[at + 1].text if at + 1 < len(self.symbols) else ""
            sign = "!=" if following == "not" else "=="
            return sign if symbol.text == "is" else "" if (symbol.text, before) == ("not", "is") else symbol.text
        return symbol.text if symbol.kind == "sign" else f"s{at}"

    def _unfit(self, at: int) -> ConditionProblem:
        if at >= len(self.symbols):
            return ConditionProblem("the condition stops too early", "something is missing at its end", self.end)
        hint = "write 'name > value' or 'name is word'"
        return ConditionProblem(f"'{self.symbols[at].text}' does not fit here", hint, self.symbols[at].column)

    def _first(self, node: ast.AST) -> Symbol:
        """The first number, word or text of a part."""
        names = [one.id for one in ast.walk(node) if isinstance(one, ast.Name)]
        return self.symbols[min((int(name[1:]) for name in names), default=0)]

    def _answer(self, node: ast.expr) -> Answer:
        """Compile what is true or false."""
        match node:
            case ast.BoolOp(op=ast.And(), values=parts):
                return _all_hold([self._answer(part) for part in parts])
            case ast.BoolOp(values=parts):
                return _any_holds([self._answer(part) for part in parts])
            case ast.UnaryOp(op=ast.Not(), operand=part):
                return _negate(self._answer(part))
            case ast.Compare(left=left, ops=signs, comparators=others):
                sides = zip([left, *others], signs, others, strict=False)
                return _all_hold([self._compared(one, sign, other) for one, sign, other in sides])
        self._terms(node)
        symbol = self._first(node)
        if symbol.kind == "word" and symbol.text not in self.known:
            raise say_unknown(symbol, self.known)
        says = f"'{symbol.text}' alone is neither true nor false"
        raise ConditionProblem(says, "compare it with something", symbol.column)

    def _terms(self, node: ast.expr) -> Terms:
        """Compile what adds up to a number."""
        match node:
            case ast.Name() if self._first(node).kind != "text":
                return ((1.0, self._first(node)),)
            case ast.UnaryOp(op=ast.USub(), operand=part):
                return _times(self._terms(part), -1.0)
            case ast.BinOp(left=one, op=ast.Add(), right=other):
                return (*self._terms(one), *self._terms(other))
            case ast.BinOp(left=one, op=ast.Sub(), right=other):
                return (*self._terms(one), *_times(self._terms(other), -1.0))
            case ast.BinOp(left=one, op=ast.Mult() | ast.Div() as sign, right=other):
                by = isinstance(sign, ast.Div)
                return self._product(self._terms(one), self._terms(other), self._first(other), by=by)
        symbol = self._first(node)
        if isinstance(node, ast.Call):
            hint = "compare it with a fact or a number"
            raise ConditionProblem(f"'{symbol.text}' cannot be called", hint, symbol.column)
        raise ConditionProblem(f"'{symbol.text}' is not a number here", "compare numbers with numbers", symbol.column)

    def _product(self, one: Terms, other: Terms, symbol: Symbol, *, by: bool) -> Terms:
        """Multiply, or divide by; all but one of what is multiplied are plain numbers."""
        number, before = _plain_number(other), _plain_number(one)
        if number is None and before is not None and not by:
            one, number = other, before
        if number is None or (by and not number):
            raise ConditionProblem("these two cannot be multiplied or divided", "use a plain number", symbol.column)
        return _times(one, 1.0 / number if by else number)

    def _compared(self, left: ast.expr, sign: ast.cmpop, right: ast.expr) -> Answer:
        if isinstance(sign, ast.In | ast.NotIn):
            choices = right.elts if isinstance(right, ast.Tuple) else [right]
            one_of = _any_holds([self._compared(left, ast.Eq(), choice) for choice in choices])
            return _negate(one_of) if isinstance(sign, ast.NotIn) else one_of
        written = _SIGNS[type(sign)]
        for one, other in ((left, right), (right, left)):
            fact = self.known.get(self._first(one).text) if isinstance(one, ast.Name) else None
            if fact is not None and fact.kind == WORD and self._first(one).kind == "word":
                return self._compared_word(fact, written, other, self._first(one))
        return when_known(_TESTS[written], *compile_sides(self._terms(left), self._terms(right), self.known))

    def _compared_word(self, fact: Fact, sign: str, other: ast.expr, symbol: Symbol) -> Answer:
        if sign not in {"==", "!="}:
            raise ConditionProblem(f"'{fact.name}' is a word and has no order", "use 'is' or 'is not'", symbol.column)
        choice, wanted = self._first(other), sign == "=="
        word = choice.text.strip("\"'")
        if not isinstance(other, ast.Name) or word not in fact.words:
            raise ConditionProblem(f"'{fact.name}' is never '{word}'", did_you_mean(word, fact.words), choice.column)
        return when_known(lambda found: (found == word) is wanted, lambda facts: facts.get(fact.name))


def _times(terms: Terms, factor: float) -> Terms:
    return tuple((factor * one, symbol) for one, symbol in terms)


def _plain_number(terms: Terms) -> float | None:
    """The value of what is one number without a unit."""
    (factor, symbol), *more = terms
    return None if more or symbol.kind != "number" or symbol.unit else factor * read_number(symbol, "ratio")


def _all_hold(parts: Sequence[Answer]) -> Answer:
    def answer(facts: Facts) -> bool | None:
        found = [part(facts) for part in parts]
        return False if False in found else None if None in found else True

    return answer


def _any_holds(parts: Sequence[Answer]) -> Answer:
    return _negate(_all_hold([_negate(part) for part in parts]))


def _negate(part: Answer) -> Answer:
    return when_known(not_, part)
