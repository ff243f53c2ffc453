"""Reads car, tire, track, rulebook, setup and case files from YAML, with every mistake of all of them at once.

A file may name others: beside itself, in the user's folder, or in the demo that came with the program. Names may
stand in it as they were spelled once.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import islice, pairwise
from math import degrees, pi
from pathlib import Path
from typing import TypeVar

from assistant.car.car import Car, Tire, Track
from assistant.car.case import Case, Fit, Rulebook, Setup, put_fit
from assistant.car.file_keys import GEAR, NOT_HERE, POWER, REFERENCES
from assistant.car.keys import CORNER_WEIGHT_KEYS, ROW_OF, SETUP_KEYS, SHARE_LEVERS, rows_of_setup
from assistant.car.moves import lifted_wheels, unfit_parts
from assistant.car.records import (
    look_up,
    make_car,
    make_fit,
    make_measured,
    make_rulebook,
    make_setup,
    make_tire,
    make_track,
    model_of,
)
from assistant.ground.folders import CASE_FILE, DEMO_CASES, demo_folder, is_file, is_folder, own_cars, slug, user_folder
from assistant.ground.names import did_you_mean, nearest
from assistant.ground.problems import BadInput, Document, KeyPath, Problem
from assistant.ground.read_model import build
from assistant.ground.units import System, show
from assistant.ground.yaml_file import MOST_PROBLEMS, read_yaml

OLDER_NAMES = {
    "tyre": "tire",
    "dampers": "shocks",
    "damper ratio": "shock ratio",
    "damper base": "shock base",
    "bump per click": "compression per click",
    "off the centreline": "off the centerline",
    "roll centre": "roll center",
}
"""The older spelling of a name to the newer one."""
FREE_BLOCKS = ("answers", "own levers")
"""Blocks whose names are the user's own affair."""
T = TypeVar("T")


def newer_name(path: KeyPath) -> str:
    """Spell the last name of a path as it counts now."""
    name = str(path[-1])
    return name if path[0] in FREE_BLOCKS else OLDER_NAMES.get(name, name)


TURN_LEAST, TURN_MOST = 200.0, 400.0  # degrees; a lap turns 360, of which bent straights may take a part
WEIGHT_SLACK = 0.02  # scales read to a pound or two, and fuel is never quite the same
MOST_UNSPRUNG = 0.7
"""Share of the weight of a car that wheels, axles and ballast may be."""
FILE_KINDS = (*REFERENCES, "case")
"""What a user writes; `calibrate` writes the fits."""
_ENDINGS = ("", ".yaml", ".yml")


def read_car(path: Path | str) -> Car:
    """Read a car file. Raises BadInput with every problem of it, as all readers here do."""
    document, model = _open("car", path)
    car = make_car(model)
    refuse(check_car(document, car))
    return car


def read_tire(path: Path | str) -> Tire:
    """Read a tire file."""
    return make_tire(_open("tire", path)[1])


def read_track(path: Path | str) -> Track:
    """Read a track file."""
    document, model = _open("track", path)
    track = make_track(model)
    refuse(check_track(document, track))
    return track


def read_rulebook(path: Path | str) -> Rulebook:
    """Read a rulebook file."""
    return make_rulebook(_open("rulebook", path)[1])


def read_setup(path: Path | str, car: Car | None = None) -> Setup:
    """Read a setup file; with a car, check that the two fit."""
    document = read_kind("setup", path)
    rows = rows_of_setup(document.data)
    if rows is not SETUP_KEYS:
        refuse(_check_scales(document))
    model = build(model_of("setup", rows), document, system_of(document))
    setup = make_setup(model, rows)
    refuse(check_setup(document, setup, model, car))
    meant = look_up(model, ("car",))
    if car is not None and meant and meant != car.name:
        says = f"this setup is for the car '{meant}', the case uses '{car.name}'"
        raise BadInput(document.problem(("car",), says, "change the line, or leave it out"))
    return setup


def read_case(path_or_name: Path | str, *, use_fit: bool = True) -> Case:
    """Read a case and every file it names; `demo`, `demo-tight` and `demo-snap` are always there.

    use_fit: put in what a run log taught, where the case has a line `fit: name`.
    """
    path = find_case(path_or_name)
    document, model = _open("case", path)
    missing: list[Problem] = []
    car = _read_named("car", read_car, document, missing)
    tire = _read_named("tire", read_tire, document, missing)
    track = _read_named("track", read_track, document, missing)
    rulebook = _read_named("rulebook", read_rulebook, document, missing)
    setup = _read_named("setup", lambda file: read_setup(file, car), document, missing)
    if car is None or tire is None or track is None or rulebook is None or setup is None:
        raise BadInput(missing)
    case = Case(
        name=look_up(model, ("case",)),
        car=car,
        tire=tire,
        track=track,
        rulebook=replace(rulebook, not_here=tuple(look_up(model, (NOT_HERE,)))),
        setup=setup,
        run_laps=round(look_up(model, ("run",)).value),
        complaint=look_up(model, ("driver says",)),
        answers=dict(look_up(model, ("answers",))),
        measured=make_measured(model, car.fuel_density, setup.values["steering_box"]),
        at_hand=look_up(model, ("at hand",)),
        file=str(path),
        id=look_up(model, ("id",)),
    )
    return _with_fit(case, document, look_up(model, ("fit",))) if use_fit else case


def _with_fit(case: Case, document: Document, name: str) -> Case:
    """Put the fit a case names into it; refused when it was made for another tire."""
    if not name:
        return case
    fit = read_fit(_find_named("fit", document))
    if fit.tire and fit.tire != case.tire.name:
        says = f"this fit was made for the tire '{fit.tire}', the case uses '{case.tire.name}'"
        raise BadInput(document.problem(("fit",), says, "take the line out, or calibrate again"))
    return put_fit(case, fit)


def read_fit(path: Path | str) -> Fit:
    """Read a fit file. Raises BadInput with every problem of it."""
    document, model = _open("fit", path)
    fit = make_fit(model)
    if not fit.values and not fit.beside:
        raise BadInput(document.problem((), "this fit holds no values", "halfturn calibrate writes it"))
    return fit


def find_case(path_or_name: Path | str) -> Path:
    """Find a case file by its path or its folder, or by its name: a car of the user's own, or a demo."""
    path = Path(path_or_name)
    for there in (path, path / CASE_FILE):
        if is_file(there):
            return there
    name = str(path_or_name)
    if (own := own_cars().get(slug(name))) is not None:
        return own
    for folder in (demo_folder(), Path(), user_folder()):
        for ending in _ENDINGS[1:]:
            if is_file(folder / (name + ending)):
                return folder / (name + ending)
    raise BadInput(_say_no_case(name, path))


def kind_of(path: Path | str) -> str:
    """Tell what kind of file it is by its first key: one of FILE_KINDS. Raises BadInput for any other."""
    document = read_yaml(path, spelled=newer_name)
    kind = first_key(document)
    if kind not in FILE_KINDS:
        says = f"the first line says '{kind}'" if kind else "the first line does not say what kind of file it is"
        hint = did_you_mean(kind, FILE_KINDS) if kind else "it starts with 'car: name', 'setup: name', 'case: name' ..."
        raise BadInput(document.problem((kind,), says, hint, key=True))
    return kind


def first_key(document: Document) -> str:
    """Return the first name of a file, "" when it has none."""
    return next(iter(document.data), "") if isinstance(document.data, dict) else ""


def read_kind(kind: str, path: Path | str) -> Document:
    """Read a file and refuse one of another kind, which would give a page of unknown names."""
    document = read_yaml(path, spelled=newer_name)
    first = first_key(document)
    if first != kind and first in (*FILE_KINDS, "fit"):
        raise BadInput(document.problem((first,), f"this is a {first} file, a {kind} file is wanted", key=True))
    return document


def _open(kind: str, path: Path | str) -> tuple[Document, object]:
    document = read_kind(kind, path)
    return document, build(model_of(kind), document, system_of(document))


def system_of(document: Document) -> System:
    """Unit system of bare numbers; a wrong word is reported by the model."""
    return "si" if isinstance(document.data, dict) and document.data.get("units") == "si" else "trade"


def _check_scales(document: Document) -> Iterator[Problem]:
    """Find shares in a file that gives corner weights."""
    for path in (ROW_OF[lever].path for lever in SHARE_LEVERS):
        if path in document.keys:
            says = f"the scales are given both as corner weights and as '{path[-1]}'"
            yield document.problem(path, says, "keep the four corner weights, or the three shares", key=True)


def check_car(document: Document, car: Car) -> Iterator[Problem]:
    """Find what no single value shows: parts heavier than the car, a track bar without length, gears out of order."""
    unsprung = car.unsprung_front + car.unsprung_rear
    if unsprung + car.ballast_mass > MOST_UNSPRUNG * car.mass:
        says = f"wheels, axle and ballast weigh {show(unsprung + car.ballast_mass, 'mass')} of {show(car.mass, 'mass')}"
        yield document.problem(("weight", "on the scales"), says, "unsprung weights are for both wheels together")
    if abs(car.track_bar_axle_y - car.track_bar_frame_y) < 0.1:
        says = "the two ends of the track bar are at the same place"
        hint = "one end is on the left, the other on the right: 15 in left, 19 in right"
        yield document.problem(("rear axle", "track bar axle end"), says, hint)
    if any(later >= earlier for earlier, later in pairwise(car.engine.gears)):
        yield document.problem(GEAR.path, "the gears do not go from first to top", "the largest ratio comes first")
    if car.engine.rpm[0] >= car.engine.rev_limit:
        yield document.problem(POWER.path, "the whole curve lies above the rev limit", "check the rev limit")


def check_track(document: Document, track: Track) -> Iterator[Problem]:
    """Find ends that do not make a lap, and ends of one name."""
    turned = degrees(sum(end.length / end.radius for end in track.ends))
    if not TURN_LEAST <= turned <= TURN_MOST:
        half = pi * track.ends[0].radius
        says = f"length over radius says that the ends turn {turned:.0f} deg in all; a lap turns 360"
        hint = f"half a circle of this radius is {show(half, 'length')} long"
        yield document.problem(("ends", 0, "length"), says, hint)
    names = [end.id for end in track.ends]
    for at, name in enumerate(names):
        if name in names[:at]:
            yield document.problem(("ends", at, "end"), f"two ends are called '{name}'", "give each its own name")


def check_setup(document: Document, setup: Setup, model: object, car: Car | None) -> Iterator[Problem]:
    """Find scales that lift a wheel at rest or do not weigh this car, and parts this car cannot take."""
    place = ROW_OF["cross_weight"].path
    if look_up(model, CORNER_WEIGHT_KEYS[0].path) is not None:
        place = CORNER_WEIGHT_KEYS[0].path
        total = sum(look_up(model, row.path).value for row in CORNER_WEIGHT_KEYS)
        if car is not None and abs(total / car.mass - 1) > WEIGHT_SLACK:
            says = f"the four scales add up to {show(total, 'mass')}, the car file says {show(car.mass, 'mass')}"
            yield document.problem(
                place, says, "weigh with the driver and the fuel of the car file, or correct it there"
            )
    for _, name, missing in lifted_wheels(setup.values):
        load = show(-missing * car.mass, "mass") if car else f"{show(-missing, 'share')} of the weight"
        says = f"these scales lift the {name} wheel at rest: it would carry {load}"
        yield document.problem(place, says, "check the percentages: cross is RF + LR, nose is LF + RF, left is LF + LR")
    if car is None:
        return
    for lever, says, hint in unfit_parts(setup, car):
        yield document.problem(ROW_OF[lever].path, says, hint)


def refuse(problems: Iterable[Problem]) -> None:
    """Raise BadInput with the problems there are, when there are any; more than so many would not be read."""
    if found := list(islice(problems, MOST_PROBLEMS)):
        raise BadInput(found)


def _read_named(kind: str, reader: Callable[[Path], T], document: Document, problems: list[Problem]) -> T | None:
    try:
        return reader(_find_named(kind, document))
    except BadInput as bad:
        problems.extend(bad.problems)
        return None


def _find_named(kind: str, document: Document) -> Path:
    assert isinstance(document.data, dict), "checked by build"  # noqa: S101
    name = str(document.data[kind])
    folders = (Path(document.file).parent, user_folder(), demo_folder())
    places = [folder / (name + ending) for folder in folders for ending in _ENDINGS]
    if found := next(filter(is_file, places), None):
        return found
    if any(map(os.path.lexists, places)):
        says = f"the {kind} file '{name}' is no ordinary file that can be read"
        raise BadInput(document.problem((kind,), says, "a folder, a pipe or a broken link stands there"))
    known = [file.stem for folder in folders for file in sorted(folder.glob("*.yaml"))]
    near = nearest(name.removesuffix(".yaml"), known)
    hint = f"did you mean '{near}'?" if near else "it is looked for beside this file and in the demo"
    raise BadInput(document.problem((kind,), f"there is no {kind} file '{name}'", hint))


def _say_no_case(name: str, path: Path) -> Problem:
    if is_folder(path):
        return Problem(name, 0, 0, "this is a folder, a case file is wanted", f"or one of: {', '.join(DEMO_CASES)}")
    own = sorted(file.stem for file in user_folder().glob("*.yaml")) if is_folder(user_folder()) else []
    return Problem(name, 0, 0, "there is no such case file", did_you_mean(name, [*DEMO_CASES, *own_cars(), *own]))
