"""The run ahead on a screen: how far it goes, balance, tires, fuel, steering, gears, brakes and right-rear air.

The run ahead a screen at a time: what matters most first, the rest by name.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from assistant.belief.gears_and_brakes import gear_now, judge_gear
from assistant.belief.whole_run import whole_laps
from assistant.car.car import CORNERS
from assistant.ground.grid import PHASES, STAGES
from assistant.ground.units import System, show
from assistant.ground.words import PHASE_WORDS
from assistant.pages.amounts import sentence, state_words
from assistant.pages.believed import about_words, doubted_blocks, grid_blocks, is_shut, where_blocks
from assistant.pages.blocks import ALL, BLANK, FORECAST, Block, Line, LineChart, Table, more_of
from assistant.pages.run_words import (
    ACROSS_NOTE,
    GEAR_WORDS,
    LOCK_NOTE,
    gone_by,
    say_air,
    say_brakes,
    say_drift,
    say_end,
    say_fuel,
    say_gear,
    say_heat,
    say_reach,
    say_stop,
    say_wear,
)

if TYPE_CHECKING:
    from assistant.belief.gears_and_brakes import Gear
    from assistant.belief.look_ahead import AirEffect, RunAhead
    from assistant.belief.picture import Picture
    from assistant.belief.whole_run import Forecast
    from assistant.car.case import Case
    from assistant.rules.knowledge import Knowledge


LIMITS = (
    "Absolute balance and lap times are not to be trusted, differences are. Not in it: traffic, a track that changes, "
    "bumps, bump stops, shifting gears, and time lost in a stop."
)
ANCHORED_WITHOUT_STOPS = "The driver's word is taken for a run without stops; what the stops change comes on top."
SLOW_LAPS = "Slow laps cool the tires; they count neither as laps nor as fuel."
GEAR_HEADS = (
    "ratio: overall; lap: seconds; line: most rpm, at the end of a straight; slow: rpm at the slowest point; "
    "limit: time on the limiter each lap; fuel: laps."
)
AIR, BRAKES = "tire_maker", "brake_work"
CAUTIONS = (AIR, BRAKES)
"""Cautions shown with what is said about air and brakes."""


def forecast_screen(ahead: RunAhead, air: Sequence[AirEffect], knowledge: Knowledge, system: System) -> list[Block]:
    """Show the whole run ahead."""
    return [
        *head_blocks(ahead),
        BLANK,
        *balance_blocks(ahead),
        BLANK,
        *tire_blocks(ahead, system),
        BLANK,
        Line(say_fuel(ahead, system)),
        BLANK,
        *steering_blocks(ahead),
        BLANK,
        *gear_blocks(ahead, system),
        BLANK,
        *(Line(text) for text in say_brakes(ahead.brakes, system)),
        BLANK,
        *(Line(text) for text in say_air(air, system)),
        *caution_blocks(knowledge),
        Line(LIMITS, mark="quiet"),
    ]


def head_blocks(ahead: RunAhead) -> list[Block]:
    """Say what is driven, what ends it, and where the balance is anchored."""
    ends = [Line(text) for text in say_end(ahead)]
    return [title_line(ahead), *ends, *stop_blocks(ahead), *where_blocks(ahead), *doubted_blocks(ahead)]


def title_line(ahead: RunAhead) -> Line:
    """Say which setup is driven where."""
    return Line(f"The run ahead: setup {ahead.case.setup.name} on {ahead.case.track.name}.", mark="heading")


def stop_blocks(ahead: RunAhead) -> list[Block]:
    """Say the stops back, what they do to the numbers, and whether the numbers can be trusted at all."""
    lines: list[Block] = [Line(f"Stop {say_stop(stop)}.") for stop in ahead.stops]
    if ahead.stops:
        lines.append(Line(ANCHORED_WITHOUT_STOPS))
    if any(stop.slow_laps for stop in ahead.stops):
        lines.append(Line(SLOW_LAPS))
    if not ahead.forecast.steady:
        lines.append(
            Line("Somewhere in this run the car has no steady state: do not trust what follows.", mark="caution")
        )
    return lines


def balance_blocks(ahead: RunAhead) -> list[Block]:
    """Balance of both ends together, of each end, and its line through the run."""
    if is_shut(ahead):
        return []
    return [
        *grid_blocks(ahead, "mean of both ends by time"),
        BLANK,
        *end_blocks(ahead),
        BLANK,
        balance_chart(ahead.forecast, ahead.picture),
    ]


def end_blocks(ahead: RunAhead) -> list[Block]:
    """Balance of each end."""
    if is_shut(ahead):
        return []
    words = state_words if ahead.picture is None else about_words
    rows = [
        (end, PHASE_WORDS[phase], *(words(cells[phase][stage]) for stage in STAGES))
        for end, cells in ahead.forecast.ends
        for phase in PHASES
    ]
    return [Line("Balance at each end, in percent of grip:"), Table(("", "", *STAGES), tuple(rows), "")]


def balance_chart(forecast: Forecast, picture: Picture | None = None) -> LineChart:
    """The line of balance through the run."""
    return LineChart(
        "balance",
        "Balance through the run, percent of grip",
        say_drift(forecast, {} if picture is None else picture.drift),
        forecast.laps,
        {PHASE_WORDS[phase]: forecast.balance_line[phase] for phase in PHASES},
        "{:+.1f}",
        "imo",
        over="tight",
        under="loose",
    )


def charts_of(ahead: RunAhead) -> tuple[LineChart, ...]:
    """The lines of balance and wear; that of balance only where numbers of it may be shown."""
    drawn = () if is_shut(ahead) else (balance_chart(ahead.forecast, ahead.picture),)
    return (*drawn, wear_chart(ahead.forecast))


def wear_chart(forecast: Forecast) -> LineChart:
    """The line of wear through the run."""
    return LineChart(
        "wear",
        "Tread used through the run, percent",
        say_wear(forecast),
        forecast.laps,
        {corner: [100 * used for used in forecast.wear_line[corner]] for corner in CORNERS},
        "{:.0f}",
        "1234",
        over="tread used",
        from_zero=True,
    )


def doubt_blocks(forecast: Forecast | None, case: Case, system: System) -> list[Block]:
    """Warn of corners out of reach and of tires that run away hot; nothing where the run was not driven."""
    if forecast is None:
        return []
    said = [*say_reach(forecast), *say_heat(forecast, case.tire.best_temperature, system)]
    return [Line(text, mark="caution") for text in said]


def tire_blocks(ahead: RunAhead, system: System) -> list[Block]:
    """Tread used, laps left, hot pressures, temperatures across the tread, and wear through the run."""
    return [
        Line("Tires: tread used at the end, when it is gone, hot pressure:"),
        hot_table(ahead.forecast, system),
        BLANK,
        *across_blocks(ahead, system),
        BLANK,
        wear_chart(ahead.forecast),
    ]


def hot_table(forecast: Forecast, system: System) -> Table:
    """Tread used at the end, the lap it is gone by, and hot pressure at each stage."""
    rows = tuple(
        (
            corner,
            f"{100 * forecast.wear_end[corner]:.0f} %",
            gone_by(forecast.tire_laps[corner]),
            *(show(forecast.hot_pressure[corner][stage], "pressure", system=system) for stage in STAGES),
        )
        for corner in CORNERS
    )
    return Table(("", "used", "gone by", *STAGES), rows, "")


def across_blocks(ahead: RunAhead, system: System) -> list[Block]:
    """Temperatures across the tread."""
    forecast = ahead.forecast
    rows = tuple((corner, *(say_strips(forecast, corner, stage, system) for stage in STAGES)) for corner in CORNERS)
    return [
        Line("Tread temperature, inside / middle / outside:"),
        Table(("", *STAGES), rows, ACROSS_NOTE),
        *doubt_blocks(forecast, ahead.case, system),
    ]


def say_strips(forecast: Forecast, corner: str, stage: str, system: System) -> str:
    """Write three temperatures with one unit."""
    inside, middle, outside = forecast.strips[corner][stage]
    said = [show(value, "temperature", system=system, unit=False) for value in (inside, middle)]
    return " / ".join([*said, show(outside, "temperature", system=system)])


def steering_blocks(ahead: RunAhead) -> list[Block]:
    """How much of the front's bite the steering uses, and of the lock where it is known."""
    forecast, lock = ahead.forecast, ahead.case.car.steering_lock is not None
    rows = tuple(
        (PHASE_WORDS[phase], *(share_words(forecast, phase, stage, lock=lock) for stage in STAGES)) for phase in PHASES
    )
    what = "share of what the front can take" + (", and of full lock:" if lock else ":")
    return [
        Line(f"Steering, {what}"),
        Table(("", *STAGES), rows, f"At 100 % the front is at its peak, and more wheel only scrubs. {LOCK_NOTE}"),
    ]


def share_words(forecast: Forecast, phase: str, stage: str, *, lock: bool) -> str:
    """Write the useful share, and the share of the lock behind it."""
    useful = f"{100 * forecast.useful_share[phase][stage]:.0f} %"
    return f"{useful}, lock {100 * forecast.lock_share[phase][stage]:.0f} %" if lock else useful


def gear_blocks(ahead: RunAhead, system: System, most: int | None = None) -> list[Block]:
    """The legal pairs, quickest first; the best and today's with the reason in full.

    most: so many pairs are shown, and today's; all when left out.
    """
    gears, engine = ahead.gears, ahead.case.car.engine
    shown = [(rank, one) for rank, one in enumerate(gears, 1) if most is None or rank <= most or one.now]
    rows = tuple(gear_row(rank, one, GEAR_WORDS[judge_gear(one, gears[0], engine)]) for rank, one in shown)
    rank, now = gear_now(gears)
    said = [sentence(f"{pair_words(gears[0])} is {say_gear(gears[0], gears[0], engine, system)}")]
    if rank > 1:
        lost = now.lap_s - gears[0].lap_s
        why = say_gear(now, gears[0], engine, system)
        said.append(sentence(f"Today's {pair_words(now)} is number {rank}, {lost:.2f} s a lap off: {why}"))
    if "rev_limit" in ahead.case.car.guessed:
        said.append("Nobody has said what engine and gearbox the car has: these are guessed.")
    if len(rows) < len(gears):
        said.append(f"{len(gears) - len(rows)} slower pairs are left out here.")
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


def caution_blocks(knowledge: Knowledge, keys: Sequence[str] = CAUTIONS) -> list[Block]:
    """The usual cautions for what touches air and brakes."""
    return [Line(knowledge.cautions[key].says, mark="caution") for key in keys if key in knowledge.cautions]


MOST_GEARS = 10
"""Pairs shown on a screen of their own; the others are slower still."""
TRUST = "Trust differences, not absolute balance or lap times."


def part_screen(
    part: str,
    ahead: RunAhead,
    knowledge: Knowledge,
    system: System,
    *,
    air: Callable[[], Sequence[AirEffect]],
    ask: str = "forecast",
) -> list[Block]:
    """Show one part of the run ahead, everything for "all", what matters most for "".

    air: right-rear air, driven only where it is shown. ask: what shows a part.
    """
    if part == ALL:
        return forecast_screen(ahead, air(), knowledge, system)
    if part == "air":
        said = [Line(text) for text in say_air(air(), system)]
        return [*doubted_blocks(ahead), *said, *caution_blocks(knowledge, (AIR,))]
    if part:
        return [*stop_blocks(ahead), *doubted_blocks(ahead), *_PARTS[part](ahead, knowledge, system)]
    return short_screen(ahead, knowledge, system, ask)


def short_screen(ahead: RunAhead, knowledge: Knowledge, system: System, ask: str) -> list[Block]:
    """Show what matters most: how far the run goes, balance, tread and hot pressures, fuel."""
    doubted = doubted_blocks(ahead)
    return [
        title_line(ahead),
        *(Line(text) for text in _ends(ahead)),
        *stop_blocks(ahead),
        *where_blocks(ahead),
        *doubted,
        *doubt_blocks(ahead.forecast, ahead.case, system),
        *grid_blocks(ahead, f"mean of both ends{'; trust differences only' * bool(doubted)}", short=bool(doubted)),
        Line("Tires: tread used at the end, when it is gone, hot pressure:"),
        hot_table(ahead.forecast, system),
        Line(say_fuel(ahead, system)),
        *caution_blocks(knowledge, (AIR,)),
        Line(more_of(ask, FORECAST) if doubted else f"{TRUST} {more_of(ask, FORECAST)}"),
    ]


def _ends(ahead: RunAhead) -> list[str]:
    """Say in one line what ends a run that can be driven; a shorter one in full."""
    if ahead.cut_short:
        return say_end(ahead)
    forecast = ahead.forecast
    by = "the fuel" if forecast.run_ends_by == "fuel" else f"the {forecast.run_ends_by} tire"
    first = f"first to be used up: {by}, after lap {whole_laps(forecast.run_ends_at)}"
    return [f"All {ahead.planned} laps can be driven; {first}."]


def _tires(ahead: RunAhead, knowledge: Knowledge, system: System) -> list[Block]:
    return [*across_blocks(ahead, system), *caution_blocks(knowledge, (AIR,))]


def _brakes(ahead: RunAhead, knowledge: Knowledge, system: System) -> list[Block]:
    return [*(Line(text) for text in say_brakes(ahead.brakes, system)), *caution_blocks(knowledge, (BRAKES,))]


_PARTS: Mapping[str, Callable[[RunAhead, Knowledge, System], list[Block]]] = {
    "ends": lambda ahead, _, __: [*end_blocks(ahead), Line(LIMITS, mark="quiet")],
    "drift": lambda ahead, _, __: list(charts_of(ahead)[:-1]),
    "tires": _tires,
    "wear": lambda ahead, _, __: [wear_chart(ahead.forecast)],
    "steering": lambda ahead, _, __: steering_blocks(ahead),
    "gears": lambda ahead, _, system: gear_blocks(ahead, system, MOST_GEARS),
    "brakes": _brakes,
}
