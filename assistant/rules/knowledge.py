"""All packs together as one frozen value: what the rest of the program knows of the trade, and where it is written.

And what the packs speak of and what they do not: symptoms, remedies, cases and sources for each kind of complaint.

The levers a team added are put on a car to be moved like any other. Each says in its file where it stands and how far
it goes; a setup file may say where it stands on this car (`own levers: {rear_packers: 1}`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TypeVar, cast

from assistant.car.case import MODEL_KINDS, OF_THE_CAR, Case, LeverLimit, OwnLever, Setup, numbers_moved
from assistant.car.keys import LEVER_KIND, ends_of
from assistant.ground.names import PHASES, STAGES, did_you_mean
from assistant.ground.problems import BadInput, Problem
from assistant.ground.units import UnitProblem, read
from assistant.rules.conditions import Condition, read_condition
from assistant.rules.facts import Fact
from assistant.rules.models import (
    Caution,
    Driving,
    GlossaryEntry,
    Lever,
    NotUsedRow,
    OwnRange,
    PackFile,
    PracticeRule,
    Source,
    TireRule,
    Weights,
)
from assistant.rules.models_symptom import Cause, ExampleCase, PhrasesFile, Question, Symptom, TradeRemedy

_Made = TypeVar("_Made")
NO_PHRASES = PhrasesFile.model_construct(phrases=[])
NO_WEIGHTS = Weights.model_construct(ranking="together")
WITHOUT_KEY = frozenset({"common practice", "memory"})
"""What stands for a source when there is none to look up."""


@dataclass(frozen=True)
class Origin:
    """Where something is written. note: what a later pack did to it, with its reason."""

    pack: str
    file: str
    line: int
    note: str = ""


@dataclass(frozen=True)
class LoadedCase:
    """An example case of a symptom or cause. no_longer: where a later pack says that it fails on purpose.

    symptom: the name of either.
    """

    symptom: str
    case: ExampleCase
    origin: Origin
    no_longer: Origin | None = None


@dataclass(frozen=True)
class Knowledge:
    """Everything by its id or name. ranking: the weights that the packs state; `weights` has them all.

    first_phrases: those of the first pack alone, when there are more packs; its signs of danger stay signs of danger.
    dropped: symptom and remedy to where a later pack takes it out. notes: remarks that stop nothing, such as a team
    pack that was left out because it has problems.
    """

    packs: tuple[PackFile, ...] = ()
    levers: Mapping[str, Lever] = field(default_factory=dict)
    symptoms: Mapping[str, Symptom] = field(default_factory=dict)
    driving: Mapping[str, Driving] = field(default_factory=dict)
    causes: Mapping[str, Cause] = field(default_factory=dict)
    sources: Mapping[str, Source] = field(default_factory=dict)
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    glossary: Mapping[str, GlossaryEntry] = field(default_factory=dict)
    questions: Mapping[str, Question] = field(default_factory=dict)
    tire_reading: Mapping[str, TireRule] = field(default_factory=dict)
    phrases: PhrasesFile = NO_PHRASES
    first_phrases: PhrasesFile | None = None
    ranking: Weights = NO_WEIGHTS
    practice: tuple[PracticeRule, ...] = ()
    not_used: tuple[NotUsedRow, ...] = ()
    cases: tuple[LoadedCase, ...] = ()
    facts: Mapping[str, Fact] = field(default_factory=dict)
    conditions: Mapping[str, Condition] = field(default_factory=dict)
    origins: Mapping[tuple[str, ...], Origin] = field(default_factory=dict)
    dropped: Mapping[tuple[str, str], Origin] = field(default_factory=dict)
    notes: tuple[Problem, ...] = ()

    def origin(self, kind: str, name: str, remedy: str = "") -> Origin | None:
        """Find where a thing is written: origin("symptom", "loose off") or ("symptom", "loose off", "stagger less")."""
        return self.origins.get((kind, name, remedy) if remedy else (kind, name))

    def where(self, symptom: str) -> tuple[tuple[TradeRemedy, Origin], ...]:
        """List the remedies of a symptom in their order, each with the place it comes from."""
        return tuple(
            (remedy, self.origins[("symptom", symptom, remedy.name)]) for remedy in self.symptoms[symptom].remedies
        )

    def cautions_for(self, keys: Iterable[str]) -> tuple[str, ...]:
        """Give the words of cautions, each once, in the order of the file that lists them: the gravest first."""
        wanted = {*keys}
        return tuple(caution.says for key, caution in self.cautions.items() if key in wanted)

    def move_sign(self, lever: str, move: str) -> int:
        """Say which way a move goes: +1 or -1. KeyError for a word the lever does not have."""
        words = self.levers[lever]
        return {"+": 1, "-": -1, words.plus_word: 1, words.minus_word: -1}[move]

    def read_remedy(self, name: str) -> tuple[str, int]:
        """Read "stagger less" or "squeeze-later": its id, and +1 or -1 for a lever. KeyError for a move of no lever."""
        one, _, move = name.partition(" ")
        return (one, self.move_sign(one, move.strip())) if move else (one, 0)

    def pack_behind(self, because: str) -> str:
        """Name the later pack whose words a reason is, "" for the first one's; no reason stands twice."""
        return self.once(_reasons_of_teams).get(because, "")

    def condition(self, text: str) -> Condition:
        """Return a condition of the packs as it was understood when they were loaded; any other is read now."""
        return self.conditions.get(text) or read_condition(text, self.facts)

    def holds(self, condition: str, facts: Mapping[str, object]) -> bool | None:
        """Ask a condition of the packs: yes, no, or None when a fact it needs is missing."""
        return self.condition(condition).holds(facts)

    @property
    def weights(self) -> Weights:
        """The weights of all packs together. ValueError when one is in none of them."""
        if missing := self.ranking.unstated():
            raise ValueError(f"no pack states these weights of the ranking: {', '.join(missing)}")
        return self.ranking

    def once(self, make: Callable[[Knowledge], _Made]) -> _Made:
        """Return what is made of this knowledge, such as an index of its phrases; made once and held here."""
        if make not in self._made:
            self._made[make] = make(self)
        return cast("_Made", self._made[make])

    @cached_property
    def _made(self) -> dict[Callable[[Knowledge], object], object]:
        return {}


def _reasons_of_teams(knowledge: Knowledge) -> dict[str, str]:
    """List the reasons that later packs wrote, each with its pack."""
    named = [("symptom", name, one) for name, one in knowledge.symptoms.items()]
    named += [("cause", name, one) for name, one in knowledge.causes.items()]  # type: ignore[misc]
    found = (
        (entry.because, knowledge.origin(kind, name, entry.name)) for kind, name, one in named for entry in one.remedies
    )
    first = knowledge.packs[0].pack if knowledge.packs else ""
    return {because: origin.pack for because, origin in found if origin is not None and origin.pack != first}


def source_key(written: str) -> str:
    """Give the key in a line of `backed_by`: "ct-exit, p. 2" is of ct-exit, "memory: an old book" of memory."""
    return written.partition(",")[0].partition(":")[0].strip()


@dataclass(frozen=True)
class Citation:
    """A line of `backed_by`: as it is written, its page, and its source; None for what is in no list.

    pack: the later pack that says so; "" for the first.
    """

    written: str
    page: str = ""
    source: Source | None = None
    pack: str = ""


def cite(written: Sequence[str], knowledge: Knowledge, pack: str = "") -> tuple[Citation, ...]:
    """Look up what lines of `backed_by` name. pack: the later one that they stand in."""
    split = [(line, *line.partition(",")) for line in written]
    return tuple(
        Citation(line, page.strip(), knowledge.sources.get(name.strip()), pack) for line, name, _, page in split
    )


def equip(case: Case, knowledge: Knowledge) -> Case:
    """Put the packs' own levers on the car of a case, each where the setup file says, else where its own file does.

    As it is when no pack has any, or when they are on the car. What a setup states is skipped while no pack with levers
    of its own is loaded: nobody can tell then what it means. Raises BadInput for a value that cannot be read or cannot
    be, and for a lever none of the packs has.
    """
    own = {name: (lever, lever.range) for name, lever in knowledge.levers.items() if lever.is_own and lever.range}
    if not own or own.keys() == case.setup.own.keys():
        return case
    if unknown := [name for name in case.setup.stated_own if name not in own]:
        says = "no pack has a lever of its own called"
        raise BadInput(_fault(case, f"{says} '{name}'", did_you_mean(name, own)) for name in unknown)
    limits = {name: _limit(*lever) for name, lever in own.items()}
    values = {name: _value(*lever, case) for name, lever in own.items()}
    setup = replace(
        case.setup,
        values={**case.setup.values, **values},
        own={name: _own(*lever, values[name]) for name, lever in own.items()},
    )
    return replace(case, setup=setup, rulebook=replace(case.rulebook, limits={**case.rulebook.limits, **limits}))


def _own(lever: Lever, ends: OwnRange, now: float) -> OwnLever:
    moves, held = dict[str, float](), now
    if lever.model is not None and lever.model_change is not None:
        change = read(lever.model_change, MODEL_KINDS[lever.model]).value
        moves = dict.fromkeys(ends_of(lever.model.removeprefix(OF_THE_CAR)), change / lever.in_si(ends.step))
        if lever.model.startswith(OF_THE_CAR):
            held = lever.in_si(ends.now)  # nobody measures the car anew for it, while the scales are read anew
    return OwnLever(lever.title, lever.quantity or "count", held, moves)


def _limit(lever: Lever, ends: OwnRange) -> LeverLimit:
    return LeverLimit(lever.in_si(ends.low), lever.in_si(ends.high), lever.in_si(ends.step), lever.when)


def _value(lever: Lever, ends: OwnRange, case: Case) -> float:
    """Read where a lever stands. Raises BadInput naming the setup."""
    stated, limit = case.setup.stated_own.get(lever.lever, ends.now), _limit(lever, ends)
    try:
        value = lever.in_si(stated)
    except UnitProblem as mistake:
        raise BadInput(_fault(case, f"{lever.lever}: {mistake.says}", mistake.hint)) from mistake
    slack = 1e-6 * limit.step
    if not limit.low - slack <= value <= limit.high + slack:
        says = f"{lever.lever}: {stated} is outside its range, {ends.low} to {ends.high}"
        raise BadInput(_fault(case, says, "the lever's file says it"))
    return value


def _fault(case: Case, says: str, hint: str) -> Problem:
    return Problem(f"setup {case.setup.name}: own levers", 0, 0, says, hint)


def shifts_of(cause: Cause, setup: Setup) -> dict[str, tuple[float, float]]:
    """Say which numbers of the model are off under a cause, from and to (SI)."""
    shifts: dict[str, tuple[float, float]] = {}
    for lever, band in cause.model.items():
        low, high = (read(text, LEVER_KIND[lever]).value for text in band)
        starts, ends = (numbers_moved(lever, by, setup) for by in (low, high))
        shifts |= {name: (starts[name], ends[name]) for name in starts}
    return shifts


BALANCES = ("loose", "tight")
ENOUGH = 3
"""Remedies a cell should have: a rulebook or a stop can rule out the first, and the second."""


@dataclass(frozen=True)
class Covered:
    """One kind of complaint. symptoms: names; own: those of just this phase. Counts of what stands behind them."""

    balance: str
    phase: str
    stage: str
    symptoms: tuple[str, ...]
    own: tuple[str, ...]
    remedies: int
    cases: int
    sources: int


@dataclass(frozen=True)
class Hole:
    """Where the packs hold too little.

    kind: no own symptom, few remedies, no case, not found, no near miss, said twice, no remedy.
    of: the complaint, the symptom, the phrase or the title of the lever.
    """

    kind: str
    of: str


@dataclass(frozen=True)
class Coverage:
    """cells: every balance, phase and stage. others: symptoms without a balance, with their cases.

    left_out: titles of levers that no remedy moves, with the reason their files give.
    """

    cells: tuple[Covered, ...]
    others: tuple[tuple[str, int], ...]
    holes: tuple[Hole, ...]
    left_out: tuple[tuple[str, str], ...] = ()


def find_coverage(knowledge: Knowledge) -> Coverage:
    """Count what the packs hold for every kind of complaint, and name the holes."""
    cells = tuple(
        _cell(knowledge, balance, phase, stage) for balance in BALANCES for phase in PHASES for stage in STAGES
    )
    others = tuple(
        (name, _finding_cases(knowledge, name)) for name, one in _live(knowledge) if one.balance not in BALANCES
    )
    unused = _unused(knowledge)
    of_levers = (Hole("no remedy", lever.title) for lever in unused if lever.why_no_remedy is None)
    return Coverage(
        cells,
        others,
        (*_holes_of_cells(cells), *_holes_of_symptoms(knowledge), *_said_twice(knowledge), *of_levers),
        tuple((lever.title, lever.why_no_remedy) for lever in unused if lever.why_no_remedy is not None),
    )


def _live(knowledge: Knowledge) -> Iterator[tuple[str, Symptom]]:
    return ((name, one) for name, one in knowledge.symptoms.items() if one.retired is None)


def _cell(knowledge: Knowledge, balance: str, phase: str, stage: str) -> Covered:
    found = {
        name: one
        for name, one in _live(knowledge)
        if one.balance == balance and one.phase in {phase, "all"} and stage in one.stages
    }
    remedies = [remedy for one in found.values() for remedy in one.remedies]
    return Covered(
        balance=balance,
        phase=phase,
        stage=stage,
        symptoms=tuple(found),
        own=tuple(name for name, one in found.items() if one.phase == phase),
        remedies=len({remedy.name for remedy in remedies}),
        cases=sum(_finding_cases(knowledge, name) for name in found),
        sources=len({key.partition(",")[0] for remedy in remedies for key in remedy.backed_by}),
    )


def _finding_cases(knowledge: Knowledge, symptom: str) -> int:
    return sum(one.case.expect.found == symptom and not one.no_longer for one in knowledge.cases)


def _holes_of_cells(cells: tuple[Covered, ...]) -> Iterator[Hole]:
    for cell in cells:
        where = f"{cell.balance}, {cell.phase}, {cell.stage}"
        if not cell.own:
            yield Hole("no own symptom", where)
        if cell.remedies < ENOUGH:
            yield Hole("few remedies", where)
        if not cell.cases:
            yield Hole("no case", where)


def _holes_of_symptoms(knowledge: Knowledge) -> Iterator[Hole]:
    missed = {one.symptom for one in knowledge.cases if one.case.expect.not_found == one.symptom}
    for name, _ in _live(knowledge):
        if not _finding_cases(knowledge, name):
            yield Hole("not found", name)
        if name not in missed:
            yield Hole("no near miss", name)


def _said_twice(knowledge: Knowledge) -> Iterator[Hole]:
    """Find the phrases that are said for two symptoms: the first is always heard."""
    first: dict[str, str] = {}
    for name, symptom in _live(knowledge):
        for phrase in (name, *symptom.also_said):
            plain = " ".join(phrase.casefold().split())
            if first.setdefault(plain, name) != name:
                yield Hole("said twice", plain)


def _unused(knowledge: Knowledge) -> tuple[Lever, ...]:
    moved = {remedy.lever for _, symptom in _live(knowledge) for remedy in symptom.remedies}
    moved |= {remedy.lever for cause in knowledge.causes.values() for remedy in cause.remedies}
    return tuple(lever for name, lever in knowledge.levers.items() if name not in moved)
