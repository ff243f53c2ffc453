"""What one thing that was said says about another: "tight, but comes to me", "loose off, so loose I can't drive"."""

from __future__ import annotations

from dataclasses import replace

from assistant.diagnosis.claim import Claim
from assistant.ground.grid import PHASES, STAGES


def settle(claims: tuple[Claim, ...]) -> tuple[Claim, ...]:
    """Apply what one claim says about another: "tight, but comes to me" leaves the tightness to the first laps."""
    settled: list[Claim] = []
    for claim in _than_before(_place_repeats([_clear(claim) for claim in claims])):
        if claim.improves and not claim.denied:
            better = claim.stages or claim.usual_stages
            before = tuple(stage for stage in STAGES if stage not in better)
            settled = [one if one.stages else replace(one, stages=before) for one in settled]
            phases = claim.phases or next((one.phases for one in settled if one.phases), ())
            settled.append(replace(claim, phases=phases, stages=better))
        elif claim.leaves:
            better = claim.stages or ("settled", "worn")
            settled.append(replace(claim, stages=tuple(stage for stage in STAGES if stage not in better), leaves=False))
            settled.append(replace(claim, balance="fine", stages=better, leaves=False))
        elif any(one.starts for one in settled) and not (claim.stages or claim.usual_stages):
            settled.append(replace(claim, usual_stages=("settled", "worn")))
        else:
            settled.append(claim)
    return tuple(settled)


def _than_before(claims: list[Claim]) -> list[Claim]:
    """Read "better, but tight in" as better than before the change: what follows is what the car does now."""
    first = claims[0] if len(claims) > 1 else Claim()
    if not first.improves or first.denied or first.stages:
        return claims
    return [*([replace(first, improves=False, usual_stages=())] if _is_placed(first) else []), *claims[1:]]


def _place_repeats(claims: list[Claim]) -> list[Claim]:
    """Give a claim that names nothing the place of the last one that agrees: "loose off, so loose I can't drive".

    Where none stands before it, the end of the track may stand behind: "can't hold the bottom, pushes up in 1 and 2".
    """
    placed: list[Claim] = []
    for at, claim in enumerate(claims):
        bare = replace(claim, severity=None, sentence=0, text="", balance="", usual_phases=()) == Claim()
        usual = set(claim.usual_phases or PHASES)
        agreeing = [
            one for one in placed if _agree(one, claim) and usual & set(one.phases or PHASES) and _is_placed(one)
        ]
        behind = {one.end for one in claims[at + 1 :] if _agree(one, claim) and one.sentence == claim.sentence} - {""}
        if agreeing and bare:
            last = agreeing[-1]
            placed.append(replace(claim, phases=last.phases, stages=last.stages, end=last.end))
        elif not (claim.stages or claim.end) and (again := _said_again(placed, claim)):
            placed.append(replace(claim, stages=again.stages, end=again.end))
        elif bare and len(behind) == 1:
            placed.append(replace(claim, end=behind.pop()))
        else:
            placed.append(claim)
    return placed


def _said_again(placed: list[Claim], claim: Claim) -> Claim | None:
    """Find the claim of this sentence that this one says again of the same place: "late no drive off, so loose off"."""
    same = [one for one in placed if _agree(one, claim) and one.sentence == claim.sentence]
    return next((one for one in reversed(same) if claim.phases and one.phases == claim.phases), None)


def _is_placed(claim: Claim) -> bool:
    return bool(claim.phases or claim.stages or claim.end)


def _agree(one: Claim, other: Claim) -> bool:
    return one.balance == other.balance and not one.denied


def _clear(claim: Claim) -> Claim:
    """Let a phase named outright outdo a moment, and a time outdo "starts" ("around lap 30 it starts to push").

    What starts in mid run lasts until its end.
    """
    stages = claim.stages
    if claim.starts and len(stages) > 1:
        stages = tuple(stage for stage in stages if stage != "fresh")
    if (claim.starts or claim.onset) and stages == ("settled",):
        stages = ("settled", "worn")
    return replace(claim, phases=claim.phases or claim.hinted, stages=stages)
