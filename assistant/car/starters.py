"""Commented starter files: every key with its meaning and its range, filled from the demo, and loadable as they are."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from assistant.car.case import Case
from assistant.car.file_keys import LAP_TIME_KEY, MEASURED_KEYS, TREAD_KEY
from assistant.car.file_models import LAPS_KEY, RUN_KEY
from assistant.car.files import FILE_KINDS, read_case
from assistant.car.keys import CORNER_KEYS
from assistant.car.write import write_car, write_rulebook, write_setup, write_tire, write_track
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
    case = read_case("demo")
    return f"# {_HEADS[kind]}\n{_ADVICE}" + _body(kind, case, system)


def _body(kind: str, case: Case, system: System) -> str:
    if kind == "car":
        return write_car(case.car, system, explain=True)
    if kind == "tire":
        return write_tire(case.tire, system, explain=True)
    if kind == "track":
        return write_track(case.track, system, explain=True)
    if kind == "rulebook":
        return write_rulebook(case.rulebook, system, explain=True)
    if kind == "setup":
        return write_setup(case.setup, case.car.name, system, explain=True)
    return _case(system)


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
