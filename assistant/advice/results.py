"""What the advice is made of: frozen values that the screens, the sheet, JSON and the tests all show.

Numbers, ids and the packs' own words; `assistant.pages` makes sentences of them, in the units of who reads. Balance is
in percent of grip, + tighter; everything else is in SI. Anything not computed is None, never invented.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from assistant.car.case import HOW_SOON, Case, When

if TYPE_CHECKING:
    from assistant.belief.believe import Belief
    from assistant.belief.outcome import RunAfter
    from assistant.belief.picture import Picture
    from assistant.diagnosis.questions import OpenQuestion
    from assistant.ground.names import Grid
    from assistant.ground.understood import CauseFound, Complaint, StopReason
    from assistant.rules.knowledge import Citation
    from assistant.rules.models import Confidence


@dataclass(frozen=True)
class Cost:
    """One thing an offer makes worse. kind: balance | tire life | pace | pressure.

    amount: change of balance where it is largest, least where it is smallest; laps lost; seconds a lap; change of hot
    pressure [Pa]. after: laps left, hot pressure [Pa]. what: the corner or "lap". short: the run ends `amount` laps
    before its length. past: balance on the other side of neutral. end: of the track, None for both. unsaid: nobody said
    how the car is there, and it may be for the better as well.
    """

    kind: str
    amount: float
    what: str = ""
    least: float = 0.0
    after: float = 0.0
    phases: tuple[str, ...] = ()
    stages: tuple[str, ...] = ()
    end: str | None = None
    past: bool = False
    short: bool = False
    unsaid: bool = False


@dataclass(frozen=True)
class Listing:
    """Where a remedy stands in the trade's list for a symptom.

    place: 0 first, None when it is not in the list. against: the trade moves it the other way. confidence: how sure the
    trade is of the entry, good, fair or guess.
    """

    place: int | None
    symptom: str
    against: bool = False
    confidence: Confidence = "good"


def slowest(times: Iterable[str]) -> When:
    """Take the slowest of several times of change."""
    return HOW_SOON[max(map(HOW_SOON.index, times))]


@dataclass(frozen=True)
class Certainty:
    """How sure a direction is. basis: computed | by the book | unknown | no direction (asked for).

    share: chance that the sign holds, 0 to 1. trade: the trade's word for its confidence in a habit, "" for a lever.
    """

    basis: str
    share: float = 0.0
    trade: str = ""


@dataclass(frozen=True)
class Factor:
    """One factor of a remedy's rank. about: what its value comes from, where that is more than the value itself."""

    name: str
    value: float
    about: Listing | Certainty | str = ""


COMPUTES_SMALL, COMPUTES_EVEN = "computes small", "computes even"
"""Kinds of note of a lever a cause calls for that, computed for what was said, does too little to be felt, or costs
elsewhere what it gives."""
TRADE_ALONE = "trade alone"
"""Kind of note of a lever the trade lists, where no lever is computed to do more good than harm."""
FROM_PACK = "from pack"
"""Kind of note of what a later pack wrote; its name is that of the pack."""


@dataclass(frozen=True)
class Note:
    """Something to be said of a remedy. kind: see `assistant.pages.advice_words`; names: what it is said of."""

    kind: str
    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class Treats:
    """A cause in words, its chance, and the share of the complaint that an offer takes away if this is it.

    is_balance: it is mere balance, which a lever is moved for where no other cause calls for it.
    """

    title: str
    chance: float
    cures: float
    is_balance: bool = False


@dataclass(frozen=True)
class Worth:
    """What the place of an offer rests on. treats: the causes it is for. sure: chance that it cures.

    lines: every cause under which it does something. cost: minutes and what it spoils, in complaints. looks: whether it
    only tells what to do next.
    """

    treats: tuple[Treats, ...] = ()
    sure: float = 0.0
    lines: tuple[Treats, ...] = ()
    cost: float = 0.0
    looks: bool = False

    @property
    def gain(self) -> float:
        """What is expected to go of the complaint, the cost taken off."""
        return sum(one.chance * one.cures for one in self.lines) - self.cost

    def gain_if(self, title: str) -> float:
        """What goes if it is this cause for sure, the cost taken off."""
        return sum(one.cures for one in self.lines if one.title == title) - self.cost


@dataclass(frozen=True)
class Each:
    """What share of one of several complaints goes, below zero where it gets worse. end: None for both of the track."""

    balance: str
    phases: tuple[str, ...]
    end: str | None
    removes: float


@dataclass(frozen=True)
class PackageMove:
    """One lever of several that are moved together, SI values; alone it `contributes` and `spoils` such shares.

    guessed: nobody said where the lever stands now. rounds: of a jack screw, where it goes back as it was told.
    """

    lever: str
    title: str
    steps: int
    start: float
    finish: float
    contributes: float
    cautions: tuple[str, ...] = ()
    spoils: float = 0.0
    guessed: bool = False
    rounds: float = 0.0

    @property
    def change(self) -> float:
        """How far it goes."""
        return self.finish - self.start


@dataclass(frozen=True)
class Remedy:
    """One ranked remedy. Change, start and finish in SI for levers.

    kind: lever, package (two or three levers, one move on the same cars), driving, inspect, repair, undo, leave, or
    "cannot-tell" with the reason as its id. moves: of a package; order: its levers, as they are to be moved.

    reason, physics, watch_for, undo_if, cautions: as the packs say them; says: a habit in its file's words.
    All numbers are of the believed cars, None where nothing is computed or no number may be shown.
    removes: share of the complaint it takes away by the end of the next run, 0 to 1, at_once: on the tires in place;
    where there is time for a pit stop only, removes is that too. spoils: what it makes worse, as such a share; the one
    is never shown less the other. each: the same of each of several complaints.
    spread: band of the effect that holds eight cars in ten. confidence: chance of the direction; cures: that half of it
    goes and no cell spoken of gets worse. run: the run with it made.
    verdicts: what the trade's word comes to beside the computation, by phase; verdict: all in one word, "" for none.
    guessed: nobody said where it stands now.
    quantity: what change, start and finish are of, a key of QUANTITIES. limited_by: min | max | largest_change.
    """

    kind: str
    id: str
    title: str
    rank: int = 0
    change: float | None = None
    steps: int | None = None
    start: float | None = None
    finish: float | None = None
    moves: tuple[PackageMove, ...] = ()
    order: tuple[str, ...] = ()
    quantity: str | None = None
    guessed: bool = False
    limited_by: str | None = None
    direction: str | None = None  # tighter | looser
    removes: float | None = None
    at_once: float | None = None
    spoils: float | None = None
    each: tuple[Each, ...] = ()
    effect: Grid | None = None
    ends: tuple[tuple[str, Grid], ...] = ()
    spread: Mapping[str, Mapping[str, tuple[float, float]]] | None = None
    confidence: float | None = None
    cures: float | None = None
    basis: str = "by the book"  # or computed
    run: RunAfter | None = None
    costs: tuple[Cost, ...] = ()
    when: str = ""
    reason: str = ""
    says: str = ""
    physics: str = ""
    trade: Mapping[str, str] = field(default_factory=dict)
    verdict: str = ""
    verdicts: Mapping[str, str] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    sources: tuple[Citation, ...] = ()
    watch_for: tuple[str, ...] = ()
    undo_if: str = ""
    check_again: tuple[str, ...] = ()
    factors: tuple[Factor, ...] = ()
    worth: Worth = Worth()
    notes: tuple[Note, ...] = ()

    @property
    def changes(self) -> dict[str, float]:
        """By how much it moves each of its levers [SI]; nothing for a habit."""
        if self.kind == "lever" and self.change is not None:
            return {self.id: self.change}
        return {move.lever: move.change for move in self.moves}

    @property
    def steps_of_levers(self) -> tuple[tuple[str, int], ...]:
        """Every lever it moves, and by how many legal steps; none for a habit."""
        if self.kind == "lever" and self.steps:
            return ((self.id, self.steps),)
        return tuple((move.lever, move.steps) for move in self.moves)

    def makes(self, moves: Collection[tuple[str, int]]) -> bool:
        """Whether it makes one of these moves: a lever with +1 or -1, a habit with 0."""
        own = [(lever, 1 if change > 0 else -1) for lever, change in self.changes.items()]
        return any(one in moves for one in (*own, (self.id, 0)))


WAY_BACK, HALF_BACK, OWN = "way-back", "half-back", "own"
"""Ids of the offers to take out what was made last, or half of it; and of a change of one's own."""
SAME_TEST = ("unknown change", "against-the-last-sheet")
"""A reason why nobody can tell, whose test is this look of the base pack: it stands in a list once."""
NOT_BACK = "not back"
"""Why a change that was told is not put back: that would make what is complained of worse."""


@dataclass(frozen=True)
class PassedOver:
    """A candidate that is no remedy here. why: fixed, useless, unfelt, run, or its stop: min, max, largest_change.

    way: the lever's word for the way it cannot go; of a change that is not put back, what was told of it. listed:
    whether the trade lists it for this. taken_out: who took it out of the list, and why.
    """

    id: str
    title: str
    why: str
    way: str = ""
    listed: bool = True
    taken_out: str = ""


@dataclass(frozen=True)
class Advice:
    """All that `advise` knows.

    stop: a reason to stop and inspect before any adjustment. notes, torn: as of the session and its board. treated:
    the symptom treated instead of the words said, "" when they are treated as they stand. passed: what the trade lists
    that is no remedy here. guesses: how many values of the car that the numbers rest on were only guessed.
    belief, picture: where the car is believed to stand. case: what it is given for, legal or not.
    """

    complaint: Complaint
    stop: StopReason | None = None
    open_questions: tuple[OpenQuestion, ...] = ()
    causes: tuple[CauseFound, ...] = ()
    offers: tuple[Remedy, ...] = ()
    passed: tuple[PassedOver, ...] = ()
    notes: tuple[str, ...] = ()
    torn: tuple[str, str, str] | None = None
    treated: str = ""
    belief: Belief | None = field(default=None, compare=False)
    picture: Picture | None = None
    guesses: int = 0
    case: Case | None = None

    @property
    def remedies(self) -> tuple[Remedy, ...]:
        """The offers that are one thing."""
        return tuple(one for one in self.offers if one.kind != "package")

    @property
    def packages(self) -> tuple[Remedy, ...]:
        """The offers of several levers."""
        return tuple(one for one in self.offers if one.kind == "package")
