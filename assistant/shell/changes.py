"""Changes of the car made in a talk, and every step of it taken back: make, undo, back.

A change goes into the setup and onto the disk, and comes out again; what is made goes on standing on its list.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from assistant.advice.results import Package
from assistant.belief.felt import Promise, promise_of
from assistant.car.lever_rows import ends_of, lever_name
from assistant.car.moves import differences, move_faults
from assistant.diagnosis.said_change import NoChangeError, read_change
from assistant.ground.folders import ChangedMeanwhileError
from assistant.notebook.book import is_number, numbers_in
from assistant.pages.advice import Offer, cautions_of, headline
from assistant.pages.amounts import lever_value, not_legal_words, sentence
from assistant.pages.blocks import Block, Line
from assistant.shell.interview import (
    NO_ADVICE,
    NO_SETUP,
    NOT_AFTER,
    give_advice,
    no_such_number,
    offer_at,
    question_blocks,
    show_list,
)
from assistant.shell.keep import keep_not_here, keep_setup, say_changes
from assistant.shell.screens import change_order
from assistant.shell.talk_state import Step, TalkState

if TYPE_CHECKING:
    from assistant.car.case import Setup
    from assistant.notebook.book import Entry

NOTHING_TO_UNDO = "Nothing has been said or made yet that could be taken back."
AT_THE_START = "Back at the start."

LIST_STAYS = "The list stays as it was before it; say what the car does now, or make another."
SAY_NOW = "Say what the car does now."
STANDS_THERE = "It stands there already."
TWO_AT_ONCE = "Two changes at once cannot be told apart: one at a time, with a run between, tells more."
HAS_MOVED = "What number {} moves has been moved since this list was made: undo, or say what the car does now."
SAME_VALUE = 1e-9
"""Share of a value; nearer than this a lever stands where it was put."""


def back(state: TalkState, rest: str) -> list[Block]:
    """`back`, `back 3`: so many answers, then the complaint."""
    left = int(rest or 1)
    if state.session is None:
        return [Line("Nothing to go back to yet.")]
    if state.made_here:
        return [Line(NOT_AFTER)]
    while left and state.take_back_answer():
        left -= 1
    if not left:
        return _where_it_stands(state)
    if state.steps and state.steps[-1].before.session is not None and not state.steps[-1].moves:
        return undo(state, "")
    state.step()
    state.session = state.question = state.advice = None
    return [Line(AT_THE_START)]


def make(state: TalkState, rest: str) -> list[Block]:
    """`make 2`: into the setup, and onto the disk."""
    number = int(rest or 1)
    offer = offer_at(state, number)
    if offer is None:
        return [Line(NO_ADVICE) if state.advice is None else no_such_number(state)]
    setup = state.bench.moved(offer)
    if setup is None:
        return [Line(NO_SETUP)]
    if number in {step.number for step in state.made_here}:
        return [Line(f"Number {number} is made already; undo takes out the last one.")]
    if _has_moved(state, offer):
        return [Line(HAS_MOVED.format(number))]
    said = headline(offer, state.bench.knowledge.levers, state.system)
    return _make(state, said, setup, cautions_of(offer), number)


def made(state: TalkState, rest: str) -> list[Block]:
    """`made stagger 2`: a change of one's own, put into the setup as it was said; `made 2` is make 2."""
    if rest.isdigit() or not rest:
        return make(state, rest)
    bench = state.bench
    try:
        change = read_change(rest, bench.case.setup, bench.knowledge, state.system)
    except NoChangeError as mistake:
        return [Line(sentence(str(mistake)))]
    setup, entry = change.put_on(bench.case.setup), bench.knowledge.levers[change.lever]
    if not differences(bench.case.setup, setup):
        return [Line(STANDS_THERE)]
    illegal = not_legal_words(move_faults(bench.case, setup, state.system))
    cautions = [bench.knowledge.cautions[key].says for key in entry.cautions if key in bench.knowledge.cautions]
    return _make(state, change_order(state, change), setup, [*illegal, *cautions])


def measured(state: TalkState, rest: str, but: str = "") -> list[Block]:
    """`measured stagger 2`: what the car has, and had all along; no change of it, and no guess any more.

    but: what to type where it was a change after all.
    """
    bench = state.bench
    try:
        fact = read_change(
            re.sub(r"(?<![=\d./])(?=\.?\d)", "=", rest, count=1), bench.case.setup, bench.knowledge, state.system
        )
    except NoChangeError as mistake:
        return [Line(sentence(str(mistake)))]
    before, setup, memory = bench.case.setup, fact.put_on(bench.case.setup), bench.memory
    shown = lever_value(fact.lever, fact.value, state.system, setup=before)
    said = f"{lever_name(fact.lever)} is {shown}"
    state.step(is_fact=True, said=said, moves=differences(before, setup) or {fact.lever: (fact.value, fact.value)})
    if (where := _put(state, setup)) is None:
        state.steps.pop()
        return _read_again(state, "Not taken down")
    bench.memory = memory.on_other(fact.put_on)
    bench.read_on = None if bench.read_on is None else fact.put_on(bench.read_on)
    more = but.format(f"{lever_name(fact.lever)} {shown}") if but and fact.lever not in before.guessed else ""
    done = [Line(text) for text in (f"Taken down: {said}.", where, more) if text]
    return [*done, *(give_advice(state) if state.advice is not None else [])]


def _make(state: TalkState, said: str, setup: Setup, cautions: Iterable[str], number: int = 0) -> list[Block]:
    """Put a change into the setup and onto the disk. number: on the list, 0 for one of the user's own."""
    moves = differences(state.bench.case.setup, setup)
    if (where := change_car(state, setup, said, number)) is None:
        return _read_again(state, "Not made")
    done: list[Block] = [Line(text) for text in (f"Made: {sentence(said)}", where) if text]
    once = [Line(TWO_AT_ONCE)] if len(state.made_here) == 2 else []
    heed = [Line(text, mark="caution") for text in cautions]
    stays = LIST_STAYS if state.advice is not None else SAY_NOW
    return [*done, *heed, *_recheck(state, moves), *once, Line(f"undo takes it out again. {stays}")]


def change_car(
    state: TalkState, setup: Setup, said: str, number: int = 0, promise: Promise | None = None
) -> str | None:
    """Put a changed setup on the car and on the disk, as a step; where it is kept, None where the file has changed.

    promise: what it was to do when it was made, where that was long ago.
    """
    bench, before = state.bench, state.bench.case.setup
    memory, advice = bench.memory, state.advice
    believed = None if advice is None else advice.belief
    if promise is None and not state.replaying and advice is not None and believed is not None:
        promise = promise_of(believed, advice.complaint, before, setup)
    bench.keep_said(None if state.session is None else state.session.complaint)
    where = _put(state, setup)
    if where is None:
        bench.memory = memory
        return None
    state.step(said=said, number=number, moves=differences(before, setup), memory=memory, promise=promise)
    state.question = None
    return where


def make_again(state: TalkState, entry: Entry, number: int) -> None:
    """Make what the notebook says was made: a list that is worked out anew may count otherwise."""
    setup, moves = state.bench.case.setup, entry.data.get("moves")
    after = {lever: pair[-1] for lever, pair in moves.items()} if isinstance(moves, dict) else {}
    known = numbers_in({lever: value for lever, value in after.items() if lever in setup.values})
    values = {**setup.values, **known}
    promise = promise_in(entry.data.get("promise"))
    change_car(state, replace(setup, values=values), str(entry.data.get("said", entry.text)), number, promise)


def promise_in(data: object) -> Promise | None:
    """Read what a change was to do, as the notebook has it."""
    removes: Any = data.get("removes") if isinstance(data, dict) else None
    return Promise(float(removes), {}) if is_number(removes) else None


def undo(state: TalkState, _: str) -> list[Block]:
    """`undo`: the last step is taken back: a change is taken out, an answer or words were never said."""
    if not state.steps:
        return [Line(NOTHING_TO_UNDO)]
    last = state.steps[-1]
    if last.moves:
        return _undo_change(state, last)
    state.take_back()
    if last.is_answer:
        return _where_it_stands(state)
    if last.told is not None:
        return told_back(state, last)
    if state.session is None:
        return [Line(AT_THE_START)]
    still = [Line(f"Still made: {sentence(step.said)}") for step in state.made[-1:]]
    return [Line(f"Back to what you said before: {state.session.text}."), *still, *_where_it_stands(state)]


def told_back(state: TalkState, last: Step) -> list[Block]:
    """Say that what was told of the car is taken back, in its file too, and weigh anew."""
    bench, where = state.bench, ""
    if last.told is not None and last.said.startswith("not here") and bench.is_own and not state.replaying:
        where = keep_not_here(bench.case, state.system)
    said = [Line(text) for text in (f"Taken back: {last.said}.", where) if text]
    return [*said, *_where_it_stands(state)]


def _undo_change(state: TalkState, last: Step) -> list[Block]:
    bench = state.bench
    before, bench.memory = bench.memory, last.memory
    done = _take_out(state, last)
    if done is None:
        bench.memory = before
        return _read_again(state, "Not taken out")
    state.take_back()
    return done


def _take_out(state: TalkState, last: Step) -> list[Block] | None:
    """Put back what a change moved, where it still stands as it left it; None when the file was changed meanwhile."""
    setup = state.bench.case.setup
    if any(
        abs(setup.values[lever] - after) > SAME_VALUE * max(1.0, abs(after)) for lever, (_, after) in last.moves.items()
    ):
        return [Line(f"Left as it is, for it was changed since: {sentence(last.said)}")]
    values = {**setup.values, **{lever: before for lever, (before, _) in last.moves.items()}}
    where = _put(state, replace(setup, values=values, guessed=setup.guessed | last.guessed))
    return None if where is None else [Line(text) for text in (f"Taken out: {sentence(last.said)}", where) if text]


def _where_it_stands(state: TalkState) -> list[Block]:
    """Show the question or the list that is back."""
    if state.session is None or state.question is None:
        return show_list(state)
    state.bench.hear(state.session)
    return question_blocks(state)


def _put(state: TalkState, setup: Setup) -> str | None:
    """Put a setup on the car and on the disk and say where; None, and nothing done, when the file was changed."""
    bench, where = state.bench, ""
    if not state.replaying:
        try:
            where = keep_setup(bench.case, setup, state.name, state.system, bench.on_file)
        except ChangedMeanwhileError:
            return None
        bench.read_file()
    bench.put(setup)
    return where


def _read_again(state: TalkState, not_done: str) -> list[Block]:
    """Read a setup that somebody changed meanwhile, and make the list anew where nothing of it is made."""
    bench = state.bench
    before = bench.on_file
    bench.read_again()
    if state.session is not None:
        state.session = replace(state.session, case=bench.case)
    found = "; ".join(say_changes(before.values, bench.case.setup, state.system))
    said = Line(f"{not_done}: the setup file was changed meanwhile ({found}). It has been read again.")
    return [said] if state.made_here or state.advice is None else [said, *give_advice(state)]


def _has_moved(state: TalkState, offer: Offer) -> bool:
    """Whether a lever of an offer stands elsewhere than when the list was made."""
    moved = set() if state.listed is None else set(differences(state.listed.setup, state.bench.case.setup))
    levers = {move.lever for move in offer.moves} if isinstance(offer, Package) else {offer.id}
    return not moved.isdisjoint(end for lever in levers for end in ends_of(lever))


def _recheck(state: TalkState, moved: Iterable[str]) -> list[Block]:
    levers = state.bench.knowledge.levers
    checks = dict.fromkeys(check for lever in moved if lever in levers for check in levers[lever].recheck)
    return [Line("Check again: " + "; ".join(checks) + ".")] if checks else []
