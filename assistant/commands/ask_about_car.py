"""`halfturn new car`: the questions about one's own car, by plain lines, and the files they make in this folder."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from assistant.commands.common import look_for
from assistant.ground.problems import BadInput, Problem
from assistant.pages.blocks import Line
from assistant.pages.terminal import say, say_line
from assistant.shell.begin import read_anything
from assistant.shell.own_car import OwnCar


def ask_about_car(options: argparse.Namespace) -> int:
    """Ask until all is answered; the end of the input takes every default that is left."""
    read_anything(sys.stdin)
    look = look_for(options)
    asked = OwnCar(options.units, Path())
    say(asked.opening(), look, sys.stdout)
    if options.name:
        say(asked.say(options.name), look, sys.stdout)
    while asked.case is None:
        say_line(asked.prompt, look, sys.stdout)
        row = sys.stdin.readline()
        if row.strip().lower() in {"quit", "exit", "q", ":q"}:
            say([Line("Left; nothing was written.")], look, sys.stdout)
            return 0
        say(asked.say(row.strip()), look, sys.stdout)
    if asked.folder is None:
        raise BadInput(Problem("this folder", 0, 0, "cannot be written to", "go to another folder"))
    return 0
