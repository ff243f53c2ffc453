"""Every fact a condition may speak of: its name, what kind of thing it is, and what it means.

And what facts and numbers that are added up come to, which must be of one kind to be compared.

The facts of a case are found elsewhere (`assistant.diagnosis.evidence`); here stands only which there can be.
A fact nobody knows is simply absent, and the condition is then neither true nor false.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from math import isfinite
from typing import TypeVar

from assistant.car.case import HOW_SOON
from assistant.car.keys import LEVER_KIND, LEVERS
from assistant.ground.names import CORNER_KEYS, PHASES, STAGES, ZONES, did_you_mean, plain_id, with_article
from assistant.ground.quantities import QUANTITIES
from assistant.ground.units import UnitProblem, read

WORD = "word"
"""Kind of the facts that are one of a few words; every other kind is a key of QUANTITIES."""
ANSWERED = "An answer of the interview."
"""What every fact means that answers a question."""
IN_A_PHASE = ("loose", "tight", "both", "none")
"""What may be reported in one phase of the corner; both: one of them at one stage or end and one at another."""


@dataclass(frozen=True)
class Fact:
    """One fact. kind: "word" or a key of QUANTITIES. words: what a word may be."""

    name: str
    kind: str
    meaning: str
    words: tuple[str, ...] = ()


def _known_facts() -> tuple[Fact, ...]:
    fixed = (
        Fact("banking", "angle", "Banking of the turn; the steeper end when the two differ."),
        Fact("banking_least", "angle", "Banking of the flatter end."),
        Fact("radius", "length", "Radius of the driven line; the tighter end when the two differ."),
        Fact("radius_largest", "length", "Radius of the wider end."),
        Fact("lap_length", "lap_length", "Length of one lap."),
        Fact("run_laps", "laps", "Laps between stops."),
        Fact("corner_speed", "speed", "Computed speed in the middle of the turn, tires fresh."),
        Fact("track_temperature", "temperature", "Temperature of the track."),
        Fact("air_temperature", "temperature", "Temperature of the air."),
        Fact("steering_share", "ratio", "Front grip in use over rear grip in use in the middle; 1 is level."),
        Fact("fuel_used", "mass", "Fuel used over the run."),
        Fact("rpm_max", "rpm", "Highest engine speed seen on the straight."),
        Fact("hot_stagger", "short_length", "Rear stagger taped after the run."),
        Fact("laps_measured", "laps", "Laps over which the car was measured."),
        Fact("differential", WORD, "What ties the rear wheels together.", ("locked", "locker", "open")),
        Fact("balance", WORD, "What the driver reports.", ("loose", "tight", "none")),
        *(
            Fact(f"balance_{phase}", WORD, f"What the driver reports in the {phase}, at any stage.", IN_A_PHASE)
            for phase in PHASES
        ),
        Fact("phase", WORD, "Where in the corner the driver reports it.", (*PHASES, "all")),
        Fact("stage", WORD, "Where in the run the driver reports it.", (*STAGES, "all")),
        Fact("trend", WORD, "How it changes through the run.", ("looser", "tighter", "none")),
        Fact("tire_named", WORD, "Whose tire the driver says gives up.", CORNER_KEYS),
        Fact("at_hand", WORD, "The time there is for a change.", HOW_SOON),
    )
    return fixed + tuple(_corner_facts())


def _corner_facts() -> Iterable[Fact]:
    for corner in CORNER_KEYS:
        name = corner.upper()
        for edge in ZONES:
            yield Fact(f"temperature_{corner}_{edge}", "temperature", f"Tread temperature of the {name}, {edge}.")
        yield Fact(f"temperature_{corner}", "temperature", f"Mean tread temperature of the {name}.")
        yield Fact(f"hot_pressure_{corner}", "pressure", f"Pressure of the {name} at once after the run.")
        yield Fact(f"cold_pressure_{corner}", "pressure", f"Pressure of the {name} before the run.")
        yield Fact(f"wear_{corner}", "short_length", f"Tread the {name} has used over the run.")


def _lever_facts() -> tuple[Fact, ...]:
    return tuple(
        Fact(lever, LEVER_KIND[lever], f"Today's setting of {lever.replace('_', ' ')}.")
        for lever in LEVERS
        if lever != "track_bar"  # both ends together; it has no value of its own
    )


FACTS: Mapping[str, Fact] = {fact.name: fact for fact in (*_known_facts(), *_lever_facts())}
"""Name to fact, for all facts but the answers."""


def facts_with_answers(answers: Mapping[str, Iterable[str]]) -> Mapping[str, Fact]:
    """Add a word fact for each question: question id to the ids of its choices."""
    asked = {
        plain_id(question): Fact(plain_id(question), WORD, ANSWERED, tuple(choices))
        for question, choices in answers.items()
    }
    return {**asked, **FACTS}


Facts = Mapping[str, object]
"""What is known of a case."""
FactReader = Callable[[Facts], float | None]
_X = TypeVar("_X")
BARE = frozenset({"ratio", "count", "turns", "clicks", "holes", "strips", "laps", "rpm"})
"""Kinds whose numbers need no unit."""


class ConditionProblem(UnitProblem):
    """What is wrong with a condition, at which column of its text (from 1), and what to do."""

    def __init__(self, says: str, hint: str = "", column: int = 1) -> None:
        self.column = column
        super().__init__(says, hint)


@dataclass(frozen=True)
class Symbol:
    """One piece of a condition. kind: number, word, text or sign. unit: only behind a number."""

    kind: str
    text: str
    column: int
    unit: str = ""


Terms = tuple[tuple[float, Symbol], ...]
"""Facts and numbers that are added up, each with what it is multiplied by."""


@dataclass(frozen=True)
class Kind:
    """What a side is. count: for temperatures, how many readings it adds up to; else 0."""

    name: str
    count: float = 0.0

    @property
    def dimension(self) -> str:
        """The group of units; plain numbers of any kind are one group."""
        return "number" if self.name in {"ratio", "count"} else QUANTITIES[self.name].dimension


def compile_sides(terms_left: Terms, terms_right: Terms, known: Mapping[str, Fact]) -> tuple[FactReader, FactReader]:
    """Check the two sides of a comparison against each other and compile both. Raises ConditionProblem."""
    left, right = terms_left[0][1], terms_right[0][1]
    kind_left, kind_right = _infer(terms_left, known), _infer(terms_right, known)
    kind = kind_left or kind_right
    if kind is None:
        raise ConditionProblem("this compares no fact with anything", "name a fact on one side", left.column)
    _must_be_alike(kind, kind_right or kind, right)
    if not same(kind.count, (kind_right or kind).count):
        says = "a temperature cannot be compared with a difference of temperatures"
        raise ConditionProblem(says, "take the difference on both sides", right.column)
    # beside a fact a bare number is a change, alone it is what the other side is
    bare_left, bare_right = (Kind(kind.name) if side else kind for side in (kind_left, kind_right))
    return _compile_side(terms_left, bare_left), _compile_side(terms_right, bare_right)


def _infer(terms: Terms, known: Mapping[str, Fact]) -> Kind | None:
    """Find the kind of a side; None when it is made of bare numbers and takes the kind of the other side."""
    kind, count = None, 0.0
    for factor, symbol in terms:
        if symbol.kind == "word":
            one = _kind_of_fact(symbol, known)
            _must_be_alike(kind or one, one, symbol)
            kind, count = kind or one, count + factor * one.count
    return None if kind is None else Kind(kind.name, count)


def _kind_of_fact(symbol: Symbol, known: Mapping[str, Fact]) -> Kind:
    fact = known.get(symbol.text)
    if fact is None:
        raise say_unknown(symbol, known)
    if fact.kind == WORD:
        says, hint = f"'{fact.name}' is a word, not a number", f"write '{fact.name} is ...'"
        raise ConditionProblem(says, hint, symbol.column)
    return Kind(fact.kind, 1.0 if fact.kind == "temperature" else 0.0)


def _must_be_alike(kind: Kind, other: Kind, symbol: Symbol) -> None:
    """Refuse two kinds of different dimensions."""
    if kind.dimension != other.dimension:
        wanted, found = QUANTITIES[kind.name].name, QUANTITIES[other.name].name
        says = f"{with_article(found)} cannot be compared with {with_article(wanted)}"
        raise ConditionProblem(says, "both sides must be of one kind", symbol.column)


def read_number(symbol: Symbol, kind: str, sign: str = "") -> float:
    """Read a number with its unit into SI."""
    try:
        return read(f"{sign}{symbol.text} {symbol.unit}".strip(), kind).value
    except UnitProblem as problem:
        raise ConditionProblem(problem.says, problem.hint, symbol.column) from None


def _compile_side(terms: Terms, bare: Kind) -> FactReader:
    """Compile a sum of terms. bare: what a bare number is."""
    parts = [
        _compile_fact(symbol.text, factor)
        if symbol.kind == "word"
        else _compile_number(symbol, factor, bare, alone=len(terms) == 1)
        for factor, symbol in terms
    ]
    return when_known(lambda *values: sum(values), *parts)


def _compile_number(symbol: Symbol, factor: float, kind: Kind, *, alone: bool) -> FactReader:
    name = kind.name
    if name in {"temperature", "temperature_change"}:
        if kind.count and not (same(kind.count, 1.0) and alone and abs(factor) == 1.0):
            raise ConditionProblem("a sum of temperatures is no temperature", "take a mean", symbol.column)
        name = "temperature" if kind.count else "temperature_change"
    if not symbol.unit and name not in BARE:
        says, hint = f"{symbol.text} needs a unit here", f"such as {symbol.text} {QUANTITIES[name].trade_unit}"
        raise ConditionProblem(says, hint, symbol.column)
    value = abs(factor) * read_number(symbol, name, "-" if factor < 0 else "")
    return lambda _: value


def _compile_fact(name: str, factor: float) -> FactReader:
    def value(facts: Facts) -> float | None:
        found = facts.get(name)
        return factor * float(found) if isinstance(found, int | float) and isfinite(found) else None

    return value


def say_unknown(symbol: Symbol, known: Mapping[str, Fact]) -> ConditionProblem:
    """Say that a word is no fact, and the nearest one that is; a question as its file has it."""
    names = [name.replace("_", "-") if fact.meaning == ANSWERED else name for name, fact in known.items()]
    return ConditionProblem(f"no fact is called '{symbol.text}'", did_you_mean(symbol.text, names), symbol.column)


def same(a: float, b: float) -> bool:
    """Tell whether two values are one and the same after conversion between units."""
    return abs(a - b) <= 1e-9 * max(abs(a), abs(b))


def when_known(function: Callable[..., _X | None], *parts: Callable[[Facts], object]) -> Callable[[Facts], _X | None]:
    """Compute when every part is known."""

    def value(facts: Facts) -> _X | None:
        values = [part(facts) for part in parts]
        return None if any(one is None for one in values) else function(*values)

    return value
