"""`halfturn check`, `explain` and `where`: mistakes in rules, what a word means, and where a rule is written."""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, replace
from typing import TYPE_CHECKING, Any

from assistant.advice.audit import audit
from assistant.advice.case_runner import run_cases
from assistant.car.files import read_case
from assistant.commands.runner import Runner, refused
from assistant.ground.names import count_of, did_you_mean
from assistant.ground.problems import Problem
from assistant.pages import sayings
from assistant.pages.blocks import BLANK, Block, Line, lines
from assistant.pages.packs import audit_json, audit_screen, coverage_data, coverage_screen, fault_of, known_words
from assistant.pages.packs import explain as look_up
from assistant.rules.knowledge import Knowledge, Origin, find_coverage
from assistant.rules.pack import base_folder, check_packs, pack_folders

if TYPE_CHECKING:
    from assistant.advice.audit import Audit


MOST_SHOWN = 20
"""Faults, and notes, shown at once: about a screen; who mends them checks again anyway."""


def check(options: argparse.Namespace) -> int:
    """Check the packs; the code is 1 when something must be mended."""
    run = Runner(options)
    folders = pack_folders((*(options.pack or ()), *options.folder))
    base = base_folder()
    others = [folder for folder in folders if folder.resolve() != base.resolve()]
    checked = check_packs([base, *others])
    # what a note of a pack left out tells to do is being done; it is about a whole folder
    notes = [replace(note, hint="") if note.file in map(str, others) else note for note in checked.notes]
    faults, blocks, data = checked.faults, list[Block](), dict[str, object]()
    if (knowledge := checked.knowledge) is not None:
        faults = (*faults, *run.work("Running the example cases", lambda: tuple(run_cases(knowledge))))
        coverage = find_coverage(knowledge)
        data["coverage"] = coverage_data(coverage)
        blocks += [BLANK, *coverage_screen(coverage)] if options.coverage else []
        if (audited := _audit(knowledge, run)) is not None:
            faults = (*faults, *sorted(fault_of(one, knowledge) for one in audited.faults))
            data["audit"] = audit_json(audited, knowledge)
            blocks += [BLANK, *audit_screen(audited, knowledge)]
    found = {"faults": [asdict(one) for one in faults], "notes": [asdict(one) for one in checked.notes]}
    most = None if options.all else MOST_SHOWN
    whole = knowledge is not None and len(knowledge.packs) > len(others)
    run.answer(lambda: [*_screen(faults, notes, knowledge, most, whole=whole), *blocks], lambda: found | data)
    return 1 if faults else 0


def _screen(
    faults: Sequence[Problem], notes: Sequence[Problem], knowledge: Knowledge | None, most: int | None, *, whole: bool
) -> list[Block]:
    """Show what was found. most: faults, and notes, shown at most; None shows all. whole: no pack was left out."""
    remarks = [replace(note, says=f"note: {note.says}") for note in notes]
    blocks = [*_problem_lines(faults, most), *_problem_lines(remarks, most)]
    more = [
        count_of(len(found[most:]), f"more {name}")
        for found, name in ((faults, "fault"), (notes, "note"))
        if most is not None and len(found) > most
    ]
    if more:
        blocks.append(Line(sayings.NOT_SHOWN.format(" and ".join(more))))
    if faults:
        hidden = [] if whole else [Line(sayings.MORE_TO_MEND)]
        return [*blocks, Line(sayings.TO_MEND.format(count_of(len(faults), "fault"))), *hidden]
    if knowledge is None:
        return blocks
    said = (
        f"{count_of(len(knowledge.symptoms), 'symptom')}, {count_of(len(knowledge.levers), 'lever')}, "
        f"{count_of(len(knowledge.causes), 'cause')} and {count_of(len(knowledge.cases), 'case')}: no fault."
    )
    return [*blocks, Line(said)]


def _problem_lines(problems: Sequence[Problem], most: int | None) -> list[Block]:
    blocks: list[Block] = []
    for problem in problems if most is None else _pick_unlike(problems, most):
        first, *rest = problem.text().split("\n")
        blocks += [Line(first), *lines(map(str.strip, rest), indent=4)]
    return blocks


def _pick_unlike(problems: Sequence[Problem], most: int) -> list[Problem]:
    """Pick so many, in their order; what is said for the first time goes before what is said a hundred times."""
    said: Counter[str] = Counter()
    times = []
    for problem in problems:
        times.append(said[problem.says])
        said[problem.says] += 1
    picked = sorted(range(len(problems)), key=lambda at: (times[at], at))[:most]
    return [problems[at] for at in sorted(picked)]


def _audit(knowledge: Knowledge, run: Runner) -> Audit | None:
    """Hold the packs against the model on the case asked for; None when none was."""
    if run.options.audit is None:
        return None
    case = read_case(run.options.audit)
    return run.work("Asking plausible cars", lambda: audit(case, knowledge))


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

    def data() -> dict[str, Any]:
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
