"""The run of the believed cars, with a change made or none, and what the change costs: laps of tire, lap time, air.

Every screen that tells of tires, fuel and lap times reads them here, so that all of them say the same number.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from assistant.belief.known import balance_of
from assistant.belief.model import middle_of, weigh_stages
from assistant.belief.whole_run import lap_of_reaching, read_pace
from assistant.ground.names import CORNERS, PHASES, STAGES
from assistant.physics.formulas import Array

if TYPE_CHECKING:
    from assistant.belief.believe import Belief, Shown
    from assistant.belief.driven import Effect
    from assistant.physics.driven_run import DrivenRun

WORN = STAGES[-1]
LONGEST = 1e4
"""Laps beyond which nobody counts a tire's life."""
COSTLY = (*(f"wear {corner}" for corner in CORNERS), "lap time")
"""What a change costs over the run is read of these."""
ONE_OF = 0.25
"""Share of the cars from which on a tire is named as the first to go."""
Band = tuple[float, float]
After = tuple[float, float]
"""What stands after the change, and the change."""


@dataclass(frozen=True, eq=False)
class MeanRun:
    """The run of the mean of the believed cars, with a change made or none."""

    belief: Belief
    effect: Effect | None = None

    @property
    def laps(self) -> Array:
        """Laps done where it is read."""
        return self.belief.knots

    def line(self, name: str) -> Array:
        """A quantity along the run."""
        line = self.belief.mean_of(self.belief.along(name))
        return line if self.effect is None else line + self.belief.mean_of(self.effect.along(name))

    def each(self, name: str) -> Array:
        """The same of every car, (laps, cars)."""
        each = self.belief.along(name)
        return each if self.effect is None else each + self.effect.along(name)

    def at(self, name: str, stage: str) -> Shown:
        """A quantity at a stage, with its band."""
        each = self.belief.read(name, stage)
        if self.effect is None:
            return self.belief.show(each)
        by = self.effect.read(name, stage)
        return replace(self.belief.show(each + by), value=self.belief.mean(each) + self.belief.mean(by))

    def pace(self) -> Array:
        """Mean lap time of the first laps, of all and of the last laps [s]."""
        return read_pace(self.laps, self.line("lap time"))


@dataclass(frozen=True)
class RunAfter:
    """The run with the change made, mean of the believed cars. tire_laps: laps of tread by corner.

    pace: change of lap time [s], first, average, last. hot_pressure: by corner, late in the run [Pa].
    first_tire: change of the laps until the first tire is used up, car by car, with its band; first_to_go: which that
    is, on as many cars as `ONE_OF`, the likeliest first. last_lap: change of lap time at the end [s].
    """

    tire_laps: Mapping[str, After]
    pace: Mapping[str, float]
    hot_pressure: Mapping[str, After] = field(default_factory=dict)
    first_tire: Shown | None = None
    last_lap: Shown | None = None
    first_to_go: tuple[str, ...] = ()


def read_run(belief: Belief, effect: Effect) -> RunAfter:
    """Read all that a change does over the run."""
    return replace(
        read_costs(belief, effect),
        hot_pressure={corner: read_after(belief, effect, f"pressure {corner}") for corner in CORNERS},
        first_tire=belief.show(change_life(belief, effect)),
        last_lap=belief.show(effect.read("lap time", WORN)),
        first_to_go=belief.once(find_first),
    )


def read_costs(belief: Belief, effect: Effect) -> RunAfter:
    """Read what a change costs over the run, and no more: laps of tire and lap times."""
    now = belief.once(find_costs)
    then = add_up(belief.knots, now.lines + belief.mean_of(np.stack([effect.along(name) for name in COSTLY], axis=1)))
    life = zip(CORNERS, then.lives.tolist(), (then.lives - now.lives).tolist(), strict=True)
    pace = dict(zip(("first", "average", "last"), (then.pace - now.pace).tolist(), strict=True))
    return RunAfter({corner: (after, change) for corner, after, change in life}, pace)


class Costs(NamedTuple):
    """What a run costs on the mean of the cars. lines: of `COSTLY` along it; lives: laps of each tire; pace [s]."""

    lines: Array
    lives: Array
    pace: Array


def find_costs(belief: Belief) -> Costs:
    """Find what the run costs as the car is; ask for it with `Belief.once`."""
    return add_up(belief.knots, belief.mean_of(np.stack([belief.along(name) for name in COSTLY], axis=1)))


def add_up(laps: Array, lines: Array) -> Costs:
    """Add up what lines of `COSTLY` come to, (laps, costly)."""
    lives = np.minimum(lap_of_reaching(laps, lines[:, :-1], 1.0), LONGEST)
    return Costs(lines, lives, read_pace(laps, lines[:, -1]))


def read_after(belief: Belief, effect: Effect, name: str) -> After:
    """Mean of a quantity late in the run with the change made, and its change."""
    change = belief.mean(effect.read(name, WORN))
    return belief.mean(belief.read(name, WORN)) + change, change


def change_life(belief: Belief, effect: Effect) -> Array:
    """Change of the laps until the first tire is used up, on each car."""
    before = wear_of(belief)
    return first_life(belief.knots, before + wear_of(effect)) - first_life(belief.knots, before)


def wear_of(run: Belief | Effect) -> Array:
    """Wear of every tire along the run, or what a change makes more of it, (laps, corners, cars)."""
    return np.stack([run.along(name) for name in COSTLY[:-1]], axis=1)


def find_first(belief: Belief) -> tuple[str, ...]:
    """Find which tire is used up first, as the car is; ask for it with `Belief.once`."""
    wear = wear_of(belief)[-1]
    shares = {corner: belief.mean((wear.argmax(axis=0) == at).astype(float)) for at, corner in enumerate(CORNERS)}
    return tuple(sorted((one for one in CORNERS if shares[one] >= ONE_OF), key=lambda one: -shares[one]))


def first_life(laps: Array, wear: Array) -> Array:
    """Laps until the first tire of each car is used up; wear (laps, corners, cars)."""
    return np.asarray(np.minimum(lap_of_reaching(laps, wear, 1.0).min(axis=0), LONGEST))


@dataclass(frozen=True)
class RunBands:
    """Where eight of ten believed cars lie. By corner: share of tread used at the end, laps, hot pressure late [Pa]."""

    wear_end: Mapping[str, Band]
    tire_laps: Mapping[str, Band]
    hot_pressure: Mapping[str, Band]
    fuel_laps: Band


def read_bands(run: MeanRun, tank: float) -> RunBands:
    """Read the bands of a run of the believed cars. tank: fuel at the start [kg]."""

    def band(shown: Shown) -> Band:
        return shown.low, shown.high

    def life(name: str, goal: float) -> Band:
        return band(run.belief.show(np.minimum(lap_of_reaching(run.laps, run.each(name), goal), LONGEST)))

    return RunBands(
        wear_end={corner: band(run.belief.show(run.each(f"wear {corner}")[-1])) for corner in CORNERS},
        tire_laps={corner: life(f"wear {corner}", 1.0) for corner in CORNERS},
        hot_pressure={corner: band(run.at(f"pressure {corner}", WORN)) for corner in CORNERS},
        fuel_laps=life("fuel", tank),
    )


def stand_as_believed(run: DrivenRun, plain: DrivenRun, means: Sequence[MeanRun], ends: Sequence[str]) -> DrivenRun:
    """Put a driven run where the believed cars stand: balance, tires, fuel and lap times; the rest is the plain car's.

    plain: the same driven without stops, its first cars those of means; what the stops of `run` change comes on top.
    """
    laps, first = plain.laps, slice(len(means))

    def along(name: str) -> Array:
        return np.stack([np.interp(laps, one.laps, one.line(name)) for one in means], axis=-1)

    def spread(moved: Array) -> Array:
        if np.array_equal(laps, run.laps):
            return moved
        return np.stack([np.interp(run.laps, laps, one) for one in moved.T], axis=-1)

    def more(name: str, now: Array) -> Array:
        return spread(along(name) - now[:, first])

    def times(name: str, now: Array) -> Array:
        there, now = along(name), now[:, first]
        return spread(np.divide(there, now, out=np.ones_like(there), where=now > 0.0))

    def by_corner(by: Callable[[str, Array], Array], what: str, now: Array) -> Array:
        return np.stack([by(f"{what} {corner}", one) for corner, one in zip(CORNERS, now, strict=True)])

    burnt = times("fuel", np.broadcast_to(plain.moments.fuel_used, plain.lap.time.shape))
    moments = replace(
        run.moments,
        tread=run.moments.tread + by_corner(more, "tread", plain.moments.tread),
        wear=run.moments.wear * by_corner(times, "wear", plain.moments.wear),
        fuel_used=run.moments.fuel_used * burnt,
    )
    pressure = by_corner(more, "pressure", np.broadcast_to(plain.tires.pressure, plain.moments.wear.shape))
    return replace(
        run,
        moments=moments,
        tires=replace(run.tires, pressure=run.tires.pressure + pressure),
        lap=replace(run.lap, time=run.lap.time + more("lap time", plain.lap.time), fuel=run.lap.fuel * burnt[-1]),
        balance=run.balance + balance_off(run.laps, plain, means, ends),
    )


def balance_off(laps: Array, plain: DrivenRun, means: Sequence[MeanRun], ends: Sequence[str]) -> Array:
    """How far the plain car's balance is off the believed one [%], (laps, phases, ends, cars).

    Straight lines between the middles of the stages, so that the mean over every stage is as believed.
    """
    names = [[balance_of(phase, end) for end in ends] for phase in PHASES]
    believed = np.array(
        [[[[one.at(name, stage).value for one in means] for name in row] for row in names] for stage in STAGES]
    )
    off = believed - np.tensordot(weigh_stages(plain.laps), plain.balance[..., : len(means)], axes=1)
    at_middles = np.linalg.lstsq(
        weigh_stages(plain.laps) @ between(plain.laps, plain.laps[-1]), off.reshape(len(STAGES), -1)
    )[0]
    return np.tensordot(between(laps, plain.laps[-1]), at_middles.reshape(off.shape), axes=1)


def between(laps: Array, last: float) -> Array:
    """What the middle of every stage counts at each lap, in straight lines, (laps, stages)."""
    middles = [middle_of(stage, float(last)) for stage in STAGES]
    return np.stack([np.interp(laps, middles, one) for one in np.eye(len(STAGES))], axis=-1)
