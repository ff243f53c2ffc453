"""What is told of the car in a line of its own, anywhere in a talk: what it has not, the time there is, what was read.

What is told is a step, so undo takes it back. What the car has not is written into its case file; a reading counts in
the talk it was told in and stands in the notebook.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from assistant.advice.sizing import when_of
from assistant.car.case import Case, NotHere, Rulebook, kind_of, levers_of
from assistant.car.keys import NONE_IS_ZERO, READ_NOT_CHANGED, ROW_OF, Key, lever_name, read_key
from assistant.car.moves import limit_of
from assistant.car.write import write_not_here
from assistant.diagnosis.gauges_read import COOLEST, HOT_LESS, answers_of_measured, are_treads
from assistant.diagnosis.said_change import WHICH, NoChangeError, levers_named, read_change
from assistant.diagnosis.session import Session
from assistant.diagnosis.stopping import told_by_gauge
from assistant.ground.names import CORNER_KEYS, CORNERS, list_words, part_at_corners
from assistant.ground.understood import LOSES_AIR, StopReason
from assistant.ground.units import NUMBER_PATTERN, System, UnitProblem, read, show, to_unit, unit_of, unit_pattern
from assistant.notebook.book import MEASURED, NOTE
from assistant.pages import sayings
from assistant.pages.advice import first_offers, stop_screen
from assistant.pages.amounts import sentence
from assistant.pages.balance import NOT_BELIEVED
from assistant.pages.blocks import BLANK, Block, Line, lines
from assistant.pages.readings import READING_KEYS, say_reading
from assistant.rules.knowledge import Knowledge
from assistant.shell import changes, interview
from assistant.shell.keep import keep_not_here
from assistant.shell.talk_state import TalkState

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
ADJUSTERS = re.compile(r"\b(?:adjust(?:ers?|ments?|ability)|valves?|knobs?)\b")
OF_ADJUSTER = re.compile(rf"{ADJUSTERS.pattern}|\b(?:bias|jack(?:er)?s?)\b")
"""Words for what sets a lever that every car has some of: without it that is left out all the same."""
EACH_END = {"front": CORNER_KEYS[:2], "rear": CORNER_KEYS[2:]}
ENDS_AND_SIDES = frozenset({*EACH_END, "left", "right", *CORNER_KEYS})
SHOCKS = frozenset({"compression", "rebound"})
SAME = 1e-3
"""Share by which a part may be off what was said of it."""


NUMBER = re.compile(NUMBER_PATTERN)
UNIT = re.compile(rf"(?<=[\d ])°? ?({unit_pattern(key.kind for key in READING_KEYS.values())})")
_OVER = re.compile(r",? ?\b(?:after|over|in|on) (\d+) laps$")
_THREE = re.compile(r"(\d{2,3})/(\d{2,3})/(\d{2,3})")
READ: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("lap_times", re.compile(r"(?:the )?(?:lap ?times?|laps|ran)\b.*\d")),
    ("hot_stagger", re.compile(r"(?=.*\bhot\b).*\bstagger\b")),
    ("fuel_used", re.compile(r"(?:fuel used|used|burned|burnt)\b")),
    ("rpm_max", re.compile(r".*\brpm\b")),
    ("hot_pressure", re.compile(r".*\bhot\b")),
    ("temperatures", re.compile(r".*\btemp")),
    ("temperatures", re.compile(r"(?=[a-z]).*(?:\d+\D+){2}\d+")),
)
"""How a line tells what it is a reading of; the first that fits counts."""
_SAID_BESIDE = re.compile(
    r"(?<![a-z])(?:the|my|our|is|are|was|were|it|at|hot|pressures?|air|tires?|tyres?|temps?|temperatures?|tread|stagger|"
    r"lap|times?|laps|fuel|used|burned|burnt|rpm|rear|i|we|read|taped|and|ran|came|in|to|of)(?![a-z])|[\d.\s:,;=/|-]"
)
_NO_READING = re.compile(r"(?:try|made|set|measured|what|why|back|make)\b")
_CHANGE = re.compile(r"\b(?:up|down|to|from|more|less|raise|lower|add|take)\b|[-+]|\bleft.*\bright|\bright.*\bleft")
READINGS_OF_A_TREAD = 3
"""Readings of a tread: inside, middle, outside."""


def tell(state: TalkState, text: str) -> list[Block] | None:
    """Take a line that tells of the car; None where it does not, or where it is a reason to stop."""
    plain = _plain(text)
    read = plain.removeprefix("measured ")
    plain = read if reading_in(read)[0] else plain
    looked = LOOKED.fullmatch(plain)
    if FOUND.fullmatch(plain) or (looked and (looked["looked"] or state.look)):
        return changes.found(state, is_wrong=looked is None)
    found = _time_told(state, plain) or _missing_told(state, plain) or _read_told(state, plain)
    if found is None:
        return None
    heard = state.heard(text)
    stop, is_complaint = heard.stop, heard.reading.readable and bool(heard.complaint.cells)
    is_reading = stop is not None and stop.signs == (LOSES_AIR,) and _unit_in(plain) != ""
    return None if is_complaint or (stop and not is_reading) else found()


def split_told(state: TalkState, text: str) -> tuple[str, list[Taking]]:
    """Take out of a line what the car has not, the time there is and what a gauge read; with what is left.

    "loose off, pit stop only"; "pushes late, rf 240 235 220".
    """
    left, found = [], []
    for part in PARTS.split(text):
        plain = _plain(part)
        taking = _time_told(state, plain) or _missing_told(state, plain) or _read_told(state, plain, in_part=True)
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


def take_down(state: TalkState, kind: str, said: str, case: Case, data: Mapping[str, Any]) -> None:
    """Let what was told of the car count, as a step that can be undone."""
    bench, session = state.bench, state.session
    state.step(kind, said, data={"fact": {}, **data})
    bench.tell(case, read_now=kind == MEASURED)
    if session is not None:
        state.session = replace(session, case=bench.case_as_read, given=_but_read(session, bench.case_as_read))


def _but_read(session: Session, case: Case) -> tuple[tuple[str, str], ...]:
    """Return the answers that stand beside what was read since: a gauge outdoes what was thought."""
    before, read = answers_of_measured(session.case), answers_of_measured(case)
    return tuple(pair for pair in session.given if read.get(pair[0], before.get(pair[0])) == before.get(pair[0]))


def go_on(state: TalkState) -> list[Block]:
    """Weigh anew with what was told: the advice where there is one; a question stays open."""
    if state.advice is None or state.question is not None:
        goes_on = state.session is not None and state.question is None and not state.advised
        return interview.go_on(state) if goes_on else []
    before = [state.say_offer(one) for one in first_offers(state.offers)]
    blocks = interview.give_advice(state)
    now = [state.say_offer(one) for one in first_offers(state.offers)]
    unbelieved = state.advice.picture is not None and state.advice.picture.left_out
    doubts = lines([NOT_BELIEVED] if unbelieved else [])
    return [*doubts, *([Line(sayings.SAME_LIST)] if now == before else blocks)]


# the time there is


def _time_told(state: TalkState, plain: str) -> Taking | None:
    when = next((when for when, (words, _) in TIMES.items() if re.fullmatch(words, plain)), None)
    return None if when is None or not IS_ONLY.search(plain) else lambda: _take_time(state, when)


def _take_time(state: TalkState, when: str) -> list[Block]:
    """Leave out what takes longer, for this talk, and name what is left."""
    case, can = state.bench.case, TIMES[when][1]
    if case.at_hand == when and any(one.tonight for one in case.rulebook.not_here):
        return [Line(sayings.KNOWN)]
    known = state.levers
    late = [lever for lever in levers_of(case.setup) if lever in known and when_of(known[lever], case) not in can]
    out = (*case.rulebook.not_here, *(NotHere(lever, tonight=True) for lever in late))
    told = replace(case, at_hand=when, rulebook=replace(case.rulebook, not_here=out))
    left = [lever for lever in levers_of(case.setup) if limit_of(told.rulebook, told.car, lever) is not None]
    words = dict.fromkeys(ROW_OF[lever].word if lever in ROW_OF else lever_name(lever) for lever in left)
    take_down(state, NOTE, sayings.ONLY.format(when), told, {})
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
    bare = BOUND.sub(" ", re.sub(rf"\b(?:than|no)\b|{ADJUSTERS.pattern}", " ", what))
    parts = [_levers_meant(state, part) for part in re.split(r",| and | or ", bare) if re.search("[a-z]", part)]
    levers = tuple(dict.fromkeys(lever for part in parts for lever in part))
    kinds = {kind_of(lever, state.bench.case.setup) for lever in levers}
    is_always_there = is_missing and bool(kinds & NEVER_MISSING) and not OF_ADJUSTER.search(what)
    if not parts or not all(parts) or is_always_there:
        return None
    if why := _why_unclear(parts, levers):
        return lambda: [Line(why)]
    if re.search(r"\d", what):
        return lambda: _leave_out(state, _parts_meant(state, levers, what, tonight=tonight), what)
    if is_missing and levers[0] in NONE_IS_ZERO:
        return lambda: [Line(sayings.NONE_OR_NOT.format(lever_name(levers[0])))]
    return lambda: _leave_out(state, [NotHere(lever, tonight=tonight) for lever in levers], what)


def _levers_meant(state: TalkState, part: str) -> tuple[str, ...]:
    """Find what a name is that of, "rear springs" at each end of the axle."""
    setup, knowledge = state.bench.case.setup, state.bench.knowledge
    if part.strip() in ENDS_AND_SIDES:
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
    on_file = write_not_here(replace(rulebook, not_here=new))
    told = replace(case, rulebook=rulebook)
    take_down(state, NOTE, sayings.NOT_HERE_SAID.format(said), told, {"not_here": on_file})
    where = "" if not on_file else keep_not_here(state.bench.case, state.system)
    return [Line(sayings.OUT.format(said)), *([Line(where)] if where else []), *go_on(state)]


# what was read


def _read_told(state: TalkState, plain: str, *, in_part: bool = False) -> Taking | None:
    """Find a reading in a line, or in part of one: of a gauge, or what a scale or a tape says the car has."""
    bench = state.bench
    field, line, laps = reading_in(plain)
    if field and (not in_part or part_at_corners(line)[1]):
        return lambda: _read_line(state, field, line, laps)
    if in_part:
        return None
    scale = scale_in(plain, bench.case, bench.knowledge, state.system)
    return (lambda: changes.measured(state, scale, but=sayings.IS_CHANGE)) if scale else None


def _read_line(state: TalkState, field: str, line: str, laps: int | None) -> list[Block]:
    """Take a reading; what cannot be, or is hardly so, is asked about."""
    try:
        value, doubt = value_in(field, line, state.bench.case, state.system)
    except UnitProblem as wrong:
        return [Line(sentence(sayings.WRONG.format(wrong.says, wrong.hint or sayings.TYPE_AGAIN)))]
    if doubt:
        return [Line(doubt)]
    said = take_reading(state, field, value, laps)
    if told_by_gauge(state.bench.case_as_read, state.bench.case.setup):
        screen = interview.go_on(state) if state.session else [BLANK, *stop_screen(StopReason((LOSES_AIR,)))]
        return [Line(sayings.TOLD_TAKEN.format(said)), *screen]
    spread = [Line(sayings.SPREAD)] if field == "lap_times" and len(value) < state.bench.case.run_laps else []
    return [Line(sayings.TOLD_TAKEN.format(said)), *spread, *go_on(state)]


def take_reading(state: TalkState, field: str, value: Any, laps: int | None = None) -> str:
    """Put a reading among what was measured, and say it."""
    bench, measured = state.bench, state.bench.case_as_read.measured
    merged = {**getattr(measured, field), **value} if isinstance(value, dict) else value
    more: dict[str, Any] = {field: merged, "laps": laps or measured.laps}
    said = say_reading(field, value, bench.case, state.system) + (sayings.AFTER_LAPS.format(laps) if laps else "")
    read = {name: one for name, one in more.items() if one and one != getattr(bench.case.measured, name)}
    take_down(state, MEASURED, said, replace(bench.case, measured=replace(measured, **more)), {"readings": read})
    return said


def reading_in(plain: str) -> tuple[str, str, int | None]:
    """Tell what a line is a reading of, the line without its laps, and those; "" for a line that is none."""
    over, line = _OVER.search(plain), _THREE.sub(r"\1 \2 \3", _OVER.sub("", plain))
    before, corners = part_at_corners(UNIT.sub(" ", line))
    beside = " ".join([before, *(behind for _, behind in corners)])
    if not re.search(r"\d", plain) or _NO_READING.match(plain) or _SAID_BESIDE.sub("", beside):
        return "", line, None
    field = next((name for name, pattern in READ if pattern.match(line)), "")
    is_whole = corners or len(NUMBER.findall(line)) == len(CORNERS) * READINGS_OF_A_TREAD
    return "" if field == "temperatures" and not is_whole else field, line, int(over[1]) if over else None


def scale_in(plain: str, case: Case, knowledge: Knowledge, system: System) -> str:
    """Find what a scale, a tape or a cold gauge says a lever is, "cross 52.3", as words that name it; "" for none."""
    is_cold = re.search(r"\bcold\b", plain) is not None
    said = re.sub(r"\bcold\b", " " if UNIT.search(plain) else unit_of("pressure", system), plain)
    if _CHANGE.search(said) or _NO_READING.match(plain) or not re.search(r"\d", plain):
        return ""
    named = levers_named(UNIT.sub(" ", said), case.setup, knowledge)
    try:
        change = read_change(said, case.setup, knowledge, system)
    except NoChangeError:
        return said if named and set(named) <= READ_NOT_CHANGED else ""
    is_read = change.lever in READ_NOT_CHANGED or (is_cold and change.lever in named)
    return said if is_read and not change.is_step else ""


def value_in(field: str, line: str, case: Case, system: System) -> tuple[Any, str]:
    """Read the numbers of a line in SI, and say what is doubted of them. Raises UnitProblem for what cannot be."""
    key, unit = READING_KEYS[field], _unit_in(line)
    if not (key.members or field == "temperatures"):
        values = _read_all(key, line, system)
        if field == "lap_times":
            return tuple(values), ""
        if len(values) != 1:
            raise UnitProblem(*sayings.ONE_WANTED)
        return values[0] * (case.car.fuel_density if field == "fuel_used" else 1.0), ""
    _, corners = part_at_corners(line)
    is_heat = field == "hot_pressure" and not unit and any(are_treads(NUMBER.findall(one)) for _, one in corners)
    if is_heat and system == "trade":
        raise UnitProblem(*sayings.HEAT_WANTED)
    each = {corner: _read_all(key, f"{text} {unit}", system) for corner, text in corners}
    count, wanted = (READINGS_OF_A_TREAD, sayings.TEMPS_WANTED) if field == "temperatures" else (1, sayings.EACH_WANTED)
    if not corners:  # all four in a line
        values = _read_all(key, line, system)
        each = {corner: values[at * count : (at + 1) * count] for at, corner in enumerate(CORNERS)}
    if any(len(values) != count for values in each.values()) or len(NUMBER.findall(line)) != count * len(each):
        raise UnitProblem(*wanted)
    if field == "temperatures":
        return {corner: tuple(values) for corner, values in each.items()}, "" if unit else _doubt_treads(each, system)
    pressures = {corner: values[0] for corner, values in each.items()}
    return pressures, "" if unit else _doubt_hot(pressures, case, system)


def _unit_in(text: str) -> str:
    found = UNIT.search(text)
    return found[1] if found else ""


def _read_all(key: Key, text: str, system: System) -> list[float]:
    unit = _unit_in(text)
    return [read_key(key, f"{number} {unit}".strip(), system).value for number in NUMBER.findall(text)]


def _doubt_treads(each: Mapping[str, list[float]], system: System) -> str:
    """Doubt treads that are hardly warm."""
    hottest = max(to_unit(value, "F", "temperature") for values in each.values() for value in values)
    return sayings.DOUBT_TREAD.format(round(hottest)) if system == "trade" and hottest < COOLEST else ""


def _doubt_hot(pressures: Mapping[str, float], case: Case, system: System) -> str:
    """Doubt a hot pressure that is far below the cold one."""
    for corner, hot in pressures.items():
        cold = case.setup.values[f"pressure_{corner.lower()}"]
        if hot < cold - HOT_LESS:
            shown = [show(value, "pressure", system=system) for value in (hot, cold)]
            return sayings.DOUBT_HOT.format(shown[0], corner, shown[1])
    return ""
