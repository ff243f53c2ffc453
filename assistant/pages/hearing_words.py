"""What an interview says: what was read, said back to be confirmed; what is no answer; what more questions are worth.

Of what was read, each place that has something of its own is a part of the sentence, in the order of the run and then
of the corner; what all parts share (when in the run, which end, how bad) is said once, behind them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from assistant.diagnosis.claim import Claim
from assistant.diagnosis.questions import NOTHING_CHANGED, PARTS, is_unsure, looks_like_a_move, question_of
from assistant.diagnosis.replies import OF_PARTS, answers_meant
from assistant.diagnosis.sentences import SEVERAL
from assistant.ground.names import (
    PHASE_WORDS,
    PHASES,
    STAGE_SHORT,
    STAGE_WORDS,
    STAGES,
    quoted,
    say_chance,
    when_words,
    where_words,
)
from assistant.ground.understood import (
    COLD_TIRES,
    FUMES,
    SMOKE,
    UNDER_A_CAR,
    UNSEATED,
    UNWELL,
    USUAL_SEVERITY,
    Complaint,
    Sign,
    StopReason,
)
from assistant.pages import sayings

if TYPE_CHECKING:
    from assistant.diagnosis.claim import Said
    from assistant.diagnosis.plan import Plan
    from assistant.diagnosis.questions import OpenQuestion
    from assistant.diagnosis.session import Session
    from assistant.ground.understood import Cell
    from assistant.rules.knowledge import Knowledge

READ = "I read: "
COLD_LAPS = ("cold",)
"""When it is what is said of cold tires, or after a restart, is felt."""
TAKEN_ONE = " Left out: {}. It is one thing that is asked for."
NOTHING_READ = "I could not read a complaint about the car in that"
MOST_TYPED = 40
"""Letters of a line that are said back as no answer."""
FOR_THE_DRIVER = (
    "Driver out of the car and into fresh air and shade; who feels ill or dizzy drives no more today and sees the "
    "medical people."
)
OUT_FROM_UNDER = "Everybody out from under it now, before a hand goes to anything else; then stands under the car."
STAND_CLEAR = "Off the tire and well clear of it. Let the air out, put no more in, and leave it to people with a cage."
HEARD_BESIDE = {
    **{("when_in_run", STAGE_SHORT[stage]): words for stage, words in STAGE_WORDS.items()},
    ("how-often", "every-lap"): "every lap",
    ("how-often", "sometimes"): "not every lap",
    ("how-often", "once"): "only once",
    ("was-right", "yes"): "it was right before",
    ("was-right", "never"): "it was never right",
    ("what-changed", "nothing"): "nothing was changed",
    ("traffic", "traffic-only"): "only near other cars",
    ("traffic", "always"): "alone as well",
    ("moment", "braking"): "on the brakes",
    ("moment", "bumps"): "over the bumps",
    ("moment", "rf goes away"): "it is the RF that goes away",
    ("moment", "rr goes away"): "it is the RR that goes away",
    ("rf_edge", "outside"): "RF hottest outside",
    ("rf_edge", "inside"): "RF hottest inside",
    ("rf_edge", "middle"): "RF hottest in the middle",
    ("rf_edge", "both-edges"): "RF coolest in the middle",
    ("rf_edge", "even"): "RF even",
    ("rr_edge", "one-edge"): "RR hottest at one edge",
    ("rr_edge", "middle"): "RR hottest in the middle",
    ("rr_edge", "both-edges"): "RR coolest in the middle",
    ("rr_edge", "even"): "RR even",
    ("tire_heat", "rf"): "RF hotter than RR",
    ("tire_heat", "rr"): "RR hotter than RF",
    ("tire_heat", "level"): "RF and RR as hot",
    ("pressures_hot", "rr-high"): "RR pressure high",
    ("pressures_hot", "rf-high"): "RF pressure high",
    ("pressures_hot", "all-high"): "all pressures high",
    ("pressures_hot", "low"): "pressure low",
    ("pressures_hot", "usual"): "pressures as usual",
    ("stagger_hot", "grown"): "more stagger than it should be",
    ("stagger_hot", "closed"): "less stagger than it should be",
    ("stagger_hot", "as-set"): "stagger as it should be",
}
"""Answers that a driver's words gave, as they are said back."""
BESIDE = {
    "tire off": (
        "A tire that is blistered or chunked comes off before the car runs again: let the tire maker's people look at "
        "it."
    ),
    "not checked": (
        "Nobody has looked closely at the car yet: walk round it before it moves again. "
        "If anything is bent, loose, leaking or rubbing, stop here."
    ),
    "looked over": (
        "You told of a danger and nothing was found: try brakes, throttle and steering at walking pace before it runs, "
        "and stop at the first sign of it."
    ),
}
"""What an interview has to say beside its advice."""
SIGNS = {
    "": "{text}",
    "described": "You described it yourself: {text}.",
    "corner named": "It is the {text} you named.",
    "no change told": "Only a change makes it, and nobody told of one before the trouble.",
    "done in vain": "What cures it was done, and did not help.",
    "made in vain": "What was changed since would have cured it, and did not help.",
    "other half": "It does not explain the {text} half of the complaint.",
    "answer": "'{text}' was told ({asked})",
    "no sign": "'{text}' was told, which is no sign of it ({asked})",
    "not against": "'{text}' was told, and nothing that would speak against it ({asked})",
    "told": "You said: {text}.",
    "made it": "Computed on plausible cars, '{text}' makes what is complained of.",
    "did not make it": "Computed on plausible cars, '{text}' does not make this, or makes the opposite.",
    "computed": "Computed on plausible cars that are off by this: how well they do what was said and measured.",
}
ALL_FINE = "I read: it is fine, so there is nothing to change. Say what it does where it is not, or quit."
FINE_SO_FAR = "I read: it is fine; not understood: {}. Say in other words what it does where it is not, or quit."
CLASH = "loose and tight are both said of one place: which is it, and when in the run"
NOT_READ = "all after word {} (looked through only for signs of danger)"
HOW_TO_MOVE = "Type back, back and a number, or change and the number of an answer."


def say_back(complaint: Complaint, unsaid: float = USUAL_SEVERITY, lead: str = READ) -> str:
    """Say what was read, so that the driver can put it right before it is used.

    unsaid: the severity taken where none was said. lead: what stands before anything read.
    """
    claims = _as_told(_claims_in(complaint.cells), complaint.told_first)
    if COLD_TIRES in complaint.moments:
        claims = [replace(one, stages=COLD_LAPS) if one.stages == STAGES[:1] else one for one in claims]
    torn = [CLASH] if complaint.clashing else []
    first = _say_read(claims, complaint.other, lead) if claims or complaint.other or not torn else lead + torn.pop()
    clauses = [first, *torn, *_say_beside(complaint), *_say_unsaid(claims, unsaid)]
    words = [word for word in complaint.not_understood if word not in complaint.clashing]
    if unread := list_unread(words, complaint.cut):
        clauses.append("not understood: " + ", ".join(unread))
    return "; ".join(clauses) + "."


def _claims_in(cells: Sequence[Cell]) -> tuple[Claim, ...]:
    """Put cells that agree together; two ends of a corner with something else between them are two claims.

    A whole corner or run that nobody said is left empty.
    """
    boxes: dict[tuple[Any, ...], dict[str, list[str]]] = {}
    for cell in cells:
        severity = cell.severity if cell.severity_given and cell.balance != "fine" else None
        key = (cell.balance, severity, cell.end, cell.where_given, cell.when_given)
        boxes.setdefault(key, {}).setdefault(cell.stage, []).append(cell.phase)
    claims: list[tuple[tuple[int, int], Claim]] = []
    for (balance, severity, end, where, when), by_stage in boxes.items():
        for phases, stages in _boxes(by_stage):
            between = any(one.phase == "middle" and one.stage in stages for one in cells)
            split = phases == ("entry", "exit") and between
            for one in [(phase,) for phase in phases] if split else [phases]:
                said = Claim(
                    balance,
                    phases=() if one == PHASES and not where else one,
                    stages=() if stages == STAGES and not when else stages,
                    end=end or "",
                    severity=severity,
                )
                claims.append(((STAGES.index(stages[0]), PHASES.index(one[0])), said))
    return tuple(claim for _, claim in sorted(claims, key=lambda one: one[0]))


def _boxes(by_stage: Mapping[str, Sequence[str]]) -> list[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Return (phases, stages) of each set of stages that has the same phases."""
    found: dict[tuple[str, ...], list[str]] = {}
    for stage in STAGES:
        if stage in by_stage:
            phases = tuple(phase for phase in PHASES if phase in by_stage[stage])
            found.setdefault(phases, []).append(stage)
    return [(phases, tuple(stages)) for phases, stages in found.items()]


def _as_told(claims: Sequence[Claim], first: str) -> Sequence[Claim]:
    """Put the one of two opposite complaints first that was told first."""
    opposite = [one.balance for one in claims] in (["loose", "tight"], ["tight", "loose"])
    return claims[::-1] if opposite and claims[0].balance != first else claims


def _say_beside(complaint: Complaint) -> list[str]:
    """Say what was heard beside the complaint: how often, whether it was right before, what was changed, a question."""
    told = (*complaint.answers, *(("moment", one) for one in complaint.moments))
    said = ["and it gets worse"] if complaint.grows else []
    said += [HEARD_BESIDE[one] for one in told if one in HEARD_BESIDE]
    said += [f"changed: {', '.join(complaint.changes)}"] if complaint.changes else []
    return [*said, *([f"you ask {quoted(complaint.question.rstrip('?') + '?')}"] if complaint.question else [])]


def list_unread(words: Sequence[str], cut: int) -> list[str]:
    """List what was not understood, and from which word on nothing was read."""
    return [*words, *([NOT_READ.format(cut)] if cut else [])]


def say_fine(said: Said) -> str:
    """Say that nothing is complained of in the words, as far as they are understood."""
    unread = list_unread(said.unread, said.cut)
    return FINE_SO_FAR.format(", ".join(unread)) if unread else ALL_FINE


def why_nothing(said: Said, words: str) -> str:
    """Say why there is nothing to work on in words typed behind a command."""
    if said.left_open:
        return f"that leaves open: {', '.join(said.left_open)}"
    fine = any(claim.balance == "fine" and not claim.denied for claim in said.claims)
    return "it is fine in these words, so there is nothing to change" if fine else f"nobody can read {words!r}"


def _say_read(claims: Sequence[Claim], other: Sequence[str], lead: str) -> str:
    if not claims:
        return lead + _join(other) if other else NOTHING_READ
    said = _say_claims(claims)
    return f"{lead}{said}" + (f", and {_join(other)} as well" if other else "")


def _say_claims(claims: Sequence[Claim]) -> str:
    """Say the claims one after the other, and what they share behind them."""
    bad = [one for one in claims if one.balance != "fine"]
    one_time = len({one.stages for one in claims}) == 1
    one_end = len({one.end for one in claims}) == 1
    one_place = {one.phases for one in claims} == {tuple(PHASE_WORDS)} and not (one_time and one_end)
    one_severity = len(bad) == len(claims) and len({one.severity for one in bad}) == 1
    texts = []
    for one in claims:
        words = [one.balance if one_place else place_of(one)]
        words += [] if one_time or not one.stages else [when_words(one.stages)]
        words += [f"at {one.end}"] if one.end and not one_end else []
        words += [f"({_half(one.severity):g} of 5)"] if one.severity is not None and not one_severity else []
        texts.append(" ".join(words))
    shared = [where_words(tuple(PHASE_WORDS))] if one_place else []
    shared += [when_words(claims[0].stages)] if one_time and claims[0].stages else []
    shared += [f"at {claims[0].end}"] if one_end and claims[0].end else []
    if one_severity and claims[0].severity is not None:
        shared.append({1: "", 2: "both "}.get(len(claims), "all ") + f"{_half(claims[0].severity):g} of 5")
    return ", ".join([_join(texts), *shared])


def _half(severity: float) -> float:
    """Round how bad it is to halves: what is left of a complaint is no whole number."""
    return round(2.0 * severity) / 2.0


def _say_unsaid(claims: Sequence[Claim], unsaid: float) -> list[str]:
    """Say of which complaints nobody said how bad they are, and what is taken instead."""
    bad = [one for one in claims if one.balance != "fine"]
    open_ones = [one for one in bad if one.severity is None]
    if not open_ones:
        return []
    if len(open_ones) == len(bad):
        return [f"how bad was not said, so I take {unsaid:g} of 5"]
    said = {place_of(one) for one in bad if one.severity is not None}
    named = dict.fromkeys(_place_and_time(one) if place_of(one) in said else place_of(one) for one in open_ones)
    return [f"how bad was not said for {_join(list(named))}, so I take {unsaid:g} of 5 there"]


def _join(words: Sequence[str]) -> str:
    """List words; a comma stands before the last "and" when one of them holds an "and" of its own."""
    if len(words) == 1:
        return words[0]
    return ", ".join(words[:-1]) + (", and " if any(" and " in one for one in words) else " and ") + words[-1]


def place_of(claim: Claim) -> str:
    """Say balance and place, without the time."""
    return f"{claim.balance} {where_words(claim.phases)}".strip()


def _place_and_time(claim: Claim) -> str:
    return f"{place_of(claim)} {when_words(claim.stages)}".strip()


def say_about(claim: Claim) -> str:
    """Name a complaint in a question about it: "Loose coming off", with the time where it is not all run long."""
    named = place_of(claim) if claim.stages == tuple(STAGE_WORDS) else _place_and_time(claim)
    return f"{named[0].upper()}{named[1:]}"


def sentences_of(text: str) -> list[str]:
    """Split what is asked into its sentences."""
    return re.split(r"(?<=[.?]) ", text)


def say_question(question: OpenQuestion) -> str:
    """Say a question, with the complaint it is about named where there are several."""
    if question.about is None:
        return question.entry.asks
    return f"{say_about(question.about)}: {question.entry.asks[0].lower()}{question.entry.asks[1:]}"


def say_answers(session: Session) -> list[tuple[str, str]]:
    """Say each question and its answer; of a car said to be sound under other words, which these were."""
    since = f' (said before, of "{session.sound_since}")' if session.sound_since else ""
    found = [(say_question(one.question), one.says) for one in session.answered()]
    return [(asked, f"{says}{'' if at else since}") for at, (asked, says) in enumerate(found)]


def say_sign(sign: Sign) -> str:
    """Say what speaks for or against a cause."""
    return SIGNS[sign.kind].format(text=sign.text, asked=next(iter(sentences_of(sign.asked)), ""))


def left_out(typed: str, question: OpenQuestion, known: Mapping[str, str], knowledge: Knowledge) -> list[str]:
    """Say what a line tells to have been changed besides the one thing that was taken: "pads and bias both"."""
    found = []
    is_of_one = known.get("what_changed", NOTHING_CHANGED) not in {SEVERAL, NOTHING_CHANGED}
    for part in PARTS.split(typed) if is_of_one and OF_PARTS.match(question.id) else ():
        told = answers_meant(part.strip(), question, knowledge)
        other = [(qid, one) for qid, one in told.items() if OF_PARTS.match(qid) and one != known.get(qid)]
        is_kept = any(qid != "what_changed" and known.get(qid) == one for qid, one in told.items())
        is_thing = not any(is_unsure(one) or one in {SEVERAL, NOTHING_CHANGED} for _, one in other)
        if is_thing and not is_kept and any(qid in known for qid, _ in other):
            asked = question_of(other[-1][0], knowledge.questions)
            found += [] if asked is None else [asked.choice(other[-1][1])]
    return list(dict.fromkeys(one.says for one in found if one))


def say_taken(typed: str, before: Session, session: Session) -> str:
    """Say which answers words were taken for that are none as they stand ("kinda bad"), and what was left out."""
    told, asked = set(before.given), before.next_question()
    new = [one for one, pair in zip(session.answered(), session.given, strict=False) if pair not in told]
    of_others = [one for one in new if asked is None or one.question.id != asked.id]
    taken = [f"{say_question(one.question)} {one.says}" if one in of_others else one.says for one in new]
    rest = [] if asked is None else left_out(typed, asked, session.known, session.knowledge)
    if not taken or (not rest and typed.strip().lower() in " ".join(taken).lower()):
        return ""
    return sayings.TAKEN_AS.format("; ".join(taken)) + (TAKEN_ONE.format("; ".join(rest)) if rest else "")


def say_no_answer(typed: str) -> str:
    """Say that a line is none of the answers."""
    shown = " ".join(typed.split())[:MOST_TYPED]
    return HOW_TO_MOVE if looks_like_a_move(typed) else f"'{shown}' is none of the answers."


def say_plan(plan: Plan) -> str:
    """Say how many more questions the best plan would need."""
    if plan.nothing == "no cause":
        return "There is nothing to ask: the pack has no cause for this complaint."
    if plan.nothing == "no question":
        return "No open question would tell the causes apart."
    if plan.nothing == "sure":
        return "No more questions: the cause is as good as sure."
    if plan.nothing == "price":
        return "No more questions: no answer is expected to change the list enough to be worth asking for."
    return f"The next question is expected to make the list better by {100 * plan.gain:.0f} points of 100."


def say_why_asked(question: OpenQuestion) -> str:
    """Say what a question is asked for; "" where nothing is known of it."""
    if question.tells_apart is None:
        return question.entry.why or ""
    return "It tells '{}' from '{}'.".format(*question.tells_apart)


def say_stop(stop: StopReason) -> str:
    """Say what to do first, and why; people come before the car."""
    named = ", ".join(stop.signs) or "one of the signs that something is wrong"
    named = f"brake pedal {named}" if stop.question == "pedal" else named
    named = named if stop.chance is None else f"{named}, {say_chance(stop.chance)}"
    people = f"{OUT_FROM_UNDER} " if UNDER_A_CAR in stop.signs else ""
    people += f"{STAND_CLEAR} " if UNSEATED in stop.signs else ""
    people += f"{FOR_THE_DRIVER} " if {UNWELL, FUMES, SMOKE} & set(stop.signs) else ""
    return (
        f"Stop and inspect before any adjustment: {named}. {people}Find and mend it first; work on stands, never on "
        "the jack alone, and leave brakes, tires and anything broken to people qualified for them."
    )
