"""How soon the program answers: the version, a check of its rules, the first words of a talk, its first prompt."""

import os
import subprocess
import sys
import tempfile
from contextlib import suppress
from functools import cache
from pathlib import Path
from statistics import median
from time import perf_counter

from assistant.notebook.book import FELT, MADE, SAID, TYPED, Notebook
from tests.benchmarks.figures import Figure, shortest_time

ROOT = Path(__file__).parents[2]
TIMES = 9
ENTRIES = 2000
PROMPT = b"What is the car doing?"


def version() -> float:
    """Milliseconds of `halfturn --version`, median."""
    taken = []
    for _ in range(TIMES + 1):
        begun = perf_counter()
        subprocess.run([sys.executable, "-m", "assistant", "--version"], cwd=ROOT, capture_output=True, check=True)
        taken.append(perf_counter() - begun)
    return 1000.0 * median(taken[1:])


def check() -> float:
    """Seconds of `halfturn check`: the base pack read and all its example cases run."""
    return shortest_time(
        lambda: subprocess.run([sys.executable, "-m", "assistant", "check"], cwd=ROOT, capture_output=True, check=True)
    )


@cache
def talk() -> tuple[float, float]:
    """Milliseconds to the first words and to the first prompt of `halfturn` in a terminal, medians."""
    with tempfile.TemporaryDirectory() as folder:
        taken = [one_talk(folder) for _ in range(TIMES + 1)][1:]
    return 1000.0 * median(first for first, _ in taken), 1000.0 * median(prompt for _, prompt in taken)


def prompt_with_a_book() -> float:
    """Milliseconds to the first prompt with two thousand entries in the notebook, median."""
    with tempfile.TemporaryDirectory() as folder:
        book = Notebook(Path(folder))
        setup = {f"lever {number}": 0.1 * number for number in range(60)}
        for number in range(ENTRIES):
            book.add("demo", 1 + number // 20, (SAID, TYPED, MADE, FELT)[number % 4], "loose off", {"setup": setup})
        book.end_talk(book.begin_talk("demo", "t", "28 Nov 18:03") or 0)
        book.store.close()
        taken = [one_talk(folder)[1] for _ in range(TIMES + 1)][1:]
    return 1000.0 * median(taken)


def one_talk(folder: str) -> tuple[float, float]:
    """Seconds to the first words and to the prompt; then the talk is left."""
    ours, theirs = os.openpty()
    own = {"PYTHONPATH": str(ROOT), "HALFTURN_FOLDER": folder, "TERM": "xterm-256color"}
    env = {**os.environ, **own}
    begun = perf_counter()
    with subprocess.Popen(
        [sys.executable, "-m", "assistant"], stdin=theirs, stdout=theirs, stderr=theirs, env=env, cwd=folder
    ) as child:
        os.close(theirs)
        first = prompt = 0.0
        shown = b""
        while b">" not in shown.partition(PROMPT)[2]:
            shown += os.read(ours, 65536)
            prompt = perf_counter() - begun
            first = first or prompt
        os.write(ours, b"\x04")
        with suppress(OSError):  # how Linux says that the other side is closed
            while os.read(ours, 65536):
                pass
        child.wait()
    os.close(ours)
    return first, prompt


FIGURES = (
    Figure("halfturn --version, median of 9", "ms", version, goal=45.0, seconds=1e-3),
    Figure("halfturn check, the whole process", "s", check, goal=2.0, seconds=1.0),
    Figure("first visible words of halfturn, median of 9", "ms", lambda: talk()[0], goal=30.0, seconds=1e-3),
    Figure("first prompt of halfturn, median of 9", "ms", lambda: talk()[1], goal=110.0, seconds=1e-3),
    Figure("first prompt, 2000 entries in the notebook", "ms", prompt_with_a_book, goal=110.0, seconds=1e-3),
)
