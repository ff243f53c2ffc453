"""The command line: read it, run the one command it names, show a user's mistake in one place.

How a talk begins, and help, stand here too: they do without most of what the other commands read.
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

TYPE_CHECKING = False  # as in `typing`, which is not read before the first words
if TYPE_CHECKING:
    from argparse import Namespace

    from assistant.pages.terminal import Look

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
        module, _, name = options.runs.rpartition(".")
        there = import_module(f"assistant.commands.{module}") if module else sys.modules[__name__]
        return int(getattr(there, name)(options))
    except BadInput as mistake:
        _show([row for problem in mistake.problems for row in problem.text().split("\n")])
        return BAD_INPUT


def talk(options: Namespace) -> int:
    """Talk until the user leaves; the first words come before the heavy imports."""
    from assistant.pages.terminal import is_dumb, say_line  # noqa: PLC0415 - same

    look = _look(options)
    if not options.greeted:
        say_line(BANNER, look, sys.stdout)
    by_lines = look.accessible or not (sys.stdin.isatty() and sys.stdout.isatty()) or is_dumb(os.environ)
    from assistant.shell.begin import talk  # noqa: PLC0415 - half of the time to the first prompt

    return talk(options.case, options.pack or (), look, by_lines=by_lines, fresh=options.fresh)


def help_on(options: Namespace) -> int:
    """Print help on a command, a page of the documentation, or a word of the trade. Raises BadInput."""
    from assistant.commands.table import build_parsers  # noqa: PLC0415 - same
    from assistant.ground.folders import doc_pages  # noqa: PLC0415 - same
    from assistant.pages.sayings import HELP_PAGES  # noqa: PLC0415 - same
    from assistant.pages.terminal import say_line  # noqa: PLC0415 - same

    (parser, commands), pages, topic = build_parsers(), doc_pages(), (options.topic or "").lower()
    if not topic:
        parser.print_help()
        say_line(HELP_PAGES.format(", ".join(pages)), _look(options), sys.stdout)
    elif topic in commands:
        commands[topic].print_help()
    elif topic in pages:
        for row in pages[topic].read_text(encoding="utf-8").splitlines():
            say_line(row, _look(options), sys.stdout)
    else:
        _explain(topic, options, [*commands, *pages])
    return 0


def _explain(topic: str, options: Namespace, names: list[str]) -> None:
    from assistant.commands.runner import Runner, refused  # noqa: PLC0415 - reads the rules, other help does not
    from assistant.ground.names import did_you_mean  # noqa: PLC0415 - same
    from assistant.pages.packs import explain, known_words  # noqa: PLC0415 - same

    run = Runner(options)
    found = explain(topic, run.knowledge)
    if found is None:
        hint = did_you_mean(topic, [*names, *known_words(run.knowledge)])
        raise refused(f"there is no help on {options.topic!r}", hint, "help")
    run.show(found.blocks)


def _look(options: Namespace) -> Look:
    from assistant.pages.terminal import look_of  # noqa: PLC0415 - same

    return look_of(sys.stdout, system=options.units, color=options.color, accessible=options.accessible)


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
