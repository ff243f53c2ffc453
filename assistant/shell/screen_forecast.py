"""The run ahead on a screen: how far it goes, balance, tyres, fuel, steering, gears, brakes and right-rear air."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from assistant.advice.run.brakes import less
from assistant.advice.run.gears import gear_now, say_reason, short_reason
from assistant.advice.run.run_ends import whole_laps
from assistant.advice.run.run_words import (
    ACROSS_NOTE,
    LOCK_NOTE,
    WHERE,
    say_air,
    say_anchor,
    say_brakes,
    say_changes,
    say_drift,
    say_end,
    say_fuel,
    say_heat,
    say_wear,
)
from assistant.advice.run.stops import say_stop
from assistant.car.car import CORNERS
from assistant.car.case import PHASES, STAGES
from assistant.shell.amounts import sentence, state_words
from assistant.shell.blocks import BLANK, Block, Line, Picture, Table
from assistant.shell.grids import balance_table, before_after_table, change_table
from assistant.shell.pictures import draw_lines
from assistant.units import System, show

if TYPE_CHECKING:
    from assistant.advice.computed.forecast import Forecast
    from assistant.advice.run.air_conflict import AirEffect
    from assistant.advice.run.gears import Gear
    from assistant.advice.run.run_ahead import RunAhead
    from assistant.car.case import Case
    from assistant.rules.knowledge import Knowledge

BALANCE_LETTERS = {"i": "entry", "m": "middle", "o": "exit"}
WEAR_LETTERS = {"1": "LF", "2": "RF", "3": "LR", "4": "RR"}
LIMITS = (
    "Absolute balance and lap times are not to be trusted, differences are. Not in it: traffic, a track that changes, "
    "bumps, bump stops, shifting gears, and time lost in a stop."
)
ANCHORED_WITHOUT_STOPS = "The driver's word is taken for a run without stops; what the stops change comes on top."
SLOW_LAPS = "Slow laps cool the tyres; they count neither as laps nor as fuel."
GEAR_HEADS = (
    "ratio: overall; lap: seconds; line: most rpm, at the end of a straight; slow: rpm at the slowest point; "
    "limit: time on the limiter each lap; fuel: laps."
)
AIR_CAUTION = ("tyre_maker", "brake_work")
"""Cautions shown with what is said about air and brakes."""


def forecast_screen(ahead: RunAhead, air: Sequence[AirEffect], knowledge: Knowledge, units: System) -> list[Block]:
    """Show the whole run ahead."""
    return [
        *head_blocks(ahead),
        BLANK,
        *balance_blocks(ahead),
        BLANK,
        *tyre_blocks(ahead, units),
        BLANK,
        Line(say_fuel(ahead, units)),
        *steering_blocks(ahead),
        BLANK,
        *gear_blocks(ahead),
        BLANK,
        *(Line(text) for text in say_brakes(ahead.brakes, units)),
        BLANK,
        *(Line(text) for text in say_air(air, units)),
        *caution_blocks(knowledge),
        Line(LIMITS, mark="quiet"),
    ]


def short_screen(ahead: RunAhead, units: System) -> list[Block]:
    """Show what matters most: how far the run goes, balance, tread and hot pressures, fuel."""
    balance = Line("Balance in percent of grip, mean of both ends by time:"), balance_table(ahead.forecast.balance)
    heat = heat_blocks(ahead.forecast, ahead.case, units)
    return [
        *head_blocks(ahead),
        BLANK,
        *balance,
        BLANK,
        *tyre_blocks(ahead, units)[:2],
        *heat,
        Line(say_fuel(ahead, units)),
    ]


def head_blocks(ahead: RunAhead) -> list[Block]:
    """Say what is driven, what ends it, and where the balance is anchored."""
    case = ahead.case
    lines = [Line(f"The run ahead: setup {case.setup.name} on {case.track.name}.", mark="heading")]
    lines += [Line(text) for text in say_end(ahead)]
    lines += [Line(f"Stop {say_stop(stop)}.") for stop in ahead.stops]
    if ahead.stops:
        lines.append(Line(ANCHORED_WITHOUT_STOPS))
    if any(stop.slow_laps for stop in ahead.stops):
        lines.append(Line(SLOW_LAPS))
    if not ahead.forecast.steady:
        lines.append(
            Line("Somewhere in this run the car has no steady state: do not trust what follows.", mark="caution")
        )
    return [*lines, Line(say_anchor(ahead.model.standing, ahead.driven / 3.0))]


def balance_blocks(ahead: RunAhead) -> list[Block]:
    """Balance of both ends together, of each end, and its line through the run."""
    forecast = ahead.forecast
    lines = {letter: forecast.balance_line[phase] for letter, phase in BALANCE_LETTERS.items()}
    rows = [
        (end, WHERE[phase], *(state_words(cells[phase][stage]) for stage in STAGES))
        for end, cells in forecast.ends
        for phase in PHASES
    ]
    return [
        Line("Balance in percent of grip, mean of both ends by time:"),
        balance_table(forecast.balance),
        BLANK,
        Line("At each end:"),
        Table(("", "", *STAGES), tuple(rows), ""),
        BLANK,
        Line("Balance through the run, + tight, - loose: i getting in, m middle, o coming off, * where they meet:"),
        Picture(draw_lines(forecast.laps, lines, "{:+.1f}"), say_drift(forecast)),
    ]


def heat_blocks(forecast: Forecast | None, case: Case, units: System) -> list[Block]:
    """Warn of tyres that run away hot; nothing where none does, or where the run was not driven."""
    if forecast is None:
        return []
    return [Line(text, mark="caution") for text in say_heat(forecast, case.tyre.best_temperature, units)]


def tyre_blocks(ahead: RunAhead, units: System) -> list[Block]:
    """Tread used, laps left, hot pressures, temperatures across the tread, and wear through the run."""
    forecast = ahead.forecast
    hot = tuple(
        (
            corner,
            f"{100 * forecast.wear_end[corner]:.0f} %",
            f"lap {whole_laps(forecast.tyre_laps[corner])}",
            *(show(forecast.hot_pressure[corner][stage], "pressure", system=units) for stage in STAGES),
        )
        for corner in CORNERS
    )
    across = tuple((corner, *(say_strips(forecast, corner, stage, units) for stage in STAGES)) for corner in CORNERS)
    lines = {digit: [100 * used for used in forecast.wear_line[corner]] for digit, corner in WEAR_LETTERS.items()}
    return [
        Line("Tyres: tread used at the end, when it is gone, hot pressure:"),
        Table(("", "used", "gone by", *STAGES), hot, ""),
        BLANK,
        Line("Tread temperature, inside / middle / outside:"),
        Table(("", *STAGES), across, ACROSS_NOTE),
        *heat_blocks(forecast, ahead.case, units),
        BLANK,
        Line("Tread used through the run, percent: 1 LF, 2 RF, 3 LR, 4 RR, * where they meet:"),
        Picture(draw_lines(forecast.laps, lines, "{:.0f}"), say_wear(forecast)),
    ]


def say_strips(forecast: Forecast, corner: str, stage: str, units: System) -> str:
    """Write three temperatures with one unit."""
    inside, middle, outside = forecast.strips[corner][stage]
    said = [show(value, "temperature", system=units, unit=False) for value in (inside, middle)]
    return " / ".join([*said, show(outside, "temperature", system=units)])


def steering_blocks(ahead: RunAhead) -> list[Block]:
    """How much of the front's bite the steering uses, and of the lock where it is known."""
    forecast, lock = ahead.forecast, ahead.case.car.steering_lock is not None
    rows = tuple(
        (WHERE[phase], *(share_words(forecast, phase, stage, lock=lock) for stage in STAGES)) for phase in PHASES
    )
    what = "share of what the front can take" + (", and of full lock:" if lock else ":")
    return [
        BLANK,
        Line(f"Steering, {what}"),
        Table(("", *STAGES), rows, f"At 100 % the front is at its peak, and more wheel only scrubs. {LOCK_NOTE}"),
    ]


def share_words(forecast: Forecast, phase: str, stage: str, *, lock: bool) -> str:
    """Write the useful share, and the share of the lock behind it."""
    useful = f"{100 * forecast.useful_share[phase][stage]:.0f} %"
    return f"{useful}, lock {100 * forecast.lock_share[phase][stage]:.0f} %" if lock else useful


def gear_blocks(ahead: RunAhead) -> list[Block]:
    """Every legal pair, quickest first; the best and today's with the reason in full."""
    gears, engine = ahead.gears, ahead.case.car.engine
    rows = tuple(gear_row(rank, one, short_reason(one, gears[0], engine)) for rank, one in enumerate(gears, 1))
    rank, now = gear_now(gears)
    said = [sentence(f"{pair_words(gears[0])} is {say_reason(gears[0], gears[0], engine)}")]
    if rank > 1:
        lost = now.lap_s - gears[0].lap_s
        why = say_reason(now, gears[0], engine)
        said.append(sentence(f"Today's {pair_words(now)} is number {rank}, {lost:.2f} s a lap off: {why}"))
    return [
        Line("Gears: every pair the rules and the box allow, by mean lap time of the run."),
        Line(GEAR_HEADS),
        Table(("", "pair", "ratio", "lap", "line", "slow", "limit", "fuel", "why"), rows, " ".join(said)),
    ]


def gear_row(rank: int, one: Gear, why: str) -> tuple[str, ...]:
    """One pair as a row."""
    return (
        f"{rank}{' now' if one.now else ''}",
        f"{one.gear:.2f} x {one.final_drive:.2f}",
        f"{one.overall:.2f}",
        f"{one.lap_s:.2f}",
        f"{one.rpm_max:.0f}",
        f"{one.rpm_min:.0f}",
        f"{one.limiter_s:.1f} s",
        f"{whole_laps(one.fuel_laps)}",
        why,
    )


def pair_words(one: Gear) -> str:
    """Say a pair: "1.30 x 4.86 = 6.32"."""
    return f"{one.gear:.2f} x {one.final_drive:.2f} = {one.overall:.2f}"


def caution_blocks(knowledge: Knowledge) -> list[Block]:
    """The usual cautions for what touches air and brakes."""
    return [Line(knowledge.cautions[key].says, mark="caution") for key in AIR_CAUTION if key in knowledge.cautions]


def whatif_screen(before: RunAhead, after: RunAhead, units: System) -> list[Block]:
    """Show what a change does over the run: balance, tyres, pace, fuel and what ends it."""
    old, new = before.forecast, after.forecast
    lines = [Line(text) for text in say_end(after)]
    return [
        Line("Balance in percent of grip, before and after:"),
        before_after_table(old.balance, new.balance),
        Line("The change:"),
        change_table(less(new.balance, old.balance)),
        BLANK,
        Table(
            ("", "tread used", "gone by", "hot, end"),
            tuple(tyre_row(corner, old, new, units) for corner in CORNERS),
            "",
        ),
        Line(say_pace(old, new)),
        Line(say_fuel_change(before, after)),
        *(Line(text) for text in say_changes(before, after, units)),
        *lines,
        Line(say_anchor(before.model.standing, before.driven / 3.0), mark="quiet"),
    ]


def tyre_row(corner: str, old: Forecast, new: Forecast, units: System) -> tuple[str, ...]:
    """One tyre before and after."""
    pressures = [
        show(one.hot_pressure[corner]["worn"], "pressure", system=units, unit=one is new) for one in (old, new)
    ]
    laps = [whole_laps(one.tyre_laps[corner]) for one in (old, new)]
    used = [f"{100 * one.wear_end[corner]:.1f}" for one in (old, new)]
    return (
        corner,
        f"{used[0]} %, stays" if used[0] == used[1] else f"{used[0]} -> {used[1]} %",
        f"lap {laps[0]}, stays" if laps[0] == laps[1] else f"lap {laps[0]} -> {laps[1]}",
        f"{pressures[0]} -> {pressures[1]}",
    )


def say_pace(old: Forecast, new: Forecast) -> str:
    """Say what happens to lap times."""
    parts = {"first five laps": "first", "mean": "average", "last five": "last"}
    said = []
    for words, part in parts.items():
        change = getattr(new.pace, part) - getattr(old.pace, part)
        how = f"{abs(change):.3f} s {'slower' if change > 0 else 'quicker'}" if abs(change) >= 0.0005 else "no change"
        said.append(f"{words} {how}")
    return f"Lap times: {', '.join(said)}."


def say_fuel_change(before: RunAhead, after: RunAhead) -> str:
    """Say laps of fuel before and after."""
    old, new = (whole_laps(one.forecast.fuel_laps) for one in (before, after))
    return f"Fuel: {old} laps, as before." if old == new else f"Fuel: {old} laps before, {new} after."
