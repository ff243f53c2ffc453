"""The page for somebody else, from advice and forecast to one frozen plain view.

The heart is the ordered list of changes. All numbers are written here, in the units asked for. All runs of a page are
driven as one batch, over the laps that all of them can do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from assistant import __version__
from assistant.advice.habits import setup_after
from assistant.advice.prices import LEAST_LAPS, LEAST_PACE, matters
from assistant.advice.ranking import find_flip
from assistant.advice.results import Advice, Remedy
from assistant.belief.driven import moved_from
from assistant.belief.look_ahead import RunAhead, forecast_there, look_from, reach
from assistant.belief.picture import Picture, read_after
from assistant.belief.whole_run import Forecast
from assistant.car.case import Case, Setup
from assistant.ground.names import PHASE_WORDS, STAGE_WORDS, count_of, say_number, stands_out
from assistant.ground.units import System
from assistant.pages.advice import (
    ALONE,
    cause_words,
    effort_words,
    illegal_words,
    moves_in_order,
    order_words,
    sure_words,
    without_tires,
    worst_costs,
)
from assistant.pages.advice_words import each_words, say_beside, say_cost, say_reason
from assistant.pages.amounts import (
    Levers,
    after_colon,
    alone_words,
    capital,
    cure_words,
    guess_words,
    say_sources,
    say_tires,
    sentence,
    signed,
    trade_words,
)
from assistant.pages.balance import LIMITS, PERCENT, basis_words, believed_table, believed_then_table, doubts_of
from assistant.pages.blocks import Table
from assistant.pages.forecast import UNSTEADY, charts_of, hot_table
from assistant.pages.hearing_words import BESIDE, say_back, say_question, say_stop
from assistant.pages.run_words import say_end, say_fuel
from assistant.pages.setups import (
    Other,
    SetupRun,
    compare,
    list_setup,
    pace_words,
    read_runs,
    setups_to_drive,
    tires_then,
)
from assistant.pages.sheet_document import Change, ChangePart, Page, gate_texts
from assistant.pages.tires import readings_of
from assistant.pages.why import facts_of, flip_words

if TYPE_CHECKING:
    from assistant.belief.believe import Belief
    from assistant.belief.model import Model
    from assistant.diagnosis.session import Session
    from assistant.rules.knowledge import Knowledge


MOST_FACTS = 3
"""Facts told of one change; `why` tells all of them."""
MOST_QUESTIONS = 3
"""Open questions on the page: those worth asking first."""
LEAST_CHANCE = 0.1
LEAST_LOST = 0.005
"""Seconds a lap below which the laps at the end are as quick as the first."""
NOTHING_AGAINST = "No sign against it is known; that is not much as long as questions are open."
START = "Start with number 1: make it, run ten laps, then keep it or undo it before you go on to the next."
START_WITHOUT = "Number 1 is no change: do that, and run ten laps, before you make any of the others."
FURTHER_DOWN = "The numbers further down are for when those above did not do it, or cannot be done."


def make_page(
    case: Case,
    knowledge: Knowledge,
    session: Session,
    advice: Advice,
    offers: Sequence[Remedy],
    *,
    system: System = "trade",
    today: date | None = None,
    against: Other | None = None,
    made: Sequence[str] = (),
    felt: Sequence[tuple[str, str]] = (),
) -> Page:
    """Put together what stands on the page.

    offers: what is listed, in the order of its numbers. today: the date on the page, this day when left out.
    against: another setup to lay beside this one.
    made: changes made since the driver spoke; the page is that of the car with them. felt: changes made before, and
    what they did in the driver's words. A car to be looked at first gets
    nothing but that.
    """
    head = Page(
        title=f"What to change: {case.car.name}",
        about=f"{case.track.name}, setup {case.setup.name}, a run of {count_of(case.run_laps, 'lap')}.",
        date=(today or date.today()).isoformat(),  # noqa: DTZ011 - the day on the wall at the track
        said=session.text,
        answers=tuple((say_question(one.question), one.says) for one in session.answered()),
        stop="" if advice.stop is None else say_stop(advice.stop),
        made=f"Made with Halfturn {__version__} from the case {case.name}.",
    )
    if advice.stop or advice.belief is None:
        return gate_texts(replace(head, title=f"Stop: {case.car.name}"))
    outlook = look_out(case, advice.belief, offers, () if against is None else setups_to_drive(case, against))
    ahead = outlook.ahead
    page = replace(
        head,
        not_legal=tuple(illegal_words(advice, system)),
        understood=sentence(say_back(session.complaint, session.severity_unsaid, lead="")),
        told=_say_told(case, felt, system),
        how_to_use=(
            *(BESIDE[note] for note in advice.notes),
            *_say_made(made),
            *(_how_to_use(offers[0]) if len(offers) > 1 else ()),
        ),
        changes=list_changes(offers, knowledge.levers, ahead.model, system),
        balance_title="Balance, before and after the first change" if outlook.first else "Balance now",
        balance=_balance(outlook),
        balance_says=(*doubts_of(ahead.picture), *_say_balance(outlook, offers)),
        run=_say_run(outlook, system),
        tires=_tires(outlook, system),
        charts=charts_of(ahead),
        cause=_cause(advice),
        sure=_sure(advice, offers, system),
        minds=_minds(advice, offers),
        setup_title=f"Setup {case.setup.name}",
        setup=list_setup(case.setup, offers, case.rulebook, system),
        setup_notes=guess_words(advice.guesses),
        comparison=None if against is None else compare(case, against, ahead, outlook.others, knowledge.levers, system),
        limits=LIMITS,
        sources=say_sources([one for offer in offers for one in offer.sources]),
    )
    return gate_texts(page)


@dataclass(frozen=True)
class Outlook:
    """The runs a page speaks of. ahead: with the setup at hand. others: with the other setups asked for.

    first: number of the change looked at, 0 for none; changed: the run with it made, None for a habit; then: where the
    car is believed to stand with it.
    """

    ahead: RunAhead
    first: int
    changed: Forecast | None
    then: Picture | None
    others: tuple[SetupRun, ...]


def look_out(case: Case, belief: Belief, offers: Sequence[Remedy], others: Sequence[Setup] = ()) -> Outlook:
    """Drive the run as it is, with the first change whose effect is known, and with every other setup."""
    known = ((number, offer) for number, offer in enumerate(offers, 1) if offer.effect is not None)
    first, offer = next(known, (0, None))
    setup = None if offer is None else moved_setup(case, offer)
    wanted = [*([] if setup is None else [setup]), *others]
    reached = reach(case, [case.setup, *wanted], case.run_laps, (), lambda _: belief)
    ahead = look_from(reached, case.setup, case.run_laps)
    runs = forecast_there(reached, wanted) if wanted else ()
    there = read_runs(belief, case.setup, others, runs[len(runs) - len(others) :])
    if setup is not None:
        return Outlook(ahead, first, runs[0], read_after(belief, moved_from(case.setup, setup))[0], there)
    then = None if offer is None or offer.effect is None else ahead.picture.moved(offer.effect)
    return Outlook(ahead, first, None, then, there)


def moved_setup(case: Case, offer: Remedy) -> Setup | None:
    """Return the setup with an offer made; None for one that is no change of the setup, or that is not computed."""
    return setup_after(offer, case) if offer.basis == "computed" else None


def _how_to_use(first: Remedy) -> tuple[str, str]:
    """Say how to go down the list."""
    return (START_WITHOUT if first.kind in {"leave", "inspect", "cannot-tell"} else START), FURTHER_DOWN


def _say_run(outlook: Outlook, system: System) -> tuple[str, ...]:
    """Say what ends the run, fuel and pace; how balance and tires go stands with the charts."""
    ahead, forecast = outlook.ahead, outlook.ahead.forecast
    said = [
        *([] if forecast.steady else [UNSTEADY]),
        *say_end(ahead),
        say_fuel(ahead, system),
        f"Pace: the last five laps are {_say_pace(forecast.pace.last - forecast.pace.first)}.",
    ]
    if outlook.changed is not None:
        said.append(f"With number {outlook.first} made: {pace_words(forecast, outlook.changed)}.")
    return (*said, *basis_words(ahead.picture))


def _say_pace(lost: float) -> str:
    if abs(lost) < LEAST_LOST:
        return "as quick as the first five"
    return f"{abs(lost):.2f} s {'slower' if lost > 0 else 'quicker'} than the first five"


def _tires(outlook: Outlook, system: System) -> Table:
    """Show the tires at the end of the run as the screens do; now and with the first change made where it is known."""
    old, new, laps = outlook.ahead.forecast, outlook.changed, outlook.ahead.driven
    if new is None:
        return replace(
            hot_table(outlook.ahead, system), caption=f"Tires after {laps} laps, and hot pressure in the run"
        )
    caption = f"Tires after {laps} laps: now, then with number {outlook.first} made"
    return replace(tires_then(old, new, system), caption=caption)


def _say_told(case: Case, felt: Sequence[tuple[str, str]], system: System) -> tuple[str, ...]:
    """Say what was read, then each change that was felt with what it did."""
    read = readings_of(case, system)
    changed = [f"Changed: {sentence(said)} Felt: {sentence(did)}" for said, did in felt]
    return (*([f"Read: {'; '.join(read)}."] if read else []), *changed)


def _say_made(made: Sequence[str]) -> tuple[str, ...]:
    if not made:
        return ()
    said = " ".join(sentence(one) for one in made)
    return (f"Made since: {said} All that stands here, the setup too, is with that.",)


def _balance(outlook: Outlook) -> Table | None:
    """Show the balance, and what the first change makes of it; None where no number may be shown."""
    picture = outlook.ahead.picture
    if picture.shut:
        return None
    if outlook.then is None:
        return replace(believed_table(picture), caption=PERCENT)
    caption = f"{PERCENT}: now, then with number {outlook.first} made"
    return replace(believed_then_table(picture, outlook.then), caption=caption)


def _say_balance(outlook: Outlook, offers: Sequence[Remedy]) -> tuple[str, ...]:
    if outlook.ahead.picture.shut:
        return ()
    if not outlook.first:
        return ("What a change does to it cannot be computed here.",) if offers else ()
    number = outlook.first
    said = [f"Number 1 cannot be computed, so number {number} is shown."] if number > 1 else []
    return (*said, "Tight and loose are shares of the grip a whole axle has; under 0.05 is called even.")


def _cause(advice: Advice) -> tuple[str, ...]:
    """Say the likeliest cause with its chance, what speaks for and against it, and what else it may be."""
    if not advice.causes:
        return ()
    lead, *rest = advice.causes
    said = cause_words(advice.causes, advice.treated, signs=2)
    if not stands_out(lead.chance):
        return tuple(said)
    said += [] if lead.signs_against else [NOTHING_AGAINST]
    others = [f"{one.title} ({say_number(one.chance)})" for one in rest[:2] if one.chance >= LEAST_CHANCE]
    return (*said, f"Or: {'; '.join(others)}.") if others else tuple(said)


def _sure(advice: Advice, offers: Sequence[Remedy], system: System) -> tuple[str, ...]:
    """Give the worst of the first change, the band of the first that has one, and what is said beside the list."""
    worst = [say_cost(cost, system) for offer in offers[:1] for cost in offer.costs[:1]]
    against = [f"The strongest thing against number 1: {text}." for text in worst]
    return (*against, *_band(offers), *say_beside(advice))


def _band(offers: Sequence[Remedy]) -> tuple[str, ...]:
    """Say where plausible cars differ most about the first change that is spread over them."""
    for number, offer in enumerate(offers, 1):
        if offer.spread and offer.basis == "computed":
            cells = [(phase, stage, *band) for phase, row in offer.spread.items() for stage, band in row.items()]
            phase, stage, low, high = max(cells, key=lambda cell: cell[3] - cell[2])
            where = f"{PHASE_WORDS[phase]} {STAGE_WORDS[stage]}"
            between = (
                f"on 8 of 10 plausible cars, all on these tires, between {signed(low)} and {signed(high)} %, + tighter"
            )
            return (f"Number {number} is least sure {where}: {between}.",)
    return ()


def _minds(advice: Advice, offers: Sequence[Remedy]) -> tuple[str, ...]:
    """Say what would change the list: the answer to an open question, and how little puts the next one first."""
    said = [say_question(question) for question in advice.open_questions[:MOST_QUESTIONS]]
    asked = [f"The answer to: {text}" for text in said]
    flip = find_flip(offers[0].worth, offers[1].worth) if len(offers) > 1 else None
    return tuple(asked) if flip is None else (*asked, flip_words(2, 1, flip))


MOST_COSTS = 3
"""Costs that are written out; how many smaller ones there are is said."""


def list_changes(offers: Sequence[Remedy], levers: Levers, model: Model, system: System) -> tuple[Change, ...]:
    """Turn the offers, in their order, into numbered changes; each caution stands once, where it is first needed."""
    first: dict[str, int] = {}
    found: list[Change] = []
    for number, offer in enumerate(offers, 1):
        if offer.kind == "package":
            change = _package(number, offer, levers, system)
        else:
            change = _remedy(number, offer, levers, model, system)
        for text in change.cautions:
            first.setdefault(text, number)
        before = sorted({first[text] for text in change.cautions} - {number})
        own = tuple(text for text in change.cautions if first[text] == number)
        found.append(replace(change, cautions=own, cautions_before=tuple(before)))
    return tuple(found)


def _share(offer: Remedy) -> str:
    """Say how much of the complaint goes, and of each where there are several."""
    each = capital(each_words(offer.each))
    return f"{cure_words(offer.removes)}. {each}" if each else cure_words(offer.removes)


def _remedy(number: int, remedy: Remedy, levers: Levers, model: Model, system: System) -> Change:
    costs, smaller = worst_costs(without_tires(remedy), system, MOST_COSTS)
    facts = [text for one in facts_of(remedy, model, system) for text in one.facts]
    look = remedy.removes is None and remedy.kind not in {"lever", "driving"}
    return Change(
        number=number,
        kind=remedy.kind,
        id=remedy.id,
        order=sentence(order_words(remedy, levers, system)),
        direction=remedy.direction or "",
        removes=remedy.removes,
        share="" if look else _share(remedy),
        when=effort_words(remedy),
        reason=sentence(say_reason(remedy)),
        sure="" if look else _sure_of(remedy),
        costs=costs,
        smaller_costs=smaller,
        tires=say_tires(remedy.run),
        gains=_gains(remedy, model.case.run_laps),
        cautions=remedy.cautions,
        recheck=remedy.check_again,
        watch_for=tuple(text.rstrip(".") for text in remedy.watch_for),
        undo_if="" if look else after_colon(remedy.undo_if),
        facts=tuple(facts[:MOST_FACTS]),
    )


def _package(number: int, package: Remedy, levers: Levers, system: System) -> Change:
    order = moves_in_order(package)
    costs, smaller = worst_costs(without_tires(package), system, MOST_COSTS)
    known = [levers[move.lever] for move in order if move.lever in levers]
    checks = dict.fromkeys([*(text for lever in known for text in lever.recheck), *package.check_again])
    times = dict.fromkeys(lever.when for lever in known)
    return Change(
        number=number,
        kind="package",
        id=" ".join(move.lever for move in order),
        order=f"Together, in this order, with a run between if there is time: {count_of(len(order), 'change')}.",
        direction="",
        removes=package.removes,
        share=capital(_share(package)),
        when=", ".join(times),
        reason=ALONE,
        sure="each of them as its lever is; together they are harder to judge than one",
        parts=tuple(ChangePart(sentence(order_words(move, levers, system)), alone_words(move)) for move in order),
        costs=costs,
        smaller_costs=smaller,
        tires=say_tires(package.run),
        cautions=package.cautions,
        recheck=tuple(checks),
    )


def _gains(remedy: Remedy, run_laps: float) -> tuple[str, ...]:
    """Say what it gives besides: tire life and pace, where a number is known and as large as a cost must be."""
    life, pace = ({}, {}) if remedy.run is None else (remedy.run.tire_laps, remedy.run.pace)
    said = [
        f"{count_of(round(change), 'lap')} more of {corner} tire"
        for corner, (after, change) in sorted(life.items(), key=lambda item: -item[1][1])
        if change >= LEAST_LAPS and matters(after, change, run_laps)
    ]
    average = pace.get("average", 0.0)
    return (*said, *([f"{-average:.2f} s a lap quicker over the run"] if average <= -LEAST_PACE else []))


def _sure_of(remedy: Remedy) -> str:
    trade = trade_words(remedy.trade, remedy.verdicts)
    said = sure_words(remedy, f"what is computed differs from the trade, which says: {trade}")
    return "; ".join(said) or "not known"
