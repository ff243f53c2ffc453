"""A small pack for the tests of the interview: the real phrases, a handful of symptoms, causes and questions."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from assistant.car.case import Case
from assistant.car.files import read_case
from assistant.diagnosis.hearing import complaint_of, read
from assistant.ground.understood import Complaint
from assistant.rules.facts import facts_with_answers
from assistant.rules.knowledge import NO_WEIGHTS, Knowledge
from assistant.rules.models_symptom import Cause, PhrasesFile, Question, Symptom
from assistant.rules.pack import load_packs

REMEDY = {"driving": "squeeze-later", "because": "x", "confidence": "good", "backed_by": ["common practice"]}


def symptom(name: str, balance: str, phase: str, **more: object) -> Symptom:
    return Symptom(symptom=name, balance=balance, phase=phase, feels_like="x", remedies=[REMEDY], **more)


def cause(name: str, explains: list[tuple[str, str]], signs_for: list[dict], against: list[dict] = (), **more) -> Cause:
    places = [{"balance": balance, "phase": phase} for balance, phase in explains]
    more = {"prior": "usual", "title": name.replace("-", " "), "test": "x", "backed_by": ["common practice"], **more}
    return Cause(cause=name, explains=places, signs_for=signs_for, signs_against=list(against), **more)


def sign(condition: str, strength: str = "strong", **more: str) -> dict:
    return {"if": condition, "strength": strength, "text": f"sign: {condition}", **more}


def question(asks: str, topic: str, choices: dict[str, str], **more: object) -> Question:
    listed = [{"id": key, "says": says, "means": says} for key, says in choices.items()]
    return Question(asks=asks, topic=topic, choices=listed, how_to_tell=f"how to tell: {asks}", **more)


@lru_cache
def phrases() -> PhrasesFile:
    return load_packs().phrases


SYMPTOMS = [
    symptom("loose in", "loose", "entry"),
    symptom("loose at turn-in", "loose", "entry"),
    symptom("loose off", "loose", "exit", also_said=["wags off the corner"]),
    symptom("tight in the middle", "tight", "middle"),
    symptom("tight middle snaps loose", "tight", "middle", also_said=["it bites itself"]),
    symptom("loose all the way", "loose", "all"),
    symptom("getting looser through the run", "loose", "all", stages=["worn"], trend="looser"),
    symptom("wheel hop", "none", "exit", also_said=["hammers the floor"]),
    symptom("shakes apart", "none", "all", also_said=["feels unhinged"], safety=True),
]
QUESTIONS = {
    "came_on": question(
        "How did it come on?", "feel", {"first-lap": "at once", "gradually": "bit by bit", "suddenly": "in one lap"}
    ),
    "stagger_hot": question(
        "Stagger hot?", "tires", {"grown": "more", "as-set": "as set", "not-measured": "not measured"}
    ),
    "snap_or_slide": question("Snap or slide?", "feel", {"snap": "snaps", "slide": "slides"}),
    "track_change": question("Track changed?", "track", {"sun": "sun", "no": "no"}, when="which_end is both"),
    "which_end": question("Which end?", "track", {"both": "both ends", "one": "one end only"}),
}
CAUSES = [
    cause(
        "plain-balance",
        [("loose", "all"), ("tight", "all")],
        [sign("came_on is first-lap", "fair")],
        prior="common",
        plain=True,
    ),
    cause(
        "tight-middle-snap",
        [("loose", "exit")],
        [sign("extra_wheel is yes"), sign("snap_or_slide is snap", "fair")],
        [sign("extra_wheel is no")],
        instead="tight middle snaps loose",
    ),
    cause(
        "stagger-grown",
        [("loose", "exit")],
        [
            sign("stagger_hot is grown", same_as="size"),
            sign("hot_pressure_rr - cold_pressure_rr > 8 psi", "weak", same_as="size"),
        ],
        [sign("stagger_hot is as-set"), sign("came_on is first-lap", "fair")],
    ),
    cause(
        "something-broken",
        [("loose", "all"), ("tight", "all")],
        [sign("came_on is suddenly")],
        prior="rare",
        safety=True,
    ),
]


INTERVIEW = {
    "question_price": 0.02,
    "price_growth": 0.0,
    "minute_price": 0.004,
    "unsure_again": 0.1,
    "none_of_these": 0.1,
}


def knowledge_of(questions: dict[str, Question], **content: object) -> Knowledge:
    """What the questions' answers may be is known, as it is of packs that were loaded."""
    facts = facts_with_answers({qid: [choice.id for choice in one.choices] for qid, one in questions.items()})
    return Knowledge(questions=questions, facts=facts, **content)


def read_complaint(
    text: str, knowledge: Knowledge, ends: Sequence[str] = (), run_laps: float | None = None
) -> Complaint:
    """Read words into cells, as an interview does."""
    return complaint_of(read(text, knowledge, run_laps), ends)


def small_pack() -> Knowledge:
    extra = {
        "extra_wheel": question(
            "Extra wheel?", "hands", {"yes": "adding wheel", "no": "hands are quiet", "not-sure": "not sure"}
        )
    }
    base = load_packs().questions
    fixed = {qid: base[qid] for qid in ("complaint", "safety", "safety-kind", "where", "how-bad", "first-laps")}
    return knowledge_of(
        phrases=phrases(),
        symptoms={one.symptom: one for one in SYMPTOMS},
        causes={one.cause: one for one in CAUSES},
        questions={**fixed, **QUESTIONS, **extra},
        ranking=NO_WEIGHTS.model_copy(update={"interview": INTERVIEW}),
    )


PACK = small_pack()


@lru_cache
def demo_case() -> Case:
    return read_case("demo")


ENDS = ("turns 1-2", "turns 3-4")
ALL, EVERY = ("entry", "middle", "exit"), ("fresh", "settled", "worn")


def cells(text: str, run_laps: float | None = None) -> dict[str, set[tuple[str, str]]]:
    """Give the phases and stages of each balance that words are read as."""
    found: dict[str, set[tuple[str, str]]] = {}
    for cell in read_complaint(text, PACK, ENDS, run_laps).cells:
        found.setdefault(cell.balance, set()).add((cell.phase, cell.stage))
    return found


def box(phases: tuple[str, ...] | str, stages: tuple[str, ...] | str = EVERY) -> set[tuple[str, str]]:
    phases = (phases,) if isinstance(phases, str) else phases
    stages = (stages,) if isinstance(stages, str) else stages
    return {(phase, stage) for phase in phases for stage in stages}
