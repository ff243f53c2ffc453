"""The computed part of a page: the run ahead with the setup at hand, with the first change made, and another setup's.

All of them are driven as one batch, over the laps that all of them can do. Of another setup is said what
differs, and what going over to the other value does on this car, one by one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from assistant.advice.results import Package
from assistant.belief.believe import Belief
from assistant.belief.driven import moved_from
from assistant.belief.look_ahead import RunAhead, look_from, reach, stand_as_believed
from assistant.belief.picture import Picture, read_after, read_picture, shift_forecast
from assistant.belief.whole_run import Forecast, forecast_setups, whole_laps
from assistant.car.car import CORNERS
from assistant.car.case import Case
from assistant.car.lever_rows import NOT_COMPUTED
from assistant.car.moves import differences, with_steps, with_value
from assistant.car.setup import Setup
from assistant.ground.grid import Grid
from assistant.ground.units import System
from assistant.ground.words import PHASE_WORDS, STAGE_WORDS, count_of
from assistant.pages.advice import Offer, steps_of
from assistant.pages.amounts import NOTHING, balance_table, before_after_table, change_words, lever_value
from assistant.pages.believed import believed_table, believed_then_table, is_shut, where_words
from assistant.pages.blocks import Table
from assistant.pages.forecast import hot_table
from assistant.pages.run_words import say_end, say_fuel
from assistant.pages.sheet_document import Comparison, Difference
from assistant.pages.try_change import pace_words, tires_then
from assistant.rules.models import Lever

UNSTEADY = "Somewhere in this run the car has no steady state: do not trust what follows."
LEAST_PACE = 0.005
"""Seconds a lap below which a change would be written as 0.00."""


@dataclass(frozen=True)
class Outlook:
    """ahead: the run with the setup at hand. first: number of the change looked at, 0 for none.

    after: balance with it made; changed: the whole run with it made, None for a habit. others: the runs with the
    other setups asked for, in their order. then: where the car is believed to stand with the change made.
    """

    ahead: RunAhead
    first: int
    after: Grid | None
    changed: Forecast | None
    others: tuple[Forecast, ...]
    then: Picture | None = None


def look_out(case: Case, offers: Sequence[Offer], others: Sequence[Setup] = ()) -> Outlook:
    """Drive the run as it is, with the first change that can be computed, and with every other setup."""
    first, offer = first_computed(offers)
    setup = None if offer is None else moved_setup(case, offer)
    wanted = [*([] if setup is None else [setup]), *others]
    model, driven = reach(case, [case.setup, *wanted], case.run_laps, ())
    ahead = look_from(model, case.setup, case.run_laps, driven, ())
    found = forecast_setups(model, wanted, laps=driven) if wanted else ()
    changed = found[0] if setup is not None else None
    after = changed.balance if changed is not None else None
    if changed is None and offer is not None and offer.effect is not None:
        after = ahead.forecast.balance + offer.effect
    return Outlook(ahead, first if after is not None else 0, after, changed, tuple(found[len(found) - len(others) :]))


def believe_outlook(
    outlook: Outlook, belief: Belief | None, case: Case, offers: Sequence[Offer], others: Sequence[Setup] = ()
) -> Outlook:
    """Put all runs of an outlook where the car is believed to stand. others: setups of its other runs."""
    if belief is None:
        return outlook
    picture = read_picture(belief)
    if picture.shut:
        return replace(outlook, ahead=stand_as_believed(outlook.ahead, picture), after=None)
    belief.move_ahead([moved_from(case.setup, one) for one in others])
    changes = [read_after(belief, moved_from(case.setup, one))[1].value for one in others]
    runs = zip(outlook.others, changes, strict=True)
    believed = tuple(shift_forecast(one, picture.value + change) for one, change in runs)
    ahead, then = stand_as_believed(outlook.ahead, picture), believe_then(belief, picture, case, offers)
    return replace(outlook, ahead=ahead, others=believed, then=then)


def believe_then(belief: Belief, picture: Picture, case: Case, offers: Sequence[Offer]) -> Picture | None:
    """Where the car is believed to stand with the first computed offer made; None where none is computed."""
    _, offer = first_computed(offers)
    setup = None if offer is None else moved_setup(case, offer)
    if setup is not None:
        return read_after(belief, moved_from(case.setup, setup))[0]
    return None if offer is None or offer.effect is None else picture.moved(offer.effect)


def first_computed(offers: Sequence[Offer]) -> tuple[int, Offer | None]:
    """Find the first offer whose effect on balance is known, with its number; 0 and None when there is none."""
    found = ((number, offer) for number, offer in enumerate(offers, 1) if offer.effect is not None)
    return next(found, (0, None))


def moved_setup(case: Case, offer: Offer) -> Setup | None:
    """Return the setup with an offer made; None for one that is no change of the setup, or that is not computed."""
    moves = steps_of(offer)
    computed = isinstance(offer, Package) or offer.basis == "computed"
    return with_steps(case, moves) if moves and computed else None


def believed_on_paper(outlook: Outlook, caption: str) -> Table | None:
    """Give the balance as it is believed, now and with the first change made; None where no number may be shown."""
    picture, then = outlook.ahead.picture, outlook.then
    if picture is None:
        return balance_on_paper(outlook.ahead.forecast.balance, outlook.after, caption)
    if picture.shut:
        return None
    return replace(believed_table(picture) if then is None else believed_then_table(picture, then), caption=caption)


def balance_on_paper(before: Grid, after: Grid | None, caption: str) -> Table:
    """Give the balance as it stands, or now and with a change made, as the screens show it."""
    table = balance_table(before) if after is None else before_after_table(before, after)
    return replace(table, caption=caption)


def run_words(outlook: Outlook, system: System) -> tuple[str, ...]:
    """Say what ends the run, fuel and pace; how balance and tires go stands with the charts."""
    ahead, forecast = outlook.ahead, outlook.ahead.forecast
    lost = forecast.pace.last - forecast.pace.first
    drop = (
        f"{abs(lost):.2f} s {'slower' if lost > 0 else 'quicker'} than the first five"
        if abs(lost) >= LEAST_PACE
        else "as quick as the first five"
    )
    said = [
        *([] if forecast.steady else [UNSTEADY]),
        *say_end(ahead),
        say_fuel(ahead, system),
        f"Pace: the last five laps are {drop}.",
    ]
    if outlook.changed is not None:
        said.append(f"With number {outlook.first} made: {pace_words(forecast, outlook.changed)}.")
    return (*said, *where_words(ahead))


def tires_on_paper(outlook: Outlook, system: System) -> Table:
    """Show the tires at the end of the run as the screens do; now and with the first change made where it is known."""
    old, new, laps = outlook.ahead.forecast, outlook.changed, outlook.ahead.driven
    if new is None:
        return replace(hot_table(old, system), caption=f"Tires after {laps} laps, and hot pressure in the run")
    return replace(
        tires_then(old, new, system), caption=f"Tires after {laps} laps: now, then with number {outlook.first} made"
    )


LEAST_LAPS = 1.0


@dataclass(frozen=True)
class Other:
    """The setup compared with. about: what must be said of it, such as that it is another car's."""

    name: str
    setup: Setup
    about: tuple[str, ...] = field(default_factory=tuple)


def setups_to_drive(case: Case, other: Other) -> tuple[Setup, ...]:
    """List this setup with each differing value of the other one alone, then with all of them."""
    found = differences(case.setup, other.setup)
    alone = [with_value(case.setup, lever, there) for lever, (_, there) in found.items()]
    whole = case.setup
    for lever, (_, there) in found.items():
        whole = with_value(whole, lever, there)
    return (*alone, whole) if alone else ()


def compare(case: Case, other: Other, outlook: Outlook, levers: Mapping[str, Lever], system: System) -> Comparison:
    """Say what differs and what each difference does; `outlook` has the runs of `setups_to_drive`."""
    found, now = differences(case.setup, other.setup), outlook.ahead.forecast
    rows = tuple(
        _difference(lever, pair, now, run, levers, system)
        for (lever, pair), run in zip(found.items(), outlook.others, strict=False)
    )
    if not rows:
        return Comparison(case.setup.name, other.name, (), ("The two setups are the same.",), other.about, None)
    whole = outlook.others[-1]
    together = [
        f"All of it together: {say_change(now.balance, whole.balance, most=3) or 'no change of balance'}.",
        f"Tires: {_tires(now, whole) or 'no change of a lap or more'}.",
        f"Lap times: {pace_words(now, whole)}.",
    ]
    caption = f"Balance in percent of grip: {case.setup.name}, then {other.name}"
    table = None if is_shut(outlook.ahead) else balance_on_paper(now.balance, whole.balance, caption)
    return Comparison(case.setup.name, other.name, rows, tuple(together), other.about, table)


def _difference(
    lever: str, pair: Sequence[float], now: Forecast, run: Forecast, levers: Mapping[str, Lever], system: System
) -> Difference:
    here, there = (lever_value(lever, value, system) for value in pair)
    return Difference(name_of(lever, levers), here, there, _does(lever, now, run))


def _does(lever: str, now: Forecast, run: Forecast) -> str:
    if lever in NOT_COMPUTED:
        return "felt in the wheel; not computed"
    parts = [say_change(now.balance, run.balance), _tires(now, run), _fuel(now, run)]
    return "; ".join(part for part in parts if part) or "nothing that can be felt"


def _tires(now: Forecast, run: Forecast, most: int = 2) -> str:
    """Say the largest changes of tire life."""
    changes: Mapping[str, float] = {corner: run.tire_laps[corner] - now.tire_laps[corner] for corner in CORNERS}
    order = sorted(changes, key=lambda corner: -abs(changes[corner]))[:most]
    said = [
        f"{corner} tire {count_of(round(abs(changes[corner])), 'lap')} {'longer' if changes[corner] > 0 else 'shorter'}"
        for corner in order
        if abs(changes[corner]) >= LEAST_LAPS
    ]
    return ", ".join(said)


def _fuel(now: Forecast, run: Forecast) -> str:
    change = whole_laps(run.fuel_laps) - whole_laps(now.fuel_laps)
    return f"fuel for {count_of(abs(change), 'lap')} {'more' if change > 0 else 'less'}" if change else ""


def say_change(before: Grid, after: Grid, most: int = 2) -> str:
    """Say the largest changes of balance in words: "0.42 looser coming off late in the run"; "" when there is none."""
    change = after - before
    cells = [(value, phase, stage) for phase, row in change.items() for stage, value in row.items()]
    worst = sorted(cells, key=lambda cell: -abs(cell[0]))[:most]
    said = [
        f"{change_words(change)} {PHASE_WORDS[phase]} {STAGE_WORDS[stage]}"
        for change, phase, stage in worst
        if abs(change) >= NOTHING
    ]
    return ", ".join(said)


def name_of(lever: str, levers: Mapping[str, Lever]) -> str:
    """Name a lever as the screens do; springs, pressures and clicks by their corner."""
    family, _, corner = lever.rpartition("_")
    if corner.upper() in CORNERS and family in ("spring", "pressure", "bump", "rebound"):
        return f"{corner.upper()} {family}"
    known: Lever | None = levers.get(lever)
    return known.title if known is not None else lever.replace("_", " ")
