"""Describe your own car in eleven questions, as plain data: the next question, an answer, one back, the files.

Nothing is printed or written here. Every question has a default; taking it, or saying "guessed", marks the value
as guessed, which widens the spread of every answer that hangs on it. What is never asked comes from the invented
demo car and counts as guessed too. Rules nobody stated are the demo's, widened around the car's own values, so that no
lever starts outside of them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any

from assistant.car.car import CORNERS, Car, End, Shares, Track, lifted_corners, shares_of
from assistant.car.case import Case
from assistant.car.file_keys import (
    CAR_KEYS,
    END_KEYS,
    REFERENCES,
    RUN_KEY,
)
from assistant.car.files import MOST_UNSPRUNG, read_case
from assistant.car.keys import Key, key, part_at_corners, read_key
from assistant.car.lever_rows import CORNER_WEIGHT_KEYS, ROW_OF, is_possible
from assistant.car.setup import LeverLimit, Rulebook, Setup
from assistant.car.write import write_case, write_files
from assistant.ground.folders import slug
from assistant.ground.problems import BadInput, Problem
from assistant.ground.units import System, UnitProblem, from_unit, show, to_unit

SAID_NOTHING = frozenset({"", "not sure", "don't know", "dont know", "guess", "guessed", "skip", "default", "enter"})
WHO = "your car"
"""Stands where a file name stands in a problem."""
_WEIGHT_SLACK = 0.02  # scales read to a pound or two
_NUMBER = re.compile(r"[-+]?[\d.][\d.,/]*(?:\s+\d+/\d+)?(?:\s*[a-zA-Z%\"][\w/%\"]*)?")
_ALONE = re.compile(r"[-+]?[\d.,/\s]+")
_MARK = re.compile(r"[\s,]*\bguess(?:ed)?$", re.IGNORECASE)
LAP = key(
    "lap",
    "lap",
    "lap_length",
    "340 ft",  # shaped like the demo's oval, a shorter lap turns tighter than a track file may say
    "3 mi",
    "Length of one lap.",
    "short tracks are a fifth of a mile to a mile; is it in miles?",
)


@dataclass(frozen=True)
class Ask:
    """One question. text: what is asked. help: how to find out. keys: the values an answer holds, in order.

    instead: another row of keys an answer may hold (four corner weights for three shares).
    """

    id: str
    text: str
    help: str
    keys: tuple[Key, ...] = ()
    instead: tuple[Key, ...] = ()


@dataclass(frozen=True)
class CarAnswer:
    """One answer: the question's id, SI values (or the name), and whether they are guessed."""

    id: str
    values: tuple[float, ...]
    guessed: bool
    name: str = ""


def _corner_keys(group: str) -> tuple[Key, ...]:
    return tuple(ROW_OF[f"{group}_{corner}"] for corner in ("lf", "rf", "lr", "rr"))


_CAR = {one.field: one for one in CAR_KEYS}
_BANK = next(one for one in END_KEYS if one.field == "bank")
QUESTIONS: tuple[Ask, ...] = (
    Ask("name", "What shall the car be called?", "Any short name; its folder is called the same."),
    Ask(
        "weight",
        "What does it weigh, with driver and fuel?",
        "Add the four scales, driver in the seat.",
        (_CAR["mass"],),
    ),
    Ask(
        "size",
        "Wheelbase, front track, rear track?",
        "Wheel center to wheel center, and middle of tread to middle of tread, front and rear.",
        (_CAR["wheelbase"], _CAR["track_front"], _CAR["track_rear"]),
    ),
    Ask(
        "scales",
        "Nose, left and cross percent? Or the four scales: LF, RF, LR, RR.",
        "Nose is LF and RF, left is LF and LR, cross is RF and LR, each over the whole weight.",
        (ROW_OF["nose_weight"], ROW_OF["left_weight"], ROW_OF["cross_weight"]),
        CORNER_WEIGHT_KEYS,
    ),
    Ask("springs", "Springs, LF, RF, LR, RR?", "The rate stamped on the spring, or measured.", _corner_keys("spring")),
    Ask("bar", "Front sway bar, outside diameter?", "Measure the part that twists.", (ROW_OF["front_bar"],)),
    Ask(
        "stagger", "Rear stagger?", "Tape round the RR less tape round the LR, at race pressure.", (ROW_OF["stagger"],)
    ),
    Ask(
        "air", "Cold pressures, LF, RF, LR, RR?", "Before the run, tires as cold as the air.", _corner_keys("pressure")
    ),
    Ask(
        "track",
        "Length of the lap, and banking in the turns?",
        "The banking of the line you drive, in degrees.",
        (LAP, _BANK),
    ),
    Ask("run", "How many laps between stops?", "The longest run without new tires or fuel.", (RUN_KEY,)),
    Ask(
        "fuel",
        "Fuel at the start of a run?",
        "It is taken to be in the car on the scales too.",
        (ROW_OF["fuel_at_green"],),
    ),
)


_FIELDS = {ask.id: tuple(one.field for one in ask.keys) for ask in QUESTIONS}
_ASKED_OF_CAR = {question: names for question, names in _FIELDS.items() if names and names[0] in _CAR}
_ASKED_OF_SETUP = {question: levers for question, levers in _FIELDS.items() if levers and levers[0] in ROW_OF}
"""Question to the fields of the car, or to the levers, that its answer holds."""


@dataclass(frozen=True)
class CarInterview:
    """Where the questions stand; every step gives a new one. system: what bare numbers mean."""

    system: System = "trade"
    given: tuple[CarAnswer, ...] = ()

    def next_question(self) -> Ask | None:
        """Give the next question; None when all are answered."""
        return QUESTIONS[len(self.given)] if len(self.given) < len(QUESTIONS) else None

    def default(self) -> str:
        """Show what is taken when nothing is said to the next question; empty when there is none."""
        ask = self.next_question()
        return "" if ask is None else _default(ask, self.system)

    def answer(self, text: str) -> CarInterview:
        """Take an answer in the words of the person. Raises BadInput with one problem when it cannot be read."""
        ask = self.next_question()
        if ask is None:
            raise BadInput(Problem(WHO, 0, 0, "every question is answered", "type back to change one"))
        try:
            given = _read_answer(ask, text.strip(), self)
        except UnitProblem as wrong:
            raise BadInput(Problem(WHO, 0, 0, wrong.says, self._hint(wrong.hint))) from None
        return replace(self, given=(*self.given, given))

    def _hint(self, hint: str) -> str:
        """Say why, and show an answer that would do; the units' own example is replaced by the car's."""
        example = f"for example {self.default()}; an empty line takes that as a guess"
        return example if not hint or hint.startswith(("for example", "write a plain")) else f"{hint}; {example}"

    def back(self, steps: int = 1) -> CarInterview:
        """Go back to an earlier question; at the first one it stays there."""
        return replace(self, given=self.given[: max(0, len(self.given) - steps)])

    def value(self, question: str) -> CarAnswer | None:
        """Find the answer to a question, None while it is open."""
        return next((one for one in self.given if one.id == question), None)


def _read_answer(ask: Ask, text: str, so_far: CarInterview) -> CarAnswer:
    said_nothing = text.casefold() in SAID_NOTHING
    if not ask.keys:
        name = slug(text) if not said_nothing else "my-car"
        if not name or len(name) > 40:
            raise UnitProblem("a name needs a letter or a digit, and 40 of them at most", "for example my-car")
        return CarAnswer(ask.id, (), guessed=False, name=name)
    values, guessed = _read_values(ask, _default(ask, so_far.system) if said_nothing else text, so_far.system)
    if len(values) == len(CORNER_WEIGHT_KEYS) and ask.instead:
        values = _shares(values, so_far)
    if ask.id == "weight" and values[0] < (least := _least_weight()):
        now, too_little = show(least, "mass", system=so_far.system), show(values[0], "mass", system=so_far.system)
        says = f"{too_little} is too little for the wheels, axles and ballast taken from the invented car; {now} is"
        raise UnitProblem(f"{says} the least", "is it in another unit?")
    if ask.id == "scales":
        for _, name, missing in lifted_corners(Shares(*values)):
            says = f"these numbers lift the {name} wheel at rest, by {show(missing, 'share')} of the weight"
            raise UnitProblem(says, "nose is LF and RF, left is LF and LR, cross is RF and LR")
    return CarAnswer(ask.id, values, guessed=guessed or said_nothing)


def _read_values(ask: Ask, text: str, system: System) -> tuple[tuple[float, ...], bool]:
    """Read the numbers of an answer, separated by commas or spaces; a unit behind the last holds for all before it."""
    parts = _at_corners(ask, _MARK.sub("", text)) or _split(_MARK.sub("", text), len(ask.keys))
    keys = ask.instead if ask.instead and len(parts) == len(ask.instead) else ask.keys
    if len(parts) != len(keys):
        wanted = "one value is" if len(ask.keys) == 1 else f"{_count_word(len(ask.keys))} values are"
        raise UnitProblem(f"{wanted} wanted, {len(parts)} found")
    last = _ALONE.match(parts[-1])
    shared = parts[-1][last.end() :] if last and len({one.kind for one in keys}) == 1 else ""
    readings = [
        read_key(one, f"{part} {shared}" if shared and _ALONE.fullmatch(part) else part, system)
        for one, part in zip(keys, parts, strict=True)
    ]
    guessed = bool(_MARK.search(text)) or any(one.guessed for one in readings)
    return tuple(reading.value for reading in readings), guessed


def _at_corners(ask: Ask, text: str) -> list[str]:
    """Put what is written behind the names of all four corners in the order of the question; [] where none is named."""
    before, parts = part_at_corners(text)
    if not parts or len(ask.instead or ask.keys) != len(CORNERS):
        return []
    found = dict(parts)
    if before.strip() or len(parts) != len(CORNERS) or len(found) != len(CORNERS) or not all(found.values()):
        raise UnitProblem("each of LF, RF, LR and RR is wanted once, before its number", "or the four without names")
    return [found[corner] for corner in CORNERS]


def _split(text: str, wanted: int) -> list[str]:
    if wanted == 1:
        return [text]
    if ", " in text or ";" in text or text.count(",") >= wanted - 1:
        return [part.strip() for part in re.split(r"[;,]\s*", text) if part.strip()]
    return [part.strip() for part in _NUMBER.findall(text.replace(" and ", " "))]


def _shares(loads: tuple[float, ...], so_far: CarInterview) -> tuple[float, ...]:
    lf, rf, lr, rr = loads
    weight = so_far.value("weight")
    total = sum(loads)
    if total <= 0:
        raise UnitProblem("the four scales add up to nothing", "write what each of them shows, in pounds or kilograms")
    if weight is not None and not weight.guessed and abs(total / weight.values[0] - 1) > _WEIGHT_SLACK:
        said, now = (show(one, "mass", system=so_far.system) for one in (weight.values[0], total))
        raise UnitProblem(
            f"the four scales add up to {now}, but the weight was {said}", "type back to change the weight"
        )
    shares = shares_of((lf, rf, lr, rr))
    return shares.nose, shares.left, shares.cross


def _default(ask: Ask, system: System) -> str:
    """Write the demo's values as a person would type them."""
    if not ask.keys:
        return "my-car"
    values = _demo_values()[ask.id]
    shown = (show(value, one.kind, system=system, fraction=True) for one, value in zip(ask.keys, values, strict=True))
    return ", ".join(text.replace(",", "") for text in shown)


@lru_cache
def _demo_values() -> Mapping[str, tuple[float, ...]]:
    demo = read_case("demo")
    car, values = demo.car, demo.setup.values
    mean_bank = to_unit(sum(end.bank for end in demo.track.ends) / len(demo.track.ends), "deg")
    return {
        **{question: tuple(getattr(car, name) for name in names) for question, names in _ASKED_OF_CAR.items()},
        "run": (float(demo.run_laps),),
        # half a mile and twelve degrees: nobody would type the demo's own 2642 ft
        "track": (from_unit(round(to_unit(demo.track.lap_length, "mi"), 1), "mi"), from_unit(round(mean_bank), "deg")),
        **{question: tuple(values[lever] for lever in levers) for question, levers in _ASKED_OF_SETUP.items()},
    }


@lru_cache
def _least_weight() -> float:
    """Least weight of a car with the demo's wheels, axles and ballast, which are never asked for [kg]."""
    demo = read_case("demo").car
    return (demo.unsprung_front + demo.unsprung_rear + demo.ballast_mass) / MOST_UNSPRUNG


def _count_word(number: int) -> str:
    return {2: "two", 3: "three", 4: "four"}.get(number, str(number))


_HEAD = "# Made from your answers. 'guessed' stands behind what you were not sure of or were not asked.\n"
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
    for question, names in _ASKED_OF_CAR.items():
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
    for question, levers in _ASKED_OF_SETUP.items():
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
