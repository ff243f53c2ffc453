"""What one legal step of every lever does to balance on this car, with its spread over plausible cars.

The size comes from driving the whole run with the lever moved one step each way on the nominal car; the spread from
moving it on plausible cars with the tires of each stage as they are, shifted to that size.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from assistant.belief.model import Model, no_steady_state, read_model
from assistant.belief.neighbors import TOGETHER, Base, change_habits, move_apart, solve_base
from assistant.belief.standing import Standing, read_standing
from assistant.belief.whole_run import Forecast, forecast_setups
from assistant.car.car import CORNERS
from assistant.car.case import Case
from assistant.car.moves import neighbors, range_left, with_step
from assistant.car.setup import is_computed, levers_of
from assistant.ground.grid import PHASES, STAGES, Grid
from assistant.ground.understood import Complaint
from assistant.physics.car_and_driver import CARS, SEED
from assistant.physics.formulas import Array

ABSURD = 50.0
"""A change of balance [%] per step beyond which a plausible car has fallen off its own limit and is left out."""
SPRING_ROWS: Mapping[str, int] = {"spring_lf": 6, "spring_rf": 7, "spring_lr": 8, "spring_rr": 9}
"""Row of the load law with the travel of the corner a spring stands in."""

Spread = Mapping[str, Mapping[str, tuple[float, float]]]
Progress = Callable[[int, int], bool]
Neighbors = Mapping[str, tuple[Forecast, Forecast, int]]
"""Lever to the runs with it moved down and up, and the steps between them."""


@dataclass(frozen=True)
class RunChange:
    """What one + step does over the run: laps of tread by corner, lap time [s] first/average/last, laps of fuel."""

    tire_laps: Mapping[str, float]
    pace: Mapping[str, float]
    fuel_laps: float


@dataclass(frozen=True)
class LeverEffect:
    """One lever. step: SI size of one + step. effect: percent of balance per + step, + tighter (nominal car).

    spread: 10th and 90th percentile over plausible cars; sign_share: share of them with the nominal car's sign.
    steps_down, steps_up: legal steps left each way. travel: of a spring's corner from the scales [m], bump +.
    basis: "computed", or "by the book" where the model has no balance effect (then effect is all zero).
    """

    id: str
    step: float
    effect: Grid
    ends: Mapping[str, Grid]
    spread: Spread
    sign_share: Grid
    basis: str
    steps_down: int
    steps_up: int
    travel: Spread | None = None
    run: RunChange | None = None


@dataclass(frozen=True)
class EffectTable:
    """Balance now and every lever's effect; `phases`, `stages`, `ends` name the axes.

    habits: what each driving habit does, in the same form (one "step" is the whole habit). forecast: the run ahead with
    the setup at hand; model: what it was computed with, for exact answers about other setups; base: the plausible cars.
    """

    phases: tuple[str, ...]
    stages: tuple[str, ...]
    ends: tuple[str, ...]
    balance: Grid
    levers: Mapping[str, LeverEffect]
    cars: int
    end_balance: Mapping[str, Grid]
    habits: Mapping[str, LeverEffect]
    forecast: Forecast
    model: Model
    base: Base

    def told(self, standing: Standing) -> EffectTable:
        """The same table for words that leave the car where it is."""
        return replace(self, model=replace(self.model, standing=standing))


def effect_table(
    case: Case,
    levers: Iterable[str] | None = None,
    cars: int = CARS,
    seed: int = SEED,
    progress: Progress | None = None,
    habits: Mapping[str, Mapping[str, float]] | None = None,
    complaint: Complaint | None = None,
) -> EffectTable:
    """Compute the table for `levers` (all of the setup's when left out) and driving `habits`.

    habits: id to changes of force demand as shares, keys entry_brake, middle_drive, exit_drive (-0.1 = a tenth less).
    complaint: what the driver said; balance is anchored there, else neutral when settled.
    progress: called with levers done and in all; returning False stops early with what is there.
    """
    model = read_model(case, read_standing(complaint))
    base = solve_base(model, cars, seed)
    if not base.usable[0]:
        raise no_steady_state(case, model.run)
    known = levers_of(case.setup)
    wanted = [lever for lever in (levers or known) if lever in known]
    now, through = drive_neighbors(model, wanted)
    return EffectTable(
        phases=PHASES,
        stages=STAGES,
        ends=model.end_ids,
        balance=now.balance,
        levers=_describe_levers(base, wanted, through, progress),
        cars=cars,
        end_balance=dict(now.ends),
        habits=habit_effects(base, habits or {}),
        forecast=now,
        model=model,
        base=base,
    )


def _describe_levers(
    base: Base, wanted: Sequence[str], through: Neighbors, progress: Progress | None
) -> dict[str, LeverEffect]:
    """Describe a handful of levers after the other, until somebody stops it."""
    table: dict[str, LeverEffect] = {}
    for first in range(0, len(wanted), TOGETHER):
        some = wanted[first : first + TOGETHER]
        sizes = {lever: size_of_move(base, lever) for lever in some if lever in through}
        slopes = dict(zip(sizes, move_apart(base, list(sizes.items())), strict=True)) if sizes else {}
        table |= {lever: lever_effect(base, lever, slopes.get(lever), through.get(lever)) for lever in some}
        if progress is not None and not progress(len(table), len(wanted)):
            break
    return table


def size_of_move(base: Base, lever: str) -> float:
    """Size of the move a lever's slope is taken over: one legal + step, or one - step at the top of its range [SI]."""
    case = base.model.case
    down, up = neighbors(case.setup, case.rulebook, case.car, lever)
    return up or down


def lever_effect(
    base: Base, lever: str, slope: Array | None, through: tuple[Forecast, Forecast, int] | None
) -> LeverEffect:
    """Describe one lever from its slope on plausible cars and the runs with it moved down and up."""
    case = base.model.case
    down, up = neighbors(case.setup, case.rulebook, case.car, lever)
    step = up or -down
    change = np.zeros_like(base.cells)
    if slope is not None and through is not None:
        change = step * slope
        change += run_slope(through) - change[..., :1]
    left = range_left(case.setup, case.rulebook, case.car, lever)
    return describe_effect(base, lever, change, step, left, run_change(through))


def habit_effects(base: Base, habits: Mapping[str, Mapping[str, float]]) -> dict[str, LeverEffect]:
    """Describe driving habits, each as one whole step."""
    if not habits:
        return {}
    changes = change_habits(base, list(habits.values()))
    return {
        name: describe_effect(base, name, change, 1.0, (0, 1), None)
        for name, change in zip(habits, changes, strict=True)
    }


def describe_effect(
    base: Base, name: str, slope: Array, step: float, left: tuple[int, int], run: RunChange | None
) -> LeverEffect:
    """Turn the change of every car's cells per + step (stages, phases, ends, cars) into plain values."""
    mean = (slope * base.weights).sum(axis=2)
    sane = base.usable & np.isfinite(mean).all(axis=(0, 1)) & (np.abs(mean).max(axis=(0, 1)) < ABSURD)
    if not sane[0]:  # the car at hand is no longer itself with this moved: nothing is claimed for it
        mean, slope, sane = np.zeros_like(mean), np.zeros_like(slope), np.ones_like(sane)
    mean = mean[..., sane]
    same = np.sign(mean) == np.sign(mean[..., :1])
    return LeverEffect(
        id=name,
        step=step,
        effect=Grid.of_array(mean[..., 0]),
        ends={end: Grid.of_array(slope[:, :, e, 0]) for e, end in enumerate(base.model.end_ids)},
        spread=as_spread(mean),
        sign_share=Grid.of_array(same.mean(axis=-1)),
        basis="computed" if is_computed(name, base.model.case.setup) else "by the book",
        steps_down=left[0],
        steps_up=left[1],
        travel=spring_travel(base, name),
        run=run,
    )


def drive_neighbors(model: Model, levers: Iterable[str]) -> tuple[Forecast, dict[str, tuple[Forecast, Forecast, int]]]:
    """Drive the run as it is and with every computed lever one step down and up, all as one batch.

    Returns the run as it is, and per lever the runs below and above with the number of steps between them.
    """
    case, setups, steps = model.case, [model.case.setup], {}
    for lever in levers:
        if not is_computed(lever, case.setup):
            continue
        moved = [with_step(case.setup, case.rulebook, case.car, lever, way) for way in (-1, 1)]
        made = sum(stop is None for _, stop in moved)
        if made:
            steps[lever] = (len(setups), made)
            setups += [setup for setup, _ in moved]
    runs = forecast_setups(model, setups)
    return runs[0], {lever: (runs[first], runs[first + 1], made) for lever, (first, made) in steps.items()}


def run_slope(through: tuple[Forecast, Forecast, int]) -> Array:
    """Change per + step through the run, (stages, phases, ends, 1)."""
    below, above, steps = through
    ends = [(up - down).array() for (_, down), (_, up) in zip(below.ends, above.ends, strict=True)]
    return np.stack(ends, axis=-1)[..., None] / steps


def run_change(through: tuple[Forecast, Forecast, int] | None) -> RunChange | None:
    """What one + step does to tires, pace and fuel."""
    if through is None:
        return None
    below, above, steps = through
    return RunChange(
        tire_laps={corner: (above.tire_laps[corner] - below.tire_laps[corner]) / steps for corner in CORNERS},
        pace={
            part: (getattr(above.pace, part) - getattr(below.pace, part)) / steps
            for part in ("first", "average", "last")
        },
        fuel_laps=(above.fuel_laps - below.fuel_laps) / steps,
    )


def as_spread(values: Array) -> Spread:
    """10th and 90th percentile over the cars of (stages, phases, cars), by cell."""
    low, high = np.percentile(values, (10.0, 90.0), axis=-1)
    return {
        phase: {stage: (float(low[s, p]), float(high[s, p])) for s, stage in enumerate(STAGES)}
        for p, phase in enumerate(PHASES)
    }


def spring_travel(base: Base, lever: str) -> Spread | None:
    """Travel of a spring's corner from the scales [m], bump +, mean of the ends; None for other levers."""
    if lever not in SPRING_ROWS:
        return None
    rise = base.limit.point.outputs[SPRING_ROWS[lever]]
    return as_spread((rise * base.weights).sum(axis=2))
