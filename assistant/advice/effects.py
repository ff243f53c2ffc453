"""What one legal step of every lever does to balance on this car, with its spread over plausible cars.

Every lever is moved both ways from the setup at hand on the nominal car and on plausible ones. The moved cars start
from the solved base and take two corrections, which is exact to far below what a driver feels (a test holds it
against full solves).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from assistant.advice.model import Model, as_grid, read_model, set_up, settled_only, weigh_ends
from assistant.advice.results import Grid
from assistant.car.case import PHASES, STAGES, Case
from assistant.car.changes import neighbours, range_left
from assistant.car.setup import LEVERS
from assistant.physics.anchor import anchor_balance
from assistant.physics.attitude import felt_balance
from assistant.physics.corner import Limit, solve_limit
from assistant.physics.numbers import Array, Numbers, move_levers, stack_numbers
from assistant.physics.phases import Phases
from assistant.physics.spread import CARS, SEED, plausible_cars

CORRECTIONS = 3
NOT_COMPUTED = frozenset({"caster_split", "toe", "steering_ratio"})
"""Levers of feel, not of grip: the model has no balance for them, the pack's table speaks instead."""
MOVES: Mapping[str, tuple[str, ...]] = {"track_bar": ("track_bar_left", "track_bar_right")}
"""Levers that move several values together."""
SPRING_ROWS: Mapping[str, int] = {"spring_lf": 6, "spring_rf": 7, "spring_lr": 8, "spring_rr": 9}
"""Row of the load law with the travel of the corner a spring stands in."""

Spread = Mapping[str, Mapping[str, tuple[float, float]]]


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


@dataclass(frozen=True)
class EffectTable:
    """Balance now and every lever's effect; `phases`, `stages`, `ends` name the axes."""

    phases: tuple[str, ...]
    stages: tuple[str, ...]
    ends: tuple[str, ...]
    balance: Grid
    levers: Mapping[str, LeverEffect]
    cars: int = CARS
    end_balance: Mapping[str, Grid] = field(default_factory=dict)


@dataclass(frozen=True)
class Base:
    """The solved plausible cars everything is compared with; index 0 is the nominal car."""

    model: Model
    numbers: Numbers
    phases: Phases
    limit: Limit
    weights: Array
    cells: Array


def effect_table(
    case: Case,
    levers: Iterable[str] | None = None,
    cars: int = CARS,
    seed: int = SEED,
    progress: Callable[[int, int], bool] | None = None,
) -> EffectTable:
    """Compute the table for `levers` (all of the setup's when left out).

    progress: called with levers done and in all; returning False stops early with what is there.
    """
    base = solve_base(case, cars, seed)
    wanted = [lever for lever in (levers or LEVERS) if lever == "track_bar" or lever in case.setup.values]
    table: dict[str, LeverEffect] = {}
    for done, lever in enumerate(wanted):
        table[lever] = lever_effect(base, lever)
        if progress is not None and not progress(done + 1, len(wanted)):
            break
    nominal = (base.cells * base.weights).sum(axis=2)[..., 0]
    return EffectTable(
        phases=PHASES,
        stages=STAGES,
        ends=base.model.end_ids,
        balance=as_grid(nominal),
        levers=table,
        cars=cars,
        end_balance={end: as_grid(base.cells[:, :, e, 0]) for e, end in enumerate(base.model.end_ids)},
    )


def solve_base(case: Case, cars: int = CARS, seed: int = SEED) -> Base:
    """Solve the setup at hand on the nominal and the plausible cars."""
    model = read_model(case)
    guessed = case.car.guessed | case.tyre.guessed | case.setup.guessed
    numbers, phases = plausible_cars(model.numbers, guessed, cars, seed)
    numbers = anchor_balance(numbers, phases, model.circuit, settled_only(model.moments))
    problem = set_up(model, numbers, phases)
    limit = solve_limit(problem)
    return Base(model, numbers, phases, limit, weigh_ends(model, limit), felt_balance(problem, limit))


def lever_effect(base: Base, lever: str) -> LeverEffect:
    """Move one lever both ways and take the slope per + step at the setup at hand."""
    case = base.model.case
    down, up = neighbours(case.setup, case.rulebook, case.car, lever)
    left = range_left(case.setup, case.rulebook, case.car, lever)
    step = up or -down
    if lever in NOT_COMPUTED or step == 0.0:
        slope = np.zeros((*base.cells.shape[:2], *base.cells.shape[2:]))
    else:
        slope = step * moved_cells(base, lever, (up or -down, down or -up))
    mean = (slope * base.weights).sum(axis=2)
    same = np.sign(mean) == np.sign(mean[..., :1])
    return LeverEffect(
        id=lever,
        step=step,
        effect=as_grid(mean[..., 0]),
        ends={end: as_grid(slope[:, :, e, 0]) for e, end in enumerate(base.model.end_ids)},
        spread=as_spread(mean),
        sign_share=as_grid(same.mean(axis=-1)),
        basis="by the book" if lever in NOT_COMPUTED else "computed",
        steps_down=left[0],
        steps_up=left[1],
        travel=spring_travel(base, lever),
    )


def moved_cells(base: Base, lever: str, sizes: tuple[float, float]) -> Array:
    """Slope of felt balance per SI unit of the lever between two moves of it, (stages, phases, ends, cars)."""
    names = MOVES.get(lever, (lever,))
    both = stack_numbers([move_levers(base.numbers, dict.fromkeys(names, size)) for size in sizes])
    phases, start = twice_over(base)
    problem = set_up(base.model, both, phases)
    cells = felt_balance(problem, solve_limit(problem, start=start, rounds=CORRECTIONS))
    cars = base.cells.shape[-1]
    return np.asarray((cells[..., :cars] - cells[..., cars:]) / (sizes[0] - sizes[1]))


def twice_over(base: Base) -> tuple[Phases, Limit]:
    """Repeat the base along the cars axis, for cars moved up and cars moved down."""

    def twice(values: Array) -> Array:
        return np.concatenate([values, values], axis=-1) if values.shape[-1] > 1 else values

    limit = base.limit
    phases = Phases(*(twice(value) for value in vars(base.phases).values()))
    return phases, replace(
        limit,
        unknowns=np.concatenate([limit.unknowns] * 2, axis=-1),
        inverse=np.concatenate([limit.inverse] * 2, axis=-1),
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
