"""`halfturn` and `halfturn talk`: the conversation, by prompt or by lines."""

from __future__ import annotations

import argparse
import os
import sys

from assistant.commands import BANNER
from assistant.pages.terminal import is_dumb, look_of, say_line


def run(options: argparse.Namespace) -> int:
    """Talk until the user leaves; the first words come before the heavy imports."""
    look = look_of(sys.stdout, system=options.units, color=options.color, accessible=options.accessible)
    if not options.greeted:
        say_line(BANNER, look, sys.stdout)
    by_lines = look.accessible or not (sys.stdin.isatty() and sys.stdout.isatty()) or is_dumb(os.environ)
    from assistant.shell.begin import talk  # noqa: PLC0415 - half of the time to the first prompt

    return talk(options.case, options.pack or (), look, by_lines=by_lines, fresh=options.fresh)
