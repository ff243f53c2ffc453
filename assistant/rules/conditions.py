"""Conditions that people write in rules, such as "banking > 8 deg and extra_wheel is yes".

A condition is checked when its file is loaded: every name, unit and word must be known. When it is asked, the answer
is yes, no or, where a fact is missing, None: not known.

A bare number takes the kind of what it is compared with. Temperatures are counted: one is a thermometer reading, the
difference of two is a change, so that "30 F" means the right thing behind either.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite
from operator import not_
from typing import TypeVar

from assistant.ground.quantities import QUANTITIES
from assistant.ground.units import UnitProblem, read
from assistant.ground.words import did_you_mean, with_article
from assistant.rules.condition_grammar import ConditionProblem, Node, Symbol, parse_condition
from assistant.rules.facts import WORD, Fact

Facts = Mapping[str, object]
Answer = Callable[[Facts], bool | None]
Value = Callable[[Facts], float | None]
_X = TypeVar("_X")
BARE = frozenset({"ratio", "count", "turns", "clicks", "holes", "strips", "laps", "rpm"})
"""Kinds whose numbers need no unit."""
_TESTS: Mapping[str, Callable[[float, float], bool]] = {
    "<": lambda a, b: a < b,
    "<=": lambda a, b: a <= b or _same(a, b),
    ">": lambda a, b: a > b,
    ">=": lambda a, b: a >= b or _same(a, b),
    "==": lambda a, b: _same(a, b),  # noqa: PLW0108 - _same stands below
    "!=": lambda a, b: not _same(a, b),
}
__all__ = ["Condition", "ConditionProblem", "read_condition"]


@dataclass(frozen=True)
class Condition:
    """A condition that was understood. names: the facts it speaks of."""

    text: str
    names: frozenset[str]
    holds: Answer = field(compare=False, repr=False)


def read_condition(text: str, known: Mapping[str, Fact]) -> Condition:
    """Understand a condition over known facts. Raises ConditionProblem with the column of the mistake."""
    tree = parse_condition(text, known)
    answer = _compile_answer(tree, known)
    names = frozenset(node.symbol.text for node in _walk(tree) if node.kind == "word" and node.symbol.text in known)
    return Condition(text, names, answer)


def _walk(node: Node) -> list[Node]:
    return [node, *(inner for child in node.children for inner in _walk(child))]


def _compile_answer(node: Node, known: Mapping[str, Fact]) -> Answer:
    if node.kind in {"and", "or"}:
        parts = tuple(_compile_answer(child, known) for child in node.children)
        return _all_hold(parts) if node.kind == "and" else _any_holds(parts)
    if node.kind == "not":
        return _negate(_compile_answer(node.children[0], known))
    if node.kind == "compare":
        return _compile_chain(node, known)
    if node.kind == "word" and node.symbol.text not in known:
        raise _say_unknown(node, known)
    raise ConditionProblem(
        f"'{node.symbol.text}' alone is neither true nor false", "compare it with something", node.symbol.column
    )


def _compile_chain(node: Node, known: Mapping[str, Fact]) -> Answer:
    """Compile a < b < c as a < b and b < c."""
    pairs = zip(node.children, node.signs, node.children[1:], strict=False)
    answers = tuple(_compile_compare(left, sign, right, known) for left, sign, right in pairs)
    return answers[0] if len(answers) == 1 else _all_hold(answers)


def _compile_compare(left: Node, sign: str, right: Node, known: Mapping[str, Fact]) -> Answer:
    if right.kind == "choices":
        one_of = _any_holds(tuple(_compile_compare(left, "==", choice, known) for choice in right.children))
        return _negate(one_of) if sign == "not in" else one_of
    fact, other = (left, right) if _is_word_fact(left, known) else (right, left)
    if _is_word_fact(fact, known):
        return _compile_word(fact, sign, other, known)
    return _when_known(_TESTS[sign], *_compile_pair(left, right, known))


def _is_word_fact(node: Node, known: Mapping[str, Fact]) -> bool:
    return node.kind == "word" and node.symbol.text in known and known[node.symbol.text].kind == WORD


def _compile_word(fact_node: Node, sign: str, other: Node, known: Mapping[str, Fact]) -> Answer:
    fact = known[fact_node.symbol.text]
    if sign not in {"==", "!="}:
        raise ConditionProblem(
            f"'{fact.name}' is a word and has no order", "use 'is' or 'is not'", fact_node.symbol.column
        )
    word = other.symbol.text.strip("\"'")
    if other.kind not in {"word", "text", "number"} or word not in fact.words:
        raise ConditionProblem(f"'{fact.name}' is never '{word}'", did_you_mean(word, fact.words), other.symbol.column)
    wanted = sign == "=="
    return _when_known(lambda found: (found == word) is wanted, lambda facts: facts.get(fact.name))


@dataclass(frozen=True)
class Kind:
    """What a side is. count: for temperatures, how many readings it adds up to; else 0."""

    name: str
    count: float = 0.0

    @property
    def dimension(self) -> str:
        """The group of units; plain numbers of any kind are one group."""
        return "number" if self.name in {"ratio", "count"} else QUANTITIES[self.name].dimension


Term = tuple[float, Node]
"""A fact or a number, and what it is multiplied by."""


def _compile_pair(left: Node, right: Node, known: Mapping[str, Fact]) -> tuple[Value, Value]:
    """Check two sides against each other and compile both. Raises ConditionProblem."""
    terms_left, terms_right = _terms(left), _terms(right)
    kind_left, kind_right = _infer(terms_left, known), _infer(terms_right, known)
    kind = kind_left or kind_right
    if kind is None:
        raise ConditionProblem("this compares no fact with anything", "name a fact on one side", left.symbol.column)
    _must_match(kind, kind_right or kind, right)
    # beside a fact a bare number is a change, alone it is what the other side is
    bare_left, bare_right = (Kind(kind.name) if side else kind for side in (kind_left, kind_right))
    return _compile_side(terms_left, bare_left), _compile_side(terms_right, bare_right)


def _terms(node: Node, factor: float = 1.0) -> list[Term]:
    """Take a side apart into its facts and numbers."""
    if node.kind in {"word", "number"}:
        return [(factor, node)]
    if node.kind == "minus":
        return _terms(node.children[0], -factor)
    if node.kind == "sum":
        signs = (1.0, *(1.0 if sign == "+" else -1.0 for sign in node.signs))
        pairs = zip(signs, node.children, strict=True)
        return [term for sign, child in pairs for term in _terms(child, sign * factor)]
    if node.kind == "product":
        side, times = _times(node)
        return _terms(side, times * factor)
    raise ConditionProblem(
        f"'{node.symbol.text}' is not a number here", "compare numbers with numbers", node.symbol.column
    )


def _times(node: Node) -> tuple[Node, float]:
    """Take a product apart: all but one of what is multiplied are plain numbers."""
    side, times = node.children[0], 1.0
    for child, sign in zip(node.children[1:], node.signs, strict=True):
        number, before = _plain_number(child), _plain_number(side)
        if number is None and before is not None and sign == "*":
            side, number = child, before
        if number is None or (sign == "/" and not number):
            says, hint = "these two cannot be multiplied or divided", "use a plain number"
            raise ConditionProblem(says, hint, child.symbol.column)
        times = times * number if sign == "*" else times / number
    return side, times


def _infer(terms: Sequence[Term], known: Mapping[str, Fact]) -> Kind | None:
    """Find the kind of a side; None when it is made of bare numbers and takes the kind of the other side."""
    kind, count = None, 0.0
    for factor, node in terms:
        if node.kind == "word":
            one = _kind_of_fact(node, known)
            _must_be_alike(kind or one, one, node)
            kind, count = kind or one, count + factor * one.count
    return None if kind is None else Kind(kind.name, count)


def _kind_of_fact(node: Node, known: Mapping[str, Fact]) -> Kind:
    name = node.symbol.text
    fact = known.get(name)
    if fact is None:
        raise _say_unknown(node, known)
    if fact.kind == WORD:
        raise ConditionProblem(f"'{name}' is a word, not a number", f"write '{name} is ...'", node.symbol.column)
    return Kind(fact.kind, 1.0 if fact.kind == "temperature" else 0.0)


def _must_be_alike(kind: Kind, other: Kind, node: Node) -> None:
    if kind.dimension != other.dimension:
        wanted, found = QUANTITIES[kind.name].name, QUANTITIES[other.name].name
        says = f"{with_article(found)} cannot be compared with {with_article(wanted)}"
        raise ConditionProblem(says, "both sides must be of one kind", node.symbol.column)


def _must_match(kind: Kind, other: Kind, node: Node) -> None:
    _must_be_alike(kind, other, node)
    if not _same(kind.count, other.count):
        says = "a temperature cannot be compared with a difference of temperatures"
        raise ConditionProblem(says, "take the difference on both sides", node.symbol.column)


def _plain_number(node: Node) -> float | None:
    if node.kind != "number" or node.symbol.unit:
        return None
    return _read_number(node.symbol, "ratio")


def _read_number(symbol: Symbol, kind: str, sign: str = "") -> float:
    try:
        return read(f"{sign}{symbol.text} {symbol.unit}".strip(), kind).value
    except UnitProblem as problem:
        raise ConditionProblem(problem.says, problem.hint, symbol.column) from None


def _compile_side(terms: Sequence[Term], bare: Kind) -> Value:
    """Compile a sum of terms. bare: what a bare number is."""
    parts = [
        _compile_fact(node.symbol.text, factor)
        if node.kind == "word"
        else _compile_number(node.symbol, factor, bare, alone=len(terms) == 1)
        for factor, node in terms
    ]
    return _when_known(lambda *values: sum(values), *parts)


def _compile_number(symbol: Symbol, factor: float, kind: Kind, *, alone: bool) -> Value:
    name = kind.name
    if name in {"temperature", "temperature_change"}:
        if kind.count and not (_same(kind.count, 1.0) and alone and abs(factor) == 1.0):
            raise ConditionProblem("a sum of temperatures is no temperature", "take a mean", symbol.column)
        name = "temperature" if kind.count else "temperature_change"
    if not symbol.unit and name not in BARE:
        says, hint = f"{symbol.text} needs a unit here", f"such as {symbol.text} {QUANTITIES[name].trade_unit}"
        raise ConditionProblem(says, hint, symbol.column)
    value = abs(factor) * _read_number(symbol, name, "-" if factor < 0 else "")
    return lambda _: value


def _compile_fact(name: str, factor: float) -> Value:
    def value(facts: Facts) -> float | None:
        found = facts.get(name)
        return factor * float(found) if isinstance(found, int | float) and isfinite(found) else None

    return value


def _say_unknown(node: Node, known: Mapping[str, Fact]) -> ConditionProblem:
    name = node.symbol.text
    return ConditionProblem(f"no fact is called '{name}'", did_you_mean(name, known), node.symbol.column)


def _same(a: float, b: float) -> bool:
    """Tell whether two values are one and the same after conversion between units."""
    return abs(a - b) <= 1e-9 * max(abs(a), abs(b))


def _all_hold(parts: tuple[Answer, ...]) -> Answer:
    def answer(facts: Facts) -> bool | None:
        known = True
        for part in parts:
            found = part(facts)
            if found is False:
                return False
            known = known and found is not None
        return True if known else None

    return answer


def _any_holds(parts: tuple[Answer, ...]) -> Answer:
    return _negate(_all_hold(tuple(map(_negate, parts))))


def _negate(part: Answer) -> Answer:
    return _when_known(not_, part)


def _when_known(function: Callable[..., _X | None], *parts: Callable[[Facts], object]) -> Callable[[Facts], _X | None]:
    """Compute when every part is known."""

    def value(facts: Facts) -> _X | None:
        values = []
        for part in parts:
            found = part(facts)
            if found is None:
                return None
            values.append(found)
        return function(*values)

    return value
