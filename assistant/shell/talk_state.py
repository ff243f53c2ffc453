"""What a talk has come to, and every place it stood in before: one stack, down which undo and back go."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field, fields, replace
from itertools import takewhile
from typing import TYPE_CHECKING, Any

from assistant.advice.results import HALF_BACK, WAY_BACK, Remedy, Worth
from assistant.car.moves import part_way
from assistant.diagnosis.claim import only_repeats
from assistant.diagnosis.session import start as begin_session
from assistant.notebook.book import ANSWER, FELT, MADE, MEASURED, NOTE, SAID, felt_data, ways_failed
from assistant.pages.advice import first_offers, headline, offers_of
from assistant.pages.amounts import Levers
from assistant.shell.bench import LAST_CHANGES, Bench, CarTold

if TYPE_CHECKING:
    from assistant.advice.results import Advice
    from assistant.belief.cures import Promise
    from assistant.belief.felt import Felt
    from assistant.car.case import Case, Setup
    from assistant.diagnosis.questions import OpenQuestion
    from assistant.diagnosis.session import Session
    from assistant.ground.understood import Complaint, StopReason
    from assistant.ground.units import System

FromTo = Mapping[str, tuple[float, float]]
"""Levers, each from where to where."""
HELPED = frozenset({"better", "a little better", "much better", "half", "fixed"})
"""Words for what a change did after which it stays, and what is new is worked on first."""
WORDS, FACTS = (SAID, FELT), (MEASURED, NOTE)
"""Kinds of steps: words of what the car does, and what is told of the car."""
THIRD = 2
"""Place on the list behind two others."""
LITTLE = 0.1
"""Share of the complaint below which a change is no reason to keep what was made."""


@dataclass
class TalkPlace:
    """Where a talk stands. session: None before the first complaint. question: None while nothing is asked.

    advised: a list is on screen. found: that list, None where it was not worked out yet. shown: offers on screen.
    looks: what else a look is to tell, ids of questions; None while none is asked about.
    look: what is being looked at, kind and words.
    """

    session: Session | None = None
    question: OpenQuestion | None = None
    advised: bool = False
    found: Advice | None = None
    shown: int = 0
    looks: tuple[str, ...] | None = None
    look: Done | None = None


@dataclass(frozen=True)
class ChangeFelt:
    """What changes did, in the driver's words. word: id of what they came to. promised: share that was to go, if known.

    counts: it is evidence; else something besides the change may have done it. back: how much of the change is best
    taken out, WAY_BACK, HALF_BACK or "".
    """

    text: str
    word: str
    felt: Felt
    promised: float | None = None
    counts: bool = True
    back: str = ""


@dataclass(frozen=True)
class Done:
    """Something done that moves no lever: a look, a habit, a repair. kind, id: of the offer. title: in words."""

    kind: str
    id: str
    title: str


@dataclass(frozen=True)
class Step:
    """One step of a talk, with the place before it. kind: of its entry in the notebook.

    said: what was said, answered, made or told, in words. data: what its entry holds besides. moves: lever to its value
    before and after, empty for words. done: what was done that moves no lever. guessed: those of the levers that were a
    guess before. told: what the bench knew of the car before, besides its setup. promise: what the change was to do.
    felt: what changes before it did, in whose words.
    """

    before: TalkPlace
    told: CarTold
    kind: str
    said: str = ""
    data: Mapping[str, Any] = field(default_factory=dict)
    moves: FromTo = field(default_factory=dict)
    done: Done | None = None
    guessed: frozenset[str] = frozenset()
    promise: Promise | None = None
    felt: ChangeFelt | None = None


@dataclass(frozen=True)
class Stands:
    """All that a talk knows: what is kept of it on the disk. meant, missed: as in `TalkState`. setup: on the car."""

    place: TalkPlace
    steps: tuple[Step, ...]
    setup: Setup
    told: CarTold
    meant: str = ""
    missed: int = 0


@dataclass(kw_only=True)
class TalkState(TalkPlace):
    """A talk: where it stands, the car it is about, and the steps that led here.

    name: of the talk, for what it keeps. meant: the command a yes stands for, "" for none. missed: lines in a row that
    nothing was made of.
    heard_last: the line read last, the case it was read for, and what it says.
    holds: writes down in the notebook what the setup file is about to hold, and the steps so far.
    """

    bench: Bench
    system: System = "trade"
    name: str = "talk"
    steps: list[Step] = field(default_factory=list)
    meant: str = ""
    missed: int = 0
    heard_last: tuple[str, Case, Session] | None = None
    holds: Callable[[Mapping[str, float]], None] = lambda _: None

    def heard(self, text: str) -> Session:
        """Read a line as what the car does; it is read once, however many ask what it says."""
        case = self.bench.case
        if self.heard_last is None or self.heard_last[0] != text or self.heard_last[1] is not case:
            self.heard_last = (text, case, begin_session(case, self.bench.knowledge, text))
        return self.heard_last[2]

    def is_told(self, text: str) -> bool:
        """Whether a line only says again what the car does."""
        return self.session is not None and only_repeats(self.heard(text).reading.said, self.session.reading.said)

    def step(self, kind: str, said: str = "", **what: Any) -> None:
        """Remember where the talk stands, before it goes on."""
        guessed = frozenset(self.bench.case.setup.guessed & set(what.get("moves", ())))
        self.steps.append(Step(self._place(), self.bench.told, kind, said, guessed=guessed, **what))

    @property
    def complaint(self) -> Complaint | None:
        """What was said in this talk; None before anything was."""
        return None if self.session is None else self.session.complaint

    @property
    def advice(self) -> Advice | None:
        """The list on screen; cars are driven for it when it is first wanted. None where there is none."""
        if self.advised and self.found is None and self.session is not None:
            self.found = self._without_done(self.bench.advise(self.session))
            self.bench.drive_ahead(self.session, first_offers(offers_of(self.found)))
        return self.found if self.advised else None

    @property
    def offers(self) -> tuple[Remedy, ...]:
        """What is on the list, in the order of its numbers; the list is worked out for it as for `advice`."""
        return () if self.advice is None else offers_of(self.advice)

    @property
    def levers(self) -> Levers:
        """What the rules say of each lever."""
        return self.bench.knowledge.levers

    def say_offer(self, offer: Remedy, *, brief: bool = False) -> str:
        """Say an offer as an order."""
        return headline(offer, self.levers, self.system, brief=brief)

    def list_anew(self, *, advised: bool = True) -> None:
        """Put the list away; advised: another takes its place."""
        self.advised, self.found = advised, None

    def _without_done(self, advice: Advice) -> Advice:
        """Leave out what was done or waits to be run; the way back is first, third where all that helped would go."""
        done = {(step.done.kind, step.done.id) for step in self.steps if step.done is not None}
        moved = {(lever, now > was) for step in self.not_felt for lever, (was, now) in step.moves.items()}
        offers = [
            one
            for one in advice.offers
            if (one.kind, one.id) not in done and (one.id, (one.change or 0.0) > 0.0) not in moved
        ]
        felt = next((step.felt for step in reversed(self.steps) if step.felt is not None), None)
        way = None if felt is None or self.not_felt else self.way_back(felt.back)
        if felt is not None and way is not None:
            offers = [one for one in offers if one.kind != "undo" and not goes_back(one, self.made_last)]
            is_first = felt.word not in HELPED or felt.back == HALF_BACK or (way.removes or 0.0) >= LITTLE
            offers.insert(0 if is_first else THIRD, way)
        return replace(advice, offers=tuple(replace(one, rank=at) for at, one in enumerate(offers, 1)))

    def way_back(self, name: str, levers: Collection[str] = ()) -> Remedy | None:
        """Offer to take out what was made last, or half of it; None where that is no change. levers: of these only."""
        setup = self.setup_back(name, levers)
        if setup is None:
            return None
        offer = self.bench.offer(name, setup, self.complaint)
        if (offer.removes or 0.0) < LITTLE:  # it was felt, whatever is computed
            offer = self.bench.offer(name, setup, None)
        return replace(offer, worth=Worth(sure=offer.cures or 0.0, looks=offer.cures is None))

    def setup_back(self, name: str, levers: Collection[str] = ()) -> Setup | None:
        """Give the setup without what was made last, or with half of it; None where that is the one on the car."""
        case, setup, is_half = self.bench.case, self.bench.case.setup, name == HALF_BACK
        moves = self.made_last.items() if name in {WAY_BACK, HALF_BACK} else ()
        for lever, (before, _) in moves:
            if levers and lever not in levers:
                continue
            half = part_way(setup, case.rulebook, case.car, lever, before) if is_half else None
            setup = half or (setup if is_half else replace(setup, values={**setup.values, lever: before}))
        return None if setup == case.setup else setup

    def failed(self, complaint: Complaint) -> dict[tuple[str, int], str]:
        """What was made for such a complaint and did not help, in this talk and the last ones, and what was said."""
        told = [one.felt for one in self.steps if one.felt is not None and one.felt.counts]
        here = [{**felt_data(one.felt), "word": one.word, "said": one.text} for one in told]
        phases = {cell.phase for cell in complaint.cells if cell.balance != "fine"}
        return ways_failed([*self.bench.learned[-LAST_CHANGES:], *here], phases)

    @property
    def made_last(self) -> FromTo:
        """What was made last: all that moved since the driver spoke before it, each lever from where to where."""
        ends: dict[str, tuple[float, float]] = {}
        for step in reversed(self.steps):
            moved = step.moves.items() if step.kind == MADE else ()
            ends |= {lever: (before, ends.get(lever, (before, after))[1]) for lever, (before, after) in moved}
            if ends and step.kind in WORDS:
                break
        return {lever: pair for lever, pair in reversed(ends.items()) if pair[0] != pair[1]}

    def take_back(self) -> None:
        """Stand where the talk stood before its last step. What was measured since stays measured."""
        last = self.steps.pop()
        self.go_to(last.before)
        self.bench.know_only(last.told)
        measured = self.bench.case_as_read.measured
        if self.session is not None and self.session.case.measured != measured:
            case = replace(self.session.case, measured=measured)
            self.session = replace(self.session, case=case)

    def take_back_answer(self) -> bool:
        """Take back the last answer and leave what was told of the car since; False where words come first."""
        told = [*takewhile(lambda step: step.kind in FACTS, reversed(self.steps))]
        if len(told) == len(self.steps) or self.steps[-1 - len(told)].kind != ANSWER:
            return False
        case = self.bench.case_as_read
        del self.steps[len(self.steps) - len(told) :]
        self.go_to(self.steps.pop().before)
        self.steps += [replace(one, before=self._place()) for one in reversed(told)]
        self.session = None if self.session is None else replace(self.session, case=case)
        return True

    @property
    def stands(self) -> Stands:
        """Where the talk stands, with all that led there."""
        bench = self.bench
        return Stands(self._place(), (*self.steps,), bench.case.setup, bench.told, self.meant, self.missed)

    def stand(self, stands: Stands) -> None:
        """Stand where the talk stood; what stands in files is left alone."""
        self.go_to(stands.place)
        self.steps[:] = stands.steps
        self.bench.put(stands.setup)
        self.bench.know_only(stands.told)
        self.meant, self.missed = stands.meant, stands.missed

    def _place(self) -> TalkPlace:
        return TalkPlace(**{one.name: getattr(self, one.name) for one in fields(TalkPlace)})

    def go_to(self, place: TalkPlace) -> None:
        """Stand at a place."""
        for one in fields(TalkPlace):
            setattr(self, one.name, getattr(place, one.name))

    def begin_with(self, case: Case) -> None:
        """Begin with another car, with nothing said."""
        self.bench.put_case(case)
        self.go_to(TalkPlace())
        self.steps.clear()

    @property
    def made(self) -> tuple[Step, ...]:
        """The changes made in this talk, in order."""
        return tuple(step for step in self.steps if step.kind == MADE)

    @property
    def not_felt(self) -> tuple[Step, ...]:
        """The changes made since the driver last said what the car does, in order."""
        found = []
        for step in reversed(self.steps):
            if step.kind == MADE:
                found.append(step)
            elif step.kind in WORDS:
                break
        return tuple(reversed(found))

    @property
    def stop(self) -> StopReason | None:
        """Why the car must be looked at before anything is adjusted, None when it need not."""
        said = self.session.stop if self.session is not None else None
        return said or (self.found.stop if self.found is not None else None)


def goes_back(offer: Remedy, made: FromTo) -> bool:
    """Whether an offer moves a lever back toward where it stood before a change."""
    both = [(change, made[lever]) for lever, change in offer.changes.items() if lever in made]
    return any(change * (after - before) < 0.0 for change, (before, after) in both)
