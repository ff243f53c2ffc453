"""The fixed part of the interview: which question comes up, what an answer does to the reading, when nobody can tell.

How bad each complaint is: one question for a single complaint, one each for the first two of several. Two complaints
are two when they differ in balance or in where they are felt; beyond the second nobody is asked. `how_bad` answers for
all that have no answer of their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from assistant.diagnosis.claim import Claim, Said
from assistant.diagnosis.evidence import WAS_RIGHT, Fact, facts_of_answers
from assistant.diagnosis.hearing import Heard, complaint_of, read
from assistant.diagnosis.questions import (
    COMPLAINT,
    FIXED_ORDER,
    HOW_BAD,
    HOW_BAD_EACH,
    NOTHING_CHANGED,
    RIDE,
    SAFETY,
    SEVERAL_PLACES,
    SIZES,
    SLIDES,
    OpenQuestion,
    is_unsure,
    question_of,
)
from assistant.diagnosis.sentences import IN_TRAFFIC, TRAFFIC, TRAFFIC_ONLY
from assistant.diagnosis.stopping import A_HIT, STOPS, is_looked_over, is_mere_question, is_unsafe, looks_at
from assistant.ground.names import PHASES, STAGE_SHORT, STAGES, plain_id
from assistant.ground.understood import COLD_TIRES, Complaint
from assistant.rules.knowledge import Knowledge
from assistant.rules.models_symptom import Choice, Question

_Key = tuple[str, tuple[str, ...]]
_NUMBERS = frozenset({"1", "2", "3", "4", "5"})


def fold_severities(claims: tuple[Claim, ...], known: Mapping[str, str]) -> tuple[Claim, ...]:
    """Note which question asks how bad each claim is, and put the answers in. Claims have their places already."""
    unsaid = list(dict.fromkeys(_key(claim) for claim in claims if claim.is_complaint and claim.severity is None))
    asked = dict(zip(unsaid, HOW_BAD_EACH, strict=False)) if len(unsaid) > 1 else dict.fromkeys(unsaid, HOW_BAD)
    return tuple(
        _fold(claim, asked.get(_key(claim), ""), known) if claim.is_complaint and claim.severity is None else claim
        for claim in claims
    )


def _fold(claim: Claim, qid: str, known: Mapping[str, str]) -> Claim:
    claim = replace(claim, severity_by=qid)
    said = [known[name] for name in (qid, HOW_BAD) if known.get(name) in _NUMBERS]
    return replace(claim, severity=float(said[0])) if said else claim


def asks_how_bad(qid: str, claims: list[Claim], known: Mapping[str, str]) -> bool:
    """Whether this question about how bad it is comes up; one answer for all makes the single ones needless."""
    if qid != HOW_BAD:
        return HOW_BAD not in known and any(claim.severity_by == qid for claim in claims)
    return any(claim.severity_by == qid for claim in claims)


def name_complaint(question: OpenQuestion, claims: list[Claim]) -> OpenQuestion:
    """Say in the question which complaint is meant, when there are several and it is about one of them."""
    meant = [claim for claim in claims if claim.severity_by == question.id]
    if not meant or len({_key(claim) for claim in claims}) < 2:
        return question
    first = meant[0]
    stages = tuple(stage for stage in STAGES if any(stage in (one.stages or one.usual_stages) for one in meant))
    return replace(question, about=Claim(first.balance, phases=_where(first), stages=stages or STAGES))


def _key(claim: Claim) -> _Key:
    return claim.balance, _where(claim)


def _where(claim: Claim) -> tuple[str, ...]:
    return claim.phases or claim.usual_phases or PHASES


CHANGE = "change"
"""Topic of the questions about a change that was named."""
MOST_FOLLOW_UPS = 2
MOST_EARLY = 3
SLIDING = {"front": "tight", "back": "loose"}
"""What it means when one end is said to slide."""
UNDER_WAY = {**{said: (stage,) for stage, said in STAGE_SHORT.items()}, "worn": ("worn",), "always": STAGES}
BEGINS = {"lift": "lift", "braking": "brake"}
"""Moments of the way in that say what sets it off, and the answer they are."""
OVER_BUMPS = "bumps"
"""The moment over a bump: how the car rides there is asked."""
MISHEARD = "misheard"
"""Kept among the answers where a sign of danger in the words was taken back: it was not meant so."""
CAME_OF_ADVICE = "came_of_advice"
"""Kept among the answers where a complaint came with a change made in the talk: it is no change to suspect."""
OUTLAST = frozenset({"safety", "before", "change", "track", "driver"})
"""Topics of questions whose answers a change of the car leaves as they are; no look and no feeling outlasts one."""
HIT_TOLD = "hit_told"
"""Kept among the answers where a hit was told at a question: it is asked about as one told at first is."""
LITTLE = 2.0
"""Severity of "a little": I drive around it."""


@dataclass(frozen=True)
class Asked:
    """What an interview is about: the driver's words as read, the answers of the case file, the ends of the track."""

    heard: Heard
    on_file: Mapping[str, str]
    ends: tuple[str, ...] = ()


def with_hit(heard: Heard) -> Heard:
    """Add the hit that was told later to the words."""
    return replace(heard, said=replace(heard.said, safety=tuple(dict.fromkeys((*heard.said.safety, A_HIT)))))


def is_cleared(heard: Heard, known: Mapping[str, str]) -> bool:
    """Whether a danger was told of, meant so, and the car was looked over for it."""
    return bool(heard.said.safety) and MISHEARD not in known and is_looked_over(heard, known)


def danger_not_found(heards: Iterable[Heard], known: Mapping[str, str], knowledge: Knowledge) -> Choice | None:
    """Return what a danger is of that was told of and not found when the car was looked over; None where none was."""
    kinds = question_of("safety_kind", knowledge.questions)
    told = [sign for one in heards if is_cleared(one, known) for sign in one.said.safety]
    named = [knowledge.phrases.signs.get(sign, {}).get("safety-kind", "") for sign in told]
    return next((one for one in kinds.choices if one.id in named and one.look), None) if kinds else None


def read_again(first: Heard, words: str, knowledge: Knowledge, run_laps: float | None) -> Heard:
    """Read the words given when the complaint was asked again, behind the first where those told something."""
    kept = ""
    if not first.readable:  # what was fine stands by itself, a place waits for its balance
        kept = f"{first.text}. " if first.said.claims else f"{first.text}, " if first.said.left_open else ""
    return read(kept + words, knowledge, run_laps)


def on_file(answers: Mapping[str, object]) -> dict[str, str]:
    """Return the answers of a case file as the interview keeps them."""
    return {plain_id(str(qid)): str(choice) for qid, choice in answers.items()}


def implied_answers(reading: Heard) -> dict[str, str]:
    """Return the questions the words have already answered; they are never asked."""
    claims = reading.complaints
    found = {**_implied_place(reading, claims), **_implied_time(reading, claims)}
    severities = {claim.severity for claim in claims}
    if len({(claim.balance, claim.phases or claims[0].phases) for claim in claims}) == 1:
        severities -= {None}  # "hard push in the center, won't turn" is one trouble, told twice
    if len(severities) == 1 and None not in severities:
        found["how_bad"] = f"{severities.pop():.0f}"
    return found | {plain_id(qid): choice for qid, choice in reading.said.answers.items()}


def _implied_place(reading: Heard, claims: list[Claim]) -> dict[str, str]:
    found = {}
    phases = {phase for claim in claims for phase in claim.phases}
    begins = {BEGINS[moment] for moment in reading.said.moments if moment in BEGINS}
    if phases == {"entry"} and len(begins) == 1:
        found["lift_or_brake"] = begins.pop()
    if claims and reading.phase_said:
        if len(phases) == 1:
            found["where"] = next(iter(phases))
        elif phases == set(PHASES):
            found["where"] = "all"
    ends = {claim.end for claim in claims if claim.end}
    sound = {claim.end for claim in reading.said.claims if claim.balance == "fine" and claim.end}
    if len(ends) > 1 or "both" in ends:
        found["which_end"] = "both"
    elif ends and (sound - ends or "only" in reading.text.lower().split()):
        found["which_end"] = "one"  # who names one end has not said that the other is fine
    return found


def is_only_cold(said: Said) -> bool:
    """Whether it is told to come on cold tires or restarts, and to be fine after."""
    goes = any(one.balance == "fine" and not one.denied and not one.past for one in said.claims)
    return COLD_TIRES in said.moments and goes


def _implied_time(reading: Heard, claims: list[Claim]) -> dict[str, str]:
    found = {"when_in_run": "fresh"} if reading.said.answers.get("restart-only") == "only-then" else {}
    if is_only_cold(reading.said) and {_stages_of(claim) for claim in claims} == {STAGES[:1]}:
        found = {"when_in_run": "fresh", "restart_only": "only-then"}
    is_early = _is_early(claims, reading.said)
    if not is_early and all(map(_stages_of, claims)):
        stages = {stage for claim in claims for stage in _stages_of(claim)}
        if len(stages) == 1:
            found["when_in_run"] = STAGE_SHORT[next(iter(stages))]
        elif stages == set(STAGES):
            found["when_in_run"] = "always"
    for balance, answer in (("fine", "fine"), ("tight", "little-tight"), ("loose", "little-loose")):
        said = [claim for claim in reading.said.claims if claim.balance == balance and not claim.denied]
        if any("fresh" in claim.stages for claim in said) and not (is_early and balance != "fine"):
            found["first_laps"] = answer
    return found


def fold_answers(reading: Heard, known: Mapping[str, str]) -> Heard:
    """Put the answers into the claims they complete: where, when in the run, how bad, the first laps, what slides."""
    slides = SLIDING.get(known.get(SLIDES, ""), "")
    told = (*reading.said.claims, *([Claim(slides)] if slides and not reading.complaints else []))
    is_early = _is_early([claim for claim in told if claim.is_complaint], reading.said)
    stages = UNDER_WAY.get(known.get("when_in_run", ""))
    said_else = is_early and stages is not None and any(_stages_of(one) != stages for one in told if one.is_complaint)
    placed = tuple(
        _place(claim, known, is_early=is_early) if claim.is_complaint else claim
        for claim in told
        if claim.is_complaint or not (said_else and _stages_of(claim))
    )
    claims = fold_severities(placed, known)
    extra = _first_laps(claims, known.get("first_laps", ""))
    safety = () if MISHEARD in known or is_looked_over(reading, known) else reading.said.safety
    return Heard(reading.text, replace(reading.said, claims=claims + extra, safety=safety))


def symptoms_chosen(
    folded: Heard, given: Sequence[tuple[str, str]], questions: Mapping[str, Question]
) -> tuple[str, ...]:
    """Name the symptoms of the words, and where no balance is complained of those that answers complain of."""
    asked = [] if folded.complaints else [(question_of(qid, questions), choice) for qid, choice in given]
    chosen = [question.choice(choice) for question, choice in asked if question is not None]
    named = [symptom for choice in chosen if choice is not None for symptom in choice.symptoms]
    return tuple(dict.fromkeys((*folded.said.symptoms, *named)))


def _stages_of(claim: Claim) -> tuple[str, ...]:
    return claim.stages or claim.usual_stages


def _is_early(claims: Sequence[Claim], said: Said) -> bool:
    """Tell whether the words place all of it in the first laps, or all in the settled ones.

    That is heard wrongly in half of the cases (13 of 26 written ones), so that it is asked all the same; not of who
    says as well that it is fine before or after.
    """
    told = {_stages_of(claim) for claim in claims}
    is_fine = any(one.balance == "fine" and one.stages and not (one.denied or one.past) for one in said.claims)
    return told in ({("fresh",)}, {("settled",)}) and not is_fine


def _place(claim: Claim, known: Mapping[str, str], *, is_early: bool) -> Claim:
    where, when = known.get("where", ""), known.get("when_in_run", "")
    told = PHASES if where == "all" else tuple(where.split(SEVERAL_PLACES))
    if not claim.phases and set(told) <= set(PHASES):
        claim = replace(claim, phases=told)
    if (is_early or not _stages_of(claim)) and when in UNDER_WAY:
        claim = replace(claim, stages=UNDER_WAY[when])
    return claim


def _first_laps(claims: tuple[Claim, ...], answer: str) -> tuple[Claim, ...]:
    balance = {"fine": "fine", "little-tight": "tight", "little-loose": "loose"}.get(answer, "")
    if not balance or _fresh_is_said(claims):
        return ()
    phases = tuple(
        phase for phase in PHASES if any(phase in (one.phases or PHASES) for one in claims if one.is_complaint)
    )
    severity = None if balance == "fine" else LITTLE
    return (Claim(balance, phases=phases, stages=("fresh",), severity=severity),) if phases else ()


def _fresh_is_said(claims: tuple[Claim, ...]) -> bool:
    return any("fresh" in (claim.stages or claim.usual_stages or STAGES) for claim in claims if not claim.denied)


def question_about(qid: str, questions: Mapping[str, Question], reading: Heard) -> OpenQuestion | None:
    """Return a question in the pack's words, with the complaint it is about named where there are several."""
    question = question_of(qid, questions)
    if question is None:
        return None
    if reading.said.safety and question.entry.after_danger:
        question = replace(question, entry=question.entry.model_copy(update={"asks": question.entry.after_danger}))
    return name_complaint(question, reading.complaints)


def fixed_open(reading: Heard, known: Mapping[str, str], complaint: Complaint) -> list[str]:
    """List the questions of the fixed flow that apply and are not answered, in order."""
    if reading.said.safety:
        return [] if is_unsafe(reading, known) else [qid for qid in looks_at(reading, known) if qid not in known][:1]
    if known.get("safety") == "yes":
        return [] if "safety_kind" in known else ["safety_kind"]
    if is_mere_question(reading):
        return [qid for qid in ("safety",) if qid not in known]
    sound = [] if SAFETY in known else [SAFETY]
    if (not reading.readable or _is_torn(complaint)) and COMPLAINT not in known:
        return [*sound, COMPLAINT]
    return [qid for qid in FIXED_ORDER if qid not in known and _applies(qid, reading, complaint, known)]


def _is_torn(complaint: Complaint) -> bool:
    """Whether loose and tight were said of one place, and nothing else was complained of: which, is asked."""
    return bool(complaint.clashing) and all(cell.balance == "fine" for cell in complaint.cells)


def follow_ups_open(known: Mapping[str, str], knowledge: Knowledge) -> list[str]:
    """List what is asked next of a change: which, and how far. Any more must be worth it."""
    told = facts_of_answers({qid: choice for qid, choice in known.items() if qid != WAS_RIGHT})
    meant = [
        plain_id(qid)
        for qid, entry in knowledge.questions.items()
        if entry.topic == CHANGE and entry.when is not None and knowledge.holds(entry.when, told) is True
    ][:MOST_FOLLOW_UPS]
    return [qid for qid in meant if qid not in known]


def early_open(known: Mapping[str, str], facts: Mapping[str, Fact], knowledge: Knowledge) -> list[str]:
    """List what such a complaint is always asked before the questions are weighed: three, one of who knows nothing.

    What may stop the car is asked first, whatever else is known.
    """
    meant = [
        plain_id(qid)
        for qid, entry in knowledge.questions.items()
        if entry.early is not None
        and knowledge.holds(entry.early, facts) is True
        and (entry.when is None or knowledge.holds(entry.when, facts) is True)
    ]
    if dangers := [qid for qid in meant if qid in STOPS and qid not in known]:
        return dangers
    topic = {plain_id(qid): entry.topic for qid, entry in knowledge.questions.items()}
    unknown = {topic[qid] for qid in meant if is_unsure(known.get(qid, ""))}
    return [qid for qid in meant[:MOST_EARLY] if qid not in known and topic[qid] not in unknown]


def outlasts(qid: str, questions: Mapping[str, Question]) -> bool:
    """Whether an answer is as true after a change of the car as before it; with whom it is felt is felt anew."""
    if qid in {CAME_OF_ADVICE, TRAFFIC}:
        return qid != TRAFFIC
    question = question_of(qid, questions)
    return question is not None and question.entry.topic in OUTLAST


def sizes_open(reading: Heard, known: Mapping[str, str]) -> list[str]:
    """List the questions of how bad it is that are open; they decide how far a lever goes."""
    return [qid for qid in SIZES if qid not in known and asks_how_bad(qid, reading.complaints, known)]


def _applies(qid: str, reading: Heard, complaint: Complaint, known: Mapping[str, str]) -> bool:
    claims = reading.complaints
    changed = known.get("what_changed", NOTHING_CHANGED)
    comes_up = {
        SLIDES: not reading.readable,
        TRAFFIC: IN_TRAFFIC in reading.said.moments or is_unsure(known.get("when_in_run", "")),
        "where": any(not claim.phases for claim in claims),
        "when_in_run": any(not _stages_of(claim) for claim in claims) or _is_early(claims, reading.said),
        RIDE: OVER_BUMPS in reading.said.moments,
        "what_changed": known.get(TRAFFIC) != TRAFFIC_ONLY and CAME_OF_ADVICE not in known,
        "was_right": changed != NOTHING_CHANGED and CAME_OF_ADVICE not in known,
        "first_laps": _may_begin_otherwise(complaint),
    }
    return comes_up.get(qid, True)


def _may_begin_otherwise(complaint: Complaint) -> bool:
    """Whether the first laps were not told of, and the complaint is of late laps."""
    late = any(cell.stage == "worn" and cell.balance in {"loose", "tight"} for cell in complaint.cells)
    return late and not any(cell.stage == "fresh" for cell in complaint.cells)


def still_asked(given: tuple[tuple[str, str], ...], asked: Asked, *, just: str = "") -> tuple[tuple[str, str], ...]:
    """Drop the answers whose question no longer comes up once the other answers stand.

    just: id of the question just answered, whose answer stays.
    """
    kept = list(given)
    while True:
        gone = next((pair for pair in kept if pair[0] != just and not _comes_up(pair, kept, asked)), None)
        if gone is None:
            return tuple(kept)
        kept.remove(gone)


def _comes_up(pair: tuple[str, str], kept: list[tuple[str, str]], asked: Asked) -> bool:
    qid = pair[0]
    others = tuple(other for other in kept if other != pair)
    known = {**implied_answers(asked.heard), **asked.on_file, **dict(others)}
    reading = fold_answers(asked.heard, {name: choice for name, choice in known.items() if name != qid})
    if qid == HOW_BAD:  # it may answer for several at once
        return any(claim.severity is None for claim in reading.complaints)
    if qid in HOW_BAD_EACH:
        return asks_how_bad(qid, reading.complaints, {})
    if qid in {SLIDES, "where", "when_in_run"}:
        return _applies(qid, reading, complaint_of(reading, asked.ends), known)
    return qid != "safety_kind" or known.get("safety") == "yes"
