"""The last word over what a change does: the whole run driven anew with it, many changes as one batch."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.advice.computed.outcome import Outcome, compare_runs
from assistant.car.changes import with_step

if TYPE_CHECKING:
    from assistant.advice.computed.effects import EffectTable
    from assistant.car.case import Case
    from assistant.car.setup import Setup
    from assistant.physics.phases import Phases


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


def full_model_of(case: Case, effects: EffectTable, habits: Changes) -> FullModel | None:
    """Make the full model from what the effects were computed with; None for a table without it.

    Nothing is driven twice, and everything asked at once is driven as one batch.
    """
    if effects.model is None:
        return None
    known: dict[Trial, Outcome] = {}

    def full_model(trials: Sequence[Trial]) -> list[Outcome]:
        fresh = [trial for trial in dict.fromkeys(trials) if trial not in known]
        known.update(zip(fresh, _drive(case, effects, habits, fresh), strict=True))
        return [known[trial] for trial in trials]

    return full_model


def _drive(case: Case, effects: EffectTable, habits: Changes, trials: Sequence[Trial]) -> list[Outcome]:
    """Drive every trial, with the car as it is as the first of the batch."""
    if not trials or effects.model is None:
        return []
    from assistant.advice.computed.forecast import forecast_setups  # noqa: PLC0415 - the physics, only when it is needed

    setups = [case.setup, *(_move_all(case, trial) for trial in trials)]
    now, *runs = forecast_setups(effects.model, setups, _demands(trials, habits))
    return [compare_runs(run, now) for run in runs]


def _move_all(case: Case, trial: Trial) -> Setup:
    setup = case.setup
    for lever, steps in trial.moves:
        setup, _ = with_step(setup, case.rulebook, case.car, lever, steps)
    return setup


def _demands(trials: Iterable[Trial], habits: Changes) -> Phases | None:
    """Lay what the driver asks of the tires along the cars axis, the usual lap first; None when no habit is tried."""
    tried = [trial.habit for trial in trials]
    if not any(tried):
        return None
    from assistant.advice.computed.moves import habit_phases, side_by_side  # noqa: PLC0415 - the physics
    from assistant.physics.phases import usual_phases  # noqa: PLC0415 - same

    return side_by_side([habit_phases(usual_phases(), habits.get(habit, {})) for habit in ("", *tried)])
