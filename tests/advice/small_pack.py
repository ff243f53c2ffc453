"""A small pack and a car with simple limits, for tests of the advice. Sentences are made up for the tests."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from assistant.car.case import LeverLimit, Rulebook
from assistant.car.files import read_case
from assistant.ground.understood import Cell, Complaint
from assistant.rules.models import Caution, Driving, Lever, Source
from assistant.rules.models_symptom import Cause, Symptom
from assistant.rules.pack import load_packs
from tests.advice.round_numbers import DEG, IN, LB_IN, PSI, STEPS

# lever: (title, unit, plus word, minus word, plus verb, minus verb, usual, largest)
WORDS = {
    "cross_weight": ("cross weight", "%", "more", "less", "add", "take out", "0.5 %", "1.5 %"),
    "spring_rr": ("RR spring", "lb/in", "stiffer", "softer", "stiffen", "soften", "25 lb/in", "50 lb/in"),
    "spring_lr": ("LR spring", "lb/in", "stiffer", "softer", "stiffen", "soften", "25 lb/in", "50 lb/in"),
    "spring_rf": ("RF spring", "lb/in", "stiffer", "softer", "stiffen", "soften", "25 lb/in", "50 lb/in"),
    "front_bar": ("front bar", "in", "stiffer", "softer", "stiffen", "soften", "1/8 in", "1/4 in"),
    "track_bar": ("track bar", "in", "up", "down", "raise", "lower", "1/4 in", "1/2 in"),
    "track_bar_right": ("right end of the bar", "in", "up", "down", "raise", "lower", "1/4 in", "1/2 in"),
    "track_bar_left": ("left end of the bar", "in", "up", "down", "raise", "lower", "1/4 in", "1/2 in"),
    "stagger": ("stagger", "in", "more", "less", "add", "take out", "1/4 in", "1/4 in"),
    "pressure_rr": ("RR pressure", "psi", "more", "less", "raise", "lower", "1 psi", "2 psi"),
    "camber_rf": ("RF camber", "deg", "more", "less", "add", "take out", "0.5 deg", "1 deg"),
    "brake_bias": ("brake bias", "%", "more front", "less front", "move forward", "move back", "1 %", "3 %"),
    "toe": ("toe", "in", "out", "in", "increase", "reduce", "1/16 in", "1/8 in"),
}
# lever: (value today, low, high, step), SI
CAR = {
    "cross_weight": (0.51, 0.48, 0.56, 0.0025),
    "spring_rr": (225 * LB_IN, 175 * LB_IN, 300 * LB_IN, 25 * LB_IN),
    "spring_lr": (250 * LB_IN, 150 * LB_IN, 250 * LB_IN, 25 * LB_IN),
    "spring_rf": (400 * LB_IN, 325 * LB_IN, 500 * LB_IN, 25 * LB_IN),
    "front_bar": (1.0 * IN, 0.875 * IN, 1.375 * IN, 0.125 * IN),
    "track_bar_right": (10 * IN, 8 * IN, 13 * IN, 0.25 * IN),
    "track_bar_left": (10 * IN, 8 * IN, 13 * IN, 0.25 * IN),
    "stagger": (1.75 * IN, 1 * IN, 2.75 * IN, 0.125 * IN),
    "pressure_rr": (22 * PSI, 16 * PSI, 32 * PSI, 0.5 * PSI),
    "camber_rf": (-3 * DEG, -6 * DEG, 0.0, 0.25 * DEG),
    "brake_bias": (0.62, 0.55, 0.75, 0.01),
    "toe": (0.0625 * IN, 0.0, 0.25 * IN, 0.03125 * IN),
}
TRADE = {"cross_weight": "tighter", "front_bar": "tighter", "spring_rf": "tighter", "brake_bias": "tighter"}


def lever_file(name, **changes):
    title, unit, plus, minus, plus_verb, minus_verb, usual, largest = WORDS[name]
    view = TRADE.get(name, "looser")
    lines = {phase: {"balance": view, "confidence": "good", "backed_by": ["book"]} for phase in ("middle", "exit")}
    return Lever.model_validate(
        {
            "lever": name,
            "title": title,
            "unit": unit,
            "plus_word": plus,
            "minus_word": minus,
            "plus_verb": plus_verb,
            "minus_verb": minus_verb,
            "usual_change": usual,
            "largest_change": largest,
            "when": "between runs",
            "how": ["do it"],
            "recheck": ["cross weight"],
            "cautions": ["stands"],
            "trade": lines,
            "physics": f"Physics of the {title}.",
            "side_effects": [f"side effect of the {title}"],
            "backed_by": ["book"],
        }
        | changes
    )


def line(what, **changes):
    """One line of a symptom: "lever move", "driving id" or "inspect id"."""
    kind, name, *move = what.split(" ", 2)
    entry = {kind: name, "because": f"Because of {name}.", "confidence": "good", "backed_by": ["book, p. 3"]}
    if kind == "lever":
        entry["move"] = move[0]
    if kind == "inspect":
        entry |= {"title": f"look at the {name}", "how": ["Chock it.", "Measure."]}
    return entry | changes


def symptom(name, balance, phase, lines, **changes):
    return Symptom.model_validate(
        {
            "symptom": name,
            "balance": balance,
            "phase": phase,
            "feels_like": f"It feels {name}.",
            "remedies": [line(one) if isinstance(one, str) else one for one in lines],
        }
        | changes
    )


def cause(name, explains, **changes):
    return Cause.model_validate(
        {
            "cause": name,
            "title": name.replace("-", " "),
            "prior": "usual",
            "explains": explains,
            "signs_for": [{"if": "banking > 8 deg", "strength": "weak", "text": "It is steep."}],
            "test": "Look at it.",
            "backed_by": ["book"],
        }
        | changes
    )


SYMPTOMS = (
    symptom(
        "loose off",
        "loose",
        "exit",
        [
            "lever track_bar_right -",
            "lever cross_weight +",
            "driving squeeze-later",
            "lever spring_rr softer",
            "lever spring_lr +",
            "inspect axle-square",
        ],
    ),
    symptom("tight in the middle", "tight", "middle", ["lever cross_weight -", "lever front_bar softer"]),
    symptom("wheelspin", "none", "exit", ["driving squeeze-later", "lever cross_weight +", "inspect axle-square"]),
)
HABIT = {
    "driving": "squeeze-later",
    "title": "squeeze later",
    "says": "squeeze the throttle later",
    "helps": {"balance": "loose", "phase": "exit"},
    "because": "Less drive leaves more side grip.",
    "confidence": "good",
    "backed_by": ["book"],
}
SOURCE = {"who": "A writer", "title": "A book", "year": 1999, "read": "whole"}


@cache
def _base():
    return load_packs()


def pack(symptoms=SYMPTOMS, causes=(), habit=(), **levers):
    """The small pack; habit: more fields of the one driving habit; levers: lever -> changed fields."""
    return replace(
        _base(),
        levers={name: lever_file(name, **levers.get(name, {})) for name in WORDS},
        symptoms={one.symptom: one for one in symptoms},
        causes={one.cause: one for one in causes},
        driving={"squeeze-later": Driving.model_validate(HABIT | dict(habit))},
        sources={"book": Source.model_validate(SOURCE)},
        cautions={"stands": Caution(says="Car on stands.", backed_by=["book"])},
    )


def small_case(at_hand="shop", fixed=(), **values):
    """The demo car with simple limits; fixed: levers without a limit; values: lever -> SI value today."""
    demo = read_case("demo")
    today = {name: row[0] for name, row in CAR.items()} | values
    limits = {name: LeverLimit(low, high, step, "between runs") for name, (_, low, high, step) in CAR.items()}
    rules = Rulebook("simple rules", {name: limit for name, limit in limits.items() if name not in fixed})
    setup = replace(demo.setup, values={**demo.setup.values, **today})
    return replace(demo, rulebook=rules, setup=setup, at_hand=at_hand)


def complaint(*cells, other=()):
    """cells: (phase, stage, balance, severity)."""
    return Complaint("", tuple(Cell(*cell, severity_given=True) for cell in cells), tuple(other))


LOOSE_OFF = tuple(("exit", stage, "loose", 2) for stage in ("settled", "worn"))
assert set(STEPS) <= set(WORDS)
