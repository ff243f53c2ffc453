"""Speed of the advice: from the last answer to the list, what every lever does, and the whole command.

Inside this process, time is that of the processor, so that other work on the machine adds little.
"""

import os
import subprocess
import sys
import threading
from functools import cache
from tempfile import TemporaryDirectory
from time import perf_counter, process_time
from unittest.mock import patch

from assistant.advice.offers import advise
from assistant.belief.believe import Belief
from assistant.belief.effects import effect_table
from assistant.belief.garage import open_garage
from assistant.belief.picture import Told, believe_told
from assistant.car.files import read_case
from assistant.diagnosis.session import Session, start
from assistant.ground.background import NAME as BEHIND
from assistant.notebook.record import Record
from assistant.rules.pack import load_packs
from assistant.shell.bench import Bench
from assistant.shell.talk import Conversation
from assistant.shell.talk_state import TalkState
from tests.benchmarks.figures import Figure, shortest_time

CASES = ("demo", "demo-tight", "demo-snap")
TIMES = 5


@cache
def interview(name: str) -> tuple[Session, Belief]:
    """A talk that has just had its last answer, with all cars and levers driven."""
    case, knowledge = read_case(name), load_packs()
    session = start(case, knowledge)
    session.causes, session.open_questions()
    belief = believe_told(case, [Told(case.setup, session.complaint)], open_garage(case))
    advise(case, knowledge, session, belief)
    return session, belief


def milliseconds_of_advice() -> float:
    """Processor time of the advice, the slowest of the demo cases, each the shortest of a few.

    What is believed is kept, as in a talk where the last answer says nothing of the balance.
    """
    slowest = 0.0
    for name in CASES:
        session, belief = interview(name)
        taken = []
        for _ in range(TIMES):
            begun = process_time()
            advise(session.case, session.knowledge, session, belief)
            taken.append(process_time() - begun)
        slowest = max(slowest, min(taken))
    return 1000.0 * slowest


def milliseconds_of_a_new_belief() -> float:
    """The same where what is believed is new as well, such as after other words: believed and advised."""
    session, belief = interview(CASES[0])
    case, garage, taken = session.case, belief.garage, []
    for _ in range(TIMES):
        begun = process_time()
        advise(case, session.knowledge, session, believe_told(case, [Told(case.setup, session.complaint)], garage))
        taken.append(process_time() - begun)
    return 1000.0 * min(taken)


def seconds_after_make() -> float:
    """The clock on the wall from `make` of the first change to the list weighed anew, a while after the first list."""
    with TemporaryDirectory() as folder, patch.dict(os.environ, {"HALFTURN_FOLDER": folder}):
        talk = Conversation(TalkState(bench=Bench("demo")), Record("demo", None), None)
        for typed in ("loose off late in the run", "enough"):
            talk.say(typed)
        for thread in threading.enumerate():  # as long as it takes to read the list and turn a wrench
            if thread.name == BEHIND:
                thread.join()
        change = next(offer for offer in talk.state.offers if offer.steps_of_levers)
        begun = perf_counter()
        talk.say(f"make {change.rank}")
        return perf_counter() - begun


def milliseconds_of_table() -> float:
    """Processor time of what every lever of the demo does, all of them driven before."""
    session, belief = interview("demo")
    taken = []
    for _ in range(TIMES):
        begun = process_time()
        effect_table(session.case, belief)
        taken.append(process_time() - begun)
    return 1000.0 * min(taken)


def seconds_of_the_command() -> float:
    """The clock on the wall for `advise demo --json`, from nothing to its last letter."""
    command = [sys.executable, "-m", "assistant", "advise", "demo", "--json"]
    return shortest_time(lambda: subprocess.run(command, check=True, stdout=subprocess.DEVNULL), times=TIMES)


def seconds_of_the_first_answer() -> float:
    """The clock on the wall for `advise demo` with nothing kept: cars and levers are driven for it."""
    command = [sys.executable, "-m", "assistant", "advise", "demo"]

    def answer() -> None:
        with TemporaryDirectory() as folder:
            own = {**os.environ, "HALFTURN_FOLDER": folder}
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=own)

    return shortest_time(answer, times=2)


FIGURES = (
    Figure("last answer to advice, levers driven", "ms", milliseconds_of_advice, goal=150.0, seconds=0.001),
    Figure("the same, what is believed is new", "ms", milliseconds_of_a_new_belief, seconds=0.001),
    Figure("list again after make", "s", seconds_after_make, goal=1.0, seconds=1.0),
    Figure("what every lever does, kept", "ms", milliseconds_of_table, seconds=0.001),
    Figure("advise demo --json, the whole process", "s", seconds_of_the_command, goal=1.0, seconds=1.0),
    Figure("advise demo, nothing kept", "s", seconds_of_the_first_answer, goal=4.0, seconds=1.0),
)
