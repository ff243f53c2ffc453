"""Speed: how long cars, words, answers and levers take, and how many empty starts of Python that is."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

from assistant.belief.garage import Garage
from assistant.belief.known import rows_of_complaint
from assistant.car.case import Case
from assistant.ground.understood import Cell, Complaint
from tests.belief.order import told

STARTS = 5


def measure(work: Callable[[], object]) -> float:
    """Wall time [s]."""
    start = perf_counter()
    work()
    return perf_counter() - start


def empty_start() -> float:
    """Shortest start of Python that does nothing [s]."""
    return min(measure(lambda: subprocess.run([sys.executable, "-c", ""], check=True)) for _ in range(STARTS))


def prove_speed(case: Case) -> list[str]:
    """Time a first belief, one from disk, a new answer, and a lever."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder)
        first = measure(lambda: told(case, Garage(case, folder=path)))
        again = measure(lambda: told(case, Garage(case, folder=path)))
        garage = Garage(case, folder=path)
        belief = told(case, garage)
        more = rows_of_complaint(Complaint("", (Cell("entry", "settled", "tight", 3.0, False),)))
        answer = min(measure(lambda: belief.with_rows(more).grid) for _ in range(STARTS))
        belief.move({"stagger": -0.003})
        lever = measure(lambda: belief.move({"cross_weight": 0.0025}))
    start = empty_start()
    times = {"first belief": first, "from disk": again, "new answer and grid": answer, "one lever, one way": lever}
    said = "; ".join(f"{name} {time:.3f} s ({time / start:.0f} starts)" for name, time in times.items())
    return [f"  {belief.cars} cars, {belief.fit.plain:.0f} effective; {said}; an empty start {start:.3f} s"]
