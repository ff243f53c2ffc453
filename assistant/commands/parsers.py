"""The command line, read by the table of commands: argparse whose complaints are Problems with the nearest spelling.

Nothing heavy is imported here.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import NoReturn

from assistant import __version__
from assistant.commands.table import BRITISH, COMMANDS, COMMON, OLD_NAMES, Argument
from assistant.ground.folders import DEMO_CASES
from assistant.ground.problems import BadInput, Problem
from assistant.ground.words import did_you_mean, nearest

ABOUT = "Say what the car does; it says what to change, how far, and what that costs."
EXITS = (
    "With no command it talks with you. "
    "Exit codes: 0 done, 1 the answer is no, 2 bad usage or input, 130 left with Ctrl-C."
)


class Parser(argparse.ArgumentParser):
    """An argparse parser whose complaints are Problems with the nearest right spelling."""

    def error(self, message: str) -> NoReturn:
        """Raise instead of leaving the program."""
        raise BadInput(Problem("command line", 0, 0, message, f"help: {self.prog} --help"))

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
            hint += f"; for a case file: {self.prog} talk {value}"
        says = (
            f"{action.option_strings[0]} cannot be {value!r}"
            if action.option_strings
            else f"there is no {what} {value!r}"
        )
        raise BadInput(Problem("command line", 0, 0, says, hint))


def read_arguments(argv: Sequence[str]) -> argparse.Namespace:
    """Read a command line. Raises BadInput with the nearest spelling for what is not known."""
    if argv and argv[0] in DEMO_CASES:
        argv = ["talk", *argv]
    options, extra = build_parsers()[0].parse_known_args(_with_american_command(argv))
    if extra:
        raise BadInput([_unknown(word, options.command or "talk") for word in extra])
    return options


def _with_american_command(argv: Sequence[str]) -> list[str]:
    """Spell the command, which is the first word that may be one, as the table does."""
    names = {command.name for command in COMMANDS}
    at = next((at for at, word in enumerate(argv) if word in names or word in BRITISH), len(argv))
    return [*argv[:at], *map(american, argv[at : at + 1]), *argv[at + 1 :]]


def american(word: str) -> str:
    """Spell a word of the table as the table does."""
    return BRITISH.get(word.lower(), word)


def build_parsers() -> tuple[Parser, dict[str, Parser]]:
    """Return the parser of the whole command line, and that of each command by its name."""
    parser = Parser(prog="halfturn", description=ABOUT, epilog=EXITS, allow_abbrev=False)
    parser.add_argument("--version", action="version", version=f"halfturn {__version__}")
    _add(parser, COMMON, "options every command takes")
    parser.set_defaults(runs="talk_and_help.talk", case=None, fresh=False)
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
        if argument.metavar:
            more["metavar"] = argument.metavar
        group.add_argument(*argument.names, help=argument.says, **more)


def _unknown(word: str, name: str) -> Problem:
    command = next(command for command in COMMANDS if command.name == name)
    if not word.startswith("-"):
        hint = f"help: halfturn {name} --help"
        return Problem("command line", 0, 0, f"halfturn {name} does not know what to do with {word!r}", hint)
    option = word.split("=", maxsplit=1)[0]
    known = [name for argument in (*command.arguments, *COMMON) for name in argument.names if name.startswith("--")]
    return Problem("command line", 0, 0, f"halfturn {name} has no option {option!r}", did_you_mean(option, known))
