"""Speed of large packs: loading, and what they add to advice; once with 10,000 rules and once with half of them.

A rule is a remedy of a symptom or of a cause, or a lever or driving file. The packs are made up: copies of a symptom
and of a cause under other names, each reason different, as the checks want it.
"""

import tempfile
from functools import cache
from pathlib import Path
from time import perf_counter

from assistant.advice.offers import advise
from assistant.belief.garage import Garage, open_garage
from assistant.belief.picture import Told, believe_told
from assistant.car.case import Case
from assistant.car.files import read_case
from assistant.diagnosis.session import start
from assistant.rules.knowledge import Knowledge
from assistant.rules.pack import base_folder, load_packs
from tests.benchmarks.figures import Figure, shortest_time

RULES, IN_ONE_FILE, TIMES = 10_000, 10, 3
FIRST = ("ba", "de", "fi", "go", "hu", "ka", "le", "mi", "no", "ru")
"""Syllables of the names' first words, a hundred of them."""
ALIKE = "ba"
"""First word of all names in the packs whose names begin alike: the worst case of finding phrases by it."""
LEVERS: tuple[str, ...] = (
    "track_bar_right down",
    "cross_weight more",
    "spring_rr softer",
    "stagger less",
    "pressure_rr less",
)
LEVERS += ("compression_rr softer", "link_angle_lr up", "rear_spoiler more", "rear_axle_lead less", "brake_bias front")


def write_pack(folder: Path, rules: int, *, alike: bool = False) -> Path:
    """Write a team pack with so many remedies, ten to a symptom; every second file has another balance or phase.

    alike: all names begin with the same word.
    """
    folder.mkdir(parents=True, exist_ok=True)
    cover = "pack: many\ntitle: Many rules\nedition: 1\nrule_format: 1\nbuilds_on: base\n"
    (folder / "pack.yaml").write_text(cover, encoding="utf-8")
    for number in range(rules // IN_ONE_FILE):
        first = ALIKE if alike else "".join(FIRST[digit] for digit in (number // 10 % 10, number % 10))
        name = f"{first} complaint {number}"
        path = folder / f"{name.replace(' ', '-')}.yaml"
        path.write_text(symptom_text(name, number), encoding="utf-8")
    return folder


def symptom_text(name: str, number: int) -> str:
    """One made-up symptom with ten remedies."""
    balance, phase = ("loose", "tight")[number % 2], ("entry", "middle", "exit")[number % 3]
    lines = [f"symptom: {name}", f"balance: {balance}", f"phase: {phase}", "feels_like: It is made up.", "remedies:"]
    for place, remedy in enumerate(LEVERS):
        lever, move = remedy.split()
        lines += [
            f"  - lever: {lever}",
            f"    move: {move}",
            f"    because: Reason {place} of complaint {number}, said anew.",
            "    watch_for: [something else]",
            "    undo_if: It gets worse.",
            "    confidence: guess",
            "    backed_by: [common practice]",
        ]
    return "\n".join(lines) + "\n"


@cache
def folders(rules: int, *, alike: bool = False) -> tuple[Path, ...]:
    """The base pack, with a made-up pack above it when rules are asked for."""
    if not rules:
        return (base_folder(),)
    place = Path(tempfile.mkdtemp(prefix="many-rules-"))
    return (base_folder(), write_pack(place / "many", rules, alike=alike))


@cache
def knowledge(rules: int) -> Knowledge:
    """Both packs, loaded. A pack that was left out would make every figure a lie."""
    found = load_packs(folders(rules))
    if found.notes:
        raise RuntimeError(found.notes[0].text())
    return found


@cache
def demo() -> tuple[Case, Garage]:
    """The demo and its plausible cars."""
    case = read_case("demo")
    return case, open_garage(case)


def load(rules: int) -> float:
    """Seconds to load so many rules above the base."""
    knowledge(rules)
    return shortest_time(lambda: load_packs(folders(rules)), times=TIMES)


def first_words(rules: int, *, alike: bool = False) -> float:
    """Seconds from loaded rules to the first complaint understood; once in a conversation, so without a warm-up."""
    case, _ = demo()
    taken = []
    for _ in range(TIMES):
        fresh = load_packs(folders(rules, alike=alike))
        begun = perf_counter()
        assert start(case, fresh, "loose off").symptoms
        taken.append(perf_counter() - begun)
    return min(taken)


def ask(rules: int) -> float:
    """Milliseconds of advice, from single steps only: the runs driven anew do not depend on the rules."""
    case, garage = demo()
    session = start(case, knowledge(rules), "loose off late in the run")
    belief = believe_told(case, [Told(case.setup, session.complaint)], garage)
    return shortest_time(lambda: advise(case, knowledge(rules), session, belief, quick=True), times=TIMES, scale=1000.0)


def added(rules: int) -> float:
    """Milliseconds that so many rules add to advice."""
    return max(0.0, ask(rules) - ask(0))


FIGURES = (
    Figure("load the base rules", "s", lambda: load(0), seconds=1.0),
    Figure("load 5,000 rules more", "s", lambda: load(RULES // 2), goal=0.9, seconds=1.0),
    Figure("load 10,000 rules more", "s", lambda: load(RULES), goal=1.5, seconds=1.0),
    Figure("first words, 10,000 rules more", "s", lambda: first_words(RULES), seconds=1.0),
    Figure("first words, 5,000 rules, names alike", "s", lambda: first_words(RULES // 2, alike=True), seconds=1.0),
    Figure(
        "first words, 10,000 rules, names alike", "s", lambda: first_words(RULES, alike=True), goal=1.0, seconds=1.0
    ),
    Figure("advice, base rules", "ms", lambda: ask(0), seconds=0.001),
    Figure("added to advice by 5,000 rules", "ms", lambda: added(RULES // 2), goal=10.0, seconds=0.001),
    Figure("added to advice by 10,000 rules", "ms", lambda: added(RULES), goal=20.0, seconds=0.001),
)
