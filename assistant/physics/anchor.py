"""Where the car stands is the driver's word, not the model's: grip shares that put balance where it was reported.

No such model knows absolute balance to a percent. So each phase carries a small trim between front and rear grip,
solved for every car of a batch, that puts felt balance (mean of the ends) where the driver says it is: neutral in the
settled stage where nothing was reported. Everything said after that is a change from there: what a lever does, and how
the run drifts.
"""

from __future__ import annotations

import numpy as np

from assistant.car.car import Three
from assistant.physics.attitude import felt_balance
from assistant.physics.corner import Limit, solve_limit
from assistant.physics.moments import Moments, tires_at
from assistant.physics.numbers import Numbers
from assistant.physics.phases import Phases
from assistant.physics.problem import set_problem
from assistant.physics.stints import Circuit

LARGEST_TRIM = 0.3
"""Share of grip that a trim of a plausible car may reach; one that needs more is no such car."""
ROUNDS = 3
"""Rounds of trimming: the balance left is below 0.01 % (see tests)."""


def anchor_balance(
    numbers: Numbers,
    phases: Phases,
    circuit: Circuit,
    moments: Moments,
    at: tuple[int, int, int] = (0, 0, 0),
    targets: Three = (0.0, 0.0, 0.0),
) -> tuple[Numbers, Limit]:
    """Give every car the trims that put entry, middle and exit at `targets` [%, + tight], each at moment `at`.

    A phase in which a car has no steady state keeps its trim. Returns the numbers, and the corners as solved before the
    last trim, which is a small one.
    """
    anchored = dict(numbers)
    limit: Limit | None = None
    for _ in range(ROUNDS):
        tires = tires_at(anchored, moments)
        problem = set_problem(anchored, tires, phases, circuit.place, circuit.curve, circuit.engine, rows=10)
        limit = start = solve_limit(problem, limit, rounds=3) if limit else solve_limit(problem)
        time = circuit.lengths.corner / np.sqrt(start.point.speed_squared)
        balance = (felt_balance(problem, start) * time).sum(axis=2) / time.sum(axis=2)
        steady = np.asarray(start.steady.all(axis=2))
        for phase, name in enumerate(("trim_entry", "trim_middle", "trim_exit")):
            off = balance[at[phase], phase] - targets[phase]
            trim = anchored[name] - np.where(steady[at[phase], phase], off, 0.0) / 100.0
            anchored[name] = np.clip(trim, -LARGEST_TRIM, LARGEST_TRIM)
    return anchored, start
