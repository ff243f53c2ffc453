"""A second hundred phrases, by an outsider who had not seen the phrase reader, its word lists or the first hundred.

A phrase is right when the loose and tight cells read are exactly those its author meant, each at the end of the track
he meant, and it stops for danger just where he did; a question must be read as a question too. A false alarm is a cell
in trouble without a balance or in no complaint at all. Cells said to be fine, "sometimes" and what was changed are
counted beside it, since they are no complaint. The phrases are frozen: never edited.

The present score, with every phrase that is read wrongly: `python -m tests.diagnosis.test_complaint_second`.
"""

from __future__ import annotations

import sys
from functools import lru_cache
from itertools import product
from pathlib import Path

import yaml

from assistant.diagnosis.hearing import Heard, complaint_of, read
from assistant.ground.names import PHASES, STAGES
from assistant.rules.knowledge import Knowledge
from assistant.rules.pack import load_packs

ENDS = ("turns 1-2", "turns 3-4")
END_NAMES = {"first": ENDS[:1], "second": ENDS[1:], "both": ENDS}
ROWS = yaml.safe_load(Path(__file__).with_name("phrases_second.yaml").read_text(encoding="utf-8"))
Cells = set[tuple[str, str, str, str]]


@lru_cache
def knowledge() -> Knowledge:
    return load_packs()


@lru_cache
def heard(text: str) -> Heard:
    return read(text, knowledge())


def cells(text: str, balances: tuple[str, ...] = ("loose", "tight")) -> Cells:
    read_in = [cell for cell in complaint_of(heard(text), ENDS).cells if cell.balance in balances]
    return {
        (cell.phase, cell.stage, cell.balance, end) for cell in read_in for end in ([cell.end] if cell.end else ENDS)
    }


def meant(row: dict, balances: tuple[str, ...] = ("loose", "tight")) -> Cells:
    found: Cells = set()
    for cell in row["cells"]:
        phases = PHASES if cell["phase"] == "all" else [cell["phase"]]
        stages = STAGES if cell["stage"] == "any" else [cell["stage"]]
        if cell["balance"] in balances:
            found |= set(product(phases, stages, [cell["balance"]], END_NAMES[cell["end"]]))
    return found


def stops(text: str) -> bool:
    """Whether a sign to stop for is heard, or a symptom that is one."""
    said = heard(text).said
    return bool(said.safety) or any(knowledge().symptoms[name].safety for name in said.symptoms)


def is_right(row: dict) -> bool:
    text = row["words"]
    asks = bool(heard(text).said.asks or heard(text).said.question)
    if row["kind"] != "danger" and asks != (row["kind"] == "question"):
        return False
    return cells(text) == meant(row) and stops(text) == (row["kind"] == "danger")


def misread() -> list[dict]:
    return [row for row in ROWS if not is_right(row)]


def false_alarms() -> list[dict]:
    return [row for row in ROWS if row["kind"] in {"trouble", "none"} and cells(row["words"])]


def false_stops() -> list[dict]:
    return [row for row in ROWS if row["kind"] != "danger" and stops(row["words"])]


def dangers_missed() -> list[dict]:
    return [row for row in ROWS if row["kind"] == "danger" and not stops(row["words"])]


def fine_misread() -> list[dict]:
    return [row for row in ROWS if row["kind"] == "balance" and cells(row["words"], ("fine",)) != meant(row, ("fine",))]


def test_there_are_a_hundred_phrases_of_five_kinds():
    assert len(ROWS) == len({row["words"] for row in ROWS}) == 100
    kinds = [row["kind"] for row in ROWS]
    assert {kind: kinds.count(kind) for kind in kinds} == {
        "balance": 60,
        "trouble": 10,
        "danger": 12,
        "question": 8,
        "none": 10,
    }


def say_score() -> str:
    kinds = list(dict.fromkeys(row["kind"] for row in ROWS))
    wrong = misread()
    by_kind = [f"{kind} {sum(row['kind'] == kind and row not in wrong for row in ROWS)}" for kind in kinds]
    beside = [
        f"false alarms {len(false_alarms())} of 20",
        f"dangers heard {12 - len(dangers_missed())} of 12",
        f"false stops {len(false_stops())} of 88",
        f"fine cells misread in {len(fine_misread())} of 60",
    ]
    return f"{len(ROWS) - len(wrong)} of {len(ROWS)} right ({', '.join(by_kind)})\n{', '.join(beside)}"


def say_misread() -> str:
    lines = []
    for row in [row for row in ROWS if not is_right(row) or row in fine_misread()]:
        text = row["words"]
        both = ("loose", "tight", "fine")
        lines.append(f"{row['kind']}: {text}{' (stops)' if stops(text) else ''}")
        lines += [f"    not meant: {' '.join(cell)}" for cell in sorted(cells(text, both) - meant(row, both))]
        lines += [f"    not read:  {' '.join(cell)}" for cell in sorted(meant(row, both) - cells(text, both))]
    return "\n".join(lines)


if __name__ == "__main__":
    sys.stdout.write(f"{say_score()}\n")
    if "--all" in sys.argv:
        sys.stdout.write(f"{say_misread()}\n")
