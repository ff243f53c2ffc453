"""The numeric sides of a comparison: what kind each is, checked once, and how it is computed.

A number takes the kind of what it is compared with. Temperatures are counted: one is a thermometer reading, the
difference of two is a change, so that "30 F" means the right thing behind either.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import isfinite

from assistant.ground.quantities import QUANTITIES
from assistant.ground.units import UnitProblem, read
from assistant.ground.words import did_you_mean, with_article
from assistant.rules.condition_parts import ConditionProblem, Node
from assistant.rules.facts import WORD, Fact

Value = Callable[[Mapping[str, object]], float | None]
BARE = frozenset({"ratio", "count", "turns", "clicks", "holes", "strips", "laps", "rpm"})
"""Kinds whose numbers need no unit."""


@dataclass(frozen=True)
class Kind:
    """What a side is. count: for temperatures, how many readings it adds up to; else 0."""

    name: str
    count: float = 0.0

    @property
    def dimension(self) -> str:
        """The group of units; plain numbers of any kind are one group."""
        return "number" if self.name in {"ratio", "count"} else QUANTITIES[self.name].dimension


PLAIN = Kind("ratio")


def compile_pair(left: Node, right: Node, known: Mapping[str, Fact]) -> tuple[Value, Value]:
    """Check two sides against each other and compile both. Raises ConditionProblem."""
    kind_left, kind_right = _infer(left, known), _infer(right, known)
    kind = kind_left or kind_right
    if kind is None:
        raise ConditionProblem("this compares no fact with anything", "name a fact on one side", left.part.column)
    _must_match(kind, kind_right or kind, right)
    return _compile(left, kind, known), _compile(right, kind, known)


def _infer(node: Node, known: Mapping[str, Fact]) -> Kind | None:
    """Find the kind of a side; None when it is made of bare numbers and takes the kind of the other side."""
    if node.kind == "number":
        return None
    if node.kind == "word":
        return _kind_of_fact(node, known)
    if node.kind == "minus":
        return _scale(_infer(node.children[0], known), -1.0)
    if node.kind == "sum":
        return _infer_sum(node, known)
    if node.kind == "product":
        return _infer_product(node, known)
    if node.kind == "call":
        return _infer_call(node, known)
    raise ConditionProblem(f"'{node.part.text}' is not a number here", "compare numbers with numbers", node.part.column)


def _kind_of_fact(node: Node, known: Mapping[str, Fact]) -> Kind:
    name = node.part.text
    fact = known.get(name)
    if fact is None:
        raise ConditionProblem(f"no fact is called '{name}'", did_you_mean(name, known), node.part.column)
    if fact.kind == WORD:
        raise ConditionProblem(f"'{name}' is a word, not a number", f"write '{name} is ...'", node.part.column)
    return Kind(fact.kind, 1.0 if fact.kind == "temperature" else 0.0)


def _infer_sum(node: Node, known: Mapping[str, Fact]) -> Kind | None:
    kinds = [_infer(child, known) for child in node.children]
    kind = next((one for one in kinds if one is not None), None)
    if kind is None:
        return None
    count = 0.0
    for child, one, sign in zip(node.children, kinds, ("+", *node.signs), strict=True):
        if one is not None:
            _must_be_alike(kind, one, child)
            count += one.count if sign == "+" else -one.count
    return Kind(kind.name, count)


def _infer_product(node: Node, known: Mapping[str, Fact]) -> Kind | None:
    """A product has one side with a kind; the others are plain numbers. A quotient of two alike is a plain number."""
    kind = _infer(node.children[0], known)
    for child, sign in zip(node.children[1:], node.signs, strict=True):
        number, other = _plain_number(child), _infer(child, known)
        if number is not None:
            kind = _scale(kind, number if sign == "*" else 1 / number if number else 0.0)
        elif sign == "/" and kind is not None and other is not None:
            _must_match(kind, other, child)
            kind = PLAIN
        elif sign == "*" and (kind is None or kind.dimension == "number"):
            kind = other or kind
        elif other is None or other.dimension != "number":
            raise ConditionProblem("these two cannot be multiplied or divided", "use a plain number", child.part.column)
    return kind


def _infer_call(node: Node, known: Mapping[str, Fact]) -> Kind | None:
    if node.part.text == "abs" and len(node.children) != 1:
        raise ConditionProblem("'abs' takes one value", "write abs(value)", node.part.column)
    kind: Kind | None = None
    for child in node.children:
        one = _infer(child, known)
        kind = kind or one
        if kind is not None and one is not None:
            _must_match(kind, one, child)
    return kind


def _scale(kind: Kind | None, factor: float) -> Kind | None:
    return None if kind is None else Kind(kind.name, kind.count * factor)


def _must_be_alike(kind: Kind, other: Kind, node: Node) -> None:
    if kind.dimension != other.dimension:
        wanted, found = QUANTITIES[kind.name].name, QUANTITIES[other.name].name
        says = f"{with_article(found)} cannot be compared with {with_article(wanted)}"
        raise ConditionProblem(says, "both sides must be of one kind", node.part.column)


def _must_match(kind: Kind, other: Kind, node: Node) -> None:
    _must_be_alike(kind, other, node)
    if abs(kind.count - other.count) > 1e-9:
        says = "a temperature cannot be compared with a difference of temperatures"
        raise ConditionProblem(says, "take the difference on both sides", node.part.column)


def _plain_number(node: Node) -> float | None:
    if node.kind != "number" or node.part.unit:
        return None
    return _read_number(node, "ratio")


def _read_number(node: Node, kind: str) -> float:
    part = node.part
    try:
        value = read(f"{part.text} {part.unit}".strip(), kind).value
    except UnitProblem as problem:
        raise ConditionProblem(problem.says, problem.hint, part.column) from None
    return value


def _compile(node: Node, kind: Kind, known: Mapping[str, Fact]) -> Value:
    if node.kind == "number":
        return _compile_number(node, kind)
    if node.kind == "word":
        return _compile_fact(node.part.text)
    if node.kind == "sum":
        return _compile_sum(node, kind, known)
    if node.kind == "product":
        return _compile_product(node, kind, known)
    if node.kind == "minus":
        inner = _compile(node.children[0], _scale(kind, -1.0) or kind, known)
        return _apply(lambda values: -values[0], (inner,))
    parts = tuple(_compile(child, kind, known) for child in node.children)
    return _apply(_FUNCTIONS[node.part.text], parts)


_FUNCTIONS: Mapping[str, Callable[[tuple[float, ...]], float]] = {
    "min": min,
    "max": max,
    "abs": lambda values: abs(values[0]),
}


def _compile_number(node: Node, kind: Kind) -> Value:
    name = kind.name
    if name in {"temperature", "temperature_change"}:
        if kind.count not in {0.0, 1.0}:
            raise ConditionProblem("a sum of temperatures is no temperature", "take a mean", node.part.column)
        name = "temperature" if kind.count else "temperature_change"
    if not node.part.unit and name not in BARE:
        quantity = QUANTITIES[name]
        says, hint = f"{node.part.text} needs a unit here", f"such as {node.part.text} {quantity.trade_unit}"
        raise ConditionProblem(says, hint, node.part.column)
    value = _read_number(node, name)
    return lambda _: value


def _compile_fact(name: str) -> Value:
    def value(facts: Mapping[str, object]) -> float | None:
        found = facts.get(name)
        return float(found) if isinstance(found, int | float) and isfinite(found) else None

    return value


def _compile_sum(node: Node, kind: Kind, known: Mapping[str, Fact]) -> Value:
    """Bare numbers in a sum with a fact are changes; in a sum of bare numbers they are what the sum is."""
    kinds = [_infer(child, known) for child in node.children]
    has_fact = any(one is not None for one in kinds)
    bare = Kind(kind.name) if has_fact else kind
    parts = tuple(_compile(child, one or bare, known) for child, one in zip(node.children, kinds, strict=True))
    signs = tuple(1.0 if sign == "+" else -1.0 for sign in ("+", *node.signs))
    return _apply(lambda values: sum(sign * value for sign, value in zip(signs, values, strict=True)), parts)


def _compile_product(node: Node, kind: Kind, known: Mapping[str, Fact]) -> Value:
    kinds = [_infer(child, known) for child in node.children]
    has_fact = any(one is not None for one in kinds)
    parts = tuple(
        _compile(child, one or (PLAIN if has_fact or _plain_number(child) is not None else kind), known)
        for child, one in zip(node.children, kinds, strict=True)
    )
    signs = ("*", *node.signs)

    def multiply(values: tuple[float, ...]) -> float | None:
        result = 1.0
        for sign, value in zip(signs, values, strict=True):
            if sign == "/" and not value:
                return None
            result = result * value if sign == "*" else result / value
        return result

    return _apply(multiply, parts)


def _apply(function: Callable[[tuple[float, ...]], float | None], parts: tuple[Value, ...]) -> Value:
    """Compute when every part is known."""

    def value(facts: Mapping[str, object]) -> float | None:
        values = []
        for part in parts:
            found = part(facts)
            if found is None:
                return None
            values.append(found)
        return function(tuple(values))

    return value
