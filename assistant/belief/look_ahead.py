"""The run ahead in full: how far it goes, what it does to car and tires, and what gears, brakes and air would change.

All the runs a screen needs (the setup, every gear, a step of brake share, right-rear air) are driven as one batch.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import TYPE_CHECKING, NamedTuple

from assistant.belief.cures import WORSE
from assistant.belief.driven import moved_from
from assistant.belief.gears_and_brakes import Brakes, Gear, brake_neighbors, gear_setups, judge_brakes, rank_gears
from assistant.belief.known import balance_of
from assistant.belief.model import Model, read_beside, read_model, refuse_runaway
from assistant.belief.outcome import MeanRun, RunBands, read_bands, stand_as_believed
from assistant.belief.picture import Picture, read_after, read_end, read_picture
from assistant.belief.whole_run import (
    Forecast,
    drive_setups,
    read_forecasts,
    start_fuel,
    whole_laps,
)
from assistant.car.case import Case, Setup
from assistant.ground.names import CORNERS, SIDES, STAGES, did_you_mean
from assistant.ground.problems import BadInput, Problem
from assistant.ground.units import from_unit
from assistant.physics.driven_run import DrivenRun
from assistant.physics.heat_and_wear import Stop

if TYPE_CHECKING:
    from assistant.belief.believe import Belief, Shown

FEWEST_LAPS, MOST_LAPS = 20, 300
"""Laps a run may be asked for: shorter ones never settle, longer ones no set of tires or tank was made for."""
MOST_TRIES = 8
"""Times the length of a run that ends early is looked for; two or three are enough."""
MOVE = from_unit(2.0, "psi")
"""How far right-rear air is moved each way [Pa]: large enough to see, small enough to be ordinary."""
TREAD_SEEN = 0.002
"""Share of the tread that is worth saying."""
EXIT = balance_of("exit")


@dataclass(frozen=True)
class RunAhead:
    """planned: laps asked for; driven: laps forecast, fewer where fuel or a tire ends the run before.

    forecast: with the setup at hand; run: the same as arrays, car 0 (for the table of laps). Both are of the believed
    cars, of the plain one where nothing is believed. case: with this setup and the laps driven. picture: where the car
    is believed to stand, with the setup and the stops. belief: of the case's own setup.
    """

    case: Case
    model: Model
    planned: int
    driven: int
    stops: tuple[Stop, ...]
    forecast: Forecast
    run: DrivenRun
    gears: tuple[Gear, ...]
    brakes: Brakes
    picture: Picture
    belief: Belief | None = None

    @cached_property
    def mean(self) -> MeanRun | None:
        """The run of the believed cars without stops; None where no number of it may be shown."""
        if self.belief is None or self.belief.gate_is_shut:
            return None
        return mean_run(self.belief, self.model, self.case.setup)

    @cached_property
    def bands(self) -> RunBands | None:
        """Where eight of ten cars lie; not known with stops."""
        return None if self.mean is None or self.stops else read_bands(self.mean, float(start_fuel(self.run)[0]))

    @cached_property
    def ends(self) -> dict[str, Picture]:
        """Where the car is believed to stand at each end of the track, with a band for the case's own setup alone.

        What stops change comes on top.
        """
        found = {}
        for end, grid in self.forecast.ends:
            own = self.mean is not None and self.mean.effect is None
            there = read_end(self.mean.belief, end) if self.mean and own else Picture(*(grid,) * 3)
            found[end] = there.moved(grid - there.value) if self.stops else there
        return found

    @property
    def lasting(self) -> float:
        """Share of the cars drawn first that last these laps: only they are believed. One where nothing is."""
        if self.mean is None:
            return 1.0
        garage = self.mean.belief.garage
        return float(garage.drive().usable[: garage.size].mean())

    @property
    def cut_short(self) -> bool:
        """Whether something ends the run before the laps asked for."""
        return self.driven < self.planned


class Reach(NamedTuple):
    """How far a run can be driven: the model over so many laps, and what is believed of the car over them."""

    model: Model
    laps: int
    belief: Belief | None


Believe = Callable[[Case], "Belief"]
"""Says what is believed of a case."""


def look_ahead(
    case: Case, laps: int | None = None, stops: Sequence[Stop] = (), believe: Believe | None = None
) -> RunAhead:
    """Drive the run with the case's setup and everything it is compared with."""
    planned = laps or case.run_laps
    return look_from(reach(case, [case.setup], planned, stops, believe), case.setup, planned, stops)


def compare_ahead(
    case: Case, after: Setup, laps: int | None = None, stops: Sequence[Stop] = (), believe: Believe | None = None
) -> tuple[RunAhead, RunAhead]:
    """Drive the run with the case's setup and with another one, both over the laps that both can do."""
    planned = laps or case.run_laps
    reached = reach(case, [case.setup, after], planned, stops, believe)
    return look_from(reached, case.setup, planned, stops), look_from(reached, after, planned, stops)


def reach(
    case: Case, setups: Sequence[Setup], planned: int, stops: Sequence[Stop], believe: Believe | None = None
) -> Reach:
    """Find how many of the laps asked for all setups can do, first as the plain car, then as it is believed to be."""

    @cache
    def drive(laps: int) -> tuple[Model, DrivenRun]:
        model = read_model(replace(case, run_laps=laps))
        run = drive_setups(model, setups, stops=before_lap(stops, laps), laps=laps)
        refuse_runaway(case, run)
        return model, run

    def end(laps: int, believe: Believe | None) -> tuple[Reach, int]:
        model, run = drive(laps)
        reached = Reach(model, laps, None if believe is None else believe(model.case))
        forecasts = stand_there(reached, run, setups, before_lap(stops, laps))[1]
        return reached, max(1, min(planned, *(whole_laps(one.run_ends_at) for one in forecasts)))

    plain = find_longest(lambda laps: end(laps, None), planned, planned)
    return plain if believe is None else find_longest(lambda laps: end(laps, believe), plain.laps, planned)


def find_longest(end: Callable[[int], tuple[Reach, int]], first: int, planned: int) -> Reach:
    """Find the longest run that ends no earlier than its laps; end: a run of so many, and after how many it ends.

    A shorter run is settled earlier and wears other tires, which moves its end: looked for until it is a lap off.
    """
    best, laps, too_long = None, first, planned + 1
    for _ in range(MOST_TRIES):
        reached, ends = end(laps)
        if ends >= laps:
            best, laps = reached, min(ends, too_long - 1)
        else:
            too_long, laps = laps, max(ends, 1 if best is None else best.laps)
        if best is not None and laps <= best.laps + 1:
            break
    return reached if best is None else best


def before_lap(stops: Sequence[Stop], laps: int) -> tuple[Stop, ...]:
    """Keep the stops that come before the end of a run of so many laps."""
    return tuple(stop for stop in stops if stop.after_lap < laps)


def forecast_there(reached: Reach, setups: Sequence[Setup]) -> tuple[Forecast, ...]:
    """Forecast the run with every setup as the car is believed to be with it."""
    return stand_there(reached, drive_setups(reached.model, setups, laps=reached.laps), setups)[1]


def stand_there(
    reached: Reach, run: DrivenRun, stand: Sequence[Setup], stops: Sequence[Stop] = ()
) -> tuple[DrivenRun, tuple[Forecast, ...]]:
    """Put a driven run where the believed cars stand; the plain car's stays where nothing is believed.

    stand: the setups of its first cars; one alone is for all of them.
    """
    model, laps, belief = reached
    if belief is None or belief.gate_is_shut:
        run = read_beside(run)
    else:
        plain = drive_setups(model, stand, laps=laps) if stops else run
        run = stand_as_believed(run, plain, [mean_run(belief, model, setup) for setup in stand], model.end_ids)
    return run, read_forecasts(model, run)


def mean_run(belief: Belief, model: Model, setup: Setup) -> MeanRun:
    """Read the run of the believed cars with a setup."""
    changes = moved_from(model.case.setup, setup)
    return MeanRun(belief, belief.move(changes) if changes else None)


def look_from(reached: Reach, setup: Setup, planned: int, stops: Sequence[Stop] = ()) -> RunAhead:
    """Drive one setup, with its gears and brake steps beside it."""
    model, driven, belief = reached
    case = replace(model.case, setup=setup)
    kept = before_lap(stops, driven)
    pairs, bias = gear_setups(case), brake_neighbors(case)
    run = drive_setups(model, [setup, *pairs, *bias.values()], stops=kept, laps=driven)
    run, forecasts = stand_there(reached, run, [setup], kept)
    return RunAhead(
        case=case,
        model=model,
        planned=planned,
        driven=driven,
        stops=kept,
        forecast=forecasts[0],
        run=run,
        gears=rank_gears(case, pairs, forecasts[1 : 1 + len(pairs)]),
        brakes=judge_brakes(case, run, forecasts[0], bias, forecasts[1 + len(pairs) :]),
        picture=picture_with(reached, setup, forecasts[0], kept),
        belief=belief,
    )


def change_of(after: RunAhead) -> Picture:
    """Picture what the setup of a run changes of where the car is believed to stand; no number where nothing is."""
    if after.belief is None:
        return Picture(*(after.forecast.balance,) * 3, shut=True)
    return read_after(after.belief, moved_from(after.model.case.setup, after.case.setup))[1]


def picture_with(reached: Reach, setup: Setup, forecast: Forecast, stops: Sequence[Stop]) -> Picture:
    """Picture where the car is believed to stand with a setup; what the stops change comes on top."""
    if reached.belief is None:
        return Picture(*(forecast.balance,) * 3)
    changes = moved_from(reached.model.case.setup, setup)
    picture = read_after(reached.belief, changes)[0] if changes else read_picture(reached.belief)
    return picture.moved(forecast.balance - picture.value) if stops and not picture.shut else picture


@dataclass(frozen=True)
class AirEffect:
    """What more right-rear air does to the believed cars: `MOVE` more, half of the way from `MOVE` less to `MOVE` more.

    tread: share of the tire's tread that is saved by the end. balance: change coming off, by stage [%, + tighter].
    conflict: chance, by stage, that it saves tread and loosens the car.
    """

    tread: Shown
    balance: Mapping[str, Shown]
    conflict: Mapping[str, float]


def weigh_air(ahead: RunAhead) -> AirEffect | None:
    """Weigh tread against balance in right-rear air; None where no number may be shown."""
    belief = ahead.belief
    if belief is None or belief.gate_is_shut:
        return None
    less, more = belief.move_all([{"pressure_rr": way * MOVE} for way in (-1.0, 1.0)])
    saved = 0.5 * (less.along("wear RR")[-1] - more.along("wear RR")[-1])
    moved = {stage: 0.5 * (more.read(EXIT, stage) - less.read(EXIT, stage)) for stage in STAGES}
    return AirEffect(
        tread=belief.show(saved),
        balance={stage: belief.show(by) for stage, by in moved.items()},
        conflict={
            stage: belief.chance((saved > TREAD_SEEN) & (moved_by < -WORSE)) for stage, moved_by in moved.items()
        },
    )


CAUTION_LAPS = 4
"""Slow laps of a caution whose length nobody said; assumption."""
MOST_SLOW_LAPS = 60
EXAMPLE = 'write LAP: WHAT, such as --stop "30: new right tires, fuel"'
_SETS = {
    "": CORNERS,
    "four": CORNERS,
    **SIDES,
    **{corner.lower(): (corner,) for corner in CORNERS},
}
_TIRES = re.compile(r"(?:new\s+)?(?:(\w+)\s+)?tires?")
_SLOW = re.compile(r"caution(?:\s+(?:of\s+)?(\d{1,3})(?:\s+laps?)?)?|(\d{1,3})\s+slow\s+laps?")
_WORDS = ("new tires", *(f"new {name} tires" for name in _SETS if name), "fuel", "caution", "caution 6 laps")


def read_stops(texts: Sequence[str], laps: int) -> tuple[Stop, ...]:
    """Read the stops of a run of `laps` laps, in the order of their laps. Raises BadInput naming every wrong one."""
    stops: dict[int, Stop] = {}
    problems: list[Problem] = []
    for text in texts:
        try:
            stop = read_stop(text, laps)
        except BadInput as mistake:
            problems += mistake.problems
            continue
        if stop.after_lap in stops:
            problems.append(wrong(f"there are two stops after lap {stop.after_lap}", "write both jobs into one --stop"))
        stops[stop.after_lap] = stop
    if problems:
        raise BadInput(problems)
    return tuple(stops[lap] for lap in sorted(stops))


def read_stop(text: str, laps: int) -> Stop:
    """Read one stop. Raises BadInput."""
    lap, colon, jobs = text.partition(":")
    if not colon or not jobs.strip():
        raise BadInput(wrong(f"{text!r} is no stop", EXAMPLE))
    if not lap.strip().isascii() or not lap.strip().isdigit():
        raise BadInput(wrong(f"{lap.strip()!r} is no lap", EXAMPLE))
    after = int(lap) if len(lap) < 10 else laps
    if not 0 < after < laps:
        raise BadInput(
            wrong(f"a stop after lap {lap.strip()} does not fit a run of {laps} laps", f"laps 1 to {laps - 1}")
        )
    new: set[str] = set()
    fuel, slow = False, 0
    for job in (part.strip().lower() for part in jobs.split(",")):
        if job in {"fuel", "gas", "fuel only"}:
            fuel = True
        elif (found := _SLOW.fullmatch(job)) is not None:
            slow = int((found[1] or found[2] or str(CAUTION_LAPS))[:6])
            if not 0 < slow <= MOST_SLOW_LAPS:
                raise BadInput(wrong(f"{slow} slow laps are too many or too few", f"1 to {MOST_SLOW_LAPS}"))
        elif (tires := _TIRES.fullmatch(job)) is not None and (tires[1] or "") in _SETS:
            new |= set(_SETS[tires[1] or ""])
        else:
            raise BadInput(wrong(f"{job!r} is nothing that is done at a stop", did_you_mean(job, _WORDS)))
    lf, rf, lr, rr = (corner in new for corner in CORNERS)
    return Stop(after, (lf, rf, lr, rr), fuel=fuel, slow_laps=slow)


def wrong(says: str, hint: str) -> Problem:
    """Name a mistake in a stop."""
    return Problem("--stop", 0, 0, says, hint)
