"""What one change does: to the balance, and over the run; scaled up from single steps, or from the full model.

The last word over what a change does: the whole run driven anew with it, many changes as one batch.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite
from typing import TYPE_CHECKING

from assistant.car.moves import with_steps

if TYPE_CHECKING:
    from assistant.belief.effects import EffectTable, LeverEffect, RunChange
    from assistant.belief.whole_run import Forecast
    from assistant.car.case import Case
    from assistant.ground.grid import Grid
    from assistant.physics.car_and_driver import Phases


WORN = "worn"
"""The stage whose hot pressures are told."""

After = tuple[float, float]
"""What stands after the change, and the change."""


@dataclass(frozen=True)
class RunAfter:
    """The run with the change made. tire_laps: laps of tread by corner (a tire that never wears is left out).

    pace: change of lap time [s], first, average, last. fuel_laps: laps in the tank. hot_pressure: by corner, late in
    the run [Pa]; empty when only single steps are known.
    """

    tire_laps: Mapping[str, After]
    pace: Mapping[str, float]
    fuel_laps: After
    hot_pressure: Mapping[str, After] = field(default_factory=dict)


@dataclass(frozen=True)
class Outcome:
    """Change of balance [%, + tighter], of both ends and of each; run: None when it was not computed.

    steady: False when the full model finds no steady state with the change made.
    """

    balance: Grid
    ends: Mapping[str, Grid]
    run: RunAfter | None = None
    steady: bool = True


def scale_effect(effect: LeverEffect, multiple: float, now: Forecast) -> Outcome:
    """Take so many steps of a lever as so many times one. now: the run with the setup at hand."""
    ends = {end: multiple * grid for end, grid in effect.ends.items()}
    return Outcome(multiple * effect.effect, ends, scale_run(effect.run, multiple, now))


def scale_run(run: RunChange | None, multiple: float, now: Forecast) -> RunAfter | None:
    """Take what so many steps do over the run as so many times one; None when it was not computed."""
    if run is None:
        return None
    fuel = multiple * run.fuel_laps
    return RunAfter(
        tire_laps=change_tire_laps(now.tire_laps, run.tire_laps, multiple),
        pace={part: multiple * seconds for part, seconds in run.pace.items()},
        fuel_laps=(now.fuel_laps + fuel, fuel),
    )


def compare_runs(after: Forecast, now: Forecast) -> Outcome:
    """Subtract the run at hand from the run with the change made, both from the full model."""
    before = dict(now.ends)
    life = {corner: (laps, laps - now.tire_laps[corner]) for corner, laps in after.tire_laps.items()}
    pressure = {corner: row[WORN] for corner, row in after.hot_pressure.items()}
    run = RunAfter(
        tire_laps={corner: pair for corner, pair in life.items() if isfinite(pair[0]) and isfinite(pair[1])},
        pace={part: getattr(after.pace, part) - getattr(now.pace, part) for part in ("first", "average", "last")},
        fuel_laps=(after.fuel_laps, after.fuel_laps - now.fuel_laps),
        hot_pressure={corner: (hot, hot - now.hot_pressure[corner][WORN]) for corner, hot in pressure.items()},
    )
    return Outcome(
        after.balance - now.balance,
        {end: grid - before[end] for end, grid in after.ends},
        run,
        steady=after.steady or not now.steady,
    )


def change_tire_laps(now: Mapping[str, float], per_step: Mapping[str, float], multiple: float) -> dict[str, After]:
    """Work out (laps after, change) of every corner's tread for so many steps; a tire that never wears is left out."""
    changes = {corner: multiple * per_step.get(corner, 0.0) for corner in now}
    return {
        corner: (laps + changes[corner], changes[corner])
        for corner, laps in now.items()
        if isfinite(laps) and isfinite(changes[corner])
    }


@dataclass(frozen=True)
class Trial:
    """One thing to try: levers with their legal steps, or a driving habit by its id ("" for none)."""

    moves: tuple[tuple[str, int], ...] = ()
    habit: str = ""


FullModel = Callable[[Sequence[Trial]], Sequence[Outcome]]
"""What each trial does to the car at hand."""
Changes = Mapping[str, Mapping[str, float]]
"""Driving habit to changes of force demand as shares."""


def try_lever(lever: str, steps: int) -> Trial:
    """Name the trial of one lever."""
    return Trial(((lever, steps),))


def full_model_of(case: Case, effects: EffectTable, habits: Changes) -> FullModel:
    """Make the full model from what the effects were computed with.

    Nothing is driven twice, and everything asked at once is driven as one batch.
    """
    known: dict[Trial, Outcome] = {}

    def full_model(trials: Sequence[Trial]) -> list[Outcome]:
        fresh = [trial for trial in dict.fromkeys(trials) if trial not in known]
        known.update(zip(fresh, _drive(case, effects, habits, fresh), strict=True))
        return [known[trial] for trial in trials]

    return full_model


def _drive(case: Case, effects: EffectTable, habits: Changes, trials: Sequence[Trial]) -> list[Outcome]:
    """Drive every trial, with the car as it is as the first of the batch."""
    if not trials:
        return []
    from assistant.belief.whole_run import forecast_setups  # noqa: PLC0415 - the physics, only when it is needed

    setups = [case.setup, *(with_steps(case, trial.moves) for trial in trials)]
    now, *runs = forecast_setups(effects.model, setups, _demands(trials, habits))
    return [compare_runs(run, now) for run in runs]


def _demands(trials: Iterable[Trial], habits: Changes) -> Phases | None:
    """Lay what the driver asks of the tires along the cars axis, the usual lap first; None when no habit is tried."""
    tried = [trial.habit for trial in trials]
    if not any(tried):
        return None
    from assistant.belief.neighbors import habit_phases, side_by_side  # noqa: PLC0415 - the physics
    from assistant.physics.car_and_driver import usual_phases  # noqa: PLC0415 - same

    return side_by_side([habit_phases(usual_phases(), habits.get(habit, {})) for habit in ("", *tried)])
