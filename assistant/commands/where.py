"""`halfturn where`: which pack, file and line a symptom, lever, cause or driving habit comes from."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import TYPE_CHECKING

from assistant.commands.common import answer, load_knowledge
from assistant.ground.problems import BadInput, Problem
from assistant.ground.words import did_you_mean
from assistant.pages.blocks import Block, Line

if TYPE_CHECKING:
    from assistant.rules.knowledge import Knowledge, Origin

KINDS = ("symptom", "lever", "cause", "driving", "glossary", "question", "source", "caution")


def run(options: argparse.Namespace) -> int:
    """Say where it is written; of a symptom, where each remedy is."""
    knowledge = load_knowledge(options)
    word = " ".join(options.symptom)
    kind, name = _found(word, knowledge)
    places = [(name, knowledge.origin(kind, name))]
    if kind == "symptom":
        places += [(remedy.name, origin) for remedy, origin in knowledge.where(name)]
    known = [(said, origin) for said, origin in places if origin is not None]
    blocks: list[Block] = [
        Line(f"{said}: {_place(origin)}", indent=2 * bool(at)) for at, (said, origin) in enumerate(known)
    ]
    data = {"kind": kind, "name": name, "lines": [{"name": said, **asdict(origin)} for said, origin in known]}
    answer(blocks, data, options)
    return 0


def _found(word: str, knowledge: Knowledge) -> tuple[str, str]:
    names = {(kind, name) for kind, name, *rest in knowledge.origins if not rest and kind in KINDS}
    wanted = {word.lower().strip(), word.lower().strip().replace(" ", "_"), word.lower().strip().replace(" ", "-")}
    for kind in KINDS:
        for name in wanted:
            if (kind, name) in names:
                return kind, name
    also = {said.lower(): name for name, symptom in knowledge.symptoms.items() for said in symptom.also_said}
    if word.lower().strip() in also:
        return "symptom", also[word.lower().strip()]
    known = sorted({name for _, name in names} | set(also))
    raise BadInput(Problem("where", 0, 0, f"nothing is called {word!r}", did_you_mean(word.lower().strip(), known)))


def _place(origin: Origin) -> str:
    note = f" ({origin.note})" if origin.note else ""
    return f"{origin.file}:{origin.line}, pack {origin.pack}{note}"
