"""Going on with a talk that was cut off.

The lines of a talk are typed once more, with what the notebook says was
done: nothing is written and nothing shown meanwhile. Where the old talk cannot go on, the change that waits for what it
did is taken over into a new one, if the car still stands so.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Protocol

from assistant.belief.felt import Promise
from assistant.diagnosis.verdict import read_verdict
from assistant.ground.problems import BadInput
from assistant.ground.words import count_of
from assistant.notebook.book import FELT, Entry, is_number
from assistant.notebook.felt_entries import felt_before
from assistant.notebook.record import CTRL_C
from assistant.pages import sayings
from assistant.pages.blocks import Block, Line
from assistant.pages.setups import say_otherwise
from assistant.shell.after_change import read_felt, take_felt
from assistant.shell.changes import SAME_VALUE, change_car, do, where_it_stands, write_again
from assistant.shell.keep import prints_of
from assistant.shell.talk_state import Done, KeptSteps, TalkState
from assistant.shell.told import forget
from assistant.shell.verbs import MOVES, Typed, read_line

if TYPE_CHECKING:
    from assistant.car.case import Setup
    from assistant.notebook.book import CutOff
    from assistant.notebook.record import Record
    from assistant.shell.dialogs import Dialog, GoOnDialog, Reply


class Talk(Protocol):
    """The conversation, as far as it is needed here."""

    state: TalkState
    record: Record
    kept: KeptSteps
    dialog: Dialog | None

    def hear(self, text: str) -> list[Block]:
        """Answer a line."""

    def read(self, text: str) -> Typed | None:
        """Read a line as a command."""

    def answer(self, text: str, typed: Typed | None) -> list[Block]:
        """Answer a line where nothing is asked."""

    def complain(self, text: str) -> list[Block]:
        """Take a line as what the car does."""

    def leave(self) -> Reply:
        """Leave what is being asked."""


def after_offer(talk: Talk, offer: GoOnDialog) -> list[Block]:
    """Go on where the offer was taken, else begin a talk of its own."""
    if offer.is_taken:
        return _go_on_and_hear(talk, offer)
    talk.record.forget(offer.talk)
    talk.state.bench.learned = felt_before(talk.record.book, offer.talk.car)
    if offer.unheard:
        talk.record.typed(offer.unheard)
    return []


def turn_down(talk: Talk, offer: GoOnDialog, text: str) -> list[Block]:
    """Begin a new talk with a command that turned the old one down."""
    offer.unheard, talk.dialog = text, None
    return [*after_offer(talk, offer), *talk.answer(text, read_line(text))]


def _go_on_and_hear(talk: Talk, offer: GoOnDialog) -> list[Block]:
    """Go on with a talk, and let the answer to what its last change did be heard, where it still stands."""
    blocks = _go_on_with(talk, offer.talk)
    if not (talk.state.not_felt or talk.state.advised) and read_verdict(offer.unheard):
        offer.unheard = ""
    if offer.unheard:
        talk.record.typed(offer.unheard)
        return blocks[:2] if talk.state.not_felt else blocks[:1]
    if talk.dialog is not None:
        return [*blocks, *talk.dialog.again()]
    return blocks if len(blocks) > 1 else [*blocks, *where_it_stands(talk.state)]


def _go_on_with(talk: Talk, old: CutOff) -> list[Block]:
    """Type its lines once more; a car that is not what it was begins anew with its words."""
    bench, system = talk.state.bench, talk.state.system
    changed = bench.changed_since(old, system)
    if changed or old.is_over:
        return _begin_anew(talk, old, changed)
    before_last = _type_again(talk, old)
    changed = bench.moved_otherwise(system)
    if changed and before_last:
        return _begin_anew(talk, old, changed)
    talk.record.go_on_with(old)
    talk.kept.adopt(talk.record)
    talk.state.name = talk.record.name
    talk.state.holds(bench.on_file.values)
    written = (write_again(talk.state) if changed else None) or ""
    return [Line(sayings.WHERE_YOU_LEFT.format(count_of(len(old.typed), "line"), written).strip())]


def _begin_anew(talk: Talk, old: CutOff, changed: Sequence[str]) -> list[Block]:
    """Begin a talk about the car as it is now, with the complaint and the change that waits of the one before."""
    talk.record.forget(old)
    talk.state.begin_anew()
    talk.state.bench.learned = felt_before(talk.record.book, old.car)
    talk.dialog = None
    said: list[Block] = [Line(sayings.NOT_AS_IT_WAS.format("; ".join(changed)))] if changed else []
    if not old.said:
        return said
    talk.record.typed(old.said)
    said.append(Line(sayings.SAID_THEN.format(old.said)))
    return said if _change_stands(talk, old) else [*said, *talk.complain(old.said)]


def _change_stands(talk: Talk, old: CutOff) -> bool:
    """Take over the change of an older talk that waits for what it did, where the car still stands so."""
    state, on_file = talk.state, talk.state.bench.on_file
    before = before_of(old.waiting, on_file)
    if before is None or say_otherwise(old.on_file, on_file, state.system):
        return False
    state.replaying = True
    state.bench.put(before)
    talk.record.began_with(before.values, prints_of(state.bench.case))
    talk.complain(old.said)
    for entry in old.waiting:
        talk.kept.follow(talk.record)
        talk.record.typed("made")
        make_again(state, entry)
    state.replaying = False
    return True


def _type_again(talk: Talk, old: CutOff) -> list[str]:
    """Type the lines of a talk once more, without a screen and without what is only worked out for one.

    Returns what moved up to the last line that the setup file does not hold: a talk killed in a line may not have
    written what that one moved.
    """
    state, unwritten = talk.state, list[str]()
    if old.setup:
        state.bench.begin_with(old.setup)
    forget(state, old.not_here)
    state.replaying = True
    for at, line in enumerate(old.typed):
        unwritten = state.bench.moved_otherwise(state.system)
        if (entry := old.changes.get(at)) is not None:
            _do_again(talk, entry)
        elif not _leaves_all(talk, line):
            with suppress(BadInput):  # it was told the first time
                talk.leave() if line == CTRL_C else talk.hear(line)
    state.replaying = False
    return unwritten


def _do_again(talk: Talk, entry: Entry) -> None:
    """Do again what a line did, as the notebook has it."""
    talk.dialog = None
    if entry.kind != FELT:
        make_again(talk.state, entry)
    elif (word := read_felt(talk.state, entry.text)) is not None:
        take_felt(talk.state, word, entry.text, counts=bool(entry.data.get("counts")))


def _leaves_all(talk: Talk, line: str) -> bool:
    """Whether a line left the talk where it was: a screen, or a change that was not made."""
    typed = talk.read(line)
    return read_felt(talk.state, line) is not None if typed is None else typed.verb not in MOVES


def make_again(state: TalkState, entry: Entry) -> None:
    """Do again what the notebook says was done: a list that is worked out anew may count otherwise."""
    done, said = entry.data.get("done"), str(entry.data.get("said", entry.text))
    if isinstance(done, list) and len(done) == 2:
        do(state, Done(str(done[0]), str(done[1]), said))
        return
    setup = state.bench.case.setup
    after = {lever: pair[1] for lever, pair in numbers_moved_in(entry).items() if lever in setup.values}
    values = {**setup.values, **after}
    change_car(state, replace(setup, values=values), said, promise_in(entry.data.get("promise")))


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
