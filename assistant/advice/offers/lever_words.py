"""What is said of a lever's remedy: the trade's line for it, why it works, where the trade and the model differ."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.offers.candidates import Candidate, Mention
from assistant.advice.offers.costs import IN_STAGE, WHERE
from assistant.advice.offers.fitting import Fitted, Job, when_of
from assistant.advice.offers.trade import flip, is_decided, say_cautions
from assistant.advice.results import Remedy, bare_remedy
from assistant.rules.knowledge import say_sources
from assistant.units import System, show

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
    where = f"{WHERE.get(phase, phase)} {IN_STAGE.get(stage, stage)}"
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
