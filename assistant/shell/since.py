"""What happened since: what the driver felt of a change, and going on with a talk that was cut off.

What was felt is held against what was promised, and counted. The undo of the change is offered as an undo, and half of
the way back where it went too far. What no plausible car does is asked about before it counts.

A talk that was left is taken up where it stood. Where it cannot go on, the change that waits for what it did is taken
over into a new one, if the car still stands so.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Protocol

from assistant.advice.results import HALF_BACK, WAY_BACK
from assistant.advice.said_changes import ways_back
from assistant.belief.cures import Promise, surprises
from assistant.belief.felt import felt_of, left_of, place_of
from assistant.diagnosis.session import start as begin_session
from assistant.diagnosis.verdict import ChangeWord, read_verdict
from assistant.ground.names import count_of, quoted
from assistant.ground.understood import Carried
from assistant.notebook.book import FELT, MADE, felt_before, is_number
from assistant.pages import felt_words, sayings
from assistant.pages.blocks import Block, Line
from assistant.pages.felt_words import FeltBeside
from assistant.pages.hearing_words import say_back
from assistant.shell import interview
from assistant.shell.changes import SAME_VALUE, stand_after, step_of_change, where_it_stands, write_again
from assistant.shell.remembered import other_files, other_setup
from assistant.shell.talk_state import WORDS, ChangeFelt, Done, TalkState

if TYPE_CHECKING:
    from collections.abc import Sequence

    from assistant.car.case import Setup
    from assistant.diagnosis.session import Session
    from assistant.ground.understood import Cell
    from assistant.notebook.book import CutOff, Entry
    from assistant.notebook.record import Record
    from assistant.shell.dialogs import Dialog, GoOnDialog
    from assistant.shell.remembered import Kept
    from assistant.shell.talk_state import Step


OF_A_CHANGE = ("own", "back")
"""What an entry may hold of a change: it was not offered here; it took out what was made."""
PUT_BACK, CURED = "put_back", 0.75
"""The question whether a change was put back and that cured it; the share of the complaint that is as good as all."""


def read_felt(state: TalkState, text: str) -> ChangeWord | None:
    """Read a line as what a change did; None where no change waits for it, or it is a reason to stop."""
    told = state.bench.memory.told
    cells = told[-1].complaint.cells if told else ()
    word = _held_against(text, cells) if state.not_felt and state.session is not None else None
    return None if word is None or begun_by(state, text).stop else word


def _held_against(text: str, cells: Sequence[Cell]) -> ChangeWord | None:
    """Read a line against what was complained of; where both were, looser is of what was loose alone."""
    felt = sorted({cell.balance for cell in cells} - {"fine"})
    word = read_verdict(text, felt[0] if len(felt) == 1 else "")
    if word is not None or len(felt) < 2:
        return word
    words = [(read_verdict(text, balance), balance) for balance in felt]
    return next((replace(one, only=balance) for one, balance in words if one is not None and one.share <= 0.0), None)


def say_already_felt(state: TalkState, text: str) -> list[Block] | None:
    """Answer "even looser" where what the last change did was said and nothing was changed since; else None."""
    said = next((step for step in reversed(state.steps) if step.kind in {MADE, *WORDS}), None)
    if state.session is None or said is None or said.felt is None or begun_by(state, text).stop:
        return None
    word = _held_against(text, state.session.complaint.cells)
    return None if word is None or word.rest else [Line(felt_words.ALREADY.format(said.felt.text))]


def _spoken_of(cells: Sequence[Cell], word: ChangeWord) -> list[Cell]:
    """List the cells that a word is of: all of them, or those of one balance."""
    return [cell for cell in cells if not word.only or cell.balance == word.only]


def begun_by(state: TalkState, text: str) -> Session:
    """Read what the car does."""
    return begin_session(state.bench.case_as_read, state.bench.knowledge, text)


def is_odd(state: TalkState, word: ChangeWord) -> bool:
    """Whether hardly any plausible car does what was felt."""
    bench, session = state.bench, state.session
    if session is None or not bench.memory.told or not any(step.moves for step in state.not_felt):
        return False
    told = bench.memory.told[-1]
    belief = bench.belief(session.complaint)
    felt = felt_of(_spoken_of(told.complaint.cells, word), told.setup, bench.case.setup, word.share, word.off)
    return bench.work(sayings.WEIGHING_CARS, lambda: surprises(belief, felt))


def take_felt(state: TalkState, word: ChangeWord, text: str, *, counts: bool = True) -> list[Block]:
    """Count what was felt, say what it comes to, and go on with what is left of the complaint."""
    bench, steps, session = state.bench, state.not_felt, state.session
    if session is None or not bench.memory.told:
        return [Line(sayings.NOTHING_OPEN)]
    told = bench.memory.told[-1]
    promised, was_wrong = promised_of(steps, told.complaint.cells)
    now = begun_by(state, word.rest) if word.rest else None
    now = _where_it_was(session, now, text) if now is not None and now.reading.readable else None
    change = felt_of(_spoken_of(told.complaint.cells, word), told.setup, bench.case.setup, word.share, word.off)
    is_own, is_back = (bool(steps and steps[-1].data.get(name)) for name in OF_A_CHANGE)
    is_void = bool(is_back and word.id == "same" and bench.memory.felt)
    goes_on = follow(state, session, now, word, text)
    back = way_back(state, session, now, word)
    state.step(
        FELT,
        text,
        felt=ChangeFelt(text, word.id, change, promised, counts, back),
        data={"now": now is not None, "void": is_void},
    )
    bench.begin_words()
    moved = any(step.moves for step in steps)
    if is_void:  # taken out again, the car did the same: so it was not the change
        bench.memory = replace(bench.memory, felt=bench.memory.felt[:-1])
    elif counts and moved:
        bench.feel(change)
    state.session = goes_on
    state.list_anew(advised=False)
    is_alone = len(steps) == 1
    heard = FeltBeside(word.id, word.share, promised if moved else None, is_alone, is_own, is_back, was_wrong)
    said = [Line(row) for row in felt_words.say_felt(heard, counts=counts)]
    read = [] if now is None else [Line(say_back(state.session.complaint, state.session.severity_unsaid))]
    ways = [Line(text) for text in felt_words.say_ways(back, [*state.made_last])]
    return [*said, *ways, *read, *_go_on(state, asks=now is not None)]


def _where_it_was(before: Session, now: Session, text: str) -> Session:
    """Take "still loose late" to be said of the place that was complained of, where it was one. text: the line."""
    now = replace(now, first=replace(now.first, text=text))
    balances = {cell.balance for cell in now.complaint.cells} - {"fine"}
    phases = {cell.phase for cell in before.complaint.cells if cell.balance in balances}
    return now.answer("where", *phases) if len(phases) == 1 else now


def promised_of(steps: Sequence[Step], complained: Sequence[Cell]) -> tuple[float | None, str]:
    """Say what share of the complaint the last change was to take away, None where that is not known.

    Then which change it was where it was computed to make all of it worse: nothing was promised of that one.
    """
    promise = steps[-1].promise if steps else None
    if promise is None or not promise.worsens(complained):
        return None if promise is None else promise.removes, ""
    return None, felt_words.say_way(steps[-1].moves)


def follow(state: TalkState, before: Session, now: Session | None, word: ChangeWord, text: str) -> Session:
    """Return the session that goes on: what is left of the complaint before, and what the car does now."""
    told = state.bench.memory.told[-1].complaint
    before = _with_put_back(before, state.not_felt, word)
    spoken_of = _spoken_of(told.cells, word)
    left = (*left_of(spoken_of, word.share), *(cell for cell in told.cells if cell not in spoken_of))
    made = [(lever, after - old) for step in state.not_felt for lever, (old, after) in step.moves.items()]
    helped = word.share > 0.0 and not _is_other(before, now)  # what brought something else goes no further
    if now is None:
        on = replace(before, case=state.bench.case_as_read, carried=Carried(text, left))
        return replace(on, made=on.after_change(before, made, helped=helped).made)
    spoken = {place_of(cell) for cell in now.complaint.cells}
    kept = tuple(cell for cell in left if place_of(cell) not in spoken)
    on = now.after_change(before, made, helped=helped)
    if _is_other(before, now):
        on = on.came_of_advice()
    return replace(on, carried=Carried(text, kept))


def _with_put_back(before: Session, made: Sequence[Step], word: ChangeWord) -> Session:
    """Answer whether a change that was told was put back and cured, where that alone was made and felt."""
    last = made[-1] if len(made) == 1 else None
    is_back = last is not None and (
        any(one.is_made_by(last.moves) for one in ways_back(before))
        or (last.done is not None and last.done.kind == "undo")
    )
    found = "cured" if word.share >= CURED else "no-better" if word.share <= 0.0 else ""
    return before.answer(PUT_BACK, found) if is_back and found and before.makes_sense(PUT_BACK) else before


def _go_on(state: TalkState, *, asks: bool) -> list[Block]:
    """Go on with the advice where anything is left to complain of; asks: with questions on what is new first."""
    state.question = None
    if state.session is None or all(cell.balance == "fine" for cell in state.session.complaint.cells):
        return [Line(felt_words.ALL_GOOD)]
    return interview.go_on(state) if asks else interview.give_advice(state)


def _is_other(before: Session, now: Session | None) -> bool:
    """Whether the car does something now that it did not before the change."""
    felt = {cell.balance for cell in before.complaint.cells} | {"fine"}
    return now is not None and any(cell.balance not in felt for cell in now.complaint.cells)


def way_back(state: TalkState, before: Session, now: Session | None, word: ChangeWord) -> str:
    """Say how much of a change is best taken out: all of what made it worse, half of what went too far."""
    if word.share >= 0.0 and word.share <= 1.0 and not _is_other(before, now):
        return ""
    if word.share > 0.0 and state.setup_back(HALF_BACK) is not None:
        return HALF_BACK
    return "" if state.setup_back(WAY_BACK) is None else WAY_BACK


def is_of_list(state: TalkState, text: str) -> bool:
    """Whether a line says what a change did where a list stands of which nothing was taken down as made."""
    is_listed = state.session is not None and state.advised and not state.stop and not state.not_felt
    return is_listed and read_verdict(text) is not None and not state.heard(text).stop


def felt_alone(state: TalkState) -> list[Block]:
    """`felt` without words: what may be said of the change."""
    words = ", ".join(felt_words.NAMES)
    return [Line(sayings.NOT_OF_CHANGE.format(words) if state.not_felt else sayings.NOTHING_OPEN)]


# going on with a talk that was cut off


class Talk(Protocol):
    """The conversation, as far as it is needed here."""

    state: TalkState
    record: Record
    kept: Kept
    dialog: Dialog | None

    def hear(self, text: str) -> list[Block]:
        """Answer a line."""

    def complain(self, text: str) -> list[Block]:
        """Take a line as what the car does."""


def after_offer(talk: Talk, offer: GoOnDialog) -> list[Block]:
    """Go on where the offer was taken, else begin a talk of its own."""
    if offer.is_taken:
        return _go_on_and_hear(talk, offer)
    talk.record.forget(offer.talk)
    talk.state.bench.learned = felt_before(talk.record.book, offer.talk.car)
    if offer.unheard:
        talk.kept.typed(offer.unheard)
    return []


def _go_on_and_hear(talk: Talk, offer: GoOnDialog) -> list[Block]:
    """Go on with a talk, and let the answer to what its last change did be heard, where it still stands."""
    blocks = _go_on_with(talk, offer.talk)
    if not (talk.state.not_felt or talk.state.advised) and read_verdict(offer.unheard):
        offer.unheard = ""
    if offer.unheard:
        talk.kept.typed(offer.unheard)
        return blocks[:2] if talk.state.not_felt else blocks[:1]
    if talk.dialog is not None:
        return [*blocks, *talk.dialog.again()]
    if talk.state.not_felt:
        return [*blocks, Line(sayings.RUN_IT)]
    return blocks if len(blocks) > 1 else [*blocks, *where_it_stands(talk.state)]


def _go_on_with(talk: Talk, old: CutOff) -> list[Block]:
    """Stand where it stood; about a car that is not what it was, a new one begins with its words."""
    bench, system = talk.state.bench, talk.state.system
    moved = other_setup(old.stands, bench.on_file, system)
    changed = [*other_files(old.stands, bench.case), *moved]
    is_empty = not (old.stands or old.said or old.waiting)
    if changed or old.is_over or not (is_empty or talk.kept.take_up(old.stands)):
        return _begin_anew(talk, old, changed, is_moved=bool(moved))
    for line in old.stands.get("asked_by", ()):
        talk.hear(line)
    talk.kept.go_on_with(old)
    written = (write_again(talk.state) if bench.moved_otherwise(system) else None) or ""
    again = sayings.NOT_ANSWERED.format(quoted(old.unanswered)) if old.unanswered.strip() else ""
    rows = sayings.WHERE_YOU_LEFT.format(count_of(len(old.typed), "line"), written), again
    return [Line(" ".join(" ".join(rows).split()))]


def _begin_anew(talk: Talk, old: CutOff, changed: Sequence[str], *, is_moved: bool) -> list[Block]:
    """Begin a talk about the car as it is now, with the complaint and the change that waits of the one before."""
    talk.record.forget(old)
    talk.state.bench.learned = felt_before(talk.record.book, old.car)
    said: list[Block] = [Line(sayings.NOT_AS_IT_WAS.format("; ".join(changed)))] if changed else []
    if not old.said:
        return said
    said.append(Line(sayings.SAID_THEN.format(old.said)))
    talk.kept.typed(old.said)
    before = None if is_moved else before_of(old.waiting, talk.state.bench.on_file)
    if before is None:
        return [*said, *talk.complain(old.said)]
    talk.state.bench.put(before)
    interview.begin(talk.state, talk.state.heard(old.said))
    for entry in old.waiting:
        _make_again(talk.state, entry)
    return said


def _make_again(state: TalkState, entry: Entry) -> None:
    """Do again what the notebook says was done; what is moved stands in the file already."""
    done, said = entry.data.get("done"), str(entry.data.get("said", entry.text))
    promise = promise_in(entry.data.get("promise"))
    if isinstance(done, list) and len(done) == 2:
        state.step(MADE, said, done=Done(str(done[0]), str(done[1]), said), promise=promise)
        state.bench.keep_said(state.complaint)
        stand_after(state)
        return
    setup = state.bench.case.setup
    after = {lever: pair[1] for lever, pair in numbers_moved_in(entry).items() if lever in setup.values}
    kind = {name: True for name in OF_A_CHANGE if entry.data.get(name)}
    step_of_change(state, replace(setup, values={**setup.values, **after}), said, promise, kind)


def before_of(waiting: Sequence[Entry], now: Setup) -> Setup | None:
    """Return the setup before changes that wait for what they did; None where the car stands otherwise by now."""
    values = dict(now.values)
    for entry in reversed(waiting):
        for lever, (before, after) in numbers_moved_in(entry).items():
            if lever not in values or abs(values[lever] - after) > SAME_VALUE * max(1.0, abs(after)):
                return None
            values[lever] = before
    return replace(now, values=values) if waiting else None


def numbers_moved_in(entry: Entry) -> dict[str, tuple[float, float]]:
    """Read from where to where levers were moved, as the notebook has it."""
    moves = entry.data.get("moves")
    pairs = moves.items() if isinstance(moves, dict) else ()
    return {lever: (pair[0], pair[-1]) for lever, pair in pairs if pair and all(map(is_number, pair))}


def promise_in(data: object) -> Promise | None:
    """Read what a change was to do, as the notebook has it."""
    removes: Any = data.get("removes") if isinstance(data, dict) else None
    return Promise(float(removes), {}) if is_number(removes) else None
