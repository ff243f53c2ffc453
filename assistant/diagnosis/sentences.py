"""Pieces of a driver's words put together into claims: "loose, coming off, late" is one claim.

Which place belongs to which "loose" is decided by order and punctuation, in the rules of `read_claims`; nothing here
knows cells or the track.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import reduce

from assistant.diagnosis.claim import (
    WITH_LAPS,
    Claim,
    Said,
    claim_of,
    fill_from,
    join_to,
    modifier_of,
    override,
    settle,
    when_told,
)
from assistant.diagnosis.phrases import NO_MEANING, WAS_RIGHT, Piece
from assistant.ground.names import PHASES, STAGES

IN_TRAFFIC, TRAFFIC, TRAFFIC_ONLY = "in traffic", "traffic", "traffic-only"
"""The moment near another car, and the question whether it is felt alone as well."""
MANY = 3
"""From so many changes at once on, nobody can say which of them did it."""
WHAT_CHANGED = "what-changed"
SEVERAL = "several"
LAST_CHANGE = "last-change"
MADE_IT_WORSE = frozenset({"got worse", "gotten worse", "worse"})
"""Right behind a change these say what it did, not that it comes on with the laps."""
NOTHING = ((), "", None, False)
"""What a claim holds where nothing was said."""
CAME_WITH_IT = NO_MEANING.model_copy(update={"answers": {LAST_CHANGE: "worse"}})


@dataclass(frozen=True)
class _Segment:
    """What stands between two breaks. joiner: the break before it. last: no balance follows in the sentence."""

    joiner: str
    sentence: int
    marks: tuple[Piece, ...]
    last: bool = False


@dataclass(frozen=True)
class _Run:
    """State while reading: claims so far, and what was said ahead of the next claim in this sentence."""

    claims: tuple[Claim, ...] = ()
    ahead: Claim = field(default_factory=Claim)
    forward: bool = False
    sentence: int = -1


def read_claims(pieces: tuple[Piece, ...], laps: Mapping[str, float]) -> Said:
    """Put the pieces together.

    A place behind a balance belongs to it ("loose off"); one before the first belongs to it and to those after it that
    name no other ("late in the run tight in, loose off"). A part without a balance ("..., worn, 3") belongs to every
    claim of its sentence that lacks it, or joins the last one after "and" ("in and off").
    """
    pieces, run = tuple(_with_what_it_did(pieces)), _Run()
    for segment in _segments(pieces):
        if segment.sentence != run.sentence:
            told = run.sentence < 0 or bool(run.claims)  # "I hate it going into 3. the tail wants to pass me"
            ahead = Claim() if told else run.ahead
            run = replace(run, ahead=ahead, forward=False, sentence=segment.sentence)
        balances = [mark for mark in segment.marks if mark.meaning.balance]
        run = _read_balances(segment, run, laps) if balances else _read_places(segment, run, laps)
    marks = [piece for piece in pieces if piece.kind == "mark"]
    plain = _undenied(pieces)
    claims = settle(run.claims)
    symptoms = _unique(mark.meaning.symptom for mark in plain if mark.meaning.symptom)
    when = when_told(run.ahead) if symptoms and not claims else {}
    return Said(
        claims,
        symptoms,
        _unique(piece.meaning.safety for piece in plain if piece.meaning.safety),
        _unique(mark.meaning.moment for mark in marks if mark.meaning.moment),
        _unique([*_unread(pieces, claims), *_odd_numbers(marks)]),
        _unique(mark.text for mark in marks if mark.meaning.end in {"turn", "first", "second"}),
        left_open=_unique(_left_open(pieces, claims)),
        answers=when | _answers_in(pieces, claims),
        changes=_unique(piece.text for piece in pieces if piece.kind == "change"),
    )


def _answers_in(pieces: tuple[Piece, ...], claims: tuple[Claim, ...]) -> dict[str, str]:
    """Return the answers the words give to questions of the pack; one that they answer in two ways is left to ask."""
    said: dict[str, set[str]] = {}
    for piece in _affirmed(_about_this_car(pieces)):
        for question, choice in (piece.meaning.answers or {}).items():
            said.setdefault(question, set()).add(choice)
    if _is_only_in_traffic(pieces) and len({claim.balance for claim in claims if claim.is_complaint}) == 1:
        said.setdefault(TRAFFIC, set()).add(TRAFFIC_ONLY)
    if any(claim.balance == "fine" and claim.past for claim in claims):
        said.setdefault(WAS_RIGHT, {"yes"})
    if _comes_with_change(pieces):
        said.setdefault(LAST_CHANGE, {"worse"})
    changes = [piece.meaning.answers or {} for piece in pieces if piece.kind == "change"]
    if sum(change not in changes[:at] for at, change in enumerate(changes)) >= MANY:
        said = {question: choices for question, choices in said.items() if not any(question in one for one in changes)}
        if "nothing" not in said.get(LAST_CHANGE, ()):  # else they were tried against it, and did not make it
            said[WHAT_CHANGED] = {SEVERAL}
    return {question: min(choices) for question, choices in said.items() if len(choices) == 1}


def _with_what_it_did(pieces: tuple[Piece, ...]) -> Iterator[Piece]:
    """Take "got worse", "got looser" right behind a change to be of the change: "took wedge out and it got worse"."""
    is_behind = False
    for piece in pieces:
        if is_behind and piece.text in MADE_IT_WORSE:
            yield replace(piece, kind="mark", meaning=CAME_WITH_IT)
        elif is_behind and piece.meaning.trend and piece.text.startswith("got "):
            since = {"usual_stages": None, "trend": None, "answers": CAME_WITH_IT.answers}
            yield replace(piece, meaning=piece.meaning.model_copy(update=since))
        else:
            yield piece
        is_behind = piece.kind == "change" or (is_behind and piece.kind == "break")


def _affirmed(pieces: Iterable[Piece]) -> Iterator[Piece]:
    """Leave out what is denied right before it: "not a snap"."""
    denied = False
    for piece in pieces:
        if not denied or piece.kind != "mark":
            yield piece
        denied = piece.kind == "mark" and bool(piece.meaning.negates)


def _comes_with_change(pieces: tuple[Piece, ...]) -> bool:
    """Whether a complaint is told with "now" behind a change, or as worse with it: "took a round out, now loose"."""
    if any(one.kind == "change" and one.text.startswith("worse") for one in pieces):
        return True
    kinds = [
        "change" if one.kind == "change" else "now" if one.text == "now" else one.meaning.balance for one in pieces
    ]
    changed = kinds.index("change") if "change" in kinds else len(kinds)
    now = kinds.index("now", changed) if "now" in kinds[changed:] else len(kinds)
    return not {"loose", "tight"}.isdisjoint(kinds[now:])


def _is_only_in_traffic(pieces: tuple[Piece, ...]) -> bool:
    """Whether "only" stands in one clause with what is felt in traffic: "only pushes behind somebody"."""
    only = False
    for piece in pieces:
        only = piece.kind != "break" and (only or piece.text == "only")
        if only and piece.meaning.moment == IN_TRAFFIC:
            return True
    return False


def _about_this_car(pieces: tuple[Piece, ...]) -> Iterator[Piece]:
    """Leave out what is said of another car."""
    elsewhere = False
    for piece in pieces:
        elsewhere = piece.kind != "break" and (elsewhere or bool(piece.meaning.elsewhere))
        if not elsewhere:
            yield piece


def _segments(pieces: tuple[Piece, ...]) -> list[_Segment]:
    segments: list[_Segment] = []
    joiner, sentence, marks, is_of_part = "", 0, list[Piece](), False
    for piece in (*pieces, Piece("break", ".")):
        is_of_part |= piece.kind in {"danger", "doubt"} or bool(piece.meaning.safety)
        if piece.kind == "mark" and not piece.meaning.nothing:
            marks.append(piece)
        elif piece.kind == "break":
            if is_of_part and not any(mark.meaning.balance for mark in marks):
                marks = []  # where and when a part shakes or smokes is no place of the handling
            if marks:
                segments.append(_Segment(joiner, sentence, tuple(marks)))
                marks, joiner = [], piece.text
            else:
                joiner = piece.text if piece.text != "," or not joiner else joiner
            sentence += piece.text == "."
            is_of_part = False
    return [replace(one, last=not _balance_follows(one, segments[at + 1 :])) for at, one in enumerate(segments)]


def _balance_follows(segment: _Segment, later: list[_Segment]) -> bool:
    return any(one.sentence == segment.sentence and any(mark.meaning.balance for mark in one.marks) for one in later)


def _read_balances(segment: _Segment, run: _Run, laps: Mapping[str, float]) -> _Run:
    marks = segment.marks
    at = [place for place, mark in enumerate(marks) if mark.meaning.balance]
    places = [mark for mark in marks if _is_place(mark)]
    ends_with_balance = not any(_is_place(mark) for mark in marks[at[-1] + 1 :])
    forward = len(at) > 1 and _is_place(marks[0]) and ends_with_balance and len(places) >= len(at)
    claims: list[Claim] = []
    waiting, carried, denied = Claim(), run.ahead, False
    for place, mark in enumerate(marks):
        if mark.meaning.elsewhere:
            break
        if mark.meaning.balance:
            claim = join_to(claim_of(mark, run.sentence, laps), waiting)
            claims.append(_deny(claim, softly=waiting.severity is not None and not waiting.past) if denied else claim)
            waiting, denied = Claim(), False
        elif mark.meaning.negates:
            denied = True
            waiting = replace(waiting, past=bool(mark.meaning.past))
        elif not claims or forward or _belongs_ahead(marks, place):
            waiting = join_to(waiting, modifier_of(mark, laps))
            if not claims and not forward and not mark.meaning.leads:
                carried = override(carried, replace(modifier_of(mark, laps), severity=None))
        else:
            claims[-1] = join_to(claims[-1], modifier_of(mark, laps))
    if not claims:
        return run
    claims[-1] = join_to(claims[-1], waiting)
    here = any(claim.sentence == run.sentence for claim in run.claims)
    claims[0] = replace(claims[0], added=here and segment.joiner in {"and", "plus"})
    if run.claims and segment.joiner == "then" and _was_fine_till_now(run.claims[-1], claims[0]):
        run = replace(run, claims=(*run.claims[:-1], replace(run.claims[-1], past=True)))
        carried = replace(carried, stages=())
    goes_on = not claims[0].usual_stages and _was_fine_for_a_time(run.claims[-1] if run.claims else Claim())
    if run.claims and (segment.joiner == "then" or goes_on):
        claims[0], carried = _follow(claims[0], run.claims[-1], carried)
    filled = [fill_from(claim, carried) for claim in claims]
    return replace(run, claims=(*run.claims, *filled), ahead=carried)


def _was_fine_till_now(before: Claim, claim: Claim) -> bool:
    """Whether it was fine all along before it did this: "good all night, then it got tight"."""
    return before.balance == "fine" and before.stages == STAGES and claim.is_complaint and not claim.stages


def _was_fine_for_a_time(before: Claim) -> bool:
    """Whether it was said to be fine at first: "perfect for 10 laps, a little loose off" is loose off later."""
    return (
        before.balance == "fine"
        and "fresh" in before.stages
        and not (before.phases or before.denied or before.improves)
    )


def _follow(claim: Claim, before: Claim, carried: Claim) -> tuple[Claim, Claim]:
    """Read "first five laps it is free, then it tightens up" as later, but "tight in, then loose off" as a place."""
    one_run = claim.sentence == before.sentence and before.stages and not claim.stages
    if not one_run or ((before.phases or before.hinted) and (claim.phases or claim.hinted)):
        return claim, carried
    later = STAGES[STAGES.index(before.stages[-1]) + 1 :]
    return (replace(claim, stages=later), replace(carried, stages=later)) if later else (claim, carried)


def _deny(claim: Claim, *, softly: bool) -> Claim:
    """Deny a claim; "not very loose" only makes it slight."""
    return replace(claim, severity=1.0) if softly else replace(claim, denied=True)


def _is_place(mark: Piece) -> bool:
    meaning = mark.meaning
    return not meaning.balance and bool(meaning.phase or meaning.stages or meaning.end or meaning.laps)


def _belongs_ahead(marks: tuple[Piece, ...], place: int) -> bool:
    """Tell whether a mark speaks of the balance behind it: "starts", or a severity right before it ("very loose")."""
    mark = marks[place].meaning
    if mark.leads:
        return any(later.meaning.balance for later in marks[place + 1 :])
    if not mark.severity:
        return False
    following = next((later for later in marks[place + 1 :] if not later.meaning.severity), None)
    return following is not None and bool(following.meaning.balance)


def _read_places(segment: _Segment, run: _Run, laps: Mapping[str, float]) -> _Run:
    """Attach a part without a balance to the claims it speaks of, or keep it for the next one."""
    mods = [modifier_of(mark, laps) for mark in segment.marks if not mark.meaning.negates]
    if not mods or all(mod == Claim() for mod in mods):
        return run
    mod = reduce(join_to, mods)
    if any(mark.meaning.past for mark in segment.marks) and not run.claims:
        return run  # "hot laps was greasy, ...": what was is no time of what is
    if any(mark.meaning.negates for mark in segment.marks) and run.claims and _is_placed(mod):
        past = any(mark.meaning.past for mark in segment.marks)  # "used to drive in there deep"
        return replace(run, claims=_leave_out(run.claims, replace(mod, sentence=run.sentence, past=past), segment))
    here = [claim for claim in run.claims if claim.sentence == run.sentence]
    first_of_sentence = not here and segment.joiner in {"", "."}
    leads_on = segment.joiner in {"but", "however", "then"} or first_of_sentence  # "off is terrible, pushes if ..."
    for_later = run.forward or (leads_on and not segment.last)
    if not run.claims or for_later:
        return replace(run, ahead=override(run.ahead, mod), forward=True)
    *others, last = run.claims
    if last.balance == "fine" and not last.denied and _is_trouble(segment.marks):
        claims = (*others, _before_trouble(last, mod))
    elif last.balance == "fine" and mod.severity is not None and mod.phases:
        bad = replace(mod, balance="fine", denied=True, sentence=run.sentence, text=_say(segment))
        claims = (*run.claims, bad)  # "good in, the middle is bad": nobody says what it does
    elif last.is_complaint and mod.severity is not None and mod.stages and {*mod.stages} < {*last.stages}:
        claims = (*run.claims, replace(last, stages=mod.stages, severity=mod.severity))  # "all run, bad at the end"
    elif segment.joiner in {"and", "then", "plus"} and here:
        claims = (*others, join_to(last, mod))
    else:
        claims = _give(run.claims, [claim.sentence == last.sentence for claim in run.claims], mod)
    return replace(run, claims=claims, ahead=mod if first_of_sentence else run.ahead)


def _is_placed(mod: Claim) -> bool:
    return bool(mod.phases or mod.hinted or mod.stages or mod.end)


def _leave_out(claims: tuple[Claim, ...], mod: Claim, segment: _Segment) -> tuple[Claim, ...]:
    """Read "loose off, but not in the middle" as fine there, and "good, but not in the middle" as anything but fine."""
    *others, last = claims
    whole, denied = last, last.balance == "fine"
    if mod.phases and last.phases in {(), PHASES}:
        whole = replace(last, phases=tuple(one for one in PHASES if one not in mod.phases) if denied else ())
    return (*others, whole, replace(mod, balance="fine", denied=denied, text=_say(segment)))


def _say(segment: _Segment) -> str:
    return " ".join(mark.text for mark in segment.marks if not mark.meaning.negates)


def _is_trouble(marks: Iterable[Piece]) -> bool:
    """Whether something gets worse with the laps, and no balance is said of it."""
    return any(mark.meaning.trend == "worse" and not mark.meaning.balance for mark in marks)


def _before_trouble(fine: Claim, mod: Claim) -> Claim:
    """Read "it is fine, but fades at the end" as fine until then; mod: when the trouble is."""
    then = mod.stages or mod.usual_stages or WITH_LAPS
    return fine if fine.stages else replace(fine, stages=tuple(stage for stage in STAGES if stage not in then))


def _give(claims: tuple[Claim, ...], group: list[bool], mod: Claim) -> tuple[Claim, ...]:
    """Give each said attribute to the claims of the group that lack it; to the last claim when none lacks it."""
    given = list(claims)
    for name in ("phases", "hinted", "stages", "end", "severity", "usual_stages", "grows"):
        value = getattr(mod, name)
        if value in NOTHING:
            continue
        lacking = [at for at, inside in enumerate(group) if inside and getattr(given[at], name) in NOTHING]
        if name in {"phases", "hinted"} and lacking != [at for at, inside in enumerate(group) if inside]:
            lacking = []
        one = replace(Claim(), **{name: value})
        for at in lacking or [len(given) - 1]:
            given[at] = join_to(given[at], one)
    return tuple(given)


def _undenied(pieces: tuple[Piece, ...]) -> list[Piece]:
    kept, denied = [], False
    for piece in pieces:
        if piece.kind == "break":
            denied = False
        elif piece.kind == "mark" and piece.meaning.negates:
            denied = True
        elif piece.kind == "danger":  # what denies it was looked for where it was found
            kept.append(piece)
        elif piece.kind == "mark":
            if not (denied and (piece.meaning.symptom or piece.meaning.safety)):
                kept.append(piece)
            denied = denied and not piece.meaning.balance
    return kept


def _unread(pieces: tuple[Piece, ...], claims: tuple[Claim, ...]) -> list[str]:
    """Return the words nobody could read, and those that leave something open."""
    return [*(piece.text for piece in pieces if piece.kind == "word"), *_left_open(pieces, claims)]


def _left_open(pieces: tuple[Piece, ...], claims: tuple[Claim, ...]) -> list[str]:
    """Return the words that leave something open, with what: "slides (the nose or the tail?)".

    "Something is off" and "it falls off" leave nothing open where the rest says what.
    """
    told = any(claim.is_complaint for claim in claims)
    asking = [
        piece
        for piece in pieces
        if piece.meaning.asks and not (told and (piece.meaning.nothing or piece.meaning.trend))
    ]
    return [f"{piece.text} ({piece.meaning.asks})" for piece in asking]


def _odd_numbers(marks: list[Piece]) -> list[str]:
    bare = [mark for mark in marks if mark.meaning.severity == "bare number"]
    return [mark.text for mark in bare if not (mark.numbers and 1 <= mark.numbers[0] <= 5)]


def _unique(names: object) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))  # type: ignore[call-overload]
