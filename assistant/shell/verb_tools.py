"""Commands of the conversation that work out a screen of their own: causes, levers, the run ahead, the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.ground.grid import STAGES
from assistant.ground.problems import BadInput, Problem
from assistant.pages.advice import offers_of
from assistant.pages.amounts import sentence
from assistant.pages.blocks import Block, Line
from assistant.pages.hearing_words import say_plan
from assistant.pages.screen_parts import ALL
from assistant.pages.why import causes_screen
from assistant.shell.scene import Scene

if TYPE_CHECKING:
    from assistant.belief.standing import Standing

NO_SHEET = "There is nothing to put on a page yet: say what the car does first."
NO_CAUSES = "Say what the car does first; then causes can be weighed."
OTHER_PAGE = "name a page that is not there yet and ends in .html or .md, such as sheet second-run.html"
MOST_PAGES = 99


def causes(scene: Scene, _: str) -> list[Block]:
    """`causes`: what may be behind it, as far as is known now."""
    if scene.session is None:
        return [Line(NO_CAUSES)]
    return [*causes_screen(scene.session.causes), Line(say_plan(scene.session.plan))]


def severity(scene: Scene, _: str) -> list[Block]:
    """`severity`: what 1 to 5 mean on this car."""
    from assistant.pages.severity_screen import severity_screen  # noqa: PLC0415 - imports numpy

    return severity_screen(scene.bench.effects(), scene.bench.knowledge, scene.units)


def levers(scene: Scene, rest: str) -> list[Block]:
    """`levers`: the strongest; `levers all`, `levers stagger`."""
    from assistant.pages.levers import STRONGEST, lever_named, lever_screen, table_screen  # noqa: PLC0415 - not before the prompt

    bench = scene.bench
    if rest in {"", ALL}:
        most = None if rest else STRONGEST
        return table_screen(bench.effects(), bench.case, bench.knowledge, scene.units, most=most)
    try:
        found = lever_named(rest, bench.knowledge)
    except BadInput as mistake:
        return [Line(_no_lever(one)) for one in mistake.problems]
    table = bench.effects()
    if found not in table.levers:
        return [Line(f"The setup says nothing of {rest!r}.")]
    return lever_screen(found, table, bench.case, bench.knowledge, scene.units)[:-1]


def _no_lever(mistake: Problem) -> str:
    """Say that there is no such lever, with the nearest one or where all are listed."""
    hint = mistake.hint if mistake.hint.startswith("did you mean") else "levers all lists them"
    return sentence(f"{mistake.says}; {hint}")


def forecast(scene: Scene, rest: str) -> list[Block]:
    """`forecast`: how far the run goes, balance, tires and fuel; `forecast gears` and the like, `forecast all`."""
    from assistant.belief.look_ahead import (  # noqa: PLC0415 - imports numpy
        look_ahead,
        weigh_air,
    )
    from assistant.pages.forecast import part_screen  # noqa: PLC0415 - same

    bench, standing = scene.bench, _standing(scene)
    ahead = bench.work("Driving the run", lambda: look_ahead(bench.case, standing=standing))
    return part_screen(
        rest,
        ahead,
        bench.knowledge,
        scene.units,
        air=lambda: bench.work("Driving the run with other air", lambda: weigh_air(ahead.model, bench.case.setup)),
    )


def tires(scene: Scene, _: str) -> list[Block]:
    """`tires`: what the temperatures say."""
    from assistant.diagnosis.tire_reading import has_readings  # noqa: PLC0415 - imports the keys of every file
    from assistant.pages.tires import lines  # noqa: PLC0415 - same

    bench = scene.bench
    if not has_readings(bench.case.measured):
        return [Line("No tire has been read yet: type temps to enter the temperatures.")]
    return lines(bench.case, bench.knowledge, scene.units)


def corner(scene: Scene, rest: str) -> list[Block]:
    """`corner`, `corner fresh`, `corner loads`, `corner fresh all`: the car at its limit."""
    from assistant.belief.corners import model_ahead, read_corners  # noqa: PLC0415 - same
    from assistant.pages.as_said import doubts_of  # noqa: PLC0415 - same
    from assistant.pages.corner import (  # noqa: PLC0415 - same
        WITH_FACTS,
        corner_facts,
        corner_screen,
    )

    words, bench, standing = rest.split(), scene.bench, _standing(scene)
    stage = next((word for word in words if word in STAGES), STAGES[-1])
    part = next((word for word in words if word not in STAGES), "")
    model = bench.work("Solving the corners", lambda: model_ahead(bench.case, standing))
    found = read_corners(bench.case, stage, standing, model)
    facts = corner_facts(bench.case, stage, model=model, system=scene.units) if part in WITH_FACTS else ()
    return corner_screen(found, stage, scene.units, facts, part, doubts=doubts_of(model))


def sheet(scene: Scene, rest: str) -> list[Block]:
    """`sheet`, `sheet FILE.md`: the advice as a page, never over one that is there."""
    from assistant.pages.sheet import write_sheet  # noqa: PLC0415 - imports numpy

    session, advice, bench = scene.session, scene.advice, scene.bench
    if session is None:
        return [Line(NO_SHEET)]
    if advice is None:
        advice, scene.listed = bench.advise(session), bench.case
    case, made = scene.listed or bench.case, [step.number for step in scene.made_here]
    try:
        path = Path(rest.strip("\"'")).expanduser() if rest else _free_name(scene)
        written = bench.work(
            "Driving the run ahead for the page",
            lambda: write_sheet(
                path, case, bench.knowledge, session, advice, offers_of(advice), system=scene.units, made=made
            ),
        )
    except BadInput as mistake:
        return [Line(f"{one.file}: {one.says}; {OTHER_PAGE}.") for one in mistake.problems]
    except (RuntimeError, ValueError):  # the home of nobody we know, or a letter that no name of a file may have
        return [Line(f"No file can be called {rest}; {OTHER_PAGE}.")]
    opens = (
        "any browser opens it, and it prints" if written.suffix.lower() in {".html", ".htm"} else "it reads as it is"
    )
    return [Line(f"Written to {written.resolve()}; {opens}.")]


def _free_name(scene: Scene) -> Path:
    """Name a page after the case, in the folder the program was started in."""
    stem = f"{Path(scene.bench.case_name).stem}-sheet"
    names = [Path(f"{stem}.html"), *(Path(f"{stem}-{number}.html") for number in range(2, MOST_PAGES))]
    return next((name for name in names if not name.exists()), names[0])


def _standing(scene: Scene) -> Standing:
    """Where the driver says the car is: in this talk, else in the case."""
    return scene.bench.standing_of(None if scene.session is None else scene.session.complaint)


TOOLS: Mapping[str, Callable[[Scene, str], list[Block]]] = {
    "causes": causes,
    "severity": severity,
    "levers": levers,
    "forecast": forecast,
    "tires": tires,
    "corner": corner,
    "sheet": sheet,
}
