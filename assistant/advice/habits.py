"""Driving habits as remedies: what a driver does differently, computed where the model can."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.advice.prices import list_costs, price_run, share_each
from assistant.advice.ranking import weigh_practicality, weigh_relief, weigh_run, weigh_trade, with_score
from assistant.advice.remedies import plain_remedy
from assistant.advice.results import Certainty, Factor, Listing, Remedy
from assistant.advice.sizing import Job, direction_of
from assistant.advice.trade import Candidate, Mention, cautions_of, likely_side, read_share
from assistant.advice.wanted import measure_relief, spoils_more, spread_over
from assistant.belief.effects import habit_effects
from assistant.belief.outcome import Outcome, RunAfter
from assistant.ground.grid import Grid

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from assistant.belief.effects import EffectTable
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models_lever import Driving


@dataclass(frozen=True)
class _Known:
    """What is known of a habit. grid, ends: change of balance [%]; row: the same at each wanted place.

    relief, harm: shares of the complaint. sure: chance that the sign holds, None when it was not computed.
    run: over the run, None when the full model was not asked.
    """

    basis: str
    grid: Grid
    ends: Mapping[str, Grid]
    row: NDArray[np.float64]
    relief: float
    harm: float
    sure: float | None
    run: RunAfter | None = None


def offer_driving(candidate: Candidate, job: Job, outcome: Outcome | None = None) -> Remedy | None:
    """Make a remedy of a driving habit; None when it is unknown or would make this complaint worse.

    outcome: what the full model says of it, when it was asked.
    """
    habit = job.knowledge.driving.get(candidate.id)
    if habit is None or not candidate.mentions:
        return None
    mention, known = candidate.mentions[0], _look_up(habit, job)
    if known is not None and outcome is not None:
        known = _with_outcome(known, outcome, job)
    plain = replace(
        plain_remedy("driving", candidate.id, habit.title, mention, job),
        says=habit.says,
        when="pit stop",
        cautions=cautions_of([*habit.cautions, *mention.entry.cautions], job.knowledge),
        factors=_weigh(habit, known, mention, job),
    )
    if known is None:
        return plain
    plain = replace(plain, effect=known.grid, ends=tuple(known.ends.items()), basis=known.basis)
    if job.wanted.total == 0:
        return plain
    return (
        None if known.harm >= known.relief or spoils_more(job.wanted, known.row) else _with_numbers(plain, known, job)
    )


def _with_numbers(plain: Remedy, known: _Known, job: Job) -> Remedy:
    """Add what a habit takes away of the complaint, and what that costs."""
    return replace(
        plain,
        removes=known.relief,
        spoils=known.harm,
        each=share_each(job.felt, known.grid, known.ends),
        direction=direction_of(job.wanted, known.row),
        costs=list_costs(known.row, known.run, job.wanted, job.weights, job.case.run_laps),
        confidence=known.sure,
        asked=job.asked,
        run=known.run,
    )


def habit_changes(knowledge: Knowledge) -> dict[str, dict[str, float]]:
    """List the habits a model can compute: id to changes of force demand as shares, for `effect_table(habits=...)`."""
    return {
        name: {key: read_share(text) for key, text in habit.computed.model_dump(exclude_none=True).items()}
        for name, habit in knowledge.driving.items()
        if habit.computed is not None
    }


def with_habits(effects: EffectTable, knowledge: Knowledge, names: Sequence[str]) -> EffectTable:
    """Add the effects of the named habits that the table does not hold yet."""
    changes = habit_changes(knowledge)
    wanted = [name for name in names if name in changes and name not in effects.habits]
    if not wanted:
        return effects
    found = habit_effects(effects.base, {one: changes[one] for one in wanted})
    return replace(effects, habits={**effects.habits, **found})


def _look_up(habit: Driving, job: Job) -> _Known | None:
    """Find what a habit does to the balance: from the table, else from the book, else nothing."""
    found = job.effects.habits.get(habit.driving)
    if found is not None:
        row = spread_over(job.wanted, found.effect, found.ends)
        share = spread_over(job.wanted, found.sign_share, {})
        sure = likely_side(job.wanted, row, share, job.effects.cars)
        return _Known("computed", found.effect, found.ends, row, *measure_relief(job.wanted, row), sure)
    if not habit.by_the_book:
        return None
    values = dict.fromkeys(job.effects.phases, 0.0) | {str(phase): one for phase, one in habit.by_the_book.items()}
    grid = Grid.level(values)
    row = spread_over(job.wanted, grid, {})
    return _Known("by the book", grid, {}, row, *measure_relief(job.wanted, row), None)


def _with_outcome(known: _Known, outcome: Outcome, job: Job) -> _Known:
    """Put the exact numbers in place; a habit without a steady state does nothing anybody can count on."""
    row = spread_over(job.wanted, outcome.balance, outcome.ends)
    relief, harm = measure_relief(job.wanted, row) if outcome.steady else (0.0, 0.0)
    return replace(known, grid=outcome.balance, ends=outcome.ends, row=row, relief=relief, harm=harm, run=outcome.run)


def _weigh(habit: Driving, known: _Known | None, mention: Mention, job: Job) -> tuple[Factor, ...]:
    relief, harm = job.weights.driving_unknown, 0.0
    if known is not None and job.wanted.total > 0:
        relief, harm = known.relief, known.harm
    return with_score(
        [
            *weigh_relief(relief, harm),
            *weigh_run(None if known is None else price_run(known.run, job.weights, job.case.run_laps)),
            _weigh_confidence(habit, known, job),
            weigh_practicality("pit stop", job.case.at_hand, job.weights),
            weigh_trade(Listing(mention.place, mention.symptom), job.weights),
        ]
    )


def _weigh_confidence(habit: Driving, known: _Known | None, job: Job) -> Factor:
    """Weigh how sure the trade is of a habit, times how sure its computed direction is."""
    trade = habit.confidence
    value = job.weights.confidence_words[trade]
    if job.wanted.total == 0:
        return Factor("confidence", value, Certainty("no direction", trade=trade))
    if known is None:
        return Factor("confidence", value, Certainty("unknown", trade=trade))
    if known.sure is None:
        booked = job.weights.by_the_book_confidence
        return Factor("confidence", value * booked, Certainty("by the book", booked, trade))
    return Factor("confidence", value * known.sure, Certainty("computed", known.sure, trade))
