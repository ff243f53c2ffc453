"""Changes of the car made in a talk, and every step of it taken back: make, undo, back.

A change goes into the setup and onto the disk, and comes out again; what is made goes on standing on its list.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from assistant.advice.results import HALF_BACK, OWN, WAY_BACK
from assistant.belief.cures import Promise, promise_of
from assistant.car.keys import ends_of, lever_name
from assistant.car.moves import differences, move_faults
from assistant.diagnosis.said_change import NoChangeError, find_lever, read_change
from assistant.ground.folders import ChangedMeanwhileError
from assistant.notebook.book import ANSWER, MADE, MEASURED, NOTE, SAID
from assistant.pages import felt_words, sayings
from assistant.pages.amounts import lever_value, not_legal_words, say_tires, sentence
from assistant.pages.blocks import Block, Line
from assistant.pages.setups import say_otherwise
from assistant.shell.interview import (
    ask_of_look,
    give_advice,
    no_such_number,
    offer_at,
    question_blocks,
    questions_of_look,
    show_list,
    show_rest,
    show_stop,
)
from assistant.shell.keep import keep_not_here, keep_setup
from assistant.shell.screens import keep_read
from assistant.shell.talk_state import FACTS, Done, Stands, Step, TalkState

if TYPE_CHECKING:
    from assistant.advice.results import Remedy
    from assistant.car.case import Case, Setup


NOTHING_MORE: Mapping[str, Any] = {}
SAME_VALUE = 1e-9
"""Share of a value; nearer than this a lever stands where it was put."""


def back(state: TalkState, rest: str) -> list[Block]:
    """`back`, `back 3`: so many answers, then the complaint."""
    left = int(rest or 1)
    if state.session is None:
        return [Line(sayings.NOTHING_BEFORE)]
    if state.not_felt:
        return [Line(sayings.NOT_AFTER)]
    while left and state.take_back_answer():
        left -= 1
    if not left:
        return where_it_stands(state)
    if state.steps and state.steps[-1].before.session is not None and not state.steps[-1].moves:
        return undo(state, "")
    state.step(SAID)
    state.session = state.question = None
    state.list_anew(advised=False)
    return [Line(sayings.AT_THE_START)]


def make(state: TalkState, rest: str) -> list[Block]:
    """`make 2`: into the setup, and onto the disk; a look, a habit or a repair is taken down as done."""
    offer = offer_at(state, int(rest or 1))
    return [no_such_number(state)] if offer is None else make_offer(state, offer)


def make_offer(state: TalkState, offer: Remedy, setup: Setup | None = None, beside: Iterable[str] = ()) -> list[Block]:
    """Make an offer: into the setup and onto the disk, or taken down as done; and weigh anew what else there is.

    setup: with a change of one's own. beside: what is to be heeded besides.
    """
    is_own, said = setup is not None, state.say_offer(offer)
    setup = setup or state.bench.moved(offer)
    if setup is None and offer.kind == "package":
        return [Line(sayings.NO_SETUP)]
    if setup is None or (offer.kind == "undo" and not differences(state.bench.case.setup, setup)):
        return do(state, Done(offer.kind, offer.id, said), offer.removes, offer.cautions)
    promise, moves = _promise(state, setup), differences(state.bench.case.setup, setup)
    promise = None if promise is None else replace(promise, removes=offer.removes)
    kind = {"own": True} if is_own else {"back": True} if offer.id == WAY_BACK else {}
    if (where := change_car(state, setup, said, promise, kind)) is None:
        return _read_again(state, sayings.NOT_PUT_IN)
    texts = (sayings.PUT_IN.format(sentence(said), say_tires(offer.run)).strip(), where, _wrong_way(state, promise))
    done: list[Block] = [Line(text) for text in texts if text]
    return [*done, *_heed((*beside, *offer.cautions)), *_recheck(state, moves), *_after(state)]


def made(state: TalkState, rest: str) -> list[Block]:
    """`made stagger 2`: a change of one's own, put into the setup as it was said; `made 2` is make 2."""
    if rest.isdigit() or not rest:
        return make(state, rest)
    bench = state.bench
    try:
        change = read_change(rest, bench.case.setup, bench.knowledge, state.system)
    except NoChangeError as mistake:
        return [Line(sentence(str(mistake)))]
    setup = change.put_on(bench.case.setup)
    if not differences(bench.case.setup, setup):
        return [Line(sayings.STANDS_THERE)]
    illegal = not_legal_words(move_faults(_by_its_rules(bench.case), setup, state.system))
    out = [bench.case.rulebook.out(lever) for lever in differences(bench.case.setup, setup)]
    late = [sayings.LEFT_OUT] if any(one is not None and one.tonight for one in out) else []
    offer = bench.offer(OWN, setup, state.complaint)
    return make_offer(state, offer, setup, [*illegal, *late])


def _by_its_rules(case: Case) -> Case:
    """Return a case with what its rules leave out alone: that there is no time for more tonight is no rule."""
    kept = tuple(one for one in case.rulebook.not_here if not one.tonight)
    return replace(case, rulebook=replace(case.rulebook, not_here=kept))


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
    stood, before, setup = state.stands, bench.case.setup, fact.put_on(bench.case.setup)
    shown = lever_value(fact.lever, fact.value, state.system, setup=before)
    said = sayings.FACT.format(lever_name(fact.lever), shown)
    moves = differences(before, setup) or {fact.lever: (fact.value, fact.value)}
    state.step(MEASURED, said, moves=moves, data={"fact": {lever: now for lever, (_, now) in moves.items()}})
    bench.put(setup)
    bench.memory = bench.memory.on_other(fact.put_on)
    bench.read_on = None if bench.read_on is None else fact.put_on(bench.read_on)
    if (where := _written(state, stood)) is None:
        return _read_again(state, sayings.NOT_TAKEN_DOWN)
    more = but.format(f"{lever_name(fact.lever)} {shown}") if but and fact.lever not in before.guessed else ""
    done = [Line(text) for text in (sayings.TAKEN_DOWN.format(said), where, more) if text]
    return [*done, *(give_advice(state) if state.advised else [])]


def _heed(cautions: Iterable[str]) -> list[Block]:
    return [Line(text, mark="caution") for text in cautions]


def _wrong_way(state: TalkState, promise: Promise | None) -> str:
    """Say where a change is computed to make all that is complained of worse; "" where it is not."""
    is_back = bool(state.made and state.made[-1].data.get("back"))
    worse = (
        "" if promise is None or state.session is None or is_back else promise.worsens(state.session.complaint.cells)
    )
    return felt_words.WRONG_WAY[worse] if worse else ""


def _after(state: TalkState) -> list[Block]:
    """Say what to do after something was done, and what comes first now."""
    once = [Line(sayings.TWO_AT_ONCE)] if len(state.not_felt) == 2 else []
    return [*once, Line(sayings.RUN_IT if state.session is not None else sayings.SAY_NOW), *show_rest(state)]


def change_car(
    state: TalkState, setup: Setup, said: str, promise: Promise | None = None, data: Mapping[str, Any] = NOTHING_MORE
) -> str | None:
    """Put a changed setup on the car and on the disk, as a step; where it is kept, None where the file has changed.

    promise: what it is to do. data: what its entry holds besides.
    """
    stood = state.stands
    step_of_change(state, setup, said, promise, data)
    return _written(state, stood)


def step_of_change(
    state: TalkState, setup: Setup, said: str, promise: Promise | None, data: Mapping[str, Any] = NOTHING_MORE
) -> None:
    """Stand behind a change as a step of the talk; no file is written."""
    state.step(MADE, said, moves=differences(state.bench.case.setup, setup), promise=promise, data=data)
    state.bench.keep_said(state.complaint)
    state.bench.put(setup)
    stand_after(state)


def _promise(state: TalkState, setup: Setup) -> Promise | None:
    """Foretell what a change does; None where nobody complains."""
    advice = state.advice
    if advice is None or advice.belief is None:
        return None
    return promise_of(advice.belief, advice.complaint, state.bench.case.setup, setup)


def stand_after(state: TalkState) -> None:
    """Stand behind something that was done: no question is open, and the list is that of the car as it is now."""
    state.question, state.look = None, None
    state.list_anew(advised=state.advised)
    if state.session is not None:
        state.session = replace(state.session, case=state.bench.case_as_read)


def do(state: TalkState, done: Done, removes: float | None = None, cautions: Iterable[str] = ()) -> list[Block]:
    """Take down something done that moves no lever; a look asks what was found."""
    if done.kind == "inspect":
        return _look(state, done)
    if done.kind not in sayings.DONE:
        return [Line(sayings.NO_SETUP)]
    promise = None if removes is None else Promise(removes, {})
    state.step(MADE, done.title, done=done, promise=promise)
    state.bench.keep_said(state.complaint)
    stand_after(state)
    return [Line(sayings.DONE[done.kind].format(sentence(done.title))), *_heed(cautions), *_after(state)]


def _look(state: TalkState, look: Done) -> list[Block]:
    """Ask what a look is to tell; one that answers no question waits for "nothing wrong" or "found it"."""
    questions = questions_of_look(state, look.id)
    state.step(NOTE, look.title, done=look)
    asked = ask_of_look(state, questions)
    if asked:
        return [Line(sayings.WHAT_FOUND), *asked]
    state.look = look
    return [Line(sayings.LOOK_FIRST.format(sentence(look.title)))]


def found(state: TalkState, *, is_wrong: bool) -> list[Block] | None:
    """Take what a look found, the one that is open or else the first of the list; None where there is none."""
    listed = [Done(one.kind, one.id, one.title) for one in state.offers if one.kind == "inspect"]
    look = state.look or next(iter(listed), None)
    if look is None:
        return None
    if is_wrong:
        return do(state, Done("repair", f"found-{look.id}", sayings.FOUND.format(look.title)))
    if state.look is None:
        state.step(NOTE, look.title, done=look)
    state.look = None
    state.list_anew(advised=state.advised)
    rest = show_rest(state) if state.offers else [Line(sayings.NOTHING_FOUND)]
    return [Line(sayings.NOTHING_WRONG.format(sentence(look.title))), *rest]


def half(state: TalkState, _: str) -> list[Block]:
    """`half`: half of what was made last back, where the rules have a step there."""
    return _go_back(state, HALF_BACK)


def put_back(state: TalkState, rest: str) -> list[Block]:
    """`put back`, `put back stagger`: what was made last is taken out, as a change of its own: what it did stays."""
    return _go_back(state, WAY_BACK, _made_named(state, rest) if rest else None)


def keep(state: TalkState, rest: str) -> list[Block]:
    """`keep` writes what was read into the file; `keep stagger`: of what was made last all else is taken out."""
    if not rest:
        return keep_read(state)
    named = _made_named(state, rest)
    return _go_back(state, WAY_BACK, [one for one in state.made_last if one not in named] if named else named)


def _made_named(state: TalkState, words: str) -> list[str]:
    """Find the levers of what was made last that are named."""
    with suppress(NoChangeError):
        meant = find_lever(words.split(), state.bench.case.setup, state.bench.knowledge)
        return [lever for lever in ends_of(meant) if lever in state.made_last]
    return []


def _go_back(state: TalkState, name: str, levers: Sequence[str] | None = None) -> list[Block]:
    """Make a way back. levers: of these only."""
    offer = None if levers == [] else state.way_back(name, levers or ())
    if offer is not None:
        return make_offer(state, offer)
    return [Line(sayings.NOT_OF_THESE if levers == [] else sayings.NO_HALF if state.made else sayings.NOTHING_MADE)]


def undo(state: TalkState, _: str) -> list[Block]:
    """`undo`: the last step is taken back: a change is taken out, an answer or words were never said."""
    if not state.steps:
        return [Line(sayings.NOTHING_TO_UNDO)]
    last = state.steps[-1]
    if last.moves:
        return _undo_change(state, last)
    state.take_back()
    if last.kind == ANSWER:
        return where_it_stands(state)
    if last.kind in FACTS or last.done is not None:
        return told_back(state, last)
    if state.session is None:
        return [Line(sayings.AT_THE_START)]
    still = [] if state.advised else [Line(sayings.STILL_MADE.format(sentence(step.said))) for step in state.made[-1:]]
    return [Line(sayings.BACK_TO.format(state.session.text)), *still, *where_it_stands(state)]


def told_back(state: TalkState, last: Step) -> list[Block]:
    """Say that what was told of the car is taken back, in its file too, and weigh anew."""
    bench, where = state.bench, ""
    if last.data.get("not_here") and bench.is_own:
        where = keep_not_here(bench.case, state.system)
    said = [Line(text) for text in (sayings.TAKEN_BACK.format(last.said), where) if text]
    return [*said, *where_it_stands(state)]


def _undo_change(state: TalkState, last: Step) -> list[Block]:
    """Put back what a change moved, where it still stands as it left it, and the talk before it."""
    stood, setup, said = state.stands, state.bench.case.setup, sentence(last.said)
    if any(
        abs(setup.values[lever] - after) > SAME_VALUE * max(1.0, abs(after)) for lever, (_, after) in last.moves.items()
    ):
        state.take_back()
        return [Line(sayings.LEFT_AS_IT_IS.format(said))]
    values = {**setup.values, **{lever: before for lever, (before, _) in last.moves.items()}}
    state.bench.put(replace(setup, values=values, guessed=setup.guessed | last.guessed))
    state.take_back()
    where = _written(state, stood)
    if where is None:
        return _read_again(state, sayings.NOT_TAKEN_OUT)
    return [Line(text) for text in (sayings.TAKEN_OUT.format(said), where) if text]


def where_it_stands(state: TalkState) -> list[Block]:
    """Show the question or the list that is back."""
    if state.session is None or state.question is None:
        return show_stop(state) or show_list(state)
    state.bench.drive_for(state.session)
    return question_blocks(state)


def _written(state: TalkState, stood: Stands) -> str | None:
    """Write the setup that is on the car by now and say where; None, and all as it stood, when the file was changed.

    The notebook has it first, so that a talk killed between can go on.
    """
    bench, setup = state.bench, state.bench.case.setup
    before = replace(bench.case, setup=stood.setup)
    moved = {lever: after for lever, (_, after) in differences(stood.setup, setup).items()}
    state.holds({**bench.on_file.values, **moved})
    try:
        where = keep_setup(before, setup, state.name, state.system, bench.on_file)
    except ChangedMeanwhileError:
        state.stand(stood)
        return None
    bench.read_file()
    state.holds(bench.on_file.values)
    return where


def write_again(state: TalkState) -> str | None:
    """Write the setup of a talk that was killed before its file was written, and say where."""
    return _written(state, replace(state.stands, setup=state.bench.on_file))


def _read_again(state: TalkState, not_done: str) -> list[Block]:
    """Read a setup that somebody changed meanwhile, and make the list anew where nothing of it is made."""
    bench = state.bench
    before = bench.on_file
    bench.read_again()
    state.holds(bench.on_file.values)
    if state.session is not None:
        state.session = replace(state.session, case=bench.case)
    found = "; ".join(say_otherwise(before.values, bench.case.setup, state.system))
    said = Line(sayings.READ_AGAIN.format(not_done, found))
    return [said, *give_advice(state)] if state.advised else [said]


def _recheck(state: TalkState, moved: Iterable[str]) -> list[Block]:
    known = [state.levers[lever] for lever in moved if lever in state.levers]
    checks = dict.fromkeys(check for lever in known for check in lever.recheck)
    return [Line(sayings.CHECK_AGAIN.format("; ".join(checks)))] if checks else []
