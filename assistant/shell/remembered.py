"""What is kept of a talk: after every line the notebook holds where it stands, and all steps that led there.

A talk is taken up from that, and nothing of it is typed or worked out again. Where it stands is frozen into plain data
by the names of its classes; a setup is what differs from the one the talk began with. Where it cannot go on, the change
that waits for what it did is taken over into a new one, if the car still stands so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import MISSING, Field, fields, replace
from typing import TYPE_CHECKING, Any, Protocol

from assistant.belief.believe import Shown
from assistant.belief.cures import Promise
from assistant.belief.felt import Felt
from assistant.belief.picture import Told
from assistant.car.case import Case, Measured, NotHere, Setup
from assistant.car.keys import is_possible
from assistant.diagnosis.claim import Claim, Said
from assistant.diagnosis.hearing import Heard
from assistant.diagnosis.questions import OpenQuestion
from assistant.diagnosis.session import Session
from assistant.diagnosis.verdict import read_verdict
from assistant.ground.names import count_of, quoted
from assistant.ground.understood import Carried, Cell, Complaint
from assistant.notebook.book import ADVICE, ANSWER, FELT, MADE, SAID, felt_before, felt_data, is_number, numbers_in
from assistant.pages import sayings
from assistant.pages.advice import first_offers, offers_of
from assistant.pages.blocks import Block, Line
from assistant.pages.felt_words import act_of
from assistant.pages.setups import say_otherwise
from assistant.rules.knowledge import Knowledge
from assistant.shell import interview
from assistant.shell.bench import CarTold, Memory
from assistant.shell.changes import SAME_VALUE, stand_after, step_of_change, where_it_stands, write_again
from assistant.shell.keep import prints_of
from assistant.shell.talk_state import ChangeFelt, Done, Stands, Step, TalkPlace

if TYPE_CHECKING:
    from assistant.ground.units import System
    from assistant.notebook.book import CutOff, Entry
    from assistant.notebook.record import Record
    from assistant.shell.dialogs import Dialog, GoOnDialog
    from assistant.shell.talk_state import TalkState

OF_A_TALK = (Stands, Step, TalkPlace, Done, ChangeFelt, CarTold, Memory, Told, Felt, Promise, Shown, Measured, NotHere)
OF_WORDS = (Session, Heard, Said, Claim, Complaint, Cell, Carried)
KEPT: Mapping[str, type] = {one.__name__: one for one in (*OF_A_TALK, *OF_WORDS)}
"""Classes whose values are kept by their fields."""
HOLDS_MANY: Mapping[str, type] = {one.__name__: one for one in (list, frozenset)}
OF_A_CASE = ("setup", "measured", "at_hand")
"""What a talk changes of a case, besides what the car has not."""
WORKED_OUT = frozenset({"found"})
"""Fields that are worked out anew where they are wanted."""
STEPS = (SAID, ANSWER, MADE, FELT)
OF_A_CHANGE = ("own", "back")
"""What an entry may hold of a change: it was not offered here; it took out what was made."""
UNREADABLE = (KeyError, TypeError, ValueError, AttributeError)
"""What reading raises where somebody else wrote what is kept, or an older form of this program."""


class Ice:
    """Freezes what a talk knows into plain data, and thaws it. began: the case as the talk found it."""

    def __init__(self, began: Case, knowledge: Knowledge) -> None:
        self.began = began
        self._knowledge = knowledge

    def freeze(self, one: Any) -> Any:
        """Turn a value into what JSON can hold."""
        if one is None or isinstance(one, str | int | float):
            return one
        if isinstance(one, tuple):
            return [self.freeze(part) for part in one]
        if isinstance(one, Mapping):
            return {"dict": [[self.freeze(name), self.freeze(value)] for name, value in one.items()]}
        if isinstance(one, list | frozenset):
            return {type(one).__name__: [self.freeze(part) for part in one]}
        return {type(one).__name__: self._freeze_fields(one)}

    def _freeze_fields(self, one: Any) -> Any:
        """Freeze an object: by what differs from the beginning, by its name, or by its fields."""
        if isinstance(one, Setup):
            return self._moved(one)
        if isinstance(one, Case):
            parts = {name: self.freeze(getattr(one, name)) for name in OF_A_CASE}
            return {**parts, "not_here": self.freeze(one.rulebook.not_here)}
        if isinstance(one, Knowledge):
            return ""
        if isinstance(one, OpenQuestion):
            return [one.id, self.freeze(one.tells_apart)]
        told = [each for each in fields(KEPT[type(one).__name__]) if each.name not in WORKED_OUT]
        values = {each.name: getattr(one, each.name) for each in told if getattr(one, each.name) != usual(each)}
        return {name: self.freeze(value) for name, value in values.items()}

    def _moved(self, setup: Setup) -> dict[str, Any]:
        began = self.began.setup
        moved = {lever: value for lever, value in setup.values.items() if value != began.values.get(lever)}
        guessed = sorted(setup.guessed ^ began.guessed)
        return {"moved": moved, "guessed": guessed, "seats_alone": setup.seats_alone}

    def thaw(self, data: Any) -> Any:
        """Turn what was frozen back. Raises one of UNREADABLE where that cannot be done."""
        if isinstance(data, list):
            return tuple(self.thaw(part) for part in data)
        if not isinstance(data, dict):
            return data
        ((name, held),) = data.items()
        if name == "dict":
            return {self.thaw(key): self.thaw(value) for key, value in held}
        if name in HOLDS_MANY:
            return HOLDS_MANY[name](self.thaw(part) for part in held)
        return self._thaw_fields(name, held)

    def _thaw_fields(self, name: str, held: Any) -> Any:
        if name == Knowledge.__name__:
            return self._knowledge
        if name == OpenQuestion.__name__:
            return self.thaw(held)
        if name == Setup.__name__:
            return self._setup(held)
        values = {part: self.thaw(value) for part, value in held.items()}
        if name == Case.__name__:
            rulebook = replace(self.began.rulebook, not_here=values.pop("not_here"))
            return replace(self.began, rulebook=rulebook, **values)
        if values.get("question") and name == TalkPlace.__name__:
            qid, tells_apart = values["question"]
            values["question"] = replace(values["session"].question_named(qid), tells_apart=tells_apart)
        return KEPT[name](**values)

    def _setup(self, held: Mapping[str, Any]) -> Setup:
        began, moved = self.began.setup, {str(lever): float(value) for lever, value in held["moved"].items()}
        if not all(is_possible(lever, value) for lever, value in moved.items()):
            raise ValueError(moved)
        values = {lever: moved.get(lever, value) for lever, value in began.values.items()}
        guessed = began.guessed ^ frozenset(held["guessed"])
        return replace(began, values=values, guessed=guessed, seats_alone=bool(held["seats_alone"]))


def usual(field: Field[Any]) -> Any:
    """Give what a field is where nobody says otherwise; MISSING where it is always said."""
    return field.default if field.default_factory is MISSING else field.default_factory()


class Kept:
    """A talk as the notebook has it: its steps, each with the number of its entry, and where it stands.

    Of the car it keeps the setup the talk began with, a mark of each other file, and the last two setups of its file: a
    talk may be killed before the second one is written.
    """

    def __init__(self, state: TalkState, record: Record) -> None:
        self._state, self._record = state, record
        self._known: list[tuple[Step, int | None]] = []
        self._listed: tuple[str, ...] = ()
        self._began: Case | None = None
        self._files: dict[str, str] = {}
        self._on_file: list[Mapping[str, float]] = []
        state.holds = self._hold

    def typed(self, text: str) -> None:
        """Put one typed line on the disk."""
        bench = self._state.bench
        if self._began is None:
            self._began, self._files, self._on_file = bench.case, prints_of(bench.case), [bench.on_file.values]
        self._record.typed(text)

    def _hold(self, on_file: Mapping[str, float]) -> None:
        """Write down what the setup file holds, or is about to hold, and where the talk stands with that."""
        if dict(on_file) != dict(self._on_file[-1]):
            self._on_file = [self._on_file[-1], on_file]
        self.follow()

    def follow(self, asked_by: Sequence[str] = ()) -> None:
        """Bring the notebook up to where the talk stands. asked_by: the lines that led to what is being asked."""
        steps, record = self._state.steps, self._record
        same = next((at for at, (step, _) in enumerate(self._known) if at >= len(steps) or steps[at] is not step), None)
        for _, entry in reversed(self._known[same:] if same is not None else []):
            record.take_back(entry)
        del self._known[same if same is not None else len(self._known) :]
        self._known += [(step, record.write(*told_by(step))) for step in steps[len(self._known) :]]
        self._follow_advice()
        if self._began is not None:
            record.stands(self._written(self._began, asked_by))

    def _follow_advice(self) -> None:
        """Enter a list once; one that is worked out again and says the same is none."""
        offers = offers_of(self._state.found) if self._state.found is not None else ()
        shown = tuple(self._state.say_offer(one) for one in first_offers(offers))
        if shown and shown != self._listed:
            self._record.write(ADVICE, shown[0], {"offers": [*shown]})
            self._listed = shown

    def _written(self, began: Case, asked_by: Sequence[str]) -> dict[str, Any]:
        bench, ice, setup = self._state.bench, Ice(began, self._state.bench.knowledge), began.setup
        return {
            "began": {"values": dict(setup.values), "guessed": [*setup.guessed], "seats_alone": setup.seats_alone},
            "files": self._files,
            "on_file": [dict(one) for one in self._on_file],
            "stands": ice.freeze(self._state.stands),
            "drawn": ice.freeze((bench.drawn_on, bench.grown)),
            "entries": [entry for _, entry in self._known],
            "listed": [*self._listed],
            "asked_by": [*asked_by],
        }

    def take_up(self, data: Mapping[str, Any]) -> bool:
        """Stand where a talk stood that was left; False, and nothing done, where that cannot be read."""
        bench, case = self._state.bench, self._state.bench.case
        try:
            began = replace(case, setup=began_with(case.setup, data["began"]))
            ice = Ice(began, bench.knowledge)
            stands, (drawn_on, grown) = ice.thaw(data["stands"]), ice.thaw(data["drawn"])
            known = [*zip(stands.steps, data["entries"], strict=True)]
            self._files, self._on_file = dict(data["files"]), [numbers_in(one) for one in data["on_file"]]
        except UNREADABLE:
            return False
        self._began, self._known, self._listed = began, known, tuple(data["listed"])
        bench.draw_again(drawn_on, grown)
        self._state.stand(stands)
        return True

    def go_on_with(self, talk: CutOff) -> None:
        """Write on in a talk that was taken up; steps it was killed in before it stood behind them are none."""
        self._record.go_on_with(talk)
        self._state.name = self._record.name
        self._record.keep_only({entry for _, entry in self._known if entry is not None}, is_of_step)


def began_with(now: Setup, data: Mapping[str, Any]) -> Setup:
    """Give the setup a talk began with; levers the car has lost since stay away. Raises one of UNREADABLE."""
    values = {lever: float(data["values"].get(lever, value)) for lever, value in now.values.items()}
    if not all(is_possible(lever, value) for lever, value in values.items()):
        raise ValueError(values)
    return replace(now, values=values, guessed=frozenset(data["guessed"]), seats_alone=bool(data["seats_alone"]))


def other_files(data: Mapping[str, Any], case: Case) -> list[str]:
    """Say which files of a car but its setup are not what they were when a talk was left."""
    marks, now = data.get("files"), prints_of(case)
    kept = marks if isinstance(marks, dict) else {}
    return [sayings.ANOTHER.format(part) for part, mark in kept.items() if now.get(part) != mark]


def other_setup(data: Mapping[str, Any], on_file: Setup, system: System) -> list[str]:
    """Say what of a setup file is not what it was when a talk was left."""
    held = data.get("on_file")
    setups = [numbers_in(one) for one in held] if isinstance(held, list) else []
    return min((say_otherwise(one, on_file, system) for one in setups), key=len, default=[])


def is_of_step(entry: Entry) -> bool:
    """Whether an entry is of a step; others are of readings, notes and lists."""
    return entry.kind in STEPS or bool({"fact", "done"} & set(entry.data))


def told_by(step: Step) -> tuple[str, str, Mapping[str, Any]]:
    """Say what a step of a talk told: kind, text and data of its entry."""
    if step.done is not None:
        return step.kind, act_of(step.said), {"said": step.said, "done": [step.done.kind, step.done.id]}
    if step.kind == MADE:
        moves = {lever: list(pair) for lever, pair in step.moves.items()}
        made = {"said": step.said, "moves": moves, "promise": promised(step.promise)}
        return MADE, act_of(step.said), {**made, **step.data}
    if step.felt is not None:
        felt = step.felt
        more = {"word": felt.word, "promised": felt.promised, "counts": felt.counts}
        return FELT, felt.text, {**felt_data(felt.felt), **more, **step.data}
    return step.kind, step.said, step.data


def promised(promise: Promise | None) -> dict[str, object] | None:
    """Write down what a change was to do: the share that goes, and how far each said cell moves, with its band."""
    if promise is None:
        return None
    cells = {" ".join(cell): [one.value, one.low, one.high] for cell, one in promise.cells.items()}
    return {"removes": promise.removes, "cells": cells}


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
