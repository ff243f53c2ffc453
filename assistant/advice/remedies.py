"""Builds one remedy from one candidate: sized, weighed, with its costs and with everything `why` will be asked.

What is left out comes back as a `PassedOver` with its sentence, so that nothing is dropped silently.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from assistant.advice.candidates import Candidate, Mention
from assistant.advice.costs import IN_STAGE, WHERE, list_balance_costs, list_other_costs, list_work, price_tyre_life
from assistant.advice.fitting import Fitted, Job, direction_of, fit_lever, is_fixed, phases_asked, when_of
from assistant.advice.ranking import (
    Standing,
    score_of,
    weigh_confidence,
    weigh_practicality,
    weigh_preference,
    weigh_relief,
    weigh_trade,
    with_score,
)
from assistant.advice.results import Cost, Factor, Remedy
from assistant.advice.stop_words import capitalise, say_stop
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
from assistant.units import System, show

if TYPE_CHECKING:
    from assistant.rules.models_lever import Lever


@dataclass(frozen=True)
class PassedOver:
    """A candidate that is no remedy here. why: stop, fixed, useless, unfelt or tyres. text: the sentence for a stop."""

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
    if passed is not None:
        return passed
    remedy = _lever_remedy(candidate, fitted, job)
    if score_of(remedy.factors) <= 0:
        return PassedOver(candidate, fitted.lever.title, "tyres")
    return remedy


@dataclass(frozen=True)
class _Named:
    """The trade's line for a lever. agreeing: it moves the lever the computed way. line: that one, or its best one."""

    line: Mention | None
    agreeing: bool

    @property
    def against(self) -> bool:
        """Whether every line of the trade moves it the other way."""
        return self.line is not None and not self.agreeing


def _lever_remedy(candidate: Candidate, fitted: Fitted, job: Job) -> Remedy:
    """Put a lever's remedy together: the trade's words first, then the numbers, then the weighing."""
    sized, effect = fitted.sized, fitted.effect
    named = _name_line(candidate, sized.steps)
    agrees = _agreement(fitted, named, job)
    computed = effect.basis == "computed"
    plain = _in_words(fitted, named, agrees, job)
    start = fitted.moves.start or 0.0
    return replace(
        plain,
        change=sized.shift,
        steps=sized.steps,
        start=start,
        finish=start + sized.shift,
        limited_by=sized.limited_by,
        direction=direction_of(job.wanted, sized.effect),
        removes=max(0.0, sized.removes),
        effect=scale_grid(effect.effect, sized.multiple),
        ends=tuple((end, scale_grid(grid, sized.multiple)) for end, grid in effect.ends.items()),
        spread=scale_spread(effect.spread, sized.multiple),
        confidence=fitted.sure if computed else None,
        word=chance_word(fitted.sure) if computed else None,
        basis=effect.basis,
        agrees=agrees,
        factors=_weigh(fitted, named, job),
        costs=_all_costs(fitted, job),
        **over_the_run(fitted, job),
    )


def over_the_run(fitted: Fitted, job: Job) -> dict[str, Any]:
    """Tyre life, pace and fuel of the chosen size as fields of a remedy, None when the run was not computed."""
    run, forecast, multiple = fitted.effect.run, job.effects.forecast, fitted.sized.multiple
    if run is None or forecast is None:
        return {"tyre_life_laps": None, "pace_s": None, "fuel_laps": None}
    fuel = multiple * run.fuel_laps
    return {
        "tyre_life_laps": fitted.tyre_life,
        "pace_s": {part: multiple * seconds for part, seconds in run.pace.items()},
        "fuel_laps": (forecast.fuel_laps + fuel, fuel),
    }


def _name_line(candidate: Candidate, steps: int) -> _Named:
    side = 1 if steps > 0 else -1
    agreeing = next((mention for mention in candidate.mentions if mention.sign == side), None)
    if agreeing is not None:
        return _Named(agreeing, agreeing=True)
    return _Named(candidate.mentions[0] if candidate.mentions else None, agreeing=False)


def _agreement(fitted: Fitted, named: _Named, job: Job) -> bool | None:
    """Compare with the trade: its line for this complaint when there is one, else what it says of the lever."""
    if named.against:
        return False if is_decided(fitted.effect.spread, job.wanted) else None
    trade: dict[str, str] = {phase: line.balance for phase, line in fitted.lever.trade.items()}
    return compare_with_trade(trade, fitted.effect, phases_asked(job.wanted))


def _weigh(fitted: Fitted, named: _Named, job: Job) -> tuple[Factor, ...]:
    sized, lever, weights = fitted.sized, fitted.lever, job.weights
    line = named.line
    standing = Standing(None, "")
    if line is not None:
        standing = Standing(line.place, line.symptom, against=named.against, confidence=line.entry.confidence)
    tyre_harm = None
    if fitted.tyre_life:
        tyre_harm = weights.tyre_price * price_tyre_life(fitted.tyre_life, job.case.run_laps)
    return with_score(
        [
            *weigh_relief(sized.relief, sized.harm, tyre_harm),
            weigh_confidence(fitted.sure, fitted.effect.basis, weights),
            weigh_practicality(when_of(lever, job.case), job.case.at_hand, weights),
            weigh_trade(standing, weights),
            weigh_preference(lever.preference),
        ]
    )


def _all_costs(fitted: Fitted, job: Job) -> tuple[Cost, ...]:
    run = over_the_run(fitted, job)
    return (
        *list_balance_costs(fitted.sized.effect, job.wanted),
        *list_other_costs(run["tyre_life_laps"], run["pace_s"], run["fuel_laps"]),
        *list_work(fitted.lever.recheck),
    )


def _in_words(fitted: Fitted, named: _Named, agrees: bool | None, job: Job) -> Remedy:
    """Fill in what is said of a lever; every number is left empty."""
    lever, line = fitted.lever, named.line
    own = line.entry if line is not None and named.agreeing else None
    side = 1 if fitted.sized.steps > 0 else -1
    cautions = [*lever.cautions, *(line.entry.cautions if line else [])]
    return Remedy(
        rank=0,
        kind="lever",
        id=lever.lever,
        title=lever.title,
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
        basis=fitted.effect.basis,
        when=when_of(lever, job.case),
        reason=_reason(lever, named),
        cautions=say_cautions(cautions, job.knowledge),
        sources=say_sources(line.entry.backed_by if line else lever.backed_by, job.knowledge),
        watch_for=tuple(own.watch_for if own else lever.side_effects),
        undo_if=(own.undo_if or "") if own else "",
        trade={phase: flip(view.balance) if side < 0 else view.balance for phase, view in lever.trade.items()},
        physics=f"{lever.physics} {_say_travel(fitted, job)}".strip(),
        note=_note(lever, named, agrees),
        symptom=line.symptom if line else "",
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


def _say_travel(fitted: Fitted, job: Job) -> str:
    """Say how far a spring's corner moves from the scales in the worst cell complained of; nothing for other levers."""
    if fitted.effect.travel is None:
        return ""
    worst = int(np.argmax(job.wanted.weight * np.abs(job.wanted.change)))
    _, phase, stage = job.wanted.places[worst]
    low, high = fitted.effect.travel[phase][stage]
    inches = f"{_say_move(low, 'trade', 2)} to {_say_move(high, 'trade', 2)} in"
    metric = f"{_say_move(low, 'si', 0)} to {_say_move(high, 'si', 0)} mm"
    where = f"{WHERE.get(phase, phase)} {IN_STAGE.get(stage, stage)}"
    depends = " As it may be either way, the direction depends on banking and roll." if low < 0 < high else ""
    return (
        f"Seen from the scales this corner moves {inches} ({metric}), bump +, {where} on 8 of 10 plausible cars; "
        f"a spring does its change of rate times that.{depends}"
    )


def _say_move(travel: float, system: System, places: int) -> str:
    return show(travel, "wheel_travel", system=system, places=places, unit=False, signed=True)


def _reason(lever: Lever, named: _Named) -> str:
    if named.line is None:
        return lever.physics
    if named.agreeing:
        return named.line.entry.because
    return f"Computed for this car, against the trade's list. {lever.physics}"


def _note(lever: Lever, named: _Named, agrees: bool | None) -> str:
    if named.line is None:
        return "Not in the trade's list for this."
    if named.agreeing:
        return ""
    plus = named.line.sign > 0
    trade, model = (lever.plus_verb, lever.minus_verb) if plus else (lever.minus_verb, lever.plus_verb)
    sure = "on nine of ten plausible cars or more" if agrees is False else "on most plausible cars, not on all"
    return (
        f"For '{named.line.symptom}' the trade would {trade} it; computed for this car, "
        f"to {model} it is what helps, {sure}."
    )
