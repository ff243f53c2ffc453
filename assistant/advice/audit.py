"""Holds what the packs claim against the vehicle model: what levers do by phase, and that remedies answer a complaint.

The given car decides whether it agrees or differs; on how many plausible cars it holds stands beside it. A difference
is no mistake as long as the pack says why; without a reason it is a fault. Nothing is changed to agree.

An audit in words and as data: counts by verdict, and each disagreement with the pack's reason for it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from assistant.advice.trade import (
    AGREES,
    DIFFERS,
    NIL,
    NOTHING,
    SETTLED,
    TRADE_DEPENDS,
    VERDICTS,
    flip,
    judge,
    read_change,
)
from assistant.diagnosis.evidence import facts_of
from assistant.ground.grid import PHASES
from assistant.ground.problems import Problem
from assistant.rules.own_levers import equip

if TYPE_CHECKING:
    from assistant.belief.effects import EffectTable, LeverEffect
    from assistant.car.case import Case
    from assistant.rules.knowledge import Knowledge, Origin
    from assistant.rules.models_lever import Lever, Reason
    from assistant.rules.models_symptom import Remedy, Symptom


CARS = 200
"""Plausible cars an audit asks."""
MOST = 0.55
"""Share of plausible cars from which on a direction is said to hold: "more likely than not" in the table of chances."""
FEW = 0.45
"""Share of plausible cars down to which a direction is said to hold on about half of them."""
ANSWER = {"loose": "tighter", "tight": "looser"}
"""What a remedy has to do to a complaint."""


@dataclass(frozen=True)
class Claim:
    """What a pack says a move does. phases, stages: over which it is averaged. says: tighter, looser, none or depends.

    topic: the symptom of a remedy, or "" for a lever's own line. sign: +1 or -1, the way the lever goes.
    """

    topic: str
    lever: str
    sign: int
    phases: tuple[str, ...]
    stages: tuple[str, ...]
    says: str
    confidence: str
    origin: Origin | None
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True)
class Finding:
    """How a claim fared. change: percent of balance per legal step in the claimed way, + tighter, on the given car.

    share: share of plausible cars on which the claim holds; None where there is no direction to hold.
    stages: the change at every stage, mean of the claim's phases; empty where nothing is computed.
    """

    claim: Claim
    verdict: str
    change: float
    share: float | None
    stages: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Audit:
    """All findings on one case. faults: disagreements the pack gives no reason for, at their file and line."""

    case: str
    cars: int
    levers: tuple[Finding, ...]
    remedies: tuple[Finding, ...]
    faults: tuple[Problem, ...]


def audit(case: Case, knowledge: Knowledge, cars: int = CARS, *, effects: EffectTable | None = None) -> Audit:
    """Hold every claim of the packs against this car and `cars` plausible ones."""
    if effects is None:
        from assistant.belief.effects import effect_table  # noqa: PLC0415 - imports numpy

        case = equip(case, knowledge)
        effects = effect_table(case, cars=cars)
    levers = tuple(_judge(claim, knowledge, effects) for claim in lever_claims(knowledge))
    remedies = tuple(_judge(claim, knowledge, effects) for claim in remedy_claims(knowledge, case))
    faults = tuple(sorted(fault_of(one, knowledge) for one in (*levers, *remedies) if is_unexplained(one)))
    return Audit(case.name, effects.cars, levers, remedies, faults)


def lever_claims(knowledge: Knowledge) -> Iterator[Claim]:
    """Give every line of the levers' `trade:` blocks, for the + direction."""
    for name, lever in knowledge.levers.items():
        for phase, line in lever.trade.items():
            origin = knowledge.origin("lever", name)
            reasons = _reasons(lever, (phase,))
            yield Claim("", name, 1, (phase,), (SETTLED,), line.balance, line.confidence, origin, reasons)


def remedy_claims(knowledge: Knowledge, case: Case) -> Iterator[Claim]:
    """Give every remedy that moves a lever against a balance, where its condition holds on this case."""
    facts = facts_of(case, {})
    for name, symptom in knowledge.symptoms.items():
        if symptom.balance not in ANSWER or symptom.retired is not None:
            continue
        for remedy in symptom.remedies:
            applies = remedy.only_if is None or knowledge.holds(remedy.only_if, facts) is not False
            if remedy.lever is not None and remedy.lever in knowledge.levers and applies:
                yield _remedy_claim(name, symptom, remedy, knowledge)


def _remedy_claim(name: str, symptom: Symptom, remedy: Remedy, knowledge: Knowledge) -> Claim:
    lever = str(remedy.lever)
    phases = (symptom.phase,) if symptom.phase in PHASES else PHASES
    stages = (SETTLED,) if SETTLED in symptom.stages else tuple(symptom.stages)
    own = (remedy.differs,) if remedy.differs is not None else ()
    reasons = (*own, *_reasons(knowledge.levers[lever], phases))
    says, sign = ANSWER[symptom.balance], knowledge.move_sign(lever, str(remedy.move))
    origin = knowledge.origin("symptom", name, remedy.name)
    return Claim(name, lever, sign, phases, stages, says, remedy.confidence, origin, reasons)


def _reasons(lever: Lever, phases: Iterable[str]) -> tuple[Reason, ...]:
    return tuple(one for one in lever.differs if one.phase in phases)


def _judge(claim: Claim, knowledge: Knowledge, effects: EffectTable) -> Finding:
    lever = knowledge.levers[claim.lever]
    effect = effects.levers.get(claim.lever if lever.is_own else lever.model or claim.lever)
    if effect is None or effect.basis != "computed":
        return Finding(claim, judge(claim.says, None, 0.0), 0.0, None)
    change = claim.sign * _mean(effect.effect, claim.phases, claim.stages)
    through = {stage: claim.sign * _mean(effect.effect, claim.phases, (stage,)) for stage in effects.stages}
    usual = change * read_change(lever.usual_change, lever) / effect.step
    share = share_of_cars(claim, effect) if claim.says in {"tighter", "looser"} else None
    return Finding(claim, judge(claim.says, change, usual), change, share, through)


def is_miss(finding: Finding) -> bool:
    """Whether the model does not bear out what it computes: on this car, or on too few cars like it."""
    if not finding.stages or finding.verdict == TRADE_DEPENDS:
        return False
    return finding.verdict != AGREES or (finding.share is not None and finding.share < MOST)


def share_of_cars(claim: Claim, effect: LeverEffect) -> float:
    """Share of plausible cars that bear a claim out: mean of its cells, each weighed by what the lever does there."""
    way = claim.sign if claim.says == "tighter" else -claim.sign
    cells = [(phase, stage) for phase in claim.phases for stage in claim.stages]
    weights = [abs(effect.effect[phase][stage]) for phase, stage in cells]
    shares = [effect.sign_share[phase][stage] for phase, stage in cells]
    held = [
        share if way * effect.effect[phase][stage] > 0 else 1 - share
        for (phase, stage), share in zip(cells, shares, strict=True)
    ]
    total = sum(weights)
    return sum(w * share for w, share in zip(weights, held, strict=True)) / total if total > 0 else 0.0


def _mean(grid: Mapping[str, Mapping[str, float]], phases: Iterable[str], stages: Sequence[str]) -> float:
    values = [grid[phase][stage] for phase in phases for stage in stages]
    return sum(values) / len(values)


def is_unexplained(finding: Finding) -> bool:
    """Whether most cars do another thing than the pack says, or nothing, and it gives no reason."""
    most = finding.verdict == NOTHING or finding.share is None or finding.share <= FEW
    return is_miss(finding) and finding.verdict != AGREES and most and not finding.claim.reasons


def name_claim(claim: Claim, knowledge: Knowledge) -> str:
    """Write what a claim is about: "right front camber, more positive, entry" or "loose off: stagger less"."""
    lever = knowledge.levers[claim.lever]
    word = lever.plus_word if claim.sign > 0 else lever.minus_word
    where = " and ".join((", ".join(claim.phases[:-1]), claim.phases[-1])) if len(claim.phases) > 1 else claim.phases[0]
    return f"{claim.topic}: {claim.lever} {word}" if claim.topic else f"{claim.lever} {word}, {where}"


def fault_of(finding: Finding, knowledge: Knowledge) -> Problem:
    """Make the fault of a disagreement without a reason."""
    claim, origin = finding.claim, finding.claim.origin
    computed = "nothing" if abs(finding.change) < NIL else f"{flip(claim.says)}" if claim.says != "none" else "more"
    cars = f" on {1 - finding.share:.0%} of plausible cars" if finding.share is not None else ""
    says = f"{name_claim(claim, knowledge)}: the trade says {claim.says}, the model {computed}"
    says += f" ({finding.change:+.3f} % a step{cars})"
    hint = "say why with 'differs: {kind: ..., why: ...}', or mend the entry"
    return Problem(origin.file if origin else "packs", origin.line if origin else 0, 1, says, hint)


def count_verdicts(findings: Iterable[Finding]) -> dict[str, int]:
    """Count the findings by verdict."""
    found = Counter(one.verdict for one in findings)
    return {verdict: found[verdict] for verdict in VERDICTS}


def needed_reasons(audits: Iterable[Audit]) -> set[int]:
    """Give the identity of every reason some audit needs, so that a reason without a use can be found."""
    findings = [one for audit in audits for one in (*audit.levers, *audit.remedies)]
    return {id(reason) for one in findings if is_miss(one) for reason in one.claim.reasons}


MEANINGS = {
    DIFFERS: "this car does the other thing",
    AGREES: "this car bears it out",
    NOTHING: "no size, or by the book",
    TRADE_DEPENDS: "no direction to hold against",
}


def audit_rows(audit: Audit) -> tuple[tuple[str, ...], ...]:
    """Give the counts: verdict, lever lines, remedies, what the verdict means."""
    levers, remedies = count_verdicts(audit.levers), count_verdicts(audit.remedies)
    return tuple((one, str(levers[one]), str(remedies[one]), MEANINGS[one]) for one in VERDICTS)


def audit_lines(audit: Audit, knowledge: Knowledge) -> Iterator[str]:
    """Say every claim the model does not bear out, with the figures and the pack's reasons."""
    for finding in (*audit.levers, *audit.remedies):
        if is_miss(finding):
            yield say_finding(finding, knowledge)


def say_finding(finding: Finding, knowledge: Knowledge) -> str:
    """Say one claim, what became of it and with which figures, and the kind of reason the pack gives."""
    claim = finding.claim
    kinds = " and ".join(dict.fromkeys(reason.kind for reason in claim.reasons)) or "no reason given"
    if abs(finding.change) < NIL:
        figures = f"nothing computed ({finding.change:+.4f} % a step)"
    else:
        share = f", borne out by {finding.share:.0%} of cars" if finding.share is not None else ""
        figures = f"{finding.change:+.3f} % a step{share}"
    return f"{name_claim(claim, knowledge)}: {finding.verdict}; {claim.says} said, {figures} ({kinds})"


def audit_json(audit: Audit, knowledge: Knowledge) -> dict[str, Any]:
    """Give an audit as plain data for programs."""
    return {
        "case": audit.case,
        "plausible_cars": audit.cars,
        "counts": {"levers": count_verdicts(audit.levers), "remedies": count_verdicts(audit.remedies)},
        "levers": [_finding_json(one, knowledge) for one in audit.levers],
        "remedies": [_finding_json(one, knowledge) for one in audit.remedies],
    }


def _finding_json(finding: Finding, knowledge: Knowledge) -> dict[str, Any]:
    claim = finding.claim
    return {
        "claim": name_claim(claim, knowledge),
        "symptom": claim.topic or None,
        "lever": claim.lever,
        "steps": claim.sign,
        "phases": list(claim.phases),
        "stages": list(claim.stages),
        "trade_says": claim.says,
        "confidence": claim.confidence,
        "verdict": finding.verdict,
        "percent_per_step": round(finding.change, 4),
        "share_of_cars": None if finding.share is None else round(finding.share, 3),
        "reasons": [{"kind": reason.kind, "why": reason.why} for reason in claim.reasons],
        "file": claim.origin.file if claim.origin else None,
        "line": claim.origin.line if claim.origin else None,
    }
