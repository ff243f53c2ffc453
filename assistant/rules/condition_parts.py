"""Cuts a condition into words and builds the tree of what it says; knows grammar, not meaning.

    condition = both ("or" both)*
    both      = single ("and" single)*
    single    = "not" single | compare
    compare   = sum (sign sum)* | sum ["not"] "in" "(" sum ("," sum)* ")"
    sign      = "<" | "<=" | ">" | ">=" | "==" | "!=" | "is" | "is not"
    sum       = product (("+" | "-") product)*
    product   = factor (("*" | "/") factor)*
    factor    = number [unit] | word | "text" | "-" factor | ("min" | "max" | "abs") "(" ... ")" | "(" condition ")"

There is nothing else: no power, no attribute, no call, so nothing to attack. Length, size and depth are bounded.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container
from dataclasses import dataclass, field
from typing import NoReturn

LONGEST = 500  # characters
MOST_PARTS = 200
DEEPEST = 20
FUNCTIONS = ("min", "max", "abs")
_JOINING = frozenset({"and", "or", "not", "is", "in", *FUNCTIONS})
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
    """One step of the tree. kind: or, and, not, compare, sum, product, call, number, word, text, minus.

    signs: the operators between the children of compare, sum and product. part: where it stands.
    """

    kind: str
    part: Symbol
    children: tuple[Node, ...] = ()
    signs: tuple[str, ...] = ()


def parse_condition(text: str, names: Container[str] = ()) -> Node:
    """Build the tree of a condition. Raises ConditionProblem.

    names: known names; one of them may be written with hyphens for its underscores, as the ids of questions are.
    """
    if len(text) > LONGEST:
        raise ConditionProblem(f"a condition of more than {LONGEST} characters is too long", "split it")
    parts = _cut(text, names)
    if not parts:
        raise ConditionProblem("the condition is empty", "write one such as 'banking > 8 deg'")
    parser = _Parser(parts, end=len(text) + 1)
    tree = parser.read_any()
    if parser.at < len(parts):
        parser.refuse()
    return tree


def _cut(text: str, names: Container[str]) -> list[Symbol]:
    parts: list[Symbol] = []
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
        parts.append(Symbol(kind, word, found.start(kind) + 1, unit))
        if len(parts) > MOST_PARTS:
            raise ConditionProblem(f"a condition of more than {MOST_PARTS} words is too long", "split it", at)
    return parts


def _is_joining(word: str, after: str) -> bool:
    """Tell 'in' the inch from 'in (a, b)'."""
    return word in _JOINING and (word != "in" or after.lstrip().startswith("("))


@dataclass
class _Parser:
    parts: list[Symbol]
    end: int
    at: int = 0
    depth: int = field(default=0)

    def read_any(self) -> Node:
        """Read conditions joined by 'or'."""
        return self._joined("or", lambda: self._joined("and", self._read_single))

    def _joined(self, word: str, read: Callable[[], Node]) -> Node:
        first = read()
        children = [first]
        while self._next_is(word):
            self.at += 1
            children.append(read())
        return first if len(children) == 1 else Node(word, first.part, tuple(children))

    def _read_single(self) -> Node:
        if not self._next_is("not"):
            return self._read_compare()
        part = self._take()
        self._go_deeper()
        node = Node("not", part, (self._read_single(),))
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
        return children[0] if not signs else Node("compare", children[0].part, tuple(children), tuple(signs))

    def _read_sign(self) -> str:
        part = self._peek()
        if part is None or part.kind not in {"sign", "word"}:
            return ""
        if part.text == "=":
            raise ConditionProblem("'=' has no meaning in a condition", "use 'is' or '=='", part.column)
        if part.text in {"<", "<=", ">", ">=", "==", "!="}:
            return self._take().text
        following = self.parts[self.at + 1].text if self.at + 1 < len(self.parts) else ""
        if part.text == "is":
            self.at += 2 if following == "not" else 1
            return "!=" if following == "not" else "=="
        if part.text == "in" or (part.text == "not" and following == "in"):
            self.at += 1 if part.text == "in" else 2
            return part.text if part.text == "in" else "not in"
        return ""

    def _read_choices(self) -> Node:
        part = self._expect("(")
        choices = [self._read_sum()]
        while self._next_is(","):
            self.at += 1
            choices.append(self._read_sum())
        self._expect(")")
        return Node("choices", part, tuple(choices))

    def _read_sum(self) -> Node:
        return self._chain("sum", ("+", "-"), lambda: self._chain("product", ("*", "/"), self._read_factor))

    def _chain(self, kind: str, signs: tuple[str, str], read: Callable[[], Node]) -> Node:
        first = read()
        children, found = [first], []
        while (part := self._peek()) is not None and part.kind == "sign" and part.text in signs:
            found.append(self._take().text)
            children.append(read())
        return first if not found else Node(kind, first.part, tuple(children), tuple(found))

    def _read_factor(self) -> Node:
        part = self._peek()
        if part is None or part.text in _JOINING - set(FUNCTIONS):
            self.refuse()
        self._go_deeper()
        node = self._read_inside(self._take())
        self.depth -= 1
        return node

    def _read_inside(self, part: Symbol) -> Node:
        if part.text == "(" and part.kind == "sign":
            node = self.read_any()
            self._expect(")")
            return node
        if part.text == "-":
            return Node("minus", part, (self._read_factor(),))
        if part.text in FUNCTIONS:
            return Node("call", part, self._read_choices().children)
        if part.kind == "sign":
            self.at -= 1
            self.refuse()
        if self._next_is("(") and part.kind == "word":
            raise ConditionProblem(f"'{part.text}' cannot be called", "allowed: min, max, abs", part.column)
        return Node(part.kind, part)

    def _go_deeper(self) -> None:
        self.depth += 1
        if self.depth > DEEPEST:
            part = self.parts[min(self.at, len(self.parts) - 1)]
            raise ConditionProblem(f"more than {DEEPEST} brackets stand inside one another", "split it", part.column)

    def _peek(self) -> Symbol | None:
        return self.parts[self.at] if self.at < len(self.parts) else None

    def _next_is(self, text: str) -> bool:
        part = self._peek()
        return part is not None and part.kind != "text" and part.text == text

    def _take(self) -> Symbol:
        self.at += 1
        return self.parts[self.at - 1]

    def _expect(self, text: str) -> Symbol:
        if not self._next_is(text):
            part = self._peek()
            raise ConditionProblem(f"'{text}' is missing here", "", part.column if part else self.end)
        return self._take()

    def refuse(self) -> NoReturn:
        """Say that the next piece does not fit."""
        part = self._peek()
        if part is None:
            raise ConditionProblem("the condition stops too early", "something is missing at its end", self.end)
        raise ConditionProblem(
            f"'{part.text}' does not fit here", "write 'name > value' or 'name is word'", part.column
        )
