"""One thing a driver said: "loose, coming off, late". How a claim takes in what other words say of it.

What one claim says about another is settled at the end: "tight, but comes to me", "loose off, so loose I can't drive".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from assistant.diagnosis.phrases import Piece
from assistant.ground.names import PHASES, STAGE_SHORT, STAGES
from assistant.rules.models_symptom import Meaning

_OPPOSITE = {"first": "second", "second": "first"}
WITH_LAPS = ("worn",)
"""When it is that "as the run goes on" speaks of."""
_BEGINNINGS = frozenset({"start", "starts", "started", "begin", "begins", "began"})


@dataclass(frozen=True)
class Claim:
    """One thing said. Empty phases or stages: not said.

    end: "first", "second", "both" or "" (not said); "other" and "same" until it is settled which was spoken of before.
    hinted: phases of a moment that was named ("on the gas") or a turn ("in 3"); a phase named outright outdoes them.
    usual_*: taken when nothing else is said. severity: None when not said. starts: "starts tight". past: it was so.
    grows: "gets worse". only: at no other time in the run.
    onset: "starts to push", "tightens up": from the time said on. roundabout: plain words outdo it.
    sentence: the one it stood in. added: told with "and" behind another. severity_by: the question that asks how bad
    it is; empty when that was said.
    """

    balance: str = ""
    phases: tuple[str, ...] = ()
    hinted: tuple[str, ...] = ()
    stages: tuple[str, ...] = ()
    end: str = ""
    severity: float | None = None
    usual_phases: tuple[str, ...] = ()
    usual_stages: tuple[str, ...] = ()
    denied: bool = False
    improves: bool = False
    leaves: bool = False
    rest: bool = False
    starts: bool = False
    onset: bool = False
    grows: bool = False
    only: bool = False
    past: bool = False
    roundabout: bool = False
    sentence: int = 0
    added: bool = False
    text: str = ""
    severity_by: str = ""

    @property
    def is_complaint(self) -> bool:
        """Whether it complains of something."""
        return self.balance in {"loose", "tight"} and not self.denied


@dataclass(frozen=True)
class Said:
    """All that was read: claims, names of other symptoms, signs to stop for, moments, words not understood.

    cut: how many words were read where there are more, 0 where all were.
    part: nothing of all this, but a part of the car was named.
    left_open: words that leave something open, with what they leave open; they are unread too. answers: question id ->
    choice id, as the words answer it. changes: what was done to the car. question: what is asked for instead of a cure.
    """

    claims: tuple[Claim, ...] = ()
    symptoms: tuple[str, ...] = ()
    safety: tuple[str, ...] = ()
    moments: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()
    end_words: tuple[str, ...] = ()
    cut: int = 0
    part: bool = False
    left_open: tuple[str, ...] = ()
    answers: Mapping[str, str] = field(default_factory=dict)
    changes: tuple[str, ...] = ()
    question: str = ""


def only_repeats(told: Said, before: Said) -> bool:
    """Whether a line says what the car does and nothing of it that was not said before."""
    beside = ((told.symptoms, before.symptoms), (told.safety, before.safety), (told.changes, before.changes))
    is_old = told.answers.items() <= before.answers.items() and all(set(one) <= set(old) for one, old in beside)
    return is_old and bool(told.claims) and all(any(_says(old, one) for old in before.claims) for one in told.claims)


def _says(old: Claim, one: Claim) -> bool:
    """Whether the old claim says all that this one does."""
    is_same = (one.balance, one.denied, one.improves) == (old.balance, old.denied, old.improves)
    is_within = set(one.phases) <= set(old.phases) and set(one.stages) <= set(old.stages)
    return is_same and is_within and one.end in {"", old.end} and one.severity in {None, old.severity}


def claim_of(mark: Piece, sentence: int, laps: Mapping[str, float]) -> Claim:
    """Begin a claim on a word of balance."""
    meaning = mark.meaning
    return Claim(
        meaning.balance or "",
        phases=tuple(meaning.phase or ()),
        stages=tuple(meaning.stages or ()) or _stages_of_laps(meaning.laps or "", mark.numbers, laps),
        end=_end_of(meaning, mark.numbers),
        severity=float(meaning.severity) if meaning.severity else None,
        usual_phases=tuple(meaning.usual_phase or ()),
        usual_stages=tuple(meaning.usual_stages or ()),
        improves=bool(meaning.improves),
        leaves=bool(meaning.leaves),
        rest=bool(meaning.rest),
        roundabout=bool(meaning.roundabout),
        onset=meaning.trend in {"looser", "tighter"} or not _BEGINNINGS.isdisjoint(mark.text.split()),
        sentence=sentence,
        text=mark.text,
    )


def modifier_of(mark: Piece, laps: Mapping[str, float]) -> Claim:
    """Put what a word says of place, time or degree into a claim without a balance."""
    meaning = mark.meaning
    phases = tuple(meaning.phase or ())
    stages = tuple(meaning.stages or ()) or _stages_of_laps(meaning.laps or "", mark.numbers, laps)
    return Claim(
        phases=() if meaning.moment else phases,
        hinted=phases if meaning.moment else tuple(meaning.usual_phase or ()),
        stages=stages,
        end=_end_of(meaning, mark.numbers),
        severity=_severity_of(meaning, mark.numbers),
        usual_stages=tuple(meaning.usual_stages or ()),
        starts=bool(meaning.leads) and meaning.stages == ["fresh"],
        onset=bool(meaning.onset),
        grows=bool(meaning.grows),
        only=bool(meaning.only),
        past=bool(meaning.past),
    )


def _stages_of_laps(kind: str, numbers: tuple[int, ...], laps: Mapping[str, float]) -> tuple[str, ...]:
    if not kind or not numbers:
        return ()
    number: float = numbers[0]
    if kind == "first":
        return ("fresh",) if number < laps.get("settled_from", laps["settled_until"]) else ("fresh", "settled")
    if kind == "last":
        number = laps["run"] - number if "run" in laps else laps["settled_until"]
    return ("settled", "worn") if number < laps["settled_until"] else ("worn",)


def place_laps(run_laps: float) -> dict[str, float]:
    """Return where a lap number falls in a run of this length.

    The first n laps reach the settled stage when the lap that stands for it, a third into the run, is among them; what
    comes on later than halfway is no longer settled. Own judgment, no source.
    """
    return {"settled_from": run_laps / 3.0, "settled_until": run_laps / 2.0, "run": run_laps}


def _end_of(meaning: Meaning, numbers: tuple[int, ...]) -> str:
    if meaning.end != "turn":
        return meaning.end or ""
    ends = {"first" if number <= 2 else "second" for number in numbers if 1 <= number <= 4}
    return ends.pop() if len(ends) == 1 else "both" if ends else ""


def _severity_of(meaning: Meaning, numbers: tuple[int, ...]) -> float | None:
    if meaning.severity in {"number", "bare number"}:
        return float(numbers[0]) if numbers and 1 <= numbers[0] <= 5 else None
    return float(meaning.severity) if meaning.severity else None


def join_to(claim: Claim, mod: Claim) -> Claim:
    """Join what a modifier says to a claim; places add up, a number for how bad wins over an earlier word."""
    return replace(
        claim,
        phases=_in_order(PHASES, claim.phases + mod.phases),
        hinted=_in_order(PHASES, claim.hinted + mod.hinted),
        stages=_in_order(STAGES, claim.stages + mod.stages),
        end=_both_ends(claim.end, mod.end),
        severity=_stronger(claim.severity, mod.severity),
        usual_phases=claim.usual_phases or mod.usual_phases,
        usual_stages=mod.usual_stages or claim.usual_stages,
        starts=claim.starts or mod.starts,
        onset=claim.onset or mod.onset,
        grows=claim.grows or mod.grows,
        only=claim.only or mod.only,
        past=claim.past or mod.past,
    )


def _both_ends(one: str, other: str) -> str:
    named = {one, other} - {"", "other", "same"}
    return "both" if len(named) > 1 else next(iter(named), other or one)


def _stronger(one: float | None, other: float | None) -> float | None:
    return one if other is None else other if one is None else max(one, other)


def fill_from(claim: Claim, carried: Claim) -> Claim:
    """Give a claim what it does not say itself."""
    return replace(
        claim,
        phases=claim.phases or (() if claim.hinted else carried.phases),
        hinted=claim.hinted or (() if claim.phases else carried.hinted),
        stages=claim.stages or carried.stages,
        end=claim.end or carried.end,
        severity=claim.severity if claim.severity is not None else carried.severity,
        usual_stages=claim.usual_stages or carried.usual_stages,
    )


def override(carried: Claim, mod: Claim) -> Claim:
    """Let a later place replace an earlier one of its kind."""
    return fill_from(mod, carried)


def _in_order(names: tuple[str, ...], said: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(name for name in names if name in said)


def settle(claims: tuple[Claim, ...]) -> tuple[Claim, ...]:
    """Apply what one claim says about another: "tight, but comes to me" leaves the tightness to the first laps."""
    settled: list[Claim] = []
    is_now = any((one.is_complaint or _is_good_now(one)) and not one.past for one in claims)
    cleared = _find_ends([_clear(replace(one, denied=one.denied or (is_now and one.past))) for one in claims])
    for claim in _told_closer(_than_before(_place_repeats(cleared))):
        if claim.improves and not claim.denied:
            better = claim.stages or claim.usual_stages
            before = tuple(stage for stage in STAGES if stage not in better)
            settled = [one if one.stages else replace(one, stages=before) for one in settled]
            phases = claim.phases or next((one.phases for one in settled if one.phases), ())
            end = claim.end or next((one.end for one in settled if one.end), "")
            settled.append(replace(claim, phases=phases, stages=better, usual_stages=(), end=end))
        elif claim.balance == "fine" and claim.stages and _comes_later(claim):
            before = tuple(stage for stage in STAGES if stage not in claim.stages)
            settled = [replace(one, stages=before) if _says_no_time(one) else one for one in settled]
            settled.append(claim)
        elif claim.leaves:
            better = claim.stages or ("settled", "worn")
            settled.append(replace(claim, stages=tuple(stage for stage in STAGES if stage not in better), leaves=False))
            settled.append(replace(claim, balance="fine", stages=better, leaves=False))
        elif claim.only and claim.stages:
            other = tuple(stage for stage in STAGES if stage not in claim.stages)
            settled.append(claim)
            settled.append(replace(claim, balance="fine", stages=other, severity=None))
        elif any(one.starts for one in settled) and not (claim.stages or claim.usual_stages):
            settled.append(replace(claim, usual_stages=("settled", "worn")))
        else:
            settled.append(claim)
    plain = {one.balance for one in settled if one.is_complaint and not one.roundabout}
    return tuple(one for one in settled if not one.roundabout or not plain or one.balance in plain)


def _comes_later(fine: Claim) -> bool:
    """Whether all is fine from some lap on: "loose off, good after ten laps"."""
    return "fresh" not in fine.stages and not (fine.phases or fine.denied or fine.past or fine.end)


def _says_no_time(one: Claim) -> bool:
    return one.is_complaint and not (one.stages or one.usual_stages)


def _is_good_now(claim: Claim) -> bool:
    """Whether the car is said to be fine, with no place and no time in the run: "it's good now, was loose off"."""
    return claim.balance == "fine" and not (claim.denied or claim.improves or claim.stages or _is_placed(claim))


def _find_ends(claims: list[Claim]) -> list[Claim]:
    """Name the end for "there" and "the other end", and for a claim without one between two of the same end."""
    found: list[Claim] = []
    before = ""
    for at, claim in enumerate(claims):
        follows = claims[at + 1] if at + 1 < len(claims) else Claim()
        end = claim.end
        if end in {"other", "same"}:
            end = before if end == "same" else _OPPOSITE.get(before, "")
        elif not end and before and found[-1].end == follows.end == before and follows.sentence == claim.sentence:
            end = before
        found.append(replace(claim, end=end))
        before = end if end in _OPPOSITE else before
    return found


def _than_before(claims: list[Claim]) -> list[Claim]:
    """Read "better, but tight in" as better than before the change: what follows is what the car does now.

    What gets better "as the run goes on" does so in the run.
    """
    first = claims[0] if len(claims) > 1 else Claim()
    if not first.improves or first.denied or first.stages:
        return claims
    if first.usual_stages == WITH_LAPS:
        return [*claims[1:], first]
    return [*([replace(first, improves=False, usual_stages=())] if _is_placed(first) else []), *claims[1:]]


def _told_closer(claims: list[Claim]) -> list[Claim]:
    """Read "loose on long runs, it steps out off" as one complaint, and "loose off, right rear goes away" too.

    What is told with "and" is one more complaint, but behind a tire that goes away ("... and it is loose off").
    """
    told: list[Claim] = []
    for claim in claims:
        last = told[-1] if told else Claim()
        if not _agree(last, claim) or (claim.added and not last.onset):
            told.append(claim)
        elif claim.phases and _is_general(last, claim):
            told[-1] = join_to(replace(claim, stages=claim.stages or last.stages), replace(last, stages=()))
        elif last.phases and _is_general(claim, last) and claim.sentence == last.sentence:
            told[-1] = join_to(replace(last, stages=last.stages or claim.stages), replace(claim, stages=()))
        else:
            told.append(claim)
    return told


def _is_general(claim: Claim, placed: Claim) -> bool:
    """Whether a complaint says no place, and no time or end but that of the placed one behind it."""
    apart = any(one and other and not set(one) & set(other) for one, other in _times_and_ends(claim, placed))
    return (
        claim.is_complaint and placed.is_complaint and not (claim.phases or claim.usual_phases or claim.rest or apart)
    )


def _times_and_ends(one: Claim, other: Claim) -> tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]:
    ends = (tuple(filter(None, (one.end,))), tuple(filter(None, (other.end,))))
    return (one.stages or one.usual_stages, other.stages or other.usual_stages), ends


def _place_repeats(claims: list[Claim]) -> list[Claim]:
    """Give a claim that names nothing the place of the last one that agrees: "loose off, so loose I can't drive".

    Where none stands before it, the end of the track may stand behind: "can't hold the bottom, pushes up in 1 and 2".
    """
    placed: list[Claim] = []
    for at, claim in enumerate(claims):
        said = replace(claim, severity=None, sentence=0, text="", balance="", usual_phases=(), added=False)
        usual = set(claim.usual_phases or PHASES)
        agreeing = [
            one for one in placed if _agree(one, claim) and usual & set(one.phases or PHASES) and _is_placed(one)
        ]
        behind = {one.end for one in claims[at + 1 :] if _agree(one, claim) and one.sentence == claim.sentence} - {""}
        bare = said == Claim()
        if agreeing and bare:
            last = agreeing[-1]
            placed.append(replace(claim, phases=last.phases, stages=last.stages, end=last.end))
        elif bare and len(behind) == 1:
            placed.append(replace(claim, end=behind.pop()))
        else:
            placed.append(claim)
    return placed


def _is_placed(claim: Claim) -> bool:
    return bool(claim.phases or claim.stages or claim.end)


def _agree(one: Claim, other: Claim) -> bool:
    return one.balance == other.balance and not one.denied


def _clear(claim: Claim) -> Claim:
    """Let a phase named outright outdo a moment, and a time outdo "starts" ("around lap 30 it starts to push").

    What starts in mid run lasts until its end, and so does what is there at the start and gets worse.
    """
    stages = claim.stages
    if claim.starts and len(stages) > 1:
        stages = tuple(stage for stage in stages if stage != "fresh")
    if (claim.starts or claim.onset) and stages == ("settled",):
        stages = ("settled", "worn")
    usual = claim.usual_stages or (WITH_LAPS if claim.grows else ())
    if claim.grows and "fresh" in (claim.stages or usual):
        stages = usual = STAGES
    over = claim.past and claim.balance == "fine"
    claim = replace(claim, usual_stages=usual)
    return replace(claim, phases=claim.phases or claim.hinted, stages=stages, denied=claim.denied or over)


def when_told(told: Claim) -> dict[str, str]:
    """Answer when in the run it is, by the stages that were named."""
    if len(told.stages) == 1:
        return {"when_in_run": STAGE_SHORT[told.stages[0]]}
    if not told.stages:
        return {}
    both = {"fresh", "worn"} <= set(told.stages)
    return {"when_in_run": "always" if both else "late" if "worn" in told.stages else "fresh"}
