"""What is computed of one car: `halfturn levers`, `tires`, `calibrate`, `forecast`, `try` and `corner`."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from assistant.belief import log_fit
from assistant.belief.effects import effect_table
from assistant.belief.look_ahead import RunAhead, change_of, compare_ahead, look_ahead, reach
from assistant.belief.picture import Picture
from assistant.car.case import Case, Setup, is_computed
from assistant.car.files import read_case
from assistant.car.moves import move_faults, value_of
from assistant.car.run_log_file import read_run_log
from assistant.commands.runner import Runner, csv_text, refused
from assistant.diagnosis.said_change import NoChangeError, read_change
from assistant.diagnosis.tire_reading import has_readings, read_tires
from assistant.pages import sayings
from assistant.pages.amounts import after_colon, capital, fault_texts, lever_value, not_legal_words
from assistant.pages.blocks import ALL, BLANK, Block, Line, lines
from assistant.pages.corner import corners_data, show_corners
from assistant.pages.data import Way, plain
from assistant.pages.forecast import part_screen
from assistant.pages.levers import (
    STRONGEST,
    lever_named,
    levers_data,
    levers_screen,
    severity_data,
    severity_screen,
)
from assistant.pages.readings import NO_READINGS, calibration_screen, remarks_of, tires_screen
from assistant.pages.run_words import lap_table
from assistant.pages.setups import try_data, try_screen
from assistant.shell.keep import fit_name, keep_fit

if TYPE_CHECKING:
    from assistant.ground.units import System
    from assistant.rules.knowledge import Knowledge


def levers(options: argparse.Namespace) -> int:
    """Show the levers; with names, only those, in full; or how the severities 1 to 5 are measured on this car."""
    run = Runner(options)
    knowledge, case = run.knowledge, run.case
    everything = options.lever == [ALL]
    wanted = [] if everything else [lever_named(word, knowledge) for word in options.lever]
    some = wanted or None
    table = run.work(
        sayings.WHAT_LEVERS_DO, lambda: effect_table(case, run.believe(case), [] if options.severity else some)
    )

    def screen() -> list[Block]:
        if options.severity:
            return severity_screen(table.belief)
        most, ask = None if everything else STRONGEST, f"halfturn levers {options.case}"
        return levers_screen(wanted, table, knowledge, run.system, most=most, ask=ask, explain="halfturn explain")

    def data() -> dict[str, Any]:
        found = levers_data(table, knowledge, run.system)
        return found | {"severity": severity_data(table.belief)} if options.severity else found

    run.answer(screen, data)
    return 0


def tires(options: argparse.Namespace) -> int:
    """Read the tires. Raises BadInput for a case without readings, and for an earlier case of another car."""
    run = Runner(options)
    case = read_case(options.case)
    knowledge = run.knowledge
    if not has_readings(case.measured):
        hint = "measured: {temperatures: {rf: [205 F, 208 F, 198 F]}}"
        raise refused(after_colon(NO_READINGS), hint, case.file)
    earlier = [read_case(name) for name in options.earlier]
    for one in earlier:
        if (one.car.name, one.tire.name) != (case.car.name, case.tire.name):
            says = "an earlier case has another car or tire; degrees per psi are measured on one and the same"
            raise refused(says, f"a case of '{case.car.name}' on '{case.tire.name}'", one.file)
    found = read_tires(case, knowledge, earlier)
    ask = f"halfturn try {options.case}"
    run.answer(lambda: tires_screen(found, case, knowledge, run.system, ask), lambda: plain(found, Way(run.system)))
    return 0


def calibrate(options: argparse.Namespace) -> int:
    """Fit a run log and keep what it taught; the code is 1 when it may not be kept, and 2 when it could not be."""
    run = Runner(options)
    case, log = read_case(options.case, use_fit=False), read_run_log(options.run_log)
    found = run.work(sayings.FITTING, lambda: log_fit.calibrate(case, log, fit_name(case)))
    said, kept = ([] if found.refused else [sayings.NOTHING_TAUGHT]), True
    if found.fit is not None and options.dry_run:
        said = [sayings.DRY_RUN]
    elif found.fit is not None:
        kept, said = keep_fit(case, found.fit, run.system, remarks_of(found, run.system))
    run.answer(
        lambda: [*calibration_screen(found, run.system), BLANK, *lines(said)],
        lambda: {**plain(found, Way(run.system)), "written": said},
    )
    return 1 if found.refused else 0 if kept else 2


CHANGE_SAYS = 'write a change, such as "stagger 2", "track bar right down 1/2" or stagger+=1/4in'


def forecast(options: argparse.Namespace) -> int:
    """Drive the run; what ends it early is an answer, not a mistake. Raises BadInput."""
    if options.json and options.csv:
        raise refused("--json and --csv are two answers", "choose one of them")
    run = Runner(options)
    case, laps, stops = run.case, run.laps, run.stops

    ahead = run.work(sayings.DRIVING_RUN, lambda: look_ahead(case, laps, stops, run.believe))
    if options.csv:
        sys.stdout.write(laps_text(ahead, run.system))
        return 0

    part, ask = options.part or "", f"halfturn forecast {options.case}"
    run.answer(
        lambda: part_screen(part, ahead, run.knowledge, run.system, run.work, ask),
        lambda: plain(ahead, Way(run.system)),
    )
    return 0


def laps_text(ahead: RunAhead, system: System) -> str:
    """Write the table of laps, four decimals."""
    head, rows = lap_table(ahead, system)
    return csv_text(head, ([f"{row[0]:.0f}", *(f"{value:.4f}" for value in row[1:])] for row in rows))


def try_change(options: argparse.Namespace) -> int:
    """Drive the run with both setups and show them beside each other. Nothing is saved. Raises BadInput."""
    run = Runner(options)
    case, laps, stops = run.case, run.laps, run.stops
    setup, said = case.setup, list[Block]()
    is_written = any("=" in text for text in options.change)
    for text in options.change if is_written else [" ".join(options.change)]:
        setup, more = changed(setup, text, case, run.knowledge, run.system)
        said += more
    if options.seats_alone:
        setup = replace(setup, seats_alone=True)
        said.append(Line(sayings.SEATS_ALONE))

    def drive() -> tuple[RunAhead, RunAhead, Picture]:
        before, after = compare_ahead(case, setup, laps, stops, run.believe)
        return before, after, change_of(after)

    before, after, change = run.work(sayings.DRIVING_BOTH, drive)
    illegal = fault_texts(move_faults(case, setup, run.system))
    run.answer(
        lambda: [*said, *try_screen(before, after, change, run.system)],
        lambda: {"not_legal": illegal, **try_data(before, after, change, Way(run.system))},
    )
    return 0


def changed(setup: Setup, text: str, case: Case, knowledge: Knowledge, system: System) -> tuple[Setup, list[Block]]:
    """Apply one change such as "stagger 2" or stagger+=1/4in, legal or not, and say it. Raises BadInput."""
    try:
        change = read_change(text, setup, knowledge, system)
    except NoChangeError as mistake:
        raise refused(str(mistake), CHANGE_SAYS) from mistake
    lever, moved = change.lever, change.put_on(setup)
    before, after = (lever_value(lever, value_of(one, lever), system, setup=setup) for one in (setup, moved))
    said = sayings.FROM_TO.format(capital(knowledge.levers[lever].title), before, after)
    book = [] if is_computed(lever, setup) else [Line(sayings.BOTH_ALIKE)]
    illegal = not_legal_words(move_faults(case, moved, system))  # it is computed all the same
    return moved, [Line(said), *book, *lines(illegal, "caution")]


def corner(options: argparse.Namespace) -> int:
    """Solve the corners, every end in every phase at one stage of the run, where the case puts the car."""
    run = Runner(options)
    case, stage, part = run.case, options.stage, options.part or ""
    reached = run.work(sayings.SOLVING_CORNERS, lambda: reach(case, [case.setup], case.run_laps, (), run.believe))
    run.answer(
        lambda: show_corners(reached, stage, part, run.system, f"halfturn corner {options.case}"),
        lambda: corners_data(reached, stage, system=run.system),
    )
    return 0
