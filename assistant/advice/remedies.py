"""Builds one remedy from one candidate: sized, weighed, with its costs and with everything `why` will be asked.

What is left out comes back as a `PassedOver` with its reason, so that nothing is dropped silently. For a complaint
without a balance, and for something to look at, a remedy is what the trade lists.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.prices import list_costs, share_each
from assistant.advice.ranking import (
    score_of,
    weigh_confidence,
    weigh_practicality,
    weigh_relief,
    weigh_run,
    weigh_trade,
    with_score,
)
from assistant.advice.results import Factor, Listing, Note, PassedOver, Remedy, Travel
from assistant.advice.sizing import (
    Fitted,
    Job,
    Moves,
    direction_of,
    fit_lever,
    is_fixed,
    is_guessed,
    moves_of,
    phases_asked,
    refit,
    when_of,
)
from assistant.advice.trade import (
    DIFFERS,
    Candidate,
    Mention,
    cautions_of,
    flip,
    is_decided,
    judge_all,
    judge_lever,
    read_change,
)
from assistant.advice.wanted import spoils_more
from assistant.belief.outcome import Outcome
from assistant.rules.knowledge import say_sources

if TYPE_CHECKING:
    from assistant.rules.models_lever import Lever


@dataclass(frozen=True)
class Named:
    """The trade's line for a lever. agreeing: it moves the lever the computed way. line: that one, or its best one."""

    line: Mention | None
    agreeing: bool

    @property
    def against(self) -> bool:
        """Whether every line of the trade moves it the other way."""
        return self.line is not None and not self.agreeing


def name_line(candidate: Candidate, steps: int) -> Named:
    """Find the trade's line that moves the lever the computed way, else its best one."""
    side = 1 if steps > 0 else -1
    agreeing = next((mention for mention in candidate.mentions if mention.sign == side), None)
    if agreeing is not None:
        return Named(agreeing, agreeing=True)
    return Named(candidate.mentions[0] if candidate.mentions else None, agreeing=False)


def as_listed(fitted: Fitted, named: Named, job: Job) -> Remedy:
    """Fill in what the packs say of a lever; every number is left empty."""
    lever, line = fitted.lever, named.line
    own = line.entry if line is not None and named.agreeing else None
    side = 1 if fitted.sized.steps > 0 else -1
    cautions = [*lever.cautions, *(line.entry.cautions if line else [])]
    return Remedy(
        "lever",
        lever.lever,
        lever.title,
        basis=fitted.effect.basis,
        when=when_of(lever, job.case),
        reason=own.because if own else lever.physics,
        check_again=tuple(lever.recheck),
        cautions=cautions_of(cautions, job.knowledge),
        sources=say_sources(line.entry.backed_by if line else lever.backed_by, job.knowledge),
        watch_for=tuple(own.watch_for if own else lever.side_effects),
        undo_if=(own.undo_if or "") if own else "",
        trade={phase: flip(view.balance) if side < 0 else view.balance for phase, view in lever.trade.items()},
        physics=lever.physics,
        travel=_travel(fitted, job),
        notes=_notes(fitted, named, job),
    )


def _travel(fitted: Fitted, job: Job) -> Travel | None:
    """Find how far a spring's corner moves from the scales in the worst cell complained of; None for other levers."""
    if fitted.effect.travel is None:
        return None
    worst = int(np.argmax(job.wanted.weight * np.abs(job.wanted.change)))
    _, phase, stage = job.wanted.places[worst]
    return Travel(phase, stage, *fitted.effect.travel[phase][stage])


def _notes(fitted: Fitted, named: Named, job: Job) -> tuple[Note, ...]:
    """Note that the trade does not list a lever, or that it would move it the other way."""
    lever = fitted.lever
    if named.line is None:
        return (Note("not listed"),)
    if named.agreeing:
        return ()
    verbs = (lever.plus_verb, lever.minus_verb) if named.line.sign > 0 else (lever.minus_verb, lever.plus_verb)
    kind = "against, decided" if is_decided(fitted.effect.spread, job.wanted) else "against, mostly"
    return (Note(kind, (named.line.symptom, *verbs)),)


def offer_lever(
    candidate: Candidate, job: Job, outcomes: Mapping[int, Outcome] | None = None
) -> Remedy | PassedOver | None:
    """Make a remedy of a lever, or say why not; None when nothing is known of it.

    outcomes: steps to what the full model says they do, when it was asked.
    """
    fitted = fit_lever(candidate.id, job)
    if fitted is None:
        return None
    if outcomes is not None:
        fitted = refit(fitted, outcomes, job)
    passed = _pass_over(candidate, fitted, job)
    if passed is not None:
        return passed
    remedy = _lever_remedy(candidate, fitted, job)
    if score_of(remedy.factors) <= 0:
        return PassedOver(fitted.lever.lever, fitted.lever.title, "run", listed=bool(candidate.mentions))
    return remedy


def _lever_remedy(candidate: Candidate, fitted: Fitted, job: Job) -> Remedy:
    """Put a lever's remedy together: the trade's words first, then the numbers, then the weighing."""
    sized, outcome = fitted.sized, fitted.outcome
    named = name_line(candidate, sized.steps)
    verdicts = judge_lever(fitted.lever, fitted.effect, phases_asked(job.wanted))
    computed = fitted.effect.basis == "computed"
    start = fitted.moves.start or 0.0
    return replace(
        as_listed(fitted, named, job),
        change=sized.shift,
        steps=sized.steps,
        start=start,
        finish=start + sized.shift,
        limited_by=sized.limited_by,
        direction=direction_of(job.wanted, sized.effect),
        removes=sized.relief,
        spoils=sized.harm,
        each=share_each(job.felt, outcome.balance, outcome.ends),
        guessed=is_guessed(candidate.id, job.case),
        effect=outcome.balance,
        ends=tuple(outcome.ends.items()),
        spread=fitted.spread,
        confidence=fitted.sure if computed else None,
        basis=fitted.effect.basis,
        verdict=DIFFERS if named.against else judge_all(fitted.lever, verdicts),
        verdicts=verdicts,
        factors=_weigh(fitted, named, job),
        costs=list_costs(sized.effect, outcome.run, job.wanted, job.weights, job.case.run_laps),
        asked=job.asked,
        quantity=fitted.lever.quantity,
        run=outcome.run,
    )


def _weigh(fitted: Fitted, named: Named, job: Job) -> tuple[Factor, ...]:
    sized, lever, weights = fitted.sized, fitted.lever, job.weights
    line = named.line
    listing = Listing(None, "")
    if line is not None:
        listing = Listing(line.place, line.symptom, against=named.against, confidence=line.entry.confidence)
    return with_score(
        [
            *weigh_relief(sized.relief, sized.harm),
            *weigh_run(fitted.price),
            weigh_confidence(fitted.sure, fitted.effect.basis, weights),
            weigh_practicality(when_of(lever, job.case), job.case.at_hand, weights),
            weigh_trade(listing, weights),
            Factor("preference", lever.preference),
        ]
    )


def _pass_over(candidate: Candidate, fitted: Fitted, job: Job) -> PassedOver | None:
    """Say why a lever is no remedy here, None when it is one."""
    lever, sized = fitted.lever, fitted.sized
    passed = partial(PassedOver, lever.lever, lever.title, listed=bool(candidate.mentions))
    if len(fitted.moves.steps) == 1 and is_fixed(lever.lever, job.case):
        return passed("fixed")
    if sized.stop is not None:
        return passed(sized.stop, lever.plus_word if sized.side > 0 else lever.minus_word)
    if not sized.helps:
        return passed("run" if sized.too_dear else "useless")
    if sized.harm >= sized.relief or spoils_more(job.wanted, sized.effect):
        return passed("useless")
    return None if sized.felt else passed("unfelt")


def offer_inspection(candidate: Candidate, job: Job) -> Remedy | None:
    """Make a remedy of something to look at; what it removes nobody can know before looking."""
    if not candidate.mentions:
        return None
    mention, weights = candidate.mentions[0], job.weights
    listing = Listing(mention.place, mention.symptom, confidence=mention.entry.confidence)
    factors = with_score(
        [
            *weigh_relief(weights.inspect_counts_as, 0.0),
            weigh_practicality("between runs", job.case.at_hand, weights),
            weigh_trade(listing, weights),
        ]
    )
    title = mention.entry.title or candidate.id
    return replace(
        plain_remedy("inspect", candidate.id, title, mention, job),
        factors=factors,
        notes=(Note("how", tuple(mention.entry.how)),),
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
        effect=effect.effect * moves.multiple[pick] if effect.basis == "computed" else None,
    )


def _say_usual(lever: Lever, mention: Mention, job: Job) -> Remedy:
    """Put together what is said and weighed of a usual change, without its size."""
    when, weights = when_of(lever, job.case), job.weights
    listing = Listing(mention.place, mention.symptom, confidence=mention.entry.confidence)
    factors = [
        *weigh_relief(weights.driving_unknown, 0.0),
        weigh_practicality(when, job.case.at_hand, weights),
        weigh_trade(listing, weights),
    ]
    return replace(
        plain_remedy("lever", lever.lever, lever.title, mention, job),
        when=when,
        check_again=tuple(lever.recheck),
        cautions=cautions_of([*lever.cautions, *mention.entry.cautions], job.knowledge),
        physics=lever.physics,
        factors=with_score(factors),
        notes=(Note("usual size"),),
        quantity=lever.quantity,
    )


def _pick_usual(moves: Moves, step: float, usual: float) -> int:
    """Find the move nearest to the usual change [SI]; step: what one step is, without its sign."""
    return min(range(len(moves.steps)), key=lambda at: abs(moves.multiple[at] * step - usual))


def plain_remedy(kind: str, name: str, title: str, mention: Mention, job: Job) -> Remedy:
    """Fill in what a remedy without a lever takes from the trade's line."""
    entry = mention.entry
    return Remedy(
        kind,
        name,
        title,
        when="between runs",
        reason=entry.because,
        cautions=cautions_of(entry.cautions, job.knowledge),
        sources=say_sources(entry.backed_by, job.knowledge),
        watch_for=tuple(entry.watch_for),
        undo_if=entry.undo_if or "",
    )
