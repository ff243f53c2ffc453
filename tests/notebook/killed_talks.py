"""Talks killed with -9 while lines are typed into them, and what of the lines that were answered is lost.

A line is answered once the next prompt stands. What it told must then be in the notebook, a change in the setup file,
and the next start must take the talk up again.
"""

import os
import pty
import random
import re
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from assistant.car.files import read_setup
from assistant.notebook.book import ANSWER, MADE, MEASURED, NOTE, SAID, TYPED, Notebook
from tests.conftest import share_driven

ROOT = Path(__file__).parents[2]
CAR = ("mine", "Number 5", "", "", "", "", "")
"""Lines that describe a car."""
LINES = (
    ("loose off late in the run", SAID),
    ("1", ANSWER),
    ("rr 24.5 hot", MEASURED),
    ("note hot and slick", NOTE),
    ("made cross weight {}", MADE),
    ("stagger hot 2 3/8", MEASURED),
)
"""What is typed, and the kind of entry it must leave."""
LONGEST = 1.5
"""Seconds a talk may live after the line that nobody waits for."""
SLOWEST = 120.0
"""Seconds a prompt may take."""
PROMPT = re.compile(rb"(?m)^> ")
SHARED = 20
"""Kills that go into one notebook."""


@dataclass
class Count:
    """What came of the kills. answered: lines with a prompt behind them. lost: what such lines told and is not there.

    closed: starts after a kill that did not take the talk up again.
    """

    answered: int = 0
    lost: int = 0
    closed: int = 0


def surroundings(folder: Path) -> dict[str, str]:
    """Return the variables of a program with a folder of its own, and a terminal that cannot do much."""
    share_driven(folder)
    return {**os.environ, "HALFTURN_FOLDER": str(folder), "HALFTURN_CARS": "16", "TERM": "dumb"}


def start(folder: Path, source: int, words: tuple[str, ...] = ()) -> "subprocess.Popen[bytes]":
    """Start the program."""
    command = [sys.executable, "-m", "assistant", *words]
    out = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT}
    return subprocess.Popen(command, cwd=ROOT, env=surroundings(folder), stdin=source, **out)


def read_until(child: "subprocess.Popen[bytes]", done: re.Pattern[bytes], count: int = 1) -> bytes:
    """Read what a program says until something has come so often, or it says no more."""
    said, began = b"", time.monotonic()
    while len(done.findall(said)) < count and time.monotonic() - began < SLOWEST:
        more = os.read(child.stdout.fileno(), 4096)
        if not more:
            break
        said += more
    return said


def kill_talk(folder: Path, lines: list[str], draw: random.Random) -> int:
    """Type lines into a talk, waiting for the prompt each time but the last; kill it. How many were answered."""
    child, said = start(folder, subprocess.PIPE), b""
    waited = draw.randint(1, len(lines) - 1)
    for at, line in enumerate(lines[: waited + 1], 1):
        said += read_until(child, PROMPT)
        child.stdin.write(f"{line}\n".encode())
        child.stdin.flush()
        if at > waited:
            time.sleep(draw.uniform(0.0, LONGEST))
    child.kill()
    said += child.communicate()[0]
    return len(PROMPT.findall(said)) - 1


def find_lost(folder: Path, lines: list[str], answered: int) -> list[str]:
    """List the lines of the last talk that were answered and left nothing behind."""
    book = Notebook(folder)
    every = book.entries(kinds=(TYPED, *(kind for _, kind in LINES)))
    found = [one for one in every if one.talk == max(other.talk for other in every)]
    typed = [one.text for one in found if one.kind == TYPED]
    book.store.close()
    lost = [line for at, line in enumerate(lines[:answered]) if typed[at : at + 1] != [line]]
    for at, (_, kind) in enumerate(LINES[:answered]):
        before = sum(other == kind for _, other in LINES[: at + 1])
        lost += [lines[at]] if sum(one.kind == kind for one in found) < before else []
    return lost


def goes_on(folder: Path) -> bool:
    """Whether the next start takes the talk up again, from a terminal."""
    ours, theirs = pty.openpty()
    child = start(folder, theirs)
    os.close(theirs)
    offered = read_until(child, PROMPT)
    os.write(ours, b"not run yet\n" if b"What did it do?" in offered else b"yes\n")
    said = read_until(child, PROMPT)
    os.write(ours, b"quit\n")
    said += child.communicate()[0]
    os.close(ours)
    return b"Where you left" in said and child.returncode == 0 and b"Traceback" not in said


def count_lost(times: int, folder: Path, seed: int = 1) -> Count:
    """Kill so many talks about one car for each notebook."""
    draw, count = random.Random(seed), Count()  # noqa: S311 - moments, no secret
    for turn in range(times):
        home = folder / str(turn // SHARED)
        if not home.is_dir():
            home.mkdir(parents=True)
            described = "".join(f"{line}\n" for line in CAR).encode()
            child = start(home, subprocess.PIPE)
            child.communicate(described)
        setup = home / "number-5" / "setup.yaml"
        now = read_setup(setup).values["cross_weight"]
        new = draw.choice([one for one in (51.0, 51.5, 52.0, 52.5) if abs(one / 100 - now) > 1e-6])
        lines = [line.format(new) for line, _ in LINES]
        answered = kill_talk(home, lines, draw)
        lost = find_lost(home, lines, answered)
        made = answered > [kind for _, kind in LINES].index(MADE)
        is_there = abs(read_setup(setup).values["cross_weight"] - new / 100) < 1e-6
        count.answered += answered
        count.lost += len(lost) + (made and not is_there)
        count.closed += not goes_on(home)
    return count


def main(words: list[str]) -> int:
    """Kill talks, and say what was lost."""
    times = int(words[0]) if words else 20
    with tempfile.TemporaryDirectory() as folder:
        count = count_lost(times, Path(folder))
    print(
        f"{times} talks killed: {count.answered} lines answered, {count.lost} lost, {count.closed} not taken up again"
    )
    return int(bool(count.lost or count.closed))
