"""Cuts a condition into words and builds the tree of what it says; knows grammar, not meaning.

    condition = both ("or" both)*
    both      = single ("and" single)*
    single    = "not" single | compare
    compare   = sum (sign sum)* | sum ["not"] "in" "(" sum ("," sum)* ")"
    sign      = "<" | "<=" | ">" | ">=" | "==" | "!=" | "is" | "is not"
    sum       = product (("+" | "-") product)*
    product   = factor (("*" | "/") factor)*
    factor    = number [unit] | word | "text" | "-" factor | "(" condition ")"

There is nothing else: no power, no attribute, no call, so nothing to attack. Length, size and depth are bounded.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container
from dataclasses import dataclass
from typing import NoReturn

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


class ConditionProblem(ValueError):  # noqa: N818 - it is not our error but the author's
    """What is wrong with a condition, at which column of its text (from 1), and what to do."""

    def __init__(self, says: str, hint: str = "", column: int = 1) -> None:
        self.says, self.hint, self.column = says, hint, column
        super().__init__(f"{says}; {hint}" if hint else says)


@dataclass(frozen=True)
class Symbol:
    """One piece of a condition. kind: number, word, text or sign. unit: only behind a number."""

    kind: str
    text: str
    column: int
    unit: str = ""


@dataclass(frozen=True)
class Node:
    """One step of the tree. kind: or, and, not, compare, sum, product, number, word, text, minus.

    signs: the operators between the children. symbol: where it stands.
    """

    kind: str
    symbol: Symbol
    children: tuple[Node, ...] = ()
    signs: tuple[str, ...] = ()


def parse_condition(text: str, names: Container[str] = ()) -> Node:
    """Build the tree of a condition. Raises ConditionProblem.

    names: known names; one of them may be written with hyphens for its underscores, as the ids of questions are.
    """
    if len(text) > LONGEST:
        raise ConditionProblem(f"a condition of more than {LONGEST} characters is too long", "split it")
    symbols = _cut(text, names)
    if not symbols:
        raise ConditionProblem("the condition is empty", "write one such as 'banking > 8 deg'")
    parser = _Parser(symbols, end=len(text) + 1)
    tree = parser.read_any()
    if parser.at < len(symbols):
        parser.refuse()
    return tree


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


@dataclass
class _Parser:
    symbols: list[Symbol]
    end: int
    at: int = 0
    depth: int = 0

    def read_any(self) -> Node:
        """Read conditions joined by 'or'."""
        return self._chain("or", ("or",), lambda: self._chain("and", ("and",), self._read_single))

    def _read_single(self) -> Node:
        if not self._next_is("not"):
            return self._read_compare()
        symbol = self._take()
        self._go_deeper()
        node = Node("not", symbol, (self._read_single(),))
        self.depth -= 1
        return node

    def _read_compare(self) -> Node:
        children, signs = [self._read_sum()], []
        while sign := self._read_sign():
            signs.append(sign)
            if sign.endswith("in"):
                children.append(self._read_choices())
                break
            children.append(self._read_sum())
        return children[0] if not signs else Node("compare", children[0].symbol, tuple(children), tuple(signs))

    def _read_sign(self) -> str:
        symbol = self._peek()
        if symbol is None or symbol.kind not in {"sign", "word"}:
            return ""
        if symbol.text == "=":
            raise ConditionProblem("'=' has no meaning in a condition", "use 'is' or '=='", symbol.column)
        if symbol.text in {"<", "<=", ">", ">=", "==", "!="}:
            return self._take().text
        following = self.symbols[self.at + 1].text if self.at + 1 < len(self.symbols) else ""
        if symbol.text == "is":
            self.at += 2 if following == "not" else 1
            return "!=" if following == "not" else "=="
        if symbol.text == "in" or (symbol.text == "not" and following == "in"):
            self.at += 1 if symbol.text == "in" else 2
            return symbol.text if symbol.text == "in" else "not in"
        return ""

    def _read_choices(self) -> Node:
        symbol = self._expect("(")
        choices = [self._read_sum()]
        while self._next_is(","):
            self.at += 1
            choices.append(self._read_sum())
        self._expect(")")
        return Node("choices", symbol, tuple(choices))

    def _read_sum(self) -> Node:
        return self._chain("sum", ("+", "-"), lambda: self._chain("product", ("*", "/"), self._read_factor))

    def _chain(self, kind: str, signs: tuple[str, ...], read: Callable[[], Node]) -> Node:
        first = read()
        children, found = [first], []
        while any(map(self._next_is, signs)):
            found.append(self._take().text)
            children.append(read())
        return first if not found else Node(kind, first.symbol, tuple(children), tuple(found))

    def _read_factor(self) -> Node:
        symbol = self._peek()
        if symbol is None or symbol.text in _JOINING:
            self.refuse()
        self._go_deeper()
        node = self._read_inside(self._take())
        self.depth -= 1
        return node

    def _read_inside(self, symbol: Symbol) -> Node:
        if symbol.text == "(" and symbol.kind == "sign":
            node = self.read_any()
            self._expect(")")
            return node
        if symbol.text == "-":
            return Node("minus", symbol, (self._read_factor(),))
        if symbol.kind == "sign":
            self.at -= 1
            self.refuse()
        if self._next_is("(") and symbol.kind == "word":
            raise ConditionProblem(
                f"'{symbol.text}' cannot be called", "compare it with a fact or a number", symbol.column
            )
        return Node(symbol.kind, symbol)

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

    def _expect(self, text: str) -> Symbol:
        if not self._next_is(text):
            symbol = self._peek()
            raise ConditionProblem(f"'{text}' is missing here", "", symbol.column if symbol else self.end)
        return self._take()

    def refuse(self) -> NoReturn:
        """Say that the next piece does not fit."""
        symbol = self._peek()
        if symbol is None:
            raise ConditionProblem("the condition stops too early", "something is missing at its end", self.end)
        raise ConditionProblem(
            f"'{symbol.text}' does not fit here", "write 'name > value' or 'name is word'", symbol.column
        )
