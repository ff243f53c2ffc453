"""What a change would do to the complaint, car by car: what it takes away and spoils, which way it goes, its promise.

A cell that was complained of is better by as much as its balance comes nearer to neutral; what goes past neutral is as
bad there as it was here. Nothing is netted on screen: what goes and what is spoiled are two numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from assistant.belief.believe import take_mean
from assistant.belief.driven import moved_from
from assistant.belief.known import SIGN, SIZE, balance_of, is_any_time, moment_of
from assistant.belief.model import COLD
from assistant.ground.names import PHASES, STAGES, Grid
from assistant.physics.formulas import Array

if TYPE_CHECKING:
    from assistant.belief.believe import Belief, Shown
    from assistant.belief.driven import Effect
    from assistant.belief.felt import Felt
    from assistant.car.case import Setup
    from assistant.ground.understood import Cell, Complaint

HALF = 0.5
"""Share of the complaint whose going counts as a cure."""
WORSE = 0.1
"""Balance [%] that can be felt: from there on a cell got worse (from memory: half a psi, or an eighth of bar)."""
LEAST = 1e-6
MILDEST = SIZE[1]
"""Balance [%] that a complaint is taken to be at least, where what is spoiled is held against it."""
LEAN = 0.3
"""Share that the car in the middle of the believed ones has in choosing a size (assumption)."""
COUNTS: Mapping[str, float] = {"reported": 1.0, "fine": 0.7, "unmentioned": 0.5}
"""What getting worse counts in a cell that was complained of and in one called fine; of those nobody spoke of together,
against all that were complained of."""

Place = tuple[str | None, str, str]
"""One cell: id of the end of the track (None for both), phase, stage."""


@dataclass(frozen=True, eq=False)
class Wanted:
    """What a complaint asks for on the believed cars.

    signs: of what was said at each place, - loose, + tight, 0 for fine and for nothing. spoken: whether it was spoken
    of. counts: see `COUNTS`. before: balance there [%], (places, cars). at_once: changes are made on tires in place.
    cold: the first laps are those on cold tires. mix: what each place is read of; where it was not said when, the mean
    of the stages.
    """

    belief: Belief
    places: tuple[Place, ...]
    signs: Array
    spoken: NDArray[np.bool_]
    before: Array
    counts: Mapping[Any, float] = field(default_factory=lambda: COUNTS)
    at_once: bool = False
    cold: bool = False
    mix: Array | None = None

    @cached_property
    def wrong(self) -> NDArray[np.bool_]:
        """Places that were complained of."""
        return np.asarray(self.signs != 0.0)

    @property
    def asks(self) -> bool:
        """Whether anything of the balance is to be done, and numbers of it may be shown."""
        return bool(self.wrong.any()) and not self.belief.gate_is_shut

    @cached_property
    def apart(self) -> Array:
        """How far every place is from neutral [%], (places, cars)."""
        return np.abs(self.before)

    @cached_property
    def unfelt(self) -> Array:
        """By how much a place may get worse before it counts [%], (places, 1): nobody spoke of it."""
        return np.where(self.spoken, 0.0, WORSE)[:, None]

    @cached_property
    def size(self) -> Array:
        """How large the whole complaint is on each car [%], (cars,)."""
        return np.asarray(self.apart[self.wrong].sum(axis=0))

    @cached_property
    def usual_size(self) -> float:
        """How large the complaint is on the mean of the cars [%]: what is spoiled is held against it."""
        return max(self.belief.mean(self.size), MILDEST)

    @cached_property
    def weights(self) -> Array:
        """What getting worse counts at each place that was not complained of, (places,)."""
        silent = self.counts["unmentioned"] * self.wrong.sum() / max(1, (~self.spoken).sum())
        return np.where(self.wrong, 0.0, np.where(self.spoken, self.counts["fine"], silent))

    def read(self, effect: Effect) -> Array:
        """Change of every place by a change of the car [%], (places, cars)."""
        each = [effect.read(*one, at_once=self.at_once) for one in read_at(self.places, cold=self.cold)]
        return mixed(each, self.mix)

    def on(self, belief: Belief) -> Wanted:
        """Ask the same of other cars."""
        before = mixed([belief.read(*one) for one in read_at(self.places, cold=self.cold)], self.mix)
        return replace(self, belief=belief, before=before)


@dataclass(frozen=True)
class Verdict:
    """What a change is worth to the believed cars.

    removes: share of the complaint taken away, mean of the cars. spoils: what it makes worse on their mean, as a share
    of the complaint on their mean.
    cures: chance that at least half goes and no cell that was spoken of gets worse by what can be felt.
    direction: chance that it goes the way the complaint wants. felt: whether the driver would notice.
    harm: the place spoken of that gets worst, with the chance that it can be felt; None where none does on the mean.
    """

    removes: float
    spoils: float
    cures: float
    direction: float
    felt: bool
    harm: tuple[Place, float] | None = None

    @property
    def gain(self) -> float:
        """What it takes away less what it spoils; for choosing only, never shown."""
        return self.removes - self.spoils


def want(
    belief: Belief, complaint: Complaint, counts: Mapping[Any, float] = COUNTS, *, at_once: bool = False
) -> Wanted:
    """Lay a complaint out over the cells; by the ends of the track only where the driver told them apart."""
    ends: tuple[str | None, ...] = (None,)
    if any(cell.end is not None for cell in complaint.cells):
        ends = belief.garage.course.ends
    places = tuple((end, phase, stage) for end in ends for phase in PHASES for stage in STAGES)
    said = [said_at(complaint, place) for place in places]
    cold, mix = moment_of(STAGES[0], complaint) == COLD, mix_stages(places, said)
    return Wanted(
        belief,
        places,
        np.array([0.0 if cell is None else SIGN[cell.balance] for cell in said]),
        np.array([cell is not None for cell in said]),
        mixed([belief.read(*one) for one in read_at(places, cold=cold)], mix),
        counts,
        at_once,
        cold,
        mix,
    )


def mix_stages(places: Sequence[Place], said: Sequence[Cell | None]) -> Array | None:
    """Lay out what each place is read of, (places, places); None where each is read of itself."""
    some_time = [cell is not None and is_any_time(cell) for cell in said]
    if not any(some_time):
        return None
    alike = np.array([[one[:2] == other[:2] for other in places] for one in places]) & np.array(some_time)
    together = alike & alike.T
    return np.where(
        np.array(some_time)[:, None], together / np.maximum(together.sum(axis=1), 1)[:, None], np.eye(len(places))
    )


def mixed(each: Sequence[Array], mix: Array | None) -> Array:
    """Stack what is read of all places, (places, cars)."""
    return np.stack(each) if mix is None else np.asarray(mix @ np.stack(each))


def read_at(places: Sequence[Place], *, cold: bool) -> list[tuple[str, str]]:
    """Name what is read of every place, and when. cold: of the first laps those on cold tires."""
    return [(balance_of(phase, end), COLD if cold and stage == STAGES[0] else stage) for end, phase, stage in places]


def said_at(complaint: Complaint, place: Place) -> Cell | None:
    """Find what was said of a place: words for this very end come before words for both, complaints before fine."""
    end, phase, stage = place
    found = [
        cell
        for cell in complaint.cells_alone
        if (cell.phase, cell.stage) == (phase, stage) and (cell.end is None or cell.end == end)
    ]
    return max(found, key=lambda cell: (cell.end is not None, cell.balance != "fine", cell.severity), default=None)


def share_out(wanted: Wanted, moved: Array) -> tuple[Array, Array]:
    """What goes and what is spoiled on each car, as shares of the complaint on the mean of the cars, (..., cars).

    moved: (..., places, cars). A car that hardly has the complaint has little that could go, and counts little.
    """
    net, spoiled = nearer(wanted, moved)
    return np.maximum(0.0, net) / wanted.usual_size, spoiled / wanted.usual_size


def nearer(wanted: Wanted, moved: Array) -> tuple[Array, Array]:
    """How much nearer to neutral each car comes where it was complained of, and what is spoiled [%], (..., cars)."""
    worse = np.abs(wanted.before + moved) - wanted.apart
    net = -worse[..., wanted.wrong, :].sum(axis=-2)
    spoiled = wanted.weights @ np.maximum(0.0, worse - wanted.unfelt)
    return net, np.maximum(0.0, -net) + spoiled


def value_moves(wanted: Wanted, moved: Array) -> Array:
    """What goes less what is spoiled, of each of several changes; moved: (changes, places, cars).

    Mean of the cars, with a share of what goes on the car in the middle of them: where sizes are about as good as each
    other, as they are where much is in doubt, that aims at neutral, and the next run tells.
    """
    weights = wanted.belief.fit.weights
    net, spoiled = nearer(wanted, moved)
    before, by = take_mean(wanted.before[wanted.wrong], weights), take_mean(moved[..., wanted.wrong, :], weights)
    middle = (np.abs(before) - np.abs(before + by)).sum(axis=-1)
    gain = take_mean(np.maximum(0.0, net) - spoiled, weights) + LEAN * (middle - take_mean(net, weights))
    return np.asarray(gain / wanted.usual_size)


def judge(wanted: Wanted, moved: Array) -> Verdict:
    """Judge one change by the believed cars; moved: (places, cars)."""
    belief = wanted.belief
    gone, spoiled = share_out(wanted, moved)
    worse = np.abs(wanted.before + moved) - np.abs(wanted.before)
    harmed = (worse[wanted.spoken] >= WORSE).any(axis=0)
    toward = -(wanted.signs[:, None] * moved).sum(axis=0)
    means = np.abs([belief.mean(row) for row in moved[wanted.wrong]])
    return Verdict(
        removes=belief.mean(gone),
        spoils=belief.mean(spoiled),
        cures=belief.chance(np.asarray((gone * wanted.usual_size >= HALF * wanted.size) & ~harmed)),
        direction=belief.chance(toward > 0.0),
        felt=bool((means >= WORSE).any()),
        harm=find_harm(wanted, worse),
    )


def find_harm(wanted: Wanted, worse: Array) -> tuple[Place, float] | None:
    """Find the place spoken of that gets worst, and the chance that it can be felt; worse: (places, cars)."""
    means = take_mean(worse, wanted.belief.fit.weights)
    at = max(np.flatnonzero(wanted.spoken), key=lambda place: means[place], default=None)
    if at is None or means[at] <= 0.0:
        return None
    return wanted.places[at], wanted.belief.chance(worse[at] >= WORSE)


def spread_effect(
    belief: Belief, effect: Effect, *, at_once: bool = False
) -> dict[str, dict[str, tuple[float, float]]]:
    """Band of what a change does to every cell [%], which holds eight cars in ten."""

    def band(phase: str, stage: str) -> tuple[float, float]:
        shown = belief.show(effect.read(balance_of(phase), stage, at_once=at_once))
        return shown.low, shown.high

    return {phase: {stage: band(phase, stage) for stage in STAGES} for phase in PHASES}


def mean_effect(belief: Belief, effect: Effect, end: str | None = None, *, at_once: bool = False) -> Grid:
    """What a change does to every cell [%], mean of the cars."""
    names = {phase: balance_of(phase, end) for phase in PHASES}
    return Grid.of(
        {
            phase: {stage: belief.mean(effect.read(name, stage, at_once=at_once)) for stage in STAGES}
            for phase, name in names.items()
        }
    )


FELT_AT_ALL = 0.05
"""Balance [%] a change has to move a complaint by to be called the wrong way (assumption)."""
LEAST_MOVE = 0.2
"""Balance [%] a change has to move a cell by, for its direction to surprise anybody."""
UNLIKELY = 0.05
"""Share of the plausible cars below which what was felt surprises."""


@dataclass(frozen=True)
class Promise:
    """What a change was to do: the share of the complaint it removes, and how far it moves each said cell [%].

    removes: None where no share was said.
    """

    removes: float | None
    cells: Mapping[tuple[str, str], Shown]

    def worsens(self, complained: Iterable[Cell]) -> str:
        """Say which balance it is computed to make worse wherever it is complained of; "" where it is not."""
        wrong = {(cell.phase, cell.stage): cell.balance for cell in complained if cell.balance != "fine"}
        moved = {place: shown.value for place, shown in self.cells.items() if place in wrong}
        worse = [value if wrong[place] == "tight" else -value for place, value in moved.items()]
        is_worse = bool(worse) and min(worse) > FELT_AT_ALL and len(set(wrong.values())) == 1
        return min(wrong.values()) if is_worse else ""


def promise_of(belief: Belief, complaint: Complaint, before: Setup, after: Setup) -> Promise | None:
    """Foretell what a change does; None where nothing is known of the car, or nobody complains of anything."""
    wanted = want(belief, complaint)
    if not wanted.asks:
        return None
    moved = wanted.read(belief.move(moved_from(before, after)))
    cells = {
        (phase, stage): belief.show(moved[at])
        for at, (_, phase, stage) in enumerate(wanted.places)
        if wanted.spoken[at]
    }
    return Promise(judge(wanted, moved).removes, cells)


def surprises(belief: Belief, felt: Felt) -> bool:
    """Whether hardly any plausible car does what was felt, in the cell it was felt in most.

    belief: before the change was felt, with words of the setup before it and the changed one on the car.
    """
    if belief.gate_is_shut or not felt.moved:
        return False
    (phase, stage, end), (moved, _) = max(felt.moved.items(), key=lambda one: abs(one[1][0]))
    if abs(moved) < LEAST_MOVE:
        return False
    name = balance_of(phase, end)
    foretold = -belief.move(moved_from(felt.after, felt.before)).read(name, stage)
    return belief.mean((foretold * moved > 0.0).astype(float)) < UNLIKELY
