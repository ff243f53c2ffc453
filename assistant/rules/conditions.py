"""Conditions that people write in rules, such as "banking > 8 deg and extra_wheel is yes".

A condition is checked when its file is loaded: every name, unit and word must be known. When it is asked, the answer
is yes, no or, where a fact is missing, None: not known.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from assistant.ground.words import did_you_mean
from assistant.rules.condition_parts import ConditionProblem, Node, parse_condition
from assistant.rules.condition_values import Value, compile_pair
from assistant.rules.facts import WORD, Fact

Facts = Mapping[str, object]
Answer = Callable[[Facts], bool | None]

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
    answer = _compile(tree, known)
    names = frozenset(node.part.text for node in _walk(tree) if node.kind == "word" and node.part.text in known)
    return Condition(text, names, answer)


def _walk(node: Node) -> list[Node]:
    return [node, *(inner for child in node.children for inner in _walk(child))]


def _compile(node: Node, known: Mapping[str, Fact]) -> Answer:
    if node.kind in {"and", "or"}:
        parts = tuple(_compile(child, known) for child in node.children)
        return _all_hold(parts) if node.kind == "and" else _any_holds(parts)
    if node.kind == "not":
        return _negate(_compile(node.children[0], known))
    if node.kind == "compare":
        return _compile_chain(node, known)
    if node.kind == "word" and node.part.text not in known:
        raise _unknown(node, known)
    raise ConditionProblem(
        f"'{node.part.text}' alone is neither true nor false", "compare it with something", node.part.column
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
    return _compare(sign, *compile_pair(left, right, known))


def _is_word_fact(node: Node, known: Mapping[str, Fact]) -> bool:
    return node.kind == "word" and node.part.text in known and known[node.part.text].kind == WORD


def _compile_word(fact_node: Node, sign: str, other: Node, known: Mapping[str, Fact]) -> Answer:
    fact = known[fact_node.part.text]
    if sign not in {"==", "!="}:
        raise ConditionProblem(
            f"'{fact.name}' is a word and has no order", "use 'is' or 'is not'", fact_node.part.column
        )
    word = other.part.text.strip("\"'")
    if other.kind not in {"word", "text", "number"} or word not in fact.words:
        raise ConditionProblem(f"'{fact.name}' is never '{word}'", did_you_mean(word, fact.words), other.part.column)
    name, wanted = fact.name, sign == "=="

    def answer(facts: Facts) -> bool | None:
        found = facts.get(name)
        return None if found is None else (found == word) is wanted

    return answer


def _compare(sign: str, left: Value, right: Value) -> Answer:
    test = _TESTS[sign]

    def answer(facts: Facts) -> bool | None:
        first, second = left(facts), right(facts)
        return None if first is None or second is None else test(first, second)

    return answer


_TESTS: Mapping[str, Callable[[float, float], bool]] = {
    "<": lambda a, b: a < b,
    "<=": lambda a, b: a <= b or _same(a, b),
    ">": lambda a, b: a > b,
    ">=": lambda a, b: a >= b or _same(a, b),
    "==": lambda a, b: _same(a, b),  # noqa: PLW0108 - _same stands below
    "!=": lambda a, b: not _same(a, b),
}


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
    return _negate(_all_hold(tuple(_negate(part) for part in parts)))


def _negate(part: Answer) -> Answer:
    def answer(facts: Facts) -> bool | None:
        found = part(facts)
        return None if found is None else not found

    return answer


def _unknown(node: Node, known: Mapping[str, Fact]) -> ConditionProblem:
    name = node.part.text
    return ConditionProblem(f"no fact is called '{name}'", did_you_mean(name, known), node.part.column)
