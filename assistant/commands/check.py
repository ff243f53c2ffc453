"""`halfturn check`: look for mistakes in rules, and run their cases. Faults are the answer and go to the output."""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, replace
from typing import TYPE_CHECKING, Any

from assistant.commands.common import answer, work
from assistant.ground.problems import Problem
from assistant.ground.words import count_of
from assistant.pages.blocks import BLANK, Block, Line, Table
from assistant.shell.packs import pack_folders

if TYPE_CHECKING:
    from assistant.advice.audit import Audit
    from assistant.advice.coverage import Coverage
    from assistant.rules.knowledge import Knowledge

MOST_SHOWN = 20
"""Faults, and notes, shown at once: about a screen; who mends them checks again anyway."""


def run(options: argparse.Namespace) -> int:
    """Check the packs; the code is 1 when something must be mended."""
    from assistant.rules.pack import base_folder, check_packs  # noqa: PLC0415 - 100 ms of imports

    folders = pack_folders((*(options.pack or ()), *options.folder))
    base = base_folder()
    others = [folder for folder in folders if folder.resolve() != base.resolve()]
    checked = check_packs([base, *others])
    failed: tuple[Problem, ...] = ()
    if checked.knowledge is not None:
        failed = work("Running the example cases", lambda: _run_cases(checked.knowledge), options)
    audited = _audit(checked.knowledge, options)
    faults = (*checked.faults, *failed, *(audited.faults if audited is not None else ()))
    most = None if options.all else MOST_SHOWN
    blocks = _screen(faults, checked.notes, checked.knowledge, most)
    data: dict[str, Any] = {"faults": [asdict(one) for one in faults], "notes": [asdict(one) for one in checked.notes]}
    if checked.knowledge is not None:
        from assistant.advice.coverage import find_coverage  # noqa: PLC0415 - only when there are rules to count

        coverage = find_coverage(checked.knowledge)
        data["coverage"] = asdict(coverage)
        blocks += [BLANK, *_coverage_screen(coverage)] if options.coverage else []
    if audited is not None and checked.knowledge is not None:
        from assistant.advice.audit import audit_json  # noqa: PLC0415 - only when asked for

        data["audit"] = audit_json(audited, checked.knowledge)
        blocks += [BLANK, *_audit_screen(audited, checked.knowledge)]
    answer(blocks, data, options)
    return 1 if faults else 0


def _run_cases(knowledge: Knowledge | None) -> tuple[Problem, ...]:
    from assistant.advice.case_runner import run_cases  # noqa: PLC0415 - imports numpy

    return () if knowledge is None else tuple(run_cases(knowledge))


def _screen(
    faults: Sequence[Problem], notes: Sequence[Problem], knowledge: Knowledge | None, most: int | None
) -> list[Block]:
    """Show what was found. most: faults, and notes, shown at most; None shows all."""
    # what a note of a pack left out tells to do is being done
    told = [replace(note, hint="") if note.hint.startswith("'halfturn check ") else note for note in notes]
    blocks = [*_problem_lines(faults, most), *_problem_lines(told, most)]
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


def _audit(knowledge: Knowledge | None, options: argparse.Namespace) -> Audit | None:
    """Hold the packs against the model on the case asked for; None when none was."""
    if options.audit is None or knowledge is None:
        return None
    from assistant.advice.audit import audit  # noqa: PLC0415 - imports numpy with the model
    from assistant.car.files import read_case  # noqa: PLC0415 - imports pydantic

    case = read_case(options.audit)
    return work("Asking 200 plausible cars", lambda: audit(case, knowledge), options)


def _audit_screen(audited: Audit, knowledge: Knowledge) -> list[Block]:
    from assistant.advice.audit import audit_lines, audit_rows  # noqa: PLC0415 - only when asked for

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
