"""The command line: read it, run the one command it names, show a user's mistake in one place.

Next to nothing is imported at the top, so that the first words of a talk stand there before Python has read the
rest, and `--version` and `--help` answer at once; a command imports what it needs.
"""

from __future__ import annotations

import errno
import gc
import os
import sys
import warnings
from collections.abc import Sequence
from contextlib import suppress

from assistant import __version__
from assistant.commands import BANNER

DONE, NO, BAD_INPUT, BROKEN, LEFT = 0, 1, 2, 3, 130
"""Exit codes: done; the answer is no; bad usage or bad input; the program itself broke down; left with Ctrl-C."""


NO_ROOM = (errno.ENOSPC, errno.EFBIG, errno.EIO)
"""What a full or broken disk says; files are written with their own words, so it is the output that had no room."""


def leave() -> None:
    """Run one command and end the program at once with its exit code.

    A thread that still computes would otherwise be torn out of compiled code while Python shuts down, which can abort.
    """
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # else it looks through all that is installed for some
    if not sys.warnoptions:
        warnings.simplefilter("ignore")  # what libraries tell programmers; what it means for a car is said in words
    gc.disable()  # a command ends before garbage in circles amounts to anything; a talk switches it on again
    try:
        code = main()
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else DONE
    except Exception:  # noqa: BLE001 - a script must be able to tell a breakdown from an answer
        code = _broke_down()
    try:
        sys.stdout.flush()
    except (OSError, ValueError) as full:  # nobody is there to read what is left, or there is no room for it
        code = BAD_INPUT if getattr(full, "errno", None) in NO_ROOM else code
    os._exit(code)


def _broke_down() -> int:
    """Show what went wrong to whoever mends the program."""
    from traceback import print_exc  # noqa: PLC0415 - hardly ever needed

    with suppress(OSError):
        print_exc()
    return BROKEN


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    words = sys.argv[1:] if argv is None else list(argv)
    _open_missing()
    try:
        if words == ["--version"]:
            print(f"halfturn {__version__}")  # the command line is not read for this one: it would take as long again
            return DONE
        if not words:
            print(BANNER, flush=True)
        code = _run(words)
        sys.stdout.flush()
    except KeyboardInterrupt:
        return LEFT
    except BrokenPipeError:
        _close_quietly()
        return DONE
    except OSError as full:
        if full.errno not in NO_ROOM:
            raise
        _close_quietly()
        _show([f"the output cannot be written: {full.strerror}"])
        return BAD_INPUT
    return code


def _run(words: list[str]) -> int:
    from importlib import import_module  # noqa: PLC0415 - after the first words

    from assistant.commands.table import read_arguments  # noqa: PLC0415 - same
    from assistant.ground.problems import BadInput  # noqa: PLC0415 - same

    try:
        options = read_arguments(words)
        options.greeted = not words
        module, _, name = options.runs.partition(".")
        return int(getattr(import_module(f"assistant.commands.{module}"), name)(options))
    except BadInput as mistake:
        _show([row for problem in mistake.problems for row in problem.text().split("\n")])
        return BAD_INPUT


def _show(rows: list[str]) -> None:
    """Every line passes the gate: the guilty row of a file may hold anything."""
    from assistant.ground.problems import in_encoding, shown  # noqa: PLC0415 - not needed when all goes well

    encoding = getattr(sys.stderr, "encoding", None) or "ascii"
    with suppress(OSError):  # the exit code still says it
        for row in rows:
            print(in_encoding(shown(row), encoding), file=sys.stderr, flush=True)


def _open_missing() -> None:
    """Put nothing behind a standard stream that was closed before we began; there is none at all otherwise."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115, PTH123 - open to the end


def _close_quietly() -> None:
    """Whoever read our output had enough; keep Python from complaining when it flushes at the end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
