"""`halfturn levers`, `tires` and `calibrate`: what each lever does on a car, its readings, and its run log."""

from __future__ import annotations

import argparse

from assistant.advice.offers import table_for
from assistant.belief import log_fit
from assistant.car.files import read_case
from assistant.car.run_log_file import read_run_log
from assistant.commands.runner import WORKING_OUT, Runner, refused
from assistant.diagnosis.tire_reading import has_readings, read_tires
from assistant.pages.blocks import ALL, BLANK, Block, Line
from assistant.pages.calibrate import calibration_screen, remarks_of
from assistant.pages.data import Way, plain
from assistant.pages.lever_data import levers_data, severity_data
from assistant.pages.levers import STRONGEST, lever_named, lever_screen, severity_screen, table_screen
from assistant.pages.tires import NOTHING_READ, tires_screen
from assistant.shell.keep import fit_name, keep_fit

NOTHING_TAUGHT = "Nothing to keep."
DRY = "Nothing was written (--dry-run)."


def levers(options: argparse.Namespace) -> int:
    """Show the levers; with names, only those, in full; or how the severities 1 to 5 are measured on this car."""
    run = Runner(options)
    knowledge, case = run.knowledge, run.case
    everything = options.lever == [ALL]
    wanted = [] if everything else [lever_named(word, knowledge) for word in options.lever]
    some = None if options.severity else wanted or None
    table = run.work(WORKING_OUT, lambda: table_for(case, knowledge, levers=some))

    def screen() -> list[Block]:
        if options.severity:
            return severity_screen(table, knowledge, run.system)
        if not wanted:
            most, ask = None if everything else STRONGEST, f"halfturn levers {options.case}"
            return table_screen(table, case, knowledge, run.system, most=most, ask=ask)
        screens = [lever_screen(lever, table, case, knowledge, run.system, "halfturn explain") for lever in wanted]
        return [block for one in screens for block in one]

    def data() -> object:
        found = levers_data(table, knowledge, Way(run.system, case))
        return found | {"severity": severity_data(table, knowledge)} if options.severity else found

    run.answer(screen, data)
    return 0


def tires(options: argparse.Namespace) -> int:
    """Read the tires. Raises BadInput for a case without readings, and for an earlier case of another car."""
    run = Runner(options)
    case = read_case(options.case)
    knowledge = run.knowledge
    if not has_readings(case.measured):
        hint = "measured: {temperatures: {rf: [205 F, 208 F, 198 F]}}"
        raise refused(NOTHING_READ[:1].lower() + NOTHING_READ[1:].rstrip("."), hint, case.file)
    earlier = [read_case(name) for name in options.earlier]
    for one in earlier:
        if (one.car.name, one.tire.name) != (case.car.name, case.tire.name):
            says = "an earlier case has another car or tire; degrees per psi are measured on one and the same"
            raise refused(says, f"a case of '{case.car.name}' on '{case.tire.name}'", one.file)
    found = read_tires(case, knowledge, earlier)
    run.answer(lambda: tires_screen(found, case, knowledge, run.system), lambda: plain(found, Way(run.system)))
    return 0


def calibrate(options: argparse.Namespace) -> int:
    """Fit a run log and keep what it taught; the code is 1 when it may not be kept, and 2 when it could not be."""
    run = Runner(options)
    case, log = read_case(options.case, use_fit=False), read_run_log(options.run_log)
    found = run.work("Fitting the run log", lambda: log_fit.calibrate(case, log, fit_name(case)))
    said, kept = ([] if found.refused else [NOTHING_TAUGHT]), True
    if found.fit is not None and options.dry_run:
        said = [DRY]
    elif found.fit is not None:
        kept, said = keep_fit(case, found.fit, run.system, remarks_of(found, run.system))
    run.answer(
        lambda: [*calibration_screen(found, run.system), BLANK, *map(Line, said)],
        lambda: {**plain(found, Way(run.system)), "written": said},
    )
    return 1 if found.refused else 0 if kept else 2
