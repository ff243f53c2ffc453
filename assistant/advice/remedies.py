"""The sentence for a lever that cannot go further the way it is wanted.

What is said of a lever's remedy: the trade's line for it, why it works, where the trade and the model differ.

Builds one remedy from one candidate: sized, weighed, with its costs and with everything `why` will be asked.

What is left out comes back as a `PassedOver` with its sentence, so that nothing is dropped silently.

Remedies as the trade lists them: something to look at, and usual changes for a complaint without a balance.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from assistant.advice.candidates import Candidate, Mention
from assistant.advice.fitting import (
    Fitted,
    Job,
    direction_of,
    fit_lever,
    is_fixed,
    is_guessed,
    moves_of,
    phases_asked,
    refit,
    when_of,
)
from assistant.advice.prices import list_costs, share_each
from assistant.advice.ranking import (
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
from assistant.advice.results import Factor, Remedy, bare_remedy
from assistant.advice.sizing import Moves, spoils_more
from assistant.advice.trade import (
    DIFFERS,
    flip,
    is_decided,
    judge_all,
    judge_lever,
    read_change,
    say_cautions,
)
from assistant.belief.outcome import Outcome, RunAfter
from assistant.ground.units import System, show
from assistant.ground.words import PHASE_WORDS, STAGE_WORDS, chance_word
from assistant.rules.knowledge import say_sources

if TYPE_CHECKING:
    from assistant.rules.models_lever import Lever


def say_stop(title: str, stop: str, word: str) -> str:
    """Say that a lever cannot go further; word: its word for that way, such as "stiffer"."""
    if stop == "largest_change":
        return f"The next step of the {title} is more than the largest sensible single change."
    if word in MOST:
        return f"{capitalise(title)} is already the {MOST[word]} allowed."
    return f"{capitalise(title)} is already as far {word} as the rules allow."


MOST = {
    "stiffer": "stiffest",
    "softer": "softest",
    "up": "highest",
    "down": "lowest",
    "higher": "highest",
    "lower": "lowest",
    "more": "most",
    "less": "least",
    "bigger": "biggest",
    "larger": "largest",
    "smaller": "smallest",
    "quicker": "quickest",
    "slower": "slowest",
    "taller": "tallest",
    "shorter": "shortest",
}
"""What a lever is at its stop, by the word for moving it that way."""


def capitalise(text: str) -> str:
    """Begin with a capital and leave the rest alone ("LR spring" stays)."""
    return text[:1].upper() + text[1:]


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


def in_words(fitted: Fitted, named: Named, job: Job) -> Remedy:
    """Fill in what is said of a lever; every number is left empty."""
    lever, line = fitted.lever, named.line
    own = line.entry if line is not None and named.agreeing else None
    side = 1 if fitted.sized.steps > 0 else -1
    cautions = [*lever.cautions, *(line.entry.cautions if line else [])]
    return replace(
        bare_remedy("lever", lever.lever, lever.title),
        basis=fitted.effect.basis,
        when=when_of(lever, job.case),
        reason=_reason(lever, named),
        check_again=tuple(lever.recheck),
        cautions=say_cautions(cautions, job.knowledge),
        sources=say_sources(line.entry.backed_by if line else lever.backed_by, job.knowledge),
        watch_for=tuple(own.watch_for if own else lever.side_effects),
        undo_if=(own.undo_if or "") if own else "",
        trade={phase: flip(view.balance) if side < 0 else view.balance for phase, view in lever.trade.items()},
        physics=f"{lever.physics} {_say_travel(fitted, job)}".strip(),
        note=_note(fitted, named, job),
        symptom=line.symptom if line else "",
    )


def _say_travel(fitted: Fitted, job: Job) -> str:
    """Say how far a spring's corner moves from the scales in the worst cell complained of; nothing for other levers."""
    if fitted.effect.travel is None:
        return ""
    worst = int(np.argmax(job.wanted.weight * np.abs(job.wanted.change)))
    _, phase, stage = job.wanted.places[worst]
    low, high = fitted.effect.travel[phase][stage]
    inches = f"{_say_move(low, 'trade', 2)} to {_say_move(high, 'trade', 2)} in"
    metric = f"{_say_move(low, 'si', 0)} to {_say_move(high, 'si', 0)} mm"
    where = f"{PHASE_WORDS[phase]} {STAGE_WORDS[stage]}"
    depends = " As it may be either way, the direction depends on banking and roll." if low < 0 < high else ""
    return (
        f"Seen from the scales this corner moves {inches} ({metric}), bump +, {where} on 8 of 10 plausible cars; "
        f"a spring does its change of rate times that.{depends}"
    )


def _say_move(travel: float, system: System, places: int) -> str:
    return show(travel, "wheel_travel", system=system, places=places, unit=False, signed=True)


def _reason(lever: Lever, named: Named) -> str:
    if named.line is None:
        return lever.physics
    if named.agreeing:
        return named.line.entry.because
    return f"Computed for this car, against the trade's list. {lever.physics}"


def _note(fitted: Fitted, named: Named, job: Job) -> str:
    lever = fitted.lever
    if named.line is None:
        return "Not in the trade's list for this."
    if named.agreeing:
        return ""
    plus = named.line.sign > 0
    trade, model = (lever.plus_verb, lever.minus_verb) if plus else (lever.minus_verb, lever.plus_verb)
    sure = (
        "on nine of ten plausible cars or more"
        if is_decided(fitted.effect.spread, job.wanted)
        else "on most plausible cars, not on all"
    )
    return (
        f"For '{named.line.symptom}' the trade would {trade} it; computed for this car, "
        f"to {model} it is what helps, {sure}."
    )


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
        each=share_each(job.felt, outcome.balance, outcome.ends),
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
        effect=effect.effect * moves.multiple[pick] if effect.basis == "computed" else None,
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
