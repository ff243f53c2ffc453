"""What is told of the car in a line of its own, anywhere in a talk: what it has not, the time there is, what was read.

What is told is a step, so undo takes it back. What the car has not is written into its case file; a reading counts in
the talk it was told in and stands in the notebook.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from assistant.advice.sizing import when_of
from assistant.car.case import Case, NotHere, Rulebook, kind_of, levers_of
from assistant.car.lever_rows import ROW_OF, lever_name
from assistant.car.moves import limit_of
from assistant.car.records import read_not_here
from assistant.car.write import write_not_here
from assistant.diagnosis.said_change import WHICH, levers_named
from assistant.ground.names import CORNER_KEYS
from assistant.ground.units import UnitProblem, read, unit_of
from assistant.ground.words import list_words
from assistant.pages import sayings
from assistant.pages.advice import FIRST_SHOWN, headline, offers_of
from assistant.pages.amounts import sentence
from assistant.pages.blocks import Block, Line
from assistant.pages.hearing_words import say_question
from assistant.pages.tires import readings_of, say_reading
from assistant.shell import changes, interview
from assistant.shell.bench import say_in_use
from assistant.shell.keep import keep_not_here, keep_readings
from assistant.shell.readings import NUMBER, reading_in, scale_in, value_in
from assistant.shell.talk_state import CarTold, TalkState

Taking = Callable[[], list[Block]]
"""Takes down what a line tells, and says so."""
LOOKED = re.compile(
    r"(?P<looked>(?:i |we )?(?:looked|checked)(?: it| that)?,? ?(?:and )?)?(?:found )?nothing(?: was)? wrong|all good"
)
FOUND = re.compile(r"(?:i |we )?found it(?:,? (?:and )?(?:it is )?(?:mended|fixed)(?: it)?)?")
_WHAT = r"(?:the |an? |any |my |our )?(?P<what>.+?)"
_CAR, _THIS = "(?:i|we|it|he|(?:the|my|this) car)", "(?:it|the car|this car|my car)"
_TOUCH = "(?:touch|change|move|adjust|use|run|alter)"
_BARRED = "(?:not (?:legal|allowed|adjustable|permitted)|illegal|banned|fixed|locked|off limits)"
_HERE = rf"(?: (?:here|there|at all|on {_THIS}|in (?:our|this|my) (?:class|series)|tonight|today))*"
NO_SUCH = (
    rf"(?:{_CAR} )?(?:(?:have got|have|has|got|runs?) )?no {_WHAT}",
    rf"{_CAR} (?:do|does) not (?:have|run|own|got) {_WHAT}",
    rf"there (?:(?:is|are) )?no {_WHAT}",
    rf"{_WHAT} (?:is|are) not (?:here|there|on {_THIS}|available|in the trailer)",
)
"""Ways to say that the car has something not; what is in the air or on the scales is never missing."""
HANDS_OFF = (
    rf"(?:i|we|you|they) (?:can|may|must|are) not (?:allowed to )?{_TOUCH} {_WHAT}",
    rf"(?:do not|never) {_TOUCH} {_WHAT}",
    rf"{_WHAT} (?:is|are) {_BARRED}",
    rf"(?:the |our )?rules? (?:do|does) not (?:allow|let us {_TOUCH}) {_WHAT}",
    rf"leave {_WHAT} alone",
    rf"hands off {_WHAT}",
)
TIMES = {
    "pit stop": (r"(?:only )?(?:an? |the )?pit[ -]?(?:stops?|s)?(?: only)?|only in the pits", ("pit stop",)),
    "between runs": (r"(?:only )?between runs(?: only)?|no (?:time in the )?shop", ("pit stop", "between runs")),
}
"""How to say that there is no more time than that, and what can be done in it."""
PARTS = re.compile(
    r"[,;.]\s+(?:(?:and|but)\s+)?|\s(?:and|but)\s|\s(?=(?:only )?(?:pit|between) ?\w* only\b)", re.IGNORECASE
)
"""Where a line may end that says what the car does, before what it has not or what time there is."""
IS_ONLY, TONIGHT = re.compile(r"\bonly\b|\bno\b"), re.compile(r"\b(?:tonight|today)\b")
BOUND = re.compile(r"\b(?:(?P<most>over|above|stiffer|more|higher|larger)|under|below|softer|less|lower|smaller)\b")
NEVER_MISSING = frozenset({"pressure", "share", "volume"})
MAY_BE_NONE = ("stagger", "toe", "caster_split", "rear_axle_lead", "bar_screw")
"""Levers of which a car may have none: 0 in, or not to be touched."""
EACH_END = {"front": CORNER_KEYS[:2], "rear": CORNER_KEYS[2:]}
NO_LEVER = frozenset({*EACH_END, "left", "right", *CORNER_KEYS})
SHOCKS = frozenset({"compression", "rebound"})
SAME = 1e-3
"""Share by which a part may be off what was said of it."""


def tell(state: TalkState, text: str) -> list[Block] | None:
    """Take a line that tells of the car; None where it does not, or where it is a reason to stop."""
    plain = _plain(text)
    looked = LOOKED.fullmatch(plain)
    if FOUND.fullmatch(plain) or (looked and (looked["looked"] or state.look)):
        return changes.found(state, is_wrong=looked is None)
    found = _time_told(state, plain) or _missing_told(state, plain) or _read_told(state, plain)
    return None if found is None or state.begin(text).stop else found()


def split_told(state: TalkState, text: str) -> tuple[str, list[Taking]]:
    """Take out of a line what the car has not and the time there is: "loose off, pit stop only"; with what is left."""
    left, found = [], []
    for part in PARTS.split(text):
        plain = _plain(part)
        taking = _time_told(state, plain) or _missing_told(state, plain)
        if taking is None:
            left.append(part)
        else:
            found.append(taking)
    return (", ".join(left), found) if found else (text, [])


def _plain(text: str) -> str:
    plain = " ".join(text.lower().replace("’", "'").split()).rstrip(".! ")
    plain = re.sub(r"\bcan(?:'t|not|t)\b", "can not", plain)
    plain = re.sub(r"\b(do|does|is|are|may|must)n'?t\b", r"\1 not", plain)
    return re.sub(r"\b(i|we|they|it|he|you|there)'(?:ve|s|re)\b", r"\1", plain)


def take_down(state: TalkState, said: str, case: Case, *, is_reading: bool = False, on_file: bool = False) -> None:
    """Let what was told of the car count, as a step that can be undone. on_file: it is written into the case file."""
    bench = state.bench
    before = CarTold(bench.case.rulebook.not_here, bench.case.at_hand, bench.case.measured, bench.read_on, on_file)
    state.step(is_fact=True, said=said, told=before)
    bench.tell(case, read_now=is_reading)
    if state.session is not None:
        state.session = replace(state.session, case=bench.case_as_read)


def go_on(state: TalkState) -> list[Block]:
    """Weigh anew with what was told: the advice where there is one; a question stays open."""
    if state.replaying:
        state.list_anew(advised=state.advised)
    if state.advice is None or state.question is not None:
        return []
    before = offers_of(state.advice)
    blocks = interview.give_advice(state)
    now = () if state.advice is None else offers_of(state.advice)
    levers = state.bench.knowledge.levers
    listed = [[headline(one, levers, state.system) for one in offers[:FIRST_SHOWN]] for offers in (before, now)]
    return [Line(sayings.SAME_LIST)] if listed[0] == listed[1] else blocks


# the time there is


def _time_told(state: TalkState, plain: str) -> Taking | None:
    when = next((when for when, (words, _) in TIMES.items() if re.fullmatch(words, plain)), None)
    return None if when is None or not IS_ONLY.search(plain) else lambda: _take_time(state, when)


def _take_time(state: TalkState, when: str) -> list[Block]:
    """Leave out what takes longer, for this talk, and name what is left."""
    bench, case, can = state.bench, state.bench.case, TIMES[when][1]
    if case.at_hand == when and any(one.tonight for one in case.rulebook.not_here):
        return [Line(sayings.KNOWN)]
    known = bench.knowledge.levers
    late = [lever for lever in levers_of(case.setup) if lever in known and when_of(known[lever], case) not in can]
    out = (*case.rulebook.not_here, *(NotHere(lever, tonight=True) for lever in late))
    told = replace(case, at_hand=when, rulebook=replace(case.rulebook, not_here=out))
    left = [lever for lever in levers_of(case.setup) if limit_of(told.rulebook, told.car, lever) is not None]
    words = dict.fromkeys(ROW_OF[lever].word if lever in ROW_OF else lever_name(lever) for lever in left)
    take_down(state, sayings.ONLY.format(when), told)
    return [Line(sayings.LEFT.format(when.capitalize(), list_words(words))), *go_on(state)]


# what the car has not


def _missing_told(state: TalkState, plain: str) -> Taking | None:
    """Read what the car has not, or what may not be touched."""
    tonight = bool(TONIGHT.search(plain))
    for pattern in (*NO_SUCH, *HANDS_OFF):
        match = re.fullmatch(f"{pattern}{_HERE}", plain)
        is_missing = pattern in NO_SUCH
        if match and (found := _missing(state, match["what"], is_missing=is_missing, tonight=tonight)):
            return found
    return None


def _missing(state: TalkState, what: str, *, is_missing: bool, tonight: bool) -> Taking | None:
    """Find the levers, or the parts of them, that are meant; all of a list must be levers."""
    bare = BOUND.sub(" ", re.sub(r"\b(?:than|no)\b", " ", what))
    parts = [_levers_meant(state, part) for part in re.split(r",| and | or ", bare) if re.search("[a-z]", part)]
    levers = tuple(dict.fromkeys(lever for part in parts for lever in part))
    kinds = {kind_of(lever, state.bench.case.setup) for lever in levers}
    if not parts or not all(parts) or (is_missing and kinds & NEVER_MISSING):
        return None
    if why := _why_unclear(parts, levers):
        return lambda: [Line(why)]
    if re.search(r"\d", what):
        return lambda: _leave_out(state, _parts_meant(state, levers, what, tonight=tonight), what)
    if is_missing and levers[0] in MAY_BE_NONE:
        return lambda: [Line(sayings.NONE_OR_NOT.format(lever_name(levers[0])))]
    return lambda: _leave_out(state, [NotHere(lever, tonight=tonight) for lever in levers], what)


def _levers_meant(state: TalkState, part: str) -> tuple[str, ...]:
    """Find what a name is that of, "rear springs" at each end of the axle."""
    setup, knowledge = state.bench.case.setup, state.bench.knowledge
    if part.strip() in NO_LEVER:
        return ()
    found = levers_named(part, setup, knowledge)
    corners = next((corners for end, corners in EACH_END.items() if end in part.split()), ())
    named = [re.sub(r"\b(?:front|rear)\b", corner, part) for corner in corners]
    return found or tuple(lever for name in named for lever in levers_named(name, setup, knowledge))


def _why_unclear(parts: Iterable[tuple[str, ...]], levers: tuple[str, ...]) -> str:
    """Ask which lever is meant where a name is that of several kinds; one of the team's own stands in its rules."""
    if own := [lever for lever in levers if lever not in ROW_OF]:
        return sayings.OWN_LEVER.format(lever_name(own[0]))
    several = [part for part in parts if len({ROW_OF[one].word for one in part} - SHOCKS) > 1]
    return sentence(WHICH.format(list_words(map(lever_name, several[0])))) if several else ""


def _parts_meant(state: TalkState, levers: Iterable[str], what: str, *, tonight: bool) -> list[NotHere]:
    """Find the values of levers that are meant: those named, or all beyond one that is named."""
    rulebook, setup, bound = state.bench.case.rulebook, state.bench.case.setup, BOUND.search(what)
    found = []
    for lever in (lever for lever in levers if lever in rulebook.limits):
        kind = kind_of(lever, setup)
        said = [read(text, kind, default_unit=unit_of(kind, state.system)).value for text in NUMBER.findall(what)]
        for value in rulebook.limits[lever].values:
            is_named = any(abs(value - one) <= SAME * abs(one) for one in said)
            is_beyond = bound is not None and not is_named and (value > said[0]) is bool(bound["most"])
            found += [NotHere(lever, value, tonight)] if (is_named if bound is None else is_beyond) else []
    return found


def _leave_out(state: TalkState, out: list[NotHere], what: str) -> list[Block]:
    """Leave levers or parts of them out, and write them into the case file."""
    case = state.bench.case
    new = tuple(one for one in out if one not in case.rulebook.not_here)
    if not new:
        return [Line(sayings.KNOWN if out else sayings.NO_VALUE.format(what))]
    said = ", ".join(write_not_here(Rulebook("", {}, tuple(replace(one, tonight=False) for one in new)), state.system))
    rulebook = replace(case.rulebook, not_here=(*case.rulebook.not_here, *new))
    on_file = not new[0].tonight
    take_down(state, sayings.NOT_HERE_SAID.format(said), replace(case, rulebook=rulebook), on_file=on_file)
    where = "" if state.replaying or not on_file else keep_not_here(state.bench.case, state.system)
    return [Line(sayings.OUT.format(said)), *([Line(where)] if where else []), *go_on(state)]


def forget(state: TalkState, texts: Iterable[str]) -> None:
    """Take what a talk said before out of what is known, so that its lines can say it again; no file is written."""
    case, said = state.bench.case, [read_not_here(text, state.system) for text in texts]
    kept = tuple(one for one in case.rulebook.not_here if one not in said)
    state.bench.tell(replace(case, rulebook=replace(case.rulebook, not_here=kept)), read_now=False)


# what was read


def _read_told(state: TalkState, plain: str) -> Taking | None:
    """Find a reading in a line: of a gauge, or what a scale or a tape says the car has."""
    bench = state.bench
    field, line, laps = reading_in(plain)
    if field:
        return lambda: _read_line(state, field, line, laps)
    scale = scale_in(plain, bench.case, bench.knowledge, state.system)
    return (lambda: changes.measured(state, scale, but=sayings.IS_CHANGE)) if scale else None


def _read_line(state: TalkState, field: str, line: str, laps: int | None) -> list[Block]:
    """Take a reading; what cannot be, or is hardly so, is asked about."""
    try:
        value, doubt = value_in(field, line, state.bench.case, state.system)
    except UnitProblem as wrong:
        return [Line(sayings.WRONG.format(wrong.says, wrong.hint or sayings.TYPE_AGAIN))]
    if doubt:
        return [Line(doubt)]
    said = take_reading(state, field, value, laps)
    spread = [Line(sayings.SPREAD)] if field == "lap_times" and len(value) < state.bench.case.run_laps else []
    return [Line(sayings.TOLD_TAKEN.format(said)), *spread, *go_on(state)]


def take_reading(state: TalkState, field: str, value: Any, laps: int | None = None) -> str:
    """Put a reading among what was measured, and say it."""
    bench, measured = state.bench, state.bench.case_as_read.measured
    merged = {**getattr(measured, field), **value} if isinstance(value, dict) else value
    more: dict[str, Any] = {field: merged, "laps": laps or measured.laps}
    said = say_reading(field, value, bench.case, state.system) + (sayings.AFTER_LAPS.format(laps) if laps else "")
    take_down(state, said, replace(bench.case, measured=replace(measured, **more)), is_reading=True)
    return said


def how_to_read(_: TalkState, __: str) -> list[Block]:
    """`temps` without numbers that can be read: how readings are typed."""
    return [Line(sayings.HOW_TO_READ), Line(sayings.LOST, mark="quiet")]


def keep(state: TalkState, _: str) -> list[Block]:
    """`keep`: what was read goes into the car's file."""
    measured = state.bench.case.measured
    if not readings_of(state.bench.case, state.system) or state.replaying:
        return [Line(sayings.NOTHING_READ)]
    return [Line(keep_readings(replace(state.bench.case, measured=measured), state.name, state.system))]


# what is known


def known(state: TalkState, _: str) -> list[Block]:
    """`known`: all that was told of the car, in one screen."""
    case, session = state.bench.case, state.session
    rows = [] if session is None else [("you said", session.text)]
    if session is not None and session.given:
        rows += [("you answered", f"{say_question(one.question)} {one.says}") for one in session.answered()]
    when = "read" if case.measured == state.bench.case_as_read.measured else sayings.READ_BEFORE
    rows += [(when, text) for text in readings_of(case, state.system)]
    rows += [("measured", step.said) for step in state.steps if step.is_fact and step.moves]
    rows += [("made", sentence(step.said)) for step in state.made]
    rows += [("felt", step.felt.text) for step in state.steps if step.felt is not None]
    out = write_not_here(case.rulebook, state.system)
    rows += [("not here", ", ".join(out))] if out else []
    rows += [("time", sayings.ONLY.format(case.at_hand))] if any(one.tonight for one in case.rulebook.not_here) else []
    told = [Line(text, lead=f"{name}:") for name, text in rows]
    return [Line(say_in_use(case)), *(told or [Line(sayings.NOTHING_KNOWN)])]
