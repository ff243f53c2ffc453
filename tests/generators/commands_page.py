"""docs/commands.md, made from the table of commands and the commands of the conversation, so that it cannot go stale.

Write it anew with: python -m tests.generators.commands_page > docs/commands.md
"""

from __future__ import annotations

import sys
from collections.abc import Sequence

from assistant.commands.table import COMMANDS, COMMON, Argument, build_parsers
from assistant.shell.verbs import VERBS

_HEAD = """# Commands

For everybody who would rather type a command than talk; this page is made from the program itself.
With no command, `halfturn` talks with you: see [first-session.md](first-session.md).
`python -m assistant` is the same program.

Exit codes: 0 done ("stop and inspect" included), 1 the answer is no (faults were found, or nothing can help),
2 bad usage or bad input, 3 the program itself broke down (tell us), 130 left with Ctrl-C.
"""


def commands_page() -> str:
    """Return the whole page."""
    commands = build_parsers()[1]
    parts = [_HEAD, "## Options every command takes\n", _table(COMMON)]
    for command in COMMANDS:
        says = f"{command.says[0].upper()}{command.says[1:]}. {command.more}".strip()
        form = commands[command.name].form
        parts += [f"## halfturn {command.name}\n", f"{says}\n", f"`{form}`\n", _table(command.arguments)]
    parts += ["## In the conversation\n", "Nothing is case-sensitive, and slips of spelling are forgiven.\n"]
    parts += ["| type | it does |", "| --- | --- |", *(f"| `{verb.example}` | {verb.says} |" for verb in VERBS), ""]
    return "\n".join(parts)


def _table(arguments: Sequence[Argument]) -> str:
    rows = ["| argument | meaning |", "| --- | --- |"]
    for argument in arguments:
        name = ", ".join(argument.names) if argument.names[0].startswith("-") else str(argument.metavar)
        if argument.names[0].startswith("-") and argument.more.get("action") != "store_true":
            name += " " + (argument.metavar or "\\|".join(argument.more.get("choices", ())))
        rows.append(f"| `{name}` | {argument.says} |")
    return "\n".join([*rows, ""])


if __name__ == "__main__":
    sys.stdout.write(commands_page())
