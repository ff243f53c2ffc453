"""A crew that answers the program's questions from the facts of a case, else is not sure.

Two crews: one goes by lists of words (`answers.yaml`), one by what a person answered who read the case and the
questions, and nothing of the rules (`crew.yaml`).
"""

import re
from collections.abc import Mapping, Sequence
from random import Random
from statistics import fmean

from tests.diagnosis.vignettes import Vignette, read_file

ANSWERS = read_file("answers")
READ = read_file("crew")
"""Case to question to choice, by a reader."""
ERRS = 0.1
"""How often the erring crew errs or forgets."""
PROBED = {question: {"tire temperatures"} for question in ("tire_heat", "rf_edge", "rr_edge")}
"""Questions that the temperatures answer."""
CLEARLY = 12.0
"""Degrees F by which one right-side tire is the hotter one, as the question says."""
ACROSS = 15.0
"""Degrees F from edge to edge that are a reading, as the question says."""
CROWN = 8.0
"""Degrees F between the middle and both edges that a crew would call a hot or a cold middle."""
_DENIED = re.compile(
    r"\b(?:no|nope|naw|nothing|never|none|not|isn't|aren't|doesn't|don't see|without)\b[^,.;]*|tires broke loose"
)
_HEAT = re.compile(r"\b(LF|RF|LR|RR) (\d{3})(?: (\d{3}) (\d{3}))?")


class Crew:
    """Answers by choice id, None when not sure. errs: one answer in ten is wrong or forgotten, always the same ones.

    reads: what a reader of the case answered, instead of what the lists of words find. talks: says the fact besides.
    """

    def __init__(self, vignette: Vignette, *, errs: bool = False, reads: bool = False, talks: bool = False) -> None:
        self._facts, self._talks = vignette.facts, talks
        self._read: Mapping[str, str] | None = READ.get(vignette.id, {}) if reads else None
        self._dice = Random(vignette.id)  # noqa: S311 - a made-up crew, no secrets
        self._share = ERRS if errs else 0.0

    def answer(self, question: str, choices: Sequence[str]) -> str | None:
        known = self._known(question)
        if self._dice.random() >= self._share:
            return known if known in choices else None
        return self._dice.choice([None, self._dice.choice([choice for choice in choices if choice != known])])

    def says(self, question: str) -> str:
        """Say what the fact says that a question asks for; "" where there is none, and of who does not talk."""
        return facts_asked(self._facts, question) if self._talks else ""

    def _known(self, question: str) -> str | None:
        if self._read is not None:
            return self._read.get(question)
        return self._from_facts(question) or self._from_probe(question)

    def _from_facts(self, question: str) -> str | None:
        for asked, choice, words in ANSWERS.get(question, ()):
            if any(re.search(asked, ask, re.IGNORECASE) and _holds(words, answer) for ask, answer in self._facts):
                return choice
        return None

    def _from_probe(self, question: str) -> str | None:
        """Read the temperatures that were taken, as a crew would."""
        heat = {
            corner: [float(one) for one in zones if one]
            for ask, answer in self._facts
            if "temperatures" in ask
            for corner, *zones in _HEAT.findall(answer)
        }
        if question == "tire_heat" and {"RF", "RR"} <= heat.keys():
            return _hotter(heat)
        corner = {"rf_edge": "RF", "rr_edge": "RR"}.get(question, "")
        return _across(heat[corner], one_edge=corner == "RR") if len(heat.get(corner, ())) == 3 else None


def facts_asked(facts: Sequence[tuple[str, str]], question: str, by: str = "") -> str:
    """Put together what the facts that a question asks for say; "" where no fact does. by: only those asked by that."""
    asked = {pattern for pattern, *_ in ANSWERS.get(question, ())} | PROBED.get(question, set())
    asked = {by} if by else asked
    told = [answer for ask, answer in facts if any(re.search(one, ask, re.IGNORECASE) for one in asked)]
    return ". ".join(told)


def _hotter(heat: Mapping[str, Sequence[float]]) -> str:
    apart = fmean(heat["RF"]) - fmean(heat["RR"])
    return "level" if abs(apart) < CLEARLY else "rf" if apart > 0 else "rr"


def _across(zones: Sequence[float], *, one_edge: bool) -> str:
    inside, middle, outside = zones
    crown = middle - (inside + outside) / 2
    if abs(outside - inside) >= ACROSS:
        return "one-edge" if one_edge else "outside" if outside > inside else "inside"
    return "even" if abs(crown) < CROWN else "middle" if crown > 0 else "both-edges"


def _holds(words: str, answer: str) -> bool:
    said = _DENIED.sub("", answer) if words.startswith("!") else answer
    return re.search(words.removeprefix("!"), said, re.IGNORECASE) is not None
