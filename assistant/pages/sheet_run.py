"""The computed part of a page: the run ahead with the setup at hand, with the first change made, and another setup's.

All of them are driven as one batch, over the laps that all of them can do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from assistant.advice.results import Package
from assistant.belief.look_ahead import RunAhead, look_from, reach
from assistant.belief.standing import Standing
from assistant.belief.whole_run import Forecast, forecast_setups
from assistant.car.case import Case
from assistant.car.moves import with_steps
from assistant.car.setup import Setup
from assistant.ground.grid import Grid
from assistant.ground.units import System
from assistant.pages.advice import Offer, steps_of
from assistant.pages.blocks import Table
from assistant.pages.forecast import hot_table
from assistant.pages.grids import balance_table, before_after_table
from assistant.pages.run_words import say_anchor, say_end, say_fuel
from assistant.pages.try_change import pace_words, tires_then

UNSTEADY = "Somewhere in this run the car has no steady state: do not trust what follows."
LEAST_PACE = 0.005
"""Seconds a lap below which a change would be written as 0.00."""


@dataclass(frozen=True)
class Outlook:
    """ahead: the run with the setup at hand. first: number of the change looked at, 0 for none.

    after: balance with it made; changed: the whole run with it made, None for a habit. others: the runs with the
    other setups asked for, in their order.
    """

    ahead: RunAhead
    first: int
    after: Grid | None
    changed: Forecast | None
    others: tuple[Forecast, ...]


def look_out(case: Case, offers: Sequence[Offer], standing: Standing, others: Sequence[Setup] = ()) -> Outlook:
    """Drive the run as it is, with the first change that can be computed, and with every other setup."""
    first, offer = first_computed(offers)
    setup = None if offer is None else moved_setup(case, offer)
    wanted = [*([] if setup is None else [setup]), *others]
    model, driven = reach(case, [case.setup, *wanted], case.run_laps, (), standing)
    ahead = look_from(model, case.setup, case.run_laps, driven, ())
    found = forecast_setups(model, wanted, laps=driven) if wanted else ()
    changed = found[0] if setup is not None else None
    after = changed.balance if changed is not None else None
    if changed is None and offer is not None and offer.effect is not None:
        after = ahead.forecast.balance + offer.effect
    return Outlook(ahead, first if after is not None else 0, after, changed, tuple(found[len(found) - len(others) :]))


def first_computed(offers: Sequence[Offer]) -> tuple[int, Offer | None]:
    """Find the first offer whose effect on balance is known, with its number; 0 and None when there is none."""
    found = ((number, offer) for number, offer in enumerate(offers, 1) if offer.effect is not None)
    return next(found, (0, None))


def moved_setup(case: Case, offer: Offer) -> Setup | None:
    """Return the setup with an offer made; None for one that is no change of the setup, or that is not computed."""
    moves = steps_of(offer)
    computed = isinstance(offer, Package) or offer.basis == "computed"
    return with_steps(case, moves) if moves and computed else None


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
    return (*said, say_anchor(ahead.model.standing, ahead.driven / 3.0))


def tires_on_paper(outlook: Outlook, system: System) -> Table:
    """Show the tires at the end of the run as the screens do; now and with the first change made where it is known."""
    old, new, laps = outlook.ahead.forecast, outlook.changed, outlook.ahead.driven
    if new is None:
        return replace(hot_table(old, system), caption=f"Tires after {laps} laps, and hot pressure in the run")
    return replace(
        tires_then(old, new, system), caption=f"Tires after {laps} laps: now, then with number {outlook.first} made"
    )
