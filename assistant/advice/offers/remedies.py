"""Builds one remedy from one candidate: sized, weighed, with its costs and with everything `why` will be asked.

What is left out comes back as a `PassedOver` with its sentence, so that nothing is dropped silently.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from assistant.advice.computed.outcome import Outcome, RunAfter
from assistant.advice.offers.candidates import Candidate
from assistant.advice.offers.costs import list_costs, share_each
from assistant.advice.offers.fitting import (
    Fitted,
    Job,
    direction_of,
    fit_lever,
    is_fixed,
    is_guessed,
    phases_asked,
    refit,
    when_of,
)
from assistant.advice.offers.lever_words import Named, in_words, name_line
from assistant.advice.offers.ranking import (
    Standing,
    score_of,
    weigh_confidence,
    weigh_practicality,
    weigh_preference,
    weigh_relief,
    weigh_run,
    weigh_trade,
    with_score,
)
from assistant.advice.offers.sizing import spoils_more
from assistant.advice.offers.stop_words import capitalise, say_stop
from assistant.advice.offers.trade import DIFFERS, judge_all, judge_lever
from assistant.advice.results import Factor, Remedy
from assistant.chance import chance_word


@dataclass(frozen=True)
class PassedOver:
    """A candidate that is no remedy here. why: stop, fixed, useless, unfelt or run. text: the sentence for a stop."""

    candidate: Candidate
    title: str
    why: str
    text: str = ""


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
        return PassedOver(candidate, fitted.lever.title, "run")
    return remedy


def over_the_run(run: RunAfter | None) -> dict[str, Any]:
    """Tire life, pace, fuel and hot pressure as fields of a remedy, None when the run was not computed."""
    if run is None:
        return dict.fromkeys(("tire_life_laps", "pace_s", "fuel_laps", "hot_pressure"))
    return {
        "tire_life_laps": run.tire_life,
        "pace_s": run.pace,
        "fuel_laps": run.fuel_laps,
        "hot_pressure": run.hot_pressure or None,
    }


def _lever_remedy(candidate: Candidate, fitted: Fitted, job: Job) -> Remedy:
    """Put a lever's remedy together: the trade's words first, then the numbers, then the weighing."""
    sized, outcome = fitted.sized, fitted.outcome
    named = name_line(candidate, sized.steps)
    verdicts = judge_lever(fitted.lever, fitted.effect, phases_asked(job.wanted))
    computed = fitted.effect.basis == "computed"
    start = fitted.moves.start or 0.0
    return replace(
        in_words(fitted, named, job),
        change=sized.shift,
        steps=sized.steps,
        start=start,
        finish=start + sized.shift,
        limited_by=sized.limited_by,
        direction=direction_of(job.wanted, sized.effect),
        removes=sized.relief,
        spoils=sized.harm,
        each=share_each(job.said or job.wanted, outcome.balance, outcome.ends),
        guessed=is_guessed(candidate.id, job.case),
        effect=outcome.balance,
        ends=tuple(outcome.ends.items()),
        spread=fitted.spread,
        confidence=fitted.sure if computed else None,
        word=chance_word(fitted.sure) if computed else None,
        basis=fitted.effect.basis,
        verdict=DIFFERS if named.against else judge_all(fitted.lever, verdicts),
        verdicts=verdicts,
        factors=_weigh(fitted, named, job),
        costs=list_costs(sized.effect, outcome.run, job.wanted, job.weights, job.case.run_laps),
        exact=outcome.exact,
        asked=job.asked,
        quantity=fitted.lever.quantity,
        **over_the_run(outcome.run),
    )


def _weigh(fitted: Fitted, named: Named, job: Job) -> tuple[Factor, ...]:
    sized, lever, weights = fitted.sized, fitted.lever, job.weights
    line = named.line
    standing = Standing(None, "")
    if line is not None:
        standing = Standing(line.place, line.symptom, against=named.against, confidence=line.entry.confidence)
    return with_score(
        [
            *weigh_relief(sized.relief, sized.harm),
            *weigh_run(fitted.price),
            weigh_confidence(fitted.sure, fitted.effect.basis, weights),
            weigh_practicality(when_of(lever, job.case), job.case.at_hand, weights),
            weigh_trade(standing, weights),
            weigh_preference(lever.preference),
        ]
    )


def _pass_over(candidate: Candidate, fitted: Fitted, job: Job) -> PassedOver | None:
    """Say why a lever is no remedy here, None when it is one."""
    lever, sized = fitted.lever, fitted.sized
    if len(fitted.moves.steps) == 1 and is_fixed(lever.lever, job.case):
        return PassedOver(candidate, lever.title, "fixed", f"{capitalise(lever.title)} is fixed by the rules.")
    if sized.stop is not None:
        text = say_stop(lever.title, sized.stop, lever.plus_word if sized.side > 0 else lever.minus_word)
        return PassedOver(candidate, lever.title, "stop", text)
    if not sized.helps:
        return PassedOver(candidate, lever.title, "run" if sized.too_dear else "useless")
    if sized.harm >= sized.relief or spoils_more(job.wanted, sized.effect):
        return PassedOver(candidate, lever.title, "useless")
    return None if sized.felt else PassedOver(candidate, lever.title, "unfelt")
