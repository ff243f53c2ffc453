"""`halfturn check`: look for mistakes in rules, and run their cases. Faults are the answer and go to the output."""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, replace
from typing import TYPE_CHECKING

from assistant.advice.audit import audit, audit_json, audit_lines, audit_rows
from assistant.advice.case_runner import run_cases
from assistant.advice.coverage import find_coverage
from assistant.car.files import read_case
from assistant.commands.run import Run
from assistant.ground.problems import Problem
from assistant.ground.words import count_of
from assistant.pages.blocks import BLANK, Block, Line, Table
from assistant.rules.pack import base_folder, check_packs
from assistant.shell.packs import pack_folders

if TYPE_CHECKING:
    from assistant.advice.audit import Audit
    from assistant.advice.coverage import Coverage
    from assistant.rules.knowledge import Knowledge

MOST_SHOWN = 20
"""Faults, and notes, shown at once: about a screen; who mends them checks again anyway."""


def check(options: argparse.Namespace) -> int:
    """Check the packs; the code is 1 when something must be mended."""
    run = Run(options)
    folders = pack_folders((*(options.pack or ()), *options.folder))
    base = base_folder()
    others = [folder for folder in folders if folder.resolve() != base.resolve()]
    checked = check_packs([base, *others])
    # what a note of a pack left out tells to do is being done; it is about a whole folder
    notes = [replace(note, hint="") if note.file in map(str, others) else note for note in checked.notes]
    faults, blocks, data = checked.faults, list[Block](), dict[str, object]()
    if (knowledge := checked.knowledge) is not None:
        faults = (*faults, *run.work("Running the example cases", lambda: _run_cases(knowledge)))
        coverage = find_coverage(knowledge)
        data["coverage"] = asdict(coverage)
        blocks += [BLANK, *_coverage_screen(coverage)] if options.coverage else []
        if (audited := _audit(knowledge, run)) is not None:
            faults = (*faults, *audited.faults)
            data["audit"] = audit_json(audited, knowledge)
            blocks += [BLANK, *_audit_screen(audited, knowledge)]
    found = {"faults": [asdict(one) for one in faults], "notes": [asdict(one) for one in checked.notes]}
    most = None if options.all else MOST_SHOWN
    run.answer(lambda: [*_screen(faults, notes, knowledge, most), *blocks], lambda: found | data)
    return 1 if faults else 0


def _run_cases(knowledge: Knowledge) -> tuple[Problem, ...]:
    return tuple(run_cases(knowledge))


def _screen(
    faults: Sequence[Problem], notes: Sequence[Problem], knowledge: Knowledge | None, most: int | None
) -> list[Block]:
    """Show what was found. most: faults, and notes, shown at most; None shows all."""
    blocks = [*_problem_lines(faults, most), *_problem_lines(notes, most)]
    more = [
        count_of(len(found[most:]), f"more {name}")
        for found, name in ((faults, "fault"), (notes, "note"))
        if most is not None and len(found) > most
    ]
    if more:
        blocks.append(Line(f"Not shown: {' and '.join(more)}; --all shows everything."))
    if faults:
        return [*blocks, Line(f"{count_of(len(faults), 'fault')} to mend.")]
    if knowledge is None:
        return blocks
    said = (
        f"{count_of(len(knowledge.symptoms), 'symptom')}, {count_of(len(knowledge.levers), 'lever')}, "
        f"{count_of(len(knowledge.causes), 'cause')} and {count_of(len(knowledge.cases), 'case')}: no fault."
    )
    return [*blocks, Line(said)]


def _problem_lines(problems: Sequence[Problem], most: int | None) -> list[Block]:
    shown = problems if most is None else _pick_unlike(problems, most)
    rows = [enumerate(problem.text().split("\n")) for problem in shown]
    return [Line(row.strip(), indent=4 * bool(at)) for these in rows for at, row in these]


def _pick_unlike(problems: Sequence[Problem], most: int) -> list[Problem]:
    """Pick so many, in their order; what is said for the first time goes before what is said a hundred times."""
    said: Counter[str] = Counter()
    times = []
    for problem in problems:
        times.append(said[problem.says])
        said[problem.says] += 1
    picked = sorted(range(len(problems)), key=lambda at: (times[at], at))[:most]
    return [problems[at] for at in sorted(picked)]


def _audit(knowledge: Knowledge, run: Run) -> Audit | None:
    """Hold the packs against the model on the case asked for; None when none was."""
    if run.options.audit is None:
        return None
    case = read_case(run.options.audit)
    return run.work("Asking 200 plausible cars", lambda: audit(case, knowledge))


def _audit_screen(audited: Audit, knowledge: Knowledge) -> list[Block]:
    head = Line(f"What the packs say, held against {audited.case} and {audited.cars} plausible cars", "heading")
    rows = audit_rows(audited)
    said = "; ".join(f"{verdict}: {levers} of levers, {remedies} of remedies" for verdict, levers, remedies, _ in rows)
    table = Table(("verdict", "levers", "remedies", "meaning"), rows, f"{said}.")
    return [head, table, BLANK, *(Line(line, indent=2) for line in audit_lines(audited, knowledge))]


def _coverage_screen(coverage: Coverage) -> list[Block]:
    head = ("complaint", "symptoms", "remedies", "cases", "sources")
    rows = tuple(
        (
            f"{one.balance}, {one.phase}, {one.stage}",
            *map(str, (len(one.symptoms), one.remedies, one.cases, one.sources)),
        )
        for one in coverage.cells
    )
    said = "; ".join(
        f"{row[0]}: {row[1]} symptoms, {row[2]} remedies, {row[3]} cases, {row[4]} sources" for row in rows
    )
    others = ", ".join(f"{name} ({count})" for name, count in coverage.others)
    return [
        Table(head, rows, f"{said}."),
        Line(f"Without a balance, with the cases that find them: {others or 'none'}."),
        Line(f"Holes: {len(coverage.holes) or 'none'}."),
        *(Line(hole, indent=2) for hole in coverage.holes),
        *([Line("No remedy moves these, with the reason:")] if coverage.left_out else []),
        *(Line(lever, indent=2) for lever in coverage.left_out),
    ]
