"""Turns shelves that were checked into the frozen `Knowledge`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from assistant.rules.conditions import Condition, read_condition
from assistant.rules.facts import Fact, facts_with_answers
from assistant.rules.knowledge import Knowledge, LoadedCase, Origin
from assistant.rules.layers import finish_causes, finish_symptoms
from assistant.rules.pack_files import Pack
from assistant.rules.shelves import Shelves


def known_facts(shelves: Shelves) -> Mapping[str, Fact]:
    """Give every fact a condition may name, the answers to the packs' questions included."""
    questions = shelves.of("questions").items()
    return facts_with_answers({name: [choice.id for choice in one.block.choices] for name, one in questions})


def build_knowledge(packs: Sequence[Pack], shelves: Shelves) -> Knowledge:
    """Freeze what the shelves hold. They must have been checked: a condition that cannot be read raises."""
    facts = known_facts(shelves)
    symptoms, causes = dict(finish_symptoms(shelves)), dict(finish_causes(shelves))
    texts = _conditions_in([*symptoms.values(), *causes.values(), *_blocks(shelves, "lever").values()])
    asked = {one.when for one in _blocks(shelves, "questions").values() if one.when is not None}
    read = {one.condition for one in _blocks(shelves, "tire_reading").values() if one.condition is not None}
    return Knowledge(
        packs=tuple(pack.cover for pack in packs),
        levers=_blocks(shelves, "lever"),
        symptoms=symptoms,
        driving=_blocks(shelves, "driving"),
        causes=causes,
        sources=_blocks(shelves, "sources"),
        cautions=_blocks(shelves, "cautions"),
        glossary=_blocks(shelves, "glossary"),
        questions=_blocks(shelves, "questions"),
        stages=_blocks(shelves, "stages"),
        tire_reading=_blocks(shelves, "tire_reading"),
        phrases=shelves.phrases,
        first_phrases=shelves.first_phrases,
        ranking=shelves.ranking,
        practice=tuple(shelves.practice),
        not_used=tuple(shelves.not_used),
        cases=_cases(shelves),
        facts=facts,
        conditions=_compile_all({*texts, *asked, *read}, shelves, facts),
        origins=_origins(shelves),
    )


def _blocks(shelves: Shelves, kind: str) -> dict[str, Any]:
    return {name: standing.block for name, standing in shelves.of(kind).items()}


def _conditions_in(blocks: Sequence[Any]) -> Iterator[str]:
    for block in blocks:
        signs = (*getattr(block, "signs_for", ()), *getattr(block, "signs_against", ()))
        yield from (sign.condition for sign in signs)
        holders = (block, *getattr(block, "remedies", ()))
        yield from (one.only_if for one in holders if getattr(one, "only_if", None) is not None)


def _compile_all(texts: set[str], shelves: Shelves, facts: Mapping[str, Fact]) -> dict[str, Condition]:
    known = shelves.conditions
    return {text: known[text] if text in known else read_condition(text, facts) for text in sorted(texts)}


def _cases(shelves: Shelves) -> tuple[LoadedCase, ...]:
    return tuple(
        LoadedCase(symptom, case, standing.origin(), shelves.no_longer.get(case.case))
        for symptom, case, standing in shelves.cases
    )


def _origins(shelves: Shelves) -> dict[tuple[str, ...], Origin]:
    origins: dict[tuple[str, ...], Origin] = {
        (kind, name): standing.origin() for kind, things in shelves.things.items() for name, standing in things.items()
    }
    for (kind, name), placed in shelves.remedies.items():
        origins |= {(kind, name, one.remedy.name): one.origin for one in placed}
    return origins
