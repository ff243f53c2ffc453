"""Commands of a talk that show something and leave the talk where it is; each takes what followed the command."""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from assistant.advice.habits import compare_offer
from assistant.advice.offers import unread_levers
from assistant.advice.results import Advice, PassedOver
from assistant.advice.sizing import when_of
from assistant.belief.look_ahead import look_ahead, reach
from assistant.car.case import HOW_SOON, Case, is_computed, kind_of, levers_of
from assistant.car.keys import lever_name
from assistant.car.moves import move_faults, setup_faults, value_of
from assistant.car.write import write_not_here
from assistant.diagnosis.said_change import NoChangeError, SaidChange, find_lever, read_change
from assistant.diagnosis.tire_reading import has_readings, read_tires
from assistant.ground.names import STAGES, did_you_mean, nearest, quoted
from assistant.ground.problems import BadInput, Problem
from assistant.ground.units import read, unit_of
from assistant.notebook.book import MADE, MEASURED
from assistant.pages import packs as lookup
from assistant.pages import sayings
from assistant.pages.advice import offers_of
from assistant.pages.advice_words import say_not_back, say_passed
from assistant.pages.amounts import capital, lever_change, lever_value, move_words, not_legal_words, say_tires, sentence
from assistant.pages.balance import basis_words, believed_table, doubt_blocks, then_blocks
from assistant.pages.blocks import ALL, Block, Line, lines, under
from assistant.pages.corner import show_corners
from assistant.pages.forecast import part_screen
from assistant.pages.hearing_words import say_answers, say_plan, say_why_asked
from assistant.pages.levers import STRONGEST, lever_named, levers_screen
from assistant.pages.paper import HOW_TO_OPEN, format_of, write_sheet
from assistant.pages.readings import readings_of, tires_screen
from assistant.pages.setups import say_in_use, setup_screen, verdict_words
from assistant.pages.sheet_page import make_page
from assistant.pages.why import causes_screen, facts_of, place_words, why_not_screen, why_screen
from assistant.rules.models import Lever
from assistant.shell.interview import no_such_number, offer_at
from assistant.shell.keep import keep_readings
from assistant.shell.talk_state import TalkState

BEYOND = 2.0
"""Times the largest sensible change."""
MOST_PAGES = 99
PUT_BACKS = ("put back", "put it back", "back", "undo", "undo it")  # behind why not


def why(state: TalkState, rest: str) -> list[Block]:
    """`why`, `why 2`, `why 2 all`, `why 2 not 3`."""
    if state.advice is None:
        question = state.question
        asked = "" if question is None else say_why_asked(question)
        return [Line(sayings.ASKED_BECAUSE.format(asked))] if asked else [Line(sayings.NO_ADVICE)]
    if not rest:
        return causes_screen(state.advice.causes)
    numbers = [int(part) for part in re.findall(r"\d+", rest)]
    found = [(number, offer) for number in numbers if (offer := offer_at(state, number)) is not None]
    if len(found) < len(numbers):
        return [no_such_number(state)]
    if len(found) > 1:
        return why_not_screen(found, state.levers, state.system)
    number, offer = found[0]
    told = facts_of(offer, state.bench.model(), state.system)
    behind = offer_at(state, number + 1)
    is_told = behind is not None and number < state.shown and (number == 1 or rest.endswith(ALL))
    place = "" if behind is None or not is_told else place_words((number, offer), (number + 1, behind))
    return why_screen(number, offer, state.levers, state.system, told, whole=rest.endswith(ALL), place=place)


def try_it(state: TalkState, rest: str) -> list[Block]:
    """`try 2`, `try track bar right down 1/2`: the balance before and after; nothing is changed."""
    number = int(rest or 1) if rest.isdigit() or not rest else None
    if number is None:
        return try_words(state, rest)
    offer = offer_at(state, number)
    if offer is None:
        return [no_such_number(state)]
    bench = state.bench
    if offer.effect is None or state.advice is None:
        stays = [Line(sayings.NO_SETUP)] if bench.moved(offer) is None else []
        return [Line(sayings.NO_COMPARISON), *stays]
    listed = (state.advice, offer, bench.case, bench.knowledge)
    before, after, change = bench.work(sayings.WEIGHING_CARS, lambda: compare_offer(*listed))
    return [
        Line(sentence(state.say_offer(offer)), lead=str(number)),
        *doubt_blocks(before),
        *then_blocks(before, after, change),
        *lines([say_tires(offer.run)]),
        Line(sayings.NO_SETUP if bench.moved(offer) is None else sayings.NOT_MADE.format(f"make {number}")),
    ]


def try_words(state: TalkState, said: str) -> list[Block]:
    """Show what a change in the user's own words would do, legal or not."""
    bench = state.bench
    try:
        change = read_change(said, bench.case.setup, bench.knowledge, state.system)
    except NoChangeError as mistake:
        return [Line(sentence(str(mistake)))]
    value = lever_value(change.lever, change.value, state.system, setup=bench.case.setup)
    state.meant = f"made {lever_name(change.lever)} {value}"
    return [*tried(state, change), Line(sayings.NOT_MADE.format(state.meant))]


def tried(state: TalkState, change: SaidChange) -> list[Block]:
    """Show a change: the order, what is not legal, what it does to the complaint, and the balance before and after."""
    bench, setup = state.bench, change.put_on(state.bench.case.setup)
    illegal = not_legal_words(move_faults(bench.case, setup, state.system))
    order = Line(sentence(change_order(state, change)), mark="act")
    head = [order, *lines([*illegal, *_too_far(state, change)], "caution")]
    if not is_computed(change.lever, setup):
        return [*head, Line(sayings.BY_THE_BOOK.format(change.lever.replace("_", " ")))]
    found = bench.weigh(setup, state.complaint)
    words = [] if found.verdict is None else lines(verdict_words(found.verdict, found.run))
    doubts = doubt_blocks(found.before)
    return [*head, *words, *doubts, *then_blocks(found.before, found.after, found.change)]


def _too_far(state: TalkState, change: SaidChange) -> list[str]:
    """Say where a change is far beyond what anybody moves at once; what is computed for it means little."""
    setup, entry = state.bench.case.setup, state.levers[change.lever]
    kind = kind_of(change.lever, setup)
    most = read(entry.largest_change, kind, default_unit=unit_of(kind, state.system)).value
    is_far = abs(change.value - value_of(setup, change.lever)) > BEYOND * most
    return [sayings.TOO_FAR.format(lever_change(change.lever, most, state.system, setup=setup))] if is_far else []


def change_order(state: TalkState, change: SaidChange) -> str:
    """Say a change as an order: "lower the right end of the track bar 1/2 in, from 10 to 9 1/2"."""
    setup, lever = state.bench.case.setup, change.lever
    start = value_of(setup, lever)
    words = state.levers[lever]
    is_guess = lever in setup.guessed
    return move_words(words, start, change.value, change.value - start, state.system, guessed=is_guess)


def why_not(state: TalkState, rest: str) -> list[Block]:
    """`why not track bar`: where it stands on the list, or why it is not there."""
    if state.advice is None:
        return [Line(sayings.NO_ADVICE)]
    if rest.isdigit():
        return why(state, f"1 not {rest}")
    return _why_not_back(state, state.advice) if rest in PUT_BACKS else _why_not_lever(state, state.advice, rest)


def _why_not_lever(state: TalkState, advice: Advice, rest: str) -> list[Block]:
    bench = state.bench
    try:
        lever = find_lever(rest.split(), bench.case.setup, bench.knowledge)
    except NoChangeError as mistake:
        return [Line(sentence(str(mistake)))]
    if bench.case.rulebook.out(lever) is not None:
        return [*lines(_why_out(bench.case, state.levers[lever]))]
    for number, offer in enumerate(state.offers, 1):
        if lever in dict(offer.steps_of_levers):
            return [Line(sayings.ON_THE_LIST.format(number)), *why(state, str(number))]
    failed = state.failed(advice.complaint).items()
    passed = [sayings.TRIED.format(said) for (tried, _), said in failed if tried == lever]
    passed += say_passed([one for one in advice.passed if one.id == lever])
    facts = {} if state.session is None else state.session.facts
    unread = [sayings.READ_FIRST] if lever in unread_levers(facts) else []
    return [*lines((*passed, *unread)), *_both_ways(state, lever)]


def _why_not_back(state: TalkState, advice: Advice) -> list[Block]:
    """Say where on the list something is put back, or why nothing is."""
    undo = next((number for number, one in enumerate(state.offers, 1) if one.kind == "undo"), 0)
    said = say_not_back(advice) or (sayings.NO_WAY_BACK,)
    return [Line(sayings.ON_THE_LIST.format(undo)), *why(state, str(undo))] if undo else [*lines(said)]


def _why_out(case: Case, lever: Lever) -> Sequence[str]:
    """Say why a lever is left out: it takes too long, or the driver said so."""
    out, when = case.rulebook.out(lever.lever), when_of(lever, case)
    is_tonight = out is not None and out.tonight
    if is_tonight and case.at_hand and HOW_SOON.index(when) > HOW_SOON.index(case.at_hand):
        return (sayings.TAKES_LONGER.format(capital(lever.title), when, case.at_hand),)
    return say_passed([PassedOver(lever.lever, lever.title, "not tonight" if is_tonight else "not here")])


def _both_ways(state: TalkState, lever: str) -> list[Block]:
    """Say what the usual change of a lever would do, the better way of the two."""
    bench, words = state.bench, state.levers[lever]
    if not is_computed(lever, bench.case.setup):
        return [Line(sayings.BY_THE_BOOK.format(lever.replace("_", " ")))]
    found = []
    for way in (words.plus_word, words.minus_word):
        with suppress(NoChangeError):
            change = read_change(f"{lever} {way}", bench.case.setup, bench.knowledge, state.system)
            weighed = bench.weigh(change.put_on(bench.case.setup), state.complaint)
            found += [] if weighed.verdict is None else [(weighed.verdict, weighed.run, change)]
    if not found:
        return [Line(sayings.NOT_WEIGHED.format(lever.replace("_", " "), words.plus_word))]
    verdict, run, change = max(found, key=lambda one: one[0].removes)
    setup = change.put_on(bench.case.setup)
    illegal = not_legal_words(move_faults(bench.case, setup, state.system))
    return [
        Line(f"{sayings.BEST_OF_IT}{change_order(state, change)}."),
        *lines(verdict_words(verdict, run)),
        *lines(illegal, "caution"),
    ]


def show(state: TalkState, _: str) -> list[Block]:
    """`show`: the setup."""
    case = state.bench.case
    blocks = setup_screen(case.setup, state.levers, case.rulebook, state.system)
    made = [Line(sayings.MADE_HERE.format(sentence(one.said))) for one in state.made]
    illegal = lines(not_legal_words(setup_faults(case, state.system)), "caution")
    return [*illegal, *blocks, *made, Line(say_in_use(case))]


def balance(state: TalkState, _: str) -> list[Block]:
    """`balance`: what the model says of the car as it stands."""
    picture = state.bench.picture(state.complaint)
    doubts = doubt_blocks(picture)
    if picture.shut:
        return [*doubts]
    return [
        Line(sayings.BALANCE_NOW),
        Line(f"{sayings.PLACED} {' '.join(basis_words(picture))}"),
        *doubts,
        believed_table(picture),
        Line(sayings.DIFFERENCES, mark="quiet"),
    ]


def explain(state: TalkState, rest: str) -> list[Block]:
    """`explain stagger`; `explain` alone lists what can be explained."""
    knowledge = state.bench.knowledge
    if not rest:
        return lookup.what_can_be_explained(knowledge)
    found = lookup.explain(rest, knowledge)
    if found is None:
        hint = did_you_mean(rest, lookup.known_words(knowledge))
        return [Line(sayings.UNKNOWN_WORD.format(quoted(rest), hint))]
    return found.blocks


def causes(state: TalkState, rest: str) -> list[Block]:
    """`causes`: what may be behind it, as far as is known now; `causes sway bar`: the sum of that one."""
    if state.session is None:
        return [Line(sayings.NO_CAUSES)]
    found, knowledge = state.bench.causes(state.session), state.bench.knowledge
    if not rest:
        return [*causes_screen(found), Line(say_plan(state.session.plan))]
    titles = {name: knowledge.causes[name].title for name in lookup.causes_named(rest, knowledge)}
    if len(titles) > 1:
        return [*under(sayings.WHICH_CAUSE, [capital(title) for title in titles.values()])]
    if not titles:
        meant = nearest(rest, [one.title for one in knowledge.causes.values()])
        asked = sayings.CAUSE_MEANT.format(meant) if meant else sayings.LIKELIEST_CAUSES
        return [Line(f"{sayings.NO_SUCH_CAUSE.format(quoted(rest))} {asked}")]
    ((named, title),) = titles.items()
    if named not in {one.id for one in found}:
        return [Line(sayings.NOT_A_CAUSE_HERE.format(title))]
    return causes_screen(found, only=named)


def levers(state: TalkState, rest: str) -> list[Block]:
    """`levers`: the strongest; `levers all`, `levers stagger`."""
    bench = state.bench
    try:
        wanted = [] if rest in {"", ALL} else [lever_named(rest, bench.knowledge)]
    except BadInput as mistake:
        return [Line(_no_lever(one)) for one in mistake.problems]
    if not set(wanted) <= set(levers_of(bench.case.setup)):
        return [Line(sayings.NOT_IN_SETUP.format(repr(rest)))]
    table = bench.effects(state.complaint, wanted or None)
    return levers_screen(wanted, table, bench.knowledge, state.system, most=None if rest else STRONGEST)


def _no_lever(mistake: Problem) -> str:
    """Say that there is no such lever, with the nearest one or where all are listed."""
    hint = mistake.hint if mistake.hint.startswith("did you mean") else sayings.LEVERS_LISTED
    return sentence(f"{mistake.says}; {hint}")


def forecast(state: TalkState, rest: str) -> list[Block]:
    """`forecast`: how far the run goes, balance, tires and fuel; `forecast gears` and the like, `forecast all`."""
    bench = state.bench
    belief = bench.belief(state.complaint)
    ahead = bench.work(sayings.DRIVING_RUN, lambda: look_ahead(bench.case, believe=lambda _: belief))
    return part_screen(rest, ahead, bench.knowledge, state.system, bench.work)


def tires(state: TalkState, _: str) -> list[Block]:
    """`tires`: what the temperatures say."""
    bench = state.bench
    if not has_readings(bench.case.measured):
        return [Line(sayings.NO_TIRE_READ)]
    return tires_screen(read_tires(bench.case, bench.knowledge), bench.case, bench.knowledge, state.system)


def corner(state: TalkState, rest: str) -> list[Block]:
    """`corner`, `corner fresh`, `corner loads`, `corner fresh all`: the car at its limit."""
    words, bench = rest.split(), state.bench
    stage = next((word for word in words if word in STAGES), STAGES[-1])
    part = next((word for word in words if word not in STAGES), "")
    case, belief = bench.case, bench.belief(state.complaint)
    reached = bench.work(
        sayings.SOLVING_CORNERS, lambda: reach(case, [case.setup], case.run_laps, (), lambda _: belief)
    )
    return show_corners(reached, stage, part, state.system)


def sheet(state: TalkState, rest: str) -> list[Block]:
    """`sheet`, `sheet FILE.md`: the advice as a page, never over one that is there."""
    session, bench = state.session, state.bench
    if session is None:
        return [Line(sayings.NO_SHEET)]
    advice, made = state.advice or bench.advise(session), [step.said for step in state.not_felt]
    try:
        path = Path(rest.strip("\"'")).expanduser() if rest else _free_name(state)
        known, listed, felt = (bench.case, bench.knowledge, session, advice), offers_of(advice), _felt(state)
        bench.work(
            sayings.DRIVING_FOR_PAGE,
            lambda: write_sheet(path, lambda: make_page(*known, listed, system=state.system, made=made, felt=felt)),
        )
    except BadInput as mistake:
        return [Line(sayings.NO_PAGE.format(one.file, one.says)) for one in mistake.problems]
    except (RuntimeError, ValueError):  # the home of nobody we know, or a letter that no name of a file may have
        return [Line(sayings.NO_PAGE_NAME.format(rest))]
    return [Line(sayings.PAGE_WRITTEN.format(path.resolve(), HOW_TO_OPEN[format_of(path)]))]


def _felt(state: TalkState) -> list[tuple[str, str]]:
    """List the changes that were felt, each with what it did in the driver's words."""
    found: list[tuple[str, str]] = []
    made: list[str] = []
    for step in state.steps:
        if step.kind == MADE:
            made.append(step.said)
        elif step.felt is not None and made:
            found.append(("; ".join(made), step.felt.text))
            made = []
    return found


def _free_name(state: TalkState) -> Path:
    """Name a page after the case, in the folder the program was started in."""
    stem = f"{Path(state.bench.case_name).stem}-sheet"
    names = [Path(f"{stem}.html"), *(Path(f"{stem}-{number}.html") for number in range(2, MOST_PAGES))]
    return next((name for name in names if not name.exists()), names[0])


def keep_read(state: TalkState) -> list[Block]:
    """`keep`: what was read goes into the car's file."""
    measured = state.bench.case.measured
    if not readings_of(state.bench.case, state.system):
        return [Line(sayings.NO_READING)]
    return [Line(keep_readings(replace(state.bench.case, measured=measured), state.name, state.system))]


def known(state: TalkState, _: str) -> list[Block]:
    """`known`: all that was told of the car, in one screen."""
    case, session = state.bench.case, state.session
    rows = [] if session is None else [("you said", session.text)]
    if session is not None and session.given:
        rows += [("you answered", f"{asked} {says}") for asked, says in say_answers(session)]
    when = "read" if case.measured == state.bench.case_as_read.measured else sayings.READ_BEFORE
    rows += [(when, text) for text in readings_of(case, state.system)]
    rows += [("measured", step.said) for step in state.steps if step.kind == MEASURED and step.moves]
    rows += [("made", sentence(step.said)) for step in state.made]
    rows += [("felt", step.felt.text) for step in state.steps if step.felt is not None]
    out, guessed = write_not_here(case.rulebook, state.system), len(case.setup.guessed)
    rows += [("guessed", sayings.SO_MANY_GUESSED.format(guessed))] if guessed else []
    rows += [("not here", ", ".join(out))] if out else []
    rows += [("time", sayings.ONLY.format(case.at_hand))] if any(one.tonight for one in case.rulebook.not_here) else []
    told = [Line(text, lead=f"{name}:") for name, text in rows]
    return [Line(say_in_use(case)), *(told or [Line(sayings.NOTHING_KNOWN)])]
