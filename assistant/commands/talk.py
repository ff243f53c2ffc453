"""`halfturn` and `halfturn talk`: the conversation. The banner is written before anything heavy is imported."""

from __future__ import annotations

import argparse
import os
import sys

from assistant.shell.look import is_dumb, look_of
from assistant.shell.speak import say_line

BANNER = "Halfturn: say what the car does; it says what to change, how far, and what that costs."


def run(options: argparse.Namespace) -> int:
    """Talk until the user leaves."""
    look = look_of(sys.stdout, units=options.units, color=options.color, accessible=options.accessible)
    say_line(BANNER, look, sys.stdout)
    lines = look.accessible or not (sys.stdin.isatty() and sys.stdout.isatty()) or is_dumb(os.environ)
    from assistant.shell.begin import talk  # noqa: PLC0415 - the banner comes first

    return talk(options.case, options.pack or (), look, by_lines=lines, fresh=options.fresh)
