"""How well typed words are heard: python -m tests.diagnosis.heard [SET ...] [--all] [--of QUESTION].

Three kinds of sets. `facts` and those after it: the sentences of the cases, each with what the reader of the case
answered to the question that brings it out. Openings: complaints as drivers type them, with the cells meant. Answers:
what people type back to a question, with the choice meant. --all lists what is heard wrongly.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product
from typing import Any

from assistant.diagnosis.hearing import Heard, complaint_of, read
from assistant.diagnosis.questions import SEVERAL_PLACES, is_unsure, question_of
from assistant.diagnosis.replies import answers_meant
from assistant.diagnosis.session import start
from assistant.ground.names import PHASES, STAGES, plain_id
from assistant.rules.knowledge import Knowledge
from assistant.rules.pack import load_packs
from tests.diagnosis.crew import READ, facts_asked
from tests.diagnosis.interview_pack import demo_case
from tests.diagnosis.vignettes import read_file, read_half

ENDS = ("turns 1-2", "turns 3-4")
END_NAMES = {"first": ENDS[:1], "second": ENDS[1:], "both": ENDS}
CASES = {
    "facts": ("building", "practice", "claim"),
    **{name: (name,) for name in ("proof", "trial", "drill", "race")},
}
STAGES_OF = {"any": STAGES, "cold": STAGES[:1]}
PUT_TOGETHER = frozenset({"which_slides", "last_change"})
"""Questions a reader answers from the words and several facts; no sentence alone tells them."""
ASKED_BY = {"how_bad": "how bad"}
"""Where other facts, too, helped the reader: what the fact is asked by that tells it."""
ALIKE = {("safety", "none-noticed"): "none"}
"""A bare no is not taken for a look; no car is stopped for either."""
NOT_SURE, NONE_OF_THESE = "not sure", "none of these"
SLIDES_OF = {"loose": "back", "tight": "front"}
Cells = set[tuple[str, str, str, str]]


@cache
def knowledge() -> Knowledge:
    return load_packs()


@cache
def heard(text: str) -> Heard:
    return read(text, knowledge())


# what a car does


@dataclass(frozen=True)
class Opening:
    """A complaint and what is meant: cells, a danger, a question; `answers` by question.

    cells_only: its author was asked for nothing else.
    """

    words: str
    kind: str
    meant: frozenset[tuple[str, str, str, str]]
    answers: Mapping[str, str]
    cells_only: bool = False

    @property
    def stops(self) -> bool:
        """Whether a sign to stop for is heard, or a symptom that is one."""
        said = heard(self.words).said
        return bool(said.safety) or any(knowledge().symptoms[name].safety for name in said.symptoms)

    @property
    def asks(self) -> bool:
        return bool(heard(self.words).said.question)

    @property
    def cells(self) -> Cells:
        return cells(self.words)

    @property
    def is_right(self) -> bool:
        if self.cells_only:
            return {cell[:3] for cell in self.cells} == {cell[:3] for cell in self.meant}
        if self.kind != "danger" and self.asks != (self.kind == "question"):
            return False
        return self.cells == self.meant and self.stops == (self.kind == "danger")


def cells(text: str, balances: Sequence[str] = ("loose", "tight")) -> Cells:
    found = [cell for cell in complaint_of(heard(text), ENDS).cells if cell.balance in balances]
    return {(cell.phase, cell.stage, cell.balance, end) for cell in found for end in ([cell.end] if cell.end else ENDS)}


def _meant(row: Mapping[str, Any]) -> frozenset[tuple[str, str, str, str]]:
    found: Cells = set()
    for cell in row.get("cells", ()):
        phases = PHASES if cell["phase"] == "all" else [cell["phase"]]
        stages = STAGES_OF.get(cell["stage"], [cell["stage"]])
        if cell["balance"] in {"loose", "tight"}:
            found |= set(product(phases, stages, [cell["balance"]], END_NAMES[cell.get("end") or "both"]))
    return frozenset(found)


def openings(name: str) -> list[Opening]:
    """Read a set of complaints."""
    rows = read_file(name)
    if isinstance(rows, dict):
        return [_first_set(row) for row in rows["phrases"]]
    return [Opening(row["words"], row["kind"], _meant(row), row.get("answers", {})) for row in rows]


def _first_set(row: Mapping[str, Any]) -> Opening:
    """Read a row of the first hundred, which say less."""
    kind = "none" if row.get("none") else "problem" if row.get("other") else "balance"
    meant = {(phase, stage, balance, end) for phase, stage, balance in row["balances"] for end in ENDS}
    return Opening(row["says"], kind, frozenset(meant), {}, cells_only=True)


def score_openings(rows: Sequence[Opening]) -> list[str]:
    """Count the complaints heard right, by kind; false alarms, dangers, false stops; what else was told."""
    kinds = list(dict.fromkeys(row.kind for row in rows))
    by_kind = [
        f"{kind} {sum(row.is_right for row in rows if row.kind == kind)}/{sum(row.kind == kind for row in rows)}"
        for kind in kinds
    ]
    quiet = [row for row in rows if row.kind not in {"balance", "danger", "question"}]
    calm = [row for row in rows if row.kind != "danger"]
    told = [_told(row.words).get(plain_id(qid)) == choice for row in rows for qid, choice in row.answers.items()]
    return [
        f"{sum(row.is_right for row in rows)} of {len(rows)} right ({', '.join(by_kind)})",
        f"false alarms {sum(bool(row.cells) for row in quiet)} of {len(quiet)}",
        f"false stops {sum(row.stops for row in calm)} of {len(calm)}",
        f"answers told beside {sum(told)} of {len(told)}",
    ]


def _told(text: str) -> dict[str, str]:
    """Give the answers that an interview on these words has already; a stop is the answer about faults."""
    known = dict(start(demo_case(), knowledge(), text).known)
    slides = {SLIDES_OF[claim.balance] for claim in heard(text).complaints}
    known |= {"which_slides": "both" if len(slides) > 1 else slides.pop()} if slides else {}
    signs = knowledge().phrases.signs
    for sign in heard(text).said.safety:
        known |= {plain_id(qid): choice for qid, choice in signs.get(sign, {}).items()}
    return known


def list_openings(rows: Sequence[Opening]) -> Iterator[str]:
    """List the complaints that are heard wrongly, with what is too much and what is missing."""
    for row in rows:
        missed = {q: c for q, c in row.answers.items() if _told(row.words).get(plain_id(q)) != c}
        if row.is_right and not missed:
            continue
        marks = " (stops)" * row.stops + " (asks)" * row.asks
        yield f"{row.kind}: {row.words}{marks}"
        yield from (f"    not meant: {' '.join(cell)}" for cell in sorted(row.cells - row.meant))
        yield from (f"    not read:  {' '.join(cell)}" for cell in sorted(row.meant - row.cells))
        if missed:
            yield f"    not told:  {missed}, but {_told(row.words)}"


# what is answered


@dataclass(frozen=True)
class Reply:
    """What was typed back to a question, and the choices any of which is meant; none where it answers it not."""

    question: str
    typed: str
    choices: tuple[str, ...]
    also: Mapping[str, str]

    @property
    def got(self) -> dict[str, str]:
        question = question_of(self.question, knowledge().questions)
        assert question is not None, self.question
        return answers_meant(self.typed, question, knowledge())

    @property
    def verdict(self) -> str:
        """right, wrong (another choice) or missed."""
        got = self.got
        own = got.get(plain_id(self.question))
        if own is None:
            right = not self.choices or self.choices == (NOT_SURE,)
            return "right" if right and self._has_also(got) else "missed"
        own = ALIKE.get((self.question, own), own) if own not in self.choices else own
        own = next((one for one in own.split(SEVERAL_PLACES) if one in self.choices), own)  # a reader had to take one
        right = own in self.choices or (is_unsure(own) and (NOT_SURE in self.choices or not self.choices))
        return "wrong" if not right else "right" if self._has_also(got) else "missed"

    def _has_also(self, got: Mapping[str, str]) -> bool:
        return all(got.get(plain_id(qid)) == choice for qid, choice in self.also.items())


def replies(name: str) -> list[Reply]:
    """Read a set of answers."""
    rows = read_file(name)
    return [_reply(row) for row in rows]


def _reply(row: Mapping[str, Any]) -> Reply:
    choices = row["choice"] if isinstance(row["choice"], list) else [row["choice"]]
    said = tuple(str(one) for one in choices if one != NONE_OF_THESE)
    return Reply(row["question"], str(row["typed"]), said, row.get("also", {}))


def facts(halves: Sequence[str]) -> list[Reply]:
    """Make answers of the facts of the cases: what the reader of the case chose, with the sentence it is told in."""
    return [
        Reply(question, said, (choice,), {})
        for half in halves
        for case in read_half(half)
        for question, choice in READ.get(case.id, {}).items()
        if question not in PUT_TOGETHER and (said := facts_asked(case.facts, question, ASKED_BY.get(question, "")))
    ]


def score_replies(rows: Sequence[Reply]) -> list[str]:
    """Count the answers heard right and wrongly."""
    verdicts = [row.verdict for row in rows]
    return [f"{verdicts.count('right')} of {len(rows)} heard, {verdicts.count('wrong')} wrongly"]


def by_question(rows: Sequence[Reply]) -> Iterator[str]:
    """Count by question, the one that lacks most first."""
    found: dict[str, list[str]] = {}
    for row in rows:
        found.setdefault(row.question, []).append(row.verdict)
    for name, verdicts in sorted(found.items(), key=lambda one: one[1].count("right") - len(one[1])):
        yield f"{name:<20}{verdicts.count('right'):4d} of {len(verdicts):3d}, {verdicts.count('wrong'):3d} wrongly"


def list_replies(rows: Sequence[Reply]) -> Iterator[str]:
    """List the answers that are not heard, and those heard wrongly."""
    for row in rows:
        if row.verdict != "right":
            meant = "/".join(row.choices) or NONE_OF_THESE
            yield f"{row.verdict:<7}{row.question}: {row.typed!r} means {meant} {dict(row.also) or ''}, got {row.got}"


OPENINGS = ("phrases_blind", "phrases_second", "phrases_third", "phrases_fourth", "phrases_fifth")
ANSWERS = ("answers_blind", "answers_second")


def main(words: Sequence[str]) -> int:
    """Print the scores of the sets that are named, or of all."""
    parser = argparse.ArgumentParser(prog="python -m tests.diagnosis.heard", description=__doc__)
    parser.add_argument("sets", nargs="*", help=", ".join((*CASES, *OPENINGS, *ANSWERS)))
    parser.add_argument("--all", action="store_true", help="list what is heard wrongly")
    parser.add_argument("--of", default="", help="answers to this question only")
    options = parser.parse_args(words)
    for name in options.sets or (*CASES, *OPENINGS, *ANSWERS):
        print("\n".join([f"{name}:", *_report(name, options.of, in_full=options.all), ""]), flush=True)
    return 0


def _report(name: str, of: str, *, in_full: bool) -> list[str]:
    if name in OPENINGS:
        found = openings(name)
        return [*score_openings(found), *(list_openings(found) if in_full else [])]
    rows = facts(CASES[name]) if name in CASES else replies(name)
    rows = [row for row in rows if not of or row.question == of]
    return [*score_replies(rows), *by_question(rows), *(list_replies(rows) if in_full else [])]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
