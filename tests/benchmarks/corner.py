"""Speed of the corner: a point is one cold solve of the limit and of the slip angles there, every tire's state with it.

Small batches are those a lever's spread works on: plausible cars at every stage, phase and end of the demo.
Time is that of the processor, so that other work on the machine adds little.
"""

from functools import cache, partial
from time import process_time

from assistant.belief.model import read_model
from assistant.belief.plausible import bands_of, draw_off, make_cars
from assistant.car.files import read_case
from assistant.physics.attitude import find_attitude
from assistant.physics.corner_problem import CornerProblem, set_problem
from assistant.physics.cornering import solve_limit
from assistant.physics.heat_and_wear import tires_at
from tests.benchmarks.figures import Figure

POINTS = 100_000
TIMES = 7


@cache
def batch(cars: int) -> CornerProblem:
    """The demo as so many plausible cars, at all stages, phases and ends."""
    model = read_model(read_case("demo"))
    bands = bands_of(model.numbers)
    drawn = make_cars(model.numbers, bands, *draw_off(len(bands), cars))
    tires, circuit = tires_at(drawn.numbers, model.moments), model.circuit
    return set_problem(drawn.numbers, tires, drawn.phases, circuit.place, circuit.curve, circuit.engine, 10)


def work_out(problem: CornerProblem) -> int:
    """Solve every point from nothing, then the slip angles and what follows from them; returns how many there were."""
    limit = solve_limit(problem)
    find_attitude(problem, limit)
    return limit.balance.size


def seconds(cars: int) -> float:
    """Processor time of `POINTS` points in batches of so many cars, the shortest of a few."""
    problem = batch(cars)
    work_out(problem)
    taken = []
    for _ in range(TIMES):
        begun = process_time()
        points = work_out(problem)
        taken.append((process_time() - begun) / points)
    return POINTS * min(taken)


def thousands_a_second() -> float:
    """Points a second and core, in thousands."""
    return POINTS / seconds(256) / 1000.0


FIGURES = (
    Figure("100,000 points, 256 cars (4608 points) a batch", "s", partial(seconds, 256), goal=1.0, seconds=1.0),
    Figure("100,000 points, 64 cars (1152 points) a batch", "s", partial(seconds, 64), seconds=1.0),
    Figure("100,000 points, one car (18 points) a batch", "s", partial(seconds, 1), seconds=1.0),
    Figure("operating points a second and core, 1000", "", thousands_a_second),
)
