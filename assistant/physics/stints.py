"""Where a run is driven and where it stops: the circuit, the pit stops, and the laps at which it is solved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from assistant.car.car import Engine
from assistant.physics.lap import Lengths
from assistant.physics.loads import Place
from assistant.physics.tires import CurveShape
from assistant.physics.values import Array


@dataclass(frozen=True)
class Stop:
    """What happens after a lap: new tires at some corners (LF RF LR RR), fuel to the start amount, slow laps."""

    after_lap: int
    new_tires: tuple[bool, bool, bool, bool] = (False, False, False, False)
    fuel: bool = False
    slow_laps: int = 0


@dataclass(frozen=True, eq=False)
class Circuit:
    """Where the run is driven. lengths: of corners and straights; air: temperature [K]."""

    place: Place
    lengths: Lengths
    curve: CurveShape
    engine: Engine
    air: float


def place_knots(laps: int, stops: Sequence[Stop] = ()) -> tuple[Array, tuple[Stop | None, ...]]:
    """Choose the knots of a run: dense at the start of every stint, then a third of it and on to its end.

    Returns the laps done at each knot, and for each knot the stop made just before it (None where driving went on).
    """
    knots: list[float] = []
    before: list[Stop | None] = []
    begin, last = 0.0, None
    for stop in [*sorted(stops, key=lambda stop: stop.after_lap), Stop(laps)]:
        length = min(float(stop.after_lap), float(laps)) - begin
        if length > 0.0:
            early = [lap for lap in (0.0, 1.0, 2.0, 4.0, 7.0, 12.0, 20.0) if lap < 0.9 * length / 3.0]
            stint = sorted({*early, *(share * length for share in (1.0 / 3.0, 0.45, 0.62, 0.8, 1.0))})
            knots += [begin + lap for lap in stint]
            before += [last, *[None] * (len(stint) - 1)]
            begin += length
        last = stop
    return np.array(knots), tuple(before)
