"""`halfturn explain`: what a word, a lever, a cause or a symptom means, with its sources."""

from __future__ import annotations

import argparse

from assistant.commands.common import answer, load_knowledge
from assistant.ground.problems import BadInput, Problem
from assistant.ground.words import did_you_mean
from assistant.pages.lookup import explain, known_words


def run(options: argparse.Namespace) -> int:
    """Explain the word. Raises BadInput for one nobody knows, with the nearest one."""
    word = " ".join(options.word)
    knowledge = load_knowledge(options)
    found = explain(word, knowledge)
    if found is None:
        raise BadInput(
            Problem("explain", 0, 0, f"nothing is known about {word!r}", did_you_mean(word, known_words(knowledge)))
        )
    answer(found.blocks, found.data, options)
    return 0
