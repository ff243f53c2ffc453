"""Speed of the advice: from the last answer to the list, what every lever does, and the whole command.

Inside this process, time is that of the processor, so that other work on the machine adds little.
"""

import subprocess
import sys
from functools import cache
from time import process_time

from assistant.advice.offers import advise, table_for
from assistant.belief.effects import EffectTable
from assistant.car.files import read_case
from assistant.diagnosis.session import Session, start
from assistant.rules.pack import load_packs
from tests.benchmarks.figures import Figure, shortest_time

CASES = ("demo", "demo-tight", "demo-snap")
TIMES = 5


@cache
def interview(name: str) -> tuple[Session, EffectTable]:
    """A talk that has just had its last answer, with the table ready."""
    case, knowledge = read_case(name), load_packs()
    session = start(case, knowledge)
    session.causes, session.open_questions()
    return session, table_for(case, knowledge, session.complaint)


def milliseconds_of_advice() -> float:
    """Processor time of the advice, the slowest of the demo cases, each the shortest of a few."""
    slowest = 0.0
    for name in CASES:
        session, table = interview(name)
        taken = []
        for _ in range(TIMES):
            begun = process_time()
            advise(session.case, session.knowledge, session, table)
            taken.append(process_time() - begun)
        slowest = max(slowest, min(taken))
    return 1000.0 * slowest


def milliseconds_of_table() -> float:
    """Processor time of the table of effects of the demo, levers and habits."""
    session, _ = interview("demo")
    taken = []
    for _ in range(TIMES):
        begun = process_time()
        table_for(session.case, session.knowledge, session.complaint)
        taken.append(process_time() - begun)
    return 1000.0 * min(taken)


def seconds_of_the_command() -> float:
    """The clock on the wall for `advise demo --json`, from nothing to its last letter."""
    command = [sys.executable, "-m", "assistant", "advise", "demo", "--json"]
    return shortest_time(lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL), times=TIMES)


FIGURES = (
    Figure("last answer to advice, table ready", "ms", milliseconds_of_advice, goal=150.0, seconds=0.001),
    Figure("what every lever and habit does", "ms", milliseconds_of_table, seconds=0.001),
    Figure("advise demo --json, the whole process", "s", seconds_of_the_command, goal=1.0, seconds=1.0),
)
