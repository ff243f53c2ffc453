"""`halfturn check`: look for mistakes in rules, and run their cases. Faults are the answer and go to the output."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from assistant.commands.common import answer, work
from assistant.problems import Problem
from assistant.shell.blocks import BLANK, Block, Line, Table
from assistant.shell.packs import pack_folders
from assistant.words import count_of

if TYPE_CHECKING:
    from assistant.advice.checks.audit import Audit
    from assistant.advice.checks.coverage import Coverage
    from assistant.rules.knowledge import Knowledge


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
    blocks = _screen(faults, checked.notes, checked.knowledge)
    data: dict[str, Any] = {"faults": [asdict(one) for one in faults], "notes": [asdict(one) for one in checked.notes]}
    if checked.knowledge is not None:
        from assistant.advice.checks.coverage import find_coverage  # noqa: PLC0415 - only when there are rules to count

        coverage = find_coverage(checked.knowledge)
        data["coverage"] = asdict(coverage)
        blocks += [BLANK, *_coverage_screen(coverage)] if options.coverage else []
    if audited is not None and checked.knowledge is not None:
        from assistant.advice.checks.audit_say import audit_json  # noqa: PLC0415 - only when asked for

        data["audit"] = audit_json(audited, checked.knowledge)
        blocks += [BLANK, *_audit_screen(audited, checked.knowledge)]
    answer(blocks, data, options)
    return 1 if faults else 0


def _run_cases(knowledge: Knowledge | None) -> tuple[Problem, ...]:
    from assistant.advice.checks.case_runner import run_cases  # noqa: PLC0415 - imports numpy

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


def _audit(knowledge: Knowledge | None, options: argparse.Namespace) -> Audit | None:
    """Hold the packs against the model on the case asked for; None when none was."""
    if options.audit is None or knowledge is None:
        return None
    from assistant.advice.checks.audit import audit  # noqa: PLC0415 - imports numpy with the model
    from assistant.car.files import read_case  # noqa: PLC0415 - imports pydantic

    case = read_case(options.audit)
    return work("Asking 200 plausible cars", lambda: audit(case, knowledge), options)


def _audit_screen(audited: Audit, knowledge: Knowledge) -> list[Block]:
    from assistant.advice.checks.audit_say import audit_lines, audit_rows  # noqa: PLC0415 - only when asked for

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
    ]
