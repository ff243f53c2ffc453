"""Measure everything and print one table: python -m tests.benchmarks [WORD].

WORD picks the figures whose name holds it. Every time is also given as a multiple of `python -c pass` on the same
machine, so that tables of different machines can be compared. The exit code is 1 when a goal is missed or
no figure has that name.
"""

import os
import platform
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import numpy as np

from tests.benchmarks.figures import Figure, shortest_time

SETS = sorted(
    path.stem for path in Path(__file__).parent.glob("*.py") if path.stem not in {"__init__", "__main__", "figures"}
)
"""Every module here with a tuple FIGURES."""


def machine() -> str:
    """Say what was measured on."""
    system = f"{platform.system()} {platform.machine()}, {os.cpu_count()} processors"
    return f"{system}, Python {platform.python_version()}, numpy {np.__version__}, load {os.getloadavg()[0]:.1f}"


def empty_interpreter() -> float:
    """Seconds of `python -c pass`."""
    return shortest_time(lambda: subprocess.run([sys.executable, "-c", "pass"], check=True))


def row(figure: Figure, number: float, nothing: float) -> str:
    """One line of the table."""
    ratio = f"{number * figure.seconds / nothing:.1f}" if figure.seconds else ""
    goal = "" if figure.goal is None else f"{figure.goal:g}"
    met = "" if figure.goal is None else "met" if number <= figure.goal else "MISSED"
    return f"{figure.name:<48}{number:>9.2f} {figure.unit:<6}{goal:>6}  {met:<7}{ratio:>7}"


def main(words: list[str]) -> int:
    """Measure and print; Python keeps what it compiled, as it does where the program is installed."""
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    nothing = empty_interpreter()
    print(machine())
    print(f"python -c pass: {1000 * nothing:.1f} ms")
    print(f"{'figure':<48}{'measured':>9} {'unit':<6}{'goal':>6}  {'':<7}{'ratio':>7}")
    missed, found = False, False
    for module in SETS:
        for figure in getattr(import_module(f"tests.benchmarks.{module}"), "FIGURES", ()):
            if all(word in figure.name for word in words):
                number, found = figure.measure(), True
                missed = missed or (figure.goal is not None and number > figure.goal)
                print(row(figure, number, nothing), flush=True)
    if not found:
        print(f"no figure has {' and '.join(words)} in its name")
    return int(missed or not found)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
