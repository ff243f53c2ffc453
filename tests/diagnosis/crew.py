"""A crew that answers the program's questions from the facts of a case, else is not sure."""

import re
from collections.abc import Sequence
from random import Random

import yaml

from tests.diagnosis.vignettes import FOLDER, Vignette

ANSWERS = yaml.safe_load((FOLDER / "answers.yaml").read_text(encoding="utf-8"))
ERRS = 0.1
"""How often the erring crew errs or forgets."""
_DENIED = re.compile(
    r"\b(?:no|nope|naw|nothing|never|none|not|isn't|aren't|doesn't|don't see|without)\b[^,.;]*|tires broke loose"
)


class Crew:
    """Answers by choice id, None when not sure. errs: one answer in ten is wrong or forgotten, always the same ones."""

    def __init__(self, vignette: Vignette, *, errs: bool = False) -> None:
        self._facts = vignette.facts
        self._dice = Random(vignette.id)  # noqa: S311 - a made-up crew, no secrets
        self._share = ERRS if errs else 0.0

    def answer(self, question: str, choices: Sequence[str]) -> str | None:
        known = self._from_facts(question)
        if self._dice.random() >= self._share:
            return known if known in choices else None
        return self._dice.choice([None, self._dice.choice([choice for choice in choices if choice != known])])

    def _from_facts(self, question: str) -> str | None:
        for asked, choice, words in ANSWERS.get(question, ()):
            if any(re.search(asked, ask, re.IGNORECASE) and _holds(words, answer) for ask, answer in self._facts):
                return choice
        return None


def _holds(words: str, answer: str) -> bool:
    said = _DENIED.sub("", answer) if words.startswith("!") else answer
    return re.search(words.removeprefix("!"), said, re.IGNORECASE) is not None
