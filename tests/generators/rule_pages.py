"""Makes docs/rule-fields.md from the models of the rule files, and docs/sources.md from the base pack.

`python -m tests.generators.rule_pages` writes both; tests fail when one is stale.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import WithJsonSchema
from pydantic.fields import FieldInfo

from assistant.ground.quantities import QUANTITIES
from assistant.ground.read_model import FileBlock
from assistant.rules.facts import FACTS, WORD, Fact
from assistant.rules.knowledge import Knowledge, source_key
from assistant.rules.models import Source
from assistant.rules.pack import load_packs
from assistant.rules.pack_files import KINDS
from tests.generators.field_means import meaning_of

DOCS = Path(__file__).resolve().parents[2] / "docs"
_FIELDS_HEAD = """# The fields of rule files

Made by `python -m tests.generators.rule_pages` from the models that read the files; do not edit by hand.
How to write a rule, step by step: `write-rules.md`.

The first name in a file says what kind of file it is; there is one section for each kind.
**needed** fields must be there; all others may be left out, and what is then taken stands behind "else".
Names that are not listed are refused, with the nearest right spelling.
"""
_FACTS_HEAD = """# What a condition may speak of

Beside these, the answers to the packs' questions: the id of a question, as it is written, is one of the ids of its
choices, such as `contact is contact`. What nobody knows of a car is neither true nor false, and the rule waits.

| name | is | meaning |
|---|---|---|"""
_SOURCES_HEAD = """# Sources

Made by `python -m tests.generators.rule_pages` from `knowledge/base/sources.yaml`; do not edit by hand.

Every rule says in `backed_by` where it comes from, by the keys below.
Two keys need no entry: `common practice` (common practice, no source) and `memory` (from memory, no page opened).
How much was read: **whole**; **opening only**, its first paragraphs; **quoted** in another page; **memory**, a printed
book that was not opened while writing, so look it up before quoting it.
"""
_WORDS = {str: "text", int: "whole number", float: "number", bool: "true or false"}


def fields_page() -> str:
    """Write docs/rule-fields.md."""
    shown: list[type[FileBlock]] = []
    parts = [_FIELDS_HEAD]
    for kind, model in KINDS.items():
        parts.append(f"## `{kind}:`\n\n{_table(model)}")
        shown.append(model)
    inner = [one for one in dict.fromkeys(_all_inner(shown)) if one not in shown]
    parts.append("# Parts used inside\n")
    parts += [f"## {_title(model)}\n\n{_table(model)}" for model in sorted(inner, key=_title)]
    parts += [_FACTS_HEAD, *(f"| `{one.name}` | {_say_kind(one)} | {_say_fact(one)} |" for one in FACTS.values())]
    return "\n".join(parts) + "\n"


def _say_kind(fact: Fact) -> str:
    if fact.kind == WORD:
        return fact.kind
    unit = QUANTITIES[fact.kind].trade_unit
    return QUANTITIES[fact.kind].name + (f" ({unit})" if unit else "")


def _say_fact(fact: Fact) -> str:
    words = ", ".join(f"`{word}`" for word in fact.words)
    return f"{fact.meaning} One of {words}." if words else fact.meaning


def sources_page(knowledge: Knowledge) -> str:
    """Write docs/sources.md."""
    cited = set(_cited_in(knowledge))
    rows = [_SOURCES_HEAD, "| key | source | read | cited |", "|---|---|---|---|"]
    rows += [
        f"| `{key}` | {_say_source(source)} | {source.read} | {'yes' if key in cited else 'no'} |"
        for key, source in knowledge.sources.items()
    ]
    rows += ["", "## Read and not used", ""]
    rows += [f"- **{row.row}**: {row.why}" for row in knowledge.not_used]
    return "\n".join(rows) + "\n"


def _cited_in(knowledge: Knowledge) -> Iterator[str]:
    """Give the key of every source that something cites."""
    shelves = (knowledge.levers, knowledge.symptoms, knowledge.driving, knowledge.causes, knowledge.cautions)
    for shelf in (*shelves, knowledge.glossary, knowledge.tire_reading):
        for block in shelf.values():
            yield from _keys_in(block)
    for rule in knowledge.practice:
        yield from _keys_in(rule)


def _keys_in(block: FileBlock) -> Iterator[str]:
    """Give the key of every source a block cites, however deep."""
    for name in type(block).model_fields:
        value = getattr(block, name)
        if name == "backed_by":
            yield from (source_key(written) for written in value)
            continue
        inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else (value,)
        for one in inner:
            if isinstance(one, FileBlock):
                yield from _keys_in(one)


def _say_source(source: Source) -> str:
    year = f", {source.year}" if source.year else ""
    where = f", <{source.where}>" if source.where and source.where.startswith("http") else ""
    other = f", {source.where}" if source.where and not where else ""
    return f"{source.who}: {source.title}{year}{where}{other}"


def _table(model: type[FileBlock]) -> str:
    rows = [f"{(model.__doc__ or '').strip()}\n", "| field | holds | meaning |", "|---|---|---|"]
    rows += [_row(name, field, model.__name__) for name, field in model.model_fields.items()]
    return "\n".join(rows) + "\n"


def _row(name: str, field: FieldInfo, model: str) -> str:
    needed = "**needed**" if field.is_required() else _say_default(field.get_default(call_default_factory=True))
    means = (field.description or meaning_of(model, field.alias or name)).rstrip(".")
    meaning = ". ".join(part for part in (needed, means) if part)
    return f"| `{field.alias or name}` | {_say_type(field.annotation, field.metadata)} | {meaning} |"


def _say_default(value: Any) -> str:
    if value in (None, [], {}, ()):
        return ""
    said = ", ".join(map(str, value)) if isinstance(value, list) else str(value).lower()
    return f"Else {said}"


def _say_type(kind: Any, metadata: Sequence[Any] = ()) -> str:
    """Say in words what a field holds."""
    origin, inside = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return _say_type(inside[0], kind.__metadata__)
    if origin is not None:
        return _say_whole(origin, inside)
    if isinstance(kind, type) and issubclass(kind, FileBlock):
        return f"[{_title(kind)}](#{_title(kind).replace(' ', '-')})"
    amount = kind is str and any(isinstance(one, WithJsonSchema) for one in metadata)
    return "number, or text with its unit" if amount else _WORDS.get(kind, "anything")


def _say_whole(origin: Any, inside: tuple[Any, ...]) -> str:
    """Say what a type made of others holds."""
    if origin is Literal:
        return ", ".join(f"`{one}`" for one in inside)
    if origin is list:
        return f"list of {_say_type(inside[0])}"
    if origin is dict:
        return f"{_say_type(inside[1])}, by {_say_type(inside[0])}"
    return " or ".join(_say_type(one) for one in inside if one is not type(None))


def _title(model: type[FileBlock]) -> str:
    """Write a model's name in words: TradeLine is "trade line"."""
    return "".join(f" {letter.lower()}" if letter.isupper() else letter for letter in model.__name__).strip()


def _all_inner(models: list[type[FileBlock]]) -> Iterator[type[FileBlock]]:
    for model in models:
        for field in model.model_fields.values():
            inner = list(_blocks_in(field.annotation))
            yield from inner
            yield from _all_inner(inner)


def _blocks_in(kind: Any) -> Iterator[type[FileBlock]]:
    if isinstance(kind, type) and issubclass(kind, FileBlock):
        yield kind
    for inside in get_args(kind):
        yield from _blocks_in(inside)


def main() -> int:
    """Write both pages."""
    for name, text in (("rule-fields.md", fields_page()), ("sources.md", sources_page(load_packs()))):
        (DOCS / name).write_text(text, encoding="utf-8")
        sys.stdout.write(f"{name}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
