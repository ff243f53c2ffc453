"""`halfturn check`: look for mistakes in rules, and run their cases. Faults are the answer and go to the output."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.commands.common import answer, work
from assistant.problems import BadInput, Problem
from assistant.shell.blocks import BLANK, Block, Line, Table
from assistant.words import count_of

if TYPE_CHECKING:
    from assistant.rules.knowledge import Knowledge


def run(options: argparse.Namespace) -> int:
    """Check the packs; the code is 1 when something must be mended."""
    from assistant.rules.pack import base_folder, check_packs  # noqa: PLC0415 - 100 ms of imports

    folders = [Path(name) for name in (*(options.pack or ()), *options.folder)]
    for folder in folders:
        if not folder.is_dir():
            raise BadInput(Problem(str(folder), 0, 0, "there is no such folder", "give the folder with the pack.yaml"))
    base = base_folder()
    others = [folder for folder in folders if folder.resolve() != base.resolve()]
    checked = check_packs([base, *others])
    failed: tuple[Problem, ...] = ()
    if checked.knowledge is not None:
        failed = work("Running the example cases", lambda: _run_cases(checked.knowledge), options)
    faults = (*checked.faults, *failed)
    blocks = _screen(faults, checked.notes, checked.knowledge)
    coverage = _coverage(checked.knowledge) if checked.knowledge is not None else {}
    if options.coverage:
        blocks += [BLANK, *_coverage_screen(coverage)]
    data = {
        "faults": [asdict(one) for one in faults],
        "notes": [asdict(one) for one in checked.notes],
        "coverage": coverage,
    }
    answer(blocks, data, options)
    return 1 if faults else 0


def _run_cases(knowledge: Knowledge | None) -> tuple[Problem, ...]:
    from assistant.advice.case_runner import run_cases  # noqa: PLC0415 - imports numpy

    return () if knowledge is None else tuple(run_cases(knowledge))


def _screen(faults: Sequence[Problem], notes: Sequence[Problem], knowledge: Knowledge | None) -> list[Block]:
    blocks: list[Block] = []
    for problem in (*faults, *notes):
        blocks += [Line(row.strip(), indent=4 * bool(at)) for at, row in enumerate(problem.text().split("\n"))]
    if faults:
        return [*blocks, Line(f"{count_of(len(faults), 'fault')} to mend.")]
    if knowledge is None:
        return blocks
    said = (
        f"{count_of(len(knowledge.symptoms), 'symptom')}, {count_of(len(knowledge.levers), 'lever')}, "
        f"{count_of(len(knowledge.causes), 'cause')} and {count_of(len(knowledge.cases), 'case')}: no fault."
    )
    return [*blocks, Line(said)]


def _coverage(knowledge: Knowledge) -> dict[str, Any]:
    """Count the cases of each symptom, and list what no case and no remedy speaks of."""
    cases = {name: sum(one.symptom == name for one in knowledge.cases) for name in knowledge.symptoms}
    spoken = {remedy.lever for symptom in knowledge.symptoms.values() for remedy in symptom.remedies if remedy.lever}
    spoken |= {remedy.lever for cause in knowledge.causes.values() for remedy in cause.remedies if remedy.lever}
    return {"cases": cases, "levers_no_remedy_moves": [name for name in knowledge.levers if name not in spoken]}


def _coverage_screen(coverage: dict[str, Any]) -> list[Block]:
    cases: dict[str, int] = coverage["cases"]
    bare = [name for name, count in cases.items() if not count]
    unmoved = coverage["levers_no_remedy_moves"]
    rows = tuple((name, str(count)) for name, count in sorted(cases.items(), key=lambda pair: pair[1]))
    said = f"Symptoms without a case: {', '.join(bare) or 'none'}."
    return [Table(("symptom", "cases"), rows, said), Line(f"Levers no remedy moves: {', '.join(unmoved) or 'none'}.")]
