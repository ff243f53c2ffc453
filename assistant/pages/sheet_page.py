"""The page for somebody else: from advice and forecast to the sections it is made of.

The heart is the ordered list of changes. All numbers are written here, in the units asked for. All runs of a page are
driven as one batch, over the laps that all of them can do.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
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
from assistant.ground.names import PHASE_WORDS, STAGE_WORDS, count_of, listed, say_number, stands_out
from assistant.ground.units import System
from assistant.pages.advice import (
    ALONE,
    EFFORT,
    NOTHING_HELPS,
    cause_words,
    how_sure,
    illegal_words,
    move_lines,
    moves_in_order,
    order_words,
    price_words,
    say_cure,
    why_a_look_first,
)
from assistant.pages.advice_words import each_words, say_beside, say_cost, say_reason, treats_words
from assistant.pages.amounts import (
    Levers,
    after_colon,
    capital,
    guess_words,
    say_sources,
    sentence,
    signed,
    trade_words,
)
from assistant.pages.balance import LIMITS, MEANS, PERCENT, basis_words, believed_table, believed_then_table, doubts_of
from assistant.pages.blocks import Charts, Items, Line, Page, PaperBlock, Points, Section, lines
from assistant.pages.forecast import UNSTEADY, charts_of, ends_told, hot_table
from assistant.pages.hearing_words import BESIDE, say_answers, say_back, say_question, say_stop
from assistant.pages.readings import readings_of
from assistant.pages.run_words import say_end, say_fuel
from assistant.pages.setups import Other, compare, list_setup, pace_words, setup_of, tires_then
from assistant.pages.why import facts_of, flip_words, here_words

if TYPE_CHECKING:
    from assistant.belief.believe import Belief
    from assistant.belief.model import Model
    from assistant.diagnosis.session import Session
    from assistant.rules.knowledge import Knowledge


MOST_FACTS = 3
"""Facts told of one change; `why` tells all of them."""
MOST_QUESTIONS = 3
"""Open questions on the page: those worth asking first."""
MOST_COSTS = 3
"""Costs that are written out; how many smaller ones there are is said."""
LEAST_CHANCE = 0.1
LEAST_LOST = 0.005
"""Seconds a lap below which the laps at the end are as quick as the first."""
NOTHING_AGAINST = "No sign against it is known; that is not much as long as questions are open."
START = "Start with number 1: make it, run ten laps, then keep it or undo it before you go on to the next."
START_WITHOUT = "Number 1 is no change: do that, and run ten laps, before you make any of the others."
FURTHER_DOWN = "The numbers further down are for when those above did not do it, or cannot be done."
NOBODY_DRIVES = "Nothing is adjusted, and nobody drives, before this is settled."
TOGETHER = "Together, in this order, with a run between if there is time: {}."
TOGETHER_SURE = "Each is as sure as its lever; together they are harder to judge than one."
SETUP_NOTE = "As it stands now. What a number of the list above changes is said behind the value."
BRINGS_ABOUT = "That what '{}' brings about goes with it is the trade's word: this table does not know of it."
SHARES = "Tight and loose are shares of the grip a whole axle has; under 0.05 is called even."


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
    """Put together what stands on the page; a car to be looked at first gets nothing but that.

    offers: what is listed, in the order of its numbers. today: the date on the page, this day when left out.
    against: another setup to lay beside this one.
    made: changes made since the driver spoke; the page is that of the car with them. felt: changes made before, and
    what they did in the driver's words.
    """
    page = Page(
        title=f"What to change: {case.car.name}",
        about=f"{case.track.name}, setup {case.setup.name}, a run of {count_of(case.run_laps, 'lap')}.",
        date=(today or date.today()).isoformat(),  # noqa: DTZ011 - the day on the wall at the track
        made=f"Made with Halfturn {__version__} from the case {case.name}.",
    )
    if advice.stop is not None or advice.belief is None:
        warning = [Line(say_stop(advice.stop), "caution", lead=NOBODY_DRIVES)] if advice.stop else []
        stop = Section("changes", "Stop: look at the car first", warning)
        said = Section("says", "What was said", _words(session))
        return replace(page, title=f"Stop: {case.car.name}", main=(stop, said))
    outlook = look_out(case, advice.belief, offers, setup_of(case, against) if against else None)
    groups = list_setup(case.setup, system, offers, case.rulebook)
    beside = []
    if against is not None:
        told = compare(case, against, outlook.ahead, outlook.other, knowledge.levers, system)
        beside = [Section("against", f"{case.setup.name} against {against.name}", told)]
    main = (
        Section("says", "What the car does", _says(case, session, advice, felt, system)),
        _changes(offers, _how_to_use(advice, offers, made), knowledge.levers, outlook.ahead.model, system),
        _balance(outlook, offers, advice.treated),
        Section("run", "The run ahead", _run(outlook, system)),
        Section("sure", "How sure this is, and what would change our mind", _sure(advice, offers, system)),
        *beside,
        Section("setup", f"Setup {case.setup.name}", [Line(SETUP_NOTE), *groups, *lines(guess_words(advice.guesses))]),
    )
    sources = "; ".join(say_sources([one for offer in offers for one in offer.sources]))
    foot = (
        Section("limits", "What the model does not know", [Points(LIMITS)]),
        Section("sources", "Sources", lines([f"{sources}."] if sources else [])),
    )
    return replace(page, main=tuple(one for one in main if one.blocks), foot=tuple(one for one in foot if one.blocks))


@dataclass(frozen=True)
class Outlook:
    """The runs a page speaks of. ahead: with the setup at hand. other: with the setup that was asked for.

    first: number of the change looked at, 0 for none; changed: the run with it made, None for a habit; then: where the
    car is believed to stand with it.
    """

    ahead: RunAhead
    first: int
    changed: Forecast | None
    then: Picture | None
    other: RunAhead | None


def look_out(case: Case, belief: Belief, offers: Sequence[Remedy], other: Setup | None = None) -> Outlook:
    """Drive the run as it is, with the first change of which is known how much goes, and with the other setup."""
    told = enumerate(offers, 1)
    known = ((number, one) for number, one in told if one.basis == "computed" and None not in (one.effect, one.removes))
    first, offer = next(known, (0, None))
    setup = None if offer is None else setup_after(offer, case)
    wanted = [one for one in (setup, other) if one is not None]
    reached = reach(case, [case.setup, *wanted], case.run_laps, (), lambda _: belief)
    ahead = look_from(reached, case.setup, case.run_laps)
    there = None if other is None else look_from(reached, other, case.run_laps)
    if setup is not None:
        (run,) = forecast_there(reached, [setup])
        return Outlook(ahead, first, run, read_after(belief, moved_from(case.setup, setup))[0], there)
    then = None if offer is None or offer.effect is None else ahead.picture.moved(offer.effect)
    return Outlook(ahead, first, None, then, there)


# what the car does


def _words(session: Session) -> list[PaperBlock]:
    """Give the driver's words, and what was answered."""
    return [Line(session.text, "quote"), *(Line(says, lead=asked) for asked, says in say_answers(session))]


def _says(
    case: Case, session: Session, advice: Advice, felt: Sequence[tuple[str, str]], system: System
) -> list[PaperBlock]:
    """Say what is not legal, the words and how they were read, what was measured and felt, and the likeliest cause."""
    words, *answers = _words(session)
    read = "; ".join(readings_of(case, system))
    lead, *cause = _cause(advice) or [""]
    return [
        *lines(illegal_words(advice, system), "caution"),
        words,
        Line(sentence(say_back(session.complaint, session.severity_unsaid, lead=""))),
        *answers,
        *lines([f"Read: {read}." if read else ""]),
        *lines(f"Changed: {sentence(change)} Felt: {sentence(did)}" for change, did in felt),
        *([Line(" ".join(cause), lead=lead)] if lead else []),
    ]


def _cause(advice: Advice) -> list[str]:
    """Say the likeliest cause with its chance, what speaks for and against it, and what else it may be."""
    said = cause_words(advice.causes, advice.treated, signs=2)
    if not said or not stands_out(advice.causes[0].chance):
        return said
    lead, *rest = advice.causes
    said += [] if lead.signs_against else [NOTHING_AGAINST]
    others = [f"{one.title} ({say_number(one.chance)})" for one in rest[:2] if one.chance >= LEAST_CHANCE]
    return [*said, *([f"Or: {'; '.join(others)}."] if others else [])]


# the changes


def _how_to_use(advice: Advice, offers: Sequence[Remedy], made: Sequence[str]) -> list[str]:
    """Say what to heed before the list, what it is given for, and how to go down it."""
    since = " ".join(sentence(one) for one in made)
    start = START_WITHOUT if offers and offers[0].kind in {"leave", "inspect", "cannot-tell"} else START
    return [
        *(BESIDE[note] for note in advice.notes),
        *why_a_look_first(advice),
        *([f"Made since: {since} All that stands here, the setup too, is with that."] if made else []),
        *([start, FURTHER_DOWN] if len(offers) > 1 else []),
    ]


def _changes(
    offers: Sequence[Remedy], how_to_use: Sequence[str], levers: Levers, model: Model, system: System
) -> Section:
    """List the offers in their order; each caution stands once, where it is first needed."""
    if not offers:
        return Section("changes", "What to change", [Line(NOTHING_HELPS)])
    first: dict[str, int] = {}
    items = []
    for number, offer in enumerate(offers, 1):
        for text in offer.cautions:
            first.setdefault(text, number)
        order = TOGETHER.format(count_of(len(offer.moves), "change"))
        if offer.kind != "package":
            order = sentence(order_words(offer, levers, system))
        said = [*_change(offer, levers, model, system), *_caution(offer, number, first)]
        items.append(Section(str(number), order, said))
    return Section("changes", "What to change, in this order", [*lines(how_to_use), Items(tuple(items))])


def _change(offer: Remedy, levers: Levers, model: Model, system: System) -> Iterator[PaperBlock]:
    """Give what stands under an offer: its moves where there are several, what it does and when, why, and the rest.

    A look has no share, no direction and nothing to undo.
    """
    moves = moves_in_order(offer) if offer.kind == "package" else []
    known = [levers[move.lever] for move in moves if move.lever in levers]
    yield from move_lines(offer, levers, system) if moves else []
    look = offer.removes is None and offer.kind not in {"lever", "driving", "package"}
    way = f"{offer.direction.capitalize()}:" if offer.direction else ""
    cures = say_cure(offer) if way else capital(say_cure(offer))
    share = "".join(f"{text}. " for text in (cures, capital(each_words(offer.each))) if text and not look)
    when = ", ".join(dict.fromkeys(lever.when for lever in known)) if moves else EFFORT.get(offer.kind, offer.when)
    yield from ([Line(f"{share}{sentence(when)}", lead=way)] if share or when else [])
    why = [ALONE] if moves else [treats_words(offer.worth, offer.notes), say_reason(offer)]
    facts = [] if moves else [text for one in facts_of(offer, model, system) for text in one.facts]
    differs = f"what is computed differs from the trade, which says: {trade_words(offer.trade, offer.verdicts)}"
    sure = "" if look else TOGETHER_SURE if moves else how_sure(offer, whole=True, differs=differs)
    yield from lines([" ".join(map(sentence, filter(None, why))), price_words(offer, system, MOST_COSTS, ""), sure])
    told: Mapping[str, Sequence[str]] = {
        capital(here_words(offer)): [" ".join(facts[:MOST_FACTS])],
        "It gives besides": _gains(offer, model.case.run_laps),
        "Watch for": [text.rstrip(".") for text in offer.watch_for],
        "Check again": list(dict.fromkeys([*(text for one in known for text in one.recheck), *offer.check_again])),
        "Undo it if": [] if look else [after_colon(offer.undo_if)],
    }
    said = {name: "; ".join(texts).rstrip(".") for name, texts in told.items()}
    yield from (Line(f"{text}.", lead=f"{name}:") for name, text in said.items() if text)


def _caution(offer: Remedy, number: int, first: Mapping[str, int]) -> list[Line]:
    """Say the cautions that are new with an offer, and where its others stand. first: number where each stands."""
    own = [text for text in offer.cautions if first[text] == number]
    before = sorted({first[text] for text in offer.cautions} - {number})
    heed = f"{'Also heed' if own else 'Heed'} what stands under {listed([*map(str, before)])}." if before else ""
    return [Line(" ".join(filter(None, (*own, heed))), "caution", lead="Caution:")] if own or heed else []


def _gains(offer: Remedy, run_laps: float) -> list[str]:
    """Say what it gives besides: tire life and pace, where a number is known and as large as a cost must be."""
    life, pace = ({}, {}) if offer.run is None else (offer.run.tire_laps, offer.run.pace)
    said = [
        f"{count_of(round(change), 'lap')} more of {corner} tire"
        for corner, (after, change) in sorted(life.items(), key=lambda item: -item[1][1])
        if change >= LEAST_LAPS and matters(after, change, run_laps)
    ]
    average = pace.get("average", 0.0)
    return said + ([f"{-average:.2f} s a lap quicker over the run"] if average <= -LEAST_PACE else [])


# balance and the run ahead


def _balance(outlook: Outlook, offers: Sequence[Remedy], treated: str) -> Section:
    """Show the balance, and what the first change makes of it; no table where no number may be shown.

    treated: what is treated instead of the words, "" for nothing.
    """
    picture, then, number = outlook.ahead.picture, outlook.then, outlook.first
    title = "Balance, before and after the first change" if number else "Balance now"
    doubts = lines(doubts_of(picture), "quiet")
    if picture.shut:
        return Section("balance-now", title, doubts)
    table = believed_table(picture, PERCENT)
    if then is not None:
        caption = f"{PERCENT}: now, then with number {number} made"
        table = believed_then_table(picture, then, caption)
    not_first = [f"Number {number} is shown: it is the first of which is known how much goes."] if number > 1 else []
    unknown = ["What a change does to it cannot be computed here."] if offers else []
    brings = [BRINGS_ABOUT.format(treated)] if treated and number else []
    said = [*not_first, *brings, SHARES, MEANS] if number else unknown
    return Section("balance-now", title, [*ends_told(outlook.ahead), table, *doubts, *lines(said, "quiet")])


def _run(outlook: Outlook, system: System) -> list[PaperBlock]:
    """Say what ends the run, fuel and pace, and show the tires; how balance and tires go stands with the charts."""
    ahead, forecast, new = outlook.ahead, outlook.ahead.forecast, outlook.changed
    caption = f"Tires after {ahead.driven} laps, and hot pressure in the run"
    tires = hot_table(ahead, system, caption)
    changed = ""
    if new is not None:
        changed = f"With number {outlook.first} made: {pace_words(forecast, new)}."
        caption = f"Tires after {ahead.driven} laps: now, then with number {outlook.first} made"
        tires = tires_then(forecast, new, system, caption)
    lost = forecast.pace.last - forecast.pace.first
    pace = f"{abs(lost):.2f} s {'slower' if lost > 0 else 'quicker'} than the first five"
    pace = pace if abs(lost) >= LEAST_LOST else "as quick as the first five"
    said = [
        "" if forecast.steady else UNSTEADY,
        *say_end(ahead),
        say_fuel(ahead, system),
        f"Pace: the last five laps are {pace}.",
        changed,
        *basis_words(ahead.picture),
    ]
    return [*lines(said), tires, Charts(charts_of(ahead))]


# how sure


def _sure(advice: Advice, offers: Sequence[Remedy], system: System) -> list[PaperBlock]:
    """Give the worst of the first change, where sizes are least sure, what stands beside the list, what would turn it.

    That is the answer to an open question, and how little puts the next one first.
    """
    worst = [say_cost(cost, system) for offer in offers[:1] for cost in offer.costs[:1]]
    against = [f"The strongest thing against number 1: {text}." for text in worst]
    said = (*against, *_band(offers), *say_beside(advice))
    minds = [f"The answer to: {say_question(question)}" for question in advice.open_questions[:MOST_QUESTIONS]]
    flip = find_flip(offers[0].worth, offers[1].worth) if len(offers) > 1 else None
    minds += [] if flip is None else [flip_words(2, 1, flip)]
    turned: list[PaperBlock] = [Line("This would change the list:"), Points(tuple(minds))] if minds else []
    return [*([Points(said)] if said else []), *turned]


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
