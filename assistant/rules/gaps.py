"""What a pack could still do better: nothing here is wrong, so nothing here stops anything.

Each symptom should have a case that finds it and a near miss that must not; one phrase should mean one symptom; a
source that nothing cites is either forgotten or not needed.
"""

from __future__ import annotations

from collections.abc import Iterator

from assistant.ground.file_block import Block
from assistant.ground.problems import Problem
from assistant.ground.words import list_words
from assistant.rules.knowledge import Knowledge, Origin


def find_gaps(knowledge: Knowledge) -> tuple[Problem, ...]:
    """Find all gaps, in the order of files and lines."""
    found = (*_untested(knowledge), *_said_twice(knowledge), *_uncited(knowledge))
    return tuple(sorted(found))


def _at(origin: Origin | None, says: str, hint: str) -> Problem:
    if origin is None:
        return Problem("packs", 0, 0, says, hint)
    return Problem(origin.file, origin.line, 1, says, hint)


def _untested(knowledge: Knowledge) -> Iterator[Problem]:
    found = {one.case.expect.found for one in knowledge.cases}
    missed = {one.symptom for one in knowledge.cases if one.case.expect.not_found == one.symptom}
    for name, symptom in knowledge.symptoms.items():
        if symptom.retired is not None:
            continue
        place = knowledge.origin("symptom", name)
        if name not in found:
            yield _at(place, f"no case finds '{name}'", "add one with 'expect: {found: ...}'")
        if name not in missed:
            yield _at(place, f"'{name}' has no near miss", "add a case with 'expect: {not_found: ...}'")


def _said_twice(knowledge: Knowledge) -> Iterator[Problem]:
    first: dict[str, str] = {}
    for name, symptom in knowledge.symptoms.items():
        for phrase in dict.fromkeys((name, *symptom.also_said)):
            plain = " ".join(phrase.casefold().split())
            earlier = first.setdefault(plain, name)
            if earlier != name:
                says = f"'{phrase}' is said for '{earlier}' and for '{name}'"
                yield _at(knowledge.origin("symptom", name), says, "keep it where it fits best")


def cited_sources(knowledge: Knowledge) -> frozenset[str]:
    """Give the key of every source that something cites."""
    cited: set[str] = set()
    shelves = (knowledge.levers, knowledge.symptoms, knowledge.driving, knowledge.causes, knowledge.cautions)
    more = (knowledge.glossary, knowledge.tire_reading)
    for shelf in (*shelves, *more):
        for block in shelf.values():
            cited.update(_keys_in(block))
    for rule in (*knowledge.practice, *knowledge.not_used):
        cited.update(_keys_in(rule))
    return frozenset(cited)


def _uncited(knowledge: Knowledge) -> Iterator[Problem]:
    cited = cited_sources(knowledge)
    uncited = [key for key in knowledge.sources if key not in cited]
    if uncited:
        place = knowledge.origin("sources", uncited[0])
        yield _at(place, f"nothing cites {list_words(uncited)}", "cite it, or take it out of the sources")


def _keys_in(block: Block) -> Iterator[str]:
    """Give the key of every source a block cites, however deep."""
    for name in type(block).model_fields:
        value = getattr(block, name)
        if name == "backed_by":
            yield from (str(written).partition(",")[0].partition(":")[0].strip() for written in value)
            continue
        inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else (value,)
        for one in inner:
            if isinstance(one, Block):
                yield from _keys_in(one)
