"""A change of the car said in words of the trade: which lever, which way, how much. "track bar right down 1/2".

Without an amount it is the usual change; without a way the number is where the lever goes to.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from math import inf
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
_PLUS = word_set(
    "up raise raised more add added stiffer stiffen stiffened increase increased higher crank cranked upped aired"
    " bumped bigger larger heavier"
)
_MINUS = word_set(
    "down lower lowered less remove removed softer soften softened reduce reduced drop dropped decrease cut backed bled"
    " smaller lighter"
)
_WAYS = {**dict.fromkeys(_PLUS, 1), **dict.fromkeys(_MINUS, -1)}
_PLACED = dict.fromkeys(("put", "in", "stuck", "threw", "gave"), 1) | dict.fromkeys(
    ("take", "took", "pulled", "let", "out", "off"), -1
)
"""Words that only place something: what else says the way outweighs them ("put a softer one in")."""
_MAGNITUDE = word_set("more less add added increase increased reduce reduced decrease put take took out in")
"""Of a lever that stands below zero these go by how much of it there is: more camber is more negative."""
_KINDS = word_set("front rear positive negative")
"""Ways that are a kind of something: less of one is more of the other."""
_STIFFNESS = word_set("stiffer stiffen stiffened softer soften softened")
_DOINGS = word_set(
    "moved swapped replaced switched changed traded backed bumped cranked pulled bled aired laid opened closed jacked "
    "turned wound threw stuck let gave ran run used had new old round rounds was"
)
"""Verbs of a change and words about it, which name no part: "bumped" is no bump."""
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
_OF_AIR = {word.casefold() for word in SPELLINGS["pressure"]} - _POUNDS
_UNIT = unit_pattern(LEVER_KIND.values())
_NUMBER = re.compile(rf"(?P<way>[-+]?=|(?<![\w.])[-+])?\s*(?P<number>{NUMBER_PATTERN})\s*(?P<unit>{_UNIT})?")


_RATE_IN = re.compile(r"(?<![/.])\b(?:(\d{3,}) in\b|(\d+) in (?=(?:the )?(?:[lr][fr]|right|left)\b))")
"""A spring of that rate, or so much air, put in somewhere: no inches."""
_INCH_AND = re.compile(r"\b(?:an )?inch and (?:an? |one |three |five |seven )?(?:half|quarters?|eighths?|sixteenths?)")
_TO_NUMBER = re.compile(r"\bto(?: an?| the)?\s*$")
_IS_TO = re.compile(r"(?: (?:up|down|back))* to (?:an? |the )?")
_LED = re.compile(
    r"\b(?:(?P<old>from|was|were|had|used to \w+|instead of|old|swapped|replaced|traded|took out|pulled)"
    r"|(?P<new>to|now|for|with|is|put|ran))\b"
)
"""Before a number: whether it is what was there or what came."""
_OUT_BEHIND = re.compile(r"(?: (?!in\b)\w+){0,3}? out\b")
CROSS = "cross_weight"
_COUNT = re.compile(
    rf"(?P<count>{NUMBER_PATTERN}|couple(?: of)?|another|an?)?\s*(?P<what>rounds?|turns?|holes?|clicks?|"
    r"strips?|sizes?|steps?|numbers?|notch(?:es)?)\b(?P<half> (?:and )?1/2)?"
)
"""So many usual changes of what is not measured in these; of a jack screw, a round moves the cross."""
_ROUND = re.compile(r"(?<!between )\b(?:rounds?|turns?)\b")
_CORNER = re.compile(rf"\b(?:{'|'.join(CORNER_KEYS)})\b")
NEAR = 0.5
"""Share of its value by which a lever may be off what was said of it, where that tells which one is meant."""


class NoChangeError(ValueError):
    """What was said names no change of this car; the text says why and what to say instead."""


@dataclass(frozen=True)
class SaidChange:
    """A lever and the SI value it goes to. is_step: it was said how far it moves, not where it goes to.

    is_usual: nobody said how far, and the usual change is taken. told: what it was and is now, where both were said.
    rounds: of a jack screw, where it was told so.
    """

    lever: str
    value: float
    is_step: bool = False
    is_usual: bool = False
    told: tuple[float, float] | None = None
    rounds: float = 0.0

    def put_on(self, setup: Setup) -> Setup:
        """Make it, legal or not; a step from a guess leads to a guess."""
        moved = with_value(setup, self.lever, self.value)
        return replace(moved, guessed=setup.guessed) if self.is_step else moved


def read_change(text: str, setup: Setup, knowledge: Knowledge, system: System) -> SaidChange:
    """Read a change. Raises NoChangeError for what names no lever, no way, or a value no car can have."""
    plain = _plain(text)
    numbers = list(_NUMBER.finditer(plain))
    words = re.findall(r"[a-z][a-z_-]*", _NUMBER.sub(" ", plain))
    both = _old_and_new(plain, numbers)
    lever = _lever_meant(plain, words, numbers, both, setup, knowledge, system)
    way = _way_of(words, lever, setup, knowledge)
    if (count := _count_of(plain, lever, setup)) is not None:
        around = -1 if lever == CROSS and (corner := _CORNER.search(plain)) and corner[0] in {"rr", "lf"} else 1
        return _usual(lever, around * (way or (lever == CROSS)), setup, knowledge, system, times=count)
    if not numbers:
        return replace(_usual(lever, way, setup, knowledge, system), is_usual=True)
    is_way_said = any(word in _WAYS for word in words)
    if both is not None:
        old, new = (_sign_of(lever, setup) * _read(lever, one, setup, system) for one in both)
        if not is_way_said or (new - old) * way >= 0:
            moved = _checked(lever, value_of(setup, lever) + new - old, setup, knowledge, system, way=True)
            return replace(moved, is_step=True, told=(old, new))
    last = ([one for one in numbers if one["unit"]] or numbers)[-1]
    value = _read(lever, last, setup, system)
    sign = {"+": 1, "+=": 1, "-": -1, "-=": -1}.get(last["way"] or "", way)
    is_counted = last["unit"] is not None and _COUNT.match(f"1 {last['unit']}") is not None
    is_placed = sign > 0 and not (last["way"] or is_way_said or is_counted) and _off_by(lever, value, setup) <= NEAR
    goes_to = is_placed or (sign == way and _TO_NUMBER.search(plain[: last.start()]))
    is_step = not (last["way"] == "=" or goes_to or not sign)
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


def _old_and_new(plain: str, numbers: Sequence[re.Match[str]]) -> tuple[re.Match[str], re.Match[str]] | None:
    """Find what a lever was and what it is now: "from 225 to 200", "put a 250 in, was a 225", "a 225 for a 250"."""
    roles = [_role(plain, numbers, at) for at in range(len(numbers))]
    if sorted(roles) == ["", "old"]:
        roles = [one or "new" for one in roles]
    if not {"old", "new"} <= set(roles):
        return None
    return numbers[roles.index("old")], numbers[roles.index("new")]


def _role(plain: str, numbers: Sequence[re.Match[str]], at: int) -> str:
    """Say whether a number is what was there or what came: old, new or neither."""
    begin, end = numbers[at].start("number"), numbers[at].end("unit" if numbers[at]["unit"] else "number")
    behind = plain[end : numbers[at + 1].start("number")] if at + 1 < len(numbers) else ""
    before = plain[numbers[at - 1].end() if at else 0 : begin]
    led = [*_LED.finditer(before)]
    if before.split() and before.split()[-1] in _WAYS:
        return ""
    if behind and (_IS_TO.fullmatch(behind) or _OUT_BEHIND.match(behind)):
        return "old"
    return "" if not led else "old" if led[-1]["old"] else "new"


def _lever_meant(
    plain: str,
    words: Sequence[str],
    numbers: Sequence[re.Match[str]],
    both: tuple[re.Match[str], re.Match[str]] | None,
    setup: Setup,
    knowledge: Knowledge,
    system: System,
) -> str:
    """Find the lever by its name, else by the values that were told, else by what is counted in rounds."""
    lever, unclear = "", NoChangeError()
    try:
        lever = find_lever(words, setup, knowledge, unit=_unit_meant(numbers, both))
    except NoChangeError as why:
        unclear = why
    if both is not None and (not lever or max(_off(lever, both, setup, system)) > NEAR):
        said = {stem(word) for word in words} - {stem(word) for word in _FILLERS}
        named = [one for one in levers_of(setup) if said & {word for name in _names(one, knowledge) for word in name}]
        off = sorted((min(_off(one, both, setup, system)), one) for one in named or levers_of(setup))
        lever = off[0][1] if off[0][0] <= NEAR and (len(off) == 1 or off[1][0] > off[0][0]) else lever
    if not lever and _ROUND.search(plain):
        return CROSS
    if not lever:
        raise unclear
    ends = (f"{lever}_{side}" for side in ("left", "right") if side in words)
    return next((end for end in ends if end in levers_of(setup)), lever)


def _off(lever: str, both: Iterable[re.Match[str]], setup: Setup, system: System) -> list[float]:
    """Return by which share of its value a lever is off each value that was told; inf where it has no such unit."""
    try:
        return [_off_by(lever, _read(lever, one, setup, system), setup) for one in both]
    except NoChangeError:
        return [inf]


def _off_by(lever: str, value: float, setup: Setup) -> float:
    now = abs(value_of(setup, lever))
    return abs(value - now) / now if now else inf


def _unit_meant(numbers: Sequence[re.Match[str]], both: object) -> str | None:
    """Say which unit tells the lever at a corner: so few pounds are of air, many of a spring."""
    one = next((one for one in numbers if one["unit"]), None) or next(iter(numbers), None)
    if one is None or not one["number"].isdigit() or one["unit"] not in {None, *_POUNDS}:
        return None if one is None else one["unit"]
    many = RATE if both else MOST_AIR + 1
    return "lb/in" if int(one["number"]) >= many else None if both else "psi"


def _count_of(plain: str, lever: str, setup: Setup) -> float | None:
    """Return how many usual changes were told, in rounds, holes, sizes; None where the lever is measured in these."""
    found = _COUNT.search(plain)
    if found is None or (lever != CROSS and _is_unit_of(found["what"], lever, setup)):
        return None
    count = found["count"] or "1"
    whole = 2.0 if count.startswith("couple") else 1.0 if count.isalpha() else float(sum(map(Fraction, count.split())))
    return whole + 0.5 * bool(found["half"])


def _is_unit_of(word: str, lever: str, setup: Setup) -> bool:
    try:
        read(f"1 {word}", kind_of(lever, setup), default_unit=None)
    except UnitProblem:
        return False
    return True


def find_lever(words: Iterable[str], setup: Setup, knowledge: Knowledge, unit: str | None = None) -> str:
    """Find the lever most of whose name is in the words. Raises NoChangeError where none is, or several are."""
    plain = re.findall(r"[a-z]+", _plain(" ".join(words).replace("_", " ")))
    said = {stem(word) for word in plain if word not in _DOINGS} - {stem(word) for word in _FILLERS}
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
    said -= {stem(word) for word in _WAYS | _PLACED}
    part = [
        lever
        for lever, found in names.items()
        if (rest := said - _kinds_of(lever, knowledge)) and any(rest <= name for name in found)
    ]
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


def _family(said: set[str], unit: str | None) -> str:
    """Name what at a corner is meant where only the way or the unit tells: "soften the right rear", "rr 20 psi"."""
    rest = said - _AT_CORNERS - {stem(word) for word in _WAYS | _PLACED}
    if rest and rest != {"air"}:
        return ""
    if not rest and (unit == "lb/in" or said & {stem(word) for word in _STIFFNESS}):
        return stem("spring")
    return stem("pressure") if rest or unit in _OF_AIR else ""


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
    plain = _RATE_IN.sub(r"\1\2 at in ", plain.replace("old one", "old").replace("back to", "to"))
    for words, written in _WRITTEN.items():
        plain = re.sub(rf"\b{words}\b", written, plain)
    return plain


def _way_of(words: Sequence[str], lever: str, setup: Setup, knowledge: Knowledge) -> int:
    """Say which way is meant: + or - of the lever, 0 where nothing says so. What only places something counts last."""
    entry, own = knowledge.levers.get(lever), {word for name in _names(lever, knowledge) for word in name}
    mine: dict[str, int] = {}
    if entry is not None:
        mine = {entry.plus_word: 1, entry.minus_word: -1, entry.plus_verb: 1, entry.minus_verb: -1}
    ways = [(word, signs[word]) for signs in (mine, _WAYS, _PLACED) for word in words if word in signs.keys() - own]
    word, sign = next(iter(ways), ("", 0))
    if word in _KINDS and any({**_WAYS, **_PLACED}.get(one, 0) < 0 for one in words):
        return -sign
    return sign * (_sign_of(lever, setup) if word in _MAGNITUDE else 1)


def _kinds_of(lever: str, knowledge: Knowledge) -> set[str]:
    """Return the words for the ways of a lever that are kinds of something: bias goes to the front or the rear."""
    entry = knowledge.levers.get(lever)
    return set() if entry is None else {entry.plus_word, entry.minus_word} & _KINDS


def _sign_of(lever: str, setup: Setup) -> int:
    return -1 if value_of(setup, lever) < 0 else 1


def _usual(lever: str, way: int, setup: Setup, knowledge: Knowledge, system: System, times: float = 0.0) -> SaidChange:
    """Take the usual change, so many times: a round of a jack screw is one."""
    entry = knowledge.levers.get(lever)
    if entry is None or not way:
        plus, usual = ("up", "1") if entry is None else (entry.plus_word, str(entry.usual_change))
        raise NoChangeError(HOW_FAR.format(lever_name(lever), plus, usual))
    kind = kind_of(lever, setup)
    step = read(entry.usual_change, kind, default_unit=unit_of(kind, system)).value * (times or 1)
    value = value_of(setup, lever) + step * (-way if lever in SMALLER_IS_MORE else way)
    return SaidChange(lever, value, is_step=True, rounds=times if lever == CROSS else 0.0)


def _read(lever: str, found: re.Match[str], setup: Setup, system: System) -> float:
    """Read a number with its unit, or without one."""
    kind = kind_of(lever, setup)
    try:
        return read(f"{found['number']} {found['unit'] or ''}".strip(), kind, default_unit=unit_of(kind, system)).value
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
