"""Files to start from: commented ones filled from the demo, and those made of the answers about one's own car.

What was not asked comes from the invented demo and is marked guessed. Rules nobody stated are the demo's, widened
around the car's own values, so that no lever starts outside of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from assistant.car.car import Car, End, Track
from assistant.car.case import Case
from assistant.car.file_keys import LAP_TIME_KEY, LAPS_KEY, MEASURED_KEYS, REFERENCES, RUN_KEY, TREAD_KEY
from assistant.car.files import FILE_KINDS, read_case
from assistant.car.keys import CORNER_KEYS
from assistant.car.lever_rows import is_possible
from assistant.car.own_car_questions import CarAnswer, CarInterview
from assistant.car.setup import LeverLimit, Rulebook, Setup
from assistant.car.write import write_case, write_files
from assistant.ground.units import System

_HEADS: Mapping[str, str] = MappingProxyType(
    {
        "car": "A car: what is bolted together and rarely changed. The numbers are those of the invented demo car.",
        "tire": "A tire, the same law at all four corners. The numbers are those of the invented demo tire.",
        "track": "A track. One end alone stands for two alike. The numbers are those of the invented demo track.",
        "rulebook": "What the rules allow and the parts at hand; the soonest time is pit stop, between runs or shop.\n"
        "# A lever that is not listed cannot be changed. Give 'from', 'to' and 'step', or 'parts'.",
        "setup": "Today's setup, by corner of the car. Instead of nose, left and cross weight each corner may hold\n"
        "# what its scale reads: weight: 804 lb at the left front, 660 lb, 820 lb and 616 lb at the others.",
        "case": "A case: one situation, and the files it is made of (names of files beside this one, or of the demo).",
    }
)
_FILES = {"car": "car", "tire": "tire", "track": "track", "rulebook": "rulebook", "setup": "setup-demo"}
_SAMPLES = {
    "hot_pressure": "{lf: 21 psi, rf: 32 psi, lr: 21 psi, rr: 30 psi}",
    "cold_pressure": "{lf: 16 psi, rf: 24 psi, lr: 16 psi, rr: 22 psi}",
    "wear": "{lf: 1/64 in, rf: 1/32 in, lr: 1/64 in, rr: 1/32 in}",
    "fuel_used": "2 gal",
    "steering": "10 deg",
    "steering_wheel": "120 deg",
    "rpm_max": "6800 rpm",
}
_ADVICE = (
    "# Replace the numbers by your own. Any unit may be written (1 3/4 in, 45 mm); 'guessed' behind a value\n"
    "# widens the spread of every answer that hangs on it: 16 in guessed.\n"
)


@lru_cache
def starter(kind: str, system: System = "trade") -> str:
    """Give the text of a starter file of a kind in FILE_KINDS; ValueError for another."""
    if kind not in FILE_KINDS:
        raise ValueError(f"no file is called '{kind}'")
    text = _case(system) if kind == "case" else write_files(read_case("demo"), system, explain=True)[kind]
    return f"# {_HEADS[kind]}\n{_ADVICE}{text}"


def _case(system: System) -> str:
    """Write a case by hand: what was measured is shown, but asleep, since nobody has measured it."""
    rows = [
        ("case: my-case", ""),
        (f"units: {system}", "What a bare number means: trade (in, lb, psi, F) or si (mm, kg, kPa, C)."),
        *((f"{kind}: {name}", "") for kind, name in _FILES.items()),
        ("run: 80 laps", RUN_KEY.meaning),
        ("driver says: loose off late in the run", "In the driver's own words. May be left out."),
        ("at hand: between runs", "Time for changes now: pit stop, between runs or shop."),
        ("# answers:", "Answers to questions of the interview that need not be asked again."),
        ("#   where: exit", ""),
        ("# measured:", "What was read at the car; every line may be left out."),
        ("#   laps: 20", LAPS_KEY.meaning),
        ("#   temperatures:", TREAD_KEY.meaning),
        *((f"#     {corner}: [180 F, 185 F, 175 F]", "") for corner in CORNER_KEYS),
        *((f"#   {one.path[-1]}: {_SAMPLES[one.field]}", one.meaning) for one in MEASURED_KEYS),
        ("#   lap times: [20.1, 20.3, 0:20.4]", LAP_TIME_KEY.meaning),
    ]
    return "".join(f"{line:<40}  # {meaning}\n" if meaning else line + "\n" for line, meaning in rows)


_HEAD = "# Made from your answers. 'guessed' stands behind what you were not sure of or were not asked.\n"
_RULES = (
    "# Nobody has asked for your rules: these are invented, widened around your setup.\n"
    "# Put in what your rulebook allows and the parts you have.\n"
)
_SETUP_QUESTIONS: Mapping[str, tuple[str, ...]] = {
    "scales": ("nose_weight", "left_weight", "cross_weight"),
    "springs": ("spring_lf", "spring_rf", "spring_lr", "spring_rr"),
    "bar": ("front_bar",),
    "stagger": ("stagger",),
    "air": ("pressure_lf", "pressure_rf", "pressure_lr", "pressure_rr"),
    "fuel": ("fuel_at_green",),
}
_ROOM = 4
"""Steps of room a widened range has beyond the car's own value."""


def own_car_files(interview: CarInterview) -> dict[str, str]:
    """Write the texts by file kind; the file of each is to be called <kind>.yaml, all in one folder.

    Raises ValueError while a question is open.
    """
    if interview.next_question() is not None:
        raise ValueError("a question is still open")
    case, system = own_case(interview), interview.system
    texts = write_files(case, system) | {"case": write_case(case, {kind: kind for kind in REFERENCES}, system)}
    return {kind: (_RULES if kind == "rulebook" else _HEAD) + text for kind, text in texts.items()}


def own_case(interview: CarInterview) -> Case:
    """Put the answers over the demo. An open question counts as answered with its default."""
    demo = read_case("demo")
    given = {one.id: one for one in interview.given}
    name = given["name"].name if "name" in given else "my-car"
    car = _car(demo.car, name, given)
    setup = _setup(demo.setup, name, given)
    run = given.get("run")
    return replace(
        demo,
        name=name,
        car=car,
        tire=replace(demo.tire, name=f"{name}-tire", guessed=frozenset(one.name for one in fields(demo.tire)[1:-1])),
        track=_track(demo.track, name, given.get("track")),
        rulebook=_rulebook(demo.rulebook, name, setup),
        setup=setup,
        run_laps=round(run.values[0]) if run else demo.run_laps,
        complaint="",
        at_hand="shop",
        file="",
    )


def _car(demo: Car, name: str, given: Mapping[str, CarAnswer]) -> Car:
    known: dict[str, Any] = {}
    sure: set[str] = set()
    for question, names in {"weight": ("mass",), "size": ("wheelbase", "track_front", "track_rear")}.items():
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
    for question, levers in _SETUP_QUESTIONS.items():
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


def _rulebook(demo: Rulebook, name: str, setup: Setup) -> Rulebook:
    limits = {lever: _widen(limit, setup.values[lever], lever) for lever, limit in demo.limits.items()}
    return Rulebook(f"{name}-rules", limits)


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
