"""One situation: today's setup, what the rules allow, the car and the track, what was said, measured and taught.

One number per lever, in SI units. A lever id is one of `LEVERS`, or that of a lever a team added by its own rules. Such
a one stands in `Setup.own`, its value among `Setup.values` and its range in `Rulebook.limits`, so that it is moved like
any other. The vehicle model knows nothing of it: what it moves is told by `numbers_moved`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from math import floor
from types import MappingProxyType
from typing import Any, Literal, get_args

from assistant.car.car import Car, Engine, Tire, Track
from assistant.car.file_keys import CAR_KEYS
from assistant.car.keys import LEVER_KIND, LEVER_ROWS, LEVERS, NOT_COMPUTED, PLACES, ends_of

When = Literal["pit stop", "between runs", "shop"]
"""The soonest time a change can be made."""
PIT_STOP: When = "pit stop"
HOW_SOON: tuple[When, ...] = get_args(When)
"""All of them, quickest first."""
NEAR = 1e-6
"""Share of a step within which a value counts as being on the grid (inches and psi are not whole in SI)."""


@dataclass(frozen=True)
class OwnLever:
    """A lever a team added by its own rules. name: as in messages. kind: a key of `QUANTITIES`.

    held: SI value at which the numbers it moves are as in the files. moves: number of the vehicle model to its change
    (SI) per SI unit of this lever; empty when the model knows nothing of it.
    """

    name: str
    kind: str
    held: float
    moves: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Setup:
    """One setup.

    values: lever id to SI value, every lever but track_bar. The lever `gear` is the ratio of the gearbox gear the
    driver laps in, `steering_box` gets smaller as it gets quicker, `fuel_at_green` is a volume [m3].
    guessed: ids the owner only guessed. stated_own: levers of the team's own as the file states them, which only the
    rules of that team can read; `own`: those levers once the rules are known, with their values among `values`.
    seats_alone: springs were swapped since the scales and their seats left alone, so the shares no longer hold.
    """

    name: str
    values: Mapping[str, float]
    guessed: frozenset[str] = field(default_factory=frozenset)
    stated_own: Mapping[str, str] = field(default_factory=dict)
    own: Mapping[str, OwnLever] = field(default_factory=dict)
    seats_alone: bool = False


@dataclass(frozen=True)
class LeverLimit:
    """What one lever may be: either a range with a smallest step, or the list of allowed parts; SI units.

    parts: allowed values in rising order; empty means any value from low to high in whole steps from `low`.
    """

    low: float
    high: float
    step: float
    when: When
    parts: tuple[float, ...] = ()

    @cached_property
    def values(self) -> tuple[float, ...]:
        """Every value that is allowed, in rising order."""
        steps = 0 if self.parts else floor((self.high - self.low) / self.step + NEAR)
        return self.parts or tuple(self.low + at * self.step for at in range(steps + 1))

    def beyond(self, value: float, *, down: bool) -> tuple[float, ...]:
        """The allowed values below a value, or above it, the nearest first; where it stands itself does not count."""
        slack = NEAR * (max(1e-12, abs(value)) if self.parts else self.step)
        if down:
            return tuple(one for one in reversed(self.values) if one < value - slack)
        return tuple(one for one in self.values if one > value + slack)


@dataclass(frozen=True)
class NotHere:
    """A lever this car has not, or that may not be touched. value: only this one of its values is not there [SI].

    tonight: for this talk alone; no file holds it.
    """

    lever: str
    value: float | None = None
    tonight: bool = False

    def covers(self, lever: str) -> bool:
        """Whether it is said of a lever, or of both ends of it."""
        return lever in {self.lever, *ends_of(self.lever)}


@dataclass(frozen=True)
class Rulebook:
    """limits: lever id to LeverLimit; a lever without one is fixed by the rules.

    not_here: what the rules would allow and this car has not, as its case file says.
    """

    name: str
    limits: Mapping[str, LeverLimit]
    not_here: tuple[NotHere, ...] = ()

    def out(self, lever: str) -> NotHere | None:
        """Why a lever is out altogether besides the rules, None where it is not."""
        return next((one for one in self.not_here if one.value is None and one.covers(lever)), None)


OWN_PLACE = "your own"
"""Stands in the list of places for levers a team added."""
OF_THE_CAR = "car."
"""What stands before a number of the car file, such as car.cg_height."""
_OF_THE_TANK = ("fuel_on_scales", "tank_volume", "fuel_density")
"""Numbers that only say how much fuel there is; the lever for that is fuel_at_green."""
CAR_NUMBERS: Mapping[str, str] = MappingProxyType(
    {
        OF_THE_CAR + (f"{one.field}_{member}" if member else one.field): one.kind
        for one in CAR_KEYS
        for member in (one.members or ("",))
        if one.scale == 1.0 and not (one.per or one.sided or one.unknown) and one.field not in _OF_THE_TANK
    }
)
"""Numbers of the car file an own lever may move, to the quantity each is measured in."""
MODEL_KINDS: Mapping[str, str] = MappingProxyType(
    {lever: kind for lever, kind in LEVER_KIND.items() if lever not in NOT_COMPUTED} | dict(CAR_NUMBERS)
)
"""Everything an own lever may move in the vehicle model: computed levers of the setup, and numbers of the car file."""


def kind_of(lever: str, setup: Setup) -> str:
    """Say which quantity a lever is measured in, one a team added too. KeyError for one nobody knows."""
    own = setup.own.get(lever)
    return LEVER_KIND[lever] if own is None else own.kind


def levers_of(setup: Setup) -> tuple[str, ...]:
    """List every lever of a setup by corner of the car, those a team added last; `track_bar` too."""
    return (*(lever for lever in LEVERS if lever == "track_bar" or lever in setup.values), *setup.own)


def places_of(setup: Setup) -> Mapping[str, tuple[str, ...]]:
    """List the levers that have a value by their place on the car, those a team added last."""
    at = {place: tuple(row.field for row in LEVER_ROWS if row.place == place) for place in PLACES}
    held = {place: tuple(lever for lever in ids if lever in setup.values) for place, ids in at.items()}
    return {**held, OWN_PLACE: tuple(setup.own)}


def is_computed(lever: str, setup: Setup) -> bool:
    """Whether the vehicle model has a balance for this lever."""
    own = setup.own.get(lever)
    return lever not in NOT_COMPUTED if own is None else bool(own.moves)


def numbers_moved(lever: str, change: float, setup: Setup) -> dict[str, float]:
    """Say which numbers of the model move, and how far (SI), when a lever is moved by `change` (SI)."""
    own = setup.own.get(lever)
    if own is not None:
        return {name: rate * change for name, rate in own.moves.items()}
    return dict.fromkeys(ends_of(lever), change)


def own_moves(setup: Setup) -> dict[str, float]:
    """Add up how far the levers a team added have moved numbers of the model from where car and setup file hold."""
    moved: dict[str, float] = {}
    for name, own in setup.own.items():
        for number, change in numbers_moved(name, setup.values[name] - own.held, setup).items():
            moved[number] = moved.get(number, 0.0) + change
    return moved


@dataclass(frozen=True)
class Measured:
    """What was read at the car; every part may be missing.

    temperatures: corner to (inside, middle, outside) [K], inside = the edge toward the car's centerline.
    hot_pressure, cold_pressure: corner to gauge pressure [Pa]. wear: corner to tread used [m] over `laps`.
    fuel_used [kg] over `laps`. lap_times [s]. steering: largest mean front-wheel angle seen [rad]. rpm_max [1/min].
    hot_stagger: taped after the run [m].
    """

    laps: int | None = None
    temperatures: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    hot_pressure: Mapping[str, float] = field(default_factory=dict)
    cold_pressure: Mapping[str, float] = field(default_factory=dict)
    wear: Mapping[str, float] = field(default_factory=dict)
    fuel_used: float | None = None
    lap_times: tuple[float, ...] = ()
    steering: float | None = None
    rpm_max: float | None = None
    hot_stagger: float | None = None


@dataclass(frozen=True)
class Fit:
    """name: as in the case's line. log: the run log it came from. tire: name of the tire it was made for.

    values: field of Tire or Engine to its SI value; only what the log determined. left: of each, the share of its usual
    doubt that is left; all of it where nothing is said. beside: how far off the model a tire reads, "tread RF" [K],
    "pressure RF" [Pa], "wear RF" [share of the model's wear].
    """

    name: str
    log: str
    tire: str
    values: Mapping[str, float]
    left: Mapping[str, float] = field(default_factory=dict)
    beside: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Case:
    """run_laps: length of a run between stops. complaint: the driver's own words, may be empty.

    answers: question id to answer id, for questions already settled. at_hand: one of HOW_SOON,
    the most time-consuming change there is time for now. file: where it was read from.
    fit: what a run log taught, already in the tire and the engine; None when the case names none.
    id: tells the car from every other in the notebook; "" where nothing was told of it yet.
    """

    name: str
    car: Car
    tire: Tire
    track: Track
    rulebook: Rulebook
    setup: Setup
    run_laps: int
    complaint: str = ""
    answers: Mapping[str, str] = field(default_factory=dict)
    measured: Measured = field(default_factory=Measured)
    at_hand: str = "shop"
    file: str = ""
    fit: Fit | None = None
    id: str = ""


def put_fit(case: Case, fit: Fit) -> Case:
    """Put a fit into a case: its values replace those of the tire and engine files, and are no longer guessed."""
    of_engine = {one.name for one in fields(Engine)}
    tire: dict[str, Any] = {name: value for name, value in fit.values.items() if name not in of_engine}
    engine: dict[str, Any] = {name: value for name, value in fit.values.items() if name in of_engine}
    return replace(
        case,
        tire=replace(case.tire, **tire, guessed=case.tire.guessed - set(tire)),
        car=replace(case.car, engine=replace(case.car.engine, **engine), guessed=case.car.guessed - set(engine)),
        fit=fit,
    )
