"""`halfturn forecast`, `try` and `corner`: the run ahead, the run after a change, and the car at its limit."""

from __future__ import annotations

import argparse
import csv
import io
import re
import sys
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.belief.corners import model_ahead, read_corners
from assistant.belief.driven import moved_from
from assistant.belief.look_ahead import RunAhead, compare_ahead, look_ahead, of_stops, stand_as_believed, weigh_air
from assistant.belief.picture import Picture, read_after, read_picture
from assistant.car.lever_rows import ROW_OF, is_possible
from assistant.car.moves import move_faults, value_of, with_value
from assistant.car.setup import is_computed, kind_of, levers_of
from assistant.commands.runner import Runner, refused
from assistant.ground.gate import shown
from assistant.ground.units import UnitProblem, read, unit_of
from assistant.pages.amounts import capital, fault_texts, lever_value, not_legal_words
from assistant.pages.as_said import as_said_data, doubts_of
from assistant.pages.blocks import Block, Line
from assistant.pages.corner import WITH_FACTS, circle_json, corner_facts, corner_screen
from assistant.pages.data import Way, plain, try_data
from assistant.pages.forecast import part_screen
from assistant.pages.levers import lever_named
from assistant.pages.run_data import corners_data, lap_table
from assistant.pages.try_change import try_screen

if TYPE_CHECKING:
    from assistant.car.case import Case
    from assistant.car.setup import Setup
    from assistant.ground.units import System
    from assistant.rules.knowledge import Knowledge

DRIVING = "Driving the run"
NOT_COMPUTED_SAYS = (
    "The model does not compute this lever, so both runs are driven alike; "
    "halfturn levers CASE LEVER says what it does by the book."
)
SEATS_ALONE = (
    "Springs swapped, seats left alone: the car is not scaled again, so a stiffer one adds load at its corner."
)
_CHANGE = re.compile(r"([^=+]+?)(\+=|-=|=)(.+)")


def forecast(options: argparse.Namespace) -> int:
    """Drive the run; what ends it early is an answer, not a mistake. Raises BadInput."""
    if options.json and options.csv:
        raise refused("--json and --csv are two answers", "choose one of them")
    run = Runner(options)
    case, laps, stops, standing = run.case, run.laps, run.stops, run.standing

    def drive() -> RunAhead:
        ahead = look_ahead(case, laps, stops, standing)
        return stand_as_believed(ahead, read_picture(run.believe(ahead.model.case)), of_stops(ahead))

    ahead = run.work(DRIVING, drive)
    if options.csv:
        sys.stdout.write(csv_text(ahead, run.system))
        return 0

    def screen() -> list[Block]:
        return part_screen(
            options.part or "",
            ahead,
            run.knowledge,
            run.system,
            air=lambda: run.work(DRIVING, lambda: weigh_air(ahead.model, case.setup)),
            ask=f"halfturn forecast {options.case}",
        )

    run.answer(screen, lambda: plain(ahead, Way(run.system)))
    return 0


def csv_text(ahead: RunAhead, system: System) -> str:
    """Write the table of laps with a head of names; four significant decimals, a line end of one character."""
    head, rows = lap_table(ahead, system)
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(map(shown, head))
    writer.writerows([f"{row[0]:.0f}", *(f"{value:.4f}" for value in row[1:])] for row in rows)
    return text.getvalue()


def try_change(options: argparse.Namespace) -> int:
    """Drive the run with both setups and show them beside each other. Nothing is saved. Raises BadInput."""
    run = Runner(options)
    case, laps, stops = run.case, run.laps, run.stops
    setup, said = case.setup, list[Block]()
    for text in options.change:
        setup, more = changed(setup, text, case, run.knowledge, run.system)
        said += more
    if options.seats_alone:
        setup = replace(setup, seats_alone=True)
        said.append(Line(SEATS_ALONE))
    standing = run.standing

    def drive() -> tuple[RunAhead, RunAhead, Picture]:
        before, after = compare_ahead(case, setup, laps, stops, standing)
        belief = run.believe(before.model.case)
        then, change = read_after(belief, moved_from(case.setup, setup))
        by = of_stops(before)
        return stand_as_believed(before, read_picture(belief), by), stand_as_believed(after, then, by), change

    before, after, change = run.work("Driving both runs", drive)
    illegal = fault_texts(move_faults(case, setup, run.system))
    run.answer(
        lambda: [*said, *try_screen(before, after, change, run.system)],
        lambda: {"not_legal": illegal, **try_data(before, after, change, Way(run.system))},
    )
    return 0


def changed(setup: Setup, text: str, case: Case, knowledge: Knowledge, system: System) -> tuple[Setup, list[Block]]:
    """Apply one change such as stagger=2in or stagger+=1/4in, legal or not, and say it. Raises BadInput."""
    found = _CHANGE.fullmatch(text)
    if found is None:
        raise refused(f"{text!r} is no change", "write LEVER=VALUE, or LEVER+=CHANGE")
    lever = lever_named(found[1].strip(), knowledge)
    _refuse_absent(lever, setup)
    value, old = _read(lever, found[3].strip(), setup, system), value_of(setup, lever)
    new = value if found[2] == "=" else old + value if found[2] == "+=" else old - value
    title = knowledge.levers[lever].title
    before, after = (lever_value(lever, one, system, setup=setup) for one in (old, new))
    said = f"{capital(title)}: from {before} to {after}."
    moved = with_value(setup, lever, new)
    _refuse_impossible(setup, moved, system)
    book = [] if is_computed(lever, setup) else [Line(NOT_COMPUTED_SAYS)]
    illegal = not_legal_words(move_faults(case, moved, system))  # it is computed all the same
    return moved, [Line(said), *book, *(Line(text, mark="caution") for text in illegal)]


def _refuse_absent(lever: str, setup: Setup) -> None:
    if lever not in levers_of(setup):
        raise refused(f"{lever}: this car has no such lever", "see halfturn levers")


def _read(lever: str, text: str, setup: Setup, system: System) -> float:
    kind = kind_of(lever, setup)
    try:
        return read(text, kind, default_unit=unit_of(kind, system)).value
    except UnitProblem as mistake:
        raise refused(f"{lever}: {mistake.says}", mistake.hint) from mistake


def _refuse_impossible(old: Setup, new: Setup, system: System) -> None:
    """Raise BadInput for what no setup file may hold either; what is only against the rules is computed."""
    for lever, value in new.values.items():
        if lever in new.own:
            continue  # its range is that of its own file, and held against it as the rules are
        key = ROW_OF[lever]
        if value != old.values[lever] and not is_possible(lever, value):
            says = f"{lever}: {lever_value(lever, value, system)} is not possible, only {key.low} to {key.high}"
            raise refused(says, key.why or "check the unit")


def corner(options: argparse.Namespace) -> int:
    """Solve the corners, every end in every phase at one stage of the run, where the case puts the car."""
    run = Runner(options)
    case, standing, stage, part = run.case, run.standing, options.stage, options.part or ""
    model = run.work("Solving the corners", lambda: model_ahead(case, standing))
    found = read_corners(case, stage, standing, model)

    def screen() -> list[Block]:
        facts = corner_facts(case, stage, model=model, system=run.system) if part in WITH_FACTS else ()
        return corner_screen(found, stage, run.system, facts, part, f"halfturn corner {options.case}", doubts_of(model))

    def data() -> object:
        corners = corners_data(found, stage, system=run.system)
        return corners | {"circle": circle_json(model), "as_said": as_said_data(model)}

    run.answer(screen, data)
    return 0
