"""Text with a unit to SI and back: the only conversions of the program.

`read` takes what a person wrote, `show` writes what a person reads. Gauge and absolute pressure, and a temperature
and a change of temperature, are different kinds and never exchanged.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import isfinite
from typing import Literal

from assistant.ground.names import did_you_mean, with_article
from assistant.ground.quantities import QUANTITIES, SPELLINGS, UNITS, Quantity, Unit, name_dimension

System = Literal["trade", "si"]
LONGEST = 80
"""Characters of the longest value that is read; nobody writes a longer one on purpose."""
TOO_LARGE = 1e15
"""No quantity of a car or a track is larger than this in any unit; beyond it somebody slipped."""
_COUNTED = frozenset({"turns", "clicks", "holes", "strips", "laps"})
"""Units that lose their s behind a one."""

_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3"}
_GUESS = re.compile(r"[\s,]*(?:\(\s*(guess(?:ed)?|measured)\s*\)|\b(guess(?:ed)?|measured))$", re.IGNORECASE)
_FRACTION = re.compile(r"(?:(\d{1,9})(?:\s+|\s*-\s*))?(\d{1,6})\s*/\s*(\d{1,6})(?![\d.,])")
_DECIMAL = re.compile(r"(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?(?:[eE][+-]?\d{1,3})?|\.\d+")
_CLOCK = re.compile(r"([+-]?)(\d{1,5}):([0-5]\d(?:\.\d+)?)(?:\s*(?:s|min))?")
_SPLIT = re.compile(r"(\d{1,3}(?:\.\d+)?)\s*:\s*(\d{1,3}(?:\.\d+)?)")
NUMBER_PATTERN = r"\d+\s+\d+/\d+|\d+/\d+|\d*\.?\d+"
"""How a number may stand in a typed line: "1 3/4", "1/2", ".75", "225"."""
_FEET_INCHES = re.compile(r"(\d{1,6})\s*(?:ft|'|′)\s*(\d[\d\s./-]*?)\s*(?:in|\"|″)")


@dataclass(frozen=True)
class Amount:
    """One value in SI units; guessed when the author said so."""

    value: float
    guessed: bool = False


class UnitProblem(ValueError):  # noqa: N818 - it is not our error but the author's
    """A value that cannot be read: `says` what is wrong, `hint` what to do."""

    def __init__(self, says: str, hint: str = "") -> None:
        self.says = says
        self.hint = hint
        super().__init__(f"{says}; {hint}" if hint else says)


def read(text: str | float, kind: str, *, default_unit: str | None = None) -> Amount:
    """Read a value of one kind into SI.

    kind: a key of QUANTITIES. default_unit: the unit of a bare number, else the trade unit of the kind.
    Reads "225 lb/in", "1 3/4 in", "9-1/2 in", "2,900 lb", "1:02.4", "16 in guessed", 24.
    Raises UnitProblem with words for the author.
    """
    quantity = QUANTITIES[kind]
    bare = find_unit(quantity.trade_unit if default_unit is None else default_unit, quantity)
    if isinstance(text, bool):
        raise UnitProblem(f"'{str(text).lower()}' is not {with_article(quantity.name)}", _example(quantity))
    if isinstance(text, int | float):
        if not abs(text) < TOO_LARGE:
            raise UnitProblem("this number is too large to be meant", "check the number of digits")
        return Amount(_to_si(float(text), bare, str(text)))
    if len(text) > LONGEST:
        raise UnitProblem(f"a value of {len(text)} characters is too long", _example(quantity))
    plain = _tidy(text)
    marked = _GUESS.search(plain)
    guessed = marked is not None and "guess" in marked[0].lower()
    plain = plain[: marked.start()].strip() if marked else plain
    return Amount(_read_value(plain, quantity, bare), guessed)


def show(
    value: float,
    kind: str,
    *,
    system: System = "trade",
    places: int | None = None,
    fraction: bool = False,
    unit: bool = True,
    signed: bool = False,
) -> str:
    """Write an SI value for people: "225 lb/in", "51.0 %", "9 1/2 in", "1:02.40".

    fraction: write parts of an inch (or of a turn) as the trade does, when the value is one of them to 1/1000.
    unit: with the unit behind it. signed: with a plus sign when positive.
    """
    quantity = QUANTITIES[kind]
    if not isfinite(value):
        raise ValueError(f"{value} cannot be shown as {quantity.name}")
    name = unit_of(kind, system)
    number = to_unit(value, name, kind)
    digits = (quantity.places if system == "trade" else quantity.metric_places) if places is None else places
    if kind == "lap_time" and abs(number) >= 60:
        minutes, seconds = divmod(round(abs(number), digits), 60)
        width = digits + 3 if digits else 2
        return f"{_sign(number, signed)}{minutes:.0f}:{seconds:0{width}.{digits}f}"
    written = _as_fraction(number, quantity.finest) if fraction and name in {"in", "turns"} else None
    if written is None:
        written = f"{abs(number):,.{digits}f}"
    sign = _sign(number, signed) if written.strip("0.,") else ""
    behind = name[:-1] if written == "1" and name in _COUNTED else name
    return f"{sign}{written} {behind}".strip() if unit else sign + written


def unit_of(kind: str, system: System = "trade") -> str:
    """Name the unit in which a kind is shown, and in which a bare number of a file in that system is read."""
    quantity = QUANTITIES[kind]
    return quantity.trade_unit if system == "trade" else quantity.metric_unit


def kind_of_unit(unit: str) -> str | None:
    """Give the quantity a unit alone tells: "in" a short length, "" a count; None for what is no unit."""
    if not unit or unit in UNITS["length"]:
        return "short_length" if unit else "count"
    dimension = next((group for group in UNITS if unit in UNITS[group]), None)
    return next((kind for kind, quantity in QUANTITIES.items() if quantity.dimension == dimension), None)


def to_unit(value: float, unit: str, kind: str | None = None) -> float:
    """Convert an SI value to a unit. Without `kind`, "lb" is a weight, "F" a thermometer and "psi" a gauge."""
    known = _known(unit, kind)
    return (value - known.zero) / known.size


def from_unit(value: float, unit: str, kind: str | None = None) -> float:
    """Convert a number of a unit to SI. Without `kind`, "lb" is a weight, "F" a thermometer and "psi" a gauge."""
    known = _known(unit, kind)
    return value * known.size + known.zero


def find_unit(text: str, quantity: Quantity) -> Unit:
    """Find a unit of a quantity by any of its spellings; UnitProblem for an unknown one or one of another kind."""
    wanted = re.sub(r"\s*([/*·])\s*", r"\1", " ".join(text.split()))
    spellings = SPELLINGS[quantity.dimension]
    if wanted in spellings:
        return spellings[wanted]
    folded = {unit for word, unit in spellings.items() if word.casefold() == wanted.casefold()}
    if len(folded) == 1:
        return folded.pop()
    raise _wrong_unit(wanted, quantity)


def unit_pattern(kinds: Iterable[str]) -> str:
    """Write a pattern of all that a typed line, in small letters, may call the units of these kinds."""
    spelled = {word.casefold() for kind in kinds for word in SPELLINGS[QUANTITIES[kind].dimension] if word}
    return f"(?:{'|'.join(map(re.escape, sorted(spelled, key=lambda word: (-len(word), word))))})(?![a-z/])"


def _known(unit: str, kind: str | None) -> Unit:
    if kind is not None:
        return find_unit(unit, QUANTITIES[kind])
    for known in (UNITS["temperature"], *UNITS.values()):
        if unit in known:
            return known[unit]
    raise UnitProblem(
        f"no unit is called '{unit}'", did_you_mean(unit, [name for known in UNITS.values() for name in known])
    )


def _tidy(text: str) -> str:
    plain = text.strip().replace("−", "-").replace("⁄", "/").replace("º", "°")
    for mark, written in _VULGAR.items():
        plain = plain.replace(mark, f" {written} ")
    return " ".join(plain.split())


def _read_value(plain: str, quantity: Quantity, bare: Unit) -> float:
    if quantity.dimension == "time" and (clock := _CLOCK.fullmatch(plain)):
        return (-1 if clock[1] == "-" else 1) * (60 * float(clock[2]) + float(clock[3]))
    if quantity.dimension == "share" and (split := _SPLIT.fullmatch(plain)):
        return _share_of_split(float(split[1]), float(split[2]), plain)
    if quantity.dimension == "length" and (both := _FEET_INCHES.fullmatch(plain)):
        return from_unit(float(both[1]), "ft") + _read_value(both[2] + " in", quantity, bare)
    sign = -1.0 if plain.startswith("-") else 1.0
    unsigned = plain.lstrip("+-").strip() if plain[:1] in "+-" and plain[1:2] not in {"+", "-"} else plain
    number, rest = _read_number(unsigned, quantity)
    unit = find_unit(rest, quantity) if rest else bare
    return _to_si(sign * number, unit, plain)


def _read_number(text: str, quantity: Quantity) -> tuple[float, str]:
    """Split "1 3/4 in" into 1.75 and "in"."""
    if part := _FRACTION.match(text):
        if not int(part[3]):
            raise UnitProblem(f"'{part[0]}' divides by zero", _example(quantity))
        return int(part[1] or 0) + int(part[2]) / int(part[3]), text[part.end() :].strip()
    found = _DECIMAL.match(text)
    if not found:
        raise UnitProblem(
            f"'{text}' does not start with a number" if text else "a value is missing here", _example(quantity)
        )
    rest = text[found.end() :].strip()
    if rest[:1] == ",":
        raise UnitProblem(f"'{text}' has a comma where thousands do not end", "write 1.5 or 1,500")
    if rest[:1].isdigit() or rest[:1] in {".", "_", "+", "-"}:
        raise UnitProblem(f"'{text}' is not one number", _example(quantity))
    return float(found[0].replace(",", "")), rest


def _share_of_split(first: float, second: float, plain: str) -> float:
    if abs(first + second - 100) > 0.11:
        raise UnitProblem(
            f"the two parts of '{plain}' do not add up to 100", "write the first part alone, such as 52 %"
        )
    return first / 100


def _to_si(number: float, unit: Unit, plain: str) -> float:
    if not abs(number) < TOO_LARGE:
        raise UnitProblem(f"'{plain}' is too large to be meant", "check the number of digits")
    return number * unit.size + unit.zero


def _wrong_unit(wanted: str, quantity: Quantity) -> UnitProblem:
    others = [group for group, spellings in SPELLINGS.items() if wanted in spellings]
    if not others:
        near = did_you_mean(wanted, SPELLINGS[quantity.dimension])
        return UnitProblem(
            f"no {quantity.name} is measured in '{wanted}'", near if near.startswith("did") else _example(quantity)
        )
    gauge = others[0] == "pressure" and quantity.dimension == "absolute_pressure"
    is_a = "gauge pressure" if gauge else name_dimension(others[0])
    return UnitProblem(f"{wanted} is {with_article(is_a)}, {with_article(quantity.name)} is wanted", _example(quantity))


def _example(quantity: Quantity) -> str:
    names = list(dict.fromkeys(name for name in (quantity.trade_unit, quantity.metric_unit) if name))
    if not names:
        return f"write a plain number, such as {4.11 if quantity.dimension == 'ratio' else 4}"
    return f"for example 12 {names[0]}" if len(names) == 1 else f"for example {names[0]} or {names[1]}"


def _as_fraction(number: float, finest: int) -> str | None:
    """Write 9.5 as "9 1/2" when it is a whole number of `finest` parts, else None."""
    if not finest:
        return None
    parts = round(abs(number) * finest)
    if abs(parts / finest - abs(number)) > 0.001:
        return None
    whole, rest = divmod(parts, finest)
    if not rest:
        return str(whole)
    part = Fraction(rest, finest)
    return f"{whole} {part}" if whole else str(part)


def _sign(number: float, signed: bool) -> str:
    return "-" if number < 0 else "+" if signed and number > 0 else ""
