"""From the answers about one's own car to its files: car, tire, track, rulebook, setup and case, ready to be written.

What was not asked comes from the invented demo and is marked guessed. Rules nobody stated are the demo's, widened
around the car's own values, so that no lever starts outside of them.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import fields, replace
from itertools import pairwise
from typing import Any

from assistant.car.car import Car, End, Track
from assistant.car.case import Case, LeverLimit, NotHere, Rulebook, Setup
from assistant.car.files import read_case
from assistant.car.keys import is_possible
from assistant.car.own_car import ASKED_OF_CAR, ASKED_OF_SETUP, KINDS_OF_CAR, CarAnswer, CarInterview, KindOfThing
from assistant.car.write import write_case, write_files
from assistant.ground.units import from_unit

_HEAD = "# Made from your answers. 'guessed' stands behind what you were not sure of or were not asked.\n"
_ENGINE = "# Engine, gearbox and final drive are those of an invented car: put in your own.\n"
_RULES = (
    "# Nobody has asked for your rules: these are invented, widened around your setup.\n"
    "# Put in what your rulebook allows and the parts you have.\n"
)
_ROOM = 4
"""Steps of room a widened range has beyond the car's own value."""


def own_car_files(interview: CarInterview) -> dict[str, str]:
    """Write the texts by file kind; the file of each is to be called <kind>.yaml, all in one folder.

    Raises ValueError while a question is open.
    """
    if interview.next_question() is not None:
        raise ValueError("a question is still open")
    case, system = own_case(interview), interview.system
    texts = write_files(case, system) | {"case": write_case(case, system)}
    heads = {"rulebook": _RULES, "car": _HEAD + _ENGINE}
    return {kind: heads.get(kind, _HEAD) + text for kind, text in texts.items()}


def own_case(interview: CarInterview) -> Case:
    """Put the answers over the demo. An open question counts as answered with its default."""
    demo = read_case("demo")
    given = {one.id: one for one in interview.given}
    name = given["name"].name if "name" in given else "my-car"
    kind = KINDS_OF_CAR[int(given["kind"].values[0])] if "kind" in given else KINDS_OF_CAR[0]
    car = _car(demo.car, name, given, kind)
    setup = _setup(demo.setup, name, given)
    run = given.get("run")
    return replace(
        demo,
        name=name,
        car=car,
        tire=replace(demo.tire, name=f"{name}-tire", guessed=frozenset(one.name for one in fields(demo.tire)[1:-1])),
        track=_track(demo.track, name, given.get("track")),
        rulebook=_rulebook(demo.rulebook, name, setup, kind.left_out),
        setup=setup,
        run_laps=round(run.values[0]) if run else demo.run_laps,
        complaint="",
        at_hand="shop",
        file="",
    )


def _car(demo: Car, name: str, given: Mapping[str, CarAnswer], kind: KindOfThing) -> Car:
    known: dict[str, Any] = {"mass": from_unit(kind.mass, "lb")} if "kind" in given else {}
    sure: set[str] = set()
    for question, names in ASKED_OF_CAR.items():
        if question in given:
            known |= dict(zip(names, given[question].values, strict=True))
            sure |= set() if given[question].guessed else set(names)
    if "fuel" in given:
        known["fuel_on_scales"] = given["fuel"].values[0] * demo.fuel_density
        known["tank_volume"] = max(demo.tank_volume, given["fuel"].values[0])
        sure |= set() if given["fuel"].guessed else {"fuel_on_scales"}
    kept = {"name", "engine", "guessed"}
    guessed = {one.name for one in fields(demo)} | {"rev_limit", "driveline", "fuel_use"}
    return replace(demo, name=name, **known, guessed=frozenset(guessed - kept - sure))


def _setup(demo: Setup, name: str, given: Mapping[str, CarAnswer]) -> Setup:
    values = dict(demo.values)
    guessed = set(values)
    for question, levers in ASKED_OF_SETUP.items():
        if question in given:
            values |= dict(zip(levers, given[question].values, strict=True))
            guessed -= set() if given[question].guessed else set(levers)
    return Setup(f"{name}-setup", values, frozenset(guessed))


def _track(demo: Track, name: str, said: CarAnswer | None) -> Track:
    """Shape the demo's oval to the lap's length, both ends alike, since only one banking was asked."""
    length, bank = said.values if said else (demo.lap_length, demo.ends[0].bank)
    count = len(demo.ends)
    size = length / demo.lap_length / count
    end = End(
        id="",
        radius=size * sum(one.radius for one in demo.ends),
        bank=bank,
        length=size * sum(one.length for one in demo.ends),
        straight=size * sum(one.straight for one in demo.ends),
    )
    guessed = {one.name for one in fields(End)[1:]} | {one.name for one in fields(Track)[2:-1]}
    sure = {"bank"} if said and not said.guessed else set()
    ends = (replace(end, id="turns 1-2"), replace(end, id="turns 3-4"))
    return replace(demo, name=f"{name}-track", ends=ends, guessed=frozenset(guessed - sure))


def _rulebook(demo: Rulebook, name: str, setup: Setup, left_out: Collection[str]) -> Rulebook:
    limits = {lever: _widen(limit, setup.values[lever], lever) for lever, limit in demo.limits.items()}
    return Rulebook(f"{name}-rules", limits, tuple(map(NotHere, left_out)))


def _widen(limit: LeverLimit, value: float, lever: str) -> LeverLimit:
    """Make room around a value that the demo's limit does not hold."""
    if limit.parts:
        if any(abs(part - value) <= 1e-6 * abs(value) for part in limit.parts):
            return limit
        gap = min(later - earlier for earlier, later in pairwise(limit.parts))
        beside = [value + gap * steps for steps in range(-_ROOM, _ROOM + 1)]
        parts = tuple(sorted(part for part in beside if is_possible(lever, part)))
        return replace(limit, low=parts[0], high=parts[-1], parts=parts)
    if limit.low <= value <= limit.high:
        return limit
    room = _ROOM * limit.step
    low, high = min(limit.low, value - room), max(limit.high, value + room)
    return replace(
        limit, low=low if is_possible(lever, low) else value, high=high if is_possible(lever, high) else value
    )
