"""Numbers of a gauge told in a sentence, and what they answer: tread temperatures, hot pressures, stagger.

"RF 204 228 206, LF 171 170 168", "rr's four over", "RR 34, tire people like 29", "two and a half, sheet says two".
How far apart counts is what the questions say: 12 F between two tires, 15 F from edge to edge, 4 psi.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from statistics import fmean
from typing import TYPE_CHECKING

from assistant.ground.names import CORNERS, ZONES, part_at_corners
from assistant.ground.units import from_unit, to_unit, unit_pattern

if TYPE_CHECKING:
    from assistant.car.case import Case, Setup

Strips = tuple[float, ...]
CLEARLY, ACROSS, CROWN = 12.0, 15.0, 8.0
"""F between two tires, from edge to edge, and between the middle and both edges."""
MUCH = 4.0
"""psi over or under."""
HOT_LESS = 7000.0
"""Pa a hot pressure may be below the cold one of the setup: gauges differ so much."""
ALL_TIRES = 3
"""So many tires told as usual are all as usual."""
MOVED = 0.25
"""Inches of stagger that are a difference."""
COOLEST, HOTTEST, HARDEST = 110.0, 330.0, 75.0
"""F a tread that was run has at least and at most; psi a tire has at most. A bare number tells which it is."""
_NUMBER = r"\d+(?:\.\d+)?"
_HEAT = r"(?<![\d.])\d{2,3}(?:\.\d)?"
"""A temperature; bounded, so that a line of digits is read in bounded time."""
_CAME = r"hot|came (?:in|off|back)|comes (?:in|off)"
_LIST = re.compile(
    rf"\W*(?:'?s\b|is|was|at|{_CAME}|up|read|reads|ran|running|pressures?|air|tire|temp\w*|\W)*"
    rf"\s*({_NUMBER}(?:\W{{1,3}}{_NUMBER}){{0,2}})"
)
_THREE = re.compile(rf"({_HEAT}(?:\W{{1,3}}{_HEAT}){{2}})(?![\d.])")
_SIDED = re.compile(r"\b(?:inside|outside)\b|\d (?:in|out)\b")
"""Says from which edge three numbers across a tread are told."""
_CELSIUS = re.compile(r"\b(\d{2,3}(?:\.\d+)?) ?c\b")
_MIDDLE_AND_EDGES = re.compile(
    rf"({_HEAT}) (?:in|at|on)? ?(?:the )?(?:middle|center)\W+(?:and )?({_HEAT}) (?:at|on|in)? ?(?:the |both )?edges"
)
_MORE = r"grew|gained|grown|opened up|went up|picked up"
_LESS = r"lost|shrunk|shrank|closed up|went down"
_BEFORE_AMOUNT = re.compile(rf"\b(?:(?P<more>{_MORE})|{_LESS}) (?:by |about |another |like |almost )*$")
_BEHIND_AMOUNT = re.compile(r"(?: (?:of )?an inch| inch)? (?:(?P<more>more|bigger|over|larger)|less|smaller|under)\b")
"""Beside so many inches by which it moved: "it grew a half inch", "an eighth more"."""
_ZONE = r"(?:in|inside|mid|middle|out|outside)"
_READ_THERE = rf"(?:came (?:off|in)\W+)?{_HEAT} ?(?:f )?(?:(?:on|in|at) )?(?:the )?{_ZONE}\b"
_THERE_READ = rf"\b{_ZONE} (?:is |was |at )?{_HEAT}"
_EACH_ZONE = re.compile(
    rf"{_READ_THERE}(?:\W+(?:and )?{_READ_THERE}){{2}}|{_THERE_READ}(?:\W+(?:and )?{_THERE_READ}){{2}}"
)
"""Three temperatures across a tread, each with its place, in any order."""
_USUALLY = re.compile(
    r"\b(?:aims?|like|likes|want|wants|should|ought|supposed|says|said|usual|usually|normal|normally|always|sheet|was|were"
    r"|before|most (?:have|run|guys)|everybody|others|went out|target|rather|set|carry|run|sensor)\b"
)
"""Words about the number that is wanted, or was."""
_PSI = unit_pattern(["pressure"])
_OVER = re.compile(
    rf"(?:'?s\b|is|was|{_CAME}|came|comes|in|ran|pressures?|air|about|like|up|a|\W)*"
    rf"({_NUMBER})(?: ?(?:and a half|1/2|{_PSI}|or so))* "
    r"(?:(?:too )?(?:over|high|higher|up|above|too hot)\b(?! (?:after|laps))"
    r"|more than|under|low|lower|down|below|short)"
)
_WITH_UNIT = re.compile(rf"(?<![\w.])({_NUMBER}) ?({_PSI})")
_OUT = r"cold|start(?:ed|s)?|set|went out|sent (?:it )?out|began"
_COUNTED = re.compile(r"\b(?:laps?|turns?) (?:about |around |like )?\d+(?: ?(?:to|or|and|-) ?\d+)?\b")
_NOT_AIR = r" ?(?:degrees?|deg|tenths?|laps?|over|up|high|higher|more)\b"
_AIR = rf"(?<![\w.])\d{{1,2}}(?:\.\d+)?(?!\w|\.\d|/\d|(?: ?{_PSI})?{_NOT_AIR})(?: ?{_PSI})?"
_PRESSURE = re.compile(
    rf"\b(?:(?P<out>{_OUT})|(?P<came>{_CAME}))\b(?:[ ,:=]|\b(?:at|with|it|the|was|were|is|out|on)\b)*(?P<psi>{_AIR})"
    rf"|(?<!up )(?<!gained )(?P<bare>{_AIR})(?:[^\w(]+(?:(?P<cold>cold)|(?P<hot>hot))\b)?"
)
"""A pressure, and whether it is said to be the one it went out with or the one it came in with."""
_AHEAD = re.compile(
    rf"\b(?:{_OUT}|{_CAME})\b(?: (?:at|with)\b)?(?: {_NUMBER})?(?: ?{_PSI})?(?: (?:in|on|for))?(?: (?:the|my|our))? *$"
)
_IN_HOT = re.compile(rf"\b(?:{_CAME})\b")
_OF_AIR = re.compile(r"\b(?:tires?|pressures?|air|psi|hot|[lr][fr]|(?:left|right) (?:front|rear))\b")
_BELOW_COLD = re.compile(
    r"\b(?:below|under|lower than|less than)(?: (?:its|the|our|my|where|what|we|i|it))*"
    r" (?:cold|went out|started|sent it out|set|was set|was cold)\b"
)
_LOST = re.compile(
    r"(?:'?s\b|is|was|has|had|its|it|tire|just|keeps|\W)*"
    r"\b(?:lost|los(?:es|ing)|drop(?:s|ped|ping)?|(?:bled|leaked)(?: off| down)?|(?:went|goes|going|gone) down|down)"
    rf"(?: (?:about|like|another|almost|over|by|a good))* (?:{'|'.join(map(str, range(2, 13)))})(?:\.\d)? ?{_PSI}"
)
"""Behind the name of a tire: so many pounds of air are gone."""
_READ_ALONE = re.compile(
    rf"(?:'?s )?(?:(?:is|was|came|went|goes|gained|up|down|over|under|in|by|about|at) )*{_NUMBER}"
    rf"(?: ?(?:{_PSI}|hot|cold|over|under|up|more|now))*\W*"
)
_WORDS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_PARTS_OF = {"half": 2, "quarter": 4, "fourth": 4, "eighth": 8, "sixteenth": 16}
TOE_OFF = 0.05
"""Inches of toe that are not the sheet's: less than the usual step of a sixteenth."""
_COUNT = rf"(?:{'|'.join(_WORDS[1:])}|an?)"
_WHOLE = rf"(?:{'|'.join(_WORDS[1:])}|\d{{1,2}}(?:\.\d+)?)"
_PART = r"(?:half|quarters?|eighths?|sixteenths?)"
INCHES = re.compile(
    rf"\b(?:(?P<fraction>\d+)/(?P<of>\d+)|(?P<count>{_COUNT}[- ])?(?P<part>{_PART})(?: (?:of )?an inch)?"
    rf"|(?P<whole>{_WHOLE}|(?:an )?inch(?= and))(?: inch(?:es)?)?"
    rf"(?:(?: and| &|-)? ?(?:(?P<n>\d+)/(?P<d>\d+)|(?P<c>{_COUNT} )?(?P<p>{_PART})))?)(?![\w/%])"
)
_TOE = re.compile(rf"\btoe(?:'?s| is| was| measured| read| came out)+ (?:at |about )?({INCHES.pattern})")
"""A toe that was measured."""


def answers_of_numbers(text: str, question: str, case: Case | None = None) -> dict[str, str]:
    """Return what the numbers in a line answer; the open question says what a number alone may be."""
    plain = " ".join(text.lower().replace("½", " 1/2").replace("¼", " 1/4").replace("¾", " 3/4").split())
    plain = _in_psi(_CELSIUS.sub(lambda one: f"{float(one[1]) * 1.8 + 32:.0f}", plain))
    treads = answers_of_treads(treads_in(plain, question))
    if not question and treads.get("rf_edge") in {"inside", "outside"} and not _SIDED.search(plain):
        del treads["rf_edge"]  # from which edge they were told nobody said: it is asked
    found = {**_answers_of_edges(plain), **treads, **_answers_of_air(plain, question)}
    if question == "stagger_hot" or "stagger" in plain:
        found.update(_answers_of_stagger(plain, case))
    if case is not None and "toe" in case.setup.values and (toe := _TOE.search(plain)):
        is_off = abs(inches_in(toe[1])[0][0] - to_unit(case.setup.values["toe"], "in", "length")) >= TOE_OFF
        found["front_measured"] = "toe-off" if is_off else "as-sheet"
    return found


def is_reading(text: str) -> bool:
    """Whether a line gives no more than a number of each tire it names: "rr went up 6"."""
    corners = part_at_corners(text.lower())[1]
    return bool(corners) and all(_READ_ALONE.fullmatch(behind) for _, behind in corners)


def answers_of_measured(case: Case) -> dict[str, str]:
    """Return what the gauges of a case answer, so that nobody is asked what was read; the cars are held against air."""
    heat = {
        corner: tuple(to_unit(zone, "F", "temperature") for zone in zones)
        for corner, zones in case.measured.temperatures.items()
    }
    return answers_of_treads(heat) | ({"pressures_hot": "read"} if case.measured.hot_pressure else {})


# treads


def without_zones(text: str) -> str:
    """Leave out the temperatures across a tread, whose "in", "middle" and "out" are no places in a corner."""
    return _EACH_ZONE.sub(" ", _MIDDLE_AND_EDGES.sub(" ", text.lower())) if any(map(str.isdigit, text)) else text


def treads_in(plain: str, question: str = "") -> dict[str, Strips]:
    """Find the temperatures of treads by corner: one number, or inside, middle and outside [F]."""
    found = {corner: numbers for corner, numbers in _numbers_at(plain) if are_treads(numbers)}
    for corner, behind in part_at_corners(plain)[1]:
        if told := _MIDDLE_AND_EDGES.search(behind):
            found[corner] = (float(told[2]), float(told[1]), float(told[2]))
        if (told := _EACH_ZONE.search(behind)) and (strips := _strips_told(told[0])):
            found[corner] = strips
    corner = {"rf_edge": "RF", "rr_edge": "RR"}.get(question, "")
    if corner and corner not in found:
        strips = _strips_told(plain) or tuple(float(one) for one in re.findall(_NUMBER, plain))
        found |= {corner: strips} if len(strips) == 3 and are_treads(strips) else {}
    return found


def _strips_told(told: str) -> Strips:
    """Put three temperatures in order by the places beside them; () where these are not three."""
    plain = re.sub(r"\bcame (?:off|in)\b", "", told)
    zones = re.findall(rf"\b({_ZONE})\b(?! the\b)", plain)
    read = dict(zip((zone[:2] for zone in zones), map(float, re.findall(_HEAT, plain)), strict=False))
    return tuple(read[zone[:2]] for zone in ZONES) if len(zones) == len(read) == len(ZONES) else ()


def are_treads(numbers: Sequence[float | str]) -> bool:
    """Whether these can be the temperatures of a tread [F]; no air is that high."""
    return len(numbers) in {1, 3} and all(COOLEST <= float(one) <= HOTTEST for one in numbers)


def _numbers_at(plain: str) -> Iterator[tuple[str, Strips]]:
    """Give each corner that is named with the numbers right behind it, or three that stand together further on."""
    for corner, behind in part_at_corners(plain)[1]:
        found = _LIST.match(behind) or _THREE.search(behind)
        yield corner, tuple(float(one) for one in re.findall(_NUMBER, found[1])) if found else ()


def answers_of_treads(heat: Mapping[str, Strips]) -> dict[str, str]:
    """Say which right-side tire is the hotter one, and where across the tread it is hottest."""
    found = {}
    if {"RF", "RR"} <= heat.keys():
        apart = fmean(heat["RF"]) - fmean(heat["RR"])
        found["tire_heat"] = "level" if abs(apart) < CLEARLY else "rf" if apart > 0 else "rr"
    for corner, question in (("RF", "rf_edge"), ("RR", "rr_edge")):
        if len(heat.get(corner, ())) == 3:
            found[question] = _across(heat[corner], one_edge=corner == "RR")
    return found


def _answers_of_edges(plain: str) -> dict[str, str]:
    """Say which edge of a right-side tire was read hot: "rr's at 230 on the inside edge"."""
    found = {}
    for corner, behind in part_at_corners(plain)[1]:
        read, edges = re.findall(_HEAT, behind), re.findall(r"\b(inside|outside) edge", behind)
        if corner in {"RF", "RR"} and len(read) == len(edges) == 1 and COOLEST <= float(read[0]) <= HOTTEST:
            found[f"{corner.lower()}_edge"] = edges[0] if corner == "RF" else "one-edge"
    return found


def _across(zones: Strips, *, one_edge: bool) -> str:
    inside, middle, outside = zones
    crown = middle - (inside + outside) / 2
    if abs(outside - inside) >= ACROSS:
        return "one-edge" if one_edge else "outside" if outside > inside else "inside"
    return "even" if abs(crown) < CROWN else "middle" if crown > 0 else "both-edges"


# air


def _in_psi(plain: str) -> str:
    """Write each pressure that is told with its unit in psi: "30 kpa over" is "4.4 psi over"."""

    def written(told: re.Match[str]) -> str:
        return f"{round(to_unit(from_unit(float(told[1]), told[2], 'pressure'), 'psi', 'pressure'), 1):g} psi"

    return _WITH_UNIT.sub(written, plain)


def air_in(plain: str) -> dict[str, float]:
    """Find hot pressures by corner [psi]."""
    return {
        corner: numbers[0]
        for corner, numbers in _numbers_at(plain)
        if len(numbers) == 1 and 5.0 <= numbers[0] <= HARDEST
    }


def is_losing_air(text: str, cold: Setup, *, is_of_change: bool = False) -> bool:
    """Whether a line tells that a tire has less air than it went out with: so much lost, or less hot than cold.

    What it went out with is what the line says, else the cold pressure of the setup. is_of_change: what was changed is
    asked, so that "went down 4 pounds" was done to a tire.
    """
    plain = _in_psi(_digits(" ".join(text.lower().split())))
    pieces = _told_of_corners(plain)
    clauses = [(corner, clause) for corner, behind in pieces for clause in re.split(r"[,.;] | and ", behind)]
    may_be_done = is_of_change and not re.search(r"\b(?:los[te]|leak)", plain)
    lost = [one for corner, one in clauses if _LOST.match(one) and (corner or not (may_be_done or "drop" in one))]
    if lost or (_OF_AIR.search(plain) and _BELOW_COLD.search(plain)):
        return True
    is_hot = _IN_HOT.search(plain) is not None
    told = [(corner, *_out_and_in(pieces, corner, is_hot=is_hot)) for corner in dict(pieces)]
    if len(told) == 1 and not told[0][0]:
        return bool(_OF_AIR.search(plain)) and _is_less(told[0][2], told[0][1])
    hot = {corner: from_unit(came, "psi", "pressure") for corner, out, came in told if corner and came and not out}
    return any(_is_less(came, out) for _, out, came in told) or is_below_cold(hot, cold)


def _told_of_corners(plain: str) -> list[tuple[str, str]]:
    """Give each corner with what is told of it, "set the" and "came in with 12 in the" before it too."""
    before, corners = part_at_corners(plain)
    if not corners and len(four := re.findall(_AIR, plain)) == len(CORNERS):
        return list(zip(CORNERS, four, strict=True))
    pieces = [("", before)]
    for corner, behind in corners:
        ahead = _AHEAD.search(pieces[-1][1])
        pieces[-1] = (pieces[-1][0], pieces[-1][1][: ahead.start() if ahead else None])
        pieces.append((corner, f"{ahead[0]} {behind}" if ahead else behind))
    return pieces[1:] or pieces


def _out_and_in(pieces: Sequence[tuple[str, str]], corner: str, *, is_hot: bool) -> tuple[float | None, float | None]:
    """Return the pressures a tire went out and came in with, as they are told [psi]."""
    found: dict[str, float] = {}
    for behind in (behind for name, behind in pieces if name == corner):
        for one in _PRESSURE.finditer(behind):
            psi = float(re.findall(_NUMBER, one["psi"] or one["bare"])[0])
            kind = "out" if one["out"] or one["cold"] else "in" if one["hot"] or one["came"] else "bare"
            if 5.0 <= psi <= HARDEST:
                found.setdefault(kind, psi)
    bare = found.get("bare") if is_hot or "out" in found else None
    return found.get("out"), found.get("in", bare)


def _is_less(came: float | None, out: float | None) -> bool:
    return came is not None and out is not None and from_unit(out - came, "psi", "pressure") > HOT_LESS


def is_below_cold(hot: Mapping[str, float], cold: Setup) -> bool:
    """Whether a hot pressure [Pa] is clearly below the cold one of the setup."""
    return any(value < cold.values[f"pressure_{corner.lower()}"] - HOT_LESS for corner, value in hot.items())


def _answers_of_air(plain: str, question: str) -> dict[str, str]:
    """Hold hot pressures against what the line says they should be."""
    over = dict(_said_over(plain))
    if not over and (question == "pressures_hot" or re.search(r"\bhot\b", plain)):
        told = air_in(re.split(r"\.\s|;", plain)[0]) if len(re.split(r"\.\s|;", plain)) > 1 else air_in(plain)
        over = {corner: told[corner] - wanted for corner, wanted in _wanted(plain, told) if corner in told}
    if not over:
        return {}
    high = [corner for corner, psi in over.items() if psi >= MUCH]
    if any(psi <= -MUCH for psi in over.values()):
        return {"pressures_hot": "low"}
    if len(high) >= 3:
        return {"pressures_hot": "all-high"}
    right = next((corner for corner in ("RR", "RF") if corner in high), "")
    if right:
        return {"pressures_hot": f"{right.lower()}-high"}
    is_all = question == "pressures_hot" or len(over) >= ALL_TIRES
    return {} if high or not is_all else {"pressures_hot": "usual"}


def _said_over(plain: str) -> Iterator[tuple[str, float]]:
    """Give each corner that is said to be so much over or under: "rr's four over"."""
    written = _digits(plain)
    for corner, behind in part_at_corners(written)[1]:
        if found := _OVER.match(behind):
            less = re.search(r"\b(?:under|low|lower|down|below|short)\b", found[0])
            yield corner, (-1 if less else 1) * float(found[1])


def _digits(plain: str) -> str:
    """Write numbers in words as digits, without the laps and turns that are counted: "hot about lap 20"."""
    plain = _COUNTED.sub("", plain)
    return re.sub(rf"\b({'|'.join(_WORDS[1:])})\b", lambda one: str(_WORDS.index(one[0])), plain)


def _wanted(plain: str, told: Mapping[str, float]) -> Iterator[tuple[str, float]]:
    """Give the pressure each corner is said to want, or to have had: "tire people like 29 on the rr"."""
    for clause in re.split(r"[.;]\s|,\s(?=[a-z' ]{6})|\bbut\b", plain):
        if not _USUALLY.search(clause) or "cold" in clause:
            continue
        numbers = [float(one) for one in re.findall(_NUMBER, clause) if 5.0 <= float(one) <= HARDEST]
        named = [corner for corner, _ in part_at_corners(clause)[1]]
        if len(named) == len(numbers) == 4 or not numbers:
            continue
        own = [corner for corner in named if corner not in air_in(clause) or len(numbers) > 1]
        corners = own or named or (["RR", "RF"] if "right" in clause else list(told)[-1:])
        for corner in corners:
            yield corner, max(numbers) if told.get(corner, 0.0) > max(numbers) else min(numbers)


# stagger


def inches_in(plain: str) -> list[tuple[float, int]]:
    """Find lengths in inches, each with its place: "2 3/8", "two and an eighth", "inch and a half"."""
    return [(_inches(found), found.start()) for found in INCHES.finditer(plain)]


def _inches(found: re.Match[str]) -> float:
    if found["fraction"]:
        return int(found["fraction"]) / int(found["of"])
    if found["part"]:
        return _count(found["count"]) / _PARTS_OF[found["part"].rstrip("s")]
    whole = 1.0 if "inch" in found["whole"] else _count(found["whole"])
    if found["n"]:
        return whole + int(found["n"]) / int(found["d"])
    return whole + (_count(found["c"]) / _PARTS_OF[found["p"].rstrip("s")] if found["p"] else 0.0)


def _count(word: str | None) -> float:
    word = (word or "a").strip(" -")
    return float(_WORDS.index(word)) if word in _WORDS else 1.0 if word in {"a", "an"} else float(word)


def _moved_by(plain: str) -> float | None:
    """Return how much it is said to have grown [in], less than 0 where it shrank; None where that is not said."""
    for found in INCHES.finditer(plain):
        beside = _BEFORE_AMOUNT.search(plain[max(0, found.start() - 40) : found.start()]) or _BEHIND_AMOUNT.match(
            plain[found.end() : found.end() + 40]
        )
        if beside is not None:
            return _inches(found) if beside["more"] else -_inches(found)
    return None


def _answers_of_stagger(plain: str, case: Case | None) -> dict[str, str]:
    """Hold the stagger that was taped against what it should be: as it is said, else as the car's sheet has it."""
    if (moved := _moved_by(plain)) is not None:
        return {"stagger_hot": "as-set" if abs(moved) < MOVED else "grown" if moved > 0 else "closed"}
    told = [(value, place) for value, place in inches_in(plain) if value <= 6.0]
    apart = [plain[before:behind] for (_, before), (_, behind) in pairwise([*told, (0.0, len(plain))])]
    starts = plain[: told[0][1]] if told else plain
    meant = [_USUALLY.search(lead) is not None for lead in (starts, *apart[:-1])]
    read = [value for (value, _), wanted in zip(told, meant, strict=False) if not wanted]
    wanted = [value for (value, _), is_wanted in zip(told, meant, strict=False) if is_wanted]
    if not wanted and not _USUALLY.search(plain) and case is not None and "stagger" in case.setup.values:
        wanted = [to_unit(case.setup.values["stagger"], "in", "length")]
    if not (read and wanted):
        return {}
    grown = read[0] - wanted[0]
    return {"stagger_hot": "as-set" if abs(grown) < MOVED else "grown" if grown > 0 else "closed"}
