"""Holds what the packs claim against the vehicle model: what levers do by phase, and that remedies answer a complaint.

The mean of the cars decides whether it agrees or differs; on how many of them it holds stands beside it. A difference
is no mistake as long as the pack says why; without a reason it is a fault. Nothing is changed to agree.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from assistant.advice.trade import (
    AGREES,
    NOTHING,
    TRADE_DEPENDS,
    VERDICTS,
    judge,
)
from assistant.belief.effects import effect_table
from assistant.belief.garage import open_garage
from assistant.belief.picture import believe_told
from assistant.diagnosis.evidence import facts_of
from assistant.ground.names import CHANCE_WORDS, PHASES, SETTLED, STAGES
from assistant.rules.knowledge import Knowledge, Origin, equip

if TYPE_CHECKING:
    from assistant.belief.effects import EffectTable, LeverEffect
    from assistant.car.case import Case
    from assistant.rules.models import Lever, Reason
    from assistant.rules.models_symptom import Symptom, TradeRemedy


LIKELY = CHANCE_WORDS[-2][0]
"""Share of plausible cars from which on a direction is said to hold: "more likely than not"."""
HALF = 0.45
"""Share of plausible cars down to which a direction is said to hold on about half of them."""
ANSWER = {"loose": "tighter", "tight": "looser"}
"""What a remedy has to do to a complaint."""


@dataclass(frozen=True)
class PackClaim:
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
class Audited:
    """How a claim fared. change: percent of balance per legal step in the claimed way, + tighter, on the given car.

    share: share of plausible cars on which the claim holds; None where there is no direction to hold.
    stages: the change at every stage, mean of the claim's phases; empty where nothing is computed.
    """

    claim: PackClaim
    verdict: str
    change: float
    share: float | None
    stages: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Audit:
    """All findings on one case. faults: disagreements the pack gives no reason for."""

    case: str
    cars: int
    levers: tuple[Audited, ...]
    remedies: tuple[Audited, ...]
    faults: tuple[Audited, ...]


def audit(case: Case, knowledge: Knowledge, *, effects: EffectTable | None = None) -> Audit:
    """Hold every claim of the packs against plausible cars of this case, of which nobody said anything."""
    if effects is None:
        case = equip(case, knowledge)
        effects = effect_table(case, believe_told(case, [], open_garage(case)))
    levers = tuple(_judge(claim, knowledge, effects) for claim in lever_claims(knowledge))
    remedies = tuple(_judge(claim, knowledge, effects) for claim in remedy_claims(knowledge, case))
    faults = tuple(one for one in (*levers, *remedies) if is_unexplained(one))
    return Audit(case.name, effects.cars, levers, remedies, faults)


def lever_claims(knowledge: Knowledge) -> Iterator[PackClaim]:
    """Give every line of the levers' `trade:` blocks, for the + direction."""
    for name, lever in knowledge.levers.items():
        for phase, line in lever.trade.items():
            origin = knowledge.origin("lever", name)
            reasons = _reasons(lever, (phase,))
            yield PackClaim("", name, 1, (phase,), (STAGES[SETTLED],), line.balance, line.confidence, origin, reasons)


def remedy_claims(knowledge: Knowledge, case: Case) -> Iterator[PackClaim]:
    """Give every remedy that moves a lever against a balance, where its condition holds on this case."""
    facts = facts_of(case, {})
    for name, symptom in knowledge.symptoms.items():
        if symptom.balance not in ANSWER or symptom.retired is not None:
            continue
        for remedy in symptom.remedies:
            applies = remedy.only_if is None or knowledge.holds(remedy.only_if, facts) is not False
            if remedy.lever is not None and remedy.lever in knowledge.levers and applies:
                yield _remedy_claim(name, symptom, remedy, knowledge)


def _remedy_claim(name: str, symptom: Symptom, remedy: TradeRemedy, knowledge: Knowledge) -> PackClaim:
    lever = str(remedy.lever)
    phases = (symptom.phase,) if symptom.phase in PHASES else PHASES
    settled = STAGES[SETTLED]
    stages = (settled,) if settled in symptom.stages else tuple(symptom.stages)
    own = (remedy.differs,) if remedy.differs is not None else ()
    reasons = (*own, *_reasons(knowledge.levers[lever], phases))
    says, sign = ANSWER[symptom.balance], knowledge.move_sign(lever, str(remedy.move))
    origin = knowledge.origin("symptom", name, remedy.name)
    return PackClaim(name, lever, sign, phases, stages, says, remedy.confidence, origin, reasons)


def _reasons(lever: Lever, phases: Iterable[str]) -> tuple[Reason, ...]:
    return tuple(one for one in lever.differs if one.phase in phases)


def _judge(claim: PackClaim, knowledge: Knowledge, effects: EffectTable) -> Audited:
    lever = knowledge.levers[claim.lever]
    effect = effects.levers.get(claim.lever)
    if effect is None or effect.basis != "computed":
        return Audited(claim, judge(claim.says, None, 0.0), 0.0, None)
    change = claim.sign * mean_of(effect.effect, claim.phases, claim.stages)
    through = {stage: claim.sign * mean_of(effect.effect, claim.phases, (stage,)) for stage in effects.stages}
    usual = change * lever.in_si(lever.usual_change) / effect.step
    share = share_of_cars(claim, effect) if claim.says in {"tighter", "looser"} else None
    return Audited(claim, judge(claim.says, change, usual), change, share, through)


def is_miss(finding: Audited) -> bool:
    """Whether the model does not bear out what it computes: on this car, or on too few cars like it."""
    if not finding.stages or finding.verdict == TRADE_DEPENDS:
        return False
    return finding.verdict != AGREES or (finding.share is not None and finding.share < LIKELY)


def share_of_cars(claim: PackClaim, effect: LeverEffect) -> float:
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


def mean_of(grid: Mapping[str, Mapping[str, float]], phases: Iterable[str], stages: Sequence[str]) -> float:
    """Average an effect [% per step, + tighter] over cells."""
    values = [grid[phase][stage] for phase in phases for stage in stages]
    return sum(values) / len(values)


def is_unexplained(finding: Audited) -> bool:
    """Whether most cars do another thing than the pack says, or nothing, and it gives no reason."""
    most = finding.verdict == NOTHING or finding.share is None or finding.share <= HALF
    return is_miss(finding) and finding.verdict != AGREES and most and not finding.claim.reasons


def count_verdicts(findings: Iterable[Audited]) -> dict[str, int]:
    """Count the findings by verdict."""
    found = Counter(one.verdict for one in findings)
    return {verdict: found[verdict] for verdict in VERDICTS}
