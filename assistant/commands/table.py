"""Every command with its words and options, as data: the parser and docs/commands.md are made from this one table.

A command names the module of `assistant.commands` and the function in it that runs it; a new one is an entry in
COMMANDS.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from assistant.ground.grid import STAGES
from assistant.pages.blocks import ALL, CORNER, FORECAST


@dataclass(frozen=True)
class Argument:
    """One word or option. more: what argparse needs besides, such as nargs or choices."""

    names: tuple[str, ...]
    says: str
    metavar: str | None = None
    more: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Command:
    """runs: module under assistant.commands, and its function. says: one line. more: what its help adds."""

    name: str
    runs: str
    says: str
    arguments: tuple[Argument, ...]
    more: str = ""


KINDS = ("case", "car", "tire", "track", "rulebook", "setup", "pack", "symptom", "lever", "cause")
CASE_SAYS = "a case file, or demo, demo-tight or demo-snap: invented cars that come with the program"
CASE = Argument(("case",), CASE_SAYS, "CASE")
JSON = Argument(("--json",), "answer in JSON, for programs", more={"action": "store_true"})
LAPS = Argument(("--laps",), "laps of the run, 20 to 300; the case's when left out", "N")
COMPLAINT = Argument(("--complaint",), 'what the car does, such as "loose off, worn, 3"', "WORDS")
ANSWER = Argument(
    ("--answer",),
    "answer an open question; give it again for more",
    "QUESTION=CHOICE",
    {"action": "append", "default": []},
)
FACTS = Argument(
    ("--facts",),
    "say what every change is on this car, in pounds, turns and inches; with --json too",
    more={"action": "store_true"},
)
STOP = Argument(
    ("--stop",),
    'a stop or a caution, such as "30: new right tires, fuel", "45: fuel" or "60: caution 5 laps"; again for more',
    "LAP: WHAT",
    {"action": "append", "default": []},
)
SYSTEMS, COLORS = ("trade", "si"), ("auto", "always", "never")
COMMON = (
    Argument(
        ("--units",), "inches, pounds, psi and Fahrenheit, or SI units", more={"choices": SYSTEMS, "default": "trade"}
    ),
    Argument(
        ("--accessible",),
        "one item a line, nothing redrawn (also ACCESSIBLE=1)",
        more={"action": "store_true", "default": False},
    ),
    Argument(("--color",), "color where it may be used (also NO_COLOR=1)", more={"choices": COLORS, "default": "auto"}),
    Argument(("--pack",), "a folder of your own rules; give it again for more", "DIR", {"action": "append"}),
)
"""What every command takes, before its name or after it."""

COMMANDS = (
    Command(
        "talk",
        "talk_and_help.talk",
        "talk about the car: a few questions, then what to change",
        (
            Argument(("case",), f"{CASE_SAYS}; demo when left out", "CASE", {"nargs": "?"}),
            Argument(("--fresh",), "do not offer to go on with a talk that was cut off", more={"action": "store_true"}),
        ),
        "The default.",
    ),
    Command(
        "new",
        "new.new",
        "describe your own car, or start a file",
        (
            Argument(("kind",), ", ".join(KINDS), "KIND", {"choices": KINDS}),
            Argument(("name",), "what it is called; the file is named after it", "NAME", {"nargs": "?"}),
            Argument(("-o", "--output"), "write here instead; what is there is never replaced", "PLACE"),
            Argument(
                ("--starter",), "for a car or a case: commented files, no questions", more={"action": "store_true"}
            ),
        ),
        "A car or a case is asked for by eleven questions, each with a default; the others are commented files.",
    ),
    Command(
        "advise",
        "advise.advise",
        "what to change for the complaint in a case",
        (
            CASE,
            Argument(
                ("part",),
                "all: every change whole, with every cost; the first three when left out",
                "PART",
                {"nargs": "?", "choices": (ALL,)},
            ),
            COMPLAINT,
            ANSWER,
            FACTS,
            JSON,
        ),
    ),
    Command(
        "sheet",
        "advise.sheet",
        "one page for somebody else: what to change and why",
        (
            CASE,
            Argument(
                ("-o", "--output"), "the page to write, or - for the screen; CASE-sheet.html when left out", "FILE"
            ),
            Argument(("--against",), "a setup or a case to lay beside this one: what differs, what it does", "OTHER"),
            Argument(("--format",), "by the ending of FILE when left out", more={"choices": ("html", "markdown")}),
            Argument(("--force",), "replace a page that is there already", more={"action": "store_true"}),
            COMPLAINT,
            ANSWER,
            JSON,
        ),
        "HTML needs nothing else and prints; Markdown says the same. "
        "The demo's page is docs/sheet-demo.md, made with: halfturn sheet demo -o docs/sheet-demo.md --force",
    ),
    Command(
        "levers",
        "on_a_car.levers",
        "what every adjustment does on this car",
        (
            CASE,
            Argument(
                ("lever",), "only these levers, in full; all for every one; else the strongest", "LEVER", {"nargs": "*"}
            ),
            Argument(
                ("--severity",),
                "how the severities 1 to 5 of a complaint are measured on this car",
                more={"action": "store_true"},
            ),
            JSON,
        ),
    ),
    Command(
        "forecast",
        "run_ahead.forecast",
        "the run ahead: balance, tires, fuel, gears and brakes",
        (
            CASE,
            Argument(
                ("part",),
                f"show this part of it: {', '.join(FORECAST)}; what matters most when left out",
                "PART",
                {"nargs": "?", "choices": FORECAST},
            ),
            LAPS,
            STOP,
            JSON,
            Argument(("--csv",), "a table with one row a lap, for a spreadsheet", more={"action": "store_true"}),
        ),
    ),
    Command(
        "try",
        "run_ahead.try_change",
        "the run before and after a change: balance, tires, pace and fuel",
        (
            CASE,
            Argument(
                ("change",),
                'a new value such as spring_rr="250 lb/in", or a move such as stagger+=1/4in',
                "LEVER=VALUE",
                {"nargs": "+"},
            ),
            Argument(
                ("--seats-alone",),
                "springs are swapped without turning a jack bolt; otherwise the car is scaled again",
                more={"action": "store_true", "default": False},
            ),
            LAPS,
            STOP,
            JSON,
        ),
        "Nothing is saved.",
    ),
    Command(
        "check",
        "check.check",
        "look for mistakes in rules, and run their cases",
        (
            Argument(("folder",), "folders of rules; the program's own when left out", "PACK", {"nargs": "*"}),
            Argument(
                ("--coverage",),
                "count symptoms, remedies, cases and sources for each complaint, and name the holes",
                more={"action": "store_true"},
            ),
            Argument(
                ("--audit",),
                "hold what the rules say against the vehicle model, on this case; demo when left out",
                "CASE",
                {"nargs": "?", "const": "demo"},
            ),
            Argument(("--all",), "show every fault and note; else the first 20", more={"action": "store_true"}),
            JSON,
        ),
    ),
    Command(
        "tires",
        "on_a_car.tires",
        "what tread temperatures, pressures and wear say of air, camber and balance",
        (
            CASE,
            Argument(
                ("earlier",),
                "earlier cases of the same car with other air or camber, to measure degrees per psi",
                "EARLIER",
                {"nargs": "*"},
            ),
            JSON,
        ),
        "The readings are those of the case's block 'measured'.",
    ),
    Command(
        "corner",
        "run_ahead.corner",
        "the car at its limit, for the engineer: loads, slip angles, steering, which tire gives up",
        (
            CASE,
            Argument(
                ("part",),
                f"show this part of it: {', '.join(CORNER)}; which tire gives up when left out",
                "PART",
                {"nargs": "?", "choices": CORNER},
            ),
            Argument(
                ("--stage",),
                "where in the run; worn when left out",
                more={"choices": STAGES, "default": STAGES[-1]},
            ),
            JSON,
        ),
        "With the setup of the case, on the tires of the run ahead, where its complaint puts the car.",
    ),
    Command(
        "calibrate",
        "on_a_car.calibrate",
        "fit the model to a run log, and keep what it taught",
        (
            CASE,
            Argument(("run_log",), "laps, lap times and readings as CSV or YAML; see halfturn help run-logs", "RUNLOG"),
            Argument(("--dry-run",), "show the fit, write nothing", more={"action": "store_true"}),
            JSON,
        ),
    ),
    Command(
        "where",
        "talk_and_help.where",
        "which pack, file and line a rule comes from",
        (
            Argument(("symptom",), 'a symptom, lever, cause or habit, such as "loose off"', "SYMPTOM", {"nargs": "+"}),
            JSON,
        ),
    ),
    Command(
        "explain",
        "talk_and_help.explain",
        "what a word, lever, cause or symptom means, with its sources",
        (Argument(("word",), "a word of the trade, a lever, a cause or a symptom", "WORD", {"nargs": "+"}), JSON),
    ),
    Command(
        "help",
        "talk_and_help.help_on",
        "how to use the program",
        (Argument(("topic",), "a command, a page of the documentation, or a word", "TOPIC", {"nargs": "?"}),),
    ),
)

BRITISH = {"tyres": "tires", "tyre": "tire"}
"""Names of commands, kinds and parts as they are spelled elsewhere: understood, and shown nowhere."""
OLD_NAMES = {"whatif": "try"}
"""Commands that are called otherwise by now: refused, with the new name."""
