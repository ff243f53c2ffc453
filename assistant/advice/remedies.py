"""Builds one remedy from one candidate: sized, weighed, with its costs and with everything `why` will be asked.

What is left out comes back as a `PassedOver` with its reason, so that nothing is dropped silently. For a complaint
without a balance, and for something to look at, a remedy is what the trade lists.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from math import inf
from typing import TYPE_CHECKING, Any

from assistant.advice.prices import list_costs, share_each
from assistant.advice.ranking import (
    harm_of,
    share_of,
    weigh_confidence,
    weigh_relief,
    weigh_run,
    weigh_trade,
)
from assistant.advice.results import COMPUTES_EVEN, COMPUTES_SMALL, Factor, Listing, Note, PassedOver, Remedy
from assistant.advice.sizing import (
    ONLY_WHERE_LISTED,
    Fitted,
    Job,
    Moves,
    direction_of,
    drive_fitted,
    fit_lever,
    is_fixed,
    is_guessed,
    moves_of,
    phases_asked,
    when_of,
)
from assistant.advice.trade import DIFFERS, Candidate, Mention, flip, judge_all, judge_lever
from assistant.belief.cures import judge, mean_effect, spread_effect
from assistant.belief.effects import drive_moves, step_of
from assistant.belief.gears_and_brakes import judge_shares
from assistant.belief.model import read_model
from assistant.belief.outcome import read_run
from assistant.car.case import is_computed, levers_of
from assistant.ground.problems import BadInput
from assistant.rules.knowledge import cite

if TYPE_CHECKING:
    from assistant.belief.driven import Effect
    from assistant.rules.knowledge import Citation, Knowledge
    from assistant.rules.models import Lever
    from assistant.rules.models_symptom import TradeRemedy


DECIDED = 0.9
"""Chance of the direction from which a lever is sure to go against the trade's word."""


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
        basis=fitted.step.basis,
        when=when_of(lever, job.case),
        reason=own.because if own else lever.physics,
        check_again=tuple(lever.recheck),
        cautions=job.knowledge.cautions_for(cautions),
        sources=cite_entry(line.entry, job.knowledge) if line else cite(lever.backed_by, job.knowledge),
        watch_for=tuple(own.watch_for if own else lever.side_effects),
        undo_if=(own.undo_if or "") if own else "",
        trade={phase: flip(view.balance) if side < 0 else view.balance for phase, view in lever.trade.items()},
        physics=lever.physics,
        notes=_notes(fitted, named),
    )


def _notes(fitted: Fitted, named: Named) -> tuple[Note, ...]:
    """Note that the trade does not list a lever, or that it would move it the other way."""
    lever = fitted.lever
    if named.line is None:
        return (Note("not listed"),)
    if named.agreeing:
        return ()
    verbs = (lever.plus_verb, lever.minus_verb) if named.line.sign > 0 else (lever.minus_verb, lever.plus_verb)
    kind = "against, decided" if fitted.sure >= DECIDED else "against, mostly"
    return (Note(kind, (named.line.symptom, *verbs)),)


def offer_lever(candidate: Candidate, job: Job, *, driven: bool = False) -> Remedy | PassedOver | None:
    """Make a remedy of a lever, or say why not; None when nothing is known of it.

    driven: the chosen size is driven as it is, and not taken as so many times one step.
    """
    fitted = fit_lever(candidate.id, job)
    if fitted is None:
        return None
    if driven:
        fitted = drive_fitted(fitted, job)
    passed = _pass_over(candidate, fitted, job)
    if passed is not None:
        return passed
    remedy = _lever_remedy(candidate, fitted, job, driven=driven)
    if share_of(remedy.factors) <= harm_of(remedy.factors):
        return PassedOver(fitted.lever.lever, fitted.lever.title, "run", listed=bool(candidate.mentions))
    return remedy


def _lever_remedy(candidate: Candidate, fitted: Fitted, job: Job, *, driven: bool) -> Remedy:
    """Put a lever's remedy together: the trade's words first, then the numbers, then the weighing."""
    sized = fitted.sized
    named = name_line(candidate, sized.steps)
    verdicts = judge_lever(fitted.lever, fitted.step, phases_asked(job.wanted))
    start = fitted.moves.start or 0.0
    plain = replace(
        as_listed(fitted, named, job),
        change=sized.shift,
        steps=sized.steps,
        start=start,
        finish=start + sized.shift,
        limited_by=sized.limited_by,
        guessed=is_guessed(candidate.id, job.case),
        verdict=DIFFERS if named.against else judge_all(fitted.lever, verdicts),
        verdicts=verdicts,
        factors=_weigh(fitted, candidate, job),
        quantity=fitted.lever.quantity,
        removes=sized.verdict.removes,
        spoils=sized.verdict.spoils,
    )
    return with_numbers(plain, fitted.effect, job) if driven or not fitted.computed else plain


def with_numbers(plain: Remedy, effect: Effect, job: Job) -> Remedy:
    """Add what a change does to the believed cars, what it takes away of the complaint, and what that costs.

    How sure it is is said of what is computed only.
    """
    found = with_effect(plain, effect, job)
    found = found if plain.basis == "computed" else replace(found, run=None)
    return replace(found, **judged(found, effect, job)) if job.wanted.asks else found


def with_effect(plain: Remedy, effect: Effect, job: Job) -> Remedy:
    """Add what a change does to the balance of the believed cars, with its band, and to their run."""
    belief, at_once = job.belief, job.in_place
    return replace(
        plain,
        effect=mean_effect(belief, effect, at_once=at_once),
        ends=tuple((end, mean_effect(belief, effect, end, at_once=at_once)) for end in belief.garage.course.ends),
        spread=spread_effect(belief, effect, at_once=at_once),
        run=read_run(belief, effect),
    )


def judged(found: Remedy, effect: Effect, job: Job) -> dict[str, Any]:
    """What a change takes away of the complaint and what it costs, by the names of the fields of a remedy."""
    moved = job.wanted.read(effect)
    verdict = judge(job.wanted, moved)
    computed = found.basis == "computed"
    return {
        "removes": verdict.removes,
        "spoils": verdict.spoils,
        "at_once": removes_at_once(effect, job) if computed else None,
        "confidence": verdict.direction if computed else None,
        "cures": verdict.cures if computed else None,
        "direction": direction_of(job.wanted, found.effect),
        "each": share_each(job.wanted, moved),
        "costs": list_costs(moved, found.run, job.wanted, job.weights, job.case.run_laps),
    }


def removes_at_once(effect: Effect, job: Job) -> float:
    """Share of the complaint a change takes away on the tires in place."""
    wanted = replace(job.wanted, at_once=True)
    return judge(wanted, wanted.read(effect)).removes


def _weigh(fitted: Fitted, candidate: Candidate, job: Job) -> tuple[Factor, ...]:
    """Weigh a lever for the complaint it is moved for; a cause that calls for it counts it under that cause alone."""
    verdict, lever, weights = fitted.sized.verdict, fitted.lever, job.weights
    by_trade = tuple(one for one in candidate.mentions if one.place is not None)
    named = name_line(replace(candidate, mentions=by_trade), fitted.sized.steps)
    line = named.line
    listing = Listing(None, "")
    if line is not None:
        listing = Listing(line.place, line.symptom, against=named.against, confidence=line.entry.confidence)
    trade = weigh_trade(listing, weights)
    if line is None and lever.lever in ONLY_WHERE_LISTED:
        trade = replace(trade, value=0.0)
    return (
        *weigh_relief(verdict.removes, verdict.spoils),
        *weigh_run(fitted.price),
        weigh_confidence(fitted.sure, fitted.step.basis, weights),
        trade,
        Factor("preference", lever.preference),
    )


def _pass_over(candidate: Candidate, fitted: Fitted, job: Job) -> PassedOver | None:
    """Say why a lever is no remedy here, None when it is one."""
    lever, sized = fitted.lever, fitted.sized
    passed = partial(PassedOver, lever.lever, lever.title, listed=bool(candidate.mentions))
    if len(fitted.moves.steps) == 1 and is_fixed(lever.lever, job.case):
        out = job.case.rulebook.out(lever.lever)
        return passed("fixed" if out is None else "not tonight" if out.tonight else "not here")
    if sized.stop is not None:
        return passed(sized.stop, lever.plus_word if sized.side > 0 else lever.minus_word)
    if not sized.helps:
        return passed("run" if sized.too_dear else "useless")
    if sized.verdict.gain <= 0.0:
        return passed("useless")
    return None if sized.verdict.felt else passed("unfelt")


def offer_told(candidate: Candidate, job: Job) -> Remedy | None:
    """Make a remedy of a look, a repair, a change to put back or a car to leave alone, in the words of its file."""
    if not candidate.mentions:
        return Remedy("undo", candidate.id, "", when="between runs") if candidate.kind == "undo" else None
    mention = candidate.mentions[0]
    remedy = plain_remedy(candidate.kind, candidate.id, mention.entry.title or "", mention, job)
    return replace(remedy, notes=(Note("how", tuple(mention.entry.how)),) if mention.entry.how else ())


def offer_usual(candidate: Candidate, job: Job, *, driven: bool = True) -> Remedy | None:
    """Make a remedy of a lever for a complaint without a balance (a hop, wheelspin): the trade's usual change, its way.

    What it removes is not known, so it is counted like a habit of unknown effect, and the trade's order decides.
    None at a stop or for no mention. driven: with what it does to the car.
    """
    lever = job.knowledge.levers.get(candidate.id)
    if lever is None or candidate.id not in levers_of(job.case.setup) or not candidate.mentions:
        return None
    mention, step = candidate.mentions[0], step_of(job.case, candidate.id)
    size, read = abs(lever.in_si(lever.usual_change)), job.read.get(candidate.id, 0.0) * mention.sign
    moves = moves_of(job.case, step, max(lever.in_si(lever.largest_change), read))
    least = _locks_together(job) if candidate.id == BIAS and mention.sign < 0 else -inf
    goal = mention.sign * max(size, read)  # a reading says more than what is usual
    pick = _pick_usual(moves, abs(step.step), goal, least)
    if mention.sign * moves.steps[pick] <= 0:
        return None
    start, shift = moves.start or 0.0, moves.shift[pick]
    plain = replace(
        _say_usual(lever, mention, job),
        change=shift,
        steps=moves.steps[pick],
        start=start,
        finish=start + shift,
        guessed=is_guessed(candidate.id, job.case),
    )
    if start + shift < least:
        plain = replace(plain, cautions=(*plain.cautions, *job.knowledge.cautions_for(["rear_brakes_first"])))
    if not driven or job.belief.gate_is_shut or not is_computed(candidate.id, job.case.setup):
        return plain
    return with_effect(plain, drive_moves(job.case, job.belief, [(candidate.id, moves.steps[pick])]), job)


def offer_for_cause(candidate: Candidate, passed: PassedOver | None, job: Job, *, driven: bool = True) -> Remedy | None:
    """Offer a lever that a cause calls for in its usual size although it computes as useless: it counts there alone."""
    usual = offer_usual(candidate, job, driven=driven)
    even = passed is not None and passed.why in {"useless", "run"}
    return (
        None if usual is None else replace(usual, factors=(), notes=(Note(COMPUTES_EVEN if even else COMPUTES_SMALL),))
    )


def _say_usual(lever: Lever, mention: Mention, job: Job) -> Remedy:
    """Put together what is said and weighed of a usual change, without its size."""
    when, weights = when_of(lever, job.case), job.weights
    listing = Listing(mention.place, mention.symptom, confidence=mention.entry.confidence)
    factors = [
        *weigh_relief(weights.driving_unknown, 0.0),
        weigh_trade(listing, weights),
    ]
    return replace(
        plain_remedy("lever", lever.lever, lever.title, mention, job),
        when=when,
        check_again=tuple(lever.recheck),
        cautions=job.knowledge.cautions_for([*lever.cautions, *mention.entry.cautions]),
        physics=lever.physics,
        factors=tuple(factors),
        notes=(Note("usual size"),),
        quantity=lever.quantity,
    )


BIAS = "brake_bias"


def _locks_together(job: Job) -> float:
    """Give the front brake share at which both ends lock together on a straight; no limit where none is computed."""
    if job.belief.gate_is_shut:
        return -inf
    with suppress(BadInput):
        return judge_shares(read_model(job.case).run, job.case.setup.values[BIAS]).share_locking
    return -inf


def _pick_usual(moves: Moves, step: float, usual: float, least: float = -inf) -> int:
    """Find the move nearest to the usual change [SI]; step: what one step is, without its sign.

    least: value that is not gone below, where a step lies between.
    """
    shifts = list(enumerate(moves.shift))
    short = [at for at, shift in shifts if shift < 0.0 and (moves.start or 0.0) + shift >= least]
    return min(
        short if short and usual < 0.0 else range(len(moves.steps)),
        key=lambda at: abs(moves.multiple[at] * step - usual),
    )


def cite_entry(entry: TradeRemedy, knowledge: Knowledge) -> tuple[Citation, ...]:
    """Look up who says an answer, and in whose pack it stands."""
    return cite(entry.backed_by, knowledge, knowledge.pack_behind(entry.because))


def plain_remedy(kind: str, name: str, title: str, mention: Mention, job: Job) -> Remedy:
    """Fill in what a remedy without a lever takes from the trade's line."""
    entry = mention.entry
    return Remedy(
        kind,
        name,
        title,
        when="between runs",
        reason=entry.because,
        cautions=job.knowledge.cautions_for(entry.cautions),
        sources=cite_entry(entry, job.knowledge),
        watch_for=tuple(entry.watch_for),
        undo_if=entry.undo_if or "",
    )
