"""`halfturn explain` and `where`: what a word means, and which pack, file and line a rule comes from."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import TYPE_CHECKING

from assistant.commands.runner import Runner, refused
from assistant.ground.words import did_you_mean
from assistant.pages.blocks import Block, Line
from assistant.pages.lookup import explain as look_up
from assistant.pages.lookup import known_words

if TYPE_CHECKING:
    from assistant.rules.knowledge import Knowledge, Origin

KINDS = ("symptom", "lever", "cause", "driving", "glossary", "question", "source", "caution")


def explain(options: argparse.Namespace) -> int:
    """Explain the word, with its sources. Raises BadInput for one nobody knows, with the nearest one."""
    run = Runner(options)
    word = " ".join(options.word)
    found = look_up(word, run.knowledge)
    if found is None:
        hint = did_you_mean(word, known_words(run.knowledge))
        raise refused(f"nothing is known about {word!r}", hint, "explain")
    run.answer(lambda: found.blocks, lambda: found.data)
    return 0


def where(options: argparse.Namespace) -> int:
    """Say where a rule is written; of a symptom, where each remedy is. Raises BadInput."""
    run = Runner(options)
    kind, name = _rule_called(" ".join(options.symptom), run.knowledge)
    places = [(name, run.knowledge.origin(kind, name))]
    if kind == "symptom":
        places += [(remedy.name, origin) for remedy, origin in run.knowledge.where(name)]
    known = [(said, origin) for said, origin in places if origin is not None]

    def screen() -> list[Block]:
        return [Line(f"{said}: {_place(origin)}", indent=2 * bool(at)) for at, (said, origin) in enumerate(known)]

    def data() -> object:
        return {"kind": kind, "name": name, "lines": [{"name": said, **asdict(origin)} for said, origin in known]}

    run.answer(screen, data)
    return 0


def _rule_called(word: str, knowledge: Knowledge) -> tuple[str, str]:
    plain = word.lower().strip()
    names = {(kind, name) for kind, name, *rest in knowledge.origins if not rest and kind in KINDS}
    for kind in KINDS:
        for name in (plain, plain.replace(" ", "_"), plain.replace(" ", "-")):
            if (kind, name) in names:
                return kind, name
    also = {said.lower(): name for name, symptom in knowledge.symptoms.items() for said in symptom.also_said}
    if plain in also:
        return "symptom", also[plain]
    known = sorted({name for _, name in names} | set(also))
    raise refused(f"nothing is called {word!r}", did_you_mean(plain, known), "where")


def _place(origin: Origin) -> str:
    note = f" ({origin.note})" if origin.note else ""
    return f"{origin.file}:{origin.line}, pack {origin.pack}{note}"
