"""Every command's words and options, and nothing heavy: argparse only.

A command names the module of `assistant.commands` that runs it; a new command is one entry in COMMANDS.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NoReturn

from assistant import __version__
from assistant.problems import BadInput, Problem
from assistant.words import did_you_mean, nearest

STARTERS = ("case", "car", "tyre", "track", "rulebook", "setup", "pack", "symptom", "lever", "cause", "lesson")
CASE_HELP = "a case file, or demo, demo-tight or demo-snap (invented cars that come with the program)"


@dataclass(frozen=True)
class Command:
    """module: under assistant.commands. says: one line. more: what its help adds. add: its own arguments."""

    name: str
    module: str
    says: str
    more: str
    add: Callable[[argparse.ArgumentParser], None]
    json: bool = False


class Parser(argparse.ArgumentParser):
    """An argparse parser whose complaints are Problems with the nearest right spelling."""

    def error(self, message: str) -> NoReturn:
        """Raise instead of leaving the program."""
        raise BadInput(Problem("command line", 0, 0, message, f"help: {self.prog} --help"))

    def _check_value(self, action: argparse.Action, value: object) -> None:
        """Name the nearest right word for a wrong one."""
        if action.choices is None or value in action.choices:
            return
        allowed = [str(choice) for choice in action.choices]
        what = action.metavar or action.dest
        hint = did_you_mean(str(value).lower(), allowed)
        if what == "COMMAND" and nearest(str(value).lower(), allowed) is None:
            hint += f"; for a case file: {self.prog} talk {value}"
        raise BadInput(Problem("command line", 0, 0, f"there is no {str(what).lower()} {value!r}", hint))

    def parse_args(self, args: Sequence[str] | None = None, namespace: object = None) -> argparse.Namespace:  # type: ignore[override]
        """Parse, and name the nearest option for one that is not there."""
        words = sys.argv[1:] if args is None else list(args)
        found, extra = self.parse_known_args(words)
        if extra:
            raise BadInput([self._unknown(word, found) for word in extra])
        return found

    def _unknown(self, word: str, found: argparse.Namespace) -> Problem:
        asked = command_parsers(self).get(getattr(found, "command", None) or "talk", self)
        options = [option for action in asked._actions for option in action.option_strings if option.startswith("--")]
        if word.startswith("-"):
            says = f"{asked.prog} has no option {word.split('=')[0]!r}"
            return Problem("command line", 0, 0, says, did_you_mean(word.split("=")[0], options))
        return Problem(
            "command line", 0, 0, f"{asked.prog} does not know what to do with {word!r}", f"help: {asked.prog} --help"
        )


def build_parser() -> Parser:
    """Return the parser of the whole command line."""
    parser = Parser(
        prog="halfturn",
        description="Say what the car does; it says what to change, how far, and what that costs.",
        epilog="With no command it talks with you. Exit codes: 0 done, 1 the answer is no, 2 bad usage or input, 130 left with Ctrl-C.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"halfturn {__version__}")
    _add_common(parser, defaults=True)
    parser.set_defaults(module="talk", case=None)
    chosen = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands", parser_class=Parser)
    for command in COMMANDS:
        one = chosen.add_parser(
            command.name,
            help=command.says,
            description=f"{command.says[0].upper()}{command.says[1:]}. {command.more}".strip(),
            allow_abbrev=False,
        )
        command.add(one)
        if command.json:
            one.add_argument("--json", action="store_true", help="answer in JSON, for programs")
        _add_common(one, defaults=False)
        one.set_defaults(module=command.module)
    return parser


def command_parsers(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """Return the parser of each command by its name."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    return {}


def _add_common(parser: argparse.ArgumentParser, *, defaults: bool) -> None:
    """Options every command takes, before its name or after it."""

    def value(default: object) -> object:
        return default if defaults else argparse.SUPPRESS

    group = parser.add_argument_group("options every command takes")
    group.add_argument(
        "--units",
        choices=("trade", "si"),
        default=value("trade"),
        help="inches, pounds, psi and Fahrenheit, or SI units",
    )
    group.add_argument(
        "--accessible",
        action="store_true",
        default=value(False),
        help="one item a line, nothing redrawn (also ACCESSIBLE=1)",
    )
    group.add_argument(
        "--color",
        choices=("auto", "always", "never"),
        default=value("auto"),
        help="colour, where it may be used (also NO_COLOR=1)",
    )
    group.add_argument(
        "--pack",
        action="append",
        metavar="DIR",
        default=value(None),
        help="a folder of your own rules; give it again for more",
    )


def _add_talk(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", nargs="?", metavar="CASE", help=f"{CASE_HELP}; demo when left out")
    parser.add_argument("--fresh", action="store_true", help="do not offer to go on with a talk that was cut off")


def _add_new(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("kind", choices=STARTERS, metavar="KIND", help=", ".join(STARTERS))
    parser.add_argument("name", nargs="?", metavar="NAME", help="what it is called; the file is named after it")
    parser.add_argument(
        "-o", "--output", metavar="FILE", help="write here instead (an existing file is never replaced)"
    )
    parser.add_argument("--starter", action="store_true", help="for a car or a case: a commented file, no questions")


def _add_advise(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help=CASE_HELP)
    parser.add_argument("--complaint", metavar="WORDS", help='what the car does, such as "loose off, worn, 3"')
    parser.add_argument(
        "--answer",
        action="append",
        metavar="QUESTION=CHOICE",
        default=[],
        help="answer an open question; give it again for more",
    )


def _add_levers(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help=CASE_HELP)
    parser.add_argument("lever", nargs="*", metavar="LEVER", help="only these levers")


def _add_whatif(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help=CASE_HELP)
    parser.add_argument(
        "change",
        nargs="+",
        metavar="LEVER=VALUE",
        help='a new value such as spring_rr="250 lb/in", or a move such as stagger=+1/4in',
    )


def _add_check(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "folder", nargs="*", metavar="PACK", help="folders of rules; the pack that comes with the program when left out"
    )
    parser.add_argument(
        "--coverage", action="store_true", help="show which symptoms, levers and causes have cases, and which have none"
    )


def _add_where(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "symptom", metavar="SYMPTOM", help='a symptom, lever, cause or driving habit, such as "loose off"'
    )


def _add_explain(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("word", nargs="+", metavar="WORD", help="a trade word, a lever, a cause or a symptom")


def _add_help(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "topic", nargs="?", metavar="TOPIC", help="a command, a page of the documentation, or a trade word"
    )


COMMANDS: tuple[Command, ...] = (
    Command("talk", "talk", "talk about the car: a few questions, then what to change", "The default.", _add_talk),
    Command(
        "new",
        "new",
        "describe your own car, or start a file",
        "A car or a case is asked for by about ten questions, each with a default; the others are commented files to fill in.",
        _add_new,
    ),
    Command("advise", "advise", "what to change for the complaint in a case", "", _add_advise, json=True),
    Command("levers", "levers", "what every adjustment does on this car", "", _add_levers, json=True),
    Command("whatif", "whatif", "the balance before and after a change", "Nothing is saved.", _add_whatif, json=True),
    Command("check", "check", "look for mistakes in rules and run their cases", "", _add_check, json=True),
    Command("where", "where", "which pack, file and line a rule comes from", "", _add_where, json=True),
    Command(
        "explain",
        "explain",
        "what a word, lever, cause or symptom means, with its sources",
        "",
        _add_explain,
        json=True,
    ),
    Command("help", "help", "how to use the program", "", _add_help),
)
