"""Remedies as the trade lists them: something to look at, and usual changes for a complaint without a balance."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.advice.offers.candidates import Candidate, Mention
from assistant.advice.offers.fitting import Job, moves_of, when_of
from assistant.advice.offers.ranking import Standing, weigh_practicality, weigh_relief, weigh_trade, with_score
from assistant.advice.offers.sizing import Moves
from assistant.advice.offers.stop_words import capitalise
from assistant.advice.offers.trade import read_change, say_cautions, scale_grid
from assistant.advice.results import Remedy, bare_remedy
from assistant.rules.knowledge import say_sources

if TYPE_CHECKING:
    from assistant.rules.models_lever import Lever

USUAL_NOTE = "The size is the trade's usual change; what it takes away of this is not computed."


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
        plain_remedy("inspect", candidate.id, title, mention, job), factors=factors, note=" ".join(mention.entry.how)
    )


def offer_usual(candidate: Candidate, job: Job) -> Remedy | None:
    """Make a remedy of a lever for a complaint without a balance (a hop, wheelspin): the trade's usual change, its way.

    What it removes is not known, so it is counted like a habit of unknown effect, and the trade's order decides.
    None at a stop or for no mention.
    """
    lever, effect = job.knowledge.levers.get(candidate.id), job.effects.levers.get(candidate.id)
    if lever is None or effect is None or not candidate.mentions:
        return None
    mention = candidate.mentions[0]
    moves = moves_of(job.case, effect, read_change(lever.largest_change, lever))
    pick = _pick_usual(moves, abs(effect.step), mention.sign * abs(read_change(lever.usual_change, lever)))
    if mention.sign * moves.steps[pick] <= 0:
        return None
    start, shift = moves.start or 0.0, moves.shift[pick]
    return replace(
        _say_usual(lever, mention, job),
        change=shift,
        steps=moves.steps[pick],
        start=start,
        finish=start + shift,
        effect=scale_grid(effect.effect, moves.multiple[pick]) if effect.basis == "computed" else None,
    )


def _say_usual(lever: Lever, mention: Mention, job: Job) -> Remedy:
    """Put together what is said and weighed of a usual change, without its size."""
    when, weights = when_of(lever, job.case), job.weights
    standing = Standing(mention.place, mention.symptom, confidence=mention.entry.confidence)
    factors = [
        *weigh_relief(weights.driving_unknown, 0.0),
        weigh_practicality(when, job.case.at_hand, weights),
        weigh_trade(standing, weights),
    ]
    return replace(
        plain_remedy("lever", lever.lever, lever.title, mention, job),
        when=when,
        check_again=tuple(lever.recheck),
        cautions=say_cautions([*lever.cautions, *mention.entry.cautions], job.knowledge),
        physics=lever.physics,
        factors=with_score(factors),
        note=USUAL_NOTE,
        quantity=lever.quantity,
    )


def _pick_usual(moves: Moves, step: float, usual: float) -> int:
    """Find the move nearest to the usual change [SI]; step: what one step is, without its sign."""
    return min(range(len(moves.steps)), key=lambda at: abs(moves.multiple[at] * step - usual))


def plain_remedy(kind: str, name: str, title: str, mention: Mention, job: Job) -> Remedy:
    """Fill in what a remedy without a lever takes from the trade's line."""
    entry = mention.entry
    return replace(
        bare_remedy(kind, name, title),
        when="between runs",
        reason=entry.because,
        cautions=say_cautions(entry.cautions, job.knowledge),
        sources=say_sources(entry.backed_by, job.knowledge),
        watch_for=tuple(entry.watch_for),
        undo_if=entry.undo_if or "",
        symptom=mention.symptom,
    )
