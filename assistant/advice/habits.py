"""Remedies that are no levers: a driving habit to change, and something to look at."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.advice.candidates import Candidate, Mention
from assistant.advice.costs import list_balance_costs, list_work
from assistant.advice.fitting import Job, direction_of, moves_of, when_of
from assistant.advice.ranking import (
    Standing,
    weigh_practicality,
    weigh_relief,
    weigh_trade,
    with_score,
)
from assistant.advice.results import Cost, Factor, Grid, Remedy
from assistant.advice.sizing import measure_relief, spread_over
from assistant.advice.stop_words import capitalise
from assistant.advice.trade import read_change, read_share, say_cautions, say_sources, scale_grid

if TYPE_CHECKING:
    from assistant.advice.effects import EffectTable
    from assistant.rules.models_lever import Driving
    from assistant.rules.pack import Knowledge

_BOOK = "by the book"


def offer_driving(candidate: Candidate, job: Job) -> Remedy | None:
    """Make a remedy of a driving habit; None when it is unknown or would make this complaint worse."""
    habit = job.knowledge.driving.get(candidate.id)
    if habit is None or not candidate.mentions:
        return None
    mention, weights = candidate.mentions[0], job.weights
    grid, ends, basis = _driving_grid(habit, job)
    effect = None if grid is None else spread_over(job.wanted, grid, ends)
    relief: float = weights.driving_unknown
    removes: float | None = None
    costs: tuple[Cost, ...] = ()
    if effect is not None and job.wanted.total > 0:
        relief, removes = measure_relief(job.wanted, effect)
        costs = list_balance_costs(effect, job.wanted)
        if removes <= 0:
            return None
    harm = 0.0 if removes is None else relief - removes
    factors = with_score(
        [
            *weigh_relief(relief, harm),
            _weigh_habit(habit, basis, job, known=effect is not None),
            weigh_practicality("pit stop", job.case.at_hand, weights),
            weigh_trade(Standing(mention.place, mention.symptom), weights),
        ]
    )
    plain = _plain_remedy("driving", candidate.id, capitalise(habit.says), mention, job)
    return replace(
        plain,
        removes=removes,
        effect=grid,
        ends=tuple(ends.items()),
        direction=direction_of(job.wanted, effect),
        basis=basis,
        when="pit stop",
        costs=costs,
        cautions=say_cautions([*habit.cautions, *mention.entry.cautions], job.knowledge),
        factors=factors,
    )


def offer_inspection(candidate: Candidate, job: Job) -> Remedy | None:
    """Make a remedy of something to look at; what it removes nobody can know before looking."""
    if not candidate.mentions:
        return None
    mention, weights = candidate.mentions[0], job.weights
    standing = Standing(mention.place, mention.symptom, confidence=mention.entry.confidence)
    factors = with_score(
        [
            *weigh_relief(weights.inspect_counts_as, 0.0),
            weigh_practicality("between runs", job.case.at_hand, weights),
            weigh_trade(standing, weights),
        ]
    )
    title = capitalise(mention.entry.title or candidate.id)
    return replace(
        _plain_remedy("inspect", candidate.id, title, mention, job), factors=factors, note=" ".join(mention.entry.how)
    )


def offer_usual(candidate: Candidate, job: Job) -> Remedy | None:
    """Make a remedy of a lever for a complaint without a balance (a hop, wheelspin): the trade's usual change, its way.

    What it removes is not known, so it is counted like a habit of unknown effect, and the trade's order decides.
    None at a stop or for no mention.
    """
    lever, effect = job.knowledge.levers.get(candidate.id), job.effects.levers.get(candidate.id)
    if lever is None or effect is None or not candidate.mentions:
        return None
    mention, weights = candidate.mentions[0], job.weights
    moves = moves_of(job.case, effect, read_change(lever.largest_change, lever))
    usual = mention.sign * abs(read_change(lever.usual_change, lever))
    pick = min(range(len(moves.steps)), key=lambda at: abs(moves.multiple[at] * abs(effect.step) - usual))
    if mention.sign * moves.steps[pick] <= 0:
        return None
    when = when_of(lever, job.case)
    factors = with_score(
        [
            *weigh_relief(weights.driving_unknown, 0.0),
            weigh_practicality(when, job.case.at_hand, weights),
            weigh_trade(Standing(mention.place, mention.symptom, confidence=mention.entry.confidence), weights),
        ]
    )
    start = moves.start or 0.0
    return replace(
        _plain_remedy("lever", candidate.id, lever.title, mention, job),
        change=moves.shift[pick],
        steps=moves.steps[pick],
        start=start,
        finish=start + moves.shift[pick],
        effect=scale_grid(effect.effect, moves.multiple[pick]) if effect.basis == "computed" else None,
        when=when,
        costs=list_work(lever.recheck),
        cautions=say_cautions([*lever.cautions, *mention.entry.cautions], job.knowledge),
        physics=lever.physics,
        factors=factors,
        note="The size is the trade's usual change; what it takes away of this is not computed.",
    )


def _weigh_habit(habit: Driving, basis: str, job: Job, *, known: bool) -> Factor:
    """State how sure the trade is of a habit, and less so when its effect was not computed."""
    value, text = (
        job.weights.confidence_words[habit.confidence],
        f"the trade's confidence in this habit is {habit.confidence}",
    )
    if basis == "computed":
        return Factor("confidence", value, f"{text}; its effect is computed for this car")
    if not known:
        return Factor("confidence", value, f"{text}; nobody gave its effect")
    return Factor("confidence", value * job.weights.by_the_book_confidence, f"{text}; its effect is from the book")


def _plain_remedy(kind: str, name: str, title: str, mention: Mention, job: Job) -> Remedy:
    """Fill in what a remedy without a lever takes from the trade's line."""
    entry = mention.entry
    return Remedy(
        rank=0,
        kind=kind,
        id=name,
        title=title,
        change=None,
        steps=None,
        start=None,
        finish=None,
        limited_by=None,
        direction=None,
        removes=None,
        effect=None,
        ends=(),
        confidence=None,
        word=None,
        basis=_BOOK,
        when="between runs",
        reason=entry.because,
        cautions=say_cautions(entry.cautions, job.knowledge),
        sources=say_sources(entry.backed_by, job.knowledge),
        watch_for=tuple(entry.watch_for),
        undo_if=entry.undo_if or "",
        symptom=mention.symptom,
    )


def habit_changes(knowledge: Knowledge) -> dict[str, dict[str, float]]:
    """List the habits a model can compute: id to changes of force demand as shares, for `effect_table(habits=...)`."""
    return {
        name: {key: read_share(text) for key, text in habit.computed.model_dump(exclude_none=True).items()}
        for name, habit in knowledge.driving.items()
        if habit.computed is not None
    }


def with_habits(effects: EffectTable, knowledge: Knowledge, names: Sequence[str]) -> EffectTable:
    """Add the effects of the named habits that the table does not hold yet; as it is when it has no model."""
    changes = habit_changes(knowledge)
    wanted = [name for name in names if name in changes and name not in effects.habits]
    if effects.model is None or not wanted:
        return effects
    from assistant.advice.effects import habit_effect  # noqa: PLC0415 - the physics, only when it is needed
    from assistant.advice.moves import solve_base  # noqa: PLC0415 - same
    from assistant.physics.spread import SEED  # noqa: PLC0415 - same

    base = solve_base(effects.model, effects.cars, SEED)
    return replace(effects, habits={**effects.habits, **{one: habit_effect(base, one, changes[one]) for one in wanted}})


def _driving_grid(habit: Driving, job: Job) -> tuple[Grid | None, Mapping[str, Grid], str]:
    """Find what a habit does to the balance [%], of both ends and of each, and where that is known from."""
    found = job.effects.habits.get(habit.driving)
    if found is not None:
        return found.effect, found.ends, "computed"
    if habit.by_the_book:
        row = {str(phase): value for phase, value in habit.by_the_book.items()}
        return (
            {phase: dict.fromkeys(job.effects.stages, row.get(phase, 0.0)) for phase in job.effects.phases},
            {},
            _BOOK,
        )
    return None, {}, _BOOK
