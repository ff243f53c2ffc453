"""What happened since the list: which change was told as made, and what the driver felt of it.

What was felt is held against what was promised, and counted. The undo of the change is offered as an undo, and half of
the way back where it went too far. What no plausible car does is asked about before it counts.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import isclose
from typing import TYPE_CHECKING

from assistant.advice.results import HALF_BACK, WAY_BACK
from assistant.advice.said_changes import ways_back
from assistant.belief.cures import promise_of, surprises
from assistant.belief.driven import moved_from
from assistant.belief.felt import felt_of, left_of, place_of
from assistant.diagnosis.said_change import NoChangeError, read_change
from assistant.diagnosis.session import start as begin_session
from assistant.diagnosis.verdict import CHOICES, ChangeWord, read_verdict, verdict_of
from assistant.ground.names import STAGES, quoted
from assistant.ground.understood import Carried
from assistant.notebook.book import FELT, MADE
from assistant.pages import felt_words, sayings
from assistant.pages.blocks import Block, Line
from assistant.pages.felt_words import FeltBeside
from assistant.pages.hearing_words import say_back
from assistant.rules.models_symptom import TRIED
from assistant.shell import interview
from assistant.shell.dialogs import NO, Dialog
from assistant.shell.remembered import OF_A_CHANGE
from assistant.shell.talk_state import WORDS, ChangeFelt, TalkState
from assistant.shell.verbs import is_no_complaint, read_line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from assistant.belief.picture import Told
    from assistant.diagnosis.session import Session
    from assistant.ground.understood import Cell
    from assistant.shell.talk_state import Step


PUT_BACK, CURED = "put_back", 0.75
"""The question whether a change was put back and that cured it; the share of the complaint that is as good as all."""
SAME_SIZE = 0.02
"""Share by which a size that is told may be off the one that was offered."""
WHEN = "when_in_run"
"""The question when in the run it is worst."""
_DOING = (
    r"took|went|made|did|added|raised|lowered|dropped|softened|stiffened|moved|turned|changed|swapped|opened|closed"
)
_DONE = re.compile(
    rf"(?:(?:ok|okay|so|well|just|and|then|alright)[ ,]+)*(?:(?:i|we)(?:'ve)? (?:\w+ ){{0,2}}|(?:{_DOING})\b)"
)
"""How a line begins that tells what was done, where it says nothing of what that did."""
_LONG_AGO = re.compile(
    r"\b(?:yesterday|last \w+|weeks?|months?|days?|ago|before|since|used to|always|would|could|should)\b"
)
_BACK = re.compile(r"\b(?:back|out again|undid|undone)\b")
_PARTS_OF_A_LINE = re.compile(r"\s*[,.;]+\s+|\s+(?:and|but|then)\s+", re.IGNORECASE)


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


@dataclass(frozen=True)
class ToldDone:
    """What was told to be done. number: of the offer it is, 0 for none. words: of it. felt: what is said of it."""

    number: int
    words: str
    felt: str


def read_done(state: TalkState, text: str) -> ToldDone | None:
    """Read a line of the list, or after a change, as a change that was made, and what it did; None for any other."""
    is_waited_for = state.session is not None and (state.advised or bool(state.not_felt)) and not state.stop
    if not is_waited_for or is_no_complaint(text) or _LONG_AGO.search(text.lower()):
        return None
    told, felt = _before_verdict(state, text)
    is_done = bool(told) and (felt or _DONE.match(text.lower())) and not state.heard(text).stop
    parts = [(part, now) for part, now in told if is_done and not state.heard(part).reading.readable]
    found = ((_offer_meant(state, part), part, felt or now) for part, now in parts)
    return next((ToldDone(number, part, now) for number, part, now in found if number is not None), None)


def _before_verdict(state: TalkState, text: str) -> tuple[list[tuple[str, str]], str]:
    """Part a line into what is told, each with what the car does in the rest of it, and all from the first verdict on.

    What is not there is "".
    """
    cells = state.session.complaint.cells if state.session is not None else ()
    begin, told = 0, list[tuple[str, str]]()
    for gap in _PARTS_OF_A_LINE.finditer(text):
        rest = text[gap.end() :]
        told.append((text[begin : gap.start()], rest if state.heard(rest).reading.readable else ""))
        begin = gap.end()
        if _held_against(rest, cells) is not None:
            return told, rest
    return [*told, (text[begin:], "")], ""


def _offer_meant(state: TalkState, words: str) -> int | None:
    """Find the offer on the screen that a change is, 0 where it is one of the driver's own; None where it is none."""
    setup, shown = state.bench.case.setup, state.offers[: state.shown] if state.advised else ()
    backs = [one.rank for one in shown if one.kind == "undo"]
    if len(backs) == 1 and _BACK.search(words.lower()):
        return backs[0]
    try:
        change = read_change(words, setup, state.bench.knowledge, state.system)
    except NoChangeError:
        return None
    moves = moved_from(setup, change.put_on(setup))
    meant = (one.rank for one in shown if one.changes and _is_same(moves, one.changes, any_size=change.is_usual))
    return next(meant, 0) if moves else None


def _is_same(moves: Mapping[str, float], offered: Mapping[str, float], *, any_size: bool) -> bool:
    """Whether a change moves the levers of an offer the same way, and as far where that was said."""
    if moves.keys() != offered.keys():
        return False
    return all(
        by * offered[lever] > 0.0 and (any_size or isclose(by, offered[lever], rel_tol=SAME_SIZE))
        for lever, by in moves.items()
    )


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
    promised, was_wrong = promised_of(state, steps, told)
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
    read = [] if now is None else [Line(say_back(now.complaint, now.severity_unsaid))]
    ways = [Line(text) for text in felt_words.say_ways(back, [*state.made_last])]
    return [*said, *ways, *read, *_go_on(state, asks=now is not None)]


def _where_it_was(before: Session, now: Session, text: str) -> Session:
    """Take "still loose" to be said of the place and the time that were complained of. text: the line.

    What is told of the first laps is taken as it is told here: it is new since the change.
    """
    now = replace(now, first=replace(now.first, text=text))
    balances = {cell.balance for cell in now.complaint.cells} - {"fine"}
    phases = {cell.phase for cell in before.complaint.cells if cell.balance in balances}
    if len(phases) == 1 and "where" not in now.known:
        now = now.answer("where", *phases)
    when, is_there = before.known.get(WHEN), {cell.phase for cell in now.complaint.cells} <= phases
    told = {cell.stage for cell in now.complaint.cells if cell.balance != "fine" and cell.when_given}
    if told == {STAGES[0]} and WHEN not in now.known:
        return now.answer(WHEN, STAGES[0])
    return now.answer(WHEN, when) if when and is_there and WHEN not in now.known else now


def promised_of(state: TalkState, steps: Sequence[Step], told: Told) -> tuple[float | None, str]:
    """Say what share of the complaint goes with what was changed, None where that is not known.

    Then which change it was where it was computed to make all of it worse: nothing was promised of that one.
    """
    promise, complained = steps[-1].promise if steps else None, told.complaint.cells
    if promise is not None and promise.worsens(complained):
        return None, felt_words.say_way(steps[-1].moves)
    if sum(bool(step.moves) for step in steps) > 1 and state.session is not None:
        belief = state.bench.belief(state.session.complaint).with_setup(told.setup)
        promise = promise_of(belief, told.complaint, told.setup, state.bench.case.setup)
    return None if promise is None else promise.removes, ""


def follow(state: TalkState, before: Session, now: Session | None, word: ChangeWord, text: str) -> Session:
    """Return the session that goes on: what is left of the complaint before, and what the car does now."""
    told = state.bench.memory.told[-1].complaint
    before = _with_put_back(before, state.not_felt, word)
    spoken_of = _spoken_of(told.cells, word)
    left = (*left_of(spoken_of, word.share), *(cell for cell in told.cells if cell not in spoken_of))
    moved = [(lever, old, after) for step in state.not_felt for lever, (old, after) in step.moves.items()]
    made = [(lever, 1 if after > old else -1) for lever, old, after in moved if after != old]
    made += [(step.done.id, 0) for step in state.not_felt if step.done and step.done.kind in TRIED]
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


class OddDialog(Dialog):
    """What else was different, where no plausible car does what was felt. counts: the change alone did it.

    is_back: what was felt is taken back unheard. Another change that is told closes it: it is asked of one.
    """

    left = felt_words.LEFT_ODD
    asks = felt_words.ODD
    answers = felt_words.WHAT_ELSE
    means = (Line(felt_words.WHY_ODD), Line(felt_words.PAST_ODD))
    prompt = sayings.SKIP_PROMPT.format(len(answers))
    words = (*answers, "skip", "back")
    own = frozenset({"enough", "back"})
    hears_facts = True
    ended_by = frozenset({"make", "made", "undo", "mine", "half", "put back"})
    counts = False
    is_back = False

    def say(self, text: str) -> list[Block]:
        """Take a number, or the words of an answer; skip and back lead past it."""
        typed, chosen = read_line(text), 1 if text.strip().lower() in NO[1:] else self.number_of(text)
        past = typed is not None and typed.verb in self.own
        self.is_back = typed is not None and typed.verb == "back"
        self.is_over, self.counts = past or chosen is not None, chosen == 1
        if not self.is_over:
            return self.explained()
        return [Line(felt_words.CHECK_IT)] if chosen == len(self.answers) else []


class OnBeforeDialog(Dialog):
    """What a change did to what was complained of, where a line says only what the car does now.

    word: what it did, with that line behind it; None where it was left open. said: both as one line.
    """

    left = felt_words.LEFT_BEFORE
    means = (Line(felt_words.PAST_BEFORE),)
    answers = tuple(felt_words.NAMES[one] for one in CHOICES)
    prompt = sayings.SKIP_PROMPT.format(len(CHOICES))
    words = (*answers, "skip")
    own = frozenset({"enough"})
    hears_facts = True
    ended_by = frozenset({"make", "made", "undo", "mine", "half", "put back"})
    word: ChangeWord | None = None

    def __init__(self, before: str, now: str) -> None:
        self._now, self.said = now, now
        self.asks = felt_words.ON_BEFORE.format(quoted(before))

    def say(self, text: str) -> list[Block]:
        """Take a number, or a verdict in words; skip leaves open what it did."""
        typed, number = read_line(text), self.number_of(text)
        word = verdict_of(CHOICES[number - 1]) if number else read_verdict(text)
        self.is_over = word is not None or (typed is not None and typed.verb in self.own)
        if word is not None:
            self.said = f"{felt_words.NAMES[word.id]}, but {self._now}"
            self.word = replace(word, rest=self._now)
        return [] if self.is_over else self.explained()


def ask_on_before(state: TalkState, text: str) -> OnBeforeDialog | None:
    """Ask of what was complained of where a line after a change only says what the car does now; else None."""
    begun, before = state.heard(text), state.session
    is_now = begun.reading.readable and bool(begun.complaint.cells) and not (begun.stop or is_no_complaint(text))
    return OnBeforeDialog(before.text, text) if state.not_felt and before is not None and is_now else None
