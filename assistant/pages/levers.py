"""What every lever does on this car: one line each, one in full, or plain data; and the severities measured by it."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor
from statistics import fmean
from typing import TYPE_CHECKING

import numpy as np

from assistant.advice.sizing import is_fixed, when_of
from assistant.advice.trade import book_row, judge_all, judge_lever
from assistant.belief.gears_and_brakes import PAIR
from assistant.belief.known import SIZE
from assistant.belief.look_ahead import Reach, forecast_there
from assistant.belief.picture import read_picture
from assistant.car.case import Case, kind_of
from assistant.car.keys import LEVERS, ends_of, lever_name, listed_name
from assistant.car.moves import legal_range, setup_faults, value_of
from assistant.ground.names import (
    PHASE_WORDS,
    PHASES,
    STAGES,
    Grid,
    chance_word,
    count_of,
    did_you_mean,
    plain_id,
    say_number,
    sayable,
)
from assistant.ground.problems import BadInput, Problem
from assistant.pages.amounts import (
    FIXED,
    NOT_HERE,
    capital,
    fault_texts,
    lever_change,
    lever_value,
    not_legal_words,
    signed,
    trade_words,
)
from assistant.pages.balance import change_table, doubt_blocks, doubts_data
from assistant.pages.blocks import Block, Line, Table, apart, lines, under
from assistant.pages.data import Plain, Way, plain
from assistant.pages.forecast import heat_blocks
from assistant.pages.lever_facts import facts

if TYPE_CHECKING:
    from assistant.belief.believe import Belief
    from assistant.belief.effects import EffectTable, LeverEffect, Spread
    from assistant.ground.units import System
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models import Lever


STRONGEST = 14
"""Levers on a screen of 24 rows."""
WIDEST_NAME = 15
"""Letters of a lever's name that leave room for the other columns."""
NEAR = 0.02
"""Share of a step within which a change counts as whole steps."""
_SHORT = {"nothing computed": "nothing", "trade says it depends": "depends"}
"""Verdicts as a narrow column has them."""
UNKNOWN = "?"
"""What a step does where no plausible car does all that is known."""
BOOK_IS = "Book: by the rules, not computed."
NO_SIZE = "The model does not compute this lever, and no rule gives its size."
BY_THE_BOOK = (
    "The model does not compute this lever. By the book one step does, in percent of grip, on any tires: {}. "
    "The size is an assumption, anything from nothing to double."
)


def levers_screen(
    wanted: Sequence[str],
    table: EffectTable,
    knowledge: Knowledge,
    system: System,
    *,
    most: int | None = None,
    ask: str = "levers",
    explain: str = "explain",
) -> list[Block]:
    """Show each lever that is wanted in full; with none, a line for each: its value, one step, and what that does.

    most: only so many, those that do most for a step; all in the order of the car when left out. ask: what shows one.
    """
    if wanted:
        return apart(*(lever_screen(lever, table, knowledge, system, explain) for lever in wanted))
    ids = list(table.levers) if most is None else _strongest(table, most)
    first = name_of(ids[0], table.case)
    first = f'"{first}"' if " " in first and " " in ask else first  # one word of a command line
    rows = [_row(table.levers[lever], table, knowledge.levers[lever], system) for lever in ids]
    left = len(table.levers) - len(ids)
    rest = f" {ask} all adds {left} that do less or are not computed." if left else ""
    book = f" {BOOK_IS}" if any(table.levers[lever].basis != "computed" for lever in ids) else ""
    return [
        *lines(not_legal_words(setup_faults(table.case, system)), "caution"),
        Line("Change of balance for one step, in percent of grip, mean of the run: + tighter, - looser."),
        Table(("lever", "now", "one step", *table.phases, "trade"), tuple(rows)),
        Line(f"{ask} {first} shows one in full, and how sure it is on {table.cars} plausible cars.{rest}{book}"),
        *_doubts(table, system),
    ]


def _strongest(table: EffectTable, most: int) -> list[str]:
    def size(lever: str) -> float:
        rows = table.levers[lever].effect.values()
        return fmean(abs(fmean(row.values())) for row in rows)

    computed = [one for one, effect in table.levers.items() if effect.basis == "computed" and one not in PAIR]
    return sorted(computed, key=size, reverse=True)[:most] or list(table.levers)[:most]


def _row(effect: LeverEffect, table: EffectTable, lever: Lever, system: System) -> tuple[str, ...]:
    step = f"{lever_change(lever.lever, effect.step, system, setup=table.case.setup)} {lever.plus_word}"
    does = [signed(fmean(row.values())) for row in effect.effect.values()]
    if effect.basis != "computed" or table.shut:
        does = ["book" if effect.basis != "computed" else UNKNOWN] * len(table.phases)
    verdict = judge_all(lever, judge_lever(lever, effect, table.phases))
    name, now = name_of(lever.lever, table.case), value_now(lever.lever, table.case, system)
    return (name, now, step, *does, _SHORT.get(verdict, verdict))


def name_of(lever: str, case: Case) -> str:
    """Name a lever in a table: "RR spring", "track bar right", or shorter; one a team added as its file does."""
    if lever in case.setup.own:
        return case.setup.own[lever].name
    return name if len(name := lever_name(lever)) <= WIDEST_NAME else listed_name(lever)


def value_now(lever: str, case: Case, system: System) -> str:
    """Say where a lever stands, a bar moved at both ends by its mean height; "" for one this car has not."""
    parts = ends_of(lever)
    if not set(parts) <= case.setup.values.keys():
        return ""
    return lever_value(lever, value_of(case.setup, lever), system, setup=case.setup)


def lever_screen(
    lever: str, table: EffectTable, knowledge: Knowledge, system: System, explain: str = "explain"
) -> list[Block]:
    """Show one lever in full: range left, the effect of a step in each cell, its spread, and the trade's view."""
    effect, entry, case = table.levers[lever], knowledge.levers[lever], table.case
    computed = effect.basis == "computed"
    doubts = _doubts(table, system) if computed else []
    blocks: list[Block] = [
        Line(capital(entry.title), mark="heading"),
        Line(_how_far(effect, entry, case, system)),
    ]
    if effect.step and not computed:
        blocks.append(Line(_say_book(effect, entry)))
    elif effect.step and not table.shut:
        cells = change_table(effect.effect, "What one step does, in percent of grip", short=bool(doubts))
        blocks += [cells, Line(_say_spread(effect, table.cars))]
    if entry.trade:
        views = {str(phase): str(line.balance) for phase, line in entry.trade.items()}
        said = trade_words(views, judge_lever(entry, effect, table.phases))
        blocks.append(Line(f"The trade says of {entry.plus_word}: {said}."))
    fixed = is_fixed(lever, case)
    heading = "On this car:" if fixed else "One step on this car:"
    return [
        *blocks,
        *doubts,
        *under(heading, facts(table.model, lever, 0.0 if fixed else effect.step, system)),
        Line(f"When: {when_of(entry, case)}. {explain} {entry.title} says how, why, and who says so."),
    ]


def _how_far(effect: LeverEffect, lever: Lever, case: Case, system: System) -> str:
    """Say what a step is, where the lever stands, how many steps are left, and how many are usual."""
    name, step = lever.lever, effect.step
    size, value = lever_change(name, step, system, setup=case.setup), value_now(name, case, system)
    ends = [value_now(end, case, system) for end in ends_of(name)]
    both = f" (left {ends[0]}, right {ends[1]})" if len(ends) == 2 else ""
    left = f"Steps left: {effect.steps_down} down, {effect.steps_up} up."
    if not effect.steps_down and not effect.steps_up:
        left = f"It cannot be moved: {FIXED}, or at both ends."
    elif step:
        most = max(1, floor(abs(lever.in_si(lever.largest_change) / step) + NEAR))
        left += f" Usual: {steps_words(lever.in_si(lever.usual_change) / step)}; at most {most} at once."
    if case.rulebook.out(name) is not None:
        left = f"It cannot be moved: {NOT_HERE}."
    said = (f"One step is {size} {lever.plus_word}." if step else "", f"Now {value}{both}." if value else "", left)
    return " ".join(filter(None, said))


def steps_words(steps: float) -> str:
    """Say a change in legal steps of this car: "2 legal steps", "between 2 and 3 legal steps"."""
    steps = abs(steps)
    whole = round(steps)
    if abs(steps - whole) < NEAR:
        return count_of(whole, "legal step")
    return f"between {floor(steps)} and {ceil(steps)} legal steps" if steps > 1 else "less than a legal step"


def _doubts(table: EffectTable, system: System) -> list[Block]:
    """Warn of a car that is not as said, of corners out of reach and of tires that run away hot."""
    setups = [table.case.setup]
    (forecast,) = forecast_there(Reach(table.model, table.case.run_laps, table.belief), setups)
    return [*doubt_blocks(read_picture(table.belief)), *heat_blocks(forecast, table.case, system)]


def _say_book(effect: LeverEffect, lever: Lever) -> str:
    """Say what the pack's table has of a lever the model does not compute."""
    if lever.by_the_book is None:
        return NO_SIZE
    row = book_row(lever, effect.step)
    said = "; ".join(f"{where} {signed(row.get(phase, 0.0))}" for phase, where in PHASE_WORDS.items())
    return BY_THE_BOOK.format(said)


def lever_named(word: str, knowledge: Knowledge) -> str:
    """Find a lever by its id, title or another name. Raises BadInput with the nearest one."""
    names = {
        name.lower(): lever
        for lever, entry in knowledge.levers.items()
        for name in (lever, entry.title, *entry.also_said)
    }
    listed = {said(lever).lower(): lever for said in (listed_name, lever_name) for lever in LEVERS}
    names = {name: lever for name, lever in listed.items() if lever in knowledge.levers} | names
    plain_word = word.lower().strip()
    found = names.get(plain_word) or names.get(plain_id(plain_word.replace(" ", "_")))
    if found is None:
        raise BadInput(Problem("command line", 0, 0, f"there is no lever {word!r}", did_you_mean(plain_word, names)))
    return found


def _say_spread(effect: LeverEffect, cars: int) -> str:
    """Say the band of sizes on plausible cars, and on how many of them the direction is the same."""
    bands, shares = {}, {}
    for phase, row in effect.spread.items():
        low, high = (fmean(pair[side] for pair in row.values()) for side in (0, 1))
        bands[phase] = f"{PHASE_WORDS[phase]} {signed(low)} to {signed(high)}"
        shares[phase] = say_number(sayable(fmean(effect.sign_share[phase].values()), cars))
    if len(set(shares.values())) == 1:
        said = f"{', '.join(bands.values())}; same direction on {next(iter(shares.values()))}"
    else:
        said = "; ".join(f"{bands[phase]}, same direction on {shares[phase]}" for phase in bands)
    return f"On 8 of 10 plausible cars, all on these tires: {said}."


# the same as plain data


def levers_data(table: EffectTable, knowledge: Knowledge, system: System) -> Plain:
    """Give what every lever does, as the contract of `levers --json` has it."""
    way, known = Way(system, table.case), knowledge.levers
    found = {lever: _lever_data(effect, known[lever], table, way) for lever, effect in table.levers.items()}
    illegal = fault_texts(setup_faults(table.case, system))
    return {"not_legal": illegal, "as_said": doubts_data(read_picture(table.belief)), "levers": found}


def _lever_data(effect: LeverEffect, lever: Lever, table: EffectTable, way: Way) -> Plain:
    """One lever. verdicts: agrees, differs and so on, by phase. facts: of a step; of a fixed one, as it stands."""
    name, case = lever.lever, table.case
    cells, bands = cells_of(effect, lever)
    least, most, _ = legal_range(case, name) or (None, None, None)
    sure = sayable(mean_sign_share(effect), table.cars) if effect.basis == "computed" and not table.shut else None
    fixed = is_fixed(name, case)
    return {
        "title": lever.title,
        "unit": way.unit(kind_of(name, case.setup)),
        "plus_means": lever.plus_word,
        "step": None if fixed else way.lever(effect.step, name),
        "from": way.lever(value_of(case.setup, name), name),
        "min": way.lever(least, name),
        "max": way.lever(most, name),
        "effect": None if table.shut else plain(cells, way),
        "spread": None if table.shut else plain(bands, way),
        "sign_share": sure,
        "word": None if sure is None else chance_word(sure),
        "basis": effect.basis,
        "trade": {phase: line.balance for phase, line in lever.trade.items()},
        "verdicts": judge_lever(lever, effect, table.phases),
        "when": when_of(lever, case),
        "facts": list(facts(table.model, name, 0.0 if fixed else effect.step, way.system)),
    }


def cells_of(effect: LeverEffect, lever: Lever) -> tuple[Grid, Spread]:
    """What one step does to every cell, with its band; what the pack's table says where it is not computed.

    The band of a table runs from nothing to double (an assumption).
    """
    if effect.basis == "computed":
        return effect.effect, effect.spread
    row = dict.fromkeys(PHASES, 0.0) | book_row(lever, effect.step)
    bands = {phase: dict.fromkeys(STAGES, (min(0.0, 2.0 * x), max(0.0, 2.0 * x))) for phase, x in row.items()}
    return Grid.level(row), bands


def mean_sign_share(effect: LeverEffect) -> float:
    """Share of plausible cars on which the sign holds (0 to 1), cells weighed by what the lever does there."""
    sizes, shares = np.abs(effect.effect.array()), effect.sign_share.array()
    return float(np.average(shares, weights=sizes) if sizes.any() else shares.mean())


# severities


def severity_screen(belief: Belief) -> list[Block]:
    """Show what the severities 1 to 5 stand for, in percent of grip, with the measure of this driver."""
    low, high = measure_of(belief)
    row = ", ".join(f"{severity} is {size:.1f}" for severity, size in SIZE.items())
    return [
        Line(f"How bad, in percent of grip: {row}; between them straight lines."),
        Line(f"By what is known of this car, this driver's measure is {low:.1f} to {high:.1f} times that."),
    ]


def severity_data(belief: Belief) -> Plain:
    """Show what the severities stand for, percent of grip, and the band of the driver's own factor."""
    percent = {str(severity): size for severity, size in SIZE.items()}
    return {"percent": percent, "driver_factor": list(measure_of(belief))}


def measure_of(belief: Belief) -> tuple[float, float]:
    """Band of the factor that what the driver says is to be taken with; 1 to 1 where he gave no size yet."""
    if not belief.fit.drivers:
        return 1.0, 1.0
    shown = belief.show(np.exp(belief.fit.factors[0]))
    return shown.low, shown.high
