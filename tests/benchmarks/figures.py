"""What a benchmark is: a name, how it is measured, and its goal on the machine of the table."""

from collections.abc import Callable
from dataclasses import dataclass
from time import perf_counter


@dataclass(frozen=True)
class Figure:
    """measure: returns the number in `unit`. goal: largest allowed number, None where it is only reported.

    seconds: how many seconds one unit is, for the ratio to an empty interpreter; None for what is no time.
    """

    name: str
    unit: str
    measure: Callable[[], float]
    goal: float | None = None
    seconds: float | None = None


def shortest_time(task: Callable[[], object], times: int = 7, scale: float = 1.0) -> float:
    """Shortest time of a task after one warm-up, in seconds times `scale`: other work on the machine only adds."""
    task()
    taken = []
    for _ in range(times):
        begun = perf_counter()
        task()
        taken.append(perf_counter() - begun)
    return min(taken) * scale
