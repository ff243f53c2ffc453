"""The run ahead, a screen at a time: what matters most first, the rest by name, or everything."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from assistant.belief.driven import guesses_in
from assistant.belief.gears_and_brakes import gear_now, judge_gear
from assistant.belief.look_ahead import weigh_air
from assistant.belief.whole_run import whole_laps
from assistant.ground.names import CORNERS, PHASE_LETTERS, PHASE_WORDS, PHASES, STAGES
from assistant.ground.units import System, show
from assistant.pages import sayings
from assistant.pages.amounts import guess_words, sentence
from assistant.pages.balance import (
    balance_blocks,
    basis_words,
    doubt_blocks,
    stands,
    state_at_end,
)
from assistant.pages.blocks import ALL, FORECAST, Block, Line, LineChart, Table, apart, lines, more_of
from assistant.pages.run_words import (
    ACROSS_NOTE,
    LOCK_NOTE,
    gear_words,
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
    span_words,
)

if TYPE_CHECKING:
    from assistant.belief.gears_and_brakes import Gear
    from assistant.belief.look_ahead import RunAhead
    from assistant.belief.picture import Picture
    from assistant.belief.whole_run import Forecast
    from assistant.car.case import Case
    from assistant.rules.knowledge import Knowledge


LIMITS = (
    "Absolute balance and lap times are not to be trusted, differences are. Not in it: traffic, a track that changes, "
    "bumps, bump stops, shifting gears, and time lost in a stop."
)
ANCHORED_WITHOUT_STOPS = "The driver's word is taken for a run without stops; what the stops change comes on top."
UNSTEADY = "Somewhere in this run the car has no steady state: do not trust what follows."
SLOW_LAPS = "Slow laps cool the tires; they count neither as laps nor as fuel."
GEAR_HEADS = (
    "ratio: overall; lap: seconds; line: most rpm, at the end of a straight; slow: rpm at the slowest point; "
    "limit: time on the limiter each lap; fuel: laps."
)
MIDDLE_ONLY = "Where the table of the balance says not known, a line is only the middle of plausible cars."
NOTHING_OF_END = "Nothing was said of {}: how it stands there is not known."
NOT_KNOWN_YET = "How the balance goes through the run is not known: nobody said how the car handles."
AIR, BRAKES = "tire_maker", "brake_work"
HEED = {"tires": (AIR,), "air": (AIR,), "brakes": (BRAKES,), ALL: (AIR, BRAKES)}
"""Cautions shown with what is said about air and brakes."""
TIRES = "Tires: tread used at the end, when it is gone, hot pressure"
MOST_GEARS = 10
"""Pairs shown on a screen of their own; the others are slower still."""
TRUST = "Trust differences, not absolute balance or lap times."


def part_screen(
    part: str,
    ahead: RunAhead,
    knowledge: Knowledge,
    system: System,
    work: Callable[[str, Callable[[], Any]], Any],
    ask: str = "forecast",
) -> list[Block]:
    """Show one part of the run ahead, everything for "all", what matters most for "".

    work: does what takes long; other air in the right rear is driven only where it is shown. ask: what shows a part.
    """
    if not part:
        return _short_screen(ahead, knowledge, system, ask)

    def air() -> list[Line]:
        return lines(say_air(work(sayings.DRIVING_OTHER_AIR, lambda: weigh_air(ahead)), system))

    parts: Mapping[str, Callable[[], Sequence[Block]]] = {
        "ends": lambda: ends_told(ahead) or ([] if ahead.picture.shut else _ends(ahead.ends)),
        "drift": lambda: _drift(ahead) or lines([] if ahead.picture.shut else [NOT_KNOWN_YET]),
        "tires": lambda: [hot_table(ahead, system), *_across(ahead, system)],
        "wear": lambda: [wear_chart(ahead.forecast)],
        "steering": lambda: _steering(ahead),
        "gears": lambda: _gears(ahead, system, None if part == ALL else MOST_GEARS),
        "brakes": lambda: lines(say_brakes(ahead.brakes, system)),
        "air": air,
    }
    limits = lines([LIMITS] if part in {"ends", ALL} else [], "quiet")
    below = [*_cautions(knowledge, *HEED.get(part, ())), *limits]
    if part == ALL:
        head = [*_head(ahead), Line(say_fuel(ahead, system))]
        balance = balance_blocks(ahead.picture, "mean of both ends by time")
        return apart(head, balance, *(make() for make in parts.values()), below)
    return [*_stop_blocks(ahead), *doubt_blocks(ahead.picture), *parts[part](), *below]


def _short_screen(ahead: RunAhead, knowledge: Knowledge, system: System, ask: str) -> list[Block]:
    """Show what matters most: how far the run goes, balance, tread and hot pressures, fuel."""
    doubts = bool(doubt_blocks(ahead.picture))
    return [
        *_head(ahead),
        *heat_blocks(ahead.forecast, ahead.case, system),
        *_balance(ahead, f"mean of both ends{'; trust differences only' * doubts}"),
        hot_table(ahead, system),
        Line(say_fuel(ahead, system)),
        *_cautions(knowledge, AIR),
        Line(more_of(ask, FORECAST) if doubts else f"{TRUST} {more_of(ask, FORECAST)}"),
    ]


def _head(ahead: RunAhead) -> list[Block]:
    """Say what is driven, how far it goes, what its balance is taken from, and why that is less sure than it looks."""
    return [
        Line(f"The run ahead: setup {ahead.case.setup.name} on {ahead.case.track.name}.", mark="heading"),
        *lines(say_end(ahead)),
        *_stop_blocks(ahead),
        *lines((*basis_words(ahead.picture), *guess_words(guesses_in(ahead.case)))),
        *doubt_blocks(ahead.picture),
    ]


def _balance(ahead: RunAhead, what: str) -> list[Block]:
    """Show the balance of each end where the driver told them apart, else of both together."""
    return [*(ends_told(ahead) or balance_blocks(ahead.picture, what))]


def ends_told(ahead: RunAhead) -> list[Line | Table]:
    """Show the balance of the ends that the driver told of; of one that he did not nothing is known."""
    told = {end: there for end, there in ahead.ends.items() if there.said}
    left = [NOTHING_OF_END.format(end) for end in ahead.ends if end not in told]
    return [*_ends(told), *lines(left)] if told and not ahead.picture.shut else []


def _stop_blocks(ahead: RunAhead) -> list[Block]:
    """Say the stops back, what they do to the numbers, and whether the numbers can be trusted at all."""
    said = [f"Stop {say_stop(stop)}." for stop in ahead.stops]
    said += [ANCHORED_WITHOUT_STOPS] if ahead.stops else []
    said += [SLOW_LAPS] if any(stop.slow_laps for stop in ahead.stops) else []
    return [*lines(said), *lines([] if ahead.forecast.steady else [UNSTEADY], "caution")]


def _ends(ends: Mapping[str, Picture]) -> list[Table]:
    rows = [
        (end, PHASE_WORDS[phase], *(state_at_end(there, phase, stage) for stage in STAGES))
        for end, there in ends.items()
        for phase in PHASES
    ]
    return [Table(("", "", *STAGES), tuple(rows), caption="Balance at each end, in percent of grip")]


def _drift(ahead: RunAhead) -> list[LineChart]:
    """The line of balance through the run of every phase that is known for most of it; no chart where none is."""
    forecast, picture = ahead.forecast, ahead.picture
    unknown = {
        phase: [third for third, stage in enumerate(STAGES) if not stands(picture, phase, stage).is_known]
        for phase in PHASES
    }
    known = [phase for phase in PHASES if len(unknown[phase]) < len(STAGES) / 2]
    if picture.shut or not known:
        return []
    chart = LineChart(
        "balance",
        "Balance through the run, percent of grip",
        " ".join(
            filter(
                None, [say_drift(forecast, picture.drift), MIDDLE_ONLY if any(unknown[one] for one in known) else ""]
            )
        ),
        forecast.laps,
        {PHASE_WORDS[phase]: forecast.balance_line[phase] for phase in known},
        "{:+.1f}",
        "".join(PHASE_LETTERS[phase] for phase in known),
        over="tight",
        under="loose",
        unknown={PHASE_WORDS[phase]: unknown[phase] for phase in known},
    )
    return [chart]


def charts_of(ahead: RunAhead) -> tuple[LineChart, ...]:
    """The lines of balance and wear."""
    return (*_drift(ahead), wear_chart(ahead.forecast))


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


def heat_blocks(forecast: Forecast, case: Case, system: System) -> list[Line]:
    """Warn of corners out of reach and of tires that run away hot."""
    return lines([*say_reach(forecast), *say_heat(forecast, case.tire.best_temperature, system)], "caution")


def hot_table(ahead: RunAhead, system: System, caption: str = TIRES) -> Table:
    """Tread used at the end, the lap it is gone by, and hot pressure at each stage, with the bands that are known."""
    rows = tuple(_hot_row(ahead, corner, system) for corner in CORNERS)
    return Table(("", "used", "gone by", *STAGES), rows, caption=caption)


def _hot_row(ahead: RunAhead, corner: str, system: System) -> tuple[str, ...]:
    run, bands = ahead.forecast, ahead.bands
    used, gone = f"{100 * run.wear_end[corner]:.0f} %", gone_by(run.tire_laps[corner])
    hot = [show(run.hot_pressure[corner][stage], "pressure", system=system) for stage in STAGES]
    if bands is not None:
        low, high = (100 * one for one in bands.wear_end[corner])
        near, far = bands.hot_pressure[corner]
        used, gone = f"{used} ({low:.0f} to {high:.0f})", f"{gone} ({span_words(bands.tire_laps[corner])})"
        hot[-1] += f" +-{show((far - near) / 2.0, 'pressure', system=system, unit=False)}"
    return corner, used, gone, *hot


def _across(ahead: RunAhead, system: System) -> list[Block]:
    forecast = ahead.forecast

    def strips(corner: str, stage: str) -> str:
        said = [show(one, "temperature", system=system, unit=False) for one in forecast.strips[corner][stage][:2]]
        return " / ".join([*said, show(forecast.strips[corner][stage][2], "temperature", system=system)])

    rows = tuple((corner, *(strips(corner, stage) for stage in STAGES)) for corner in CORNERS)
    table = Table(("", *STAGES), rows, ACROSS_NOTE, caption="Tread temperature, inside / middle / outside")
    return [table, *heat_blocks(forecast, ahead.case, system)]


def _steering(ahead: RunAhead) -> list[Block]:
    """How much of the front's bite the steering uses, and of the lock where it is known."""
    forecast, lock = ahead.forecast, ahead.case.car.steering_lock is not None

    def share(phase: str, stage: str) -> str:
        of_lock = f", lock {100 * forecast.lock_share[phase][stage]:.0f} %" if lock else ""
        return f"{100 * forecast.useful_share[phase][stage]:.0f} %{of_lock}"

    rows = tuple((PHASE_WORDS[phase], *(share(phase, stage) for stage in STAGES)) for phase in PHASES)
    caption = f"Steering, share of what the front can take{', and of full lock' if lock else ''}"
    says = f"At 100 % the front is at its peak, and more wheel only scrubs. {LOCK_NOTE}"
    return [Table(("", *STAGES), rows, says, caption=caption)]


def _gears(ahead: RunAhead, system: System, most: int | None = None) -> list[Block]:
    """The legal pairs, quickest first; the best and today's with the reason in full.

    most: so many pairs are shown, and today's; all when left out.
    """
    gears, engine = ahead.gears, ahead.case.car.engine
    best, (rank, now) = gears[0], gear_now(gears)
    shown = [(place, one) for place, one in enumerate(gears, 1) if most is None or place <= most or one.now]
    rows = tuple(_gear_row(place, one, gear_words(judge_gear(one, best, engine))) for place, one in shown)
    said = [sentence(f"{_pair(best)} is {say_gear(best, best, engine, system)}")]
    if rank > 1:
        why = f"{now.lap_s - best.lap_s:.2f} s a lap off: {say_gear(now, best, engine, system)}"
        said.append(sentence(f"Today's {_pair(now)} is number {rank}, {why}"))
    if "rev_limit" in ahead.case.car.guessed:
        said.append("Nobody has said what engine and gearbox the car has: these are guessed.")
    if len(rows) < len(gears):
        said.append(f"{len(gears) - len(rows)} slower pairs are left out here.")
    return [
        Line("Gears: every pair the rules and the box allow, by mean lap time of the run."),
        Line(GEAR_HEADS),
        Table(("", "pair", "ratio", "lap", "line", "slow", "limit", "fuel", "why"), rows, " ".join(said)),
    ]


def _gear_row(rank: int, one: Gear, why: str) -> tuple[str, ...]:
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


def _pair(one: Gear) -> str:
    return f"{one.gear:.2f} x {one.final_drive:.2f} = {one.overall:.2f}"


def _cautions(knowledge: Knowledge, *keys: str) -> list[Line]:
    return lines(knowledge.cautions_for(keys), "caution")
