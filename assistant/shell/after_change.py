"""What did it do? What the driver felt of a change, heard, held against what was promised, and counted.

The undo of the change is offered as an undo, and half of the way back where it went too far. What no plausible car does
is asked about before it counts.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.belief.felt import felt_of, left_of, place_of, surprises
from assistant.car.lever_rows import lever_name
from assistant.diagnosis.session import start as begin_session
from assistant.diagnosis.verdict import ChangeWord, read_verdict, verdict_of
from assistant.ground.understood import Carried
from assistant.notebook.book import FELT, MADE
from assistant.pages import felt_words, sayings
from assistant.pages.advice import FIRST_SHOWN, headline, offers_of
from assistant.pages.blocks import Block, Line
from assistant.pages.felt_words import FeltBeside, act_of
from assistant.pages.hearing_words import say_back
from assistant.shell import interview
from assistant.shell.dialogs import Dialog, number_in
from assistant.shell.talk_state import HALF_BACK, WAY_BACK, WORDS, ChangeFelt, TalkState
from assistant.shell.verbs import read_line

if TYPE_CHECKING:
    from collections.abc import Sequence

    from assistant.diagnosis.session import Session
    from assistant.ground.understood import Cell
    from assistant.shell.talk_state import Step


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
    now = now if now is not None and now.reading.readable else None
    change = felt_of(_spoken_of(told.complaint.cells, word), told.setup, bench.case.setup, word.share, word.off)
    goes_on = follow(state, session, now, word, text)
    back = way_back(state, session, now, word)
    state.step(FELT, text, felt=ChangeFelt(text, word.id, change, promised, counts, back))
    bench.begin_words()
    moved = any(step.moves for step in steps)
    if counts and moved:
        bench.feel(change)
    state.session = goes_on
    state.list_anew(advised=False)
    heard = FeltBeside(word.id, word.share, promised if moved else None, is_alone=len(steps) == 1, was_wrong=was_wrong)
    said = [Line(row) for row in felt_words.say_felt(heard, counts=counts)]
    read = [] if now is None else [Line(say_back(state.session.complaint, state.session.severity_unsaid))]
    ways = [Line(felt_words.WAYS[back])] if back else []
    return [*said, *ways, *read, *_go_on(state, asks=now is not None)]


def promised_of(steps: Sequence[Step], complained: Sequence[Cell]) -> tuple[float | None, str]:
    """Say what share of the complaint the last change was to take away, None where that is not known.

    Then which change it was where it was computed to make all of it worse: nothing was promised of that one.
    """
    last = steps[-1] if steps else None
    if last is None or last.promise is None:
        return None, ""
    if not last.promise.worsens(complained):
        return last.promise.removes, ""
    return None, felt_words.say_way(last.moves)


def follow(state: TalkState, before: Session, now: Session | None, word: ChangeWord, text: str) -> Session:
    """Return the session that goes on: what is left of the complaint before, and what the car does now."""
    told = state.bench.memory.told[-1].complaint
    spoken_of = _spoken_of(told.cells, word)
    left = (*left_of(spoken_of, word.share), *(cell for cell in told.cells if cell not in spoken_of))
    made = [(lever, after - old) for step in state.not_felt for lever, (old, after) in step.moves.items()]
    if now is None:
        on = replace(before, case=state.bench.case_as_read, carried=Carried(text, left))
        return replace(on, made=on.after_change(before, made, helped=word.share > 0.0).made)
    spoken = {place_of(cell) for cell in now.complaint.cells}
    kept = tuple(cell for cell in left if place_of(cell) not in spoken)
    on = now.after_change(before, made, helped=word.share > 0.0)
    if _is_other(before, now):
        on = on.came_with(lever_name(lever) for lever, _ in made)
    return replace(on, carried=Carried(text, kept))


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
    if word.share > 0.0 and state.half_way is not None:
        return HALF_BACK
    return "" if state.as_it_was is None else WAY_BACK


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
        typed, chosen = read_line(text), self.number_of(text)
        past = typed is not None and typed.verb in self.own
        self.is_back = typed is not None and typed.verb == "back"
        self.is_over, self.counts = past or chosen is not None, chosen == 1
        if not self.is_over:
            return self.explained()
        return [Line(felt_words.CHECK_IT)] if chosen == len(self.answers) else []


class WhichDialog(Dialog):
    """Which offer of the list was done, where what it did is said of one that nobody told of. chosen: its number."""

    left = felt_words.LEFT_WHICH
    asks = felt_words.WHICH
    means = (Line(felt_words.PAST_WHICH),)
    own = frozenset({"make"})
    hears_facts = True
    ended_by = frozenset({"made", "undo", "mine", "back"})
    chosen = 0

    def __init__(self, state: TalkState) -> None:
        offers = () if state.advice is None else offers_of(state.advice)
        shown = offers[: state.shown or FIRST_SHOWN]
        acts = (act_of(headline(one, state.bench.knowledge.levers, state.system)) for one in shown)
        self._count = len(offers)
        self.answers = (*acts, felt_words.NONE_OF_THESE)
        self.words = (*self.answers, "back")
        self.prompt = sayings.BACK_PROMPT.format(len(self.answers))
        self._is_again = state.replaying

    def say(self, text: str) -> list[Block]:
        """Take a number, alone or behind make. In a talk typed once more the list is not there to count."""
        typed = read_line(text)
        number = number_in(text) if self._is_again else self.number_of(text)
        self.chosen = number if number is not None and number < len(self.answers) else 0
        if typed is not None and (made := number_in(typed.rest) or 0) <= self._count:
            number = self.chosen = made
        self.is_over = number is not None and (typed is None or self.chosen > 0)
        return [] if self.is_over else self.explained()


def is_of_list(state: TalkState, text: str) -> bool:
    """Whether a line says what a change did where a list stands of which nothing was taken down as made."""
    is_listed = state.session is not None and state.advised and not state.stop and not state.not_felt
    return is_listed and read_verdict(text) is not None and not state.begin(text).stop


def felt_alone(state: TalkState) -> list[Block]:
    """`felt` without words: what may be said of the change."""
    if not state.not_felt:
        return [Line(sayings.NOTHING_OPEN)]
    return [Line(sayings.NOT_OF_CHANGE.format(", ".join(verdict_of(name).id for name in felt_words.NAMES)))]
