"""The command line: read it, run the one command it names, show a user's mistake in one place.

Only argparse is imported at the top, so that `--version` and `--help` answer at once; a command imports what it needs.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from importlib import import_module

from assistant.commands.parsers import read_arguments
from assistant.problems import BadInput

DONE, NO, BAD_INPUT, LEFT = 0, 1, 2, 130
"""Exit codes: done; the answer is no; bad usage or bad input; left with Ctrl-C."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    try:
        code = _run(sys.argv[1:] if argv is None else list(argv))
        sys.stdout.flush()
    except BadInput as mistake:
        _show_problems(mistake)
        return BAD_INPUT
    except KeyboardInterrupt:
        return LEFT
    except BrokenPipeError:
        _close_quietly()
        return DONE
    return code


def _run(argv: list[str]) -> int:
    options = read_arguments(argv)
    module = import_module(f"assistant.commands.{options.module}")
    return int(module.run(options))


def _show_problems(mistake: BadInput) -> None:
    """Every line passes the gate: the guilty row of a file may hold anything."""
    from assistant.shell.gate import in_encoding, shown  # noqa: PLC0415 - not needed when all goes well

    encoding = getattr(sys.stderr, "encoding", None) or "ascii"
    for problem in mistake.problems:
        for row in problem.text().split("\n"):
            print(in_encoding(shown(row), encoding), file=sys.stderr)


def _close_quietly() -> None:
    """Whoever read our output had enough; keep Python from complaining when it flushes at the end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
