"""What every lever does on this car: one line each, or one lever in full; and the severities measured by it."""

from __future__ import annotations

from math import ceil, floor
from statistics import fmean
from typing import TYPE_CHECKING

from assistant.car.moves import TRACK_BAR_ENDS, setup_faults, value_of
from assistant.ground.problems import BadInput, Problem
from assistant.ground.words import PHASE_WORDS, count_of, did_you_mean, sayable
from assistant.pages.amounts import (
    NOTHING,
    capital,
    chance_words,
    change_table,
    lever_change,
    lever_value,
    not_legal_words,
    trade_words,
)
from assistant.pages.blocks import BLANK, Block, Line, Table
from assistant.pages.setup_by_corner import NOT_HERE

if TYPE_CHECKING:
    from assistant.belief.believe import Belief
    from assistant.belief.effects import EffectTable, LeverEffect
    from assistant.car.case import Case
    from assistant.ground.units import System
    from assistant.rules.knowledge import Knowledge
    from assistant.rules.models import Lever


STRONGEST = 14
"""Levers on a screen of 24 rows."""
NEAR = 0.02
"""Share of a step within which a change counts as whole steps."""
_SHORT = {"nothing computed": "nothing", "trade says it depends": "depends"}
"""Verdicts as a narrow column has them."""
UNKNOWN = "?"
"""What a step does where no plausible car does all that is known."""
NOT_COMPUTED = "Book: by the rules, not computed."


def table_screen(
    table: EffectTable,
    case: Case,
    knowledge: Knowledge,
    system: System,
    *,
    most: int | None = None,
    ask: str = "levers",
) -> list[Block]:
    """Show one line for each lever: its value, one step, and what the step does in each phase, mean of the run.

    most: only so many, those that do most for a step; all in the order of the car when left out. ask: what shows one.
    """
    ids = list(table.levers) if most is None else _strongest(table, most)
    rows = [_row(lever, table, case, knowledge, system) for lever in ids]
    left = len(table.levers) - len(ids)
    rest = f" {ask} all adds {left} that do less or are not computed." if left else ""
    book = f" {NOT_COMPUTED}" if any(table.levers[lever].basis != "computed" for lever in ids) else ""
    return [
        *(Line(text, mark="caution") for text in not_legal_words(setup_faults(case, system))),
        Line("Change of balance for one step, in percent of grip, mean of the run: + tighter, - looser."),
        Table(("lever", "now", "one step", *table.phases, "trade"), tuple(rows), ""),
        Line(f"{ask} {ids[0]} shows one in full, and how sure it is on {table.cars} plausible cars.{rest}{book}"),
        *_doubts(table, case, system),
    ]


def _strongest(table: EffectTable, most: int) -> list[str]:
    def size(lever: str) -> float:
        rows = table.levers[lever].effect.values()
        return fmean(abs(fmean(row.values())) for row in rows)

    computed = [lever for lever, effect in table.levers.items() if effect.basis == "computed"]
    return sorted(computed, key=size, reverse=True)[:most] or list(table.levers)[:most]


def _row(lever: str, table: EffectTable, case: Case, knowledge: Knowledge, system: System) -> tuple[str, ...]:
    effect = table.levers[lever]
    step = f"{lever_change(lever, effect.step, system, setup=case.setup)} {_plus_word(lever, knowledge)}"
    computed = effect.basis == "computed"
    phases = [(UNKNOWN if table.shut else _mean(effect, phase)) if computed else "book" for phase in table.phases]
    return (
        lever,
        value_now(lever, case, system),
        step,
        *phases,
        _SHORT.get(word := _verdict(lever, table, knowledge), word),
    )


def value_now(lever: str, case: Case, system: System) -> str:
    """Say where a lever stands, a bar moved at both ends by its mean height; "" for one this car has not."""
    parts = TRACK_BAR_ENDS if lever == "track_bar" else (lever,)
    if not set(parts) <= case.setup.values.keys():
        return ""
    return lever_value(lever, value_of(case.setup, lever), system, setup=case.setup)


def _ends(lever: str, case: Case, system: System) -> str:
    """Say where each end stands of a bar that is moved at both."""
    if lever != "track_bar":
        return ""
    left, right = (value_now(end, case, system) for end in TRACK_BAR_ENDS)
    return f" (left {left}, right {right})"


def lever_screen(
    lever: str, table: EffectTable, case: Case, knowledge: Knowledge, system: System, explain: str = "explain"
) -> list[Block]:
    """Show one lever in full: range left, the effect of a step in each cell, its spread, and the trade's view."""
    effect = table.levers[lever]
    entry = knowledge.levers.get(lever)
    value = value_now(lever, case, system)
    now = f" Now {value}{_ends(lever, case, system)}." if value else ""
    size = lever_change(lever, effect.step, system, setup=case.setup)
    step = f"One step is {size} {_plus_word(lever, knowledge)}." if effect.step else ""
    blocks: list[Block] = [
        Line(f"{capital(_title(lever, knowledge))} ({lever})", mark="heading"),
        Line(f"{step}{now} {_left(effect, case)}{_usual(effect, entry, table)}".strip()),
    ]
    doubts = _doubts(table, case, system) if effect.basis == "computed" else []
    if effect.step and effect.basis == "computed" and not table.shut:
        cells = change_table(effect.effect, short=bool(doubts))
        blocks += [Line("What one step does, in percent of grip:"), cells, *_spread(effect, table.cars)]
    elif effect.step and effect.basis != "computed":
        blocks += _by_the_book(effect, entry)
    if entry is not None and entry.trade:
        from assistant.advice.trade import judge_lever  # noqa: PLC0415 - imports numpy

        views = {str(phase): str(line.balance) for phase, line in entry.trade.items()}
        said = trade_words(views, judge_lever(entry, effect, table.phases))
        blocks.append(Line(f"The trade says of {entry.plus_word}: {said}."))
    blocks += doubts
    blocks += _facts(lever, effect, table, case, system)
    if entry is not None:
        blocks.append(Line(f"When: {_when(entry, case)}. {explain} {lever} says how, why, and who says so."))
    return [*blocks, BLANK]


def _when(entry: Lever, case: Case) -> str:
    """Say when the lever can be moved on this car, as the advice says it: the job and the rules, the slower of them."""
    from assistant.advice.sizing import when_of  # noqa: PLC0415 - imports numpy

    return when_of(entry, case)


def _doubts(table: EffectTable, case: Case, system: System) -> list[Block]:
    """Warn of a car that is not as said, of corners out of reach and of tires that run away hot."""
    from assistant.belief.picture import read_picture  # noqa: PLC0415 - imports numpy
    from assistant.belief.whole_run import forecast_setups  # noqa: PLC0415 - same
    from assistant.pages.believed import as_said_blocks  # noqa: PLC0415 - same
    from assistant.pages.forecast import doubt_blocks  # noqa: PLC0415 - same

    (forecast,) = forecast_setups(table.model, [case.setup])
    return [*as_said_blocks(read_picture(table.belief)), *doubt_blocks(forecast, case, system)]


def _by_the_book(effect: LeverEffect, entry: Lever | None) -> list[Block]:
    """Show what the pack's table says of a lever the model does not compute."""
    from assistant.advice.trade import book_row  # noqa: PLC0415 - imports numpy

    if entry is None or entry.by_the_book is None:
        return [Line("The model does not compute this lever, and no rule gives its size.")]
    row = book_row(entry, effect.step)
    said = "; ".join(f"{PHASE_WORDS[phase]} {_signed(row.get(phase, 0.0))}" for phase in PHASE_WORDS)
    return [
        Line(
            "The model does not compute this lever. By the book one step does, in percent of grip, on any tires: "
            f"{said}. The size is an assumption, anything from nothing to double."
        )
    ]


def _facts(lever: str, effect: LeverEffect, table: EffectTable, case: Case, system: System) -> list[Block]:
    """Say what one step is on this car in pounds, turns and inches; how a lever stands that the rules fix."""
    from assistant.advice.sizing import is_fixed  # noqa: PLC0415 - imports numpy
    from assistant.pages.lever_facts import facts  # noqa: PLC0415 - same

    fixed = is_fixed(lever, case)
    said = facts(case, lever, 0.0 if fixed else effect.step, model=table.model, system=system)
    heading = "On this car:" if fixed else "One step on this car:"
    return [Line(heading), *(Line(text, indent=2) for text in said)] if said else []


def lever_named(word: str, knowledge: Knowledge) -> str:
    """Find a lever by its id, title or another name. Raises BadInput with the nearest one."""
    names = {
        name.lower(): lever
        for lever, entry in knowledge.levers.items()
        for name in (lever, entry.title, *entry.also_said)
    }
    plain = word.lower().strip()
    found = names.get(plain) or names.get(plain.replace(" ", "_").replace("-", "_"))
    if found is None:
        raise BadInput(Problem("command line", 0, 0, f"there is no lever {word!r}", did_you_mean(plain, names)))
    return found


def _verdict(lever: str, table: EffectTable, knowledge: Knowledge) -> str:
    """Give one word for all that the trade says of a lever, beside the computation."""
    from assistant.advice.trade import judge_all, judge_lever  # noqa: PLC0415 - imports numpy

    entry = knowledge.levers.get(lever)
    return "" if entry is None else judge_all(entry, judge_lever(entry, table.levers[lever], table.phases))


def _title(lever: str, knowledge: Knowledge) -> str:
    entry = knowledge.levers.get(lever)
    return lever if entry is None else entry.title


def _plus_word(lever: str, knowledge: Knowledge) -> str:
    entry = knowledge.levers.get(lever)
    return "more" if entry is None else entry.plus_word


def _mean(effect: LeverEffect, phase: str) -> str:
    return _signed(fmean(effect.effect[phase].values()))


def _signed(value: float) -> str:
    return "0.00" if abs(value) < NOTHING else f"{value:+.2f}"


def _usual(effect: LeverEffect, entry: Lever | None, table: EffectTable) -> str:
    """Say the usual and the largest sensible change in legal steps of this car."""
    from assistant.advice.trade import read_change  # noqa: PLC0415 - imports numpy

    if entry is None or not effect.step or not (effect.steps_down or effect.steps_up):
        return ""
    usual = steps_words(read_change(entry.usual_change, entry), table, effect.id)
    most = max(1, floor(abs(read_change(entry.largest_change, entry) / effect.step) + NEAR))
    return f" Usual: {usual}; at most {most} at once."


def _left(effect: LeverEffect, case: Case) -> str:
    if case.rulebook.out(effect.id) is not None:
        return f"It cannot be moved: {NOT_HERE}."
    if not effect.steps_down and not effect.steps_up:
        return "It cannot be moved: fixed by the rules, or at both ends."
    return f"Steps left: {effect.steps_down} down, {effect.steps_up} up."


def _spread(effect: LeverEffect, cars: int) -> list[Block]:
    """Say the band of sizes on plausible cars, and on how many of them the direction is the same."""
    bands, shares = {}, {}
    for phase, row in effect.spread.items():
        low, high = (fmean(pair[side] for pair in row.values()) for side in (0, 1))
        bands[phase] = f"{PHASE_WORDS[phase]} {low:+.2f} to {high:+.2f}"
        shares[phase] = chance_words(sayable(fmean(effect.sign_share[phase].values()), cars), None)
    if len(set(shares.values())) == 1:
        said = f"{', '.join(bands.values())}; same direction on {next(iter(shares.values()))}"
    else:
        said = "; ".join(f"{bands[phase]}, same direction on {shares[phase]}" for phase in bands)
    return [Line(f"On 8 of 10 cars on these tires: {said}.")]


def severity_screen(belief: Belief) -> list[Block]:
    """Show what the severities 1 to 5 stand for, in percent of grip, with the measure of this driver."""
    from assistant.belief.known import SIZE  # noqa: PLC0415 - imports numpy

    low, high = measure_of(belief)
    row = ", ".join(f"{severity} is {size:.1f}" for severity, size in SIZE.items())
    return [
        Line(f"How bad, in percent of grip: {row}; between them straight lines."),
        Line(f"By what is known of this car, this driver's measure is {low:.1f} to {high:.1f} times that."),
    ]


def measure_of(belief: Belief) -> tuple[float, float]:
    """Band of the factor that what the driver says is to be taken with; 1 to 1 where he gave no size yet."""
    import numpy as np  # noqa: PLC0415 - only here

    if not belief.fit.drivers:
        return 1.0, 1.0
    shown = belief.show(np.exp(belief.fit.factors[0]))
    return shown.low, shown.high


def steps_words(change: float, effects: EffectTable, lever: str) -> str:
    """Say a change [SI] in legal steps of this car: "2 legal steps", "between 2 and 3 legal steps"."""
    steps = abs(change / effects.levers[lever].step)
    whole = round(steps)
    if abs(steps - whole) < NEAR:
        return count_of(whole, "legal step")
    return f"between {floor(steps)} and {ceil(steps)} legal steps" if steps > 1 else "less than a legal step"
