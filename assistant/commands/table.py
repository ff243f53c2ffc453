"""Every command and its options in one table, and the command line read by it.

argparse reads it, but its complaints are Problems with the nearest spelling. Nothing heavy is imported here.
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from itertools import takewhile
from typing import Any, NoReturn

from assistant import __version__
from assistant.ground.names import STAGES, did_you_mean, nearest
from assistant.ground.problems import BadInput, Problem
from assistant.pages import sayings
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
    """runs: module under assistant.commands and its function, or a function of `cli`.

    says: one line. more: what its help adds.
    """

    name: str
    runs: str
    says: str
    arguments: tuple[Argument, ...]
    more: str = ""


def argument(names: str, metavar: str, says: str, **more: Any) -> Argument:
    """Make a word or an option that takes a value; more: what argparse needs besides."""
    return Argument(tuple(names.split()), says, metavar or None, more)


def flag(name: str, says: str) -> Argument:
    """Make an option that is there or not."""
    return Argument((name,), says, None, {"action": "store_true"})


def repeated(name: str, metavar: str, says: str) -> Argument:
    """Make an option that may be given again."""
    return Argument((name,), says, metavar, {"action": "append", "default": []})


def command(name: str, runs: str, says: str, *arguments: Argument, more: str = "") -> Command:
    """Make a row of the table."""
    return Command(name, runs, says, arguments, more)


def part(parts: tuple[str, ...], says: str) -> Argument:
    """Make a word that names a part of a screen and may be left out."""
    return argument("part", "PART", says, nargs="?", choices=parts)


KINDS = ("case", "car", "tire", "track", "rulebook", "setup", "pack", "symptom", "lever", "cause")
LAST = "last"
"""Stands for the car used last; the invented one where there is none."""
CASE_SAYS = (
    f"a car of yours by name, {LAST} for the one used last, a case file, or demo, demo-tight, demo-snap: invented"
)
CASE = argument("case", "CASE", CASE_SAYS)
JSON = flag("--json", "answer in JSON, for programs")
LAPS = argument("--laps", "N", "laps of the run, 20 to 300; the case's when left out")
COMPLAINT = argument("--complaint", "WORDS", 'what the car does, such as "loose off, worn, 3"')
ANSWER = repeated("--answer", "QUESTION=CHOICE", "answer an open question; give it again for more")
FACTS = flag("--facts", "say what every change is on this car, in pounds, turns and inches; with --json too")
STOP = repeated(
    "--stop",
    "LAP: WHAT",
    'a stop or a caution, such as "30: new right tires, fuel", "45: fuel" or "60: caution 5 laps"; again for more',
)
SYSTEMS, COLORS = ("trade", "si"), ("auto", "always", "never")
COMMON = (
    argument("--units", "", "inches, pounds, psi and Fahrenheit, or SI units", choices=SYSTEMS, default="trade"),
    flag("--accessible", "one item a line, nothing redrawn (also ACCESSIBLE=1)"),
    argument("--color", "", "color where it may be used (also NO_COLOR=1)", choices=COLORS, default="auto"),
    repeated("--pack", "DIR", "a folder of your own rules; give it again for more"),
)
"""What every command takes, before its name or after it."""

COMMANDS = (
    command(
        "talk",
        "talk",
        "talk about the car: a few questions, then what to change",
        argument("case", "CASE", f"{CASE_SAYS}; {LAST} when left out", nargs="?"),
        flag("--fresh", "do not offer to go on with a talk that was cut off"),
        more="The default.",
    ),
    command("cars", "own.cars", "list your cars", JSON, more="The one used last comes first."),
    command(
        "new",
        "own.new",
        "describe your own car, or start a file",
        argument("kind", "KIND", ", ".join(KINDS), choices=KINDS),
        argument("name", "NAME", "what it is called; the file is named after it", nargs="?"),
        argument("-o --output", "PLACE", "write here instead; what is there is never replaced"),
        flag("--starter", "for a car or a case: commented files, no questions"),
        more="A car or a case is asked for by five questions, each with a default; the others are commented files.",
    ),
    command(
        "advise",
        "advise.advise",
        "what to change for the complaint in a case",
        CASE,
        part((ALL,), "all: every change whole, with every cost; the first three when left out"),
        COMPLAINT,
        ANSWER,
        FACTS,
        JSON,
    ),
    command(
        "sheet",
        "advise.sheet",
        "one page for somebody else: what to change and why",
        CASE,
        argument("-o --output", "FILE", "the page to write, or - for the screen; CASE-sheet.html when left out"),
        argument("--against", "OTHER", "a setup or a case to lay beside this one: what differs, what it does"),
        argument("--format", "", "by the ending of FILE when left out", choices=("html", "markdown")),
        flag("--force", "replace a page that is there already"),
        COMPLAINT,
        ANSWER,
        JSON,
        more="HTML needs nothing else and prints; Markdown says the same. "
        "The demo's page is docs/sheet-demo.md, made with: halfturn sheet demo -o docs/sheet-demo.md --force",
    ),
    command(
        "levers",
        "on_a_car.levers",
        "what every adjustment does on this car",
        CASE,
        argument("lever", "LEVER", "only these levers, in full; all for every one; else the strongest", nargs="*"),
        flag("--severity", "what the severities 1 to 5 of a complaint stand for, and the measure of this driver"),
        JSON,
    ),
    command(
        "forecast",
        "on_a_car.forecast",
        "the run ahead: balance, tires, fuel, gears and brakes",
        CASE,
        part(FORECAST, f"show this part of it: {', '.join(FORECAST)}; what matters most when left out"),
        LAPS,
        STOP,
        JSON,
        flag("--csv", "a table with one row a lap, for a spreadsheet"),
    ),
    command(
        "try",
        "on_a_car.try_change",
        "the run before and after a change: balance, tires, pace and fuel",
        CASE,
        argument(
            "change",
            "CHANGE",
            'in words such as "track bar right down 1/2", or written such as stagger=2in or stagger+=1/4in',
            nargs="+",
        ),
        flag("--seats-alone", "springs are swapped without turning a jack bolt; otherwise the car is scaled again"),
        LAPS,
        STOP,
        JSON,
        more="Nothing is saved.",
    ),
    command(
        "check",
        "packs.check",
        "look for mistakes in rules, and run their cases",
        argument("folder", "PACK", "folders of rules; the program's own when left out", nargs="*"),
        flag("--coverage", "count symptoms, remedies, cases and sources for each complaint, and name the holes"),
        argument(
            "--audit",
            "CASE",
            "hold what the rules say against the vehicle model, on this case; demo when left out",
            nargs="?",
            const="demo",
        ),
        flag("--all", "show every fault and note; else the first 20"),
        JSON,
    ),
    command(
        "tires",
        "on_a_car.tires",
        "what tread temperatures, pressures and wear say of air, camber and balance",
        CASE,
        argument("earlier", "EARLIER", "earlier cases with other air or camber, for degrees per psi", nargs="*"),
        JSON,
        more="The readings are those of the case's block 'measured'.",
    ),
    command(
        "corner",
        "on_a_car.corner",
        "the car at its limit, for the engineer: loads, slip angles, steering, which tire gives up",
        CASE,
        part(CORNER, f"show this part of it: {', '.join(CORNER)}; which tire gives up when left out"),
        argument("--stage", "", "where in the run; worn when left out", choices=STAGES, default=STAGES[-1]),
        JSON,
        more="With the setup of the case, on the tires of the run ahead, where its complaint puts the car.",
    ),
    command(
        "calibrate",
        "on_a_car.calibrate",
        "fit the model to a run log, and keep what it taught",
        CASE,
        argument("run_log", "RUNLOG", "laps, lap times and readings as CSV or YAML; see halfturn help run-logs"),
        flag("--dry-run", "show the fit, write nothing"),
        JSON,
    ),
    command(
        "notebook",
        "own.notebook",
        "what was told of your cars: said, measured, advised, made, felt",
        argument("word", "WORD", "only what has these words in it; the number of one entry: all of it", nargs="*"),
        argument("--car", "NAME", "of this car only"),
        flag("--all", "every entry, also what was typed and what was taken back"),
        argument("--take-back", "NUMBER", "take an entry back: nothing is concluded from it any more"),
        flag("--csv", "a table for a spreadsheet"),
        JSON,
    ),
    command(
        "where",
        "packs.where",
        "which pack, file and line a rule comes from",
        argument("symptom", "SYMPTOM", 'a symptom, lever, cause or habit, such as "loose off"', nargs="+"),
        JSON,
    ),
    command(
        "explain",
        "packs.explain",
        "what a word, lever, cause or symptom means, with its sources",
        argument("word", "WORD", "a word of the trade, a lever, a cause or a symptom", nargs="+"),
        JSON,
    ),
    command(
        "help",
        "help_on",
        "how to use the program",
        argument("topic", "TOPIC", "a command, a page of the documentation, or a word", nargs="?"),
    ),
)

CALLED = {command.name: command for command in COMMANDS}
BRITISH = {"tyres": "tires", "tyre": "tire"}
"""Names of commands, kinds and parts as they are spelled elsewhere: understood, and shown nowhere."""
OLD_NAMES = {"whatif": "try"}
"""Commands that are called otherwise by now: refused, with the new name."""


class Parser(argparse.ArgumentParser):
    """An argparse parser whose complaints are Problems with the nearest right spelling."""

    def error(self, message: str) -> NoReturn:
        """Raise instead of leaving the program, with the form that is wanted."""
        raise BadInput(Problem("command line", 0, 0, message, f"write: {self.form}; help: {self.prog} --help"))

    @property
    def form(self) -> str:
        """The command with its words, those that may be left out in brackets."""
        forms = {"?": "[{}]", "*": "[{} ...]", "+": "{} ..."}
        words = self._get_positional_actions()
        return " ".join([self.prog, *(forms.get(str(one.nargs), "{}").format(one.metavar) for one in words)])

    def _check_value(self, action: argparse.Action, value: object) -> None:
        """Name the nearest right word for a wrong one."""
        if action.choices is None or value in action.choices:
            return
        if (now := OLD_NAMES.get(str(value).lower())) in action.choices:
            raise BadInput(Problem("command line", 0, 0, f"{value!r} is called {now!r} now", f"{self.prog} {now}"))
        allowed = [str(choice) for choice in action.choices]
        what = str(action.metavar or action.dest).lower()
        hint = did_you_mean(str(value).lower(), allowed)
        if what == "command" and nearest(str(value).lower(), allowed) is None:
            is_file = bool({".", "/", "\\"} & set(str(value)))
            hint += f"; for a case file: {self.prog} talk {value}" if is_file else sayings.OTHER_WORDS
        option = next(iter(action.option_strings), "")
        says = f"{option} cannot be {value!r}" if option else f"there is no {what} {value!r}"
        raise BadInput(Problem("command line", 0, 0, says, hint))


def read_arguments(argv: Sequence[str]) -> argparse.Namespace:
    """Read a command line. Raises BadInput with the nearest spelling for what is not known."""
    argv = _with_command(argv)
    options, extra = build_parsers()[0].parse_known_args(_with_american_command(argv))
    if extra:
        raise BadInput([_unknown(word, options.command or "talk") for word in extra])
    if getattr(options, "case", None) == LAST:
        from assistant.notebook.book import Notebook  # noqa: PLC0415 - same
        from assistant.notebook.cars import last_case  # noqa: PLC0415 - sqlite, which most words do without

        options.case = last_case(Notebook())
    return options


def _with_command(argv: Sequence[str]) -> Sequence[str]:
    """Take a car as the one to talk about, and several words as what the car does; a slip of a command stays one."""
    at = _behind_common(argv)
    before, rest = argv[:at], argv[at:]
    if not rest or rest[0].startswith("-") or american(rest[0]) in CALLED or rest[0].lower() in OLD_NAMES:
        return argv
    words = list(takewhile(lambda word: not word.startswith("-"), rest))
    said, options = " ".join(words), rest[len(words) :]
    if _is_car(said):
        return [*before, "talk", said, *options]
    is_slip = nearest(rest[0].lower(), CALLED) is not None
    return argv if is_slip or " " not in said.strip() else [*before, "advise", LAST, *options, "--complaint", said]


def _behind_common(argv: Sequence[str]) -> int:
    """Find the first word behind the options every command takes."""
    at = 0
    while found := [one for one in COMMON for word in argv[at : at + 1] if word.partition("=")[0] in one.names]:
        at += 1 if "=" in argv[at] or found[0].more.get("action") == "store_true" else 2
    return at


def _is_car(name: str) -> bool:
    from assistant.car.files import find_case  # noqa: PLC0415 - reads the tables of a car, which most words do without

    with suppress(BadInput):
        return bool(find_case(name))
    return False


def _with_american_command(argv: Sequence[str]) -> list[str]:
    """Spell the command, which is the first word that may be one, as the table does."""
    at = next((at for at, word in enumerate(argv) if word in CALLED or word in BRITISH), len(argv))
    return [*argv[:at], *map(american, argv[at : at + 1]), *argv[at + 1 :]]


def american(word: str) -> str:
    """Spell a word of the table as the table does."""
    return BRITISH.get(word.lower(), word)


def build_parsers() -> tuple[Parser, dict[str, Parser]]:
    """Return the parser of the whole command line, and that of each command by its name."""
    parser = Parser(prog="halfturn", description=sayings.ABOUT, epilog=sayings.EXITS, allow_abbrev=False)
    parser.add_argument("--version", action="version", version=f"halfturn {__version__}")
    _add(parser, COMMON, "options every command takes")
    parser.set_defaults(runs="talk", case=None, fresh=False)
    chosen = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands", parser_class=Parser)
    commands = {}
    for command in COMMANDS:
        says = f"{command.says[0].upper()}{command.says[1:]}. {command.more}".strip()
        one = chosen.add_parser(command.name, help=command.says, description=says, allow_abbrev=False)
        _add(one, command.arguments)
        # a default here would undo what was given before the command's name
        again = [Argument(a.names, a.says, a.metavar, {**a.more, "default": argparse.SUPPRESS}) for a in COMMON]
        _add(one, again, "options every command takes")
        one.set_defaults(runs=command.runs)
        commands[command.name] = one
    return parser, commands


def _add(parser: Parser, arguments: Sequence[Argument], title: str = "") -> None:
    group = parser.add_argument_group(title) if title else parser
    for argument in arguments:
        more = dict(argument.more) | ({"type": american} if "choices" in argument.more else {})
        more |= {"metavar": argument.metavar} if argument.metavar else {}
        group.add_argument(*argument.names, help=argument.says, **more)


def _unknown(word: str, name: str) -> Problem:
    if not word.startswith("-"):
        hint = f"help: halfturn {name} --help"
        return Problem("command line", 0, 0, f"halfturn {name} does not know what to do with {word!r}", hint)
    option = word.split("=", maxsplit=1)[0]
    names = [one for argument in (*CALLED[name].arguments, *COMMON) for one in argument.names]
    known = [one for one in names if one.startswith("--")]
    return Problem("command line", 0, 0, f"halfturn {name} has no option {option!r}", did_you_mean(option, known))
