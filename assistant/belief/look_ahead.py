"""The run ahead in full: how far it goes, what it does to car and tires, and what gears, brakes and air would change.

All the runs a screen needs (the setup, every gear, a step of brake share, right-rear air) are driven as one batch.

Right-rear air: the tread it saves against the balance it costs, per stage, over the band of the wear-best pressure.

How far the pressure of least wear lies above that of most grip is an assumption (0 to 6 psi); a conflict that holds
over the whole band is told as one, another as depending on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from assistant.belief.gears_and_brakes import Brakes, Gear, brake_neighbors, gear_setups, judge_brakes, rank_gears
from assistant.belief.model import Model, read_model, refuse_runaway, setup_numbers
from assistant.belief.picture import Picture, shift_forecast
from assistant.belief.whole_run import Forecast, drive_setups, read_forecasts, whole_laps
from assistant.car.case import Case, Setup
from assistant.ground.grid import Grid
from assistant.ground.names import STAGES
from assistant.ground.units import from_unit
from assistant.physics.car_and_driver import stack_numbers, usual_phases
from assistant.physics.driven_run import DrivenRun, drive_run
from assistant.physics.heat_and_wear import Stop

FEWEST_LAPS, MOST_LAPS = 20, 300
"""Laps a run may be asked for: shorter ones never settle, longer ones no set of tires or tank was made for."""
MOST_TRIES = 8
"""Times the length of a run that ends early is looked for; two or three are enough."""


PSI = from_unit(1.0, "psi")
WEAR_BAND = (0.0, 3.0 * PSI, 6.0 * PSI)
"""Pressure of least wear above that of most grip [Pa]: the band of the assumption."""
MOVE = 2.0 * PSI
"""How far right-rear air is moved each way [Pa]: large enough to see, small enough to be ordinary."""
AIR_PASSES = 9
"""More than a run usually takes: far from the setup at hand, and only six cars."""
FELT = 0.1
"""Change of balance a driver feels [%] (common practice, no source)."""
TREAD_SEEN = 0.002
"""Share of the tread that is worth saying."""


@dataclass(frozen=True)
class RunAhead:
    """planned: laps asked for; driven: laps forecast, fewer where fuel or a tire ends the run before.

    forecast: with the setup at hand; run: the same as arrays, car 0 (for the table of laps).
    case: with this setup and the laps driven. picture: where the car is believed to stand; of a run that nobody put
    there, the balance as it is computed.
    """

    case: Case
    model: Model
    planned: int
    driven: int
    stops: tuple[Stop, ...]
    forecast: Forecast
    run: DrivenRun
    gears: tuple[Gear, ...]
    brakes: Brakes
    picture: Picture

    @property
    def cut_short(self) -> bool:
        """Whether something ends the run before the laps asked for."""
        return self.driven < self.planned


def look_ahead(case: Case, laps: int | None = None, stops: Sequence[Stop] = ()) -> RunAhead:
    """Drive the run with the case's setup and everything it is compared with."""
    planned = laps or case.run_laps
    model, driven = reach(case, [case.setup], planned, stops)
    return look_from(model, case.setup, planned, driven, stops)


def stand_as_believed(ahead: RunAhead, picture: Picture, stops: Grid | None = None) -> RunAhead:
    """Put a run ahead where the car is believed to stand. stops: what the stops change, which comes on top."""
    if picture.shut:
        return replace(ahead, picture=picture)
    if stops is not None:
        picture = picture.moved(stops)
    return replace(ahead, picture=picture, forecast=shift_forecast(ahead.forecast, picture.value))


def of_stops(ahead: RunAhead) -> Grid | None:
    """What the stops change of the balance of the setup the model is of; None without stops."""
    return ahead.forecast.balance - ahead.model.balance if ahead.stops else None


def compare_ahead(
    case: Case, after: Setup, laps: int | None = None, stops: Sequence[Stop] = ()
) -> tuple[RunAhead, RunAhead]:
    """Drive the run with the case's setup and with another one, both over the laps that both can do."""
    planned = laps or case.run_laps
    model, driven = reach(case, [case.setup, after], planned, stops)
    return (
        look_from(model, case.setup, planned, driven, stops),
        look_from(model, after, planned, driven, stops),
    )


def reach(case: Case, setups: Sequence[Setup], planned: int, stops: Sequence[Stop]) -> tuple[Model, int]:
    """Find how many of the laps asked for all setups can do, and the model for a run of that many.

    A shorter run is settled earlier, which moves its end a little: repeated until the run ends no later than its laps.
    """
    laps = planned
    for _ in range(MOST_TRIES):
        model = read_model(replace(case, run_laps=laps))
        run = drive_setups(model, setups, stops=before_lap(stops, laps), laps=laps)
        refuse_runaway(case, run)
        forecasts = read_forecasts(model, run)
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
    forecasts = read_forecasts(model, run)
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
        picture=Picture(*(forecasts[0].balance,) * 3),
    )


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
    run = drive_run(stack_numbers(cars), usual_phases(), model.circuit, laps, passes=AIR_PASSES)
    ahead = read_forecasts(model, run)
    effects = []
    for place, best in enumerate(WEAR_BAND):
        down, up = ahead[2 * place], ahead[2 * place + 1]
        effects.append(
            AirEffect(
                wear_pressure=best,
                tread=(down.wear_end[corner] - up.wear_end[corner]) / 2.0,
                laps=(up.tire_laps[corner] - down.tire_laps[corner]) / 2.0,
                balance=0.5 * (up.balance - down.balance),
            )
        )
    return tuple(effects)


def conflict_at(effects: tuple[AirEffect, ...], stage: str, phase: str = "exit") -> str:
    """Say whether saving tread with air costs looseness at a stage: "yes", "no", or "depends" over the band."""
    saves = [effect.tread > TREAD_SEEN for effect in effects]
    loosens = [effect.balance[phase][stage] < -FELT for effect in effects]
    found = [a and b for a, b in zip(saves, loosens, strict=True)]
    return "yes" if all(found) else "depends" if any(found) else "no"


def conflicts(effects: tuple[AirEffect, ...]) -> dict[str, str]:
    """Give the word of every stage."""
    return {stage: conflict_at(effects, stage) for stage in STAGES}
