"""A change of the car said in words of the trade: which lever, which way, how much. "track bar right down 1/2".

Without an amount it is the usual change; without a way the number is where the lever goes to.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from assistant.car.case import Setup, kind_of, levers_of
from assistant.car.keys import LEVER_KIND, ROW_OF, SMALLER_IS_MORE, ends_of, is_possible, lever_name
from assistant.car.moves import value_of, with_value
from assistant.diagnosis.gauges_read import inches_in
from assistant.diagnosis.stems import MOST_AIR, RATE, stem, word_set
from assistant.ground.names import CORNER_KEYS, CORNER_WORDS, RENAMED, list_words, nearest, quoted
from assistant.ground.quantities import SPELLINGS
from assistant.ground.units import NUMBER_PATTERN, System, UnitProblem, read, show, unit_of, unit_pattern

if TYPE_CHECKING:
    from assistant.rules.knowledge import Knowledge

NO_LEVER = "no lever of this car is in {}"
WHICH = "which one: {}"
HOW_FAR = "{0}: which way, or to what? Such as {0} {1} {2}"
_PLUS = word_set("up raise raised more add added put stiffer stiffen stiffened increase increased higher crank")
_MINUS = word_set(
    "down lower lowered less remove removed softer soften softened reduce reduced drop dropped decrease take took cut"
)
_STIFFNESS = word_set("stiffer stiffen stiffened softer soften softened")
_FILLERS = word_set(
    "the a an i we you it my our of on to by at with and in out is was did made make try set go went changed from "
    "change end side some bit little what if should could would do about just please rate number value there tire wheel"
)
_WRITTEN = {
    **{words: corner.lower() for corner, words in CORNER_WORDS.items()},
    **{" ".join(reversed(words.split())): corner.lower() for corner, words in CORNER_WORDS.items()},
    "three quarters": "3/4", "a quarter": "1/4", "a half": "1/2", "half a": "1/2", "half an": "1/2", "an eighth": "1/8",
    "and a half": "1/2", "quarter": "1/4", "half": "1/2", "eighth": "1/8", "sixteenth": "1/16",
    "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "ten": "10",
    "an inch": "1 in", "a pound": "1 lb", "a click": "1 click", "a turn": "1 turn", "a hole": "1 hole",
}  # fmt: skip
_POUNDS = frozenset(word for word, unit in SPELLINGS["mass"].items() if unit.name == "lb")
_UNIT = unit_pattern(LEVER_KIND.values())
_NUMBER = re.compile(rf"(?P<way>[-+]?=|(?<![\w.])[-+])?\s*(?P<number>{NUMBER_PATTERN})\s*(?P<unit>{_UNIT})?")


_RATE_IN = re.compile(r"\b(\d{3,}) in (?=the\b|[lr][fr]\b|right\b|left\b)")
"""A spring of that rate put in somewhere: no inches."""
_INCH_AND = re.compile(r"\b(?:an )?inch and (?:an? |one |three |five |seven )?(?:half|quarters?|eighths?|sixteenths?)")
_TO_NUMBER = re.compile(r"\bto(?: an?| the)?\s*$")
_VALUE = rf"({NUMBER_PATTERN})\s*({_UNIT})?"
_FROM_TO = re.compile(
    rf"{_VALUE} to (?:an? )?{_VALUE}|(\d*\.?\d+) out\W+(\d*\.?\d+) in\b"
    rf"|(?P<new>){_VALUE}\D*\b(?:was|were|from|used to be|we (?:set|run|carry)) (?:an? )?{_VALUE}"
)
"""Two values: the old one and the new, or the new one and what it was before."""
CROSS = "cross_weight"
_ROUNDS = re.compile(
    r"\b(?P<count>\d+|an?|couple(?: of)?|another)?\s*(?:1/2 )?(?:rounds?|turns?)(?: of)?(?: (?:wedge|cross|bite))?"
    r"(?: weight)?\s*(?P<way>in|out|off|from)?(?: of)?(?: the)?\s*(?P<corner>lf|rf|lr|rr)?"
)
"""Turns of a jack screw, which move the cross the other way at the other diagonal."""


class NoChangeError(ValueError):
    """What was said names no change of this car; the text says why and what to say instead."""


@dataclass(frozen=True)
class SaidChange:
    """A lever and the SI value it goes to. is_step: it was said how far it moves, not where it goes to.

    is_usual: nobody said how far, and the usual change is taken.
    """

    lever: str
    value: float
    is_step: bool = False
    is_usual: bool = False

    def put_on(self, setup: Setup) -> Setup:
        """Make it, legal or not; a step from a guess leads to a guess."""
        moved = with_value(setup, self.lever, self.value)
        return replace(moved, guessed=setup.guessed) if self.is_step else moved


def read_change(text: str, setup: Setup, knowledge: Knowledge, system: System) -> SaidChange:
    """Read a change. Raises NoChangeError for what names no lever, no way, or a value no car can have."""
    plain = _plain(text)
    numbers = list(_NUMBER.finditer(plain))
    words = re.findall(r"[a-z][a-z_-]*", _NUMBER.sub(" ", plain))
    is_cross = re.search(r"(?<!between )\brounds?\b", plain) is not None
    lever = CROSS if is_cross else find_lever(words, setup, knowledge, unit=_unit_meant(numbers))
    way = _way_of(words, lever, knowledge) or -bool(re.search(r"\bout of\b", plain))
    if rounds := _ROUNDS.search(plain) if lever == CROSS else None:
        return _usual(lever, _way_of_rounds(rounds), setup, knowledge, system, times=_count_of(rounds))
    if not numbers:
        return replace(_usual(lever, way, setup, knowledge, system), is_usual=True)
    if (both := _FROM_TO.search(plain)) is not None:
        return _moved(lever, both, setup, knowledge, system)
    last = ([one for one in numbers if one["unit"]] or numbers)[-1]
    value = _read(lever, last, setup, system)
    sign = {"+": 1, "+=": 1, "-": -1, "-=": -1}.get(last["way"] or "", way)
    is_step = not (last["way"] == "=" or (sign == way and _TO_NUMBER.search(plain[: last.start()])) or not sign)
    if is_step:
        number_sign = -1 if lever in SMALLER_IS_MORE and not last["way"] else 1
        value = value_of(setup, lever) + sign * number_sign * value
    checked = _checked(lever, value, setup, knowledge, system, way=bool(way or last["way"]))
    return replace(checked, is_step=is_step)


HOW_FAR_MOVED = "how_far"
"""The question how far something was moved."""
LITTLE, FAR = 0.75, 1.75
"""Usual changes below which a change is less than one, and from which it is two or more (own judgment)."""


def size_told(changes: Iterable[str], setup: Setup, knowledge: Knowledge) -> dict[str, str]:
    """Answer how far it was moved where one change was told with its amount; nothing where none was."""
    found = []
    for text in changes:
        with suppress(NoChangeError):
            found.append(read_change(text, setup, knowledge, "trade"))
    told = next(iter(found), None)
    if told is None or len(found) != 1 or told.is_usual or not told.is_step or told.lever not in knowledge.levers:
        return {}
    entry = knowledge.levers[told.lever]
    steps = abs((told.value - value_of(setup, told.lever)) / entry.in_si(entry.usual_change))
    return {HOW_FAR_MOVED: "little" if steps < LITTLE else "far" if steps >= FAR else "usual"}


def _unit_meant(numbers: list[re.Match[str]]) -> str | None:
    """Say which unit tells the lever: so few pounds are of air, many of a spring."""
    one = next((one for one in numbers if one["unit"]), None)
    if one is None and any(one["number"].isdigit() and int(one["number"]) >= RATE for one in numbers):
        return "lb/in"
    if one is None or one["unit"] not in _POUNDS or not one["number"].isdigit():
        return None if one is None else one["unit"]
    return "psi" if int(one["number"]) <= MOST_AIR else "lb/in"


def _way_of_rounds(rounds: re.Match[str]) -> int:
    taken = -1 if rounds["way"] in {"out", "off", "from"} else 1
    return -taken if rounds["corner"] in {"rr", "lf"} else taken


def _count_of(rounds: re.Match[str]) -> float:
    count = rounds["count"] or "1"
    return float(count) if count.isdigit() else 2.0 if count.startswith("couple") else 1.0


def _moved(lever: str, both: re.Match[str], setup: Setup, knowledge: Knowledge, system: System) -> SaidChange:
    """Take two values that were told for a step: it stands where the setup says, and came from so far away."""
    found = [one for one in both.groups() if one is not None and one != ""]
    values = [_value_of_text(lever, text, setup, system) for text in _values_in(found)][:2]
    if len(values) != 2:
        raise NoChangeError(HOW_FAR.format(lever_name(lever), "up", "1"))
    shift = values[0] - values[1] if both["new"] is not None else values[1] - values[0]
    return replace(_checked(lever, value_of(setup, lever) + shift, setup, knowledge, system, way=True), is_step=True)


def _values_in(found: list[str]) -> list[str]:
    """Put each number together with the unit behind it."""
    values: list[str] = []
    for one in found:
        if re.match(r"[\d.]", one):
            values.append(one)
        elif values:
            values[-1] += f" {one}"
    return values


def find_lever(words: Iterable[str], setup: Setup, knowledge: Knowledge, unit: str | None = None) -> str:
    """Find the lever most of whose name is in the words. Raises NoChangeError where none is, or several are."""
    said = {stem(word) for word in re.findall(r"[a-z]+", _plain(" ".join(words).replace("_", " ")))}
    said -= {stem(word) for word in _FILLERS}
    if said & _AT_CORNERS and (family := _family(said, unit)):
        said.add(family)
    names = {lever: _names(lever, knowledge) for lever in levers_of(setup)}
    scores = {lever: max((len(name) for name in found if name <= said), default=0) for lever, found in names.items()}
    best = max(scores.values())
    if best:
        found = [lever for lever, score in scores.items() if score == best]
        whole = [lever for lever in found if all(one.startswith(lever) for one in found)]
        if whole:
            return whole[0]
        raise NoChangeError(WHICH.format(list_words(map(lever_name, found))))
    said -= {stem(word) for word in _PLUS | _MINUS}
    part = [lever for lever, found in names.items() if said and any(said <= name for name in found)]
    whole = [lever for lever in part if all(one.startswith(lever) for one in part)]
    if whole:
        return whole[0]
    if part:
        raise NoChangeError(WHICH.format(list_words(map(lever_name, part))))
    typed = " ".join(sorted(said))
    near = nearest(typed, [lever_name(lever) for lever in names]) if said else None
    hint = f"; did you mean {near}?" if near else ""
    hint = next((f"; it is called {lever_name(RENAMED[word])} now" for word in words if word in RENAMED), hint)
    raise NoChangeError(NO_LEVER.format(quoted(" ".join(words))) + hint)


def levers_named(text: str, setup: Setup, knowledge: Knowledge) -> tuple[str, ...]:
    """List the levers whose name a text is, else those it is a part of; none where it says anything besides."""
    words = re.findall(r"[a-z]+", _NUMBER.sub(" ", _plain(text.replace("_", " "))))
    said = {stem(word) for word in words} - {stem(word) for word in _FILLERS}
    names = {lever: _names(lever, knowledge) for lever in levers_of(setup)}
    exact = [lever for lever, found in names.items() if said in found]
    return tuple(exact or [lever for lever, found in names.items() if said and any(said <= name for name in found)])


_AT_CORNERS = frozenset(CORNER_KEYS)


_AT_A_CORNER = frozenset(
    map(stem, word_set("pressure air rebound bump compression shock camber link arm height caster wheel weight"))
)


def _family(said: set[str], unit: str | None) -> str:
    """Name what at a corner is meant where only the way or the unit tells: "soften the right rear", "rr 20 psi"."""
    if said & {stem(word) for word in _STIFFNESS} and not said & {"rebound", "bump", stem("compression"), "shock"}:
        return stem("spring")
    if unit == "lb/in":
        return "" if said & _AT_A_CORNER else stem("spring")
    return stem("pressure") if unit in {"psi", "kpa", "bar"} or "air" in said else ""


@lru_cache(maxsize=512)
def _name(text: str) -> frozenset[str]:
    return frozenset(stem(word) for word in re.findall(r"[a-z]+", _plain(text)) if word not in _FILLERS)


def _names(lever: str, knowledge: Knowledge) -> set[frozenset[str]]:
    """Give every name of a lever as the stems of its words."""
    entry = knowledge.levers.get(lever)
    row = ROW_OF.get(lever)
    said = [lever.replace("_", " "), lever_name(lever)]
    said += [f"{row.path[0]} {row.word}"] if row else []
    said += [entry.title, *entry.also_said] if entry else []
    return {_name(one) for one in said} - {frozenset()}


def _plain(text: str) -> str:
    """Write words for corners and numbers as they are read."""
    text = _INCH_AND.sub(lambda found: f"{inches_in(found[0])[0][0]:g} inch", text.lower())
    plain = " ".join(text.replace("½", " 1/2").replace("¼", " 1/4").replace("¾", " 3/4").split())
    plain = _RATE_IN.sub(r"\1 at ", plain.replace("old one", "old"))
    for words, written in _WRITTEN.items():
        plain = re.sub(rf"\b{words}\b", written, plain)
    return plain


def _way_of(words: Iterable[str], lever: str, knowledge: Knowledge) -> int:
    """Say which way is meant: + or - of the lever, 0 where nothing says so."""
    entry = knowledge.levers.get(lever)
    mine: Mapping[str, int] = {}
    if entry is not None:
        mine = {entry.plus_word: 1, entry.minus_word: -1, entry.plus_verb: 1, entry.minus_verb: -1}
        mine = {word: sign for word, sign in mine.items() if word not in _names_words(lever, knowledge)}
    for word in words:
        if sign := mine.get(word) or (word in _PLUS) - (word in _MINUS):
            return sign
    return 0


def _names_words(lever: str, knowledge: Knowledge) -> set[str]:
    return {word for name in _names(lever, knowledge) for word in name}


def _usual(lever: str, way: int, setup: Setup, knowledge: Knowledge, system: System, times: float = 1.0) -> SaidChange:
    """Take the usual change, so many times: a round of a jack screw is one."""
    entry = knowledge.levers.get(lever)
    if entry is None or not way:
        plus, usual = ("up", "1") if entry is None else (entry.plus_word, str(entry.usual_change))
        raise NoChangeError(HOW_FAR.format(lever_name(lever), plus, usual))
    kind = kind_of(lever, setup)
    step = read(entry.usual_change, kind, default_unit=unit_of(kind, system)).value
    sign = -way if lever in SMALLER_IS_MORE else way
    return SaidChange(lever, value_of(setup, lever) + sign * step * times, is_step=True)


def _read(lever: str, found: re.Match[str], setup: Setup, system: System) -> float:
    return _value_of_text(lever, f"{found['number']} {found['unit'] or ''}".strip(), setup, system)


def _value_of_text(lever: str, text: str, setup: Setup, system: System) -> float:
    """Read a number with its unit, or without one."""
    kind = kind_of(lever, setup)
    try:
        return read(text, kind, default_unit=unit_of(kind, system)).value
    except UnitProblem as wrong:
        raise NoChangeError(f"{lever_name(lever)}: {wrong.says}; {wrong.hint}") from wrong


def _checked(lever: str, value: float, setup: Setup, knowledge: Knowledge, system: System, *, way: bool) -> SaidChange:
    """Refuse what no setup file may hold. way: it was said which way, or that this is where it goes to."""
    change = SaidChange(lever, value)
    moved = change.put_on(setup).values
    wrong = next((end for end in ends_of(lever) if not is_possible(end, moved[end])), None)
    if wrong is None:
        return change
    row, entry = ROW_OF[wrong], knowledge.levers.get(lever)
    if not way and entry is not None:
        raise NoChangeError(HOW_FAR.format(lever_name(lever), entry.plus_word, entry.usual_change))
    shown = show(moved[wrong], row.kind, system=system, fraction=True)
    raise NoChangeError(f"{lever_name(wrong)}: {shown} is not possible, only {row.low} to {row.high}; {row.why}")
