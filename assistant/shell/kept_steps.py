"""What of a talk goes into the notebook: each of its steps, the advice it was shown and what was measured.

The steps stand on one stack; after every line the notebook is brought up to it: new steps are entered, those that were
taken back are marked.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import TYPE_CHECKING, Any

from assistant.car.write import write_not_here
from assistant.notebook.book import ADVICE, ANSWER, FELT, MADE, MEASURED, NOTE, SAID, Entry
from assistant.notebook.felt_entries import felt_data
from assistant.pages.advice import FIRST_SHOWN, headline, offers_of
from assistant.pages.felt_words import act_of
from assistant.shell.talk_state import Step, TalkPlace, TalkState

if TYPE_CHECKING:
    from assistant.advice.results import Advice
    from assistant.belief.felt import Promise
    from assistant.notebook.record import Record

STEPS = (SAID, ANSWER, MADE, FELT)
Kept = tuple[str, str, Mapping[str, Any]]
"""Kind, text and data of an entry."""


class KeptSteps:
    """The steps of a talk that are in the notebook, each with the number of its entry."""

    def __init__(self, state: TalkState) -> None:
        self._state = state
        self._known: list[tuple[Step, int | None]] = []
        self._advice: Advice | None = None

    def follow(self, record: Record) -> None:
        """Bring the notebook up to where the talk stands."""
        steps = self._state.steps
        same = next((at for at, (step, _) in enumerate(self._known) if at >= len(steps) or steps[at] is not step), None)
        for _, entry in reversed(self._known[same:] if same is not None else []):
            record.take_back(entry)
        del self._known[same if same is not None else len(self._known) :]
        for at in range(len(self._known), len(steps)):
            self._known.append((steps[at], record.write(*told_by(self._state, at))))
        self._follow_advice(record)

    def adopt(self, record: Record) -> None:
        """Take the entries of a talk that was typed once more for its steps; what is missing is entered."""
        entries = [one for one in record.entries() if one.kind in STEPS or {"fact", "done"} & set(one.data)]
        steps = self._state.steps
        for at, step in enumerate(steps[: len(entries)]):
            if not is_of(entries[at], told_by(self._state, at)):
                break
            self._known.append((step, entries[at].id))
        for entry in entries[len(self._known) :]:
            record.take_back(entry.id)
        self._advice = self._state.found
        self.follow(record)

    def _follow_advice(self, record: Record) -> None:
        advice = self._state.found
        if advice is not None and advice is not self._advice and offers_of(advice):
            levers = self._state.bench.knowledge.levers
            shown = [headline(one, levers, self._state.system) for one in offers_of(advice)[:FIRST_SHOWN]]
            record.write(ADVICE, shown[0], {"offers": shown})
        self._advice = advice or self._advice


def told_by(state: TalkState, at: int) -> Kept:
    """Say what a step of a talk told, by where the talk stood after it."""
    step = state.steps[at]
    after: TalkPlace = state.steps[at + 1].before if at + 1 < len(state.steps) else state
    if step.done is not None or step.is_fact:
        return fact_or_deed(state, at)
    if step.moves:
        moves = {lever: list(pair) for lever, pair in step.moves.items()}
        return MADE, act_of(step.said), {"said": step.said, "moves": moves, "promise": promised(step.promise)}
    if step.felt is not None:
        felt = step.felt
        more = {"word": felt.word, "promised": felt.promised, "counts": felt.counts}
        return FELT, felt.text, {**felt_data(felt.felt), **more}
    session = after.session
    if session is None:
        return SAID, "", {}
    if step.is_answer and session.given:
        answered = session.answered()
        question, choice = session.given[-1]
        return ANSWER, answered[-1].says if answered else choice, {"question": question, "choice": choice}
    return SAID, session.text, {}


def fact_or_deed(state: TalkState, at: int) -> Kept:
    """Say what was done that moves no lever, or what was told of the car."""
    step = state.steps[at]
    if step.done is not None:
        deed = {"said": step.said, "done": [step.done.kind, step.done.id]}
        return NOTE if step.is_fact else MADE, act_of(step.said), deed
    out, read = told_after(state, at)
    fact = {lever: now for lever, (_, now) in step.moves.items()}
    return NOTE if out else MEASURED, step.said, {"fact": fact, "not_here": out, "readings": read}


def told_after(state: TalkState, at: int) -> tuple[list[str], dict[str, Any]]:
    """Write what a step told of the car besides its setup: what it has not, and what was read on it."""
    before, case = state.steps[at].told, state.bench.case
    if before is None:
        return [], {}
    now = (case.rulebook.not_here, case.measured)
    after = next(((one.told.not_here, one.told.measured) for one in state.steps[at + 1 :] if one.told), now)
    out = tuple(one for one in after[0] if one not in before.not_here)
    read = {
        name: value for name, value in asdict(after[1]).items() if value and value != getattr(before.measured, name)
    }
    return write_not_here(replace(case.rulebook, not_here=out)), read


def promised(promise: Promise | None) -> dict[str, object] | None:
    """Write down what a change was to do: the share that goes, and how far each said cell moves, with its band."""
    if promise is None:
        return None
    cells = {" ".join(cell): [one.value, one.low, one.high] for cell, one in promise.cells.items()}
    return {"removes": promise.removes, "cells": cells}


def is_of(entry: Entry, told: Kept) -> bool:
    """Whether an entry tells of a step."""
    return (entry.kind, entry.text) == told[:2]
