"""Right-rear air: the tread it saves against the balance it costs, per stage, over the band of the wear-best pressure.

How far the pressure of least wear lies above that of most grip is an assumption (0 to 6 psi); a conflict that holds
over the whole band is told as one, another as depending on it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.advice.computed.forecast import read_forecasts
from assistant.advice.computed.model import Model, setup_numbers
from assistant.advice.results import Grid
from assistant.advice.run.brakes import less
from assistant.car.case import STAGES
from assistant.car.setup import Setup
from assistant.physics.numbers import stack_numbers
from assistant.physics.phases import usual_phases
from assistant.physics.run import drive_run

PSI = 6894.757
WEAR_BAND = (0.0, 3.0 * PSI, 6.0 * PSI)
"""Pressure of least wear above that of most grip [Pa]: the band of the assumption."""
MOVE = 2.0 * PSI
"""How far right-rear air is moved each way [Pa]: large enough to see, small enough to be ordinary."""
PASSES = 9
"""More than a run usually takes: far from the set-up at hand, and only six cars."""
FELT = 0.1
"""Change of balance a driver feels [%] (common practice, no source)."""
SEEN = 0.002
"""Share of the tread that is worth saying."""


@dataclass(frozen=True)
class AirEffect:
    """What more right-rear air does if the tire wears least this much above its best grip. wear_pressure [Pa].

    tread: share of the RR tread saved by the end (+) or used more; laps: change of RR life; balance: change [%].
    All for `MOVE` more, half of the way from `MOVE` less to `MOVE` more.
    """

    wear_pressure: float
    tread: float
    laps: float
    balance: Grid


def weigh_air(model: Model, setup: Setup, lever: str = "pressure_rr", corner: str = "RR") -> tuple[AirEffect, ...]:
    """Drive the run with more and less air in one tire over the band of the wear assumption, as one batch."""
    numbers = setup_numbers(model, setup)
    cars = [
        {**numbers, "wear_pressure": np.array([best]), lever: numbers[lever] + way * MOVE}
        for best in WEAR_BAND
        for way in (-1.0, 1.0)
    ]
    laps = model.case.run_laps
    run = drive_run(stack_numbers(cars), usual_phases(), model.circuit, laps, passes=PASSES)
    ahead = read_forecasts(model, run, laps)
    effects = []
    for place, best in enumerate(WEAR_BAND):
        down, up = ahead[2 * place], ahead[2 * place + 1]
        change = less(up.balance, down.balance)
        effects.append(
            AirEffect(
                wear_pressure=best,
                tread=(down.wear_end[corner] - up.wear_end[corner]) / 2.0,
                laps=(up.tire_laps[corner] - down.tire_laps[corner]) / 2.0,
                balance={phase: {stage: value / 2.0 for stage, value in row.items()} for phase, row in change.items()},
            )
        )
    return tuple(effects)


def conflict_at(effects: tuple[AirEffect, ...], stage: str, phase: str = "exit") -> str:
    """Say whether saving tread with air costs looseness at a stage: "yes", "no", or "depends" over the band."""
    saves = [effect.tread > SEEN for effect in effects]
    loosens = [effect.balance[phase][stage] < -FELT for effect in effects]
    found = [a and b for a, b in zip(saves, loosens, strict=True)]
    return "yes" if all(found) else "depends" if any(found) else "no"


def conflicts(effects: tuple[AirEffect, ...]) -> dict[str, str]:
    """Give the word of every stage."""
    return {stage: conflict_at(effects, stage) for stage in STAGES}
