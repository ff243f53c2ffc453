"""Builds one remedy from one candidate: sized, weighed, with its costs and with everything `why` will be asked.

What is left out comes back as a `PassedOver` with its sentence, so that nothing is dropped silently.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.advice.candidates import Candidate, Mention
from assistant.advice.costs import list_balance_costs, list_work
from assistant.advice.fitting import Fitted, Job, direction_of, fit_lever, is_fixed, phases_asked, when_of
from assistant.advice.ranking import (
    Standing,
    weigh_confidence,
    weigh_practicality,
    weigh_preference,
    weigh_relief,
    weigh_trade,
    with_score,
)
from assistant.advice.results import Remedy
from assistant.advice.sizing import capitalise, say_stop
from assistant.advice.trade import (
    compare_with_trade,
    flip,
    is_decided,
    say_cautions,
    say_sources,
    scale_grid,
    scale_spread,
)
from assistant.chance import chance_word

if TYPE_CHECKING:
    from assistant.rules.models_lever import Lever


@dataclass(frozen=True)
class PassedOver:
    """A candidate that is no remedy here. why: stop, fixed, useless or unfelt. text: the sentence for a stop."""

    candidate: Candidate
    title: str
    why: str
    text: str = ""


def offer_lever(candidate: Candidate, job: Job) -> Remedy | PassedOver | None:
    """Make a remedy of a lever, or say why not; None when nothing is known of it."""
    fitted = fit_lever(candidate.id, job)
    if fitted is None:
        return None
    passed = _pass_over(candidate, fitted, job)
    return passed if passed is not None else _lever_remedy(candidate, fitted, job)


def _lever_remedy(candidate: Candidate, fitted: Fitted, job: Job) -> Remedy:
    sized, lever, weights = fitted.sized, fitted.lever, job.weights
    side = 1 if sized.steps > 0 else -1
    mention = next((one for one in candidate.mentions if one.sign == side), None)
    against = mention is None and bool(candidate.mentions)
    named = mention or (candidate.mentions[0] if candidate.mentions else None)
    standing = (
        Standing(None, "")
        if named is None
        else Standing(named.place, named.symptom, against=against, confidence=named.entry.confidence)
    )
    when = when_of(lever, job.case)
    factors = with_score(
        [
            *weigh_relief(sized.relief, sized.harm),
            weigh_confidence(fitted.sure, fitted.effect.basis, weights),
            weigh_practicality(when, job.case.at_hand, weights),
            weigh_trade(standing, weights),
            weigh_preference(lever.preference),
        ]
    )
    trade: dict[str, str] = {phase: line.balance for phase, line in lever.trade.items()}
    agrees = compare_with_trade(trade, fitted.effect, phases_asked(job.wanted))
    if against:
        agrees = False if is_decided(fitted.effect.spread, job.wanted) else None
    computed = fitted.effect.basis == "computed"
    return Remedy(
        rank=0,
        kind="lever",
        id=lever.lever,
        title=lever.title,
        change=sized.shift,
        steps=sized.steps,
        start=fitted.moves.start,
        finish=(fitted.moves.start or 0.0) + sized.shift,
        limited_by=sized.limited_by,
        direction=direction_of(job.wanted, sized.effect),
        removes=max(0.0, sized.removes),
        effect=scale_grid(fitted.effect.effect, sized.multiple),
        ends=tuple((end, scale_grid(grid, sized.multiple)) for end, grid in fitted.effect.ends.items()),
        confidence=fitted.sure if computed else None,
        word=chance_word(fitted.sure) if computed else None,
        basis=fitted.effect.basis,
        when=when,
        reason=_reason(lever, mention, named),
        costs=(*list_balance_costs(sized.effect, job.wanted), *list_work(lever.recheck)),
        cautions=say_cautions([*lever.cautions, *(named.entry.cautions if named else [])], job.knowledge),
        sources=say_sources(named.entry.backed_by if named else lever.backed_by, job.knowledge),
        spread=scale_spread(fitted.effect.spread, sized.multiple),
        watch_for=tuple(mention.entry.watch_for) if mention else tuple(lever.side_effects),
        undo_if=(mention.entry.undo_if or "") if mention else "",
        trade={phase: flip(view) if side < 0 else view for phase, view in trade.items()},
        agrees=agrees,
        physics=lever.physics,
        factors=factors,
        note=_note(lever, named, against=against, agrees=agrees),
        symptom=named.symptom if named else "",
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
        return PassedOver(candidate, lever.title, "useless")
    return None if sized.felt else PassedOver(candidate, lever.title, "unfelt")


def _reason(lever: Lever, mention: Mention | None, named: Mention | None) -> str:
    if mention is not None:
        return mention.entry.because
    if named is None:
        return lever.physics
    return f"Computed for this car, against the trade's list. {lever.physics}"


def _note(lever: Lever, named: Mention | None, *, against: bool, agrees: bool | None) -> str:
    if named is None:
        return "Not in the trade's list for this."
    if not against:
        return ""
    trade = lever.plus_verb if named.sign > 0 else lever.minus_verb
    model = lever.minus_verb if named.sign > 0 else lever.plus_verb
    sure = "on every plausible car" if agrees is False else "on most plausible cars, not on all"
    return (
        f"For '{named.symptom}' the trade would {trade} it; computed for this car, to {model} it is what helps, {sure}."
    )
