"""The run ahead in full: how far it goes, what it does to car and tires, and what gears, brakes and air would change.

All the runs a screen needs (the setup, every gear, a step of brake share, right-rear air) are driven as one batch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.advice.computed.forecast import Forecast, drive_setups, read_forecasts
from assistant.advice.computed.model import Model, read_model, refuse_runaway
from assistant.advice.computed.standing import NEUTRAL, Standing
from assistant.advice.run.brakes import Brakes, brake_neighbors, judge_brakes
from assistant.advice.run.gears import Gear, gear_setups, rank_gears
from assistant.advice.run.run_ends import whole_laps
from assistant.car.case import Case
from assistant.car.setup import Setup
from assistant.physics.run import Run
from assistant.physics.stints import Stop

FEWEST_LAPS, MOST_LAPS = 20, 300
"""Laps a run may be asked for: shorter ones never settle, longer ones no set of tires or tank was made for."""
MOST_TRIES = 8
"""Times the length of a run that ends early is looked for; two or three are enough."""


@dataclass(frozen=True)
class RunAhead:
    """planned: laps asked for; driven: laps forecast, fewer where fuel or a tire ends the run before.

    forecast: with the setup at hand; run: the same as arrays, car 0 (for the table of laps).
    case: with this setup and the laps driven.
    """

    case: Case
    model: Model
    planned: int
    driven: int
    stops: tuple[Stop, ...]
    forecast: Forecast
    run: Run
    gears: tuple[Gear, ...]
    brakes: Brakes

    @property
    def cut_short(self) -> bool:
        """Whether something ends the run before the laps asked for."""
        return self.driven < self.planned


def look_ahead(
    case: Case, laps: int | None = None, stops: Sequence[Stop] = (), standing: Standing = NEUTRAL
) -> RunAhead:
    """Drive the run with the case's setup and everything it is compared with.

    standing: where the driver says the car is; neutral when settled where nobody said anything.
    """
    planned = laps or case.run_laps
    model, driven = reach(case, [case.setup], planned, stops, standing)
    return look_from(model, case.setup, planned, driven, stops)


def compare_ahead(
    case: Case, after: Setup, laps: int | None = None, stops: Sequence[Stop] = (), standing: Standing = NEUTRAL
) -> tuple[RunAhead, RunAhead]:
    """Drive the run with the case's setup and with another one, both over the laps that both can do.

    Both are judged from the same place: the driver's word about the car as it is.
    """
    planned = laps or case.run_laps
    model, driven = reach(case, [case.setup, after], planned, stops, standing)
    return (
        look_from(model, case.setup, planned, driven, stops),
        look_from(model, after, planned, driven, stops),
    )


def reach(
    case: Case, setups: Sequence[Setup], planned: int, stops: Sequence[Stop], standing: Standing
) -> tuple[Model, int]:
    """Find how many of the laps asked for all setups can do, and the model for a run of that many.

    A shorter run is settled earlier, which moves its end a little: repeated until the run ends no later than its laps.
    """
    laps = planned
    for _ in range(MOST_TRIES):
        model = read_model(replace(case, run_laps=laps), standing)
        run = drive_setups(model, setups, stops=before_lap(stops, laps), laps=laps)
        refuse_runaway(case, run)
        forecasts = read_forecasts(model, run, laps)
        fit = max(1, min(laps, *(whole_laps(one.run_ends_at) for one in forecasts)))
        if fit == laps:
            break
        laps = fit
    return model, laps


def before_lap(stops: Sequence[Stop], laps: int) -> tuple[Stop, ...]:
    """Keep the stops that come before the end of a run of so many laps."""
    return tuple(stop for stop in stops if stop.after_lap < laps)


def look_from(model: Model, setup: Setup, planned: int, driven: int, stops: Sequence[Stop]) -> RunAhead:
    """Drive one setup, with its gears and brake steps beside it."""
    case = replace(model.case, setup=setup)
    kept = before_lap(stops, driven)
    pairs, bias = gear_setups(case), brake_neighbors(case)
    run = drive_setups(model, [setup, *pairs, *bias.values()], stops=kept, laps=driven)
    forecasts = read_forecasts(model, run, driven)
    return RunAhead(
        case=case,
        model=model,
        planned=planned,
        driven=driven,
        stops=kept,
        forecast=forecasts[0],
        run=run,
        gears=rank_gears(case, pairs, forecasts[1 : 1 + len(pairs)]),
        brakes=judge_brakes(case, run, forecasts[0], bias, forecasts[1 + len(pairs) :]),
    )
