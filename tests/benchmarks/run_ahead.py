"""Speed and memory of the run ahead."""

import subprocess
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path
from time import perf_counter

from assistant.belief.look_ahead import look_ahead
from assistant.belief.model import Model, read_model
from assistant.car.files import read_case
from assistant.physics.car_and_driver import usual_phases
from assistant.physics.driven_run import drive_run
from tests.benchmarks.figures import Figure, shortest_time
from tests.demo_table import forecast_setups

ROOT = Path(__file__).parents[2]
CHILD = """
import resource, sys
from pathlib import Path
from assistant.cli import main
code = main(["forecast", "demo", "--laps", "140", "--json"])
status = Path("/proc/self/status")  # the kernel's own high-water mark; the other one counts the parent before exec
if status.exists():
    size = next(int(line.split()[1]) for line in status.read_text().splitlines() if line.startswith("VmHWM")) / 1024
else:
    size = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1024 * 1024 if sys.platform == "darwin" else 1024)
print(size, file=sys.stderr)
sys.exit(code)
"""


@cache
def model(laps: int) -> Model:
    """The demo, anchored for a run of so many laps."""
    return read_model(replace(read_case("demo"), run_laps=laps))


def one_run(laps: int, *, every_lap: bool = False) -> float:
    """Milliseconds of one run of so many laps with the setup at hand."""
    demo = model(laps)
    return shortest_time(
        lambda: drive_run(demo.numbers, usual_phases(), demo.circuit, laps, every_lap=every_lap), scale=1000.0
    )


def one_forecast() -> float:
    """Milliseconds of a forecast of 100 laps, model at hand."""
    demo = model(100)
    return shortest_time(lambda: forecast_setups(demo, [demo.case.setup]), scale=1000.0)


def everything_ahead() -> float:
    """Seconds of the whole run ahead of 100 laps: reading the model, every gear and every brake step."""
    case = read_case("demo")
    return shortest_time(lambda: look_ahead(case, 100), times=3)


def command() -> float:
    """Seconds of `halfturn forecast demo` from a cold start."""
    begun = perf_counter()
    subprocess.run([sys.executable, "-m", "assistant", "forecast", "demo"], cwd=ROOT, capture_output=True, check=True)
    return perf_counter() - begun


def memory() -> float:
    """Largest memory of `halfturn forecast demo --laps 140 --json` [MB]."""
    done = subprocess.run([sys.executable, "-c", CHILD], cwd=ROOT, capture_output=True, text=True, check=True)
    return float(done.stderr.split()[-1])


FIGURES = (
    Figure("one run of 100 laps", "ms", lambda: one_run(100), goal=40.0, seconds=1e-3),
    Figure("one forecast of 100 laps", "ms", one_forecast, seconds=1e-3),
    Figure("run of 300 laps over one of 30, through knots", "times", lambda: one_run(300) / one_run(30), goal=10.0),
    Figure(
        "the same lap by lap: 200 laps over 50",
        "times",
        lambda: one_run(200, every_lap=True) / one_run(50, every_lap=True),
        goal=6.0,
    ),
    Figure("the run ahead, 18 gear pairs and the brakes", "s", everything_ahead, seconds=1.0),
    Figure("halfturn forecast demo, cold", "s", command, seconds=1.0),
    Figure("largest memory of halfturn forecast", "MB", memory, goal=300.0),
)
