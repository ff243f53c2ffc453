"""Every fact a condition may speak of: its name, what kind of thing it is, and what it means.

The facts of a case are found elsewhere (`assistant.diagnosis.evidence`); here stands only which there can be.
A fact nobody knows is simply absent, and the condition is then neither true nor false.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from assistant.car.lever_rows import CORNERS_OF_CAR, LEVER_KIND, LEVERS
from assistant.ground.grid import PHASES, STAGES

WORD = "word"
"""Kind of the facts that are one of a few words; every other kind is a key of QUANTITIES."""
IN_A_PHASE = ("loose", "tight", "both", "none")
"""What may be reported in one phase of the corner; both: one of them at one stage or end and one at another."""
EDGES = ("inside", "middle", "outside")


@dataclass(frozen=True)
class Fact:
    """One fact. kind: "word" or a key of QUANTITIES. words: what a word may be."""

    name: str
    kind: str
    meaning: str
    words: tuple[str, ...] = ()


def _known_facts() -> tuple[Fact, ...]:
    fixed = (
        Fact("banking", "angle", "Banking of the turn; the steeper end when the two differ."),
        Fact("banking_least", "angle", "Banking of the flatter end."),
        Fact("radius", "length", "Radius of the driven line; the tighter end when the two differ."),
        Fact("radius_largest", "length", "Radius of the wider end."),
        Fact("lap_length", "lap_length", "Length of one lap."),
        Fact("run_laps", "laps", "Laps between stops."),
        Fact("corner_speed", "speed", "Computed speed in the middle of the turn, tires fresh."),
        Fact("track_temperature", "temperature", "Temperature of the track."),
        Fact("air_temperature", "temperature", "Temperature of the air."),
        Fact("steering_share", "ratio", "Front grip in use over rear grip in use in the middle; 1 is level."),
        Fact("fuel_used", "mass", "Fuel used over the run."),
        Fact("rpm_max", "rpm", "Highest engine speed seen on the straight."),
        Fact("hot_stagger", "short_length", "Rear stagger taped after the run."),
        Fact("laps_measured", "laps", "Laps over which the car was measured."),
        Fact("differential", WORD, "What ties the rear wheels together.", ("locked", "locker", "open")),
        Fact("balance", WORD, "What the driver reports.", ("loose", "tight", "none")),
        *(
            Fact(f"balance_{phase}", WORD, f"What the driver reports in the {phase}, at any stage.", IN_A_PHASE)
            for phase in PHASES
        ),
        Fact("phase", WORD, "Where in the corner the driver reports it.", (*PHASES, "all")),
        Fact("stage", WORD, "Where in the run the driver reports it.", (*STAGES, "all")),
        Fact("trend", WORD, "How it changes through the run.", ("looser", "tighter", "none")),
        Fact("at_hand", WORD, "The time there is for a change.", ("pit stop", "between runs", "shop")),
    )
    return fixed + tuple(_corner_facts())


def _corner_facts() -> Iterable[Fact]:
    for corner in CORNERS_OF_CAR:
        name = corner.upper()
        for edge in EDGES:
            yield Fact(f"temperature_{corner}_{edge}", "temperature", f"Tread temperature of the {name}, {edge}.")
        yield Fact(f"temperature_{corner}", "temperature", f"Mean tread temperature of the {name}.")
        yield Fact(f"hot_pressure_{corner}", "pressure", f"Pressure of the {name} at once after the run.")
        yield Fact(f"cold_pressure_{corner}", "pressure", f"Pressure of the {name} before the run.")
        yield Fact(f"wear_{corner}", "short_length", f"Tread the {name} has used over the run.")


def _lever_facts() -> tuple[Fact, ...]:
    return tuple(
        Fact(lever, LEVER_KIND[lever], f"Today's setting of {lever.replace('_', ' ')}.")
        for lever in LEVERS
        if lever != "track_bar"  # both ends together; it has no value of its own
    )


FACTS: Mapping[str, Fact] = {fact.name: fact for fact in (*_known_facts(), *_lever_facts())}
"""Name to fact, for all facts but the answers."""


def facts_with_answers(answers: Mapping[str, Iterable[str]]) -> Mapping[str, Fact]:
    """Add a word fact for each question: question id to the ids of its choices."""
    asked = {
        name_fact(question): Fact(name_fact(question), WORD, "An answer of the interview.", tuple(choices))
        for question, choices in answers.items()
    }
    return {**asked, **FACTS}


def name_fact(question: str) -> str:
    """Name the fact of a question: a hyphen would be read as a minus by many, so it becomes an underscore."""
    return question.replace("-", "_")
