"""What every command does the same way: read the rules, say that it is working, answer in words or JSON."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from concurrent.futures import Future
from typing import TYPE_CHECKING, TypeVar

from assistant.ground.gate import shown_json
from assistant.pages.blocks import Block
from assistant.pages.terminal import Look, look_of, say, say_line
from assistant.shell.background import start, wait_for
from assistant.shell.packs import load_with, notes_of

if TYPE_CHECKING:
    from assistant.rules.knowledge import Knowledge

T = TypeVar("T")
WORKING_OUT = "Working out what every lever does on this car"


def look_for(options: argparse.Namespace) -> Look:
    """Return how to write on the standard output."""
    return look_of(sys.stdout, system=options.units, color=options.color, accessible=options.accessible)


def load_knowledge(options: argparse.Namespace) -> Knowledge:
    """Read the base pack and the packs asked for; one that was left out is named on the error stream."""
    knowledge = load_with(options.pack or ())
    say(notes_of(knowledge), look_of(sys.stderr, color=options.color, accessible=options.accessible), sys.stderr)
    return knowledge


def work(says: str, task: Callable[[], T], options: argparse.Namespace) -> T:
    """Do something that may take long; on a terminal it says so, on the error stream, after half a second."""
    promise: Future[T] = start(task)
    look = look_of(sys.stderr, color=options.color, accessible=options.accessible)

    def progress(words: str) -> None:
        if sys.stderr.isatty():
            say_line(words, look, sys.stderr)

    return wait_for(promise, says, progress)


def answer(blocks: list[Block], data: object, options: argparse.Namespace) -> None:
    """Print the answer in the form asked for."""
    if options.json:
        print(shown_json(json.dumps(data, indent=2, allow_nan=False)))
    else:
        say(blocks, look_for(options), sys.stdout)
