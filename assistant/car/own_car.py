"""Describe your own car, as plain data: five short questions and a name, or all; an answer, one back, the files.

Nothing is printed or written here. Every question has a default; taking it, or saying "guessed", marks the value
as guessed, which widens the spread of every answer that hangs on it. `own_car_files` makes the files.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from assistant.car.car import Shares, lifted_corners, shares_of
from assistant.car.file_keys import CAR_KEYS, END_KEYS, RUN_KEY
from assistant.car.files import MOST_UNSPRUNG, WEIGHT_SLACK, read_case
from assistant.car.keys import CORNER_WEIGHT_KEYS, ROW_OF, SHARE_LEVERS, Key, key, read_key
from assistant.ground.choosing import place_of, without_slip
from assistant.ground.folders import slug
from assistant.ground.names import CORNER_KEYS, CORNERS, part_at_corners
from assistant.ground.problems import BadInput, Problem
from assistant.ground.units import System, UnitProblem, from_unit, show, to_unit, unit_pattern

SAID_NOTHING = frozenset({"", "not sure", "don't know", "dont know", "guess", "guessed", "skip", "default", "enter"})
WHO = "your car"
"""Stands where a file name stands in a problem."""
_NUMBER = re.compile(r"[-+]?[\d.][\d.,/]*(?:\s+\d+/\d+)?(?:\s*[a-zA-Z%\"][\w/%\"]*)?")
_PLACES_OF_CORNERS = (("left", "right", "left", "right"), ("front", "front", "rear", "rear"))
"""Side and end of LF, RF, LR and RR."""
_NUMBER_ALONE = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w./])")
_THE_REST = re.compile(
    r"\b(?:rest|others?|else)\b\D*(?P<behind>\d+(?:\.\d+)?)"
    r"|(?P<before>\d+(?:\.\d+)?)s?(?: ?psi)?,? (?:all (?:a)?round|everywhere|except|but)\b"
)
_SOFTLY = re.compile(r"^(?:(?:is|are|has|at|about|like|around|roughly|maybe|say)\s+)+")
"""What stands between a corner and its number: "lf is about 12"."""
_GUESSING = re.compile(r"\b(?:about|like|around|roughly|maybe)\b", re.IGNORECASE)
_ALONE = re.compile(r"[-+]?[\d.,/\s]+")
_MARK = re.compile(r"[\s,]*\bguess(?:ed)?$", re.IGNORECASE)
LAP = key("lap", "lap", "lap_length", "340 ft", "3 mi", "Length of one lap.",
          "short tracks are a fifth of a mile to a mile; is it in miles?")  # fmt: skip
"""Shaped like the demo's oval, a shorter lap turns tighter than a track file may say."""
_CAR = {one.field: one for one in CAR_KEYS}
_KEYS: Mapping[str, Key] = {**_CAR, **ROW_OF, **{one.field: one for one in (LAP, RUN_KEY, *END_KEYS)}}


@dataclass(frozen=True)
class KindOfThing:
    """One of the kinds there are of something. note: what is to be said of it. mass: usual weight of such a car [lb].

    left_out: levers such a car has not. also: other words for it.
    """

    says: str
    note: str = ""
    mass: float = 2900.0
    left_out: tuple[str, ...] = ()
    also: tuple[str, ...] = ()


@dataclass(frozen=True)
class Ask:
    """One question. text: what is asked. help: how to find out. holds: fields of the values an answer holds, in order.

    instead: another row of keys an answer may hold (four corner weights for three shares). choices: what is picked
    from, with what is to be said of a pick; the first is the default.
    """

    id: str
    text: str
    help: str
    holds: tuple[str, ...] = ()
    instead: tuple[Key, ...] = ()
    choices: tuple[KindOfThing, ...] = ()

    @property
    def keys(self) -> tuple[Key, ...]:
        """The keys of the values an answer holds."""
        return tuple(_KEYS[field] for field in self.holds)


@dataclass(frozen=True)
class CarAnswer:
    """One answer: the question's id, SI values (or the name, or the number of a choice), and whether it is guessed."""

    id: str
    values: tuple[float, ...]
    guessed: bool
    name: str = ""


def _at_each_corner(group: str) -> tuple[str, ...]:
    return tuple(f"{group}_{corner}" for corner in CORNER_KEYS)


TRACK_BAR = ("track_bar",)
KINDS_OF_CAR = (
    KindOfThing("full-bodied car, solid rear axle with a track bar", also=("late", "model", "stock")),
    KindOfThing(
        "heavy street car, solid rear axle without a track bar",
        "Moves of a track bar are left out for your car.",
        3400.0,
        TRACK_BAR,
        also=("leaf", "leafs", "springs", "stock"),
    ),
    KindOfThing("light or open-wheel car, solid rear axle with a track bar", mass=2400.0, also=("modified",)),
    KindOfThing(
        "car with independent rear suspension",
        "Only solid rear axles are known here: trust nothing that is said of the rear of your car.",
        left_out=TRACK_BAR,
    ),
    KindOfThing("something else, or not sure"),
)
"""The weights are an assumption: about what such cars weigh; they count as guessed."""
SURFACES = (
    KindOfThing("paved", also=("asphalt", "pavement", "concrete", "blacktop")),
    KindOfThing(
        "dirt",
        "Dirt is outside of what is known here: tires work in another way on it. Look around, change nothing.",
        also=("clay",),
    ),
)
_LENGTHS = {"half": "1/2", "quarter": "1/4", "third": "1/3", "three eighths": "3/8", "five eighths": "5/8", "one": "1"}
# fmt: off
STEEPNESS = {
    "semi flat": 4, "semi banked": 8, "flat": 2, "a little": 6, "slightly": 6, "low": 6, "medium": 12, "banked": 12,
    "steep": 18, "high": 18,
}
"""Words for a banking, in degrees; an assumption, so it counts as guessed."""
_OF_A_TRACK = sorted({word for words in (*_LENGTHS, *STEEPNESS, "mile") for word in words.split()})
"""Words of an answer that are read with a slip in them: "hafl mile"."""
QUESTIONS: tuple[Ask, ...] = (
    Ask("name", "What shall the car be called?", "Any short name; its folder is called the same."),
    Ask("weight", "What does it weigh, with driver and fuel?", "Add the four scales, driver in the seat.", ("mass",)),
    Ask("size", "Wheelbase, front track, rear track?",
        "Wheel center to wheel center, and middle of tread to middle of tread, front and rear.",
        ("wheelbase", "track_front", "track_rear")),
    Ask("scales", "Nose, left and cross percent? Or the four scales: LF, RF, LR, RR.",
        "Nose is LF and RF, left is LF and LR, cross is RF and LR, each over the whole weight.",
        SHARE_LEVERS, CORNER_WEIGHT_KEYS),
    Ask("springs", "Springs, LF, RF, LR, RR?", "The rate stamped on the spring, or measured.",
        _at_each_corner("spring")),
    Ask("bar", "Front sway bar, outside diameter?", "Measure the part that twists.", ("front_bar",)),
    Ask("stagger", "Rear stagger?", "Tape round the RR less tape round the LR, at race pressure.", ("stagger",)),
    Ask("air", "Cold pressures, LF, RF, LR, RR?", "Before the run, tires as cold as the air.",
        _at_each_corner("pressure")),
    Ask("track", "Length of the lap, and banking in the turns? Words do: half mile, flat.",
        "The banking in degrees, or: flat, a little, medium, steep.", ("lap", "bank")),
    Ask("run", "How many laps between stops?", "The longest run without new tires or fuel.", ("run_laps",)),
    Ask("fuel", "Fuel at the start of a run?", "It is taken to be in the car on the scales too.", ("fuel_at_green",)),
    Ask("kind", "What kind of car, with what rear end?",
        "A solid axle is one beam from wheel to wheel; it is taken to be locked, so that both wheels turn together.",
        choices=KINDS_OF_CAR),
    Ask("surface", "Paved or dirt?", "What the track is made of.", choices=SURFACES),
)
# fmt: on
"""All of them."""
SHORT_QUESTIONS: tuple[Ask, ...] = tuple(
    ask for name in ("name", "kind", "surface", "track", "air", "run") for ask in QUESTIONS if ask.id == name
)
"""What a newcomer can answer: a name and five questions; the rest is guessed until it is said."""


ASKED_OF_CAR = {ask.id: ask.holds for ask in QUESTIONS if set(ask.holds) & _CAR.keys()}
ASKED_OF_SETUP = {ask.id: ask.holds for ask in QUESTIONS if set(ask.holds) & ROW_OF.keys()}
"""Question to the fields of the car, or to the levers, that its answer holds."""


@dataclass(frozen=True)
class CarInterview:
    """Where the questions stand; every step gives a new one. system: what bare numbers mean."""

    system: System = "trade"
    given: tuple[CarAnswer, ...] = ()
    questions: tuple[Ask, ...] = QUESTIONS

    def next_question(self) -> Ask | None:
        """Give the next question; None when all are answered."""
        answered = {one.id for one in self.given}
        return next((ask for ask in self.questions if ask.id not in answered), None)

    def default(self) -> str:
        """Show what is taken when nothing is said to the next question; empty when there is none."""
        ask = self.next_question()
        return "" if ask is None else _default(ask, self.system)

    def shown(self) -> str:
        """Show the last answer as it was understood."""
        given = self.given[-1]
        ask = next(one for one in QUESTIONS if one.id == given.id)
        values = _shown(ask, given.values, self.system) if ask.keys else given.name
        said = ask.choices[int(given.values[0])].says if ask.choices else values
        return f"{said} (a guess)" if given.guessed else said

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
    if ask.choices:
        return CarAnswer(ask.id, (float(_read_choice(ask, text, said_nothing)),), guessed=said_nothing)
    if not ask.keys:
        name = slug(text) if not said_nothing else "my-car"
        if not name or len(name) > 40:
            raise UnitProblem("a name needs a letter or a digit, and 40 of them at most", "for example my-car")
        return CarAnswer(ask.id, (), guessed=False, name=name)
    written = _WRITTEN[ask.id](text, so_far.system) if ask.id in _WRITTEN else text
    values, guessed = _read_values(ask, _default(ask, so_far.system) if said_nothing else written, so_far.system)
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


def _read_choice(ask: Ask, text: str, said_nothing: bool) -> int:
    if said_nothing:
        return 0
    at = place_of(text, [(one.says, f"{one.says} {' '.join(one.also)}") for one in ask.choices])
    if at is None:
        numbered = "; ".join(f"{at} {one.says}" for at, one in enumerate(ask.choices, 1))
        raise UnitProblem(f"'{text[:40]}' is none of them", f"type a number: {numbered}")
    return at


def _written_track(text: str, system: System) -> str:
    """Write words for a lap and a banking as numbers: "half mile, flat" is 1/2 mile, 2 deg guessed."""
    plain = re.sub(r"[a-z]+", lambda word: without_slip(word[0], _OF_A_TRACK), text.casefold())
    for words, written in _LENGTHS.items():
        plain = re.sub(rf"(?:\ban? )?\b{words}\b(?: of)?(?: an?\b)?", written, plain)
    plain = plain.replace("semi-", "semi ")
    steep = next((words for words in STEEPNESS if re.search(rf"\b{words}\b", plain)), "")
    alone = _NUMBER.findall(re.sub(rf"\W*\b{steep}\b", "", plain) if steep else plain)
    if steep and len(alone) <= 1:
        return f"{alone[0] if alone else _default_part(0, system)}, {STEEPNESS[steep]} deg guessed"
    if len(alone) == 2:
        return text if plain == text.casefold() else ", ".join(alone) + (" guessed" if _MARK.search(plain) else "")
    return f"{plain}, {_default_part(1, system)} guessed" if len(alone) == 1 and "," not in plain else text


def _written_air(text: str, _: System) -> str:
    """Write one pressure for all four, for each side or end, or for a corner and the rest, as four guessed numbers."""
    plain = _MARK.sub("", text.casefold())
    numbers = _NUMBER_ALONE.findall(plain)
    places = [one.replace("back", "rear") for one in re.findall(r"\b(left|right|front|rear|back)s?\b", plain)]
    unit = re.search(rf"\d\s*({unit_pattern(['pressure'])})", plain)
    tail = f" {unit[1]} guessed" if unit else " guessed"
    if len(numbers) == 1 and not places:
        return ", ".join(numbers * len(CORNERS)) + tail
    if corners := _one_and_the_rest(plain):
        return ", ".join(corners) + tail
    told = dict(zip(places, numbers, strict=False))
    row = next((row for row in _PLACES_OF_CORNERS if set(row) == set(places)), None)
    if row is None or len(numbers) != len(places) or len(told) != len(places):
        return text
    return ", ".join(told[place] for place in row) + tail


def _one_and_the_rest(plain: str) -> list[str]:
    """Read "rf is 22, the rest like 12" and "12 all around but rf 22"; [] where it is not said so."""
    rest = _THE_REST.search(plain)
    _, corners = part_at_corners(plain.replace(rest[0], " ", 1)) if rest else ("", [])
    told = {corner: _NUMBER_ALONE.findall(behind) for corner, behind in corners}
    if rest is None or not told or any(len(numbers) != 1 for numbers in told.values()):
        return []
    return [told.get(corner, [rest["behind"] or rest["before"]])[0] for corner in CORNERS]


_WRITTEN = {"track": _written_track, "air": _written_air}
"""Questions that take words for numbers."""


def banking_left(text: str, system: System) -> str:
    """Say which banking is guessed where only the length of a lap was told: "3/8 mile"; "" for any other answer."""
    default = _default_part(1, system)
    only_length = text.strip().casefold() not in SAID_NOTHING and "," not in text
    return default if only_length and _written_track(text, system).endswith(f", {default} guessed") else ""


def _default_part(place: int, system: System) -> str:
    ask = next(one for one in QUESTIONS if one.id == "track")
    return _default(ask, system).split(", ")[place]


def _read_values(ask: Ask, text: str, system: System) -> tuple[tuple[float, ...], bool]:
    """Read the numbers of an answer, separated by commas or spaces; a unit behind the last holds for all before it."""
    parts = _at_corners(ask, _MARK.sub("", text)) or _split(_MARK.sub("", text), len(ask.keys))
    keys = ask.instead if ask.instead and len(parts) == len(ask.instead) else ask.keys
    if len(parts) != len(keys):
        wanted = ("one value is", "two values are", "three values are", "four values are")[len(ask.keys) - 1]
        raise UnitProblem(f"{wanted} wanted, {len(parts)} found")
    last = _ALONE.match(parts[-1])
    shared = parts[-1][last.end() :] if last and len({one.kind for one in keys}) == 1 else ""
    readings = [
        read_key(one, f"{part} {shared}" if shared and _ALONE.fullmatch(part) else part, system)
        for one, part in zip(keys, parts, strict=True)
    ]
    guessed = bool(_MARK.search(text) or _GUESSING.search(text)) or any(one.guessed for one in readings)
    return tuple(reading.value for reading in readings), guessed


def _at_corners(ask: Ask, text: str) -> list[str]:
    """Put what is written behind the names of all four corners in the order of the question; [] where none is named."""
    before, parts = part_at_corners(text)
    if not parts or len(ask.instead or ask.keys) != len(CORNERS):
        return []
    found = {corner: _SOFTLY.sub("", part.lower()) for corner, part in parts}
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
    if weight is not None and not weight.guessed and abs(total / weight.values[0] - 1) > WEIGHT_SLACK:
        said, now = (show(one, "mass", system=so_far.system) for one in (weight.values[0], total))
        raise UnitProblem(
            f"the four scales add up to {now}, but the weight was {said}", "type back to change the weight"
        )
    return shares_of((lf, rf, lr, rr))


def _default(ask: Ask, system: System) -> str:
    """Write the demo's values as a person would type them."""
    if ask.choices:
        return ask.choices[0].says
    if not ask.keys:
        return "my-car"
    return _shown(ask, _demo_values()[ask.id], system)


def _shown(ask: Ask, values: tuple[float, ...], system: System) -> str:
    shown = (show(value, one.kind, system=system, fraction=True) for one, value in zip(ask.keys, values, strict=True))
    return ", ".join(text.replace(",", "") for text in shown)


@lru_cache
def _demo_values() -> Mapping[str, tuple[float, ...]]:
    demo = read_case("demo")
    car, values = demo.car, demo.setup.values
    mean_bank = to_unit(sum(end.bank for end in demo.track.ends) / len(demo.track.ends), "deg")
    return {
        **{question: tuple(getattr(car, name) for name in names) for question, names in ASKED_OF_CAR.items()},
        "run": (float(demo.run_laps),),
        # half a mile and twelve degrees: nobody would type the demo's own 2642 ft
        "track": (from_unit(round(to_unit(demo.track.lap_length, "mi"), 1), "mi"), from_unit(round(mean_bank), "deg")),
        **{question: tuple(values[lever] for lever in levers) for question, levers in ASKED_OF_SETUP.items()},
    }


@lru_cache
def _least_weight() -> float:
    """Least weight of a car with the demo's wheels, axles and ballast, which are never asked for [kg]."""
    demo = read_case("demo").car
    return (demo.unsprung_front + demo.unsprung_rear + demo.ballast_mass) / MOST_UNSPRUNG
